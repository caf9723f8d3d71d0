"""A post as a prism, and a face of it: lines in the world turned into places on a face and back."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, cos, hypot, sin, sqrt

from jiggen.geometry import Line, Plane, Point, Vector


@dataclass(frozen=True, slots=True)
class Face:
    """One flat side of a post, or the side of a round one that looks along ``normal``.

    ``origin``: on the face's centre line at the walking surface. ``right``: to the right as seen from
    outside. ``up``: along the post's axis. ``width``: of the flat side; on a round post half the
    circumference. ``radius``: of a round post, 0 for a flat face.
    """

    origin: Vector
    normal: Vector
    right: Vector
    up: Vector
    width: float
    radius: float = 0.0

    def plane(self, out: float = 0.0) -> Plane:
        """The plane of the face (the tangent plane on a round post), moved ``out`` along the normal."""
        return Plane(self.origin, self.normal).moved(out)

    def place(self, point: Vector) -> Point:
        """(u, v) of a point on the face: u to the right (arc length on a round post), v over the walking surface."""
        off = point.minus(self.origin)
        across = off.dot(self.right)
        if self.radius:
            return Point(self.radius * atan2(across, off.dot(self.normal) + self.radius), off.dot(self.up))
        return Point(across, off.dot(self.up))

    def world(self, u: float, v: float) -> Vector:
        """The point of the world at (u, v) on the face."""
        if self.radius:
            turn = u / self.radius
            across, back = self.radius * sin(turn), self.radius * (cos(turn) - 1.0)
        else:
            across, back = u, 0.0
        return self.origin.plus(self.right.times(across)).plus(self.normal.times(back)).plus(self.up.times(v))

    def normal_at(self, u: float) -> Vector:
        """The outward normal at ``u``: the face's own on a flat one."""
        if not self.radius:
            return self.normal
        turn = u / self.radius
        return self.normal.times(cos(turn)).plus(self.right.times(sin(turn)))

    def meets(self, line: Line) -> Vector | None:
        """The point where ``line`` pierces this side of the post, None where it misses it."""
        if not self.radius:
            return self.plane().meets(line)
        centre = self.origin.minus(self.normal.times(self.radius))
        across = line.direction.minus(self.up.times(line.direction.dot(self.up)))
        start = line.point.minus(centre)
        start = start.minus(self.up.times(start.dot(self.up)))
        a, b = across.dot(across), start.dot(across)
        inside = b * b - a * (start.dot(start) - self.radius * self.radius)
        if a < 1e-18 or inside < 0.0:
            return None
        roots = ((-b - sqrt(inside)) / a, (-b + sqrt(inside)) / a)
        return line.at(max(roots, key=lambda root: start.plus(across.times(root)).dot(self.normal)))

    def components(self, direction: Vector, u: float = 0.0) -> Vector:
        """``direction`` told in the face at ``u``: (across to the right, up, into the post)."""
        inward = self.normal_at(u).times(-1.0)
        return Vector(direction.dot(inward.cross(self.up)), direction.dot(self.up), direction.dot(inward))


@dataclass(frozen=True, slots=True)
class Prism:
    """A post's outside: ``base`` on its axis at the walking surface, ``axis`` up, ``along`` level and square to it.

    ``size_along``, ``size_across``: mm (the diameter on a round post).
    """

    base: Vector
    axis: Vector
    along: Vector
    size_along: float
    size_across: float
    round: bool = False

    def face_toward(self, direction: Vector, inside: Vector) -> Face:
        """The face that looks nearest to ``direction``; between two that tie, the one nearer to ``inside``."""
        if self.round:
            level = direction.minus(self.axis.times(direction.dot(self.axis))).unit()
            return self._face(level, self.size_along / 2.0, 3.141592653589793 * self.size_along / 2.0)
        faces = self.faces()
        best = max(face.normal.dot(direction) for face in faces)
        tied = [face for face in faces if face.normal.dot(direction) > best - 1e-9]
        return max(tied, key=lambda face: face.normal.dot(inside))

    def faces(self) -> tuple[Face, ...]:
        """The four flat sides: forward along the run, left, back, right."""
        left = self.axis.cross(self.along)
        forward, side = (self.size_along / 2.0, self.size_across), (self.size_across / 2.0, self.size_along)
        return (
            self._face(self.along, *forward),
            self._face(left, *side),
            self._face(self.along.times(-1.0), *forward),
            self._face(left.times(-1.0), *side),
        )

    def _face(self, normal: Vector, out: float, width: float) -> Face:
        radius = out if self.round else 0.0
        return Face(self.base.plus(normal.times(out)), normal, self.axis.cross(normal), self.axis, width, radius)

    def half_extent(self, direction: Vector) -> float:
        """Level distance from the axis to the outside along the level unit vector ``direction``, upright post."""
        if self.round:
            return self.size_along / 2.0
        forward = abs(direction.dot(self.along))
        side = abs(direction.dot(self.axis.cross(self.along)))
        return min(
            self.size_along / 2.0 / forward if forward > 1e-12 else float("inf"),
            self.size_across / 2.0 / side if side > 1e-12 else float("inf"),
        )

    def through(self, line: Line) -> tuple[Vector, Vector] | None:
        """Where ``line`` enters and leaves the post (as an endless prism), None where it misses it."""
        local = (self.along, self.axis.cross(self.along))
        start, step = line.point.minus(self.base), line.direction
        p, d = [start.dot(axis) for axis in local], [step.dot(axis) for axis in local]
        if self.round:
            a, b = hypot(d[0], d[1]) ** 2, p[0] * d[0] + p[1] * d[1]
            inside = b * b - a * (p[0] ** 2 + p[1] ** 2 - (self.size_along / 2.0) ** 2)
            if a < 1e-18 or inside < 0.0:
                return None
            return line.at((-b - sqrt(inside)) / a), line.at((-b + sqrt(inside)) / a)
        low, high = float("-inf"), float("inf")
        for at, rate, half in zip(p, d, (self.size_along / 2.0, self.size_across / 2.0), strict=True):
            if abs(rate) < 1e-12:
                if abs(at) > half:
                    return None
                continue
            first, second = sorted(((-half - at) / rate, (half - at) / rate))
            low, high = max(low, first), min(high, second)
        return (line.at(low), line.at(high)) if low <= high and low > float("-inf") else None


def arc_place(across: float, radius: float) -> float:
    """Arc length on a round post of ``radius`` to what lies ``across`` sideways of its centre line."""
    return radius * asin(max(-1.0, min(1.0, across / radius)))
