"""Openings under load: a force on the cables turned into an opening, and a sphere back into force, pull, spacing.

``cables``: how many of the two members beside an opening are cables: 2 between cables, 1 beside a rail or a
deck, 0 between two rigid members. ``play``: hole less cable, mm, 0 in a run without a line post or bar. The other
parameters are those of ``cable``.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from math import atan, cos, inf, sin, sqrt

from jiggen.mechanics.cable import force_at, tension_for

CONE_PUSH = 150.0  # N on the cone, NCC 2022 Volume Two, H5V1
CONE_SIZE = 125.0  # mm across at the cone's wide end, the same
CONE_HALF_ANGLE = atan(0.5)  # 125 mm down to a 20 mm nose over 105 mm: (125 - 20) / 2 / 105
CONE_FRICTION = 0.2  # dry polished steel on steel, from memory

_GOLDEN = (sqrt(5.0) - 1.0) / 2.0


def loaded_opening(opening: float, y: float, play: float = 0.0, cables: int = 2) -> float:
    """The opening in mm with each cable beside it pushed ``y`` mm aside.

    Between two cables opening + play + 2 y, beside something rigid opening + play / 2 + y.
    """
    return opening + cables * (play / 2.0 + y)


def give_needed(opening: float, sphere: float, play: float = 0.0, cables: int = 2) -> float:
    """Deflection in mm of each cable that makes the opening as large as ``sphere``; 0 where it already is.

    Infinite where no cable stands beside a smaller opening.
    """
    if opening >= sphere:
        return 0.0
    return max(0.0, (sphere - opening) / cables - play / 2.0) if cables else inf


def opens_at(
    opening: float,
    sphere: float,
    free: float,
    tension: float,
    stiffness: float,
    total: float,
    play: float = 0.0,
    cables: int = 2,
    x: float = 0.5,
) -> float:
    """Force in N on each cable at which the opening reaches ``sphere``; 0 where already open, inf for never."""
    y = give_needed(opening, sphere, play, cables)
    return inf if y == inf else force_at(y, free, tension, stiffness, total, x)


def tension_to_stay(
    opening: float,
    sphere: float,
    force: float,
    free: float,
    stiffness: float,
    total: float,
    play: float = 0.0,
    cables: int = 2,
    x: float = 0.5,
) -> float:
    """Pull at rest in N at which ``force`` N on each cable opens just to ``sphere``: any more keeps it shut.

    Infinite where it is open before any force, 0 where it cannot open.

    With 96.4 N a wire (what 150 N on the cone give at friction 0.2), a 125 mm sphere and ``total`` 5
    times ``free`` this is, against the 47 cells of 400 N and more for 1x19 wire in ABCB Housing Provisions
    2022, Table 11.3.6a: median 6.1 % above the table, half the cells within 12.7 %, the worst 81.5 % above
    (4.0 mm, 60 mm apart, 1800 mm: 593 N in the table). The table is what counts where a rule set has it.
    """
    y = give_needed(opening, sphere, play, cables)
    return 0.0 if y == inf else tension_for(force, y, free, stiffness, total, x)


@lru_cache(maxsize=1024)
def push_through(
    sphere: float,
    spacing: float,
    cable: float,
    free: float,
    tension: float,
    stiffness: float,
    total: float,
    play: float = 0.0,
) -> float:
    """Push in N, square to the guard, that takes a sphere through between two cables, without friction.

    ``spacing``: centre to centre; ``cable``: diameter. Held at y the push is 2 F(y) sqrt(R^2 - h^2) / h with
    h = (spacing + play) / 2 + y and R = (sphere + cable) / 2: where the cables touch the sphere. The greatest
    value on the way, by golden section (it rises to one top and falls); 0 where the sphere fits at rest.
    """
    reach, start = (sphere + cable) / 2.0, (spacing + play) / 2.0

    def push(y: float) -> float:
        h = start + y
        side = force_at(y, free, tension, stiffness, total)
        return 2.0 * side * sqrt(max(0.0, reach**2 - h**2)) / h

    return _greatest(push, reach - start) if reach > start else 0.0


def cone_push(force: float, friction: float) -> float:
    """Push in N on a cone that presses each of two wires aside with ``force`` N; inf where it jams."""
    aside = cos(CONE_HALF_ANGLE) - friction * sin(CONE_HALF_ANGLE)
    if aside <= 0.0:
        return inf
    return 2.0 * force * (sin(CONE_HALF_ANGLE) + friction * cos(CONE_HALF_ANGLE)) / aside


def largest_spacing(
    opening: Callable[[float], float], sphere: float, low: float, high: float, within: float = 1e-6
) -> float | None:
    """The largest spacing from ``low`` to ``high`` mm whose ``opening(spacing)`` is under ``sphere``.

    By bisection, to ``within`` mm and never above the limit; ``opening`` grows with the spacing. ``high``
    where all pass, None where ``low`` already fails (the limit itself fails).
    """
    if not opening(low) < sphere:
        return None
    if opening(high) < sphere:
        return high
    while high - low > within:
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        low, high = (middle, high) if opening(middle) < sphere else (low, middle)
    return low


def _greatest(value: Callable[[float], float], end: float) -> float:
    """The top, between 0 and ``end``, of a function that rises to it and falls behind it."""
    low, high = 0.0, end
    left, right = end * (1.0 - _GOLDEN), end * _GOLDEN
    at_left, at_right = value(left), value(right)
    for _ in range(60):
        if at_left < at_right:
            low, left, at_left = left, right, at_right
            right = low + _GOLDEN * (high - low)
            at_right = value(right)
        else:
            high, right, at_right = right, left, at_left
            left = high - _GOLDEN * (high - low)
            at_left = value(left)
    return max(at_left, at_right)
