"""A weight hung on a cable turned into the sag that tells its pull.

The weight hangs at mid-span of the longest bay. The sag is the change from the unloaded cable, measured
upright, as a string and a rule give it; that the cable's own sag shrinks a little meanwhile is left out (5 kg
on 1 m of 1/8 in cable at 1000 N: 0.2 % of the change). ``rake``: slope of the cable, radians. ``bay``: free
length along the cable; ``total`` and ``stiffness`` as in ``cable``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos

from jiggen.mechanics.cable import deflection
from jiggen.mechanics.heat import heated

GO_UNDER = 0.10  # share of the pull that may be missing
GO_OVER = 0.20  # share that it may be over


@dataclass(frozen=True, slots=True)
class HangColumn:
    """One day's figures: ``temperature`` in K, ``tension`` in N, ``sag`` and the go band ``go`` in mm."""

    temperature: float
    tension: float
    sag: float
    go: tuple[float, float]


def hang_sag(weight: float, bay: float, tension: float, stiffness: float, total: float, rake: float = 0.0) -> float:
    """Vertical sag in mm under ``weight`` N: the force square to the cable is W cos t, the sag y / cos t.

    Raises ValueError for a weight that is not over 0: it tells nothing.
    """
    if not weight > 0.0:
        raise ValueError("the weight of a hang test is over 0")
    return deflection(weight * cos(rake), bay, tension, stiffness, total) / cos(rake)


def go_band(
    weight: float, bay: float, tension: float, stiffness: float, total: float, rake: float = 0.0
) -> tuple[float, float]:
    """Least and most sag in mm of a cable whose pull is good: from 20 % over ``tension`` down to 10 % under it."""
    over, under = tension * (1.0 + GO_OVER), tension * (1.0 - GO_UNDER)
    return (
        hang_sag(weight, bay, over, stiffness, total, rake),
        hang_sag(weight, bay, under, stiffness, total, rake),
    )


def hang_columns(
    temperatures: Iterable[float],
    installed: float,
    weight: float,
    bay: float,
    tension: float,
    stiffness: float,
    total: float,
    expansion: float,
    frame: float,
    rake: float = 0.0,
) -> tuple[HangColumn, ...]:
    """Pull, sag and go band for each of ``temperatures`` in K, of a cable that has ``tension`` at ``installed``.

    ``expansion`` and ``frame`` as in ``heat``. The band is -10 % to +20 % of that day's pull.
    """
    pulls = [(day, heated(tension, stiffness, expansion, frame, day - installed)) for day in temperatures]
    return tuple(
        HangColumn(
            day,
            pull,
            hang_sag(weight, bay, pull, stiffness, total, rake),
            go_band(weight, bay, pull, stiffness, total, rake),
        )
        for day, pull in pulls
    )
