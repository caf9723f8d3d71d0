"""The foot of a sheet, to read and to keep: check squares, how to drill, posts served, angle gauge, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import NamedTuple

from jiggen.compose.band import WIDTH, as_built_words, end_words
from jiggen.compose.bench import Strip
from jiggen.compose.clear import JOINED, below, windows
from jiggen.compose.flaps import drill_words
from jiggen.compose.gauge import gauges
from jiggen.compose.howto import last_mark, steps
from jiggen.compose.lettering import both, draw_reading, paragraph, reading, reading_width, wrapped
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Ink, Pen, Shape, Text
from jiggen.plan.words import capitals, nominal
from jiggen.sheets.extent import extent
from jiggen.sheets.joins import CLEAR
from jiggen.units import MM_PER_INCH

SQUARE = 4.0 * MM_PER_INCH
WHOLE = 16.0 + SQUARE  # of the foot's height: its first words and the squares
TEXT = 3.0
PITCH = 1.55  # of lines, in heights of their lettering
ROW, TICK = 6.5, 4.5  # from one box to tick to the next, and from over a box to its foot
COLUMN = 49.0  # width of the right column where there are several pages side by side
NARROW = 42.0  # a column beyond a join leaves room for the marks along it where it stays as wide as this
MARK = 3.0  # half of a join mark, with its name

WOOD = "Treated wood: dust mask and gloves, never burn the waste."
METAL = "Metal: clamp the post, slow speed, cutting oil. Chips are sharp and hot: brush them off, deburr both rims."
CAUTIONS = (
    "Eye protection (ANSI/ISEA Z87.1, or your country's standard) when drilling and cutting.",
    WOOD,
    "Strand springs open and its cut ends are sharp: gloves, tape the cut.",
    "Posts, anchorage and rails carry what the cables pull: a licensed designer decides, the local code holds.",
)


class Panel(NamedTuple):
    """The foot as it is drawn, its upper edge at y = 0 and all of it below. ``parts``: from where to where each part that
    no join should cut reaches (bottom, top)."""

    shapes: tuple[Shape, ...]
    height: float
    parts: tuple[tuple[float, float], ...]

    def crossed(self, rows: Sequence[float]) -> bool:
        """Whether one of the joins at ``rows``, or a mark along it, lies over words; the last one counts for nothing
        where all of the foot stands over it, as there is no page below."""
        boxes = [extent(shape) for shape in self.shapes]
        words = [box for box, shape in zip(boxes, self.shapes, strict=True) if isinstance(shape, Text)]
        end = min(box[1] for box in boxes)
        return any(box[1] - MARK < row < box[3] + MARK for row in rows if row > end for box in words)


def drawn_round(rows: Sequence[float]) -> tuple[float, ...]:
    """The joins that a foot is to be drawn round where they fell at ``rows``, the highest first: for one through its
    squares, which stay whole, one over them that is clear of a hole just over the foot."""
    return tuple(rows) if not rows or rows[0] < -WHOLE else (-CLEAR,)


def panel(strip: Strip, rows: Sequence[float] = ()) -> Panel:
    """The foot of a sheet. ``rows``: y of the joins between its pages, which no line of words and no gauge lies across."""
    pen = Pen()
    y = below(rows, 0.0, WHOLE)
    pen.text(2.0, y - 11.5, "KEEP THIS PART TO READ", 4.0, ink=Ink.STRONG)
    y -= 15.0
    told, served = steps(strip), _served_rows(strip)
    high, inside = _lettering(told, _served_height(served, _columns(strip, served, True)[0]) if served else 0.0)
    _squares(pen, y, told, high)
    bottom = y - SQUARE
    y = squares = min(bottom - 5.0, _column(strip, pen, _column_place(strip), y, rows) - 2.0)
    if inside:
        columns = _columns(strip, served, True)
        _served(pen, bottom + 4.0 + _served_height(served, columns[0]), served, columns, 3.0)
    elif served:
        y = _served(pen, y, served, _columns(strip, served, False), 1.0, rows)
    parts = [(y if squares - y < 40.0 else squares, 0.0), *gauges(strip, pen, y, rows)]
    end = min(low for low, _ in parts)
    return Panel(tuple(pen.shapes), 6.0 - min(end, y), tuple(piece for part in parts for piece in _parted(part, rows)))


def _parted(part: tuple[float, float], rows: Sequence[float]) -> list[tuple[float, float]]:
    """A part of the foot, or its pieces over and under the joins that were let into it."""
    low, high = part
    pieces = []
    for row in sorted(rows, reverse=True):
        if low < row < high:
            pieces.append((row + JOINED, high))
            high = row - JOINED
    return [*pieces, (low, high)]


def _squares(pen: Pen, top: float, told: Sequence[str], high: float) -> None:
    """A square of 100 mm in one of 4 in, sharing the lower left corner; the steps of the work inside, ``high`` mm high."""
    left, bottom = 1.0, top - SQUARE - 1.0
    pen.box(left, bottom, left + SQUARE, bottom + SQUARE, Ink.TICK)
    pen.box(left, bottom, left + 100.0, bottom + 100.0, Ink.TICK)
    pen.text(left + 99.0, bottom + 1.5, "100 mm", 2.5, "right")
    words = "outer square 4 in, inner 100 mm: measure both ways"
    pen.text(left + 1.5, bottom + 1.5, words, fitted(words, 2.5, 80.0, 1.8))
    y = bottom + 98.5
    pen.text(left + 2.0, y - 4.0, "HOW TO DRILL", 4.0, ink=Ink.STRONG)
    y -= 6.5
    for number, step in enumerate(told, 1):
        y = paragraph(pen, left + 2.0, y, f"{number}  {step}", high, 96.0, 4.5) - 0.6


def _lettering(told: Sequence[str], served: float) -> tuple[float, bool]:
    """Height of the steps' lettering, as large as fits the squares, and whether the boxes to tick, which take ``served``
    mm where there are any, fit under them."""
    for high in (3.0, 2.8, 2.6, 2.5) if served else ():
        if _steps_height(told, high) + served < 86.0:
            return high, True
    return next((high for high in (3.0, 2.8, 2.6, 2.5, 2.3, 2.1) if _steps_height(told, high) < 86.0), 2.0), False


def _steps_height(told: Sequence[str], high: float) -> float:
    """How much of the squares' height the steps take at a height of lettering, mm."""
    lines = sum(len(wrapped(f"0  {step}", high, 91.5)) for step in told)
    return lines * high * PITCH + 0.6 * len(told)


