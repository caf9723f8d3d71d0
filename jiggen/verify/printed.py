"""What a corrected file shows turned into what its printer makes of it, to be measured against the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import atan2, cos, hypot, pi, sin, sqrt

from jiggen.geometry import Point
from jiggen.readback.model import Circle, Found, Segment
from jiggen.sheets.correction import Correction, Matrix, moved


def printed(found: Found, correction: Correction) -> Found:
    """``found`` as the printer that ``correction`` was measured on prints it: every circle and line moved.

    Page frame (mm, y up), each page about its own middle. What was read from a file without correction,
    such as its scale page, is moved too and no longer true. A skew leans the window that cuts a mark at a
    join, and readers know upright clips only: under a skew a mark that is on two pages counts as cut on both.
    """
    by_page = [correction.printed(box.width, box.height) for box in found.pages]
    twice = _on_two_pages(found.circles) if correction.skew else frozenset()
    return replace(
        found,
        circles=tuple(_cut(_circle(circle, by_page[circle.page]), twice) for circle in found.circles),
        segments=_segments(found.segments, by_page),
    )


def _on_two_pages(circles: Sequence[Circle]) -> frozenset[str]:
    """The marks that are drawn on more than one page."""
    pages: dict[str, set[int]] = {}
    for circle in circles:
        if "mark" in circle.data:
            pages.setdefault(circle.data["mark"], set()).add(circle.page)
    return frozenset(mark for mark, on in pages.items() if len(on) > 1)


def _cut(circle: Circle, marks: frozenset[str]) -> Circle:
    """``circle``, said to be cut by the clip where it is one of ``marks``."""
    if circle.data.get("mark") not in marks:
        return circle
    return replace(circle, data={**circle.data, "clipped": "yes"})


def _segments(segments: Sequence[Segment], by_page: Sequence[Matrix]) -> tuple[Segment, ...]:
    made = []
    for one in segments:
        start, end = (moved(by_page[one.page], Point(*at)) for at in ((one.x1, one.y1), (one.x2, one.y2)))
        made.append(replace(one, x1=start.x, y1=start.y, x2=end.x, y2=end.y))
    return tuple(made)


def _circle(circle: Circle, matrix: Matrix) -> Circle:
    """An ellipse under an affine map: its half axes as vectors, mapped, are two conjugate half diameters p, q;
    the point of the rim furthest out is p cos t + q sin t where tan 2t = 2 p.q / (p.p - q.q)."""
    a, b, c, d, _, _ = matrix
    x, y = moved(matrix, Point(circle.x, circle.y))
    u, v = cos(circle.angle), sin(circle.angle)
    px, py = circle.rx * (a * u + c * v), circle.rx * (b * u + d * v)
    qx, qy = circle.ry * (c * u - a * v), circle.ry * (d * u - b * v)
    t = atan2(2.0 * (px * qx + py * qy), px**2 + py**2 - qx**2 - qy**2) / 2.0
    long_x, long_y = px * cos(t) + qx * sin(t), py * cos(t) + qy * sin(t)
    long = hypot(long_x, long_y)
    short = sqrt(max(px**2 + py**2 + qx**2 + qy**2 - long**2, 0.0))
    angle = (atan2(long_y, long_x) + pi / 2.0) % pi - pi / 2.0
    return replace(circle, x=x, y=y, rx=long, ry=short, angle=angle if long - short > 1e-9 else 0.0)
