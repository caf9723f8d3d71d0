"""Parts that are not put together (the comb, the spheres' discs) turned into a picture of each, to one scale."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from jiggen.drawing.scene import Ink, Pen
from jiggen.geometry import Point
from jiggen.plan.jigs.model import Part
from jiggen.shapes.outline import Circle

SCALES = (1.0, 1.25, 1.6, 2.0, 2.5, 4.0, 5.0, 8.0, 10.0)  # 1 to this
GAP = 6.0  # between two parts on the page, mm
LEAST = 1.2  # the lowest lettering that is drawn, mm
SIDES = 72

Box = tuple[float, float, float, float]


def loose(pen: Pen, parts: Sequence[Part], room: Box) -> None:
    """Draws ``parts`` from the top of ``room`` (left, bottom, right, top) in rows, each with its number and all at one scale."""
    scale = next((one for one in SCALES if _placed(parts, room, one) is not None), SCALES[-1])
    for part, at in zip(parts, _placed(parts, room, scale) or (), strict=False):
        _part(pen, part, at, scale)
    pen.text(room[0], room[1] - 4.0, f"drawn at 1 : {scale:g}", 2.8)


def _placed(parts: Sequence[Part], room: Box, scale: float) -> list[Point] | None:
    """Where each part's own (0, 0) goes, in rows from the top; None where they need more room."""
    left, bottom, right, top = room
    places: list[Point] = []
    x, row = left, 0.0
    for part in parts:
        low_x, low_y, high_x, high_y = (edge / scale for edge in part.box())
        wide, high = high_x - low_x + GAP, high_y - low_y + GAP
        if x > left and x + wide > right:
            x, top, row = left, top - row, 0.0
        if wide > right - left or top - high < bottom:
            return None
        places.append(Point(x + GAP - low_x, top - high_y))
        x, row = x + wide, max(row, high)
    return places


def _part(pen: Pen, part: Part, at: Point, scale: float) -> None:
    rim = Circle(part.disc / 2.0).drawn(SIDES) if part.disc else part.outline
    pen.path(_scaled(rim, at, scale), Ink.DRILL, closed=True)
    for slot in part.slots:
        pen.path(_scaled(slot, at, scale), Ink.DRILL, closed=True)
    for label in part.labels:
        high = label.height / scale
        if high >= LEAST:
            place = _scaled((label.at,), at, scale)[0]
            pen.text(place.x, place.y, label.text, high, label.align, label.angle)
    left, _, _, top = part.box()
    number = part.id.rpartition("/")[2]
    pen.text(at.x + left / scale - 1.5, at.y + top / scale - 4.0, number, 4.0, "right", ink=Ink.STRONG)


def _scaled(points: Iterable[Point], at: Point, scale: float) -> list[Point]:
    return [Point(at.x + x / scale, at.y + y / scale) for x, y in points]
