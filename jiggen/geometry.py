"""Points, vectors, lines and planes as plain numbers: mm, right-handed, z (or y in a drawing) up."""

from __future__ import annotations

from math import atan2, cos, hypot, sin, sqrt
from typing import NamedTuple

_new = tuple.__new__  # a Vector straight from its parts: half the time, and a plan takes some hundred for each mark


class Point(NamedTuple):
    """A point or vector in a drawing or on a face: x (or u) to the right, y (or v) up, mm."""

    x: float
    y: float


class Vector(NamedTuple):
    """A point or vector in the world: x along heading 0, z up, mm."""

    x: float
    y: float
    z: float

    def plus(self, other: Vector) -> Vector:
        return _new(Vector, (self[0] + other[0], self[1] + other[1], self[2] + other[2]))

    def minus(self, other: Vector) -> Vector:
        return _new(Vector, (self[0] - other[0], self[1] - other[1], self[2] - other[2]))

    def times(self, factor: float) -> Vector:
        return _new(Vector, (self[0] * factor, self[1] * factor, self[2] * factor))

    def dot(self, other: Vector) -> float:
        return self[0] * other[0] + self[1] * other[1] + self[2] * other[2]

    def cross(self, other: Vector) -> Vector:
        return Vector(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )

    def length(self) -> float:
        return sqrt(self.dot(self))

    def unit(self) -> Vector:
        """This direction at length 1. Raises ZeroDivisionError for the null vector."""
        return self.times(1.0 / self.length())


UP = Vector(0.0, 0.0, 1.0)


def heading_vector(heading: float, rise: float = 0.0) -> Vector:
    """Unit vector that points along ``heading`` (radians counter-clockwise from +x) at slope angle ``rise``."""
    return Vector(cos(heading) * cos(rise), sin(heading) * cos(rise), sin(rise))


class Line(NamedTuple):
    """A straight line through ``point`` along the unit vector ``direction``."""

    point: Vector
    direction: Vector

    def at(self, distance: float) -> Vector:
        (x, y, z), (u, v, w) = self
        return _new(Vector, (x + u * distance, y + v * distance, z + w * distance))


class Plane(NamedTuple):
    """All points p with (p - origin) . normal = 0; ``normal`` is a unit vector."""

    origin: Vector
    normal: Vector

    def distance(self, point: Vector) -> float:
        """Signed distance of ``point``, + on the side that the normal looks at."""
        (x, y, z), (ox, oy, oz), (nx, ny, nz) = point, self.origin, self.normal
        return (x - ox) * nx + (y - oy) * ny + (z - oz) * nz

    def meets(self, line: Line) -> Vector | None:
        """The point where ``line`` crosses the plane, None where it runs beside it."""
        approach = line.direction.dot(self.normal)
        if abs(approach) < 1e-12:
            return None
        return line.at(-self.distance(line.point) / approach)

    def moved(self, out: float) -> Plane:
        """The parallel plane ``out`` mm along the normal."""
        return Plane(Line(self.origin, self.normal).at(out), self.normal)


class Capsule(NamedTuple):
    """All points within ``radius`` of the segment from ``start`` to ``end``: a bore or a screw."""

    start: Vector
    end: Vector
    radius: float


def segment_distance(first: Capsule, second: Capsule) -> float:
    """Least distance between the axes of two capsules, mm. Radii play no part. Degenerate segments allowed."""
    (px, py, pz), (x, y, z), _ = first
    (qx, qy, qz), (u, v, w), _ = second
    x, y, z, u, v, w = x - px, y - py, z - pz, u - qx, v - qy, w - qz  # the two ways
    rx, ry, rz = px - qx, py - qy, pz - qz
    a, e, f = x * x + y * y + z * z, u * u + v * v + w * w, u * rx + v * ry + w * rz
    if a < 1e-18 and e < 1e-18:
        return sqrt(rx * rx + ry * ry + rz * rz)
    if a < 1e-18:
        s, t = 0.0, _clamp(f / e)
    else:
        c = x * rx + y * ry + z * rz
        if e < 1e-18:
            s, t = _clamp(-c / a), 0.0
        else:
            b = x * u + y * v + z * w
            denominator = a * e - b * b
            s = _clamp((b * f - c * e) / denominator) if denominator > 1e-12 * a * e else 0.0
            t = (b * s + f) / e
            if t < 0.0:
                s, t = _clamp(-c / a), 0.0
            elif t > 1.0:
                s, t = _clamp((b - c) / a), 1.0
    dx, dy, dz = px + x * s - (qx + u * t), py + y * s - (qy + v * t), pz + z * s - (qz + w * t)
    return sqrt(dx * dx + dy * dy + dz * dz)


def turned(point: Point, angle: float) -> Point:
    """``point`` turned about the origin by ``angle`` radians, counter-clockwise."""
    return Point(point.x * cos(angle) - point.y * sin(angle), point.x * sin(angle) + point.y * cos(angle))


def distance(first: Point, second: Point) -> float:
    """Distance of two points of one drawing, mm."""
    return hypot(first.x - second.x, first.y - second.y)


def angle_between(first: float, second: float) -> float:
    """Turn from heading ``first`` to heading ``second``, radians in (-pi, pi], + to the left."""
    turn = second - first
    return atan2(sin(turn), cos(turn))


def _clamp(value: float) -> float:
    return 0.0 if value < 0.0 else 1.0 if value > 1.0 else value
