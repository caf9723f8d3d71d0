"""Temperature, time and bends turned into what is left of a cable's pull.

``stiffness``: E times metallic area, N. ``expansion`` and ``frame``: thermal expansion of the cable and of
what it is stretched between, per K (0 for a rigid frame). Temperatures in K; ``change``: warmer is +.
"""

from __future__ import annotations

from math import exp

BEND_FRICTION = 0.2  # of strand over a bend, from memory


def heated(tension: float, stiffness: float, expansion: float, frame: float, change: float) -> float:
    """Pull in N after a ``change`` of temperature of cable and frame: T - E a (k - k_frame) dT, 0 at least."""
    return max(0.0, tension - stiffness * (expansion - frame) * change)


def after_loss(tension: float, loss: float) -> float:
    """Pull in N that is left after the share ``loss`` (0 to 1) of it has gone into bedding, creep and slip."""
    if not 0.0 <= loss <= 1.0:
        raise ValueError("a loss is a share from 0 to 1")
    return tension * (1.0 - loss)


def tension_range(
    tension: float,
    stiffness: float,
    expansion: float,
    frame: float,
    installed: float,
    coldest: float,
    hottest: float,
    loss: float = 0.0,
) -> tuple[float, float]:
    """Lowest and highest pull in N, ``loss`` taken off first, from ``coldest`` to ``hottest``.

    ``installed``: temperature at which ``tension`` was pulled; the range reaches to it where it is outside. A
    frame that expands more than the cable (aluminium) has its highest pull when hot.
    """
    left = after_loss(tension, loss)
    at = (installed, coldest, hottest)
    pulls = [heated(left, stiffness, expansion, frame, day - installed) for day in at]
    return min(pulls), max(pulls)


def extremes(
    tension: float,
    stiffness: float,
    expansion: float,
    frame: float,
    installed: float,
    coldest: float,
    hottest: float,
    loss: float,
) -> tuple[float, float]:
    """Slackest pull in N, with ``loss``, and tightest, before any of it, over the range of temperature."""
    slack = tension_range(tension, stiffness, expansion, frame, installed, coldest, hottest, loss)
    tight = tension_range(tension, stiffness, expansion, frame, installed, coldest, hottest)
    return slack[0], tight[1]


def round_bend(tension: float, angle: float, friction: float) -> float:
    """Pull in N behind a bend of ``angle`` radians: T e^(-m angle). Bends in a row: the sum of their angles."""
    return tension * exp(-friction * abs(angle))
