"""One screw under a metal flange, pushed along or across the post's grain, turned into the shear that it holds.

The six yield modes of a dowel in single shear, NDS 2018 Table 12.3.1A with its reduction terms and bearing
strengths, all from memory: a first look. Edge distance, group action, wet wood and the flange's own strength are
left out.
"""

from __future__ import annotations

from math import cos, pi, pow, sin, sqrt

from jiggen.units import MM_PER_INCH, N_PER_LBF

PSI = N_PER_LBF / MM_PER_INCH**2  # N/mm2
STEEL_BEARING = 61850.0 * PSI  # N/mm2, thin sheet steel; stainless is no softer

_QUARTER = 0.25  # in
_BENDING = ((0.142, 100e3), (0.177, 90e3), (0.236, 80e3), (0.273, 70e3), (0.344, 60e3))  # in, psi


def bearing(gravity: float, diameter: float, grain: float = 0.0) -> float:
    """Bearing strength in N/mm2 of wood under a dowel of ``diameter`` mm pushed at ``grain`` radians to the grain.

    16600 G^1.84 psi below 1/4 in, at any angle; from there 11200 G psi along the grain, 6100 G^1.45 / D^0.5 across it
    (NDS Table 12.3.3) and Hankinson's curve between (NDS 12.3.4).
    """
    inches = diameter / MM_PER_INCH
    if inches < _QUARTER:
        return 16600.0 * pow(gravity, 1.84) * PSI
    along, across = 11200.0 * gravity, 6100.0 * pow(gravity, 1.45) / sqrt(inches)
    return along * across / (along * sin(grain) ** 2 + across * cos(grain) ** 2) * PSI


def bending_yield(diameter: float) -> float:
    """Bending yield strength in N/mm2 of a plain steel screw of ``diameter`` mm (NDS Table I1)."""
    inches = diameter / MM_PER_INCH
    return next((psi for most, psi in _BENDING if inches <= most + 1e-9), 45e3) * PSI


def yield_limit(
    diameter: float,
    main: float,
    side: float,
    main_bearing: float,
    side_bearing: float,
    bending: float,
    grain: float = 0.0,
    shank: float = 0.0,
) -> float:
    """Shear in N at which the weakest of the six modes yields, reduced; no factor for the load's duration.

    ``diameter``: where it bends, a thread's root, mm. ``main`` and ``side``: lengths in mm that bear in the post
    and in the flange; ``main_bearing``, ``side_bearing`` and ``bending``: strengths in N/mm2. ``grain``: of the push, radians to the grain. ``shank``: outside diameter, mm, 0: no thinner root.
    """
    ratio, depth = main_bearing / side_bearing, main / side
    round_main = 2.0 * bending * diameter**2 / (3.0 * main_bearing * main**2)
    round_side = 2.0 * bending * diameter**2 / (3.0 * main_bearing * side**2)
    k1 = (sqrt(ratio + 2.0 * ratio**2 * (1.0 + depth + depth**2) + depth**2 * ratio**3) - ratio * (1.0 + depth)) / (
        1.0 + ratio
    )
    k2 = -1.0 + sqrt(2.0 * (1.0 + ratio) + (1.0 + 2.0 * ratio) * round_main)
    k3 = -1.0 + sqrt(2.0 * (1.0 + ratio) / ratio + (2.0 + ratio) * round_side)
    bears_main, bears_side, both, bends = _reductions(diameter, max(shank, diameter), grain)
    modes = (
        diameter * main * main_bearing / bears_main,
        diameter * side * side_bearing / bears_side,
        k1 * diameter * side * side_bearing / both,
        k2 * diameter * main * main_bearing / (1.0 + 2.0 * ratio) / bends,
        k3 * diameter * side * main_bearing / (2.0 + ratio) / bends,
        diameter**2 * sqrt(2.0 * main_bearing * bending / (3.0 * (1.0 + ratio))) / bends,
    )
    return min(modes)


def lateral(
    shank: float,
    root: float,
    inside: float,
    flange: float,
    gravity: float,
    duration: float = 0.9,
    grain: float = 0.0,
) -> float:
    """Shear in N that one screw holds under a steel ``flange`` mm thick, ``inside`` mm of it in the wood.

    ``shank`` and ``root``: its diameters, mm. ``duration``: 0.9 for load that stays (NDS Table 2.3.2). ``grain``: between
    push and grain, radians, 0 along the post. 0 where it is not in the wood or the flange has no thickness.
    """
    if inside <= 0.0 or flange <= 0.0:
        return 0.0
    strengths = bearing(gravity, shank, grain), STEEL_BEARING, bending_yield(shank)
    return duration * yield_limit(root, inside, flange, *strengths, grain, shank)


def _reductions(diameter: float, shank: float, grain: float) -> tuple[float, float, float, float]:
    """Reduction terms for bearing in the post, in the flange, in both, and for bending (NDS Table 12.3.1B).

    From 1/4 in on they grow with the angle to the grain, by a quarter across it; a thread whose root alone is thinner
    has the terms of the root and grows as well.
    """
    inches = diameter / MM_PER_INCH
    turned = 1.0 + 0.25 * grain / (pi / 2.0)
    if inches >= _QUARTER:
        return 4.0 * turned, 4.0 * turned, 3.6 * turned, 3.2 * turned
    one = 2.2 if inches <= 0.17 else 10.0 * inches + 0.5
    if shank / MM_PER_INCH >= _QUARTER:
        one *= turned
    return one, one, one, one
