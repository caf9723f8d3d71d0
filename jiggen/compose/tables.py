"""Tables and paragraphs turned into pages: columns as wide as their contents, cells wrapped, heads repeated, nothing off a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import fsum
from typing import Literal

from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Drawing, Ink, Pen

HEIGHT = 2.5  # of a cell's capitals (ISO 3098)
PITCH = 4.0  # from line to line
PAD = 1.4  # clear at either side of a cell
ABOVE = 1.1  # clear over the first line of a row and under the last
TITLE = 4.5
LEAST = 6.0  # narrowest column, pads included
TOGETHER = 2  # rows that stay with their head

Size = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, where its words stand, ``wide``: mm it has at least (boxes to write in)."""

    heading: str
    align: Literal["left", "right"] = "left"
    wide: float = 0.0


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a ``title``; ``tall``: least height of a row, for rows to write in. ``fresh``: begin on a new page.

    ``starts``: numbers of rows that begin a group; a group that fits on a page is not torn where it need not be.
    """

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    tall: float = 0.0
    fresh: bool = False
    starts: frozenset[int] = field(default_factory=frozenset)


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph each, under a ``title`` where there is one. ``high``: of capitals. ``ticks``: a box before each."""

    lines: tuple[str, ...]
    title: str = ""
    high: float = HEIGHT
    ticks: bool = False


Block = Table | Words


def flow(blocks: Sequence[Block], size: Size, title: str, under: str = "") -> tuple[Drawing, ...]:
    """The blocks in their order on as many drawings of ``size`` mm as they need, each headed ``title``.

    ``under``: a line below the first page's title. A column head is repeated on each page. Raises ValueError where a page
    is too small to hold any row (under 60 x 60 mm).
    """
    return tuple(flowing(blocks, size, title, under))


def flowing(blocks: Sequence[Block], size: Size, title: str, under: str = "") -> Iterator[Drawing]:
    """The drawings that ``flow`` gives, each as soon as it is full."""
    if size[0] < 60.0 or size[1] < 60.0:
        raise ValueError(f"a page of {size[0]:.0f} x {size[1]:.0f} mm holds no table")
    book = _Book(size, title, under)
    for block in blocks:
        if isinstance(block, Table):
            for _ in _table(book, block):
                yield from book.full()
        else:
            _words(book, block)
            yield from book.full()
    yield from book.full(0)


def cut_words(words: str, height: float, room: float) -> list[str]:
    """The words in lines no wider than ``room`` mm; a word that is wider is broken. One line at least."""
    lines: list[str] = []
    line = ""
    for word in words.split():
        longer = f"{line} {word}" if line else word
        if width(longer, height) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        *whole, line = _broken(word, height, room)
        lines.extend(whole)
    return [*lines, line]


def _broken(word: str, height: float, room: float) -> list[str]:
    """A word in pieces no wider than ``room``, one character at least each."""
    pieces = []
    while width(word, height) > room and len(word) > 1:
        low, high = 1, len(word)
        while high - low > 1:  # the longest start that fits
            middle = (low + high) // 2
            low, high = (middle, high) if width(word[:middle], height) <= room else (low, middle)
        pieces.append(word[:low])
        word = word[low:]
    return [*pieces, word]


