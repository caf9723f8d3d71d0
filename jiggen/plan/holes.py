"""Hole sizes and drills: a cable, screw, wire or stud turned into a diameter and the drill that makes it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot

from jiggen.geometry import Vector
from jiggen.handbook.drills import Drill, next_down, next_up
from jiggen.handbook.screws import Screw, lead_hole
from jiggen.job.model import Job, PostKind

LEAST_SLOT = 0.05  # mm; a slot longer than its width by less than this is a round hole
LEAST_THREADS = 3.0  # pitches of thread that a tapped hole has at least (common practice, no source)
TAP_LEAD = (
    3.0  # pitches that a blind hole is drilled beyond its thread, for the tap's lead (common practice, no source)
)


@dataclass(frozen=True, slots=True)
class Hole:
    """A round hole: ``diameter`` is the drill's. ``why``: the rule or table behind it. ``tap``: the thread to cut in it;
    ``clears``: the machine screw or bolt that passes it, "" for neither. ``replaces``: width and length of the slot that it
    stands for."""

    diameter: float
    drill: Drill
    why: str
    tap: str = ""
    clears: str = ""
    replaces: tuple[float, float] = (0.0, 0.0)


def up_to_drill(size: float, job: Job, why: str) -> Hole:
    """The hole of at least ``size``: the next drill up in the job's sets; beyond them a drill of that very size."""
    drill = next_up(size, job.drills) or Drill(f"{size:.1f} mm", size, "own")
    return Hole(drill.diameter, drill, why)


def passing(job: Job, start: str, finish: str) -> float | None:
    """What must be threaded through the posts that cables with these end fittings pass, mm; None: the bare cable."""
    sizes = [job.fittings[name].passes_through for name in (start, finish) if name]
    return max((size for size in sizes if size is not None), default=None)


def cable_hole(job: Job, kind: PostKind, passing: float | None) -> Hole:
    """The hole that a cable passes: cable plus clearance, what must be threaded through, or the grommet."""
    if kind.grommet is not None:
        return up_to_drill(kind.grommet, job, "outside of the grommet")
    plain = job.cable.diameter + job.cable.clearance
    if passing is not None and passing > plain:
        return up_to_drill(passing, job, "what must pass through")
    return up_to_drill(plain, job, "cable and clearance, next drill up (common practice)")


def bored_square(kind: PostKind) -> bool:
    """Whether cables pass a post of this kind by holes square to its faces: as it says, else in metal and thin walls."""
    usual = "square" if hollow_wall(kind) or kind.material.kind == "metal" else "along"
    return (kind.bore or usual) == "square"


def square_depth(kind: PostKind) -> float:
    """What one square hole goes through: the wall of a hollow post, else the post, mm."""
    return hollow_wall(kind) or kind.along


def slanting(
    job: Job, kind: PostKind, hole: Hole, way: Vector, passes: float | None = None
) -> tuple[Hole, tuple[float, float]]:
    """The square hole that a slanting cable passes, and (across, up) from its middle to the two end holes of a slot.

    ``hole``: what it would pass straight; ``way``: of the cable in the face (across, up, in), a unit vector; ``passes``:
    what must be threaded through first, stiff and as slanting. A slot is d / cos f + wall tan f + clearance long between
    its ends (d the cable, f its angle to the wall's normal) and d + clearance wide; what must pass has its own size for
    d + clearance. Where its two end holes would overlap a hand drill walks into the first one, so one round hole
    as large as the slot is long is drilled instead, unless the post says slot = "file": up and down the cable has no
    more room in it, only sideways (common practice, no source). A grommet's hole is round.
    """
    d, wall, clearance = job.cable.diameter, square_depth(kind), job.cable.clearance
    if passes is not None and passes > d + clearance:
        d, clearance = passes, 0.0
    trace = hypot(way.x, way.y)
    longer = d / way.z - d + wall * trace / way.z
    if longer <= LEAST_SLOT or kind.grommet is not None:
        return hole, (0.0, 0.0)
    if longer < hole.diameter and kind.slot == "round":
        long = max(d + clearance + longer, hole.diameter)
        why = (
            f"one round hole instead of a slot {hole.diameter:.1f} x {hole.diameter + longer:.1f} mm (common practice)"
        )
        return replace(up_to_drill(long, job, why), replaces=(hole.diameter, hole.diameter + longer)), (0.0, 0.0)
    scale = longer / 2.0 / trace * (1.0 if way.y >= 0.0 else -1.0)
    return hole, (way.x * scale, way.y * scale)


def play(job: Job, kind: PostKind, passes: float | None, way: Vector) -> float:
    """How far, square to itself and in the guard's plane, a cable can lie aside in its hole from end to end, mm.

    ``way``: of the cable in the face (across, up, in). In a square hole the cable's shadow on the wall is
    d sqrt(1 + (up / in)^2) + wall up / in high. In a grommet, whose inside we do not know, the clearance.
    """
    if kind.grommet is not None:
        return job.cable.clearance
    hole = cable_hole(job, kind, passes)
    if not bored_square(kind):
        return hole.diameter - job.cable.diameter
    hole, slot = slanting(job, kind, hole, way, passes)
    slope = abs(way.y) / way.z
    shadow = job.cable.diameter * hypot(1.0, slope) + square_depth(kind) * slope
    return (hole.diameter + 2.0 * abs(slot[1]) - shadow) * hypot(way.x, way.z)


def screw_hole(job: Job, kind: PostKind, screw: Screw) -> Hole:
    """The lead hole of a screw in a post of this kind: published share of root or shank, next drill down.

    A machine screw in metal has its tap drill, or its clearance hole (next drill up) where the wall is too thin to tap;
    a bolt, and a machine screw in wood, its clearance hole.
    """
    thin = too_thin(kind, screw)
    try:
        lead = lead_hole(screw, kind.material, thin)
    except ValueError:  # told by screw_trouble; the drawing shows the shank meanwhile
        return up_to_drill(screw.shank, job, "no published hole for this screw here")
    if screw.kind == "machine" and (thin or screw.bolt or kind.material.kind != "metal"):
        why = "clearance, wall too thin to tap; " if thin else "clearance; "
        return replace(up_to_drill(lead.limit, job, why + lead.source), clears=screw.size)
    drill = next_down(lead.limit, job.drills) or Drill(f"{lead.limit:.1f} mm", lead.limit, "own")
    return Hole(drill.diameter, drill, lead.source, screw.size if screw.kind == "machine" else "")


def too_thin(kind: PostKind, screw: Screw) -> bool:
    """Whether a post's metal is too thin to cut this machine screw's thread in: under three pitches (common practice,
    no source; a thread as deep as the screw is thick is better)."""
    if (
        screw.kind != "machine"
        or screw.bolt
        or kind.material.kind != "metal"
        or kind.core is not None
        or screw.pitch is None
    ):
        return False
    wall = kind.wall if kind.wall is not None else min(kind.along, kind.across)
    return wall < LEAST_THREADS * screw.pitch - 1e-9


def hollow_wall(kind: PostKind) -> float:
    """Wall of a hollow post, mm; 0 of a solid or sleeved one."""
    return kind.wall if kind.wall is not None and kind.core is None else 0.0


def screw_trouble(kind: PostKind, screw: Screw) -> str:
    """Why a screw cannot go into this kind of post, with the remedy; "" where it can."""
    try:
        lead_hole(screw, kind.material)
    except ValueError as error:
        return str(error)
    return ""
