"""A pull turned into the travel that it needs at the fittings, and the travel into turns.

``total``: length in mm between the end posts' faces. ``stiffness``: E times metallic area, N. ``takes_up``: mm
of cable that one full turn of the adjustable end takes up. Turns are a guide: the hang test decides.
"""

from __future__ import annotations


def elastic(tension: float, total: float, stiffness: float) -> float:
    """Stretch in mm that goes back when the pull does: T L / (E a)."""
    return tension * total / stiffness


def constructional(share: float, total: float) -> float:
    """Stretch in mm that stays, as a new strand's wires bed into one another: ``share`` of its length."""
    return share * total


def travel_needed(tension: float, total: float, stiffness: float, share: float = 0.0, slack: float = 0.0) -> float:
    """Travel in mm from hand-fast to ``tension`` N: elastic, constructional (``share``) and ``slack`` mm."""
    return elastic(tension, total, stiffness) + constructional(share, total) + slack


def turns(travel: float, takes_up: float) -> float:
    """Full turns for ``travel`` mm. From snug: of the travel without the slack. ValueError: takes_up not over 0."""
    if not takes_up > 0.0:
        raise ValueError("a turn takes up more than 0")
    return travel / takes_up


def per_quarter_turn(takes_up: float, total: float, stiffness: float) -> float:
    """Pull in N that a quarter turn adds to a cable that no longer beds in: E a (takes_up / 4) / L."""
    return stiffness * takes_up / 4.0 / total
