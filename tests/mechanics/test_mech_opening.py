"""Loaded openings, what opens and what goes through them, and the wire barriers' published tension table."""

from __future__ import annotations

from math import atan, inf, isfinite
from statistics import median

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jiggen.handbook.rules import rule_set
from jiggen.handbook.strands import metallic_area, strand
from jiggen.mechanics.cable import deflection
from jiggen.mechanics.opening import (
    CONE_FRICTION,
    CONE_HALF_ANGLE,
    CONE_PUSH,
    CONE_SIZE,
    cone_push,
    give_needed,
    largest_spacing,
    loaded_opening,
    opens_at,
    push_through,
    tension_to_stay,
)

STIFFNESS = 130_000.0 * 6.017  # 1/8 in 1x19
BAY = (1000.0, 1000.0, STIFFNESS, 5000.0)  # free, tension, stiffness, total
WIRE = 75.0 * (2.0 - 0.2) / (1.0 + 0.4)  # N aside a wire, 96.43: `test_cone` has the sum


def test_loaded_opening() -> None:
    """Between two cables 73 + 2.4 + 2 x 5; beside a rail 73 + 1.2 + 5; between rigid members 73."""
    assert loaded_opening(73.0, 5.0, 2.4) == pytest.approx(85.4)
    assert loaded_opening(73.0, 5.0, 2.4, cables=1) == pytest.approx(79.2)
    assert loaded_opening(73.0, 5.0, 2.4, cables=0) == 73.0


@pytest.mark.parametrize("cables", [1, 2])
@pytest.mark.parametrize("play", [0.0, 2.4])
def test_the_opens_at_force_opens_just_to_the_sphere(cables: int, play: float) -> None:
    force = opens_at(73.0, 101.6, *BAY, play=play, cables=cables)
    y = deflection(force, *BAY)
    assert loaded_opening(73.0, y, play, cables) == pytest.approx(101.6, abs=1e-6)


def test_open_already_and_never() -> None:
    assert opens_at(101.6, 101.6, *BAY) == 0.0
    assert opens_at(120.0, 101.6, *BAY) == 0.0
    assert opens_at(100.0, 101.6, *BAY, play=2.4) == 0.0  # the play alone opens it: 100 + 2.4
    assert opens_at(73.0, 101.6, *BAY, cables=0) == inf
    assert give_needed(73.0, 101.6, cables=0) == inf
    assert give_needed(73.0, 101.6, 2.4) == pytest.approx((101.6 - 73.0) / 2 - 1.2)


def test_common_practice_is_shut_to_about_ten_pounds() -> None:
    """Common practice, no source: 3 in spacing, 42 to 48 in bays, 200 to 300 lbf: shut to about 10 lbf (44 N)."""
    slackest = opens_at(76.2 - 3.175, 101.6, 48 * 25.4, 200 * 4.448, STIFFNESS, 5 * 48 * 25.4, play=2.4)
    tightest = opens_at(76.2 - 3.175, 101.6, 42 * 25.4, 300 * 4.448, STIFFNESS, 5 * 42 * 25.4, play=2.4)
    assert slackest < 44.5 < tightest


def test_tension_to_stay_is_the_inverse_of_opens_at() -> None:
    bay, pull, stiffness, total = BAY
    for cables in (1, 2):
        force = opens_at(73.0, 101.6, *BAY, play=2.4, cables=cables)
        back = tension_to_stay(73.0, 101.6, force, bay, stiffness, total, play=2.4, cables=cables)
        assert back == pytest.approx(pull, rel=1e-9)
    assert tension_to_stay(102.0, 101.6, 44.5, bay, stiffness, total) == inf
    assert tension_to_stay(73.0, 101.6, 44.5, bay, stiffness, total, cables=0) == 0.0


@pytest.mark.parametrize("spacing", [30.0, 60.0, 76.2, 90.0])
@pytest.mark.parametrize("play", [0.0, 2.4])
def test_push_through_against_the_energy_of_both_cables(spacing: float, play: float) -> None:
    """Virtual work: the push is the growth of the energy stored as the sphere's centre nears the cables' plane.

    Energy of one cable: T0 e + E a e^2 / (2 Lt), e its stretch; the sphere's centre stands sqrt(R^2 - h^2) away.
    """
    bay, pull, stiffness, total = BAY
    sphere, cable = 101.6, 3.175
    radius, start = (sphere + cable) / 2, (spacing + play) / 2
    away = np.linspace(np.sqrt(radius**2 - start**2), 0.0, 200_001)
    y = np.sqrt(radius**2 - away**2) - start
    stretch = 2 * np.hypot(bay / 2, y) - bay
    energy = 2 * (pull * stretch + stiffness * stretch**2 / (2 * total))
    greatest = np.max(np.gradient(energy, -away))
    assert push_through(sphere, spacing, cable, *BAY, play=play) == pytest.approx(greatest, rel=1e-4)


