"""A Plan, or nothing yet, turned into the measure-up form: sketches with empty boxes, each with the job-file key that it fills."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import fsum
from typing import Literal

from jiggen.compose import asks
from jiggen.compose.asks import Ask, Row, Stop
from jiggen.compose.planview import draw_plan
from jiggen.compose.space import Box
from jiggen.compose.tables import cut_words
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Drawing, Ink, Pen
from jiggen.plan.model import Plan
from jiggen.plan.words import length
from jiggen.problems import Problem, nth

SMALL = 2.3  # lettering of boxes and keys
LATE = "DRILL"  # beside a box that may wait until before drilling
WORDS = 2.5
TALL = 8.5  # of a box to write in with a carpenter's pencil
TOP = 18.2  # of a page: what form it is, of which job, by whom
ROW = 17.6  # a box with its words and its key
CLOSER = 1.3  # of a row, by how much it may be lower where a page holds two strips so
MORE = 2.6  # where a key takes two lines
ACROSS = 4  # boxes beside one another
BETWEEN = 2.0  # under a strip
SKETCH = 41.0  # height of a strip's sketch
RISE = 0.06  # of a sloped run's sketch, mm a mm
OPEN = 26.0  # from ground to rail in a sketch
PLACES = 4  # posts in a strip
HOW = (
    "Measure with the tape that you will drill by, and hook it the same way each time. Write what the tape says; do not round.",
    "All but the boxes marked DRILL: before ordering. Those, undersides and leans: before drilling, when the rails are fixed.",
    "Under a box stands what it fills in the job file; 2nd: the second of that list. Clear to wall: the gap a sphere would try.",
    "Level distances with a level or a plumb line. Lean: mm off plumb on 1 m of post, + in the run's direction and + to the left.",
)


def form(
    plan: Plan | None, problems: Sequence[Problem], size: tuple[float, float], units: Literal["in", "mm"] = "in"
) -> tuple[Drawing, ...]:
    """The measure-up form on drawings of ``size`` mm. ``plan`` None: a blank one, with lengths in ``units``.

    Boxes for spans, undersides, post widths, leans, gaps, turns, each riser and going; under each box its key.
    """
    unit = "inches" if (plan.job.units if plan else units) == "in" else "millimetres"
    rows = asks.rows(plan) if plan else asks.blank()
    book = _Book(size, f"{plan.job.name}   {plan.fingerprint}" if plan else "", unit)
    _first(book, plan, rows)
    for row in rows:
        _strips(book, row)
        if row.sloped == "stair":
            _steps(book, plan, row)
    return tuple(pen.drawing(*size, "Measure-up form") for pen in book.pages)


class _Book:
    """Pages filled from the top."""

    def __init__(self, size: tuple[float, float], name: str, unit: str) -> None:
        self.size, self.name, self.unit = size, name, unit
        self.pages: list[Pen] = []
        self.y = 0.0
        self.turn()

    @property
    def pen(self) -> Pen:
        return self.pages[-1]

    def turn(self) -> None:
        self.pages.append(Pen())
        more = " (continued)" if len(self.pages) > 1 else ""
        self.pen.text(1.0, self.size[1] - 7.0, f"MEASURE-UP FORM{more}", 6.0, ink=Ink.STRONG)
        job = f"Job: {self.name}" if self.name else "Job: ____________________________"
        high = fitted(job, 3.0, self.size[0] - 2.0, SMALL)
        self.pen.text(1.0, self.size[1] - 11.2, cut_words(job, high, self.size[0] - 2.0)[0], high)
        words = f"by ____________________   date ______________   lengths in {self.unit}"
        self.pen.text(1.0, self.size[1] - 16.0, words, fitted(words, 3.0, self.size[0] - 2.0, SMALL))
        self.y = self.size[1] - TOP

    def need(self, height: float) -> None:
        if self.y < height:
            self.turn()


def _first(book: _Book, plan: Plan | None, rows: Sequence[Row]) -> None:
    """How to measure, the plan of the job (or squares to sketch it on), and the boxes of whole runs."""
    for words in HOW:
        for line in cut_words(words, WORDS, book.size[0] - 2.0):
            book.pen.text(1.0, book.y - WORDS, line, WORDS)
            book.y -= 4.0
    book.y -= 1.0
    high = 0.4 * book.size[1]
    box = Box(0.0, book.y - high, book.size[0], book.y)
    if plan:
        draw_plan(plan, book.pen, box)
    else:
        _squares(book.pen, box)
    book.y = box.bottom - 4.0
    wanted = [Ask("fall: deck to what is below", "[job] fall"), *(ask for row in rows for ask in row.whole)]
    _grid(book, wanted)


def _squares(pen: Pen, box: Box) -> None:
    """Squares of 5 mm to sketch the plan view on."""
    columns, lines = int((box.right - box.left - 2.0) // 5.0), int((box.top - box.bottom - 6.0) // 5.0)
    left, bottom = box.left + 1.0, box.bottom + 1.0
    for k in range(columns + 1):
        pen.line(left + 5.0 * k, bottom, left + 5.0 * k, bottom + 5.0 * lines, Ink.HATCH)
    for k in range(lines + 1):
        pen.line(left, bottom + 5.0 * k, left + 5.0 * columns, bottom + 5.0 * k, Ink.HATCH)
    words = "Sketch of the plan: posts with names, runs, which side people stand on, walls, stairs and which way is up"
    pen.text(left, box.top - SMALL, words, fitted(words, WORDS, box.right - box.left - 2.0, SMALL))


def _grid(book: _Book, wanted: Sequence[Ask]) -> None:
    wide = book.size[0] / ACROSS
    for start in range(0, len(wanted), ACROSS):
        shown = wanted[start : start + ACROSS]
        high = _row(shown, wide - 4.0)
        book.need(high)
        for column, ask in enumerate(shown):
            _ask(book.pen, ask, column * wide + 1.0, book.y, wide - 4.0)
        book.y -= high


def _high(wanted: Sequence[Ask], wide: float) -> float:
    """Height of all the rows of a grid."""
    return fsum(_row(wanted[i : i + ACROSS], wide / ACROSS - 4.0) for i in range(0, len(wanted), ACROSS))


def _row(wanted: Iterable[Ask], wide: float) -> float:
    """Height of a row of boxes that are ``wide``."""
    return ROW + (MORE if any(len(_key_lines(ask.key, wide)) > 1 for ask in wanted) else 0.0)


def _ask(pen: Pen, ask: Ask, x: float, top: float, wide: float) -> None:
    """What to measure, the box, its key below in one or two lines."""
    room = wide - (width(LATE, SMALL) + 1.5 if ask.late else 0.0)
    for words in cut_words(ask.what, SMALL, room)[:1]:
        pen.text(x, top - SMALL, words, SMALL)
    if ask.late:
        pen.text(x + wide, top - SMALL, LATE, SMALL, "right")
    pen.box(x, top - 3.2 - TALL, x + wide, top - 3.2, Ink.EDGE, (("part", "box"),))
    y = top - 3.2 - TALL - 1.1 - SMALL
    for words in _key_lines(ask.key, wide):
        pen.text(x, y, words, SMALL)
        y -= SMALL + 0.9


def _key_lines(key: str, wide: float) -> list[str]:
    """A key on one line, or on two, broken after a blank or a dot where that helps."""
    if width(key, SMALL) <= wide:
        return [key]
    breaks = [place + 1 for place, character in enumerate(key) if character in " ."]
    for place in reversed(breaks):
        if max(width(key[:place], SMALL), width(key[place:], SMALL)) <= wide:
            return [key[:place].rstrip(), key[place:]]
    return cut_words(key, SMALL, wide)


def _strips(book: _Book, row: Row) -> None:
    """The run as sketches of up to four posts, a post repeated where the next sketch begins."""
    last = len(row.stops) - 1
    starts = list(range(0, last, PLACES - 1)) or [0]
    sketch = SKETCH + (RISE * book.size[0] * (PLACES - 1) / PLACES if row.climb else 0.0)
    each = _row((ask for stop in row.stops for ask in stop.asks), book.size[0] / PLACES - 4.0)
    deep = max(len(stop.asks) for stop in row.stops)
    over = sketch + each * deep + BETWEEN - (book.size[1] - TOP) / 2.0 + 1e-6
    if 0.0 < over <= CLOSER * deep:
        each -= over / deep
    high = sketch + each * deep + BETWEEN
    for start in starts:
        stops = row.stops[start : start + PLACES]
        book.need(high)
        _strip(book, row, (start, stops), book.y - sketch + 3.2, each)
        book.y -= high


def _strip(book: _Book, row: Row, part: tuple[int, Sequence[Stop]], foot: float, each: float) -> None:
    """Up to four posts with the boxes of their spans between them and their own under them.

    ``part``: the first one's place in the run, and they; ``foot``: y under the sketch; ``each``: height of a row.
    """
    start, stops = part
    pen, pitch = book.pen, book.size[0] / PLACES
    title = row.title + (" (continued)" if start else "")
    pen.text(1.0, book.y - 4.0, title, fitted(title, 4.0, book.size[0] - 2.0, SMALL), ink=Ink.STRONG)
    centres = [pitch * (k + 0.5) for k in range(len(stops))]
    fall = RISE * pitch * (len(stops) - 1)
    floors = [foot + (row.climb * RISE * (x - centres[0]) + fall * (row.climb < 0)) for x in centres]
    for x, floor, stop in zip(centres, floors, stops, strict=True):
        _post(pen, x, floor, stop.name, pitch)
    for (a, low), (b, high) in pairwise(zip(centres, floors, strict=True)):
        for up in (OPEN, OPEN + 2.0):
            pen.line(a + 3.0, low + up + 3.0 * row.climb * RISE, b - 3.0, high + up - 3.0 * row.climb * RISE, Ink.EDGE)
    _ground(pen, row, centres, floors)
    for index, ((a, low), (b, high)) in enumerate(pairwise(zip(centres, floors, strict=True))):
        span = stops[index].span
        if span:
            _ask(pen, span, a + 10.5, (low + high) / 2.0 + OPEN - 4.0, b - a - 15.0)
    first = start > 0  # its first post stands in the sketch before too
    for index, (x, stop) in enumerate(zip(centres, stops, strict=True)):
        if not stop.asks or (index == 0 and first):
            words = "measured above" if index == 0 and first else "measured with the run before"
            for number, line in enumerate(cut_words(words, SMALL, pitch - 4.0)):
                pen.text(x - pitch / 2.0 + 1.0, foot - 4.0 - SMALL - 4.0 * number, line, SMALL)
            continue
        for number, ask in enumerate(stop.asks):
            _ask(pen, ask, x - pitch / 2.0 + 1.0, foot - 4.0 - each * number, pitch - 4.0)


def _post(pen: Pen, x: float, floor: float, name: str, pitch: float) -> None:
    """A post with its name over it and the distance U beside it."""
    rail = floor + OPEN
    pen.box(x - 3.0, floor, x + 3.0, rail + 2.0, Ink.EDGE)
    high = fitted(name, 3.5, pitch - 3.0, SMALL)
    for up, words in enumerate(reversed(cut_words(name, high, pitch - 3.0)[:2])):
        pen.text(x, rail + 3.0 + up * (high + 0.8), words, high, "middle", ink=Ink.STRONG)
    pen.line(x + 5.0, floor, x + 5.0, rail, Ink.TICK)
    for tip, way in ((floor, 1.0), (rail, -1.0)):
        pen.fill(((x + 5.0, tip), (x + 4.6, tip + way * 1.8), (x + 5.4, tip + way * 1.8)))
    pen.text(x + 6.2, floor + 2.0, "U", SMALL)


def _ground(pen: Pen, row: Row, centres: Sequence[float], floors: Sequence[float]) -> None:
    """What one walks on: a line, or on a stair four steps a span under it, the sketch's own and not the job's."""
    slope = row.climb * RISE
    left, right = centres[0] - 8.0, centres[-1] + 8.0
    if row.sloped != "stair":
        pen.line(left, floors[0] - 8.0 * slope, right, floors[-1] + 8.0 * slope, Ink.EDGE)
        return
    going = (centres[-1] - centres[0]) / max(4 * (len(centres) - 1), 1) or 8.0
    points, x = [], left
    while x < right - 1e-6:
        end = min(x + going, right)
        level = floors[0] + slope * ((x if slope > 0.0 else end) - centres[0])
        points += [(x, level), (end, level)]
        x = end
    pen.path(points, Ink.EDGE)


def _steps(book: _Book, plan: Plan | None, row: Row) -> None:
    """Every riser and going of the stair, and where its first and last post stand; a small sketch says what is what."""
    key = f"{row.path}, stair"
    wanted = [
        Ask("first post behind nosing", f"{key}: first_behind_nosing"),
        Ask("last post behind nosing", f"{key}: last_behind_nosing"),
        Ask("overhang of the nosings", f"{key}: overhang"),
        *(Ask(f"rise {number}", f"{key}: rises, {nth(number)}") for number in range(1, row.steps + 1)),
        *(Ask(f"going {number}", f"{key}: goings, {nth(number)}") for number in range(1, row.steps)),
    ]
    whole = 34.0 + _high(wanted, book.size[0])
    book.need(whole if whole <= book.size[1] - TOP else 34.0 + 2.0 * ROW)  # on one page, if one holds it
    pen, top = book.pen, book.y
    words = f"{row.title}: STEPS, counted from the lowest riser"
    pen.text(1.0, top - 3.5, words, fitted(words, 3.5, book.size[0] - 2.0, SMALL), ink=Ink.STRONG)
    _sketch(pen, 30.0, top - 29.5)
    rule = plan.job.rules.stair if plan else None
    told = [
        "Write them into the job as two lists, rises and goings, lowest step first; leave rise and going out.",
        "First and last behind nosing: level, from the post's centre to the nosing next downhill; negative on the floor below.",
    ]
    if plan and rule:
        told.append(
            f"Largest less smallest of one flight: {length(plan.job, rule.spread_most)} at most ({rule.clause})."
        )
    y = top - 8.0
    for text in told:
        for line in cut_words(text, SMALL, book.size[0] - 92.0):
            pen.text(90.0, y - SMALL, line, SMALL)
            y -= 3.8
    book.y = top - 33.0
    _grid(book, wanted)


def _sketch(pen: Pen, x: float, y: float) -> None:
    """Two steps with rise, going and overhang named."""
    rise, going, over = 9.0, 20.0, 3.0
    points = [(x - 12.0, y), (x + over, y)]
    for k in range(2):
        left, top = x + going * k, y + rise * (k + 1)
        points += [(left + over, top - 1.5), (left, top - 1.5), (left, top), (left + going + over, top)]
    pen.path(points, Ink.EDGE)
    pen.line(x - 4.0, y, x - 4.0, y + rise, Ink.TICK)
    pen.text(x - 5.0, y + rise / 2.0 - SMALL / 2.0, "rise", SMALL, "right")
    pen.line(x, y + rise, x, y + 2.0 * rise + 5.0, Ink.HATCH)
    pen.line(x + going, y + 2.0 * rise, x + going, y + 2.0 * rise + 5.0, Ink.HATCH)
    pen.line(x, y + 2.0 * rise + 3.5, x + going, y + 2.0 * rise + 3.5, Ink.TICK)
    half = width("going", SMALL) / 2.0
    pen.text(x + going / 2.0 - half, y + 2.0 * rise + 4.5, "going", SMALL)
    pen.text(x + over + 1.5, y + 1.0, "overhang: riser to nosing", SMALL)
