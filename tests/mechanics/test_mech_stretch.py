"""Stretch, travel and turns against a worked example and the sums."""

from __future__ import annotations

from math import pi

import pytest

from jiggen.mechanics.stretch import constructional, elastic, per_quarter_turn, travel_needed, turns


def test_stretch_of_a_long_cable() -> None:
    """OpenStax College Physics, The Stretch of a Long Cable: 3.0e6 N, 5.6 cm, 210e9 Pa, 3020 m: 18 m."""
    stiffness = 210e3 * pi / 4 * 56.0**2
    assert round(elastic(3.0e6, 3_020_000.0, stiffness) / 1000.0) == 18


def test_travel_and_turns() -> None:
    """1000 N on 10 m at E a = 782 210 N: 12.78 mm; 0.1 % of 10 m: 10 mm; 5 mm of slack. 2.54 mm a turn."""
    stiffness = 130_000.0 * 6.017
    assert constructional(0.001, 10_000.0) == pytest.approx(10.0)
    travel = travel_needed(1000.0, 10_000.0, stiffness, 0.001, 5.0)
    assert travel == pytest.approx(12.78 + 10.0 + 5.0, abs=0.005)
    assert turns(travel - 5.0, 2.54) == pytest.approx(8.97, abs=0.005)


def test_a_quarter_turn_is_the_pull_of_its_stretch() -> None:
    stiffness = 130_000.0 * 6.017
    pull = per_quarter_turn(2.54, 10_000.0, stiffness)
    assert elastic(pull, 10_000.0, stiffness) == pytest.approx(2.54 / 4)
    assert pull == pytest.approx(49.67, abs=0.01)  # 782 210 x 0.635 / 10 000


def test_a_turn_that_takes_nothing_up_is_refused() -> None:
    with pytest.raises(ValueError, match="more than 0"):
        turns(10.0, 0.0)
