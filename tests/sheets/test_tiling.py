"""Pages put together again show the sheet: every mark once and in its place, and only the right pages fit."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from specimen import face

from jiggen.drawing.scene import Fill, Ink, Oval, Path, Pen, Text
from jiggen.sheets.extent import extent, overlaps
from jiggen.sheets.model import Keep, Page, Sheet
from jiggen.sheets.paper import bare, paper, usable, window
from jiggen.sheets.tiling import Tiled, pages, single

LETTER = paper("letter")
OVERLAP = 9.525  # 3/8 in


def tile(sheet: Sheet) -> Tiled:
    return pages(sheet, LETTER, OVERLAP, "porch 7f3a-22c1")


def placed(tiled: Tiled) -> Counter[tuple[str, float, float]]:
    """Each mark with its centre on the sheet, and on how many pages it is."""
    return Counter(
        (dict(s.data)["mark"], round(s.centre.x - p.shift[0], 6), round(s.centre.y - p.shift[1], 6))
        for p in tiled.pages
        for s in p.content
        if isinstance(s, Oval)
    )


def wanted(sheet: Sheet) -> Counter[tuple[str, float, float]]:
    return Counter(
        (dict(s.data)["mark"], round(s.centre.x, 6), round(s.centre.y, 6))
        for s in sheet.drawing.shapes
        if isinstance(s, Oval)
    )


def words(page: Page) -> list[str]:
    return [shape.text for shape in page.shapes if isinstance(shape, Text)]


@pytest.mark.parametrize(
    ("height", "width", "columns", "grid"),
    [
        (200.0, 120.0, 1, (1, 1)),
        (900.0, 120.0, 1, (1, 5)),
        (620.0, 150.0, 2, (1, 3)),
        (480.0, 330.0, 5, (3, 3)),
    ],
)
def test_every_mark_once_and_in_place(height: float, width: float, columns: int, grid: tuple[int, int]) -> None:
    sheet = face(height, width, columns)
    tiled = tile(sheet)
    assert (tiled.columns, tiled.rows) == grid
    assert len(tiled.pages) == grid[0] * grid[1]
    assert placed(tiled) == wanted(sheet)
    assert len(wanted(sheet)) >= 2
    assert tiled.warnings == ()


@given(
    st.floats(100.0, 1500.0),
    st.floats(60.0, 500.0),
    st.lists(st.tuples(st.floats(0.02, 0.98), st.floats(0.02, 0.98), st.floats(1.0, 6.0)), max_size=30),
)
@settings(max_examples=60, deadline=None)
def test_windows_cover_the_sheet(height: float, width: float, marks: list[tuple[float, float, float]]) -> None:
    pen, keeps = Pen(), []
    for i, (x, y, r) in enumerate(marks):
        cx, cy = x * width, y * height
        pen.oval(cx, cy, r, r, Ink.DRILL, data=(("mark", f"m{i}"),))
        keeps.append(Keep(cx - r, cy - r, cx + r, cy + r))
    sheet = Sheet("S9", "", pen.drawing(width, height), tuple(keeps))
    tiled = tile(sheet)
    area = window(LETTER)
    for page in tiled.pages:
        left, bottom, right, top = page.window
        assert area[0] - 1e-6 <= left < right <= area[2] + 1e-6
        assert area[1] - 1e-6 <= bottom < top <= area[3] + 1e-6
    found = placed(tiled)
    assert set(found) == set(wanted(sheet))
    for (name, x, y), count in found.items():
        r = next(m[2] for i, m in enumerate(marks) if name == f"m{i}")
        box = (x - r, y - r, x + r, y + r)
        owners = sum(overlaps(box, own(tiled, sheet, page)) for page in tiled.pages)
        assert count == owners  # two pages only where a join runs through the mark


def own(tiled: Tiled, sheet: Sheet, page: Page) -> tuple[float, float, float, float]:
    """What is left of a page's window without the strips that go under its neighbours."""
    left, bottom, right, top = (edge - page.shift[i % 2] for i, edge in enumerate(page.window))
    return (left + OVERLAP * (page.column > 0), bottom, right, top - OVERLAP * (page.row > 0))


def test_pages_meet_at_their_joins() -> None:
    sheet = face(480.0, 330.0, 5)
    tiled = tile(sheet)
    area = 0.0
    for page in tiled.pages:
        left, bottom, right, top = own(tiled, sheet, page)
        area += (right - left) * (top - bottom)
    assert area == pytest.approx(480.0 * 330.0)


