"""The table flow: whatever the cells, all are drawn once and in order, in their column, on a page, under a repeated head."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jiggen.compose.tables import HEIGHT, Column, Table, Words, cut_words, flow, widths
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Drawing, Ink, Path, Text
from jiggen.sheets.extent import extent

word = st.text(st.sampled_from("abcWM019.,/#-°"), min_size=1, max_size=30)
cell = st.lists(word, max_size=12).map(" ".join)
sizes = st.tuples(st.integers(100, 260).map(float), st.integers(120, 380).map(float))


@st.composite
def tables(draw: st.DrawFn) -> Table:
    count = draw(st.integers(1, 6))
    heads = draw(st.lists(st.text(st.sampled_from("abcdef"), min_size=1, max_size=10), min_size=count, max_size=count))
    sides = draw(st.lists(st.sampled_from(["left", "right"]), min_size=count, max_size=count))
    rows = draw(st.lists(st.tuples(*[cell] * count), min_size=1, max_size=40))
    starts = frozenset(draw(st.sets(st.integers(0, len(rows) - 1), max_size=5)))
    columns = tuple(Column(head, side) for head, side in zip(heads, sides, strict=True))  # type: ignore[arg-type]
    return Table("Any table", columns, tuple(rows), draw(st.sampled_from([0.0, 7.0])), draw(st.booleans()), starts)


def column_of(text: Text, edges: list[float]) -> int:
    """The column that a word's middle lies in."""
    left = extent(text)[0]
    return max(index for index, edge in enumerate(edges[:-1]) if left >= edge - 0.01)


@given(tables(), sizes)
def test_every_cell_once_in_order(table: Table, size: tuple[float, float]) -> None:
    drawings = flow([table], size, "A list")
    edges = [0.0]
    for across in widths(table, size[0]):
        edges.append(edges[-1] + across)
    assert edges[-1] <= size[0] + 0.01
    found: list[str] = [""] * len(table.columns)
    for drawing in drawings:
        for shape in drawing.shapes:
            box = extent(shape)
            assert box[0] > -0.01 and box[1] > -0.01 and box[2] < size[0] + 0.01 and box[3] < size[1] + 0.5
            if isinstance(shape, Text) and shape.ink is Ink.NOTE:
                column = column_of(shape, edges)
                assert box[0] > edges[column] - 0.01 and box[2] < edges[column + 1] + 0.01, shape.text
                found[column] += shape.text.replace(" ", "")
    for column in range(len(table.columns)):
        assert found[column] == "".join(row[column].replace(" ", "") for row in table.rows)


@given(tables(), sizes)
def test_rows_do_not_overlap(table: Table, size: tuple[float, float]) -> None:
    """Cells of one page stand one under the other: in each column no box reaches into the next."""
    for drawing in flow([table], size, "A list"):
        boxes = [extent(shape) for shape in drawing.shapes if isinstance(shape, Path) and shape.closed]
        first = [box for box in boxes if abs(box[0]) < 1e-9]
        for above, below in pairwise(first):
            assert below[3] <= above[1] + 1e-6


def heads(drawing: Drawing, heading: str) -> int:
    return sum(
        isinstance(shape, Text) and shape.ink is Ink.STRONG and shape.text == heading for shape in drawing.shapes
    )


def test_the_head_is_repeated_on_each_page() -> None:
    table = Table("Long", (Column("number", "right"), Column("words")), tuple((str(k), f"row {k}") for k in range(300)))
    drawings = flow([table], (190.0, 240.0), "A list")
    assert len(drawings) > 3
    assert all(heads(drawing, "number") == 1 and heads(drawing, "words") == 1 for drawing in drawings)
    assert [heads(drawing, "A list") for drawing in drawings] == [1] + [0] * (len(drawings) - 1)
    assert all(heads(drawing, "A list (continued)") == 1 for drawing in drawings[1:])


def test_no_head_and_no_last_row_stand_alone() -> None:
    """Whatever lies above a table: at least two of its rows are on the page of its head, and on the last page."""
    for lines in range(1, 70):
        rows = tuple((f"r{k}",) for k in range(60))
        drawings = flow(
            [Words(tuple("word" for _ in range(lines))), Table("T", (Column("c"),), rows)], (100.0, 200.0), "L"
        )
        for drawing in drawings:
            count = sum(isinstance(s, Text) and s.text.startswith("r") and s.text[1:].isdigit() for s in drawing.shapes)
            assert count != 1, lines
            assert bool(count) == bool(heads(drawing, "c")), lines


def test_a_group_is_kept_whole_where_little_room_is_left() -> None:
    rows = tuple((f"{k // 6}", f"row {k}") for k in range(120))
    starts = frozenset(range(0, 120, 6))
    table = Table("Posts", (Column("post"), Column("row")), rows, 0.0, False, starts)
    for drawing in flow([table], (120.0, 200.0), "L"):
        posts = [s.text for s in drawing.shapes if isinstance(s, Text) and s.text.isdigit() and s.ink is Ink.NOTE]
        assert all(posts.count(post) == 6 for post in posts)


@given(cell, st.floats(4.0, 60.0))
def test_lines_fit_and_lose_nothing(words: str, room: float) -> None:
    lines = cut_words(words, HEIGHT, room)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")
    assert all(width(line, HEIGHT) <= room or len(line) == 1 for line in lines)


def test_columns_without_need_are_not_stretched_and_too_many_are_refused() -> None:
    table = Table("T", (Column("a"), Column("b", wide=30.0)), (("1", "2"),))
    narrow, wide = widths(table, 190.0)
    assert narrow == 6.0 and wide == 30.0
    with pytest.raises(ValueError, match="do not go into"):
        widths(Table("T", tuple(Column("x") for _ in range(40)), ()), 190.0)
    with pytest.raises(ValueError, match="holds no table"):
        flow([], (50.0, 50.0), "L")
