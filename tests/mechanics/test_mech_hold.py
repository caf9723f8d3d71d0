"""Hold of screws against published tables and examples, and the cures against what they cure."""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin, sqrt

import pytest

from jiggen.mechanics.hold import (
    Kind,
    held_together,
    hold,
    least_penetration,
    penetration,
    pull_and_shear,
    reach,
    thread_in_wood,
    withdrawal,
)
from jiggen.mechanics.lateral import PSI, STEEL_BEARING, bearing, bending_yield, lateral, yield_limit
from jiggen.units import MM_PER_INCH, N_PER_LBF

POUND_INCH = N_PER_LBF / MM_PER_INCH


def test_wood_screw_example() -> None:
    """The Engineering ToolBox, Wood Screws - Withdrawal Force: G 0.45, no. 10 of 0.190 in: 109 lb/in (109.7)."""
    assert int(withdrawal("wood", 0.45, 0.190 * MM_PER_INCH) / POUND_INCH) == 109


@pytest.mark.parametrize(
    ("kind", "gravity", "inches", "listed"),
    [
        ("lag", 0.50, 1 / 4, 225),
        ("lag", 0.50, 5 / 16, 266),
        ("lag", 0.50, 3 / 8, 305),
        ("lag", 0.50, 1 / 2, 378),
        ("lag", 0.42, 3 / 8, 235),
        ("wood", 0.50, 0.190, 135),
        ("wood", 0.50, 0.164, 117),
    ],
)
def test_withdrawal_tables(kind: Kind, gravity: float, inches: float, listed: float) -> None:
    """NDS 2018 Tables 12.2A (lag) and 12.2B (wood screws), lb per inch, from memory."""
    assert withdrawal(kind, gravity, inches * MM_PER_INCH) / POUND_INCH == pytest.approx(listed, abs=0.6)


def test_thread_in_sound_wood() -> None:
    """A 2 1/2 in #14 (6.15 mm) under 3 mm of flange, 4 mm of sleeve and 2 mm of gap: 63.5 - 9 - 6.15."""
    assert reach(63.5, 3.0, 4.0, 2.0) == pytest.approx(54.5)
    assert thread_in_wood(63.5, 6.15, 3.0, 4.0, 2.0) == pytest.approx(48.35)
    assert thread_in_wood(63.5, 6.15, 3.0, 4.0, 2.0, thread=42.0) == pytest.approx(35.85)
    assert thread_in_wood(63.5, 6.15, 60.0) == 0.0
    assert reach(10.0, 12.0) == 0.0


def test_penetration() -> None:
    """6 D of a wood screw, its tip included; 4 D of a lag screw without it (NDS 12.1.5, 12.1.4)."""
    assert (least_penetration("wood", 5.0), least_penetration("lag", 8.0)) == (30.0, 32.0)
    assert penetration("wood", 30.0, 5.0) >= least_penetration("wood", 5.0)
    assert penetration("lag", 39.9, 8.0) < least_penetration("lag", 8.0) <= penetration("lag", 40.0, 8.0)


def test_hold_for_good() -> None:
    """Two #10 in G 0.50, 1 1/2 in of thread: 2 x 135.4 x 1.5 x 0.9 = 365.5 lb."""
    assert hold("wood", 2, 0.50, 0.190 * MM_PER_INCH, 38.1) / N_PER_LBF == pytest.approx(365.5, abs=0.1)


def test_rake_parts() -> None:
    pull, shear = pull_and_shear(1000.0, radians(-35.0))
    assert (pull, shear) == pytest.approx((819.2, 573.6), abs=0.05)
    assert pull_and_shear(1000.0, 0.0) == (1000.0, 0.0)


