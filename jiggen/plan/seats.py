"""Pieces on and in a post's faces turned into checks: flanges over an edge, grommets that a slant closes, holes too low."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import acos, hypot

from jiggen.geometry import Vector
from jiggen.job.model import Job, PostKind
from jiggen.plan.holes import LEAST_SLOT, bored_square, cable_hole, passing, slanting, square_depth
from jiggen.plan.model import Outline, Post, PostFace, RunLine
from jiggen.plan.words import length, nominal, tenth_up
from jiggen.problems import Problem
from jiggen.units import degrees_text

NONE = 0.05  # mm that nobody sees
CHUCK = 25.4  # half of what a drill with its chuck is thick, mm
SQUARE = 1e-6  # of a skew, radians


def seat_problems(job: Job, lines: Iterable[RunLine], posts: Iterable[Post]) -> Iterator[Problem]:
    """What of the posts' pieces has no seat: flanges over an edge, cables askew in a grommet."""
    by_id = {line.id: line for line in lines}
    for post in posts:
        for face in post.faces:
            yield from _over_the_edge(job, post.kind, face)
            yield from _askew_in_grommet(job, post.kind, face, by_id)


def low_problems(job: Job, posts: Sequence[Post]) -> Iterator[Problem]:
    """The holes that lie nearer to the walking surface than a drill's chuck lets the drill come, told together."""
    low = [mark for post in posts for face in post.faces for mark in face.marks if 0.0 <= mark.above_tread < CHUCK]
    if not low:
        return
    lowest = min(low, key=lambda mark: mark.above_tread)
    rest = len(low) - 1
    more = f" (and {rest} more hole{'s' * (rest > 1)} under {length(job, CHUCK)})" if rest else ""
    yield Problem(
        "note",
        lowest.id,
        f"it lies {length(job, lowest.above_tread)} over the walking surface: a drill's chuck has no room there{more}",
        "drill it before the post stands, or with a right-angle head",
        "common practice, no source",
    )


def _over_the_edge(job: Job, kind: PostKind, face: PostFace) -> Iterator[Problem]:
    """The flange that stands furthest over the flat of its face, which ends where an eased corner begins."""
    flat = face.frame.width / 2.0 - kind.radius
    over = [(abs(o.u) + o.across / 2.0 - flat, o) for o in face.outlines if o.purpose != "rail"]
    worst = max(over, key=lambda pair: pair[0], default=None)
    if face.frame.radius or worst is None or worst[0] <= NONE:
        return
    by, piece = worst
    if by > piece.across / 2.0:  # its middle is off the face: told as a stop already
        return
    askew = abs(piece.u) > SQUARE
    corner = f"eased corner (radius {length(job, kind.radius)})" if kind.radius else "edge"
    yield Problem(
        "check",
        face.id if askew else f"post.{kind.name}",
        f"{piece.what} is {length(job, piece.across)} wide and stands {length(job, by)} over the {corner} of its face,"
        f" which is flat over {length(job, 2.0 * flat)}",
        _narrower(job, kind, piece, by, askew),
    )


def _narrower(job: Job, kind: PostKind, piece: Outline, by: float, askew: bool) -> str:
    """What lies flat: a narrower piece, or where it stands in the middle a wider post."""
    narrow = piece.across - 2.0 * tenth_up(by)
    turn = "turn the post nearer to square with its cables, or " if askew else ""
    ways = [f"a piece {length(job, narrow)} wide at most"] if narrow > 0.0 else []
    if not askew:
        ways.append(f"a face {length(job, piece.across + 2.0 * kind.radius)} wide at least")
    return f"{turn}use {' or '.join(ways or ['another post'])}, or see that it holds so"


def _askew_in_grommet(job: Job, kind: PostKind, face: PostFace, lines: Mapping[str, RunLine]) -> Iterator[Problem]:
    """A cable that slants through a grommet in a square hole: how far the grommet must be open for it."""
    bored = not face.fittings and any(mark.purpose == "cable" for mark in face.marks)
    if kind.grommet is None or not bored or not bored_square(kind):
        return
    line = lines[face.run]
    way = face.frame.components(line.direction)
    way = way if way.z > 0.0 else Vector(*(-part for part in way))
    cable, wall = job.cable.diameter, square_depth(kind)
    needed = cable / way.z + wall * hypot(way.x, way.y) / way.z  # the cable's own shadow on the wall, no clearance
    if needed - cable <= LEAST_SLOT:
        return
    bare = replace(kind, grommet=None)
    passes = passing(job, *line.fitted)
    hole, slot = slanting(job, bare, cable_hole(job, bare, passes), way, passes)
    instead = (
        f"a slot {length(job, hole.diameter + 2.0 * hypot(*slot))} long"
        if any(slot)
        else f"a hole of {hole.drill.name}"
    )
    through = (
        f"run {line.id} slants {degrees_text(acos(min(way.z, 1.0)))} degrees through a wall of {nominal(job, wall)}"
    )
    where, out = f"post.{kind.name}", f"leave grommet out of [post.{kind.name}]: {instead} is then marked"
    if needed >= kind.grommet:
        found = f"{through} and takes {length(job, needed)} of height there, its grommet is {nominal(job, kind.grommet)} outside"
        yield Problem("stop", where, f"{found}: the cable cannot pass", out)
        return
    yield Problem(
        "check",
        where,
        f"{through}: its grommet, {nominal(job, kind.grommet)} outside, must be open over {length(job, needed)} at least, the"
        " more the longer it is",
        f"hold a cable askew in the one in your hand, or {out}",
        "geometry: d / cos f + wall tan f",
    )
