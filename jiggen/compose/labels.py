"""Marks turned into labels beside them: number, tape reading from the datum, millimetres, nothing on top of anything."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, hypot, inf

from jiggen.compose.bench import Bench
from jiggen.compose.lettering import draw_reading, reading, reading_width
from jiggen.compose.space import Box, Space
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.geometry import Point
from jiggen.plan.model import Mark, Outline
from jiggen.units import Tape, mm_text

LARGE, MEDIUM, LEAST = 7.0, 5.0, 4.0  # numbers and readings: large where marks stand far enough apart
SMALL = 0.5  # height of the millimetres against the reading's
GAP = 1.6
FRAME = 1.1  # paper between a number and its frame
BESIDE = 0.9  # paper left and right of a label, and between it and a fold
SIGN = 1.2  # more of it where a reading ends in a sign, which beside another line would read as part of that
NEAR = (0.0, -1.5, 1.5, -3.0, 3.0)  # the same of a label on both sides of its mark, which reads best
ROW = 8.0  # marks nearer to each other in height than this stand in one row
SHIFTS = (0.0, 5.0, -5.0, 9.0, -9.0, 13.0, -13.0, 18.0, -18.0, 24.0, -24.0)  # of a label up or down from its mark
FINE = tuple(
    sign * 0.5 * step for step in range(27) for sign in (1.0, -1.0)
)  # the same beside a join, where room is scarce
NEAR_JOIN = 30.0  # farther from a mark than this no join is in the way of its label, mm
CROWDED = 24  # marks of a sheet that find no free place, after which the rest of it is lettered without a search
CROSS = 3.4  # of a mark's cross beyond its hole, with paper
APART = 3.6  # between the frame and the reading beside it


@dataclass(frozen=True, slots=True)
class Place:
    """One way to letter a mark: left end and middle of its number's frame and of its reading, boxes taken."""

    number: Point
    reading: Point
    boxes: tuple[Box, ...]


Spare = tuple[float, float]
"""By how much a number and a reading are narrower than the widest of their column, mm."""


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


def labels(bench: Bench, pen: Pen, space: Space, joins: Sequence[Box] = ()) -> None:
    """Letter every mark of the sheet, top first; holes, outlines and ``joins`` must stand in ``space`` already.

    ``joins``: thin boxes along the joins between pages; a label stands on its mark's own page wherever it can.
    """
    marks = sorted(bench.marks, key=lambda m: (-m.v, m.u))
    size = Size(LARGE if _roomy(bench, marks) else MEDIUM)
    rows = sorted(mark.v for mark in marks)
    crowded, spare = 0, _spare(bench, marks, size)
    for mark in marks:
        alone = bisect_right(rows, mark.v + ROW) - bisect_left(rows, mark.v - ROW) == 1
        wanted = (mark, alone, spare[mark.id])
        chosen = _chosen(bench, (space, joins), wanted, size) if crowded < CROWDED else None
        crowded += chosen is None or not _free(space, chosen[1])
        _label(bench, pen, space, mark, chosen or (size, _at_worst(bench, mark, size)))


def _spare(bench: Bench, marks: Sequence[Mark], size: Size) -> dict[str, Spare]:
    """By how much the widest number and reading of each mark's column (all cables, the same hole of the piece) are wider
    than its own: room for them is wanted too, so that a column's labels stand the same way round."""
    columns: dict[str, dict[str, Spare]] = {}
    for mark in marks:
        own = _framed(mark, size), _wide(bench, mark, reading(bench.job, bench.from_datum(mark)), size)
        columns.setdefault(re.sub("[0-9]", "", mark.label), {})[mark.id] = own
    found: dict[str, Spare] = {}
    for column in columns.values():
        number, wide = (max(own[index] for own in column.values()) for index in (0, 1))
        found |= {name: (number - own[0], wide - own[1]) for name, own in column.items()}
    return found


def _grown(place: Place, at: Point, spare: Spare, share: float) -> Place:
    """A place as wide as the widest of its column, away from the mark; ``share``: of what is spare, as its size is less."""
    number, wide = spare[0] * share, spare[1] * share
    by = max(number, wide) if place.number.y != place.reading.y else number + wide
    sides = [box.left > at.x for box in place.boxes]
    ways = [number, wide] if sides == [False, True] else [by] * len(sides)
    grown = (
        Box(b.left, b.bottom, b.right + way, b.top) if right else Box(b.left - way, b.bottom, b.right, b.top)
        for b, right, way in zip(place.boxes, sides, ways, strict=True)
    )
    return Place(place.number, place.reading, tuple(grown))


