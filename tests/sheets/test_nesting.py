"""Blocks on sheets: nothing overlaps or leaves its sheet (shapely), few sheets on random sets; kerf offsets by hand."""

from __future__ import annotations

from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from jiggen.geometry import Point
from jiggen.sheets.kerf import cleaned, offset
from jiggen.sheets.nesting import Block, Nest, NoRoom, nest

MARGIN, GAP = 8.0, 4.0


def laid(found: Nest) -> list[list[Polygon]]:
    sheets: list[list[Polygon]] = [[] for _ in range(found.sheets)]
    for spot in found.spots:
        sheets[spot.sheet].append(box(spot.x, spot.y, spot.x + spot.width, spot.y + spot.height))
    return sheets


def check(found: Nest, blocks: list[Block], width: float, height: float) -> None:
    inner = box(MARGIN, MARGIN, width - MARGIN, height - MARGIN).buffer(1e-6)
    assert [spot.id for spot in found.spots] == [block.id for block in blocks]
    for spot, block in zip(found.spots, blocks, strict=True):
        size = (block.height, block.width) if spot.turned else (block.width, block.height)
        assert (spot.width, spot.height) == size
        assert block.turns or not spot.turned
    for sheet in laid(found):
        assert sheet
        for i, one in enumerate(sheet):
            assert inner.contains(one)
            for other in sheet[i + 1 :]:
                assert one.distance(other) >= GAP - 1e-6


SIZES = st.integers(200, 2600).map(lambda n: n / 10.0)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(SIZES, SIZES, st.booleans()), min_size=1, max_size=40))
def test_random_blocks(sizes: list[tuple[float, float, bool]]) -> None:
    """Blocks of 20 to 260 mm on 600 x 400: none overlap, all inside, at most one sheet more than the blocks with
    their gaps would fill."""
    blocks = [Block(f"b{i}", w, h, turns) for i, (w, h, turns) in enumerate(sizes)]
    found = nest(blocks, 600.0, 400.0, MARGIN, GAP)
    check(found, blocks, 600.0, 400.0)
    room = (600.0 - 2 * MARGIN + GAP) * (400.0 - 2 * MARGIN + GAP)
    filled = ceil(sum((b.width + GAP) * (b.height + GAP) for b in blocks) / room)
    assert found.bound == ceil(sum(b.width * b.height for b in blocks) / (584.0 * 384.0))
    assert found.bound <= found.sheets
    assert found.sheets <= max(filled, found.bound) + max(1, filled // 4)


@pytest.mark.parametrize("seed", range(12))
def test_sheet_count_is_at_most_the_bound_plus_one(seed: int) -> None:
    """Sets such as jigs have: 25 blocks of 30 to 200 mm."""
    import random

    rng = random.Random(seed)
    blocks = [Block(f"b{i}", rng.uniform(30.0, 200.0), rng.uniform(30.0, 200.0)) for i in range(25)]
    found = nest(blocks, 600.0, 400.0, MARGIN, GAP)
    check(found, blocks, 600.0, 400.0)
    assert found.sheets <= found.bound + 1


def test_a_grain_is_kept() -> None:
    """A board 500 long upright on a sheet 400 high is turned; one whose grain must stay does not fit."""
    assert nest([Block("a", 100.0, 500.0)], 600.0, 400.0, MARGIN, GAP).spots[0].turned
    with pytest.raises(NoRoom, match=r"a is 100\.0 x 500\.0 mm") as error:
        nest([Block("a", 100.0, 500.0, turns=False)], 600.0, 400.0, MARGIN, GAP)
    assert error.value.id == "a"


def test_nothing_to_lay() -> None:
    assert nest([], 600.0, 400.0, MARGIN, GAP) == Nest((), 0, 0)


def test_a_sheet_that_is_just_full() -> None:
    blocks = [Block("a", 290.0, 384.0), Block("b", 290.0, 384.0)]  # 290 + 4 + 290 = 584 = 600 - 2 x 8
    found = nest(blocks, 600.0, 400.0, MARGIN, GAP)
    assert (found.sheets, found.bound) == (1, 1)


def test_offset_of_a_step_by_hand() -> None:
    """An L of 10 x 10 less 4 x 4, moved out by 0.1: every side by 0.1, the inner corner to (6.1, 6.1)."""
    shape = [Point(*p) for p in ((0, 0), (10, 0), (10, 6), (6, 6), (6, 10), (0, 10))]
    moved = offset(shape, 0.1)
    wanted = [(-0.1, -0.1), (10.1, -0.1), (10.1, 6.1), (6.1, 6.1), (6.1, 10.1), (-0.1, 10.1)]
    assert [tuple(p) for p in moved] == [pytest.approx(p) for p in wanted]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(5, 60), min_size=4, max_size=12), st.floats(-0.9, 0.9))
def test_offset_agrees_with_shapely(steps: list[int], out: float) -> None:
    """Staircases, which have right corners both ways, against shapely's mitred buffer."""
    points = [Point(0.0, 0.0), Point(float(sum(steps[0::2])), 0.0)]
    x, y = points[-1]
    for run, rise in zip(steps[0::2], steps[1::2], strict=False):
        y += rise
        points.append(Point(x, y))
        x -= run
        points.append(Point(x, y))
    points = list(cleaned([*points, Point(0.0, y)]))
    shape = Polygon(points)
    if not shape.is_valid or shape.area < 1.0:
        return
    mine = Polygon(offset(points, out))
    theirs = shape.buffer(out, join_style="mitre", mitre_limit=20.0)
    assert mine.symmetric_difference(theirs).area < 1e-6 * max(1.0, shape.area)


def test_doubled_corners_do_no_harm() -> None:
    square = [Point(*p) for p in ((0, 0), (4, 0), (4, 0), (4, 4), (0, 4), (0, 0))]
    assert len(cleaned(square)) == 4
    assert Polygon(offset(square, 0.5)).area == pytest.approx(25.0)
