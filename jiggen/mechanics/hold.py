"""Screws in a wooden post turned into the pull that they hold.

Diameters are the shank's, mm. ``gravity``: specific gravity of the wood. The screw goes into side grain.
Edge, end and spacing rules, wet service and the fitting itself are not in it.
"""

from __future__ import annotations

from math import cos, hypot, sin
from typing import Literal

from jiggen.units import MM_PER_INCH, N_PER_LBF

Kind = Literal["wood", "lag"]

SUSTAINED = 0.9  # load that stays, NDS Table 2.3.2, from memory
LEAST_DIAMETERS: dict[Kind, float] = {"wood": 6.0, "lag": 4.0}  # NDS 12.1.5.6 and 12.1.4.6


def withdrawal(kind: Kind, gravity: float, diameter: float) -> float:
    """Withdrawal of one screw in N per mm of thread in sound wood.

    Wood screw 2850 G^2 D (NDS 12.2-2, from memory), lag screw 1800 G^1.5 D^0.75 (NDS 12.2-1) lb per inch of
    thread, D in inches.
    """
    inches = diameter / MM_PER_INCH
    pounds = 2850.0 * gravity**2 * inches if kind == "wood" else 1800.0 * gravity**1.5 * inches**0.75
    return pounds * N_PER_LBF / MM_PER_INCH


def reach(length: float, flange: float = 0.0, sleeve: float = 0.0, gap: float = 0.0) -> float:
    """Length in mm of a screw that is in the wood, its tip included: less flange, sleeve and gap; 0 at least."""
    return max(0.0, length - flange - sleeve - gap)


def thread_in_wood(
    length: float,
    diameter: float,
    flange: float = 0.0,
    sleeve: float = 0.0,
    gap: float = 0.0,
    thread: float | None = None,
) -> float:
    """Full thread in mm in sound wood: what is in the wood, less the tip of one diameter; 0 at least.

    ``thread``: length of the thread as sold, tip included; None: threaded to the head.
    """
    inside = reach(length, flange, sleeve, gap)
    return max(0.0, (inside if thread is None else min(inside, thread)) - diameter)


def penetration(kind: Kind, inside: float, diameter: float) -> float:
    """Penetration in mm as it is counted, of ``inside`` mm in the wood: a lag screw's without its tip."""
    return max(0.0, inside - diameter) if kind == "lag" else inside


def least_penetration(kind: Kind, diameter: float) -> float:
    """Least penetration in mm: 6 D of a wood screw, 4 D of a lag screw (NDS 12.1.5 and 12.1.4)."""
    return LEAST_DIAMETERS[kind] * diameter


def hold(kind: Kind, count: int, gravity: float, diameter: float, thread: float) -> float:
    """Pull in N that ``count`` screws with ``thread`` mm of thread in the wood hold for good (x 0.9)."""
    return count * withdrawal(kind, gravity, diameter) * thread * SUSTAINED


def pull_and_shear(tension: float, rake: float) -> tuple[float, float]:
    """The cable's pull on a fitting: out of the face, T cos t, and along it, T sin t, N; ``rake`` in radians."""
    return tension * cos(rake), tension * abs(sin(rake))


def held_together(pull: float, shear: float, withdraw: float, lateral: float) -> bool:
    """True where screws that hold ``withdraw`` N straight out and ``lateral`` N aside hold both at once.

    By Hankinson's curve, NDS 12.4, from memory, the load Z at an angle a to the face holds
    W L / (W cos^2 a + L sin^2 a): pull/Z = sin a, shear/Z = cos a. That is shear^2 / L + pull^2 / W <= Z.
    """
    whole = hypot(pull, shear)
    if whole == 0.0:
        return True
    if (pull > 0.0 and withdraw <= 0.0) or (shear > 0.0 and lateral <= 0.0):
        return False
    out = pull**2 / withdraw if pull > 0.0 else 0.0
    aside = shear**2 / lateral if shear > 0.0 else 0.0
    return out + aside <= whole * (1.0 + 1e-12)
