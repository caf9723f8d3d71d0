"""A page's place among its sheet's pages turned into its rulers, its foot and the edges to trim and tape."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import floor, pi

from jiggen.drawing import lettering
from jiggen.drawing.scene import Ink, Pen, Shape
from jiggen.sheets import fiducials
from jiggen.sheets.model import Paper
from jiggen.sheets.pagecode import page_code
from jiggen.sheets.paper import FOOT, RULER
from jiggen.units import MM_PER_INCH

INCH_PARTS = 16
CHECK_MM = 100
CHECK_INCHES = 4
SMALL = 2.5  # lettering of the foot's two lower lines
STAMP = 40.0  # room in the foot for "packet page 1234 of 1234" at that height

Place = Callable[[float, float], tuple[float, float]]
"""From a distance along a ruler and a distance out from its edge to page coordinates."""


@dataclass(frozen=True, slots=True)
class Seat:
    """Where a page belongs: what its foot says, and its place, rows counted from the top."""

    title: str
    foot: str
    columns: int = 1
    rows: int = 1
    column: int = 0
    row: int = 0
    label: str = ""  # said instead of "page 1 of 1"
    sheet: str = ""  # id of the sheet, for the code that a scan is known by
    gone: frozenset[tuple[int, int]] = frozenset()  # columns and rows of pages that are not printed

    @property
    def number(self) -> int:
        return self.at(self.column, self.row)

    @property
    def count(self) -> int:
        return self.columns * self.rows - len(self.gone)

    def at(self, column: int, row: int) -> int:
        """The number of the page in that column and row: along the rows, from the top."""
        place = row * self.columns + column
        return place + 1 - sum(y * self.columns + x < place for x, y in self.gone)

    def has(self, column: int, row: int) -> bool:
        """Whether there is a page in that column and row."""
        return 0 <= column < self.columns and 0 <= row < self.rows and (column, row) not in self.gone


def text(
    pen: Pen, x: float, y: float, words: str, height: float, room: float, align: str = "left", **more: object
) -> float:
    """Letters ``words`` at most ``room`` mm wide, lower than ``height`` where need be; returns the height."""
    high = fitted(words, height, room)
    pen.text(x, y, words, high, align, **more)  # type: ignore[arg-type]
    return high


def fitted(words: str, height: float, room: float) -> float:
    """The height, at most ``height``, in which ``words`` are at most ``room`` mm wide."""
    across = lettering.width(words, height)
    return height if across <= room else height * room / across


def rulers(pen: Pen, paper: Paper) -> None:
    """The four rulers of a page: millimetres left, inches right, both along the foot. True scale."""
    edge, width, height = paper.margin, paper.width, paper.height
    bottom = edge + FOOT + RULER + 2.5
    tall = height - edge - fiducials.INSET - fiducials.SIDE / 2.0 - 3.5 - bottom
    left, right = edge + 6.2, width - edge - 6.2
    millimetres(pen, tall, lambda s, out: (left - out, bottom + s), pi / 2, (4.0, 2.6, 1.7, 1.0))
    inches(pen, tall, lambda s, out: (right + out, bottom + s), pi / 2, (4.0, 2.6, 1.7, 1.0))
    long = width - 2.0 * edge - 8.0
    start, middle = edge + 2.0, edge + FOOT + RULER / 2.0
    millimetres(pen, long, lambda s, out: (start + s, middle + out), 0.0, (1.9, 3.6, 1.7, 1.0))
    inches(pen, long, lambda s, out: (start + s, middle - out), 0.0, (1.9, 3.6, 1.7, 1.0))


@lru_cache(maxsize=16)
def common(paper: Paper) -> tuple[Shape, ...]:
    """What every page with rulers carries, page coordinates: the same tuple for the same paper."""
    pen = Pen()
    rulers(pen, paper)
    return tuple(pen.shapes)


Sizes = tuple[float, float, float, float]
"""Where a label's near side lies, then the lengths of the ticks: labelled, half, small; mm."""


def millimetres(pen: Pen, room: float, place: Place, turn: float, sizes: Sizes) -> None:
    """A ruler in millimetres, as many tens as ``room`` holds, numbered at each ten, 100 stressed.

    ``place`` maps (along, out) to the page; ``turn``: direction of the ruler, 0 or pi/2.
    """
    length = floor(room / 10.0 + 1e-9) * 10
    _edge(pen, length, place)
    for at in range(length + 1):
        size = sizes[1] if at % 10 == 0 else sizes[2] if at % 5 == 0 else sizes[3]
        _tick(pen, float(at), size, place)
        if at % 10 == 0:
            _label(pen, float(at), str(at), at in (0, CHECK_MM), place, turn, sizes)
    _unit(pen, 5.0, "mm", place, turn, sizes)


def inches(pen: Pen, room: float, place: Place, turn: float, sizes: Sizes) -> None:
    """A ruler in inches and sixteenths, as many inches as ``room`` holds, 4 stressed."""
    length = floor(room / MM_PER_INCH + 1e-9)
    _edge(pen, length * MM_PER_INCH, place)
    for part in range(length * INCH_PARTS + 1):
        at = part * MM_PER_INCH / INCH_PARTS
        size = sizes[1] if part % 16 == 0 else sizes[2] if part % 8 == 0 else sizes[3]
        _tick(pen, at, size if part % 4 or part % 8 == 0 else (sizes[2] + sizes[3]) / 2.0, place)
        if part % INCH_PARTS == 0:
            whole = part // INCH_PARTS
            _label(pen, at, str(whole), whole in (0, CHECK_INCHES), place, turn, sizes)
    _unit(pen, MM_PER_INCH / 2.0, "in", place, turn, sizes)


