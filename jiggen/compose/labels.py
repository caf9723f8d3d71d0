"""Marks turned into labels beside them: number, tape reading from the datum, millimetres, nothing on top of anything."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import fsum, inf

from jiggen.compose.bench import Bench
from jiggen.compose.lettering import draw_reading, reading
from jiggen.compose.space import Box, Space
from jiggen.compose.stands import (
    BESIDE,
    FINE,
    FRAME,
    LARGE,
    LEAST,
    MEDIUM,
    ROW,
    Place,
    Size,
    beside,
    clear_of,
    exact,
    in_piece,
    inside,
    led,
    number_width,
    over_under,
    pieces,
    shares,
    side_of,
    stacked,
    told_width,
)
from jiggen.drawing.scene import Ink, Pen
from jiggen.geometry import Point
from jiggen.plan.model import Mark

CROWDED = 8  # marks of a sheet that find no free place, after which the rest of it is lettered without a search
NEAR_JOIN = 30.0  # farther from a mark than this no join is in the way of its label, mm
Spare = tuple[float, float]
"""By how much a number and a reading are narrower than the widest of their column, mm."""


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
        own = number_width(mark, size), told_width(bench, mark, reading(bench.job, bench.from_datum(mark)), size)
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
    pen.box(x, y - edge, x + number_width(mark, size), y + edge, Ink.TICK)
    draw_reading(pen, *chosen.reading, found, size.high)
    pen.text(chosen.reading.x, chosen.reading.y - size.down + 0.3, exact(bench, mark), size.small)
    nearest = min(chosen.boxes, key=lambda box: max(box.left - at.x, at.x - box.right))
    _leader(pen, mark, at, nearest, y, shares(bench, mark) and not _within_piece(bench, mark, nearest))


def _chosen(
    bench: Bench, room: tuple[Space, Sequence[Box]], wanted: tuple[Mark, bool, Spare], size: Size
) -> tuple[Size, Place] | None:
    """The first free place on the mark's own page, smaller where none is free as large, then by the least shift beside
    the join in the way; then beyond the join; else the one that clashes least of the largest that has any, and None where
    there is none. ``wanted``: the mark, whether it is alone in its row, and how much wider its column's widest label is:
    where that has room too is looked first."""
    (space, joins), (mark, alone, spare) = room, wanted
    at, found = bench.place(mark.u, mark.v), reading(bench.job, bench.from_datum(mark))
    sizes = [size, *(Size(high) for high in (MEDIUM, LEAST) if high < size.high)]
    first = _first(bench, room, (at, spare), sizes, lambda one: beside(bench, mark, (at, alone), found, one))
    if first:
        return first
    for one in sizes if any(_reaches(join, at) for join in joins) else ():
        near = beside(bench, mark, (at, alone), found, one, FINE, True)
        own = next((p for p in near if _free(space, p) and _one_page(at, p, joins)), None)
        if own:
            return one, own
    if shares(bench, mark):  # under its piece it could be the other hole's
        away = _first(bench, room, (at, spare), sizes, lambda one: led(bench, mark, at, found, one))
        if away := away or _in_its_piece(bench, room, mark, sizes):
            return away
    if close := _over_or_under(bench, room, mark, sizes):
        return close
    crowded: tuple[Size, Place] | None = None
    for one in sizes:
        places = list(beside(bench, mark, (at, alone), found, one))
        whole = [place for place in places if _whole(place, joins)]
        if places := whole or places:  # cut by a join last of all
            best = _best(space, places)
            if _free(space, best):
                return one, best
            crowded = crowded or (one, best)
    return crowded


def _first(
    bench: Bench,
    room: tuple[Space, Sequence[Box]],
    stands: tuple[Point, Spare],
    sizes: Sequence[Size],
    ways: Callable[[Size], Iterator[Place]],
) -> tuple[Size, Place] | None:
    """The first of the ``ways`` that is free on the mark's own page, as large as can be; where the widest label of its
    column has room too, that first. ``stands``: where the mark is, and how much wider that label is."""
    (space, joins), (at, spare) = room, stands
    for one in sizes:
        for alike in (True, False) if max(spare) > 0.0 else (False,):
            for place in ways(one):
                grown = _grown(place, at, spare, one.high / sizes[0].high) if alike else place
                if _free(space, grown) and _one_page(at, grown, joins) and (not alike or inside(bench, grown)):
                    return one, place
    return None


def _in_its_piece(
    bench: Bench, room: tuple[Space, Sequence[Box]], mark: Mark, sizes: Sequence[Size]
) -> tuple[Size, Place] | None:
    """The first free place right under or over a mark inside its piece's outline."""
    (space, joins), at = room, bench.place(mark.u, mark.v)
    found, own = reading(bench.job, bench.from_datum(mark)), pieces(bench, mark)
    for one in sizes:
        for place in in_piece(bench, mark, at, found, one):
            if all(space.free(box, own) for box in place.boxes) and _one_page(at, place, joins):
                return one, place
    return None


