"""Readings of a scale page against hand-worked factors; the affine against vectors worked out with numpy."""

from __future__ import annotations

from math import atan, cos, hypot, nan, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jiggen.geometry import Point
from jiggen.sheets.correction import (
    MOST,
    Correction,
    as_data,
    foot_words,
    from_data,
    measured,
    moved,
    reading,
    skew_from,
)

A4 = (210.0, 297.0)


@pytest.mark.parametrize(
    ("text", "found", "nominal", "step"),
    [
        ("190.6 of 190.5 mm", 190.6, 190.5, 0.1),
        ("190.6 mm of 190.5 mm", 190.6, 190.5, 0.1),
        ("240 of 240 mm", 240.0, 240.0, 1.0),
        ("239.10 OF 240", 239.1, 240.0, 0.01),  # no unit: mm
        ("23.95 of 24 cm", 239.5, 240.0, 0.1),  # 0.01 cm
        ("7 1/2 of 7 17/32 in", 190.5, 191.29375, 0.79375),  # 7.53125 x 25.4; 25.4 / 32
        ('7 1/2" of 7 1/2"', 190.5, 190.5, 12.7),
        ("7\u00bd of 7\u00bd in", 190.5, 190.5, 12.7),
        ("19.06 cm of 7 1/2 in", 190.6, 190.5, 0.1),
        ("  7 15/32   of  7 1/2 in ", 189.70625, 190.5, 0.79375),  # 7.46875 x 25.4
    ],
)
def test_readings(text: str, found: float, nominal: float, step: float) -> None:
    read = reading(text)
    assert (read.measured, read.nominal, read.step) == pytest.approx((found, nominal, step))
    assert read.factor == pytest.approx(found / nominal)
    assert read.doubt == pytest.approx(step / 2.0 / nominal)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("190.6 mm", "write what was measured and what it should be"),
        ("", "write what was measured"),
        ("190.6 of 190.5 of 190 mm", "write what was measured"),
        ("190.6of190.5", "write what was measured"),
        ("long of 190 mm", "write what was measured"),
        ("190 of 190 furlongs", "write what was measured"),
        ("-190 of -190 mm", "write what was measured"),
        ("0 of 190 mm", "write what was measured"),
        ("190 of 0 mm", "write what was measured"),
        ("190 of nan mm", "write what was measured"),
        ("7 1/0 of 7 1/2 in", "write what was measured"),
        ("50.1 of 50 mm", "at least 100 mm"),
        ("184 of 190.5 mm", r"3\.41 % short: over 3 % is a fit-to-page setting.*; print at 100 %"),  # 6.5 / 190.5
        ("198 of 190.5 mm", r"3\.94 % long: over 3 %"),  # 7.5 / 190.5
        ("7 1/2 of 240 mm", "short: over 3 %"),
    ],
)
def test_what_is_no_reading_is_refused(text: str, reason: str) -> None:
    with pytest.raises(ValueError, match=reason):
        reading(text)


def test_three_per_cent_is_still_taken() -> None:
    assert reading("103 of 100 mm").factor == pytest.approx(1.03)
    assert reading("97 of 100 mm").factor == pytest.approx(0.97)
    with pytest.raises(ValueError, match=r"3\.10 % long"):
        reading("103.1 of 100 mm")


def test_measured() -> None:
    """190.6 / 190.5 = 1.000525, 239.1 / 240 = 0.99625; half of 0.1 mm over 190.5 is the larger doubt."""
    found, doubt = measured("190.6 of 190.5 mm", "239.1 of 240 mm", size=A4)
    assert (found.across, found.along, found.skew) == pytest.approx((1.000525, 0.99625, 0.0), abs=1e-6)
    assert doubt == pytest.approx(0.05 / 190.5)


