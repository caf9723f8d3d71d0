"""Clipping against shapely, a stranger's geometry."""

from __future__ import annotations

import itertools
from math import cos, hypot, pi, sin

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jiggen.geometry import Point
from jiggen.render import clip

shapely = pytest.importorskip("shapely")

WINDOW = (10.0, 20.0, 110.0, 150.0)
BOX = shapely.box(*WINDOW)
# a grid of 1/8 mm: near misses of the rim are another matter, see SLACK
places = st.builds(lambda x, y: Point(x / 8.0, y / 8.0), st.integers(-400, 1600), st.integers(-400, 1800))


@given(places, places)
@settings(max_examples=300, deadline=None)
def test_segment(a: Point, b: Point) -> None:
    assume(a != b)
    part = clip.segment(a, b, WINDOW)
    length = hypot(b.x - a.x, b.y - a.y)
    expected = shapely.LineString([a, b]).intersection(BOX).length
    assert (0.0 if part is None else (part[1] - part[0]) * length) == pytest.approx(expected, abs=1e-4)


@given(st.lists(places, min_size=2, max_size=12, unique=True), st.booleans())
@settings(max_examples=300, deadline=None)
def test_polyline_keeps_its_length_and_knows_where_pieces_begin(points: list[Point], closed: bool) -> None:
    way = [*points, points[0]] if closed else points
    pieces = clip.polyline(points, closed, WINDOW)
    expected = sum(shapely.LineString(pair).intersection(BOX).length for pair in itertools.pairwise(way))
    assert sum(shapely.LineString(p).length for p, _ in pieces) == pytest.approx(expected, abs=1e-3)
    whole = shapely.LineString(way)
    for piece, begin in pieces:
        there = whole.interpolate(begin)
        assert hypot(there.x - piece[0].x, there.y - piece[0].y) < 1e-4
        assert all(BOX.buffer(1e-5).covers(shapely.Point(p)) for p in piece)


@given(
    st.lists(st.integers(5, 200), min_size=3, max_size=14),
    places,
)
@settings(max_examples=300, deadline=None)
def test_polygon_keeps_its_area(radii: list[int], centre: Point) -> None:
    """Star-shaped polygons, hollow ones among them."""
    n = len(radii)
    points = [
        Point(centre.x + r * cos(2 * pi * i / n), centre.y + r * sin(2 * pi * i / n)) for i, r in enumerate(radii)
    ]
    kept = clip.polygon(points, WINDOW)
    expected = shapely.Polygon(points).intersection(BOX).area
    doubled = sum(a.x * b.y - b.x * a.y for a, b in zip(kept, (*kept[1:], *kept[:1]), strict=True))
    assert abs(doubled) / 2.0 == pytest.approx(expected, rel=1e-9, abs=1e-6)


def test_a_line_on_the_rim_stays() -> None:
    assert clip.segment(Point(10.0, 0.0), Point(10.0, 200.0), WINDOW) == pytest.approx((0.1, 0.75))  # 20/200, 150/200


def test_what_misses_the_window_is_gone() -> None:
    assert clip.segment(Point(0.0, 140.0), Point(20.0, 170.0), WINDOW) is None  # 155 at the rim
    assert clip.polyline([Point(0.0, 0.0), Point(5.0, 200.0)], True, WINDOW) == []
    assert clip.polygon([Point(0.0, 0.0), Point(5.0, 0.0), Point(5.0, 9.0)], WINDOW) == ()