def _roomy(bench: Bench, marks: Sequence[Mark]) -> bool:
    """Whether large lettering fits: rows 16 mm apart and, beside every outline, a large label in the face."""
    rows = sorted({round(mark.v, 1) for mark in marks})
    apart = min((b - a for a, b in pairwise(rows)), default=100.0)
    beside = min((bench.half - abs(o.u) - o.across / 2.0 for o in bench.outlines), default=bench.half - 8.0)
    return apart > 16.0 and beside > 28.0


def _label(bench: Bench, pen: Pen, space: Space, mark: Mark, place: tuple[Size, Place]) -> None:
    at = bench.place(mark.u, mark.v)
    found = reading(bench.job, bench.from_datum(mark))
    size, chosen = place
    for box in chosen.boxes:
        space.take(Box(box.left - BESIDE, box.bottom, box.right + BESIDE, box.top))
    x, y = chosen.number
    told = f"{mark.label} "  # a search must not run it together with the reading beside it
    pen.text(x + FRAME, y - size.high / 2.0, mark.label, size.high, ink=Ink.STRONG, spoken=told)
    edge = size.high / 2.0 + FRAME
    pen.box(x, y - edge, x + _framed(mark, size), y + edge, Ink.TICK)
    draw_reading(pen, *chosen.reading, found, size.high)
    pen.text(chosen.reading.x, chosen.reading.y - size.down + 0.3, _exact(bench, mark), size.small)
    _leader(pen, mark, at, min(chosen.boxes, key=lambda box: max(box.left - at.x, at.x - box.right)), y)


def _chosen(
    bench: Bench, room: tuple[Space, Sequence[Box]], wanted: tuple[Mark, bool, Spare], size: Size
) -> tuple[Size, Place] | None:
    """The first free place on the mark's own page, smaller where none is free as large, then by the least shift beside
    the join in the way; then beyond the join; else the one that clashes least of the largest that has any, and None where
    there is none. ``wanted``: the mark, whether it is alone in its row, and how much wider its column's widest label is:
    where that has room too is looked first."""
    (space, joins), (mark, alone, spare) = room, wanted
    ends = bench.centre - bench.half, bench.centre + bench.half
    at, found = bench.place(mark.u, mark.v), reading(bench.job, bench.from_datum(mark))
    sizes = [size, *(Size(high) for high in (MEDIUM, LEAST) if high < size.high)]
    for one in sizes:
        for alike in (True, False) if max(spare) > 0.0 else (False,):
            for place in _places(bench, mark, (at, alone), found, one):
                grown = _grown(place, at, spare, one.high / size.high) if alike else place
                if _free(space, grown) and _one_page(at, grown, joins) and (not alike or _inside(bench, grown, *ends)):
                    return one, place
    for one in sizes if any(_reaches(join, at) for join in joins) else ():
        near = _places(bench, mark, (at, alone), found, one, FINE, True)
        own = next((p for p in near if _free(space, p) and _one_page(at, p, joins)), None)
        if own:
            return one, own
    for one, under in (
        (one, under) for under in (True, False) for one in sizes
    ):  # neighbours stand close on both sides
        for place in _over_under(bench, mark, at, found, one, under):
            if _free(space, place) and _one_page(at, place, joins):
                return one, place
    crowded: tuple[Size, Place] | None = None
    for one in sizes:
        places = list(_places(bench, mark, (at, alone), found, one))
        whole = [place for place in places if _whole(place, joins)]
        if places := whole or places:  # cut by a join last of all
            best = _best(space, places)
            if _free(space, best):
                return one, best
            crowded = crowded or (one, best)
    return crowded


def _at_worst(bench: Bench, mark: Mark, size: Size) -> Place:
    """Under its number beside the mark, whatever is there already."""
    at, found = bench.place(mark.u, mark.v), reading(bench.job, bench.from_datum(mark))
    left, right = _clear(bench, mark, at)
    number, wide = _framed(mark, size), _wide(bench, mark, found, size)
    x = left - max(number, wide) if _side(bench, mark) < -0.5 else right
    return _stacked(x, at.y, number, wide, size)


def _reaches(join: Box, at: Point) -> bool:
    """Whether a join is near enough to a mark to be in the way of its label."""
    return (
        join.left - NEAR_JOIN < at.x < join.right + NEAR_JOIN and join.bottom - NEAR_JOIN < at.y < join.top + NEAR_JOIN
    )


def _free(space: Space, place: Place) -> bool:
    return all(space.free(box) for box in place.boxes)


