"""Corners or a radius turned into the outline of a post seen from above: its sides, and where lines cross it.

Frame: x along the post (forward), y to its left, mm, the post's axis at (0, 0), in the middle of the outline's extents
both ways. Polygon and Circle answer the same questions, so that nobody else asks which of the two a post is, but for
paper, which folds round the one and rolls round the other.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, hypot, pi, sin, sqrt
from typing import NamedTuple

from jiggen.geometry import Point

INF = float("inf")
PARALLEL = 1e-12
SAME = 1e-6  # mm, between two corners


class Side(NamedTuple):
    """A flat side: ``normal`` outward, unit; ``middle`` on it; ``out``: its plane's distance from the axis; ``width``."""

    normal: Point
    middle: Point
    out: float
    width: float


@dataclass(frozen=True, slots=True)
class Polygon:
    """A convex outline, ``corners`` counter-clockwise seen from above.

    Side 0 goes from the first corner to the second; let it be the one that looks forward. ``sides``: the flat sides,
    counter-clockwise seen from above: to the right on paper.
    """

    corners: tuple[Point, ...]
    sides: tuple[Side, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        ends = zip(self.corners, _next(self.corners, 1), _next(self.corners, 2), strict=True)
        if len(self.corners) < 3 or any(
            (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x) <= 0.0 for a, b, c in ends
        ):
            raise ValueError("the corners of an outline go round it counter-clockwise and none lies inside")
        sides = tuple(_side(a, b) for a, b in zip(self.corners, _next(self.corners, 1), strict=True))
        object.__setattr__(self, "sides", sides)

    def support(self, way: Point) -> float:
        """How far the outline reaches along the unit vector ``way``, seen square to it, mm."""
        return max(corner.x * way.x + corner.y * way.y for corner in self.corners)

    def reach(self, way: Point) -> float:
        """Distance from the axis to the outside along the unit vector ``way``, mm."""
        return self.crossing(Point(0.0, 0.0), way)[1]

    def crossing(self, start: Point, step: Point) -> tuple[float, float]:
        """(t, t) at which start + t step enters and leaves the outline; the first is the greater where it misses,
        (-inf, inf) where it stands still inside."""
        low, high = -INF, INF
        for normal, _, out, _ in self.sides:
            rate, gap = step.x * normal.x + step.y * normal.y, out - start.x * normal.x - start.y * normal.y
            if abs(rate) < PARALLEL:
                if gap < 0.0:
                    return INF, -INF
            elif rate > 0.0:
                high = min(high, gap / rate)
            else:
                low = max(low, gap / rate)
        return low, high

    @property
    def repeats(self) -> float:
        """The least turn about the axis, radians, after which the outline lies on itself: a quarter for a square."""
        count = len(self.corners)
        return next(
            2.0 * pi * steps / count
            for steps in range(1, count + 1)
            if steps == count or _alike(self.corners, 2.0 * pi * steps / count, steps)
        )

    def drawn(self, count: int = 36) -> tuple[Point, ...]:
        """The outline as a polygon, counter-clockwise; ``count``: corners of a curved one."""
        return self.corners

    def inset(self, by: float) -> tuple[Point, ...]:
        """The inner face of a wall ``by`` mm thick, as a polygon; () where nothing is left."""
        sides = self.sides
        found = tuple(_meet(a, b, by) for a, b in zip((sides[-1], *sides[:-1]), sides, strict=True))
        kept = all(side.out - by > 0.0 for side in sides)
        return found if kept else ()


@dataclass(frozen=True, slots=True)
class Circle:
    """A round outline."""

    radius: float

    @property
    def sides(self) -> tuple[Side, ...]:
        """None is flat."""
        return ()

    @property
    def repeats(self) -> float:
        """Any turn at all leaves it as it is; a whole one is told."""
        return 2.0 * pi

    def support(self, way: Point) -> float:
        return self.radius

    def reach(self, way: Point) -> float:
        return self.radius

    def crossing(self, start: Point, step: Point) -> tuple[float, float]:
        """As a polygon's."""
        a, b = hypot(step.x, step.y) ** 2, start.x * step.x + start.y * step.y
        inside = b * b - a * (start.x**2 + start.y**2 - self.radius**2)
        if a < 1e-18:
            return (-INF, INF) if hypot(start.x, start.y) <= self.radius else (INF, -INF)
        if inside < 0.0:
            return INF, -INF
        return (-b - sqrt(inside)) / a, (-b + sqrt(inside)) / a

    def drawn(self, count: int = 36) -> tuple[Point, ...]:
        return tuple(
            Point(self.radius * cos(2.0 * pi * k / count), self.radius * sin(2.0 * pi * k / count))
            for k in range(count)
        )

    def inset(self, by: float) -> tuple[Point, ...]:
        return Circle(self.radius - by).drawn() if by < self.radius else ()


Outline = Polygon | Circle


def _next(corners: tuple[Point, ...], steps: int) -> tuple[Point, ...]:
    return corners[steps:] + corners[:steps]


def _alike(corners: tuple[Point, ...], turn: float, steps: int) -> bool:
    """Whether the corners turned by ``turn`` lie where those ``steps`` further on are."""
    c, s = cos(turn), sin(turn)
    return all(
        hypot(a.x * c - a.y * s - b.x, a.x * s + a.y * c - b.y) < SAME
        for a, b in zip(corners, _next(corners, steps), strict=True)
    )


def _side(a: Point, b: Point) -> Side:
    width = hypot(b.x - a.x, b.y - a.y)
    normal = Point((b.y - a.y) / width, (a.x - b.x) / width)
    return Side(
        normal, Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0), max(p.x * normal.x + p.y * normal.y for p in (a, b)), width
    )


def _meet(a: Side, b: Side, by: float) -> Point:
    """Where the planes of two sides meet, both moved in by ``by``."""
    cross = a.normal.x * b.normal.y - a.normal.y * b.normal.x
    first, second = a.out - by, b.out - by
    return Point(
        (first * b.normal.y - second * a.normal.y) / cross,
        (a.normal.x * second - b.normal.x * first) / cross,
    )