def _over_or_under(
    bench: Bench, room: tuple[Space, Sequence[Box]], mark: Mark, sizes: Sequence[Size]
) -> tuple[Size, Place] | None:
    """The first free place under a mark or over it, where neighbours stand close on both sides; over a fold where there is
    no other, and where it has a leader none that runs through another hole."""
    (space, joins), at = room, bench.place(mark.u, mark.v)
    found, led_there = reading(bench.job, bench.from_datum(mark)), shares(bench, mark)
    others = [bench.place(other.u, other.v) for other in bench.marks if other is not mark] if led_there else []
    for flat, under, one in ((flat, under, one) for flat in (True, False) for under in (True, False) for one in sizes):
        for place in over_under(bench, mark, at, found, one, under):
            way = _reach(at, place)
            free = _free(space, place) and (inside(bench, place) or not flat)
            if free and _one_page(at, place, joins) and not any(way.holds(Box(*other, *other)) for other in others):
                return one, place
    return None


def _reach(at: Point, place: Place) -> Box:
    """Between a mark and a label over it or under it, as wide as a hole on both sides."""
    middle = place.boxes[0].top if place.boxes[0].top < at.y else place.boxes[0].bottom
    return Box(at.x - ROW, min(at.y, middle), at.x + ROW, max(at.y, middle))


def _at_worst(bench: Bench, mark: Mark, size: Size) -> Place:
    """Under its number beside the mark, whatever is there already."""
    at, found = bench.place(mark.u, mark.v), reading(bench.job, bench.from_datum(mark))
    left, right = clear_of(bench, mark, at)
    number, wide = number_width(mark, size), told_width(bench, mark, found, size)
    x = left - max(number, wide) if side_of(bench, mark) < -0.5 else right
    return stacked(x, at.y, number, wide, size)


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


def _within_piece(bench: Bench, mark: Mark, box: Box) -> bool:
    return any(piece.holds(box) for piece in pieces(bench, mark))


def _leader(pen: Pen, mark: Mark, at: Point, box: Box, y: float, over: bool) -> None:
    """A thin line from the hole to its label where that stands away from it; ``box``: the nearest part of it; ``over``:
    to one right over it or under it too."""
    right = box.left > at.x
    x = box.left - 0.4 if right else box.right + 0.4
    radius = max(mark.oval) / 2.0 + 2.0
    if abs(x - at.x) < radius + 2.5 and abs(y - at.y) < 1.0:
        return
    if (x < at.x + radius if right else x > at.x - radius) and not box.bottom < at.y < box.top:
        if over:
            below = box.top < at.y
            start, end = (at.y - radius, box.top + 0.4) if below else (at.y + radius, box.bottom - 0.4)
            pen.line(at.x, start, min(max(at.x, box.left), box.right), end, Ink.HATCH)
        return
    pen.line(at.x + (radius if right else -radius), at.y, x, y, Ink.HATCH)
