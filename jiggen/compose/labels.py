"""Marks turned into labels beside them: number, tape reading from the datum, millimetres, nothing on top of anything."""

from __future__ import annotations

from dataclasses import dataclass

from jiggen.compose.bench import Bench
from jiggen.compose.lettering import draw_reading, reading, reading_width
from jiggen.compose.space import Box, Space
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.geometry import Point
from jiggen.plan.model import Mark
from jiggen.units import Tape, mm_text

HIGH = 5.0  # numbers and readings
SMALL = 2.5  # millimetres
GAP = 1.6
UP, DOWN = 4.2, 7.6  # what a label takes above and below its middle


@dataclass(frozen=True, slots=True)
class Place:
    """One way to letter a mark: x of number and reading (left ends), y of their middle, boxes taken."""

    number_x: float
    reading_x: float
    y: float
    boxes: tuple[Box, ...]


def labels(bench: Bench, pen: Pen, space: Space) -> None:
    """Letter every mark of the sheet, top first; holes and outlines must stand in ``space`` already."""
    for mark in sorted(bench.marks, key=lambda m: (-m.v, m.u)):
        _label(bench, pen, space, mark)




def _label(bench: Bench, pen: Pen, space: Space, mark: Mark) -> None:
    at = bench.place(mark.u, mark.v)
    found = reading(bench.job, bench.from_datum(mark))
    places = _places(bench, mark, at, found)
    chosen = min(places, key=lambda place: (_clash(space, place) > 0.0, _clash(space, place)))
    for box in chosen.boxes:
        space.take(box)
    pen.text(chosen.number_x, chosen.y - HIGH / 2.0, mark.label, HIGH, ink=Ink.STRONG)
    draw_reading(pen, chosen.reading_x, chosen.y, found, HIGH)
    exact = f"{mm_text(bench.from_datum(mark))} mm"
    pen.text(chosen.reading_x, chosen.y - DOWN + 0.3, exact, SMALL)
    _leader(pen, mark, at, chosen)


def _clash(space: Space, place: Place) -> float:
    return sum(space.clash(box) for box in place.boxes)


def _leader(pen: Pen, mark: Mark, at: Point, chosen: Place) -> None:
    """A thin line from the hole to its number where that stands away from it."""
    box = chosen.boxes[0]
    right = box.left > at.x
    x = box.left - 0.4 if right else box.right + 0.4
    radius = max(mark.oval) / 2.0 + 2.0
    if abs(x - at.x) < radius + 2.5 and abs(chosen.y - at.y) < 1.0:
        return
    start = at.x + (radius if right else -radius)
    pen.line(start, at.y, x, chosen.y, Ink.HATCH)


def _places(bench: Bench, mark: Mark, at: Point, found: Tape) -> list[Place]:
    """Places to try, the best first: number left and reading right, all right, all left, beyond the edge, shifted."""
    left, right = _clear(bench, mark, at)
    wide = max(reading_width(found, HIGH), width(f"{mm_text(bench.from_datum(mark))} mm", SMALL))
    number = width(mark.label, HIGH)
    total = number + 2.2 + wide
    face_left, face_right = bench.centre - bench.half, bench.centre + bench.half
    places: list[Place] = []
    for shift in (0.0, 5.0, -5.0, 9.0, -9.0, 13.0, -13.0, 18.0, -18.0, 24.0, -24.0):
        y = at.y + shift
        ways = [_joined(right, y, number, wide), _joined(left - total, y, number, wide)]
        if mark.u < -0.5:
            ways.reverse()
        if abs(mark.u) < 0.5 and shift == 0.0:
            ways.insert(0, _split(left - number, right, y, number, wide))
        ways.append(_joined(face_right + 3.0, y, number, wide))
        ways.append(_joined(face_left - 3.0 - total, y, number, wide))
        places.extend(way for way in ways if _inside(bench, way, face_left, face_right))
    return places or [_joined(right, at.y, number, wide)]


def _split(number_x: float, reading_x: float, y: float, number: float, wide: float) -> Place:
    boxes = (
        Box(number_x, y - HIGH / 2.0 - 0.5, number_x + number, y + HIGH / 2.0 + 0.5),
        Box(reading_x, y - DOWN, reading_x + wide, y + UP),
    )
    return Place(number_x, reading_x, y, boxes)


def _joined(x: float, y: float, number: float, wide: float) -> Place:
    box = Box(x, y - DOWN, x + number + 2.2 + wide, y + UP)
    return Place(x, x + number + 2.2, y, (box,))


def _inside(bench: Bench, place: Place, face_left: float, face_right: float) -> bool:
    """On the sheet, and no box across a fold."""
    for box in place.boxes:
        if box.left < 0.5 or box.right > bench.width - 0.5:
            return False
        if box.left < face_left - 0.2 < box.right - 0.4 or box.left + 0.4 < face_right + 0.2 < box.right:
            return False
    return True


def _clear(bench: Bench, mark: Mark, at: Point) -> tuple[float, float]:
    """x of the nearest free paper left and right of a mark: beyond its circle, or its fitting's outline."""
    radius = max(mark.oval) / 2.0 + 2.0
    left, right = at.x - radius - GAP, at.x + radius + GAP
    for outline in bench.outlines:
        if abs(mark.u - outline.u) < outline.across / 2.0 and abs(mark.v - outline.v) < outline.up / 2.0:
            x = bench.centre + outline.u
            left = min(left, x - outline.across / 2.0 - GAP)
            right = max(right, x + outline.across / 2.0 + GAP)
    return left, right
