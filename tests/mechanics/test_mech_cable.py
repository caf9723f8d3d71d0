"""The cable under a point force against worked examples, a root finder, a chain of links and its two limits."""

from __future__ import annotations

from itertools import pairwise
from math import atan, cosh, hypot, inf, isclose, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jiggen.mechanics.cable import (
    deflection,
    force_at,
    legs,
    own_sag,
    own_weight,
    tension_at,
    tension_for,
)

STIFFNESS = 130_000.0 * 6.017  # 1/8 in 1x19: 0.760 of the circle of 3.175 mm is 6.017 mm2


def test_tightrope() -> None:
    """OpenStax College Physics 2e, Example 4.6: 70.0 kg, g 9.80, 5.0 degrees, 3900 N (3935 unrounded)."""
    free = 20_000.0
    pull = tension_for(70.0 * 9.80, free / 2 * tan(radians(5.0)), free, 0.0, free)
    assert pull == pytest.approx(3935.0, abs=0.5)


def test_rope_across_a_gap() -> None:
    """Giancoli, Physics, 7th edition, chapter 9, problem 75: 36 m, sag 2.1 m, 60.0 kg: 2500 N, two figures."""
    pull = tension_for(60.0 * 9.80, 2100.0, 36_000.0, 0.0, 36_000.0)
    assert round(pull, -2) == 2500.0
    assert pull == pytest.approx(60.0 * 9.80 / (2.0 * sin(atan(2.1 / 18.0))), rel=1e-12)


@pytest.mark.parametrize("bay", [600.0, 1000.0, 1800.0])
@pytest.mark.parametrize("pull", [200.0, 1000.0, 2500.0])
@pytest.mark.parametrize("force", [0.5, 20.0, 44.5, 400.0, 9000.0])
@pytest.mark.parametrize("bays", [1.0, 5.0])
def test_same_root_as_brentq(bay: float, pull: float, force: float, bays: float) -> None:
    """scipy.optimize.brentq on the balance of forces, written out here, from 0 to a deflection of 5 bays."""
    brentq = pytest.importorskip("scipy.optimize").brentq

    def unbalanced(y: float) -> float:
        half = np.sqrt((bay / 2) ** 2 + y**2)
        return 2 * (pull + STIFFNESS * (2 * half - bay) / (bays * bay)) * y / half - force

    expected = brentq(unbalanced, 0.0, 5 * bay, xtol=1e-12, rtol=1e-14)
    assert deflection(force, bay, pull, STIFFNESS, bays * bay) == pytest.approx(expected, rel=1e-9)


