"""What a tape says of a printed scale page turned into the affine that undoes what the printer does."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from math import asin, atan, cos, degrees, pi, sin, tan

from jiggen.geometry import Point
from jiggen.units import length

MOST = 0.03  # common practice, no source: papers shrunk to fit a printer's margins are off by more
LEAST_LENGTH = 100.0  # mm; half a millimetre of reading on less than that is over 0.5 %
_HAIR = 1e-9

Matrix = tuple[float, float, float, float, float, float]
"""(a, b, c, d, e, f) as PDF writes it (ISO 32000-1, 8.3.3): x' = a x + c y + e, y' = b x + d y + f; mm."""

_REMEDY = 'write what was measured and what it should be, such as "190.6 of 190.5 mm" or "7 1/2 of 7 17/32 in"'
_DIAGONALS = 'write both diagonals, the one from lower left to upper right first, such as "226.5, 226.1 mm"'
_FIT = (
    "over 3 % is a fit-to-page setting, which no correction mends;"
    ' print at 100 % ("actual size", no scaling) and measure again'
)


@dataclass(frozen=True, slots=True)
class Reading:
    """One ruler of the scale page: ``measured`` and ``nominal``, mm; ``step``: the finest step it was read to, mm."""

    measured: float
    nominal: float
    step: float

    @property
    def factor(self) -> float:
        """Printed length over nominal length."""
        return self.measured / self.nominal

    @property
    def doubt(self) -> float:
        """How far ``factor`` may be off when the reading was rounded to its step."""
        return self.step / 2.0 / self.nominal


@dataclass(frozen=True, slots=True)
class Correction:
    """What one printer does to one paper, and how it is undone.

    ``across``, ``along``: printed length over nominal length along the page's lower edge and along its left
    edge (the page upright, as it is read). ``skew``: how far the left edge leans to the right of square,
    radians. Raises ValueError, its text the reason, where any of it is over 3 % off or no number.
    """

    across: float = 1.0
    along: float = 1.0
    skew: float = 0.0

    def __post_init__(self) -> None:
        for name, factor in (("across", self.across), ("along", self.along)):
            if not abs(factor - 1.0) <= MOST + _HAIR:
                raise ValueError(f"{name} is {_percent(factor)}: {_FIT}")
        if not (abs(self.skew) < pi / 4.0 and abs(tan(self.skew)) <= MOST + _HAIR):
            raise ValueError(
                f"the page is {degrees(self.skew):.1f} degrees out of square: over 3 % is paper that was fed askew or a"
                " diagonal misread; print the scale page again"
            )

    @property
    def printer(self) -> tuple[float, float, float, float]:
        """a, b, c, d of what the printer does, about the middle of the page."""
        return (self.across, 0.0, self.along * sin(self.skew), self.along * cos(self.skew))

    @property
    def undoing(self) -> tuple[float, float, float, float]:
        """a, b, c, d of what undoes it: the inverse of ``printer``."""
        return (1.0 / self.across, 0.0, -tan(self.skew) / self.across, 1.0 / (self.along * cos(self.skew)))

    def matrix(self, width: float, height: float) -> Matrix:
        """From the page as it should be to the page as it must be sent, about the middle of a page of that size, mm."""
        return _about(self.undoing, width, height)

    def printed(self, width: float, height: float) -> Matrix:
        """From the page as it was sent to the page that the printer makes of it: the inverse of ``matrix``."""
        return _about(self.printer, width, height)

    def room(self, width: float, height: float, margin: float) -> float:
        """What is left of a margin on the page that is sent, at the corner where it is least, mm."""
        a, _, c, d = self.undoing
        half, tall = width / 2.0 - margin, height / 2.0 - margin
        return min(width / 2.0 - (a * half + abs(c) * tall), height / 2.0 - d * tall)


def measured(
    across: str, along: str, diagonals: str = "", size: tuple[float, float] | None = None
) -> tuple[Correction, float]:
    """The correction that two rulers, and the square's diagonals, of a scale page call for; and its doubt.

    ``across``, ``along``: texts such as "190.6 of 190.5 mm". ``diagonals``: "" or both, from lower left to
    upper right first; only what they are to each other counts. ``size``: of the paper, mm, to refuse a
    ruler longer than it. Doubt: how far a length may still be off for its length, as the rulers were
    rounded. Raises ValueError, its text the reason, for what is no reading and for over 3 % off.
    """
    readings = []
    for index, (name, text) in enumerate((("across", across), ("along", along))):
        found = _named(name, text)
        if size is not None and found.nominal > size[index] + _HAIR:
            raise ValueError(
                f"{name} says {found.nominal:.1f} mm on paper that is {size[index]:.1f} mm that way;"
                " hold the page upright: across is its short side"
            )
        readings.append(found)
    a, b = readings
    skew = skew_from(diagonals, a.factor, b.factor) if diagonals.strip() else 0.0
    return Correction(a.factor, b.factor, skew), max(a.doubt, b.doubt)


def reading(text: str) -> Reading:
    """What "190.6 of 190.5 mm" or "7 1/2 of 7 17/32 in" says, mm; a unit after the second number is for both.

    Raises ValueError, its text the reason, for anything else, for under 100 mm and for over 3 % off.
    """
    parts = re.split(r"\s+of\s+", text.strip(), flags=re.IGNORECASE)
    if len(parts) != 2:
        raise ValueError(f'found "{text}"; {_REMEDY}')
    found, nominal, step = _pair(parts[0], parts[1], text, _REMEDY)
    if nominal < LEAST_LENGTH:
        raise ValueError(f'found "{text}"; measure the whole ruler, at least {LEAST_LENGTH:.0f} mm of it')
    factor = found / nominal
    if abs(factor - 1.0) > MOST + _HAIR:
        raise ValueError(f'"{text}" is {_percent(factor)}: {_FIT}')
    return Reading(found, nominal, step)


def skew_from(diagonals: str, across: float, along: float) -> float:
    """How far the left edge of a square leans to the right, radians, from both its printed diagonals.

    Printed, the square's edges are the vectors (A, 0) and (B sin k, B cos k); so the diagonals squared are
    A^2 + B^2 +- 2 A B sin k and sin k = (A^2 + B^2) / (2 A B) times their difference over their sum, which
    needs A and B only as the factors ``across`` and ``along``. Raises ValueError for what is no two lengths.
    """
    parts = re.split(r"\s*(?:[,;]|\band\b)\s*", diagonals.strip())
    if len(parts) != 2:
        raise ValueError(f'found "{diagonals}"; {_DIAGONALS}')
    first, second, _ = _pair(parts[0], parts[1], diagonals, _DIAGONALS)
    share = (first**2 - second**2) / (first**2 + second**2)
    lean = (across**2 + along**2) / (2.0 * across * along) * share
    if abs(lean) > sin(atan(MOST)) + _HAIR:
        raise ValueError(
            f'"{diagonals}" is more than 3 % out of square: the paper was fed askew or a diagonal misread;'
            " print the scale page again"
        )
    return asin(lean)


def foot_words(name: str) -> str:
    """What the foot of every page says that is corrected for the printer called ``name``."""
    return f"corrected for {name}: do not print elsewhere"


def as_data(correction: Correction) -> dict[str, float]:
    """A correction as plain data, for the file that it was applied to."""
    return {"across": correction.across, "along": correction.along, "skew": correction.skew}


def from_data(data: object) -> Correction:
    """The reverse of ``as_data``. Raises ValueError where ``data`` is not of that form."""
    try:
        return Correction(*(float(data[key]) for key in ("across", "along", "skew")))  # type: ignore[index]
    except (KeyError, TypeError, IndexError) as error:
        raise ValueError(f"the printer correction in the file is damaged ({error})") from None


def moved(matrix: Matrix, point: Point) -> Point:
    """Where ``matrix`` takes ``point``."""
    a, b, c, d, e, f = matrix
    return Point(a * point.x + c * point.y + e, b * point.x + d * point.y + f)


def _about(part: tuple[float, float, float, float], width: float, height: float) -> Matrix:
    a, b, c, d = part
    x, y = width / 2.0, height / 2.0
    return (a, b, c, d, x - a * x - c * y, y - b * x - d * y)


def _named(name: str, text: str) -> Reading:
    try:
        return reading(text)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None


def _pair(first: str, second: str, text: str, remedy: str) -> tuple[float, float, float]:
    """Two lengths over 0, mm, and the finer of the steps that they are written to; a unit may stand once."""
    both = _unit(second) or "mm"
    lengths, steps = [], []
    for part in (first, second):
        own = _unit(part)
        try:
            lengths.append(length(part if own else f"{part} {both}"))
            steps.append(_step(part) * length(f"1 {own or both}"))
        except ValueError:
            raise ValueError(f'found "{text}"; {remedy}') from None
    if not all(one > 0.0 for one in lengths):
        raise ValueError(f'found "{text}"; {remedy}')
    return lengths[0], lengths[1], min(steps)


def _unit(part: str) -> str:
    """What stands after the last figure of ``part``, "" where nothing does."""
    last = max((i for i, character in enumerate(part) if character.isnumeric()), default=-1)
    return part[last + 1 :].strip()


def _step(part: str) -> float:
    """What the last figure of a length counts, in its unit: "190.6" 0.1, "7 17/32" 1/32, "7" 1."""
    plain = unicodedata.normalize("NFKC", part)
    fraction = re.search("[/\N{FRACTION SLASH}] *([0-9]+)", plain)
    decimals = re.search(r"\.([0-9]+)", plain)
    if fraction and int(fraction[1]):
        return 1.0 / int(fraction[1])
    return 10.0 ** -len(decimals[1]) if decimals else 1.0


def _percent(factor: float) -> str:
    off = (factor - 1.0) * 100.0
    return f"{abs(off):.2f} % {'long' if off > 0.0 else 'short'}"
