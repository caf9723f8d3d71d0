"""A taut cable under a point force anywhere in its bay: pull, deflection and force turned into one another.

A cable that slides over its inner supports stretches over the whole length between the end posts' faces:
``total`` is that length. One that is held at both ends of its bay stretches in it alone: ``total`` = ``free``.
``x`` is the force's place, a share of the bay, over 0 and under 1. The force is square to the cable and the
pull the same on both sides of it: exact at mid-span; elsewhere, at a slope y/(x free) of 1 in 20, about
0.1 % off.
"""

from __future__ import annotations

from functools import lru_cache
from math import fsum, hypot, inf

from jiggen.units import GRAVITY

STEEL_DENSITY = 8.0e-6  # kg/mm3, 316 stainless, EN 10088-1, from memory


def legs(free: float, y: float, x: float = 0.5) -> tuple[float, float]:
    """Lengths in mm of the two straight parts of a bay that stands ``y`` mm aside at the share ``x`` of it."""
    return hypot(x * free, y), hypot((1.0 - x) * free, y)


def tension_at(y: float, free: float, tension: float, stiffness: float, total: float, x: float = 0.5) -> float:
    """Pull in N of a cable whose bay of ``free`` mm stands ``y`` mm aside at the share ``x`` of it.

    ``tension``: at rest. ``stiffness``: E times metallic area, N. ``total``: length between the end posts'
    faces, over which the stretch spreads (the inner supports let the cable slide); ``free`` where it is held.
    """
    return tension + stiffness * (fsum(legs(free, y, x)) - free) / total


def force_at(y: float, free: float, tension: float, stiffness: float, total: float, x: float = 0.5) -> float:
    """Point force in N that holds the cable ``y`` mm aside: T y (1/s1 + 1/s2), 2 T y / s at mid-span."""
    return tension_at(y, free, tension, stiffness, total, x) * _lean(free, y, x)


@lru_cache(maxsize=4096)  # runs of a job are often alike, and asked about more than once
def deflection(force: float, free: float, tension: float, stiffness: float, total: float, x: float = 0.5) -> float:
    """Deflection in mm under a point force of ``force`` N; the inverse of ``force_at``.

    0 for no force. Infinite where a cable without stiffness cannot carry the force at all (2 T at most).
    Newton's method from the tension-only answer, kept between the closest deflections known to be too small
    and too large: the force grows with the deflection, so there is one answer.
    """
    if force <= 0.0:
        return 0.0
    if stiffness <= 0.0 and force >= 2.0 * tension:
        return inf
    low, high = 0.0, inf
    y = force * x * (1.0 - x) * free / tension if tension > force else free
    for _ in range(200):
        step = (force_at(y, free, tension, stiffness, total, x) - force) / _slope(y, free, tension, stiffness, total, x)
        if abs(step) <= 1e-13 * free:
            return y - step
        low, high = (low, y) if step > 0.0 else (y, high)
        y = y - step if low < y - step < high else min(2.0 * y, (low + high) / 2.0)
    return y


def tension_for(force: float, y: float, free: float, stiffness: float, total: float, x: float = 0.5) -> float:
    """Pull at rest in N that lets ``force`` N move the cable ``y`` mm aside and no more; 0 at least.

    0 where the stretch alone holds it; infinite for ``y`` of 0 or less under a force.
    """
    if force <= 0.0:
        return 0.0
    if y <= 0.0:
        return inf
    stretched = tension_at(y, free, 0.0, stiffness, total, x)
    return max(0.0, force / _lean(free, y, x) - stretched)


def own_weight(area: float, density: float = STEEL_DENSITY) -> float:
    """Weight in N/mm of a cable with ``area`` mm2 of metal; ``density`` in kg/mm3."""
    return area * density * GRAVITY


def own_sag(weight: float, free: float, tension: float) -> float:
    """Vertical sag in mm at the middle of a bay under the cable's own ``weight`` in N/mm: w L^2 / (8 T).

    ``free``: along the cable, level or raked (on a rake t both w cos t square to the cable and y / cos t
    upright cancel out). Infinite without pull.
    """
    return weight * free**2 / (8.0 * tension) if tension > 0.0 else inf


def _lean(free: float, y: float, x: float) -> float:
    """Sum of the sines of the two parts' slopes: the force over the pull."""
    first, second = legs(free, y, x)
    return y / first + y / second


def _slope(y: float, free: float, tension: float, stiffness: float, total: float, x: float) -> float:
    """Growth of the force with the deflection, N/mm: the pull's share and the turning's."""
    first, second = legs(free, y, x)
    turning = (x * free) ** 2 / first**3 + ((1.0 - x) * free) ** 2 / second**3
    return stiffness / total * _lean(free, y, x) ** 2 + tension_at(y, free, tension, stiffness, total, x) * turning
