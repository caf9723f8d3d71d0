"""A post and the runs that meet it turned into the faces that carry marks, each with its own frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import atan2

from jiggen.geometry import Vector
from jiggen.job.model import Ramp
from jiggen.plan.lines import Stand, side_direction
from jiggen.plan.model import PostFace, RunLine
from jiggen.plan.prism import Face

AWAY = "away from "  # begins the name of a face where an end fitting's bore comes out


@dataclass(frozen=True, slots=True)
class View:
    """One post seen along one run: towards ``neighbour``. ``index``: of the post in the run.

    ``outward``: unit vector of the cables as they leave the post on this side. ``fitting``: the end
    fitting's name where the cables end here, "" where they pass.
    """

    line: RunLine
    index: int
    neighbour: str
    outward: Vector
    fitting: str
    frame: Face

    @property
    def name(self) -> str:
        return f"toward {self.neighbour}"

    @property
    def skew(self) -> float:
        """Heading of the cables off the face's normal, radians, + to the right."""
        return atan2(self.outward.dot(self.frame.right), self.outward.dot(self.frame.normal))

    @property
    def climb(self) -> float:
        """Slope of the cables as they leave the face, a mm square to it: + climbing."""
        return self.outward.z / self.outward.dot(self.frame.normal)


def views(stand: Stand, lines: Mapping[str, RunLine]) -> tuple[View, ...]:
    """Every side of the post that a run leaves by, in the order of the runs, previous post first."""
    if stand.between:
        return _bar_views(stand, lines[stand.runs[0]], stand.between)
    sides: list[tuple[RunLine, int, str, Vector, str]] = []
    for run_id in stand.runs:
        line = lines[run_id]
        index, last = line.posts.index(stand.id), len(line.posts) - 1
        if index > 0:
            fitting = line.finish if index == last else ""
            sides.append((line, index, line.posts[index - 1], line.direction.times(-1.0), fitting))
        if index < last:
            fitting = line.start if index == 0 else ""
            sides.append((line, index, line.posts[index + 1], line.direction, fitting))
    inside = _inside([side[3] for side in sides], sides[0][0])
    return tuple(View(*side, stand.prism.face_toward(_level(side[3]), inside)) for side in sides)


def _bar_views(stand: Stand, line: RunLine, between: tuple[str, str]) -> tuple[View, ...]:
    """A spacer bar's two sides: cables pass."""
    index, inside = line.posts.index(between[0]), side_direction(line, line.guard.deck)
    ways = ((between[0], line.direction.times(-1.0)), (between[1], line.direction))
    return tuple(View(line, index, post, way, "", stand.prism.face_toward(_level(way), inside)) for post, way in ways)


def _level(direction: Vector) -> Vector:
    return Vector(direction.x, direction.y, 0.0).unit()


def _inside(directions: Sequence[Vector], line: RunLine) -> Vector:
    """The side of the turn: where all directions together point; on a straight run the deck side."""
    total = Vector(0.0, 0.0, 0.0)
    for direction in directions:
        total = total.plus(_level(direction))
    return total if len(directions) > 1 and total.length() > 1e-6 else side_direction(line, line.guard.deck)


def _level_surface(stand: Stand, frame: Face) -> tuple[float, float]:
    """v of a level surface underfoot at the face's centre line and its climb a mm of u: 0 on a post that does not lean."""
    return (stand.base.z - frame.origin.z) / frame.up.z, -frame.right.z / frame.up.z


def bare_face(stand: Stand, name: str, frame: Face, line: RunLine, outward: Vector) -> PostFace:
    """The face without marks: where rail, reference line and walking surface cross it."""
    x = line.along(frame.origin)
    rate = line.slope * frame.up.dot(line.level)
    unit = frame.up.z - rate
    climb = (line.slope * frame.right.dot(line.level) - frame.right.z) / unit
    lift = line.lifts[line.posts.index(stand.id)] if line.lifts and stand.id in line.posts else 0.0
    under = (line.underside(x) + lift - frame.origin.z) / unit
    reference = (line.reference(x) - frame.origin.z) / unit
    tread = (reference, climb) if isinstance(line.ground, Ramp) else _level_surface(stand, frame)
    slope = line.slope if outward.dot(line.level) > 0.0 else -line.slope
    skew = atan2(outward.dot(frame.right), outward.dot(frame.normal))
    return PostFace(
        f"{stand.id}/{name}",
        stand.id,
        name,
        frame,
        line.id,
        slope,
        skew,
        (under, climb),
        (reference, climb),
        tread,
        line.rail_drop / unit,
    )