def test_join_marks_are_alike_on_both_sides_and_differ_from_join_to_join() -> None:
    tiled = tile(face(620.0, 420.0, 6))
    tips: dict[str, list[tuple[float, float]]] = {}
    for page in tiled.pages:
        halves = [s for s in page.shapes if isinstance(s, Path) and s.ink is Ink.JOIN and len(s.points) == 3]
        names = [n for n in words(page) if n[:1] == "J" and n[1:-1].isdigit() and n[-1] in "ab"]
        assert len(names) == len(halves)
        for name, half in zip(names, halves, strict=True):
            ends = (half.points[0], half.points[2])
            middle = [(ends[0][i] + ends[1][i]) / 2.0 - page.shift[i] for i in (0, 1)]
            tips.setdefault(name, []).append((round(middle[0], 6), round(middle[1], 6)))
    # 2 x 3 level joins and 3 x 2 upright ones, two marks each
    assert sorted(tips) == sorted(f"J{n}{letter}" for n in range(1, 13) for letter in "ab")
    assert all(len(found) == 2 and found[0] == found[1] for found in tips.values())
    first_column = sorted(tips[f"J{n}a"][0][0] for n in (1, 4))
    assert first_column[1] - first_column[0] > 2.0


def test_join_marks_on_a_fold_keep_off_the_words_beside_it() -> None:
    """A fold at 150, where the join lies on it, and words 16 mm long beside it every 40 of 230 mm: the line itself,
    all along the join, is no reason to give the search up."""
    pen = Pen()
    pen.line(150.0, 0.0, 150.0, 230.0, Ink.FOLD)
    for y in range(0, 230, 40):
        pen.text(155.0, float(y), "FOLD HERE", 2.5, angle=pi / 2.0)
    tiled = tile(Sheet("S1", "POST 1", pen.drawing(300.0, 230.0, "S1"), folds=(150.0,)))
    assert tiled.columns == 2
    spots = [extent(s) for s in pen.shapes if isinstance(s, Text)]
    tips = []
    for page in tiled.pages:
        for half in (s for s in page.shapes if isinstance(s, Path) and s.ink is Ink.JOIN and len(s.points) == 3):
            assert (half.points[0].x + half.points[2].x) / 2.0 - page.shift[0] == pytest.approx(150.0)
            tips.append((half.points[0].y + half.points[2].y) / 2.0 - page.shift[1])
    assert len(tips) == 4  # two marks, a half on each page
    assert not [(y, spot) for y in tips for spot in spots if spot[1] < y + 3.0 and y - 3.0 < spot[3]]


def test_a_mark_that_a_join_must_cut_is_on_both_pages_and_told() -> None:
    pen = Pen()
    pen.oval(60.0, 200.0, 150.0, 150.0, Ink.DRILL, data=(("mark", "big"),))
    sheet = Sheet("S4", "", pen.drawing(120.0, 400.0), (Keep(-90.0, 50.0, 210.0, 350.0),))
    tiled = tile(sheet)
    assert placed(tiled) == Counter({("big", 60.0, 200.0): 2})
    assert len(tiled.warnings) == 1
    assert "S4" in tiled.warnings[0]
    assert "big" in tiled.warnings[0]


def test_feet_tell_place_and_neighbours() -> None:
    first, second, third = tile(face(620.0, 150.0, 2)).pages
    assert [p.label for p in (first, second, third)] == ["S1-1", "S1-2", "S1-3"]
    assert "page 2 of 3" in words(second)
    assert "ABOVE: page 1   BELOW: page 3   TRIM: lower edge" in words(second)
    assert "ABOVE: page 2   TRIM: nothing" in words(third)
    assert "TRIM THIS EDGE, LAY IT ON PAGE 2" in words(first)
    assert "LAY PAGE 1 TO THIS LINE" in words(second)
    assert "porch 7f3a-22c1" in words(first)
    assert "S1  POST 3  TOWARD 4" in words(first)


def test_map_shows_this_page_black() -> None:
    """Of the 3 x 3 cells the black one of page 5 is the middle one."""
    page = tile(face(480.0, 330.0, 5)).pages[4]
    cells = [s for s in page.shapes if isinstance(s, Path) and s.closed and s.ink is Ink.TICK]
    black = [s for s in page.shapes if isinstance(s, Fill) and len(s.points) == 4]
    assert len(cells) == 9
    assert extent(black[0]) == pytest.approx(extent(cells[4]))


