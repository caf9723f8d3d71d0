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
    c, s = cos(text.angle), sin(text.angle)
    low, high = -0.35 * text.height, 1.1 * text.height
    corners = ((start, low), (start + long, low), (start + long, high), (start, high))
    return _around([Point(text.at.x + a * c - b * s, text.at.y + a * s + b * c) for a, b in corners])


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """``shape`` moved by (dx, dy) mm."""
    if isinstance(shape, Line):
        start, end = shape.start, shape.end
        return Line(Point(start.x + dx, start.y + dy), Point(end.x + dx, end.y + dy), shape.ink, shape.data)
    if isinstance(shape, Text):
        at = Point(shape.at.x + dx, shape.at.y + dy)
        return Text(at, shape.height, shape.text, shape.align, shape.angle, shape.ink, shape.white, shape.spoken)
    if isinstance(shape, Oval):
        return replace(shape, centre=Point(shape.centre.x + dx, shape.centre.y + dy))
    points = tuple([Point(x + dx, y + dy) for x, y in shape.points])
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


def pieces(shape: Shape) -> Iterator[Box]:
    """Boxes that together cover what ``shape`` draws: one for each straight piece, else one for all."""
    if isinstance(shape, Path):
        points = shape.points + shape.points[:1] if shape.closed else shape.points
        for a, b in itertools.pairwise(points):
            yield (min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y))
    else:
        yield extent(shape)


def busy(shapes: Iterable[Shape], box: Box) -> list[Box]:
    """The boxes of what ``shapes`` draw inside ``box``, cut to it; outlines only, fills count whole."""
    found: list[Box] = []
    for shape in shapes:
        if isinstance(shape, Line | Path | Fill | Oval | Text) and touches(extent(shape), box):
            found.extend(
                (max(p[0], box[0]), max(p[1], box[1]), min(p[2], box[2]), min(p[3], box[3]))
                for p in pieces(shape)
                if touches(p, box)
            )
    return found


def _around(points: Iterable[Point]) -> Box:
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys), max(xs), max(ys))