def test_which_ruler_is_wrong_is_said() -> None:
    with pytest.raises(ValueError, match=r"^along: .*fit-to-page"):
        measured("190.6 of 190.5 mm", "230 of 240 mm")
    with pytest.raises(ValueError, match=r"^across says 240.0 mm on paper that is 210.0 mm that way"):
        measured("240 of 240 mm", "190 of 190 mm", size=A4)


def test_skew_from_the_diagonals_of_a_square() -> None:
    """A square of 130 mm, its edges printed as (A, 0) and (B sin k, B cos k): diagonals by Pythagoras."""
    a, b, k = 1.007 * 130.0, 0.996 * 130.0, radians(0.3)
    rising = hypot(a + b * sin(k), b * cos(k))
    falling = hypot(a - b * sin(k), b * cos(k))
    assert skew_from(f"{rising:.6f}, {falling:.6f} mm", 1.007, 0.996) == pytest.approx(k, abs=1e-7)
    assert skew_from(f"{falling:.6f} and {rising:.6f} mm", 1.007, 0.996) == pytest.approx(-k, abs=1e-7)
    assert skew_from("7 1/4; 7 1/4 in", 1.0, 1.0) == 0.0


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("184.1", "write both diagonals"),
        ("184.1, 184.2, 184.3 mm", "write both diagonals"),
        ("184.1, far", "write both diagonals"),
        ("184, 178 mm", "more than 3 % out of square"),  # (184^2 - 178^2) / (184^2 + 178^2) = 0.0331
    ],
)
def test_diagonals_refused(text: str, reason: str) -> None:
    with pytest.raises(ValueError, match=reason):
        skew_from(text, 1.0, 1.0)


@pytest.mark.parametrize(
    "parts",
    [(1.031, 1.0, 0.0), (1.0, 0.969, 0.0), (nan, 1.0, 0.0), (1.0, nan, 0.0), (1.0, 1.0, 0.0301), (1.0, 1.0, nan)],
)
def test_a_correction_is_never_over_three_per_cent(parts: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="3 %"):
        Correction(*parts)


factors = st.floats(1.0 - MOST, 1.0 + MOST)
leans = st.floats(-atan(MOST), atan(MOST))


@given(factors, factors, leans, st.floats(0.0, 210.0), st.floats(0.0, 297.0))
def test_the_printer_undoes_the_correction(across: float, along: float, skew: float, x: float, y: float) -> None:
    """numpy inverts the matrix that the printer's two edge vectors make; the middle of the page stays."""
    found = Correction(across, along, skew)
    sent = moved(found.matrix(*A4), Point(x, y))
    edges = np.column_stack([[across, 0.0], [along * sin(skew), along * cos(skew)]])
    middle = np.array(A4) / 2.0
    assert sent == pytest.approx(np.linalg.inv(edges) @ (np.array([x, y]) - middle) + middle, abs=1e-9)
    assert moved(found.printed(*A4), sent) == pytest.approx((x, y), abs=1e-9)
    assert moved(found.matrix(*A4), Point(*middle)) == pytest.approx(tuple(middle), abs=1e-9)
    assert from_data(as_data(found)) == found


def test_room_left_of_a_margin() -> None:
    """1 % short across: 105 - 92.3 / 0.99 = 11.768 of 12.7 mm; a lean of 0.01 costs 135.8 x 0.01 more."""
    assert Correction().room(*A4, 12.7) == pytest.approx(12.7)
    assert Correction(across=0.99).room(*A4, 12.7) == pytest.approx(105.0 - 92.3 / 0.99)
    assert Correction(skew=-atan(0.01)).room(*A4, 12.7) == pytest.approx(12.7 - 1.358)


@pytest.mark.parametrize("data", [None, {}, {"across": 1.0, "along": 1.0}, {"across": "x", "along": 1, "skew": 0}, 5])
def test_damaged_data_is_refused(data: object) -> None:
    with pytest.raises(ValueError, match=r"damaged|convert"):
        from_data(data)


def test_what_each_page_says() -> None:
    assert foot_words("office-2") == "corrected for office-2: do not print elsewhere"