def _edge(pen: Pen, length: float, place: Place) -> None:
    pen.line(*place(0.0, 0.0), *place(length, 0.0), Ink.TICK)


def _tick(pen: Pen, at: float, size: float, place: Place) -> None:
    pen.line(*place(at, 0.0), *place(at, size), Ink.TICK)


def _label(pen: Pen, at: float, words: str, stress: bool, place: Place, turn: float, sizes: Sizes) -> None:
    """Beside the end of an upright ruler's tick, after a level one's; a stressed one gets an arrow."""
    high = 1.8
    _letters(pen, at if turn else at + 0.6, words, high, place, turn, sizes[0], stress)
    if stress and at > 0.0:
        pen.fill((place(at - 1.9, 1.9), place(at - 1.9, 3.3), place(at - 0.2, 2.6)))


def _unit(pen: Pen, at: float, words: str, place: Place, turn: float, sizes: Sizes) -> None:
    _letters(pen, at if turn else at + 1.2, words, 1.6, place, turn, sizes[0], False)


def _letters(pen: Pen, at: float, words: str, high: float, place: Place, turn: float, out: float, stress: bool) -> None:
    ink = Ink.STRONG if stress else Ink.NOTE
    pen.text(*base(place, at, out, high, turn), words, high, "middle" if turn else "left", turn, ink)


def base(place: Place, along: float, out: float, high: float, turn: float) -> tuple[float, float]:
    """Where the base line of lettering lies that fills ``out`` to ``out + high`` beside a line.

    ``turn``: 0 for lettering that reads to the right, pi/2 for lettering that reads upwards.
    """
    near, far = place(along, out), place(along, out + high)
    if turn:
        return near if near[0] > far[0] else far
    return near if near[1] < far[1] else far


def foot(pen: Pen, paper: Paper, seat: Seat, check: bool = True) -> tuple[float, float]:
    """The last 12 mm of a page: name, which page of how many, neighbours, what to trim, what it belongs to, its code.

    The squares in the page's corners belong to the code. ``check``: whether the page has rulers and so the line that
    says how to check them. Returns the right end of the base line that is left for the page's place in its packet.
    """
    edge = paper.margin
    left, right = edge, paper.width - edge
    pen.line(left, edge + FOOT - 0.4, right, edge + FOOT - 0.4, Ink.NOTE)
    code = page_code(paper, seat.title, seat.label, seat.sheet, seat.number, seat.foot)
    if code:
        left, right = left + fiducials.BEFORE, right - fiducials.ROOM
    if seat.count > 1:
        right -= _map(pen, right, edge + 0.6, FOOT - 2.0, seat, paper) + 3.0
    wide = right - left
    place = seat.label or f"page {seat.number} of {seat.count}"
    beside = lettering.width(place, fitted(place, 3.2, 0.3 * wide))
    text(pen, left, edge + 7.2, seat.title, 4.0, wide - beside - 3.0, ink=Ink.STRONG)
    text(pen, right, edge + 7.4, place, 3.2, 0.3 * wide, "right", ink=Ink.STRONG)
    text(pen, left, edge + 3.7, _around(seat), SMALL, wide - STAMP)
    words = f"CHECK: 0 to {CHECK_MM} = {CHECK_MM} mm on your tape" if check else ""
    long = lettering.width(words, fitted(words, SMALL, 0.6 * wide)) + 4.0 if check else 0.0
    text(pen, left, edge + 0.5, seat.foot, SMALL, wide - long)
    if check:
        text(pen, right, edge + 0.5, words, SMALL, 0.6 * wide, "right")
    if code:
        fiducials.draw(pen, code)
    return right, edge + 3.7


def _around(seat: Seat) -> str:
    """Which pages lie round this one and which edges are trimmed, in words."""
    said = []
    for word, column, row in (("ABOVE", 0, -1), ("BELOW", 0, 1), ("LEFT", -1, 0), ("RIGHT", 1, 0)):
        x, y = seat.column + column, seat.row + row
        if seat.has(x, y):
            said.append(f"{word}: page {seat.at(x, y)}")
    cut = [
        name
        for name, wanted in (
            ("lower", seat.has(seat.column, seat.row + 1)),
            ("right", seat.has(seat.column + 1, seat.row)),
        )
        if wanted
    ]
    if cut:
        said.append(f"TRIM: {' and '.join(cut)} edge")
    elif seat.count > 1:
        said.append("TRIM: nothing")
    return "   ".join(said)


def _map(pen: Pen, right: float, bottom: float, high: float, seat: Seat, paper: Paper) -> float:
    """Small map of the sheet's pages with this one black, at most ``high`` by 16 mm; returns its width."""
    tall = min(high / seat.rows, 16.0 / seat.columns * paper.height / paper.width)
    wide = tall * paper.width / paper.height
    left, top = right - wide * seat.columns, bottom + tall * seat.rows
    for row in range(seat.rows):
        for column in range(seat.columns):
            x, y = left + column * wide, top - row * tall
            if (column, row) == (seat.column, seat.row):
                pen.fill(((x, y), (x + wide, y), (x + wide, y - tall), (x, y - tall)))
            if seat.has(column, row):
                pen.box(x, y, x + wide, y - tall, Ink.TICK)
    return wide * seat.columns