@pytest.mark.parametrize("size", ["letter", "a4", (94.0, 120.0)])
def test_furniture_stays_inside_the_margins(size: str | tuple[float, float]) -> None:
    sheet_paper = paper(size, 10.0)
    low = sheet_paper.margin - 0.3
    for page in pages(face(480.0, 330.0, 5), sheet_paper, OVERLAP, "porch 7f3a-22c1").pages:
        for shape in page.shapes:
            left, _, right, top = extent(shape)
            assert left >= low
            assert right <= sheet_paper.width - low
            assert top <= sheet_paper.height - low
            if not isinstance(shape, Text):  # a text's box keeps room below the line for a g
                assert extent(shape)[1] >= low


def test_single_page_at_its_place() -> None:
    pen = Pen()
    width, height = bare(LETTER)
    pen.line(0.0, 5.0, width, 5.0, Ink.EDGE)
    page = single(LETTER, pen.drawing(width, height), label="scale", title="SCALE", foot="f")
    assert page.window == pytest.approx((12.7, 24.7, 203.2, 260.2))  # 12.7 + 12; 215.9 - 12.7; 279.4 - 12.7 - 6.5
    assert extent(page.content[0]) == pytest.approx((12.7, 29.7, 203.2, 29.7))
    with pytest.raises(ValueError, match="too large"):
        single(LETTER, pen.drawing(width + 0.1, height), label="s", title="S", foot="f")
    with pytest.raises(ValueError, match="too large"):
        single(LETTER, pen.drawing(width, height), label="s", title="S", foot="f", rulers=True)


def test_what_fits_one_page_is_one_page() -> None:
    width, height = usable(LETTER)
    assert len(tile(face(height, width)).pages) == 1
    assert len(tile(face(height + 0.01, width)).pages) == 1  # its lowest 5 mm are blank: no page is printed for them
    assert len(tile(face(height + 5.1, width)).pages) == 2
    assert len(tile(face(height, width + 0.01)).pages) == 2


def test_an_inch_job_reads_its_joins_in_inches() -> None:
    pen = Pen()
    keeps = (Keep(10.0, 0.0, 20.0, 600.0, 1),)  # an outline as high as the sheet: no join misses it
    sheet = Sheet("S4", "", pen.drawing(150.0, 600.0), keeps)
    (first, *_) = pages(sheet, LETTER, OVERLAP, "porch", "in").warnings
    shown = usable(LETTER)[1] - 4.0  # a page less the edge that is trimmed
    assert f"in ({shown:.1f} mm) below its top" in first
    assert "within 1/4 in (6 mm) of an outline" in first
    (first, *_) = pages(sheet, LETTER, OVERLAP, "porch").warnings
    assert f"join {shown:.1f} mm below its top" in first
    assert "within 6 mm of an outline" in first


def spared() -> Tiled:
    """Two columns and three rows; in the right column a hole at the top, then only a line, then nothing."""
    pen = Pen()
    pen.box(0.0, 0.0, 170.0, 640.0, Ink.EDGE)
    pen.oval(320.0, 600.0, 3.0, 3.0, Ink.DRILL, 0.0, (("mark", "1/toward 2/1"),))
    pen.line(320.0, 250.0, 320.0, 560.0, Ink.HIDDEN)
    keeps = (Keep(317.0, 597.0, 323.0, 603.0),)
    sheet = Sheet("S1", "POST 1", pen.drawing(330.0, 640.0, "S1"), keeps, spare=((300.0, 0.0, 330.0, 560.0),))
    return tile(sheet)


def test_pages_with_nothing_to_do_are_not_printed() -> None:
    made = spared()
    assert (made.columns, made.rows, made.count) == (2, 3, 4)
    assert [(page.column, page.row) for page in made.pages] == [(0, 0), (1, 0), (0, 1), (0, 2)]
    assert [page.label for page in made.pages] == ["S1-1", "S1-2", "S1-3", "S1-4"]


def test_pages_beside_a_missing_one_have_no_edge_to_trim_there() -> None:
    words = [[s.text for s in page.shapes if isinstance(s, Text)] for page in spared().pages]
    assert any("page 3 of 4" in text for text in words[2])
    around = [next(text for text in own if "TRIM:" in text) for own in words]
    assert "RIGHT: page 2" in around[0] and "TRIM: lower and right edge" in around[0]
    assert "BELOW" not in around[1] and "LEFT: page 1" in around[1] and "TRIM: nothing" in around[1]
    assert "RIGHT" not in around[2] and "ABOVE: page 1" in around[2] and "TRIM: lower edge" in around[2]


def test_a_line_that_is_not_spare_keeps_its_page() -> None:
    sheet = replace(spared().sheet, spare=())
    assert tile(sheet).count == 5  # the lowest right page alone is blank
