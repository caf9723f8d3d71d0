"""End posts against beam tables, statics and an integration of the bent post."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from jiggen.mechanics.endpost import (
    cantilever_moment,
    is_safe,
    margin,
    propped_fixed,
    propped_hinged,
    total_pull,
)

PULLS = [(1000.0, 100.0 + 80.0 * k) for k in range(11)]  # eleven cables from 100 to 900 mm
RAIL = 960.0


def test_cantilever() -> None:
    """11 x 1000 N; 1000 N x (100 + 180 + ... + 900) = 1000 x 11 x 500 N mm."""
    assert total_pull(PULLS) == 11_000.0
    assert cantilever_moment(PULLS) == pytest.approx(5.5e6)


def test_hinged_foot_by_statics() -> None:
    held = propped_hinged(PULLS, RAIL)
    assert held.thrust == pytest.approx(5.5e6 / 960.0)
    assert held.base_moment == 0.0
    assert held.thrust + held.base_shear == pytest.approx(11_000.0)


@pytest.mark.parametrize(
    ("share", "thrust", "moment"), [(1 / 2, 5 / 16, 3 / 16), (1 / 3, 4 / 27, 5 / 27), (2 / 3, 14 / 27, 4 / 27)]
)
def test_fixed_foot_by_the_beam_table(share: float, thrust: float, moment: float) -> None:
    """AISC Steel Manual Table 3-23, beam fixed at one end, supported at the other, from memory.

    Load at the middle: 5 P/16 and 3 P l/16. Anywhere, b from the fixed end and a = l - b: P b^2 (a + 2 l) / (2 l^3).
    At l/3: (1/9)(8/3)/2 = 4/27, moment 1/3 - 4/27 = 5/27; at 2 l/3: (4/9)(7/3)/2 = 14/27, moment 2/3 - 14/27.
    """
    held = propped_fixed([(1000.0, share * 900.0)], 900.0)
    assert held.thrust == pytest.approx(1000.0 * thrust)
    assert held.base_moment == pytest.approx(1000.0 * 900.0 * moment)


def test_fixed_foot_by_integration() -> None:
    """The rail does not move: the moment along the post times the arm to the rail integrates to nothing."""
    held = propped_fixed(PULLS, RAIL)
    z = np.linspace(0.0, RAIL, 96_001)
    bending = sum(pull * np.clip(height - z, 0.0, None) for pull, height in PULLS) - held.thrust * (RAIL - z)
    moved = np.trapezoid(bending * (RAIL - z), z)
    assert abs(moved) < 1e-6 * np.trapezoid(np.abs(bending) * (RAIL - z), z)
    assert held.base_moment == pytest.approx(bending[0])


def test_a_fixed_foot_takes_some_of_the_rails_thrust() -> None:
    fixed, hinged = propped_fixed(PULLS, RAIL), propped_hinged(PULLS, RAIL)
    assert 0.0 < fixed.thrust < hinged.thrust
    assert fixed.thrust + fixed.base_shear == pytest.approx(total_pull(PULLS))
    at_rail = [(700.0, RAIL)]
    assert propped_fixed(at_rail, RAIL).thrust == propped_hinged(at_rail, RAIL).thrust == pytest.approx(700.0)


def test_a_cable_above_the_rail_is_refused() -> None:
    for wrong, rail in (([(100.0, 961.0)], RAIL), ([(100.0, -1.0)], RAIL), ([(100.0, 0.0)], 0.0)):
        for function in (propped_fixed, propped_hinged):
            with pytest.raises(ValueError, match="between the foot and the rail"):
                function(wrong, rail)


def test_margin() -> None:
    """1/8 in 1x19: 2100 lbf breaking (MIL-DTL-87161, from memory) at 225 lbf: 9.33; half of it is still safe."""
    assert margin(2100.0, 225.0) == pytest.approx(9.33, abs=0.005)
    assert margin(2100.0, 0.0) == inf
    assert is_safe(1050.0, 2100.0)
    assert not is_safe(1050.1, 2100.0)