def _one_page(at: Point, place: Place, joins: Sequence[Box]) -> bool:
    """Whether no join, level or upright, lies between a mark and any part of its label."""
    lefts, bottoms, rights, tops = zip(*place.boxes, strict=True)
    left, right = min(at.x, *lefts), max(at.x, *rights)
    low, high = min(at.y, *bottoms), max(at.y, *tops)
    for x, y, u, v in joins:
        if low < (y + v) / 2.0 < high if u - x > v - y else left < (x + u) / 2.0 < right:
            return False
    return True


def _whole(place: Place, joins: Sequence[Box]) -> bool:
    """Whether no join cuts a label."""
    return not any(box.overlap(join) for box in place.boxes for join in joins)


def _over_under(bench: Bench, mark: Mark, at: Point, found: Tape, size: Size, under: bool) -> Iterator[Place]:
    """Places on either side of the line through a mark, ``under`` it and its outline or over them, the nearest first."""
    around = [bench.place(o.u, o.v).y + way * o.up / 2.0 for o in bench.outlines if _within(mark, o) for way in (-1, 1)]
    arm = max(mark.oval) / 2.0 + hypot(*mark.slot) + CROSS
    low, high = min([at.y - arm, *around]) - BESIDE, max([at.y + arm, *around]) + BESIDE
    number, wide = _framed(mark, size), _wide(bench, mark, found, size)
    edge, tall = size.high / 2.0 + FRAME, max(number, wide)
    x, total = at.x + 2.0 * BESIDE, number + APART + wide
    for step in range(7):
        y = low - size.up - step if under else high + size.down + step
        top = low - edge - step if under else high + step + edge + 1.0 + size.up + size.down
        for right in (True, False):
            yield _joined(x if right else at.x - 2.0 * BESIDE - total, y, number, wide, size)
            yield _stacked(x if right else at.x - 2.0 * BESIDE - tall, top, number, wide, size)


def _wide(bench: Bench, mark: Mark, found: Tape, size: Size) -> float:
    """Width of a reading with its sign and what keeps that off other lines, or of the millimetres under it."""
    told = reading_width(found, size.high) + (SIGN if found.signed != found.text else 0.0)
    return max(told, width(_exact(bench, mark), size.small))


def _framed(mark: Mark, size: Size) -> float:
    return width(mark.label, size.high) + 2.0 * FRAME


def _exact(bench: Bench, mark: Mark) -> str:
    return f"{mm_text(bench.from_datum(mark))} mm"


def _best(space: Space, places: Sequence[Place]) -> Place:
    """The first place that is free, else the one that clashes least."""
    least, best = inf, places[0]
    for place in places:
        area = fsum(space.clash(box, least) for box in place.boxes)
        if area == 0.0:
            return place
        if area < least:
            least, best = area, place
    return best


def _leader(pen: Pen, mark: Mark, at: Point, box: Box, y: float) -> None:
    """A thin line from the hole to its label where that stands away from it; ``box``: the nearest part of it."""
    right = box.left > at.x
    x = box.left - 0.4 if right else box.right + 0.4
    radius = max(mark.oval) / 2.0 + 2.0
    if abs(x - at.x) < radius + 2.5 and abs(y - at.y) < 1.0:
        return
    if (x < at.x + radius if right else x > at.x - radius) and not box.bottom < at.y < box.top:
        return  # right over it or under it
    pen.line(at.x + (radius if right else -radius), at.y, x, y, Ink.HATCH)


def _places(
    bench: Bench,
    mark: Mark,
    stands: tuple[Point, bool],
    found: Tape,
    size: Size,
    shifts: Sequence[float] = SHIFTS,
    both: bool = False,
) -> Iterator[Place]:
    """Places to try, the best first, always on the mark's own side of its neighbours: number left and reading right,
    both beside the mark, stacked, beyond the face's edge, then shifted up and down. A mark that stands alone in its row
    may have its label on the other side where its own side has no room at all, or anyhow (``both``). ``stands``: where
    the mark is, and whether alone."""
    at, alone = stands
    left, right = _clear(bench, mark, at)
    wide = _wide(bench, mark, found, size)
    number = _framed(mark, size)
    total, tall = number + APART + wide, max(number, wide)
    face_left, face_right = bench.centre - bench.half, bench.centre + bench.half
    side = _side(bench, mark)
    own = (1,) if side > 0.5 else (-1,) if side < -0.5 else (1, -1)
    tried = False
    for sides, shift in ((sides, shift) for sides in (own, tuple(-side for side in own)) for shift in shifts):
        if sides != own and ((tried and not both) or not alone):
            break
        y = at.y + shift
        ways: list[Place] = []
        if len(sides) == 2 and shift == 0.0:
            ways += [_split(left - number, right, y + by, number, wide, size) for by in NEAR]
        ways += [_joined(right if side > 0 else left - total, y, number, wide, size) for side in sides]
        inward = len(sides) == 1 and sides[0] * mark.u < -0.5
        if inward:
            ways += [_parted(bench, right if side > 0 else left - total, y, number, wide, size) for side in sides]
        ways += [_stacked(right if side > 0 else left - tall, y, number, wide, size) for side in sides]
        if inward:
            ways += [_beyond(bench, side, (left, right), y, number, wide, size) for side in sides]
        ways += [
            _joined(face_right + 3.0 if side > 0 else face_left - 3.0 - total, y, number, wide, size) for side in sides
        ]
        if inward:  # toward the face's centre line: not across it, if that can be
            ways.sort(key=lambda way: any(box.left < bench.centre < box.right for box in way.boxes))
        for way in ways:
            if _inside(bench, way, face_left, face_right):
                tried = tried or sides == own
                yield way


