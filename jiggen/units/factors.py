"""Names of units turned into exact factors: everyday ones from a table, all others from pint."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

MM_PER_INCH = 25.4
GRAVITY = 9.80665  # m/s2, CGPM 1901
N_PER_LBF = 0.45359237 * GRAVITY  # 4.4482216152605

_INCH = Fraction(str(MM_PER_INCH))
_KGF = Fraction(str(GRAVITY))

# What nearly every job uses, so that it need not wait for pint; a test holds each against pint.
EVERYDAY: dict[tuple[str, str], Fraction] = {
    ("inch", "millimetre"): _INCH,
    ("foot", "millimetre"): 12 * _INCH,
    ("millimetre", "millimetre"): Fraction(1),
    ("centimetre", "millimetre"): Fraction(10),
    ("metre", "millimetre"): Fraction(1000),
    ("newton", "newton"): Fraction(1),
    ("kilonewton", "newton"): Fraction(1000),
    ("kilogram_force", "newton"): _KGF,
    ("pound_force", "newton"): Fraction("0.45359237") * _KGF,
    ("degree", "radian"): Fraction("3.14159265358979323846") / 180,
    ("newton_per_square_millimetre", "newton_per_square_millimetre"): Fraction(1),
    ("kilonewton_per_square_millimetre", "newton_per_square_millimetre"): Fraction(1000),
}
# kelvin = degrees x factor + offset
SCALES: dict[str, tuple[Fraction, Fraction]] = {
    "kelvin": (Fraction(1), Fraction(0)),
    "degree_celsius": (Fraction(1), Fraction("273.15")),
    "degree_fahrenheit": (Fraction(5, 9), Fraction("459.67") * 5 / 9),
}


def factor(unit: str, target: str) -> Fraction:
    """How many ``target`` make one ``unit``, exactly; both by their names in units.txt."""
    return EVERYDAY.get((unit, target)) or by_pint(unit, target)


def kelvin_of(amount: Fraction, scale: str) -> Fraction:
    """A temperature in K, exactly. ``scale``: a key of ``SCALES``."""
    times, offset = SCALES[scale]
    return amount * times + offset


@cache
def by_pint(unit: str, target: str) -> Fraction:
    """How many ``target`` make one ``unit``, exactly, as pint has it."""
    return Fraction(registry().Quantity(Fraction(1), unit).to(target).magnitude)


@cache
def registry() -> Any:
    """The pint registry of units.txt, in exact fractions; pint is imported here and nowhere else."""
    import pint

    made: Any = pint.UnitRegistry(None, non_int_type=Fraction)
    own = f"inch = {MM_PER_INCH} * millimetre = in\nstandard_gravity = {GRAVITY} * metre / second ** 2\n"
    text = Path(__file__).with_name("units.txt").read_text(encoding="utf-8")
    made.load_definitions([*own.splitlines(), *text.splitlines()])
    return made
