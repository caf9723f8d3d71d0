"""Hole sizes and drills: a cable, screw, wire or stud turned into a diameter and the drill that makes it."""

from __future__ import annotations

from dataclasses import dataclass

from jiggen.handbook.drills import Drill, next_down, next_up
from jiggen.handbook.screws import Screw, lead_hole
from jiggen.job.model import Job, PostKind

LEAST_THREADS = 2.0  # that a tapped hole has


@dataclass(frozen=True, slots=True)
class Hole:
    """A round hole: ``diameter`` is the drill's. ``why``: the rule or table behind it."""

    diameter: float
    drill: Drill
    why: str


def up_to_drill(size: float, job: Job, why: str) -> Hole:
    """The hole of at least ``size``: the next drill up in the job's sets; beyond them a drill of that very size."""
    drill = next_up(size, job.drills) or Drill(f"{size:.1f} mm", size, "own")
    return Hole(drill.diameter, drill, why)


def passing(job: Job, start: str, finish: str) -> float | None:
    """What must be threaded through the line posts of a run with these end fittings, mm; None: the bare cable."""
    sizes = [job.fittings[name].passes_through for name in (start, finish)]
    return max((size for size in sizes if size is not None), default=None)


def cable_hole(job: Job, kind: PostKind, passing: float | None) -> Hole:
    """The hole that a cable passes: cable plus clearance, what must be threaded through, or the grommet."""
    if kind.grommet is not None:
        return up_to_drill(kind.grommet, job, "outside of the grommet")
    plain = job.cable.diameter + job.cable.clearance
    if passing is not None and passing > plain:
        return up_to_drill(passing, job, "what must pass through")
    return up_to_drill(plain, job, "cable and clearance, next drill up (common practice)")


def screw_hole(job: Job, kind: PostKind, screw: Screw) -> Hole:
    """The lead hole of a screw in a post of this kind: published share of root or shank, next drill down.

    A machine screw in metal has its tap drill, or its clearance hole (next drill up) where the wall is too thin to tap.
    """
    thin = too_thin(kind, screw)
    try:
        lead = lead_hole(screw, kind.material, thin)
    except ValueError:  # told by screw_trouble; the drawing shows the shank meanwhile
        return up_to_drill(screw.shank, job, "no published hole for this screw here")
    if thin:
        return up_to_drill(lead.limit, job, f"clearance, wall too thin to tap; {lead.source}")
    drill = next_down(lead.limit, job.drills) or Drill(f"{lead.limit:.1f} mm", lead.limit, "own")
    return Hole(drill.diameter, drill, lead.source)


def too_thin(kind: PostKind, screw: Screw) -> bool:
    """Whether a post's metal is too thin to cut this machine screw's thread in: under two full threads (common practice,
    no source)."""
    if screw.kind != "machine" or kind.material.kind != "metal" or kind.core is not None or screw.pitch is None:
        return False
    wall = kind.wall if kind.wall is not None else min(kind.along, kind.across)
    return wall < LEAST_THREADS * screw.pitch - 1e-9


def screw_trouble(kind: PostKind, screw: Screw) -> str:
    """Why a screw cannot go into this kind of post, with the remedy; "" where it can."""
    try:
        lead_hole(screw, kind.material)
    except ValueError as error:
        return str(error)
    return ""
