"""Ellipses: axes, the test whether a closed curve draws one, and what touches a rectangle."""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, pi, sin, sqrt, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx

from jiggen.readback.ellipse import Ellipse, drawn_by

XY = tuple[float, float]


def pieces(at: list[float], x: float, y: float, rx: float, ry: float, turn: float) -> list[XY]:
    """The control points of an ellipse cut at the parameters ``at`` (the last one 2 pi past the first)."""

    def place(u: float, v: float) -> XY:
        px, py = rx * u, ry * v
        return x + px * cos(turn) - py * sin(turn), y + px * sin(turn) + py * cos(turn)

    points = [place(cos(at[0]), sin(at[0]))]
    for a, b in pairwise(at):
        k = 4 / 3 * tan((b - a) / 4)
        points.append(place(cos(a) - k * sin(a), sin(a) + k * cos(a)))
        points.append(place(cos(b) + k * sin(b), sin(b) - k * cos(b)))
        points.append(place(cos(b), sin(b)))
    return points


def even(count: int) -> list[float]:
    return [2 * pi * step / count for step in range(count + 1)]


@pytest.mark.parametrize("count", [4, 5, 8, 16])
def test_even_pieces_give_back_their_ellipse(count: int) -> None:
    ellipse = drawn_by(pieces(even(count), 30, -40, 8, 3, 0.5))
    assert ellipse is not None
    assert (ellipse.x, ellipse.y) == approx((30, -40), abs=1e-9)
    assert ellipse.axes() == approx((8, 3, 0.5), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(
    cuts=st.lists(st.floats(0.3, 1.2), min_size=8, max_size=9),
    rx=st.floats(1, 60),
    share=st.floats(0.2, 1),
    turn=st.floats(-1.5, 1.5),
)
def test_uneven_pieces_give_back_their_ellipse(cuts: list[float], rx: float, share: float, turn: float) -> None:
    at = [0.0]
    for cut in cuts:
        if at[-1] + cut < 2 * pi - 0.1:
            at.append(at[-1] + cut)
    if 2 * pi - at[-1] > 1.5:
        at.append((at[-1] + 2 * pi) / 2)
    if 2 * pi - at[-1] > 1.5:
        at.append((at[-1] + 2 * pi) / 2)
    ellipse = drawn_by(pieces([*at, 2 * pi], 100, 50, rx, rx * share, turn))
    assert ellipse is not None
    # An arc over 1.5 rad leaves its circle by less than 2e-4 of the radius (0.00027 over a quarter).
    assert (ellipse.x, ellipse.y) == approx((100, 50), abs=3e-4 * rx)
    assert ellipse.axes()[:2] == approx((rx, rx * share), abs=6e-4 * rx)


def test_twice_around_is_a_circle_and_half_around_is_none() -> None:
    twice = drawn_by(pieces([step * pi / 2 for step in range(9)], 0, 0, 5, 5, 0))
    assert twice is not None
    assert twice.axes()[0] == approx(5, abs=5e-3)  # four pieces: up to 0.00027 x 5 outside in between
    there_and_back = [0.0, pi / 3, 2 * pi / 3, pi, 2 * pi / 3, pi / 3, 0.0]
    assert drawn_by(pieces(there_and_back, 0, 0, 5, 5, 0)) is None


def test_a_handle_that_bulges_is_noticed() -> None:
    points = pieces(even(8), 0, 0, 5, 5, 0)
    assert drawn_by(points) is not None
    # Allowed: 0.01 + 0.001 x 5 = 0.015 mm. A handle moved by s moves its piece by 3 t (1-t)^2 s, at most
    # 4/9 s: 0.03 gives 0.0133, which passes; 0.06 gives 0.0267, which does not.
    for shift, kept in ((0.03, True), (0.06, False)):
        moved = [*points]
        moved[1] = (points[1][0] + shift, points[1][1])
        assert (drawn_by(moved) is not None) is kept


def test_three_pieces_and_flat_ones_are_none() -> None:
    assert drawn_by(pieces(even(3), 0, 0, 5, 5, 0)) is None
    assert drawn_by(pieces(even(8), 0, 0, 5, 0, 0)) is None
    assert drawn_by([(1.0, 1.0)] * 25) is None


def test_axes_of_a_shear() -> None:
    # u = (1, 0), v = (1, 1): the squares of the radii are the roots of s^2 - 3 s + 1, (3 +- sqrt 5)/2.
    large, small, _ = Ellipse(0, 0, 1, 0, 1, 1).axes()
    assert (large, small) == approx((sqrt((3 + sqrt(5)) / 2), sqrt((3 - sqrt(5)) / 2)))


def test_axes_angle_is_in_the_right_half() -> None:
    assert Ellipse(0, 0, 0, 3, 1, 0).axes() == approx((3, 1, pi / 2))
    assert Ellipse(0, 0, 0, -3, 1, 0).axes() == approx((3, 1, pi / 2))
    assert Ellipse(0, 0, -2, 2, 1, 1).axes() == approx((hypot(2, 2), hypot(1, 1), -pi / 4))
    assert Ellipse(0, 0, 2, 0, 0, 2).axes() == (2, 2, 0.0)


@pytest.mark.parametrize(
    ("rectangle", "touches"),
    [
        ((-1, -1, 1, 1), True),  # inside the circle
        ((-9, -9, 9, 9), True),  # around it
        ((4.9, -1, 9, 1), True),
        ((5.1, -1, 9, 1), False),
        ((3.5, 3.5, 9, 9), True),  # corner at 3.5 x 1.4142 = 4.95 < 5
        ((3.6, 3.6, 9, 9), False),  # 5.09 > 5, though the boxes overlap
        ((1, 1, -1, -1), False),  # an empty one
    ],
)
def test_touches(rectangle: tuple[float, float, float, float], touches: bool) -> None:
    assert Ellipse(0, 0, 5, 0, 0, 5).touches(*rectangle) is touches
    moved = Ellipse(100, 20, 0, -5, 5, 0)
    left, bottom, right, top = rectangle
    assert moved.touches(left + 100, bottom + 20, right + 100, top + 20) is touches
