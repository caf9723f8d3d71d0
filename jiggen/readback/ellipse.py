"""Ellipses as images of the unit circle, and closed Bezier curves turned into the ellipse that they draw.

An ellipse is held as its centre and two conjugate half diameters u and v: the points centre + u cos t +
v sin t. Any affine map of a circle has that form, so transforms need no special case. Plain numbers in
whatever unit and frame the points have.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import atan2, cos, fsum, hypot, inf, pi, sin, sqrt
from typing import NamedTuple

XY = tuple[float, float]

LEAST_PIECES = 4
STRAY, STRAY_SHARE = 0.01, 0.001  # a curve may leave its ellipse by 0.01 mm + a thousandth of the radius
SAME_RADII = 1e-9
INNER = (1 / 6, 2 / 6, 3 / 6, 4 / 6, 5 / 6)
# A cubic piece's squared distance from the centre is a polynomial of degree six: its two ends and these
# five inner points are the seven that settle it.
BLEND = tuple(((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3) for t in INNER)


class Ellipse(NamedTuple):
    """The points (x, y) + u cos t + v sin t."""

    x: float
    y: float
    ux: float
    uy: float
    vx: float
    vy: float

    def extent(self) -> XY:
        """Half the width and half the height of the upright box around it."""
        return hypot(self.ux, self.vx), hypot(self.uy, self.vy)

    def axes(self) -> tuple[float, float, float]:
        """Larger radius, smaller radius, and the larger one's angle from +x towards +y.

        The radii are the singular values of the matrix with columns u and v; the angle, radians in
        (-pi/2, pi/2], is that of the first eigenvector of the matrix times its transpose. 0 for a circle.
        """
        ux, uy, vx, vy = self.ux, self.uy, self.vx, self.vy
        half_sum = hypot(ux + vy, uy - vx) / 2.0
        half_difference = hypot(ux - vy, uy + vx) / 2.0
        large, small = half_sum + half_difference, abs(half_sum - half_difference)
        if large - small <= SAME_RADII * large:
            return large, small, 0.0
        turn = atan2(2.0 * (ux * uy + vx * vy), ux * ux + vx * vx - uy * uy - vy * vy) / 2.0
        return large, small, turn if turn > -pi / 2.0 else pi / 2.0

    def to_unit(self, points: Sequence[XY]) -> list[XY]:
        """``points`` seen in the frame in which this ellipse is the unit circle."""
        x, y, ux, uy, vx, vy = self
        area = ux * vy - uy * vx
        a, b, c, d = vy / area, -vx / area, -uy / area, ux / area
        return [((px - x) * a + (py - y) * b, (px - x) * c + (py - y) * d) for px, py in points]

    def touches(self, left: float, bottom: float, right: float, top: float) -> bool:
        """Whether any of its inside or rim lies in the upright rectangle."""
        if left > right or bottom > top:
            return False
        return _origin_distance(self.to_unit([(left, bottom), (right, bottom), (right, top), (left, top)])) <= 1.0


def drawn_by(points: Sequence[XY]) -> Ellipse | None:
    """The ellipse that a closed curve of cubic Bezier pieces draws, None where it draws something else.

    ``points`` (mm): the start, then two handles and an end for each piece, the last end being the start.
    At least four pieces, once or more around. Every piece must stay within 0.01 mm + 0.001 of the larger
    radius of the ellipse, measured in its unit frame, the larger radius being the scale (never too kind).
    """
    anchors = points[0:-1:3]
    if len(anchors) < LEAST_PIECES:
        return None
    even = _through_even(anchors)
    if even is not None and _follows(even, points):
        return even
    fitted = _least_squares([*anchors, *_middles(points)])
    return fitted if fitted is not None and _follows(fitted, points) else None


def _through_even(anchors: Sequence[XY]) -> Ellipse | None:
    """The ellipse through points at even steps of t: the mean and the first harmonic of the points."""
    count = len(anchors)
    x = fsum(point[0] for point in anchors) / count
    y = fsum(point[1] for point in anchors) / count
    ux = uy = vx = vy = 0.0
    for (px, py), (c, s) in zip(anchors, _steps(count), strict=True):
        ux += px * c
        uy += py * c
        vx += px * s
        vy += py * s
    return _sound(Ellipse(x, y, ux, uy, vx, vy))


@lru_cache(maxsize=64)
def _steps(count: int) -> tuple[XY, ...]:
    """2/count times cosine and sine of ``count`` even steps around."""
    return tuple(
        (2 / count * cos(2 * pi * step / count), 2 / count * sin(2 * pi * step / count)) for step in range(count)
    )


def _sound(ellipse: Ellipse) -> Ellipse | None:
    """The ellipse, None where it is flat or not finite."""
    ux, uy, vx, vy = ellipse[2:]
    size = ux * ux + uy * uy + vx * vx + vy * vy
    return ellipse if 1e-18 < size < inf and abs(ux * vy - uy * vx) > 1e-6 * size else None


def _middles(points: Sequence[XY]) -> list[XY]:
    """The point at half of each piece."""
    return [
        tuple((p[k] + 3 * q[k] + 3 * r[k] + s[k]) / 8 for k in (0, 1))  # type: ignore[misc]
        for p, q, r, s in zip(points[0:-1:3], points[1::3], points[2::3], points[3::3], strict=True)
    ]


def _follows(ellipse: Ellipse, points: Sequence[XY]) -> bool:
    """Whether the whole curve stays on ``ellipse`` and goes all the way around it."""
    stray = STRAY_SHARE + STRAY / ellipse.axes()[0]
    low, high = max(0.0, 1.0 - stray) ** 2, (1.0 + stray) ** 2
    unit = ellipse.to_unit(points)
    turn = 0.0
    ends = zip(unit[0:-1:3], unit[1::3], unit[2::3], unit[3::3], strict=True)
    for (px, py), (qx, qy), (rx, ry), (sx, sy) in ends:
        if not low <= sx * sx + sy * sy <= high:
            return False
        for a, b, c, d in BLEND:
            x = a * px + b * qx + c * rx + d * sx
            y = a * py + b * qy + c * ry + d * sy
            if not low <= x * x + y * y <= high:
                return False
        turn += atan2(px * sy - py * sx, px * sx + py * sy)
    return abs(turn) > 2 * pi - 0.1


def _least_squares(points: Sequence[XY]) -> Ellipse | None:
    """The conic A xx + B xy + C yy + D x + E y = 1 nearest to ``points``, where it is an ellipse.

    The points are moved to their mean and brought to size 1 first, so that the mean is inside.
    """
    count = len(points)
    mx, my = fsum(p[0] for p in points) / count, fsum(p[1] for p in points) / count
    size = sqrt(fsum((px - mx) ** 2 + (py - my) ** 2 for px, py in points) / count)
    if not 1e-9 < size < inf:
        return None
    near = [((px - mx) / size, (py - my) / size) for px, py in points]
    rows = [(x * x, x * y, y * y, x, y) for x, y in near]
    normal = [[fsum(row[i] * row[j] for row in rows) for j in range(5)] for i in range(5)]
    solution = _solved(normal, [fsum(row[i] for row in rows) for i in range(5)])
    conic = None if solution is None else _from_conic(solution)
    if conic is None:
        return None
    x, y, *halves = conic
    ux, uy, vx, vy = (half * size for half in halves)
    return _sound(Ellipse(mx + x * size, my + y * size, ux, uy, vx, vy))


def _from_conic(conic: Sequence[float]) -> Ellipse | None:
    """The ellipse A xx + B xy + C yy + D x + E y = 1, None where the conic is another kind.

    Its centre is where both derivatives vanish; there the form is A xx + B xy + C yy = k, and the half
    axes are sqrt(k / eigenvalue).
    """
    a, b, c, d, e = conic
    determinant = 4.0 * a * c - b * b
    if determinant <= 1e-12:
        return None
    x, y = (b * e - 2.0 * c * d) / determinant, (b * d - 2.0 * a * e) / determinant
    k = 1.0 - (d * x + e * y) / 2.0
    spread = hypot(a - c, b)
    low, high = (a + c - spread) / 2.0, (a + c + spread) / 2.0
    if k <= 0.0 or low <= 0.0:
        return None
    turn = atan2(-b, c - a) / 2.0  # the long axis goes with the small eigenvalue
    long, short = sqrt(k / low), sqrt(k / high)
    return Ellipse(x, y, long * cos(turn), long * sin(turn), -short * sin(turn), short * cos(turn))


def _solved(matrix: list[list[float]], right: list[float]) -> list[float] | None:
    """The solution of a small linear system by elimination with pivots, None where it is singular."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    count = len(rows)
    for step in range(count):
        pivot = max(range(step, count), key=lambda row: abs(rows[row][step]))
        rows[step], rows[pivot] = rows[pivot], rows[step]
        if not abs(rows[step][step]) > 1e-12:
            return None
        for row in range(step + 1, count):
            factor = rows[row][step] / rows[step][step]
            rows[row] = [value - factor * above for value, above in zip(rows[row], rows[step], strict=True)]
    found = [0.0] * count
    for step in reversed(range(count)):
        rest = fsum(rows[step][column] * found[column] for column in range(step + 1, count))
        found[step] = (rows[step][count] - rest) / rows[step][step]
    return found


def _origin_distance(corners: Sequence[XY]) -> float:
    """Distance from the origin to a convex polygon, 0 where the origin is in it."""
    turns, nearest = [], inf
    for (px, py), (qx, qy) in zip(corners, [*corners[1:], corners[0]], strict=True):
        dx, dy = qx - px, qy - py
        square = dx * dx + dy * dy
        share = min(1.0, max(0.0, -(px * dx + py * dy) / square)) if square > 0.0 else 0.0
        nearest = min(nearest, hypot(px + share * dx, py + share * dy))
        turns.append(px * qy - py * qx)
    inside = all(turn >= 0.0 for turn in turns) or all(turn <= 0.0 for turn in turns)
    return 0.0 if inside else nearest
