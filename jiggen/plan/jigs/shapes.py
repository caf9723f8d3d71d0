"""Edges, tabs and slots turned into polygons; distances between polygons and holes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import cos, hypot, pi, sin

from jiggen.geometry import Point, distance
from jiggen.plan.jigs.model import FIT, Hole

Span = tuple[float, float]


def edge(a: Point, b: Point, tabs: Sequence[Span], deep: float) -> list[Point]:
    """The edge from ``a`` towards ``b`` (without ``b``) with tabs standing ``deep`` out to its right.

    ``tabs``: where each begins and ends, as distances from ``a``, in order.
    """
    long = distance(a, b)
    dx, dy = (b.x - a.x) / long, (b.y - a.y) / long
    points = [a]
    for start, end in tabs:
        for along, out in ((start, 0.0), (start, deep), (end, deep), (end, 0.0)):
            points.append(Point(a.x + dx * along + dy * out, a.y + dy * along - dx * out))
    return points


def spans(low: float, high: float, count: int, size: float) -> tuple[Span, ...]:
    """``count`` tabs of ``size`` mm evenly between ``low`` and ``high``."""
    step = (high - low) / count
    middles = [low + (i + 0.5) * step for i in range(count)]
    return tuple((m - size / 2.0, m + size / 2.0) for m in middles)


def rectangle(left: float, bottom: float, right: float, top: float) -> tuple[Point, ...]:
    """Counter-clockwise from the lower left corner."""
    return Point(left, bottom), Point(right, bottom), Point(right, top), Point(left, top)


def upright_slot(u: float, span: Span, thickness: float) -> tuple[Point, ...]:
    """The slot for a tab of a board that stands upright, its middle at ``u``: half of the fit on every side."""
    half = (thickness + FIT) / 2.0
    return rectangle(u - half, span[0] - FIT / 2.0, u + half, span[1] + FIT / 2.0)


def level_slot(v: float, span: Span, thickness: float) -> tuple[Point, ...]:
    """The slot for a tab of a board that lies level, its middle at ``v``."""
    half = (thickness + FIT) / 2.0
    return rectangle(span[0] - FIT / 2.0, v - half, span[1] + FIT / 2.0, v + half)


def mirrored(points: Iterable[Point]) -> tuple[Point, ...]:
    """``points`` with x turned round, in reverse order so that they still run counter-clockwise."""
    return tuple(Point(-p.x, p.y) for p in reversed(list(points)))


def arc(centre: Point, radius: float, start: float, end: float, off: float = 0.002) -> list[Point]:
    """Points of a circle's arc from angle ``start`` to ``end`` (radians), no chord more than ``off`` mm from it.

    A chord of angle t lies r (1 - cos(t / 2)) inside its arc: t = sqrt(8 off / r), to the second order.
    """
    count = max(2, int(abs(end - start) / (8.0 * off / radius) ** 0.5) + 1)
    angles = [start + (end - start) * i / count for i in range(count + 1)]
    return [Point(centre.x + radius * cos(a), centre.y + radius * sin(a)) for a in angles]


def contour(hole: Hole, inset: float = 0.0) -> tuple[Point, ...]:
    """A slanting bore's hole in a board as a counter-clockwise polygon, ``inset`` mm inside its rim.

    The bore's oval (``diameter`` wide, ``diameter`` x ``slant`` long) swept by ``stretch`` along the trace:
    two half ovals joined by straight sides. Chords lie within 0.002 mm of it. ``inset`` goes square to the rim.
    """
    a, b, push = hole.diameter / 2.0 * hole.slant, hole.diameter / 2.0, hole.stretch / 2.0
    count = max(16, int(pi / (8.0 * 0.002 / a) ** 0.5) + 1)
    points = []
    for i in range(2 * count + 2):
        side = 1.0 if i <= count else -1.0
        t = -pi / 2.0 + pi * (i if i <= count else i - 1) / count
        nx, ny = cos(t) / a, sin(t) / b
        size = hypot(nx, ny)
        along = a * cos(t) - inset * nx / size + side * push
        across = b * sin(t) - inset * ny / size
        points.append(Point(along, across))
    tx, ty = hole.trace
    return tuple(Point(hole.at.x + x * tx - y * ty, hole.at.y + x * ty + y * tx) for x, y in points)


def to_segment(p: Point, a: Point, b: Point) -> float:
    """Distance of ``p`` from the segment from ``a`` to ``b``."""
    dx, dy = b.x - a.x, b.y - a.y
    long = dx * dx + dy * dy
    t = max(0.0, min(1.0, ((p.x - a.x) * dx + (p.y - a.y) * dy) / long)) if long else 0.0
    return hypot(p.x - a.x - t * dx, p.y - a.y - t * dy)


def core(hole: Hole) -> tuple[Point, Point, float]:
    """A capsule that holds the hole: two ends and the radius about them."""
    push = (hole.length - hole.diameter) / 2.0
    dx, dy = hole.trace.x * push, hole.trace.y * push
    return Point(hole.at.x - dx, hole.at.y - dy), Point(hole.at.x + dx, hole.at.y + dy), hole.diameter / 2.0


def clear_of(hole: Hole, polygon: Sequence[Point]) -> float:
    """Board between a hole and the nearest side of a polygon, mm; negative where they overlap."""
    a, b, radius = core(hole)
    sides = [*pairwise(polygon), (polygon[-1], polygon[0])]
    return min(between(a, b, p, q) for p, q in sides) - radius


def apart(first: Hole, second: Hole) -> float:
    """Board between two holes, mm; negative where they overlap."""
    a, b, r = core(first)
    c, d, s = core(second)
    return between(a, b, c, d) - r - s


def between(a: Point, b: Point, c: Point, d: Point) -> float:
    """Distance of two segments in a plane, 0 where they cross; either may be a point."""
    if a == b:
        return to_segment(a, c, d)
    if c == d:
        return to_segment(c, a, b)
    if _crosses(a, b, c, d):
        return 0.0
    return min(to_segment(a, c, d), to_segment(b, c, d), to_segment(c, a, b), to_segment(d, a, b))


def _crosses(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x)

    return side(a, b, c) * side(a, b, d) < 0.0 and side(c, d, a) * side(c, d, b) < 0.0