def chain(
    load: float, bay: float, pull: float, bays: int, x: float, own: float = 0.0, stiffness: float = STIFFNESS
) -> float:
    """How far the loaded node of 400 elastic links sinks, by Newton's method on all nodes' balance.

    ``bays`` bays in line, the load in the middle one at the share ``x`` of it. Nodes on inner supports move
    along without friction, which shortens the loaded bay by what slides in. ``own``: weight in N/mm. A link
    pulls T0 + EA (its length - at rest) / at rest.
    """
    links = 400 // bays * bays
    each = bays * bay / links
    in_bay = links // bays
    loaded = (bays // 2) * in_bay + round(x * in_bay)
    at = np.column_stack([np.arange(links + 1) * each, np.zeros(links + 1)])
    fixed = {0, 1, 2 * links, 2 * links + 1} | {2 * k * in_bay + 1 for k in range(bays + 1)}
    free = [k for k in range(2 * (links + 1)) if k not in fixed]
    weights = np.zeros(2 * (links + 1))
    weights[1::2] = own * each
    weights[2 * loaded + 1] += load
    for share in [*np.linspace(0.1, 1.0, 10), *[1.0] * 10]:
        along = np.diff(at, axis=0)
        long = np.hypot(*along.T)
        unit = along / long[:, None]
        tension = pull + stiffness * (long - each) / each
        inner = np.zeros((links + 1, 2))
        inner[:-1] += tension[:, None] * unit
        inner[1:] -= tension[:, None] * unit
        tangent = np.zeros((2 * (links + 1),) * 2)
        for k in range(links):
            axial = np.outer(unit[k], unit[k])
            block = stiffness / each * axial + tension[k] / long[k] * (np.eye(2) - axial)
            ends = np.ix_(range(2 * k, 2 * k + 4), range(2 * k, 2 * k + 4))
            tangent[ends] += np.block([[block, -block], [-block, block]])
        out = (inner.ravel() + share * weights)[free]
        step = np.linalg.solve(tangent[np.ix_(free, free)], out)
        at.ravel()[free] += step
    assert np.abs(step).max() < 1e-6
    return float(at[loaded, 1])


@pytest.mark.parametrize(
    ("load", "bay", "pull", "bays", "x"),
    [
        (44.5, 1000.0, 1000.0, 1, 0.5),
        (300.0, 1000.0, 400.0, 1, 0.5),
        (44.5, 1000.0, 1000.0, 5, 0.5),
        (44.5, 1000.0, 1000.0, 1, 0.3),
        (44.5, 1000.0, 1000.0, 5, 0.25),
    ],
)
def test_chain_of_400_links(load: float, bay: float, pull: float, bays: int, x: float) -> None:
    sinks = chain(load, bay, pull, bays, x)
    assert deflection(load, bay, pull, STIFFNESS, bays * bay, x) == pytest.approx(sinks, rel=1e-3)


def test_chain_with_the_other_bays_as_springs() -> None:
    """A large push over five bays: each link in series with its share of the other four, 1/5 as stiff in all."""
    sinks = chain(300.0, 1500.0, 800.0, 1, 0.5, stiffness=STIFFNESS / 5)
    assert deflection(300.0, 1500.0, 800.0, STIFFNESS, 7500.0) == pytest.approx(sinks, rel=1e-3)


def test_chain_off_the_middle_at_a_steep_slope() -> None:
    """At x = 0.2 and a slope of 1 in 20 the one pull for both sides is 0.1 % off, at 1 in 10 less than 0.5 %."""
    for slope, most in ((1 / 20, 1.5e-3), (1 / 10, 5e-3)):
        push = force_at(200.0 * slope, 1000.0, 1000.0, STIFFNESS, 1000.0, 0.2)
        assert chain(push, 1000.0, 1000.0, 1, 0.2) == pytest.approx(200.0 * slope, rel=most)


def test_own_weight_in_the_chain() -> None:
    """The chain's own sag is w L^2 / (8 T) to 0.1 %; a hung weight's change from it is up to 0.3 % under ours.

    Ours is the change of a cable without weight: its own sag shrinks a little as the pull rises.
    """
    weight = own_weight(6.017)
    assert weight == pytest.approx(4.72e-4, rel=1e-3)  # 6.017 mm2 x 8.0e-6 kg/mm3 x 9.80665 N/kg
    alone = chain(0.0, 1000.0, 1000.0, 1, 0.5, weight)
    assert own_sag(weight, 1000.0, 1000.0) == pytest.approx(alone, rel=1e-3)
    change = chain(50.0, 1000.0, 1000.0, 1, 0.5, weight) - alone
    assert change < deflection(50.0, 1000.0, 1000.0, STIFFNESS, 1000.0) < 1.003 * change


def test_own_sag_against_the_catenary() -> None:
    """A catenary with the horizontal pull H sags (H/w)(cosh(wL/2H) - 1), any textbook."""
    weight, free, pull = 5e-4, 3000.0, 300.0
    exact = pull / weight * (cosh(weight * free / (2 * pull)) - 1)
    assert own_sag(weight, free, pull) == pytest.approx(exact, rel=1e-4)
    assert own_sag(weight, free, 0.0) == inf


def test_limit_of_tension_alone() -> None:
    """Without stretch and for a small force y = F x (1 - x) L / T, F L / (4 T) at mid-span."""
    assert deflection(1.0, 1000.0, 1000.0, 0.0, 1000.0) == pytest.approx(1.0 * 1000.0 / (4 * 1000.0), rel=1e-6)
    assert deflection(1.0, 1000.0, 1000.0, 0.0, 1000.0, 0.2) == pytest.approx(0.2 * 0.8, rel=1e-5)


def test_limit_of_stretch_alone() -> None:
    """Without pull F = 8 E a y^3 / (L^2 Lt) while y is small: T = E a 2 y^2 / (L Lt), F = 4 T y / L."""
    for bays in (1.0, 5.0):
        expected = (0.1 * 1000.0**2 * bays * 1000.0 / (8 * STIFFNESS)) ** (1 / 3)
        assert deflection(0.1, 1000.0, 0.0, STIFFNESS, bays * 1000.0) == pytest.approx(expected, rel=1e-3)


def test_no_force_and_too_much_force() -> None:
    assert deflection(0.0, 1000.0, 1000.0, STIFFNESS, 5000.0) == 0.0
    assert deflection(2000.0, 1000.0, 1000.0, 0.0, 5000.0) == inf  # 2 T is the most two legs can carry
    assert deflection(1999.0, 1000.0, 1000.0, 0.0, 5000.0) == pytest.approx(
        500.0 * 0.9995 / (1 - 0.9995**2) ** 0.5, rel=1e-6
    )  # sin a = F / (2 T), y = L/2 tan a
    assert tension_for(100.0, 0.0, 1000.0, STIFFNESS, 5000.0) == inf
    assert tension_for(0.0, 0.0, 1000.0, STIFFNESS, 5000.0) == 0.0
    assert tension_for(1.0, 50.0, 1000.0, STIFFNESS, 1000.0) == 0.0  # the stretch alone holds 1 N


def test_sliding_is_softer_than_held_and_the_middle_softest() -> None:
    held = deflection(200.0, 1000.0, 500.0, STIFFNESS, 1000.0)
    sliding = deflection(200.0, 1000.0, 500.0, STIFFNESS, 6000.0)
    assert sliding > 1.2 * held
    places = [deflection(44.5, 1000.0, 1000.0, STIFFNESS, 5000.0, x) for x in (0.1, 0.2, 0.3, 0.4, 0.5)]
    assert all(near < far for near, far in pairwise(places))
    mirrored = deflection(44.5, 1000.0, 1000.0, STIFFNESS, 5000.0, 0.8)
    assert places[1] == pytest.approx(mirrored, rel=1e-12)


def test_legs_are_two_halves_at_mid_span() -> None:
    assert legs(1000.0, 30.0) == (hypot(500.0, 30.0),) * 2
    assert legs(1000.0, 30.0, 0.25) == (hypot(250.0, 30.0), hypot(750.0, 30.0))


@given(
    force=st.floats(0.01, 1e4),
    free=st.floats(50.0, 5000.0),
    pull=st.floats(0.0, 10_000.0),
    stiffness=st.floats(1e4, 5e6),
    bays=st.floats(1.0, 50.0),
    x=st.floats(0.02, 0.98),
)
def test_deflection_force_and_pull_are_inverses(
    force: float, free: float, pull: float, stiffness: float, bays: float, x: float
) -> None:
    total = bays * free
    y = deflection(force, free, pull, stiffness, total, x)
    assert y > 0.0
    assert force_at(y, free, pull, stiffness, total, x) == pytest.approx(force, rel=1e-6)
    again = tension_for(force, y, free, stiffness, total, x)
    now = tension_at(y, free, pull, stiffness, total, x)
    assert isclose(again, pull, rel_tol=1e-6, abs_tol=1e-5 * now)
