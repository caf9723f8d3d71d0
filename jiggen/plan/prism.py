"""A post as a prism, and a face of it: lines in the world turned into places on a face and back."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import asin, atan2, cos, isfinite, pi, sin, sqrt

from jiggen.geometry import Line, Plane, Point, Vector
from jiggen.shapes.outline import Circle, Outline


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
        here = Plane(self.origin, self.normal)
        return here.moved(out) if out else here

    def place(self, point: Vector) -> Point:
        """(u, v) of a point on the face: u to the right (arc length on a round post), v over the walking surface."""
        off = point.minus(self.origin)
        across = off.dot(self.right)
        if not self.radius:
            return Point(across, off.dot(self.up))
        return Point(self.radius * atan2(across, off.dot(self.normal) + self.radius), off.dot(self.up))

    def world(self, u: float, v: float) -> Vector:
        """The point of the world at (u, v) on the face."""
        if self.radius:
            turn = u / self.radius
            across, back = self.radius * sin(turn), self.radius * (cos(turn) - 1.0)
        else:
            across, back = u, 0.0
        (x, y, z), (rx, ry, rz), (nx, ny, nz), (ux, uy, uz) = self.origin, self.right, self.normal, self.up
        return Vector(
            x + rx * across + nx * back + ux * v,
            y + ry * across + ny * back + uy * v,
            z + rz * across + nz * back + uz * v,
        )

    def normal_at(self, u: float) -> Vector:
        """The outward normal at ``u``: the face's own on a flat one."""
        if not self.radius:
            return self.normal
        turn = u / self.radius
        return self.normal.times(cos(turn)).plus(self.right.times(sin(turn)))

    def meets(self, line: Line) -> Vector | None:
        """The point where ``line`` pierces this side of the post, None where it misses it."""
        if not self.radius:
            return Plane(self.origin, self.normal).meets(line)
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
        if not self.radius:
            return Vector(direction.dot(self.right), direction.dot(self.up), -direction.dot(self.normal))
        inward = self.normal_at(u).times(-1.0)
        return Vector(direction.dot(inward.cross(self.up)), direction.dot(self.up), direction.dot(inward))

    def direction(self, told: Vector, u: float = 0.0) -> Vector:
        """The direction in the world of what is ``told`` in the face at ``u``: (across to the right, up, into the post)."""
        if not self.radius:
            (x, y, z), (rx, ry, rz), (ux, uy, uz), (nx, ny, nz) = told, self.right, self.up, self.normal
            return Vector(rx * x + ux * y - nx * z, ry * x + uy * y - ny * z, rz * x + uz * y - nz * z)
        inward = self.normal_at(u).times(-1.0)
        right = inward.cross(self.up)
        return right.times(told.x).plus(self.up.times(told.y)).plus(inward.times(told.z))


@dataclass(frozen=True, slots=True)
class Prism:
    """A post's outside: ``base`` on its axis at the walking surface, ``axis`` up, ``along`` level and square to it.

    ``outline``: of the post cut square to its axis, x along it, y to its left. ``left``: unit, square to both.
    """

    base: Vector
    axis: Vector
    along: Vector
    outline: Outline
    left: Vector = field(init=False, repr=False, compare=False)
    _faces: list[Face] = field(default_factory=list, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "left", self.axis.cross(self.along))

    @property
    def round(self) -> bool:
        return isinstance(self.outline, Circle)

    @property
    def size_along(self) -> float:
        """Outside size along the post (the diameter of a round one), mm."""
        return self.depth(self.along)

    @property
    def size_across(self) -> float:
        return self.depth(self.left)

    def face_toward(self, direction: Vector, inside: Vector) -> Face:
        """The face that looks nearest to ``direction``; between two that tie, the one nearer to ``inside``."""
        if isinstance(self.outline, Circle):
            level = direction.minus(self.axis.times(direction.dot(self.axis))).unit()
            r = self.outline.radius
            return Face(self.base.plus(level.times(r)), level, self.axis.cross(level), self.axis, pi * r, r)
        turned = [(face.normal.dot(direction), face) for face in self.faces()]
        best = max(near for near, _ in turned)
        tied = [face for near, face in turned if near > best - 1e-9]
        return max(tied, key=lambda face: face.normal.dot(inside)) if len(tied) > 1 else tied[0]

    def faces(self) -> tuple[Face, ...]:
        """The flat sides, counter-clockwise seen from above: of a square post forward along the run, left, back, right."""
        if not self._faces:
            for side in self.outline.sides:
                normal, middle = self._world(side.normal), self._world(side.middle)
                self._faces.append(Face(self.base.plus(middle), normal, self.axis.cross(normal), self.axis, side.width))
        return tuple(self._faces)

    def half_extent(self, direction: Vector) -> float:
        """Level distance from the axis to the outside along the level unit vector ``direction``, upright post."""
        return self.outline.reach(self._local(direction))

    def depth(self, direction: Vector) -> float:
        """How thick the post is along a unit vector square to its axis, as seen square to that; mm."""
        way = self._local(direction)
        return self.outline.support(way) + self.outline.support(Point(-way.x, -way.y))

    def half_across(self, direction: Vector) -> float:
        """The farther of what stands out to both sides of the axis along ``direction``, mm."""
        way = self._local(direction)
        return max(self.outline.support(way), self.outline.support(Point(-way.x, -way.y)))

    def corners(self) -> tuple[Vector, ...]:
        """The outline in the world, around ``base``, counter-clockwise from above; a round one as a polygon."""
        return tuple(self.base.plus(self._world(corner)) for corner in self.outline.drawn())

    def through(self, line: Line) -> tuple[Vector, Vector] | None:
        """Where ``line`` enters and leaves the post (as an endless prism), None where it misses it."""
        low, high = self.outline.crossing(self._local(line.point.minus(self.base)), self._local(line.direction))
        return (line.at(low), line.at(high)) if low <= high and isfinite(low) else None

    def _local(self, direction: Vector) -> Point:
        return Point(direction.dot(self.along), direction.dot(self.left))

    def _world(self, place: Point) -> Vector:
        (ax, ay, az), (lx, ly, lz), (x, y) = self.along, self.left, place
        return Vector(ax * x + lx * y, ay * x + ly * y, az * x + lz * y)


def arc_place(across: float, radius: float) -> float:
    """Arc length on a round post of ``radius`` to what lies ``across`` sideways of its centre line."""
    return radius * asin(max(-1.0, min(1.0, across / radius)))
