"""Joins keep away from holes and outlines wherever some place in reach allows it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jiggen.sheets.joins import Span, joins

FULL, OVERLAP, TRIM = 234.0, 9.525, 4.0


def clear(at: float, spans: list[Span], weight: int) -> bool:
    return all(at <= s.start - 5.9999 or at >= s.end + 5.9999 for s in spans if s.weight >= weight)


def reach(start: float, first: bool) -> tuple[float, float]:
    """The lowest and highest place that the next join may have."""
    room = FULL - TRIM - (0.0 if first else OVERLAP)
    return start + 0.55 * room, start + room


spans_drawn = st.lists(
    st.builds(
        lambda start, size, weight: Span(start, start + size, weight),
        st.floats(0.0, 900.0),
        st.floats(0.5, 60.0),
        st.sampled_from([1, 2]),
    ),
    max_size=40,
)


@given(spans_drawn)
@settings(max_examples=300, deadline=None)
def test_no_join_near_a_hole_where_a_place_exists(spans: list[Span]) -> None:
    start, first = 0.0, True
    for join in joins(900.0, FULL, OVERLAP, TRIM, spans):
        low, high = reach(start, first)
        assert low - 1e-6 <= join.at <= high + 1e-6
        steps = [low + (high - low) * i / 400 for i in range(401)]
        if any(clear(at, spans, 1) for at in steps):
            assert clear(join.at, spans, 1)
        if any(clear(at, spans, 2) for at in steps):
            assert clear(join.at, spans, 2)
        start, first = join.at, False
    assert 900.0 - start <= FULL - (0.0 if first else OVERLAP) + 1e-6


def test_one_page_has_no_join() -> None:
    assert joins(234.0, FULL, OVERLAP, TRIM, []) == ()


def test_as_far_on_as_the_page_reaches() -> None:
    # 234 - 4 = 230; then 234 - 9.525 - 4 = 220.475 more
    assert [j.at for j in joins(600.0, FULL, OVERLAP, TRIM, [])] == [230.0, pytest.approx(450.475)]


def test_moved_back_before_a_hole() -> None:
    (join,) = joins(400.0, FULL, OVERLAP, TRIM, [Span(225.0, 231.0, 2)])
    assert join.at == pytest.approx(219.0)  # 225 - 6
    assert join.near == ()


def test_a_preferred_place_is_taken_where_it_is_clear() -> None:
    # the last third of 230 begins at 153.3
    assert [j.at for j in joins(400.0, FULL, OVERLAP, TRIM, [], [150.0, 180.0, 200.0])] == [200.0]
    assert [j.at for j in joins(400.0, FULL, OVERLAP, TRIM, [Span(195.0, 199.0, 2)], [150.0, 200.0])] == [230.0]


def test_no_preferred_place_and_no_lettering_costs_a_page() -> None:
    # 440 mm are two pages while the join lies at 440 - (234 - 9.525) = 215.525 or further on
    assert [j.at for j in joins(440.0, FULL, OVERLAP, TRIM, [], [200.0])] == [230.0]
    assert [j.at for j in joins(440.0, FULL, OVERLAP, TRIM, [], [216.0])] == [216.0]
    assert [j.at for j in joins(440.0, FULL, OVERLAP, TRIM, [Span(212.0, 240.0, 0)])] == [230.0]
    # the lettering ends the page earlier where there is room on the next one: 212 - 0.4
    assert [j.at for j in joins(420.0, FULL, OVERLAP, TRIM, [Span(212.0, 240.0, 0)])] == [pytest.approx(211.6)]


@given(spans_drawn, st.lists(st.floats(0.0, 900.0), max_size=8))
@settings(max_examples=200, deadline=None)
def test_preferred_places_never_take_more_pages(spans: list[Span], prefer: list[float]) -> None:
    assert len(joins(900.0, FULL, OVERLAP, TRIM, spans, prefer)) == len(joins(900.0, FULL, OVERLAP, TRIM, spans))


def test_cuts_an_outline_rather_than_a_hole() -> None:
    holes = [Span(float(at), at + 4.0, 2) for at in range(105, 240, 30)]
    outline = Span(90.0, 300.0, 1)
    (join,) = joins(400.0, FULL, OVERLAP, TRIM, [outline, *holes])
    assert join.at == pytest.approx(219.0)  # 225 - 6
    assert join.near == (0,)


def test_holes_too_close_are_told_and_not_cut() -> None:
    holes = [Span(float(at), at + 4.0, 2) for at in range(0, 400, 10)]  # 6 mm between them
    (join,) = joins(400.0, FULL, OVERLAP, TRIM, holes)
    assert join.at == pytest.approx(227.0)  # 3 mm before the hole at 230
    assert [holes[i].start for i in join.near] == [220.0, 230.0]


def test_an_overlap_that_eats_the_page_is_refused() -> None:
    with pytest.raises(ValueError, match="overlap"):
        joins(500.0, 80.0, 60.0, TRIM, [])


def test_lettering_needs_no_more_than_not_to_be_cut() -> None:
    (join,) = joins(400.0, FULL, OVERLAP, TRIM, [Span(227.0, 231.0, 0)])
    assert join.at == pytest.approx(226.6)  # 227 - 0.4
    assert join.near == ()
    (join,) = joins(400.0, FULL, OVERLAP, TRIM, [Span(150.0, 231.0, 0)])
    assert join.at == pytest.approx(230.0)  # 149.6 would take 35 % of the page: more than words are worth


def test_a_hole_goes_before_lettering() -> None:
    (join,) = joins(400.0, FULL, OVERLAP, TRIM, [Span(225.0, 231.0, 2), Span(217.0, 222.0, 0), Span(208.0, 212.0, 2)])
    # 219 is clear of the holes and cuts the words; 216.6 cuts none but is within 6 mm of 212; 202 = 208 - 6 is clear
    assert join.at == pytest.approx(202.0)
