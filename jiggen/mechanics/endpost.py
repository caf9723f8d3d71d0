"""The cables' pulls on an end post turned into what its foot and its top rail feel.

``pulls``: (tension N, height mm over the foot) of each cable, all to one side. The post's own strength, its
anchorage and the rail's ends are not judged here: a licensed designer's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, inf

SAFE_SHARE = 0.5  # of the breaking strength, common practice, no source

Pulls = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Propped:
    """What a post held by the rail feels: ``thrust`` of the rail and ``base_shear`` in N, ``base_moment`` in N mm.

    ``base_moment`` + bends the post towards the cables.
    """

    thrust: float
    base_shear: float
    base_moment: float


def total_pull(pulls: Pulls) -> float:
    """Sum of the tensions, N."""
    return fsum(tension for tension, _ in pulls)


def cantilever_moment(pulls: Pulls) -> float:
    """Moment in N mm at the foot of a post that nothing holds at its top: the sum of tension times height."""
    return fsum(tension * height for tension, height in pulls)


def propped_hinged(pulls: Pulls, rail: float) -> Propped:
    """The post hinged at its foot, the rail at height ``rail`` mm: thrust = sum(T h) / H, the most a rail gets.

    Raises ValueError where a cable is above the rail or below the foot.
    """
    _check(pulls, rail)
    thrust = cantilever_moment(pulls) / rail
    return Propped(thrust, total_pull(pulls) - thrust, 0.0)


def propped_fixed(pulls: Pulls, rail: float) -> Propped:
    """The post fixed at its foot and of one section, the rail at ``rail`` mm: thrust = sum T h^2 (3 H - h) / (2 H^3).

    The deflections of a cantilever at its top under T at h, T h^2 (3 H - h) / (6 E I), and under the thrust,
    R H^3 / (3 E I), are equal: the rail does not give way. Raises ValueError as ``propped_hinged``.
    """
    _check(pulls, rail)
    thrust = fsum(tension * h**2 * (3.0 * rail - h) for tension, h in pulls) / (2.0 * rail**3)
    return Propped(thrust, total_pull(pulls) - thrust, cantilever_moment(pulls) - thrust * rail)


def margin(breaking: float, tension: float) -> float:
    """How many times the pull goes into the breaking strength, both N; inf without pull."""
    return breaking / tension if tension > 0.0 else inf


def is_safe(tension: float, breaking: float, share: float = SAFE_SHARE) -> bool:
    """True where the pull is at most ``share`` of the breaking strength, both N."""
    return tension <= share * breaking


def _check(pulls: Pulls, rail: float) -> None:
    if not rail > 0.0 or any(not 0.0 <= height <= rail for _, height in pulls):
        raise ValueError("cables stand between the foot and the rail")