def _side(bench: Bench, mark: Mark) -> float:
    """How far a mark lies to the right of what it is labelled away from: of the middle of its piece where another hole of
    that stands in its row, so that no leader runs through the other, else of the face's centre line, mm."""
    around = [outline for outline in bench.outlines if _within(mark, outline)]
    row = [other for other in bench.marks if abs(other.v - mark.v) < ROW] if around else []
    for outline in around:
        own = (other for other in row if _within(other, outline))
        if any((other.u - outline.u) * (mark.u - outline.u) < 0.0 for other in own):
            return mark.u - outline.u
    return mark.u


def _within(mark: Mark, outline: Outline) -> bool:
    return abs(mark.u - outline.u) < outline.across / 2.0 and abs(mark.v - outline.v) < outline.up / 2.0


def _split(number_x: float, reading_x: float, y: float, number: float, wide: float, size: Size) -> Place:
    edge = size.high / 2.0 + FRAME
    boxes = (
        Box(number_x, y - edge, number_x + number, y + edge),
        Box(reading_x, y - size.down, reading_x + wide, y + size.up),
    )
    return Place(Point(number_x, y), Point(reading_x, y), boxes)


def _joined(x: float, y: float, number: float, wide: float, size: Size) -> Place:
    box = Box(x, y - size.down, x + number + APART + wide, y + size.up)
    return Place(Point(x, y), Point(x + number + APART, y), (box,))


def _parted(bench: Bench, x: float, y: float, number: float, wide: float, size: Size) -> Place:
    """Number and reading beside each other, the face's centre line between them."""
    if x + number < bench.centre - BESIDE:
        return _split(x, max(x + number + APART, bench.centre + 2.0 * BESIDE), y, number, wide, size)
    reading_x = x + number + APART
    return _split(min(x, bench.centre - 2.0 * BESIDE - number), reading_x, y, number, wide, size)


def _beyond(
    bench: Bench, side: int, clear: tuple[float, float], y: float, number: float, wide: float, size: Size
) -> Place:
    """Number and reading beside each other, both beyond the face's centre line."""
    left, right = clear
    if side > 0:
        return _joined(max(right, bench.centre + 2.0 * BESIDE), y, number, wide, size)
    return _joined(min(left, bench.centre - 2.0 * BESIDE) - number - APART - wide, y, number, wide, size)


def _stacked(x: float, y: float, number: float, wide: float, size: Size) -> Place:
    """The number over its reading, for narrow room."""
    edge = size.high / 2.0 + FRAME
    below = y - edge - 1.0 - size.up
    box = Box(x, below - size.down, x + max(number, wide), y + edge)
    return Place(Point(x, y), Point(x, below), (box,))


def _inside(bench: Bench, place: Place, face_left: float, face_right: float) -> bool:
    """On the sheet, and no box across a fold."""
    for box in place.boxes:
        if box.left < bench.left + 0.5 or box.right > bench.right - 0.5:
            return False
        if any(box.left - BESIDE < fold < box.right + BESIDE for fold in (face_left, face_right)):
            return False
    return True


def _clear(bench: Bench, mark: Mark, at: Point) -> tuple[float, float]:
    """x of the nearest free paper left and right of a mark: beyond its circle, or its fitting's outline."""
    radius = max(mark.oval) / 2.0 + 2.0
    left, right = at.x - radius - GAP, at.x + radius + GAP
    for outline in bench.outlines:
        if _within(mark, outline):
            x = bench.centre + outline.u
            left = min(left, x - outline.across / 2.0 - GAP)
            right = max(right, x + outline.across / 2.0 + GAP)
    return left, right
