"""A sheet of any size turned into pages of paper that are trimmed and taped together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi

from jiggen.drawing.scene import Drawing, Line, Oval, Path, Pen, Shape
from jiggen.sheets import edges, furniture
from jiggen.sheets.edges import TRIM, Mark
from jiggen.sheets.extent import Box, Placed, busy, extent, moved, overlaps, within
from jiggen.sheets.furniture import Seat
from jiggen.sheets.joins import CLEAR, Join, Span, joins
from jiggen.sheets.model import Page, Paper, Sheet
from jiggen.sheets.paper import bare, bare_window, usable, window
from jiggen.units import System, tape

__all__ = ["Tiled", "bare", "pages", "single", "usable"]

_RIM = 0.05  # of a page, mm: a line on its very edge is drawn on the page beside it too
_ALONG = 0.6  # of a join: what is drawn along more of it is no reason to move a mark
_BAND = 4.5  # on both sides of a join: where its marks must not meet anything


FOLDS = 0.6  # a fold in this last part of a page is taken for a join between columns
FOOT = 0.5  # where a sheet's foot begins in this last part of a page, it goes on the next whole


@dataclass(frozen=True)
class Tiled:
    """One sheet cut into pages; ``warnings``: what joins could not miss."""

    warnings: tuple[str, ...]
    columns: int
    rows: int
    layout: _Layout

    @property
    def sheet(self) -> Sheet:
        """What was cut."""
        return self.layout.sheet

    @property
    def count(self) -> int:
        return self.columns * self.rows - len(self.layout.gone)

    @property
    def pages(self) -> tuple[Page, ...]:
        """The pages, along the rows from the top; drawn each time they are asked for, for a large job has thousands."""
        places = ((column, row) for row in range(self.rows) for column in range(self.columns))
        return tuple(self.layout.page(*place) for place in places if place not in self.layout.gone)


def pages(sheet: Sheet, paper: Paper, overlap: float, foot: str, units: System = "mm") -> Tiled:
    """``sheet`` at true scale on as many pages as it takes, with rulers, feet, trim lines and join marks.

    Rows are cut from the top, columns from the left; the upper and the left page of a join is trimmed along
    it, the other one goes ``overlap`` mm under. A mark (an Oval) is drawn on the page on which its centre
    lies, on two only where a join runs through it. ``foot``: what every page says of what it belongs to.
    Raises ValueError where the overlap leaves too little of a page.
    """
    layout = _Layout(sheet, paper, overlap, foot, units)
    return Tiled(tuple(layout.warnings()), layout.columns, layout.rows, layout)


def level_joins(sheet: Sheet, page: float, overlap: float) -> tuple[Join, ...]:
    """Joins between rows of pages that each show ``page`` mm of height, as distances from the top of the sheet."""
    high = sheet.drawing.height
    keeps = [Span(high - k.top, high - k.bottom, k.weight) for k in sheet.keeps]
    return joins(high, page, overlap, TRIM, keeps, [high - at for at in sheet.breaks], FOOT)


def upright_joins(sheet: Sheet, page: float, overlap: float) -> tuple[Join, ...]:
    """Joins between columns of pages that each show ``page`` mm of width, as distances from the left of the sheet."""
    keeps = [Span(k.left, k.right, k.weight) for k in sheet.keeps]
    return joins(sheet.drawing.width, page, overlap, TRIM, keeps, sheet.folds, FOLDS)


def single(
    paper: Paper,
    drawing: Drawing,
    *,
    label: str,
    title: str,
    foot: str,
    rulers: bool = False,
    sheet: str = "",
) -> Page:
    """One page with ``drawing`` on it, true scale, centred, from the top; for what is never cut into pages.

    ``rulers``: whether the page carries its rulers; the drawing then has ``usable(paper)``, else
    ``bare(paper)``. Raises ValueError where it does not fit.
    """
    area = window(paper) if rulers else bare_window(paper)
    if drawing.width > area[2] - area[0] + 1e-6 or drawing.height > area[3] - area[1] + 1e-6:
        raise ValueError(
            f"{title}: {drawing.width:.1f} x {drawing.height:.1f} mm is too large for a page of"
            f" {area[2] - area[0]:.1f} x {area[3] - area[1]:.1f} mm"
        )
    left = (area[0] + area[2] - drawing.width) / 2.0
    bottom = area[3] - drawing.height
    pen = Pen()
    stamp = furniture.foot(pen, paper, Seat(title, foot, label=label), rulers)
    return Page(
        paper,
        label,
        tuple(moved(shape, left, bottom) for shape in drawing.shapes),
        (left, bottom, left + drawing.width, area[3]),
        tuple(pen.shapes),
        (left, bottom),
        sheet,
        rulers=rulers,
        stamp=stamp,
    )


@dataclass(frozen=True)
class _Layout:
    """Where the joins of one sheet lie; everything below follows from them."""

    sheet: Sheet
    paper: Paper
    overlap: float
    foot: str
    units: System = "mm"

    @cached_property
    def across(self) -> tuple[Join, ...]:
        """Joins between rows, as distances from the top of the sheet."""
        return level_joins(self.sheet, usable(self.paper)[1], self.overlap)

    @cached_property
    def upright(self) -> tuple[Join, ...]:
        """Joins between columns, as distances from the left of the sheet."""
        return upright_joins(self.sheet, usable(self.paper)[0], self.overlap)

    @cached_property
    def xs(self) -> list[float]:
        return [0.0, *(join.at for join in self.upright), self.sheet.drawing.width]

    @cached_property
    def ys(self) -> list[float]:
        """Heights on the sheet from its top to its bottom."""
        high = self.sheet.drawing.height
        return [high, *(high - join.at for join in self.across), 0.0]

    @property
    def columns(self) -> int:
        return len(self.xs) - 1

    @property
    def rows(self) -> int:
        return len(self.ys) - 1

    @cached_property
    def extents(self) -> list[Placed]:
        return [(shape, extent(shape)) for shape in self.sheet.drawing.shapes]

    def own(self, column: int, row: int) -> Box:
        """What a page alone shows when all is taped, sheet coordinates."""
        return (self.xs[column], self.ys[row + 1], self.xs[column + 1], self.ys[row])

    def shown(self, column: int, row: int) -> Box:
        """``own`` and the strips that go under the pages above and to the left."""
        left, bottom, right, top = self.own(column, row)
        return (left - self.overlap * (column > 0), bottom, right, top + self.overlap * (row > 0))

    def shift(self, column: int, row: int) -> tuple[float, float]:
        """Page less sheet coordinates: from the top of the window; one column is centred in it."""
        area, shown = window(self.paper), self.shown(column, row)
        spare = area[2] - area[0] - self.sheet.drawing.width if self.columns == 1 else 0.0
        return (area[0] + max(spare, 0.0) / 2.0 - shown[0], area[3] - shown[3])

    def content(self, column: int, row: int) -> list[Placed]:
        """The shapes that reach into what the page owns, and their boxes; in its strips nothing lies that does not."""
        own, (dx, dy) = self.own(column, row), self.shift(column, row)
        return [
            (moved(shape, dx, dy), (box[0] + dx, box[1] + dy, box[2] + dx, box[3] + dy))
            for shape, box in within(self.extents, own)
            if not isinstance(shape, Oval) or overlaps(box, own)
        ]

    @cached_property
    def gone(self) -> frozenset[tuple[int, int]]:
        """Columns and rows of the pages that show nothing, or nothing but lines in areas that are spare."""
        places = [(column, row) for row in range(self.rows) for column in range(self.columns)]
        last = self.rows - 1 if self.columns == 1 else 0  # of one column its end alone: a gap would part the rest
        return frozenset(place for place in places[1:] if place[1] >= last and self._needless(*place))

    def _needless(self, column: int, row: int) -> bool:
        left, bottom, right, top = self.own(column, row)
        rim = _RIM if self.columns > 1 else 0.0
        inside = (left + rim, bottom + rim, right - rim, top - rim)
        for shape, box in within(self.extents, inside):
            seen = busy([(shape, box)], inside)
            plain = isinstance(shape, Line | Path)
            if any(not (plain and any(_within(piece, area) for area in self.sheet.spare)) for piece in seen):
                return False
        return True

    def page(self, column: int, row: int) -> Page:
        seat = Seat(
            f"{self.sheet.id}  {self.sheet.name}".strip(),
            self.foot,
            self.columns,
            self.rows,
            column,
            row,
            sheet=self.sheet.id,
            gone=self.gone,
        )
        shift, shown = self.shift(column, row), self.shown(column, row)
        pen = Pen()
        stamp = furniture.foot(pen, self.paper, seat)
        for side in (_below, _right, _above, _left):
            side(self, pen, seat)
        content = self.content(column, row)
        return Page(
            self.paper,
            self.sheet.id if seat.count == 1 else f"{self.sheet.id}-{seat.number}",
            tuple(shape for shape, _ in content),
            (shown[0] + shift[0], shown[1] + shift[1], shown[2] + shift[0], shown[3] + shift[1]),
            tuple(pen.shapes),
            shift,
            self.sheet.id,
            column,
            row,
            True,
            stamp,
            tuple(box for _, box in content),
        )

    @cached_property
    def level_marks(self) -> dict[tuple[int, int], tuple[Mark, ...]]:
        """Marks of the joins under each page, by column and row: joins 1, 2, ... along the rows."""
        made = {}
        for row in range(self.rows - 1):
            for column in range(self.columns):
                left, low, right, _ = self.own(column, row)
                band = self.spans((left, low - _BAND, right, low + _BAND), False)
                made[column, row] = edges.marks(row * self.columns + column + 1, left, right, band)
        return made

    @cached_property
    def upright_marks(self) -> dict[tuple[int, int], tuple[Mark, ...]]:
        """Marks of the joins to the right of each page; their numbers go on where the level ones end."""
        made = {}
        before = (self.rows - 1) * self.columns
        for row in range(self.rows):
            for column in range(self.columns - 1):
                _, low, right, high = self.own(column, row)
                band = self.spans((right - _BAND, low, right + _BAND, high), True)
                number = before + row * (self.columns - 1) + column + 1
                made[column, row] = edges.marks(number, low, high, band)
        return made

    def spans(self, box: Box, upright: bool) -> list[tuple[float, float]]:
        """Where along ``box``, a join, something is drawn; what goes with most of it (a fold) is everywhere and left out."""
        most = _ALONG * (box[3] - box[1] if upright else box[2] - box[0])
        return [(low, high) for low, high in edges.spans(self.extents, box, upright) if high - low < most]

    @property
    def _shapes(self) -> tuple[Shape, ...]:
        return self.sheet.drawing.shapes

    def warnings(self) -> list[str]:
        """What lies within 6 mm of a join that could not be placed better."""
        said = []
        for row, join in enumerate(self.across):
            place = f"join {self._told(join.at)} below its top (under row {row + 1} of pages)"
            said += self._warning(place, join)
        for column, join in enumerate(self.upright):
            place = f"join {self._told(join.at)} from its left (right of column {column + 1} of pages)"
            said += self._warning(place, join)
        return said

    def _told(self, mm: float) -> str:
        return f"{mm:.1f} mm" if self.units == "mm" else f"{tape(mm).told} in ({mm:.1f} mm)"

    @property
    def _near(self) -> str:
        return f"{CLEAR:.0f} mm" if self.units == "mm" else f"1/4 in ({CLEAR:.0f} mm)"

    def _warning(self, place: str, join: Join) -> list[str]:
        said = []
        holes = [i for i in join.near if self.sheet.keeps[i].weight >= 2]
        outlines = len(join.near) - len(holes)
        if holes:
            names = ", ".join(name for i in holes for name in self._names(i))
            said.append(f"sheet {self.sheet.id}: the {place} passes within {self._near} of {names}")
        if outlines:
            count = "an outline" if outlines == 1 else f"{outlines} outlines"
            said.append(f"sheet {self.sheet.id}: the {place} passes through or within {self._near} of {count}")
        return said

    def _names(self, index: int) -> list[str]:
        """The marks whose centres lie in a keep; the keep's place on the sheet where there is none."""
        keep = self.sheet.keeps[index]
        named = [
            value
            for shape in self._shapes
            if isinstance(shape, Oval)
            and keep.left <= shape.centre.x <= keep.right
            and keep.bottom <= shape.centre.y <= keep.top
            for key, value in shape.data
            if key == "mark"
        ]
        x, y = (keep.left + keep.right) / 2.0, (keep.bottom + keep.top) / 2.0
        return named or [f"the hole at {x:.1f}, {y:.1f} mm"]


