"""Lengths and forces of a finding turned into words in the job's units; figures of a remedy round to the safe side."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor

from jiggen.plan.model import Plan
from jiggen.plan.words import length
from jiggen.units import MM_PER_INCH, N_PER_LBF, mm_text

EPSILON = 1e-6
FINE = 1.0  # mm; a height in a metric job is told to this: what a tape is read to
MARGIN = {"in": MM_PER_INCH / 16.0, "mm": 1.0}  # under or over a limit at least, in a figure that a remedy names
NOISE = 1e-9  # of a step; far under EPSILON of any step, so that a limit itself is never told


def both(plan: Plan, mm: float) -> str:
    """A length in the job's tape and in mm."""
    return length(plan.job, mm)


def stepped_down(plan: Plan, mm: float) -> float:
    """The largest whole step of the job's readings that is at most ``mm``, mm; 0 where that is none."""
    return _whole(floor(mm / plan.job.round_to + NOISE), plan.job.round_to)


def stepped_up(plan: Plan, mm: float) -> float:
    """The smallest whole step of the job's readings that is at least ``mm``, mm."""
    return _whole(ceil(mm / plan.job.round_to - NOISE), plan.job.round_to)


def finely_down(plan: Plan, mm: float) -> float:
    """``mm`` rounded down to what a tape shows: 1 mm in a metric job, a step of the readings in an inch job."""
    return _whole(floor(mm / FINE + NOISE), FINE) if plan.job.units == "mm" else stepped_down(plan, mm)


def finely_up(plan: Plan, mm: float) -> float:
    """``mm`` rounded up to what can be told, as ``finely_down``."""
    return _whole(ceil(mm / FINE - NOISE), FINE) if plan.job.units == "mm" else stepped_up(plan, mm)


def well_under(plan: Plan, limit: float) -> float:
    """What a tape shows that is under ``limit`` by 1 mm, 1/16 in, at least; mm, 0 where that is none."""
    return finely_down(plan, limit - MARGIN[plan.job.units] + 2.0 * EPSILON)


def well_over(plan: Plan, limit: float) -> float:
    """What a tape shows that is over ``limit`` by 1 mm, 1/16 in, at least; mm."""
    return finely_up(plan, limit + MARGIN[plan.job.units] - 2.0 * EPSILON)


def _whole(count: int, step: float) -> float:
    return max(round(count * step, 6), 0.0)


def temperature(plan: Plan, kelvin: float) -> str:
    """A temperature in the job's units: "38.2 degC", in an inch job "101 degF"."""
    celsius = kelvin - 273.15
    return f"{mm_text(celsius)} degC" if plan.job.units == "mm" else f"{mm_text(celsius * 1.8 + 32.0, 0)} degF"


def newtons(plan: Plan, force: float) -> str:
    """A force in the job's units: "225 lbf (1001 N)" or "1001 N"."""
    return _told(plan, force, lambda value: mm_text(value, 0))


def at_least(plan: Plan, force: float) -> str:
    """A force that is needed, rounded up in the unit that is told, so that what is told is enough."""
    return _told(plan, force, lambda value: mm_text(ceil(value - EPSILON), 0))


def at_most(plan: Plan, force: float) -> str:
    """A force that must not be passed, rounded down in the unit that is told."""
    return _told(plan, force, lambda value: mm_text(floor(value + EPSILON), 0))


def told_up(plan: Plan, force: float) -> float:
    """The force, N, that ``at_least`` tells in the job's own unit: a whole lbf or a whole N."""
    unit = 1.0 if plan.job.units == "mm" else N_PER_LBF
    return ceil(force / unit - EPSILON) * unit


def told_down(plan: Plan, force: float) -> float:
    """The force, N, that ``at_most`` tells in the job's own unit: a whole lbf or a whole N."""
    unit = 1.0 if plan.job.units == "mm" else N_PER_LBF
    return floor(force / unit + EPSILON) * unit


def _told(plan: Plan, force: float, words: Callable[[float], str]) -> str:
    if plan.job.units == "mm":
        return f"{words(force)} N"
    return f"{words(force / N_PER_LBF)} lbf ({words(force)} N)"
