"""Heat, loss and bends against the sums and the published constants."""

from __future__ import annotations

from math import exp, pi

import pytest

from jiggen.handbook.strands import metallic_area, strand
from jiggen.handbook.woods import frame_expansion
from jiggen.mechanics.heat import after_loss, extremes, heated, round_bend, tension_range
from jiggen.units import N_PER_LBF

DEGREE_F = 5.0 / 9.0  # K
WIRE = strand("1x19")
assert WIRE is not None
STIFFNESS = WIRE.modulus * metallic_area(WIRE, 3.175)


@pytest.mark.parametrize(("frame", "pounds"), [(None, 136.0), ("wood", 158.0), ("steel", 201.0), ("aluminium", 260.0)])
def test_a_hot_day(frame: str | None, pounds: float) -> None:
    """225 lbf at 65 degF, 1/8 in 1x19, to 120 degF: E a = 130 kN/mm2 x 6.017 mm2, 55 degF = 30.56 K.

    Rigid: 225 x 4.448 - 782 200 x 16.5e-6 x 30.56 = 1000.8 - 394.4 N = 136 lbf; the frames' 4, 12, 23e-6 /K
    (from memory) take their share off the 16.5.
    """
    own = frame_expansion(frame) if frame else 0.0
    assert own is not None
    hot = heated(225.0 * N_PER_LBF, STIFFNESS, 16.5e-6, own, 55.0 * DEGREE_F)
    assert hot / N_PER_LBF == pytest.approx(pounds, abs=0.5)


def test_never_below_nothing() -> None:
    assert heated(100.0, STIFFNESS, 16.5e-6, 4e-6, 200.0) == 0.0


def test_one_expansion_for_all_changes_nothing() -> None:
    assert heated(1000.0, STIFFNESS, 16.5e-6, 16.5e-6, 40.0) == 1000.0


def test_range_with_and_without_loss() -> None:
    """Wood: 12.5e-6 x E a is 9.778 N/K; 291 K installed, 253 to 323 K: +371.6 and -312.9 N."""
    stiffness = 130_000.0 * 0.760 * pi / 4 * 3.175**2
    days = (291.0, 253.0, 323.0)
    low, high = tension_range(1000.0, stiffness, 16.5e-6, 4e-6, *days)
    assert (low, high) == pytest.approx((1000.0 - 312.9, 1000.0 + 371.6), abs=0.1)
    lossy = tension_range(1000.0, stiffness, 16.5e-6, 4e-6, *days, 0.1)
    assert lossy == pytest.approx((low - 100.0, high - 100.0))
    assert extremes(1000.0, stiffness, 16.5e-6, 4e-6, *days, 0.1) == (lossy[0], high)


def test_an_aluminium_frame_slackens_the_cable_when_cold() -> None:
    cold = tension_range(1000.0, STIFFNESS, 16.5e-6, 23e-6, 291.0, 253.0, 291.0)
    assert cold[1] == 1000.0
    assert cold[0] == pytest.approx(1000.0 - STIFFNESS * 6.5e-6 * 38.0)


def test_range_reaches_to_the_day_of_installing() -> None:
    low, high = tension_range(1000.0, STIFFNESS, 16.5e-6, 4e-6, 260.0, 270.0, 300.0)
    assert high == 1000.0
    assert low < 1000.0


def test_loss() -> None:
    assert after_loss(1000.0, 0.15) == pytest.approx(850.0)
    for wrong in (-0.01, 1.01):
        with pytest.raises(ValueError, match="share"):
            after_loss(1000.0, wrong)


def test_a_square_bend_at_0_2_leaves_73_per_cent() -> None:
    """Capstan equation: e^(-0.2 pi/2) = 0.7304."""
    assert round_bend(1000.0, pi / 2, 0.2) == pytest.approx(730.4, abs=0.05)
    assert round_bend(1000.0, -pi / 2, 0.2) == round_bend(1000.0, pi / 2, 0.2)
    twice = round_bend(round_bend(1000.0, pi / 4, 0.2), pi / 4, 0.2)
    assert twice == pytest.approx(1000.0 * exp(-0.1 * pi))
