"""Millimetres turned into what people read: a tape's inches and fractions, feet and inches, decimals."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from jiggen.units.factors import MM_PER_INCH

System = Literal["in", "mm"]


def from_inches(inches: Fraction) -> float:
    """``inches`` in mm, the float nearest to the true value, as ``length`` gives it."""
    return float(inches * Fraction(str(MM_PER_INCH)))


@dataclass(frozen=True, slots=True)
class Tape:
    """A length as a tape is read: ``whole`` and ``numerator``/``denominator`` (0/1 where there is none).

    ``rest``: true length minus reading, mm. ``text``: the reading without its unit, "27 15/16", "-3/4" or
    "712.5". ``reading``: its value, mm.
    """

    whole: int
    numerator: int
    denominator: int
    rest: float
    text: str
    negative: bool
    reading: float

    @property
    def signed(self) -> str:
        """``text``, with " +" or " -" where the true length is over 0.1 mm longer or shorter than that."""
        return self.text + (" +" if self._longer > 0.1 else " -" if self._longer < -0.1 else "")

    @property
    def told(self) -> str:
        """``text`` as a sentence has it: "just over 1/4" or "just under 1/4" where ``signed`` has a sign;
        "nearly 0" of what a tape does not tell from nothing."""
        if self.reading == 0.0 and abs(self.rest) > 0.1:
            return "nearly 0"  # a tape has no mark near enough; the mm beside it tell
        return ("just over " if self._longer > 0.1 else "just under " if self._longer < -0.1 else "") + self.text

    @property
    def _longer(self) -> float:
        """By how much the true length is longer than the reading, whichever side of 0 both are on."""
        return -self.rest if self.negative else self.rest


def tape(mm: float, step: float | None = None, units: System = "in") -> Tape:
    """The tape reading nearest to ``mm``, to ``step`` mm (None: 1/16 in, or 0.5 mm in "mm").

    In "in" a step that is 1, 1/2, 1/4 ... 1/128 in gives a fraction in lowest terms, any other step
    decimal inches. Halves go away from zero.
    """
    if not math.isfinite(mm) or (step is not None and not step > 0):
        raise ValueError("a tape reading needs a finite length and a step over 0")
    own = MM_PER_INCH / 16 if units == "in" else 0.5
    chosen = own if step is None else step
    parts = round(MM_PER_INCH / chosen)
    is_fraction = units == "in" and parts in (1, 2, 4, 8, 16, 32, 64, 128)
    if is_fraction and math.isclose(MM_PER_INCH / chosen, parts, rel_tol=1e-9):
        return _fraction_tape(mm, parts)
    return _decimal_tape(mm, chosen, MM_PER_INCH if units == "in" else 1.0)


@lru_cache(maxsize=4096)  # a length is read on its sheet, in the schedules and in the lists
def _fraction_tape(mm: float, parts: int) -> Tape:
    at = _marked(math.floor(abs(mm) / MM_PER_INCH * parts + 0.5), parts, mm < 0)
    return Tape(at.whole, at.numerator, at.denominator, mm - at.reading, at.text, at.negative, at.reading)


@lru_cache(maxsize=4096)  # few marks of a tape are read, and each of them often
def _marked(count: int, parts: int, below: bool) -> Tape:
    """The tape's mark ``count`` parts of an inch from 0, and nothing left over; ``below``: on the minus side."""
    whole, left = divmod(count, parts)
    part = Fraction(left, parts)
    negative = below and count > 0
    words = ([str(whole)] if whole or not left else []) + ([str(part)] if left else [])
    reading = from_inches(Fraction(-count if negative else count, parts))
    text = ("-" if negative else "") + " ".join(words)
    return Tape(whole, part.numerator, part.denominator, 0.0, text, negative, reading)


def _decimal_tape(mm: float, step: float, unit: float) -> Tape:
    count = math.floor(abs(mm) / step + 0.5)
    places = next((n for n in range(4) if math.isclose(round(step / unit, n), step / unit, rel_tol=1e-6)), 4)
    text = _fixed(count * step / unit, places)
    negative = mm < 0 and float(text) > 0
    reading = (-1 if negative else 1) * float(text) * unit
    return Tape(int(float(text)), 0, 1, mm - reading, ("-" if negative else "") + text, negative, reading)


def feet(mm: float, step: float | None = None) -> str:
    """``mm`` as "5 ft 4 3/4 in", to ``step`` mm (None: 1/16 in); "4 3/4 in" below a foot, "10 ft" on one."""
    read = tape(mm, step)
    whole, inches = divmod(read.whole, 12)
    sign = "-" if read.negative else ""
    if not whole:
        return f"{read.text} in"
    decimals = read.text.partition(".")[2]
    part = f"{read.numerator}/{read.denominator}" if read.numerator else ""
    left = f"{inches}.{decimals}" if decimals else " ".join(filter(None, [str(inches or ""), part]))
    return f"{sign}{whole} ft {left} in" if left else f"{sign}{whole} ft"


def mm_text(mm: float, places: int = 1) -> str:
    """``mm`` with ``places`` decimals and no unit, halves away from zero, never "-0.0"."""
    return _fixed(mm, places)


def degrees_text(radians: float, places: int = 1) -> str:
    """``radians`` in degrees with ``places`` decimals and no unit, never "-0.0"."""
    return _fixed(math.degrees(radians), places)


def _fixed(number: float, places: int) -> str:
    shortest = Decimal(repr(float(number)))
    rounded = shortest.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    return f"{rounded if rounded else abs(rounded):f}"