def _within(piece: Box, area: Box) -> bool:
    return piece[0] >= area[0] and piece[1] >= area[1] and piece[2] <= area[2] and piece[3] <= area[3]


def _below(layout: _Layout, pen: Pen, seat: Seat) -> None:
    if not seat.has(seat.column, seat.row + 1):
        return
    (dx, dy), (left, low, right, _) = _here(layout, seat)
    edges.trimmed(
        pen,
        lambda along, out: (left + dx + along, low + dy - out),
        right - left,
        0.0,
        seat.at(seat.column, seat.row + 1),
    )
    for mark in layout.level_marks[seat.column, seat.row]:
        edges.half_mark(pen, lambda along, out: (along + dx, low + dy + out), mark.along, mark.name, 0.0)


def _right(layout: _Layout, pen: Pen, seat: Seat) -> None:
    if not seat.has(seat.column + 1, seat.row):
        return
    (dx, dy), (_, low, right, high) = _here(layout, seat)
    edges.trimmed(
        pen,
        lambda along, out: (right + dx + out, low + dy + along),
        high - low,
        pi / 2,
        seat.at(seat.column + 1, seat.row),
    )
    for mark in layout.upright_marks[seat.column, seat.row]:
        edges.half_mark(pen, lambda along, out: (right + dx - out, along + dy), mark.along, mark.name, pi / 2)


