"""Fittings and holes held against the rails that meet their face: what stands in a rail is neither screwed on nor drilled."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import cos, inf
from typing import NamedTuple

from jiggen.job.model import Job
from jiggen.plan.faces import AWAY
from jiggen.plan.model import Post, PostFace, RunLine
from jiggen.plan.prism import arc_place
from jiggen.plan.words import length
from jiggen.problems import Problem

ASKEW = 1.0  # mm off the middle or over an edge that is worth a word


class Across(NamedTuple):
    """A rail where it meets a face, or lies over it: ``low`` and ``high``, v at the centre line, mm."""

    what: str
    low: float
    high: float


class Piece(NamedTuple):
    """What takes room on a face: its middle (u, v), its size ``across`` and ``up``, mm."""

    u: float
    v: float
    across: float
    up: float
    what: str
    cable: int


def rail_problems(job: Job, post: Post, lines: Mapping[str, RunLine]) -> Iterator[Problem]:
    """What of a post's end fittings and holes stands in the top or the bottom rail, the worst of each face and rail."""
    for face, railed in _railed(post):
        pieces = list(_pieces(face))
        if railed is not face:  # what comes out there of another run's bores may have its place beside the rail
            middle, half = _widest(railed, lines[railed.run])
            pieces = [piece for piece in pieces if abs(piece.u - middle) - piece.across / 2.0 < half]
        for rail in _rails(railed, lines[railed.run]):
            found = [(_over(face, rail, piece), piece) for piece in pieces]
            over, worst = max(found, key=lambda pair: pair[0], default=(0.0, None))
            if worst is None or over <= 1e-6:
                continue
            count = sum(by > 1e-6 for by, _ in found)
            many = f" (the worst of {count} such places)" if count > 1 else ""
            yield Problem(
                "stop",
                face.id,
                f"{worst.what} of cable {worst.cable} and the {rail.what} overlap by {length(job, over)}{many}",
                "bring the first cable down" if rail.what == "top rail" else "use fewer cables or a smaller piece",
            )


def _railed(post: Post) -> Iterator[tuple[PostFace, PostFace]]:
    """Every face that rails leave by, with itself; a face that bores come out of with each such face on its side."""
    toward = [face for face in post.faces if face.name.startswith("toward ")]
    for face in post.faces:
        if face in toward:
            yield face, face
        elif face.name.startswith(AWAY) and not face.frame.radius:
            yield from ((face, other) for other in toward if other.frame.normal.dot(face.frame.normal) > 1.0 - 1e-9)


def rail_on(face: PostFace, line: RunLine, wide: float) -> tuple[float, float]:
    """u of a rail's middle on a face and half of what it takes of it, across, mm; of a round post along its arc.

    A rail lies on its cables' line: askew by a it takes ``wide`` / cos a of a flat face, and where it leaves the face the
    line through the post's axis is off the middle by the tangent. It may reach over the face's edges.
    """
    radius, under = face.frame.radius, line.line(0.0)
    if radius:
        at = face.frame.meets(under) or face.frame.origin
        return face.frame.place(at).x, arc_place(wide / 2.0, radius)
    at = face.frame.plane().meets(under) or face.frame.origin
    return face.frame.place(at).x, wide / 2.0 / cos(face.skew)


def over_the_edge(job: Job, post: Post, lines: Mapping[str, RunLine]) -> Iterator[Problem]:
    """The rails between the posts that a flat face askew does not carry whole, and by how much they stand over its edge."""
    for face in post.faces if post.role != "spacer" else ():
        guard = lines[face.run].guard
        if face.frame.radius or not face.name.startswith("toward ") or guard.rail.sits != "between":
            continue
        rails = {"rail": guard.rail.width} | ({"bottom rail": guard.bottom_rail.width} if guard.bottom_rail else {})
        if guard.bottom_rail and guard.bottom_rail.width == guard.rail.width:
            rails = {"rail": guard.rail.width}
        for what, wide in rails.items():
            middle, half = rail_on(face, lines[face.run], wide)
            over = abs(middle) + half - face.frame.width / 2.0
            if abs(middle) < ASKEW or over < ASKEW:
                continue
            side = "right" if middle > 0.0 else "left"
            yield Problem(
                "note",
                face.id,
                f"the {what}, {length(job, wide)} wide, meets this face {length(job, abs(middle))} to the {side} of its middle"
                f" and stands {length(job, over)} over the post's edge there",
                "cut and fix its end so, use a narrower rail, or turn the post nearer to square with its cables",
                "geometry: d tan a + w / (2 cos a)",
            )


def _widest(face: PostFace, line: RunLine) -> tuple[float, float]:
    """Where the wider rail of a run meets a face: its middle and half of what it takes, across, mm."""
    guard = line.guard
    return rail_on(face, line, max(guard.rail.width, guard.bottom_rail.width if guard.bottom_rail else 0.0))


def _rails(face: PostFace, line: RunLine) -> Iterator[Across]:
    """The rails at a face: over the top one's underside nothing has room, whether the rail sits there or over the post."""
    yield Across("top rail", face.underside[0], inf)
    rail, high = line.guard.bottom_rail, line.height - line.rail_drop
    if rail and line.closes == "bottom rail" and high > 0.0:
        scale = (face.underside[0] - face.reference[0] - _lift(face, line)) / high
        low = face.reference[0] + line.gap * scale
        yield Across("bottom rail", low, low + rail.depth / line.cosine * scale)


def _lift(face: PostFace, line: RunLine) -> float:
    """How much higher than planned the underside was built at the face's post."""
    return line.lifts[line.posts.index(face.post)] if line.lifts and face.post in line.posts else 0.0


def _pieces(face: PostFace) -> Iterable[Piece]:
    """Outlines of fittings and washers, and round ones of the holes of cables and screws."""
    for one in face.outlines:
        if one.purpose != "bracket" and one.cable is not None:
            yield Piece(one.u, one.v, one.across, one.up, one.what, one.cable)
    for mark in face.marks:
        if mark.purpose in ("cable", "screw") and mark.cable is not None:
            wide = mark.slotted or mark.diameter
            yield Piece(mark.u, mark.v, wide, wide, f"hole {mark.label}", mark.cable)


def _over(face: PostFace, rail: Across, piece: Piece) -> float:
    """By how much a piece stands in a rail, up and down, mm; 0 or less where it does not. Cables and rails of a run lie in
    one plane, so that nothing of a fitting has its place beside the rail."""
    climb = face.underside[1]
    at, slant = climb * piece.u, abs(climb) * piece.across / 2.0
    return min(piece.v + piece.up / 2.0 - (rail.low + at - slant), rail.high + at + slant - (piece.v - piece.up / 2.0))
