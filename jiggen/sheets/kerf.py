"""Nominal contours turned into what the cutter follows: the last change of any size."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from jiggen.geometry import Point


def offset(polygon: Sequence[Point], out: float) -> tuple[Point, ...]:
    """A simple polygon with every side moved ``out`` mm to its right, corners mitred.

    Counter-clockwise, + is outward, - inward. Each corner goes to where its two moved sides meet: with unit
    normals m and n that is out (m + n) / (1 + m . n). Corners that lie straight are moved square. Meant for right,
    obtuse and rounded corners; ``out`` less than half of the shortest side that faces another.
    """
    points = cleaned(polygon)
    normals = [_normal(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True)]
    moved = []
    for point, m, n in zip(points, (normals[-1], *normals[:-1]), normals, strict=True):
        share = out / (1.0 + m.x * n.x + m.y * n.y)
        moved.append(Point(point.x + share * (m.x + n.x), point.y + share * (m.y + n.y)))
    return tuple(moved)


def cleaned(polygon: Sequence[Point], least: float = 1e-6) -> tuple[Point, ...]:
    """The polygon without corners that stand on the one before."""
    points: list[Point] = []
    for point in polygon:
        if not points or hypot(point.x - points[-1].x, point.y - points[-1].y) > least:
            points.append(point)
    if len(points) > 1 and hypot(points[0].x - points[-1].x, points[0].y - points[-1].y) <= least:
        points.pop()
    return tuple(points)


def _normal(a: Point, b: Point) -> Point:
    long = hypot(b.x - a.x, b.y - a.y)
    return Point((b.y - a.y) / long, (a.x - b.x) / long)
