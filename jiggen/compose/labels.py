"""Marks turned into labels beside them: number, tape reading from the datum, millimetres, nothing on top of anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from jiggen.compose.bench import Bench
from jiggen.compose.lettering import draw_reading, reading, reading_width
from jiggen.compose.space import Box, Space
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.geometry import Point
from jiggen.plan.model import Mark
from jiggen.units import Tape, mm_text

LARGE, MEDIUM = 7.0, 5.0  # numbers and readings: large where marks stand far enough apart
SMALL = 0.5  # height of the millimetres against the reading's
GAP = 1.6
FRAME = 1.1  # paper between a number and its frame


@dataclass(frozen=True, slots=True)
class Place:
    """One way to letter a mark: x of number and reading (left ends), y of their middle, boxes taken."""

    number_x: float
    reading_x: float
    y: float
    boxes: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class Size:
    """Heights of a label's lettering: ``high`` of number and reading, the rest follows."""

    high: float

    @property
    def small(self) -> float:
        return self.high * SMALL

    @property
    def up(self) -> float:
        """What a label takes above its middle: half a stacked fraction."""
        return self.high * 0.84

    @property
    def down(self) -> float:
        """What it takes below its middle: half a fraction and the millimetres."""
        return self.high * 0.96 + self.small


def labels(bench: Bench, pen: Pen, space: Space) -> None:
    """Letter every mark of the sheet, top first; holes and outlines must stand in ``space`` already."""
    marks = sorted(bench.marks, key=lambda m: (-m.v, m.u))
    size = Size(LARGE if _roomy(bench, marks) else MEDIUM)
    for mark in marks:
        _label(bench, pen, space, mark, size)


def _roomy(bench: Bench, marks: Sequence[Mark]) -> bool:
    """Whether large lettering fits: rows 16 mm apart and, beside every outline, a large label in the face."""
    rows = sorted({round(mark.v, 1) for mark in marks})
    apart = min((b - a for a, b in pairwise(rows)), default=100.0)
    beside = min((bench.half - abs(o.u) - o.across / 2.0 for o in bench.outlines), default=bench.half - 8.0)
    return apart > 16.0 and beside > 28.0


def _label(bench: Bench, pen: Pen, space: Space, mark: Mark, size: Size) -> None:
    at = bench.place(mark.u, mark.v)
    found = reading(bench.job, bench.from_datum(mark))
    places = _places(bench, mark, at, found, size)
    chosen = min(places, key=lambda place: (_clash(space, place) > 0.0, _clash(space, place)))
    for box in chosen.boxes:
        space.take(box)
    pen.text(chosen.number_x + FRAME, chosen.y - size.high / 2.0, mark.label, size.high, ink=Ink.STRONG)
    wide = width(mark.label, size.high) + 2.0 * FRAME
    edge = size.high / 2.0 + FRAME
    pen.box(chosen.number_x, chosen.y - edge, chosen.number_x + wide, chosen.y + edge, Ink.TICK)
    draw_reading(pen, chosen.reading_x, chosen.y, found, size.high)
    pen.text(chosen.reading_x, chosen.y - size.down + 0.3, _exact(bench, mark), size.small)
    _leader(pen, mark, at, chosen)


def _exact(bench: Bench, mark: Mark) -> str:
    ends = f", ends +-{mm_text(hypot(*mark.slot))}" if any(mark.slot) else ""
    return f"{mm_text(bench.from_datum(mark))} mm{ends}".replace("+-", "±")


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


def _places(bench: Bench, mark: Mark, at: Point, found: Tape, size: Size) -> list[Place]:
    """Places to try, the best first: number left and reading right, all right, all left, beyond the edge, shifted."""
    left, right = _clear(bench, mark, at)
    wide = max(reading_width(found, size.high), width(_exact(bench, mark), size.small))
    number = width(mark.label, size.high) + 2.0 * FRAME
    total = number + 2.2 + wide
    face_left, face_right = bench.centre - bench.half, bench.centre + bench.half
    places: list[Place] = []
    for shift in (0.0, 5.0, -5.0, 9.0, -9.0, 13.0, -13.0, 18.0, -18.0, 24.0, -24.0):
        y = at.y + shift
        ways = [_joined(right, y, number, wide, size), _joined(left - total, y, number, wide, size)]
        if mark.u < -0.5:
            ways.reverse()
        if abs(mark.u) < 0.5 and shift == 0.0:
            ways.insert(0, _split(left - number, right, y, number, wide, size))
        ways.append(_joined(face_right + 3.0, y, number, wide, size))
        ways.append(_joined(face_left - 3.0 - total, y, number, wide, size))
        places.extend(way for way in ways if _inside(bench, way, face_left, face_right))
    return places or [_joined(right, at.y, number, wide, size)]


def _split(number_x: float, reading_x: float, y: float, number: float, wide: float, size: Size) -> Place:
    boxes = (
        Box(number_x, y - size.high / 2.0 - FRAME, number_x + number, y + size.high / 2.0 + FRAME),
        Box(reading_x, y - size.down, reading_x + wide, y + size.up),
    )
    return Place(number_x, reading_x, y, boxes)


def _joined(x: float, y: float, number: float, wide: float, size: Size) -> Place:
    box = Box(x, y - size.down, x + number + 2.2 + wide, y + size.up)
    return Place(x, x + number + 2.2, y, (box,))


def _inside(bench: Bench, place: Place, face_left: float, face_right: float) -> bool:
    """On the sheet, and no box across a fold."""
    for box in place.boxes:
        if box.left < bench.left + 0.5 or box.right > bench.right - 0.5:
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