def test_both_at_once() -> None:
    """Hankinson between 1000 N straight out and 600 N aside, at 30 degrees to the face.

    W L / (W cos^2 a + L sin^2 a) = 1000 x 600 / (1000 x 0.75 + 600 x 0.25) = 666.7 N.
    """
    for load, holds in ((666.0, True), (667.0, False)):
        assert held_together(load * sin(radians(30)), load * cos(radians(30)), 1000.0, 600.0) is holds
    assert held_together(1000.0, 0.0, 1000.0, 0.0)
    assert not held_together(1000.1, 0.0, 1000.0, 600.0)
    assert not held_together(10.0, 10.0, 1000.0, 0.0)
    assert held_together(0.0, 0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("inches", "long", "side", "gravity", "listed"),
    [
        (0.162, 3.5, 1.5, 0.50, 141),
        (0.162, 3.5, 1.5, 0.42, 120),
        (0.148, 3.0, 1.5, 0.50, 118),
        (0.148, 3.0, 0.75, 0.50, 105),
    ],
)
def test_yield_modes_by_the_nails_table(inches: float, long: float, side: float, gravity: float, listed: float) -> None:
    """NDS Table 12N, single-shear nails between like woods, lb, from memory: the same yield modes."""
    wood, diameter = bearing(gravity, inches * MM_PER_INCH), inches * MM_PER_INCH
    lengths = (long - side) * MM_PER_INCH, side * MM_PER_INCH
    shear = yield_limit(diameter, *lengths, wood, wood, bending_yield(diameter))
    assert shear / N_PER_LBF == pytest.approx(listed, abs=1.0)


def test_bearing_and_bending_strengths() -> None:
    """NDS Table 12.3.3, G 0.50: 4650 psi under 1/4 in, 5600 psi along the grain from there; Table I1: memory."""
    assert bearing(0.50, 0.19 * MM_PER_INCH) / PSI == pytest.approx(4650.0, abs=25.0)
    assert bearing(0.50, 0.25 * MM_PER_INCH) / PSI == pytest.approx(5600.0)
    assert [bending_yield(d * MM_PER_INCH) / PSI for d in (0.138, 0.190, 0.242, 0.3125, 0.375)] == pytest.approx(
        [100e3, 80e3, 70e3, 60e3, 45e3]
    )


def test_lateral_under_a_flange() -> None:
    shear = lateral(4.826, 3.861, 40.0, 3.0, 0.50)
    assert shear == pytest.approx(0.9 * lateral(4.826, 3.861, 40.0, 3.0, 0.50, duration=1.0))
    assert lateral(4.826, 3.861, 40.0, 3.0, 0.36) < shear < lateral(6.147, 4.978, 40.0, 3.0, 0.50)
    assert lateral(4.826, 3.861, 8.0, 3.0, 0.50) < shear  # little of it in the wood
    assert lateral(4.826, 3.861, 0.0, 3.0, 0.50) == 0.0
    assert 300.0 < shear < 700.0  # tabulated #10 screws under thin steel: about 100 to 140 lb, from memory
    assert hypot(*pull_and_shear(1000.0, 0.6)) == pytest.approx(1000.0)


def test_bearing_across_the_grain() -> None:
    """1/4 in, G 0.50 (NDS Table 12.3.3): 5600 psi along; 6100 x 0.5^1.45 / 0.25^0.5 = 6100 x 0.36602 / 0.5 = 4465 psi across;
    at 45 degrees 5600 x 4465 / (0.5 x 5600 + 0.5 x 4465) = 4968 psi. A thinner one bears the same every way."""
    quarter = 0.25 * MM_PER_INCH
    assert bearing(0.50, quarter, pi / 2) / PSI == pytest.approx(4465.4, abs=0.5)
    assert bearing(0.50, quarter, pi / 4) / PSI == pytest.approx(4968.0, abs=1.0)
    assert bearing(0.50, 0.19 * MM_PER_INCH, pi / 2) == bearing(0.50, 0.19 * MM_PER_INCH)


def test_a_thick_screw_holds_less_across_the_grain() -> None:
    """Mode IIIs or IV whichever is least, its term 3.2 x 1.25 across (Table 12.3.1B); a thin one's shear is the same."""
    thick = (0.375 * MM_PER_INCH, 0.265 * MM_PER_INCH, 60.0, 3.0, 0.50)
    along, across = lateral(*thick), lateral(*thick, grain=pi / 2)
    steel, wood, bend = STEEL_BEARING, bearing(0.50, thick[0], pi / 2), bending_yield(thick[0])
    root, side = thick[1], thick[3]
    ratio = wood / steel
    k3 = -1 + sqrt(2 * (1 + ratio) / ratio + 2 * bend * (2 + ratio) * root**2 / (3 * wood * side**2))
    assert across == pytest.approx(0.9 * k3 * root * side * wood / (2 + ratio) / (3.2 * 1.25), rel=1e-9)
    assert across < along / 1.25
    thin = (4.826, 3.861, 40.0, 3.0, 0.50)
    assert lateral(*thin, grain=pi / 2) == lateral(*thin)