def _column_place(strip: Strip) -> tuple[float, float]:
    """Where the right column begins and how wide it is: beside the squares, or beyond a join that would narrow it."""
    x, end = SQUARE + 6.0, WIDTH if strip.width > 184.5 else strip.width
    join = next((at for at in strip.joins if SQUARE + 1.0 < at < end), None)
    if join is None:
        return x, end - x - 1.0
    after = min((at - JOINED for at in strip.joins if at > join), default=strip.width - 2.0)
    beyond = max(join + 2.0, min(join + JOINED, after - NARROW), x)
    here, there = join - x - JOINED, min(after - beyond, COLUMN)
    return (x, here) if here >= min(there, COLUMN - 2.0) else (beyond, there)


def _column(strip: Strip, pen: Pen, place: tuple[float, float], top: float, rows: Sequence[float]) -> float:
    """The right column: this end, what a hollow post is, measure box, drills, cautions; returns the y under it."""
    (x, room), y = place, top - 1.0
    ends = end_words(strip.first) if len(strip.benches) == 1 else ()
    strong = [*((words, 5.0, 3.0) for words in ends), *((words, 4.0, 2.2) for words in hollow_words(strip))]
    for words, high, least in strong:
        size = fitted(words, high, room, least)
        for line in (
            (words,) if width(words, size) <= room else wrapped(words, TEXT, room)
        ):  # else too long for one line
            size = fitted(line, high, room, least)
            y = below(rows, y, size)
            pen.text(x, y - size, line, size, ink=Ink.STRONG)
            y -= size + 3.0
    y = _measure_box(strip, pen, place, y, rows)
    for which, how in drill_words(strip.benches):
        y = paragraph(pen, x, y, f"{which}: {how}", TEXT, room, 3.0, rows) - 1.0
    y -= 1.0
    for words in _warnings(strip):
        y = paragraph(pen, x, y, words, TEXT, room, rows=rows) - 1.0
    y -= 1.0
    metal = strip.first.post.kind.material.kind == "metal"
    cautions = [METAL if metal and caution is WOOD else caution for caution in CAUTIONS]
    y = below(rows, y, 6.0 + len(wrapped(cautions[0], 2.5, room - 2.0)) * 2.5 * PITCH)
    pen.text(x, y - 3.5, "CAUTIONS", 3.5, ink=Ink.STRONG)
    y -= 6.0
    for words in cautions:
        y = paragraph(pen, x, y, words, 2.5, room, 2.0, rows) - 0.6
    return y


def hollow_words(strip: Strip) -> list[str]:
    """What a post is inside, which does not show: HOLLOW POST: WALL 2.0 mm, of a sleeve the wood in it too, a line each;
    none for a solid one, and for a piece to practise on."""
    first = strip.first
    wall = first.post.kind.wall  # the same of every post that a sheet serves
    if wall is None or first.group.kind == "practice":
        return []
    told, core = f"HOLLOW POST: WALL {nominal(first.job, wall)}", first.post.kind.core
    if core is None or any(first.plan.post_by_id[post].kind.core != core for post in first.group.posts):
        return [told]
    return [told, f"WOOD INSIDE {nominal(first.job, core)}"]