class _Book:
    """Pages being filled from the top; ``y``: where the next line's top is."""

    def __init__(self, size: Size, title: str, under: str) -> None:
        self.size, self.title = size, title
        self.pages: list[Pen] = []  # those that nobody took yet, the last one being filled
        self.turned = 0
        self.y = 0.0
        self.turn()
        if under:
            for line in cut_words(under, 3.0, size[0] - 2.0):
                self.pen.text(1.0, self.y - 3.0, line, 3.0)
                self.y -= 4.6
            self.y -= 1.0
        self.first = self.y

    @property
    def pen(self) -> Pen:
        return self.pages[-1]

    @property
    def room(self) -> float:
        """Height that is left on this page."""
        return self.y - 0.5

    @property
    def whole(self) -> float:
        """Height that a fresh page has."""
        return self.size[1] - 0.5 - _head_height(self.title, self.size[0])

    @property
    def fresh(self) -> bool:
        """Whether nothing stands on this page yet but its head."""
        return self.y >= (self.first if self.turned == 1 else self.whole + 0.5) - 1e-9

    def turn(self) -> None:
        """Begin a page."""
        self.pages.append(Pen())
        self.turned += 1
        words = self.title + (" (continued)" if self.turned > 1 else "")
        high = fitted(words, 6.0, self.size[0] - 2.0, 3.0)
        self.pen.text(1.0, self.size[1] - 1.0 - high, words, high, ink=Ink.STRONG)
        self.y = self.size[1] - _head_height(self.title, self.size[0])

    def need(self, height: float) -> None:
        """Turn the page where ``height`` is not left, unless this one is fresh."""
        if height > self.room and not self.fresh:
            self.turn()

    def full(self, but: int = 1) -> Iterator[Drawing]:
        """The pages that nobody took yet, all but the last ``but`` of them."""
        while len(self.pages) > but:
            yield self.pages.pop(0).drawing(*self.size, self.title)


def _head_height(title: str, wide: float) -> float:
    return fitted(f"{title} (continued)", 6.0, wide - 2.0, 3.0) + 5.0


def _words(book: _Book, block: Words) -> None:
    pitch = block.high * 1.6
    indent = block.high * 2.0 if block.ticks else 0.0
    cut = [cut_words(words, block.high, book.size[0] - 2.0 - indent) for words in block.lines]
    first = pitch * len(cut[0]) if cut else 0.0
    if block.title:
        book.need(TITLE + 5.0 + min(first, 4.0 * pitch))
        _title(book, block.title)
    for lines in cut:
        if len(lines) <= 4:
            book.need(pitch * len(lines))
        for number, line in enumerate(lines):
            book.need(pitch)
            if block.ticks and number == 0:
                side = block.high * 1.1
                book.pen.box(1.2, book.y - side, 1.2 + side, book.y, Ink.TICK)
            book.pen.text(1.0 + indent, book.y - block.high, line, block.high)
            book.y -= pitch
        book.y -= pitch * 0.25
    book.y -= 2.0


def _title(book: _Book, title: str) -> None:
    for line in cut_words(title, 3.5, book.size[0] - 2.0):
        book.pen.text(1.0, book.y - 3.5, line, 3.5, ink=Ink.STRONG)
        book.y -= 5.2
    book.y -= 0.6


def _table(book: _Book, table: Table) -> Iterator[None]:
    """Draws a table; stops after each row."""
    wide = widths(table, book.size[0])
    head = _Row(table, tuple(column.heading for column in table.columns), wide, strong=True)
    if head.height + 4.0 * PITCH > book.whole:
        raise ValueError(f"{table.title}: a head of {head.height:.0f} mm leaves no room for a row")
    rows = [_Row(table, row, wide) for row in table.rows]
    if table.fresh and not book.fresh:
        book.turn()
    least = fsum(row.height for row in rows[:TOGETHER])
    titled = 5.8 * len(cut_words(table.title, 3.5, book.size[0] - 2.0)) if table.title else 0.0
    book.need(min(titled + head.height + least, book.whole))
    if table.title:
        _title(book, table.title)
    head.draw(book)
    for number, row in enumerate(rows):
        if number:
            _turn_for(book, table, rows, number, head)
        while row.height > book.room and row.lines > 1:
            part, row = row.split(book.room)
            part.draw(book)
            book.turn()
            head.draw(book)
        row.draw(book)
        yield
    book.y -= 5.0


def _turn_for(book: _Book, table: Table, rows: Sequence[_Row], number: int, head: _Row) -> None:
    """Turn the page where the row, or the group that it begins, is better off on a fresh one."""
    need = rows[number].height
    if number in table.starts:
        end = next((n for n in range(number + 1, len(rows)) if n in table.starts), len(rows))
        group = fsum(row.height for row in rows[number:end])
        if group + head.height <= book.whole and book.room < book.whole / 3.0:
            need = group
    if number + 1 == len(rows) - 1:
        need += rows[-1].height  # no last row alone on a page
    fits_alone = rows[number].height + head.height <= book.whole
    if need > book.room and (fits_alone or book.room < head.height + 4.0 * PITCH):
        book.turn()
        head.draw(book)