def test_a_sphere_that_fits_needs_no_push() -> None:
    assert push_through(101.6, 104.775, 3.175, *BAY) == 0.0
    assert 0.0 < push_through(101.6, 104.0, 3.175, *BAY) < 1.0
    assert push_through(101.6, 76.2, 3.175, 1000.0, 2000.0, STIFFNESS, 5000.0) > push_through(101.6, 76.2, 3.175, *BAY)


def test_cone() -> None:
    """NCC 2022 Volume Two, H5V1: 150 N on a cone 125 mm across, 20 mm nose, 105 mm long.

    Without friction P/2 / tan c = 75 / 0.5 = 150 N a wire. At friction m, with cos c = 2/sqrt 5 and sin c = 1/sqrt 5,
    P/2 (2 - m) / (1 + 2 m) a wire: at 0.2 75 (2 - 0.2) / (1 + 0.4) = 96.43, at 1.9 it is P/2 0.1 / 4.8.
    """
    assert atan((125.0 - 20.0) / 2 / 105.0) == pytest.approx(CONE_HALF_ANGLE)
    assert CONE_PUSH == 150.0
    assert cone_push(150.0, 0.0) == pytest.approx(150.0, rel=1e-12)
    assert cone_push(WIRE, CONE_FRICTION) == pytest.approx(150.0, rel=1e-12)
    assert cone_push(50.0, 1.9) == pytest.approx(4800.0, rel=1e-9)  # 2 x 50 x 4.8 / 0.1
    assert cone_push(50.0, 2.5) == inf  # jams from m = 1 / tan c = 2 on


def test_cone_model_against_the_table_of_tensions() -> None:
    """ABCB Housing Provisions 2022 Table 11.3.6a, 1x19 wire, all 47 cells of 400 N and more, nothing fitted.

    Friction 0.2, Lt = 5 L, the pair opens to 125 mm: median +6.1 %, half within 12.7 %, worst +81.5 % at
    4.0 mm, 60 mm apart, 1800 mm (593 N, the first cell behind a jump from 147 N: the wire's own bending
    stiffness held the shorter ones).
    """
    lay, rules = strand("1x19"), rule_set("abcb-2022")
    assert lay and rules
    errors = {}
    for row in rules.tension_table:
        stiffness = lay.modulus * metallic_area(lay, row.diameter)
        for bay, listed in row.tensions if row.lay == "1x19" else ():
            if listed and listed >= 400.0:
                pull = tension_to_stay(row.spacing - row.diameter, CONE_SIZE, WIRE, bay, stiffness, 5 * bay)
                errors[row.diameter, row.spacing, bay] = pull / listed - 1.0
    assert len(errors) == 47
    assert median(errors.values()) == pytest.approx(0.061, abs=0.002)
    assert median(map(abs, errors.values())) == pytest.approx(0.127, abs=0.002)
    worst = max(errors, key=lambda cell: abs(errors[cell]))
    assert worst == (4.0, 60.0, 1800.0)
    assert errors[worst] == pytest.approx(0.815, abs=0.005)


def test_largest_spacing_against_its_closed_form() -> None:
    """With a fixed side force y does not depend on the spacing: s - d + play + 2 y = S."""
    y = deflection(44.5, *BAY)
    found = largest_spacing(lambda s: loaded_opening(s - 3.175, y, 2.4), 101.6, 20.0, 150.0)
    assert found is not None
    assert found == pytest.approx(101.6 + 3.175 - 2.4 - 2 * y, abs=2e-6)
    assert loaded_opening(found - 3.175, y, 2.4) < 101.6


def test_largest_spacing_at_its_ends() -> None:
    assert largest_spacing(lambda s: s, 10.0, 10.0, 50.0) is None  # the limit itself fails
    assert largest_spacing(lambda s: s, 100.0, 10.0, 50.0) == 50.0


@given(
    spacing=st.floats(10.0, 150.0),
    free=st.floats(100.0, 3000.0),
    pull=st.floats(0.0, 5000.0),
    play=st.floats(0.0, 5.0),
)
def test_more_pull_never_opens_earlier(spacing: float, free: float, pull: float, play: float) -> None:
    slack = opens_at(spacing - 3.175, 101.6, free, pull, STIFFNESS, 5 * free, play)
    tight = opens_at(spacing - 3.175, 101.6, free, pull + 100.0, STIFFNESS, 5 * free, play)
    assert isfinite(slack)
    assert tight >= slack >= 0.0
    assert (tight > slack) == (give_needed(spacing - 3.175, 101.6, play) > 0.0)