def _measure_box(strip: Strip, pen: Pen, place: tuple[float, float], y: float, rows: Sequence[float]) -> float:
    """What to measure after taping, with room for what was read; returns the y under it."""
    if not any(bench.marks for bench in strip.benches):  # a round post's sheet without room for cables
        return y
    (x, room), (bench, last) = place, last_mark(strip)
    found, words = reading(bench.job, bench.from_datum(last)), f"MEASURE AFTER TAPING: datum to mark {last.label}"
    y = below(rows, y, len(wrapped(words, TEXT, room)) * TEXT * PITCH + 10.0)
    y = paragraph(pen, x, y, words, TEXT, room)
    draw_reading(pen, x, y - 5.0, found, 5.0)
    start = x + reading_width(found, 5.0) + 4.0
    pen.box(start, y - 10.0, x + min(room, start - x + 34.0), y, Ink.TICK)
    pen.text(start + 1.0, y - 3.0, "I read", 2.0)
    return y - 14.0


def _warnings(strip: Strip) -> list[str]:
    """What a raked sheet on another datum says in capitals, and what the rail in place hides."""
    found: list[str] = []
    first = strip.first
    if first.group.kind == "practice":
        return found
    found += as_built_words(first)
    if first.raked:
        found.append("RAKED: THIS FACE HAS ITS OWN LINE. A LINE SQUARED ROUND THE POST IS WRONG ON THE OTHER FACE.")
    named = dict.fromkeys(tuple(bench.named(outline).items()) for bench in strip.benches for outline in bench.outlines)
    for pieces in named:
        if len(pieces) > 1:
            told = "; ".join(f"{what} on post{'s' * (len(on) > 1)} {', '.join(on)}" for what, on in pieces)
            found.append(f"THE OUTLINE STANDS FOR: {told}.")
    for bench in strip.benches if first.datum == "height line" else ():
        high = both(bench.job, bench.seat - bench.face.tread[0])
        found.append(f"HEIGHT LINE {capitals(bench.face.name)}: {high} OVER THE WALKING SURFACE AT THIS FACE.")
    return found


def _served_rows(strip: Strip) -> list[str]:
    """Every post and face that the sheet serves; none of a practice piece."""
    rows: dict[str, list[str]] = {}
    for face in strip.first.group.faces if strip.first.group.kind != "practice" else ():
        post, _, name = face.rpartition("/")
        if not name.startswith("side"):
            rows.setdefault(post, []).append(name)
    return [f"{post}  {name}" for post, names in rows.items() for name in names]  # one box a face


def _columns(strip: Strip, served: Sequence[str], inside: bool) -> tuple[list[float], float]:
    """Where each column of boxes to tick begins, none across a join, and how wide it is: in the squares or below."""
    wide = max((width(row, 3.5) for row in served), default=0.0) + 12.0
    found: list[float] = []
    for low, high in ((2.0, 98.0),) if inside else windows(strip.joins, 0.0, strip.width):
        count = int((high - low + 1.0) // wide)
        found += [low + 1.0 + (high - low) / count * index for index in range(count)]
    return (found, wide) if found else ([1.0], strip.width)


def _served_height(served: Sequence[str], columns: Sequence[float]) -> float:
    return 10.0 + ROW * -(-len(served) // len(columns))


def _served(
    pen: Pen,
    top: float,
    served: Sequence[str],
    place: tuple[Sequence[float], float],
    left: float,
    rows: Sequence[float] = (),
) -> float:
    """Every post and face that this sheet serves, each with a box to tick; returns the y under them. ``place``: where each
    column begins and how wide it is; ``left``: of the words over them."""
    columns, wide = place
    y = below(rows, top, 8.0 + ROW)
    pen.text(left, y - 5.0, "SERVES (tick when drilled)", 3.5, ink=Ink.STRONG)
    y -= 8.0
    pages: list[list[float]] = [[]]
    for _ in range(-(-len(served) // len(columns))):
        if (under := below(rows, y, TICK)) < y and pages[-1]:
            pages.append([])
        pages[-1].append(under - TICK)
        y = under - ROW
    left_over = iter(served)
    for heights in pages:  # down each column of a page before the next page
        for x, low in product(columns, heights):
            if row := next(left_over, ""):
                pen.box(x, low, x + 4.0, low + 4.0, Ink.TICK)
                pen.text(x + 6.0, low + 0.3, row, fitted(row, 3.5, wide - 8.0, 2.0))
    return y - 2.0
