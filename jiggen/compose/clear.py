"""Joins between pages and a piece of lettering turned into a place for it that no join cuts."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

BESIDE = 1.0  # paper between lettering and a join, mm
JOINED = 4.5  # beside a join: room for the marks along it, mm


def windows(joins: Sequence[float], low: float, high: float) -> list[tuple[float, float]]:
    """The ways from ``low`` to ``high`` between which the joins lie, mm; ways shorter than 4 mm are left out."""
    inside = [join for join in joins if low < join < high]
    ways = pairwise([low - BESIDE, *inside, high + BESIDE])
    return [(a + BESIDE, b - BESIDE) for a, b in ways if b - a > 4.0 + 2.0 * BESIDE]


def start(joins: Sequence[float], wanted: float, long: float, low: float, high: float) -> float | None:
    """Where lettering ``long`` mm long starts, as near to ``wanted`` as can be: inside ``low`` to ``high`` and across
    no join; None where there is no such place."""
    starts = [min(max(wanted, a), b - long) for a, b in windows(joins, low, high) if b - a >= long - 1e-9]
    return min(starts, key=lambda at: abs(at - wanted), default=None)


def widest(joins: Sequence[float], low: float, high: float) -> tuple[float, float]:
    """The widest way between joins; all of it where there is none."""
    return max(windows(joins, low, high), key=lambda way: way[1] - way[0], default=(low, high))


def raised(joins: Sequence[float], low: float, long: float, high: float) -> float:
    """From which height lettering ``long`` mm long that reads upwards stands: ``low``, or over the join that would cut
    it there, as long as it ends under ``high``."""
    at = low
    for join in sorted(joins):
        if at - BESIDE < join < at + long + BESIDE:
            at = join + BESIDE
    return at if at + long <= high else low


def below(rows: Sequence[float], y: float, high: float) -> float:
    """From where down a block ``high`` mm high stands: ``y``, or the highest place under it where neither a level join at
    ``rows`` nor the marks along it meet the block."""
    for row in sorted(rows, reverse=True):
        if y - high < row + JOINED and y > row - JOINED:
            y = row - JOINED
    return y