class _Row:
    """A row with its cells cut into lines."""

    def __init__(self, table: Table, cells: tuple[str, ...], wide: Sequence[float], strong: bool = False) -> None:
        self.columns, self.wide, self.strong, self.tall = table.columns, wide, strong, table.tall if not strong else 0.0
        self.cut = [cut_words(cell, HEIGHT, across - 2.0 * PAD) for cell, across in zip(cells, wide, strict=True)]

    @property
    def lines(self) -> int:
        return max(len(cell) for cell in self.cut)

    @property
    def height(self) -> float:
        return max(self.lines * PITCH - (PITCH - HEIGHT) + 2.0 * ABOVE, self.tall)

    def split(self, room: float) -> tuple[_Row, _Row]:
        """The row in two, the first no higher than ``room`` (one line at least)."""
        count = max(1, int((room - 2.0 * ABOVE + PITCH - HEIGHT) / PITCH))
        first, rest = _copy(self), _copy(self)
        first.cut = [cell[:count] or [""] for cell in self.cut]
        rest.cut = [cell[count:] or [""] for cell in self.cut]
        first.tall = 0.0
        return first, rest

    def draw(self, book: _Book) -> None:
        pen, top, bottom = book.pen, book.y, book.y - self.height
        x = 0.0
        for column, across, lines in zip(self.columns, self.wide, self.cut, strict=True):
            pen.box(x, bottom, x + across, top, Ink.TICK)
            y = top - ABOVE - HEIGHT
            for line in lines:
                if line:
                    right = column.align == "right" and not self.strong
                    at = x + across - PAD if right else x + PAD
                    pen.text(at, y, line, HEIGHT, "right" if right else "left", ink=_ink(self.strong))
                y -= PITCH
            x += across
        if self.strong:
            pen.line(0.0, bottom, x, bottom, Ink.EDGE)
        book.y = bottom


def _copy(row: _Row) -> _Row:
    made = object.__new__(_Row)
    made.columns, made.wide, made.strong, made.tall, made.cut = row.columns, row.wide, row.strong, row.tall, row.cut
    return made


def _ink(strong: bool) -> Ink:
    return Ink.STRONG if strong else Ink.NOTE


def widths(table: Table, room: float) -> list[float]:
    """Width of each column, mm: as its contents ask; where that is over ``room``, all give way, the widest most."""
    if len(table.columns) * LEAST > room:
        raise ValueError(f"{len(table.columns)} columns do not go into {room:.0f} mm")
    asked, least = [], []
    for index, column in enumerate(table.columns):
        cells = [column.heading, *(row[index] for row in table.rows)]
        asked.append(max(_natural(cells), column.wide))
        longest = max((width(word, HEIGHT) for cell in cells for word in cell.split()), default=0.0)
        least.append(max(longest + 2.0 * PAD + 0.01, min(column.wide, asked[-1]), LEAST))
    if fsum(asked) <= room:
        return asked
    floor = least if fsum(least) <= room else [LEAST] * len(asked)
    return _shared(asked, floor, room)


def _natural(cells: Sequence[str]) -> float:
    """Width that lets no cell be broken, with a hair for rounding."""
    return max(LEAST, max(width(" ".join(cell.split()), HEIGHT) for cell in cells) + 2.0 * PAD + 0.01)


def _shared(asked: Sequence[float], floor: Sequence[float], room: float) -> list[float]:
    """Widths cut down together to ``room``, wide columns more than narrow ones, never under ``floor``."""

    def cut(share: float) -> list[float]:
        return [max(least, min(want, share * want**0.75)) for want, least in zip(asked, floor, strict=True)]

    low, high = 0.0, max(asked)
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (low, middle) if fsum(cut(middle)) > room else (middle, high)
    return cut(low)
