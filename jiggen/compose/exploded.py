"""Flat boards and blocks in space turned into the lines that are seen of them: parallel projection, hidden lines removed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, fsum, hypot, radians, sin

from jiggen.geometry import Point, Vector
from jiggen.plan.jigs.shapes import to_segment

_TURN, _TILT = radians(35.0), radians(25.0)
RIGHT = Vector(cos(_TURN), 0.0, -sin(_TURN))
ABOVE = Vector(-sin(_TILT) * sin(_TURN), cos(_TILT), -sin(_TILT) * cos(_TURN))
TOWARDS = Vector(sin(_TURN) * cos(_TILT), sin(_TILT), cos(_TURN) * cos(_TILT))
_LEVEL = Vector(sin(_TURN), 0.001, cos(_TURN))
"""Right, up and towards the eye (the last one level), in a frame with x to the right, y up and z towards who looks at the face."""

Seen = tuple[Point, Point]


@dataclass(frozen=True)
class Body:
    """A prism: ``front`` counter-clockwise as seen from where ``out`` points, ``deep`` mm thick behind it.

    ``cuts``: closed lines on the front. ``name``: what it is called, "" for what carries no number.
    ``smooth``: round, so that no edge stands along its side but the outline.
    """

    front: tuple[Vector, ...]
    out: Vector
    deep: float
    cuts: tuple[tuple[Vector, ...], ...] = ()
    name: str = ""
    smooth: bool = False

    def faces(self) -> list[tuple[Vector, ...]]:
        """The faces that look at the eye; the front or the back one first."""
        back = tuple(p.minus(self.out.times(self.deep)) for p in self.front)
        found = [self.front] if self.out.dot(TOWARDS) > 0.0 else [back[::-1]]
        ends = [*range(1, len(self.front)), 0]
        for i, j in enumerate(ends):
            a, b = self.front[i], self.front[j]
            normal = b.minus(a).cross(self.out)
            if normal.dot(TOWARDS) > 1e-9:
                found.append((a, back[i], back[j], b))
        return found

    def nearness(self) -> float:
        """How near to the eye its middle is, as seen from above: what stands over another hides little of it."""
        middle = fsum(p.dot(_LEVEL) for p in self.front) / len(self.front)
        return middle - self.out.dot(_LEVEL) * self.deep / 2.0


def flat(point: Vector) -> Point:
    """Where a point of space is seen."""
    return Point(point.dot(RIGHT), point.dot(ABOVE))


def seen(bodies: Sequence[Body]) -> list[tuple[str, Seen]]:
    """What is seen of the bodies, farthest first: (name, straight piece), pieces behind a nearer body left out.

    Bodies are taken as wholly before or behind each other, by their middles.
    """
    order = sorted(bodies, key=lambda body: body.nearness())
    outlines = [[tuple(flat(p) for p in face) for face in body.faces()] for body in order]
    found: list[tuple[str, Seen]] = []
    for index, body in enumerate(order):
        nearer = [_Shade(face) for later in outlines[index + 1 :] for face in later]
        own = _Shade(outlines[index][0])
        drawn: set[tuple[Point, Point]] = set()
        lines = [(a, b, False) for face in outlines[index][:1] for a, b in _sides(face)]
        lines += _walls(outlines[index][1:], body.smooth)
        if body.out.dot(TOWARDS) > 0.0:
            lines += [(a, b, False) for cut in body.cuts for a, b in _sides(tuple(flat(p) for p in cut))]
        for a, b, side in lines:
            key = (a, b) if a <= b else (b, a)
            if key in drawn:
                continue
            drawn.add(key)
            for piece in _visible(a, b, [*nearer, own] if side else nearer):
                found.append((body.name, piece))
    return found


def _walls(faces: Sequence[tuple[Point, ...]], smooth: bool) -> list[tuple[Point, Point, bool]]:
    """The sides of the walls; of a smooth body without those where one wall meets the next."""
    sides = [(a, b) for face in faces for a, b in _sides(face)]
    if not smooth:
        return [(a, b, True) for a, b in sides]
    shared = {(min(a, b), max(a, b)) for a, b in sides}
    once = {key for key in shared if sum((min(a, b), max(a, b)) == key for a, b in sides) == 1}
    return [(a, b, True) for a, b in sides if (min(a, b), max(a, b)) in once]


def _sides(polygon: Sequence[Point]) -> list[Seen]:
    return [*pairwise(polygon), (polygon[-1], polygon[0])]


class _Shade:
    """A polygon that hides what is behind it."""

    def __init__(self, polygon: Sequence[Point]) -> None:
        self.sides = _sides(polygon)
        xs, ys = [p.x for p in polygon], [p.y for p in polygon]
        self.box = min(xs), min(ys), max(xs), max(ys)

    def misses(self, a: Point, b: Point) -> bool:
        left, bottom, right, top = self.box
        return (
            max(a.x, b.x) <= left or min(a.x, b.x) >= right or max(a.y, b.y) <= bottom or min(a.y, b.y) >= top
        )  # fmt: skip

    def crossings(self, a: Point, b: Point) -> list[float]:
        """Where on the way from ``a`` (0) to ``b`` (1) the sides are crossed."""
        dx, dy = b.x - a.x, b.y - a.y
        found = []
        for p, q in self.sides:
            ex, ey = q.x - p.x, q.y - p.y
            cross = dx * ey - dy * ex
            if abs(cross) < 1e-12:
                continue
            t = ((p.x - a.x) * ey - (p.y - a.y) * ex) / cross
            s = ((p.x - a.x) * dy - (p.y - a.y) * dx) / cross
            if 0.0 < t < 1.0 and -1e-9 <= s <= 1.0 + 1e-9:
                found.append(t)
        return found

    def holds(self, p: Point) -> bool:
        """Whether ``p`` lies inside, by more than a hair."""
        within = False
        for a, b in self.sides:
            if (a.y > p.y) != (b.y > p.y) and p.x < a.x + (p.y - a.y) * (b.x - a.x) / (b.y - a.y):
                within = not within
        return within and all(to_segment(p, a, b) > 1e-6 for a, b in self.sides)


def _visible(a: Point, b: Point, shades: Sequence[_Shade]) -> list[Seen]:
    """The pieces of the line from ``a`` to ``b`` that no shade hides."""
    near = [shade for shade in shades if not shade.misses(a, b)]
    if not near:
        return [(a, b)]
    stops = sorted({0.0, 1.0, *(t for shade in near for t in shade.crossings(a, b))})
    pieces: list[Seen] = []
    for low, high in pairwise(stops):
        middle = _at(a, b, (low + high) / 2.0)
        if high - low > 1e-9 and not any(shade.holds(middle) for shade in near):
            start = _at(a, b, low)
            if pieces and hypot(pieces[-1][1].x - start.x, pieces[-1][1].y - start.y) < 1e-9:
                pieces[-1] = (pieces[-1][0], _at(a, b, high))
            else:
                pieces.append((start, _at(a, b, high)))
    return pieces


def _at(a: Point, b: Point, t: float) -> Point:
    return Point(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t)
