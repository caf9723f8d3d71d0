"""A shape turned into the box around it, and into the same shape moved."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import replace
from math import cos, hypot, sin

from jiggen.drawing import lettering
from jiggen.drawing.scene import Fill, Line, Oval, Path, Shape, Text
from jiggen.geometry import Point

Box = tuple[float, float, float, float]
Placed = tuple[Shape, Box]
"""A shape and its box."""

_new = tuple.__new__  # a Point straight from its pair, as pages have thousands of them


def extent(shape: Shape) -> Box:
    """Left, bottom, right, top of ``shape``, without the width of its lines; mm."""
    if isinstance(shape, Line):
        (x1, y1), (x2, y2) = shape.start, shape.end
        return (min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))
    if isinstance(shape, Oval):
        return oval_extent(shape)
    if isinstance(shape, Text):
        return text_extent(shape)
    return _around(shape.points)


def oval_extent(oval: Oval) -> Box:
    """The box that an ellipse touches on all four sides: half width sqrt((rx cos)^2 + (ry sin)^2)."""
    c, s = cos(oval.angle), sin(oval.angle)
    across, up = hypot(oval.rx * c, oval.ry * s), hypot(oval.rx * s, oval.ry * c)
    x, y = oval.centre
    return (x - across, y - up, x + across, y + up)


def text_extent(text: Text) -> Box:
    """The box around a line of lettering, room below the base line for a comma or a g included."""
    long = lettering.width(text.text, text.height)
    start = {"left": 0.0, "middle": -long / 2, "right": -long}[text.align]
    low, high = -0.35 * text.height, 1.1 * text.height
    if text.angle == 0.0:
        x, y = text.at
        return (x + start, y + low, x + (start + long), y + high)
    c, s = cos(text.angle), sin(text.angle)
    corners = ((start, low), (start + long, low), (start + long, high), (start, high))
    return _around([Point(text.at.x + a * c - b * s, text.at.y + a * s + b * c) for a, b in corners])


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """``shape`` moved by (dx, dy) mm."""
    if isinstance(shape, Line):
        (x1, y1), (x2, y2) = shape.start, shape.end
        return Line(_new(Point, (x1 + dx, y1 + dy)), _new(Point, (x2 + dx, y2 + dy)), shape.ink, shape.data)
    if isinstance(shape, Text):
        at = Point(shape.at.x + dx, shape.at.y + dy)
        return Text(at, shape.height, shape.text, shape.align, shape.angle, shape.ink, shape.white, shape.spoken)
    if isinstance(shape, Oval):
        return replace(shape, centre=Point(shape.centre.x + dx, shape.centre.y + dy))
    points = tuple([_new(Point, (x + dx, y + dy)) for x, y in shape.points])
    return Path(points, shape.ink, shape.closed, shape.data) if isinstance(shape, Path) else Fill(points, shape.ink)


def touches(first: Box, second: Box) -> bool:
    """Whether two boxes have a point in common, their rims included."""
    return first[0] <= second[2] and second[0] <= first[2] and first[1] <= second[3] and second[1] <= first[3]


def overlaps(first: Box, second: Box, least: float = 1e-6) -> bool:
    """Whether two boxes share more than a rim: at least ``least`` mm both ways."""
    return (
        min(first[2], second[2]) - max(first[0], second[0]) > least
        and min(first[3], second[3]) - max(first[1], second[1]) > least
    )


def pieces(path: Path) -> Iterator[Box]:
    """Boxes that together cover what ``path`` draws: one for each straight piece."""
    points = path.points + path.points[:1] if path.closed else path.points
    for a, b in itertools.pairwise(points):
        yield (min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y))


def within(placed: Iterable[Placed], box: Box) -> list[Placed]:
    """Those of many shapes whose boxes touch ``box``, its rim included."""
    left, bottom, right, top = box  # compared here, as ``touches`` does: every page asks it of every shape of its sheet
    return [one for one in placed if (b := one[1])[0] <= right and left <= b[2] and b[1] <= top and bottom <= b[3]]


def busy(placed: Iterable[Placed], box: Box) -> list[Box]:
    """The boxes of what shapes draw inside ``box``, cut to it; outlines only, fills count whole."""
    return [
        (max(p[0], box[0]), max(p[1], box[1]), min(p[2], box[2]), min(p[3], box[3]))
        for shape, around in within(placed, box)
        for p in (pieces(shape) if isinstance(shape, Path) else (around,))
        if touches(p, box)
    ]


def _around(points: Iterable[Point]) -> Box:
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys), max(xs), max(ys))