def _above(layout: _Layout, pen: Pen, seat: Seat) -> None:
    if not seat.has(seat.column, seat.row - 1):
        return
    (dx, dy), (left, _, right, high) = _here(layout, seat)
    strip = (left, high, right, high + layout.overlap)
    drawn = edges.spans(within(within(layout.extents, strip), layout.own(seat.column, seat.row)), strip, False)
    edges.laid(
        pen,
        lambda along, out: (left + dx + along, high + dy + out),
        right - left,
        0.0,
        (layout.overlap, [(a - left, b - left) for a, b in drawn]),
        seat.at(seat.column, seat.row - 1),
    )
    for mark in layout.level_marks[seat.column, seat.row - 1]:
        edges.half_mark(pen, lambda along, out: (along + dx, high + dy - out), mark.along, mark.name, 0.0)


def _left(layout: _Layout, pen: Pen, seat: Seat) -> None:
    if not seat.has(seat.column - 1, seat.row):
        return
    (dx, dy), (left, low, _, high) = _here(layout, seat)
    strip = (left - layout.overlap, low, left, high)
    drawn = edges.spans(within(within(layout.extents, strip), layout.own(seat.column, seat.row)), strip, True)
    edges.laid(
        pen,
        lambda along, out: (left + dx - out, low + dy + along),
        high - low,
        pi / 2,
        (layout.overlap, [(a - low, b - low) for a, b in drawn]),
        seat.at(seat.column - 1, seat.row),
    )
    for mark in layout.upright_marks[seat.column - 1, seat.row]:
        edges.half_mark(pen, lambda along, out: (left + dx + out, along + dy), mark.along, mark.name, pi / 2)


def _here(layout: _Layout, seat: Seat) -> tuple[tuple[float, float], Box]:
    return layout.shift(seat.column, seat.row), layout.own(seat.column, seat.row)
