"""A taut cable under a point force at mid-span: pull, deflection and force turned into one another."""

from __future__ import annotations

from math import hypot


def half_length(free: float, y: float) -> float:
    """Length of half a bay of free length ``free`` when its middle stands ``y`` aside, mm."""
    return hypot(free / 2.0, y)


def tension_at(y: float, free: float, tension: float, stiffness: float, total: float) -> float:
    """Pull in N of a cable whose bay of ``free`` mm stands ``y`` mm aside at its middle.

    ``tension``: at rest. ``stiffness``: E times metallic area, N. ``total``: length between the end posts'
    faces, over which the stretch spreads (the inner supports let the cable slide).
    """
    return tension + stiffness * (2.0 * half_length(free, y) - free) / total


def force_at(y: float, free: float, tension: float, stiffness: float, total: float) -> float:
    """Point force in N at mid-span that holds the cable ``y`` mm aside: 2 T y / s, s half the bent length."""
    return 2.0 * tension_at(y, free, tension, stiffness, total) * y / half_length(free, y)


def deflection(force: float, free: float, tension: float, stiffness: float, total: float) -> float:
    """Deflection in mm at mid-span under a point force of ``force`` N; the inverse of ``force_at``.

    Newton's method from the tension-only answer, which is never too small, so that it falls monotonically.
    """
    if force <= 0.0:
        return 0.0
    y = force * free / (4.0 * tension) * (1.0 + force / (4.0 * tension)) if tension > force else free
    for _ in range(60):
        s = half_length(free, y)
        pull = tension_at(y, free, tension, stiffness, total)
        slope = 2.0 * pull / s - 2.0 * pull * y * y / s**3 + 4.0 * stiffness * y * y / (s * s * total)
        step = (2.0 * pull * y / s - force) / slope
        y = max(y - step, y / 8.0)
        if abs(step) < 1e-10:
            break
    return y
