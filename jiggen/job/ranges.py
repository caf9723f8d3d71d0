"""Ranges and defaults of a job's quantities: what is sane, in the words of an inch and of a metric job."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Literal

from jiggen import units

Unit = Literal["in", "mm"]
LEAN = re.compile(r"([+-]?[0-9]{1,6}(?:\.[0-9]{1,6})?) *mm *(?:per|/|in) *(?:1 *)?m")
LEAN_REMEDY = 'write a lean in mm per m, such as 5 or "-3 mm per m"'


def lean(value: str | int | float) -> float:
    """Lean in mm per m from a bare number or "5 mm per m". Raises ValueError, its text the remedy."""
    if not isinstance(value, str):
        return float(value)
    found = LEAN.fullmatch(value.strip())
    if not found:
        raise ValueError(LEAN_REMEDY)
    return float(found[1])


Reader = Callable[[str | int | float, Unit], float]
READERS: dict[str, Reader] = {
    "length": units.length,
    "force": units.force,
    "weight": units.mass_weight,
    "temperature": units.temperature,
    "angle": lambda value, _: units.angle(value),
    "turn": lambda value, _: units.turn(value),
    "slope": lambda value, _: units.slope(value),
    "share": lambda value, _: units.ratio(value),
    "modulus": lambda value, _: units.stress(value),
    "expansion": lambda value, _: units.expansion(value),
    "lean": lambda value, _: lean(value),
    "number": lambda value, _: units.ratio(value),
}


def convert(quantity: str, value: object, unit: Unit) -> float:
    """``value`` in the inner unit of ``quantity``. Raises ValueError, its text the remedy."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return READERS[quantity]("", unit)  # the reader's own remedy
    return READERS[quantity](value, unit)


@dataclass(frozen=True, slots=True)
class Sane:
    """What a quantity may be: least, most and (where there is one) default, of an inch and a metric job."""

    quantity: str
    inch: tuple[str, str]
    metric: tuple[str, str]
    default: tuple[str, str] | None = None

    def bounds(self, unit: Unit) -> tuple[float, float]:
        """Least and most, in the inner unit."""
        low, high = self._texts(unit)
        return _known(self.quantity, low, unit), _known(self.quantity, high, unit)

    def fallback(self, unit: Unit) -> float:
        """The default, or the least where there is none."""
        if self.default is None:
            return self.bounds(unit)[0]
        return _known(self.quantity, self.default[unit == "mm"], unit)

    def words(self, unit: Unit) -> str:
        """'a length from "1/2 in" to "24 in"', in the job's unit."""
        low, high = self._texts(unit)
        article = "an" if self.quantity[0] in "ae" else "a"
        return f'{article} {self.quantity} from "{low}" to "{high}"'

    def _texts(self, unit: Unit) -> tuple[str, str]:
        return self.inch if unit == "in" else self.metric


@cache
def _known(quantity: str, text: str, unit: Unit) -> float:
    return convert(quantity, text, unit)


def length(inch: str, metric: str, default: str | None = None) -> Sane:
    """A range of lengths from "1/2..24 in" and "12..610 mm"; ``default``: "3/32 in, 2.4 mm"."""
    return _range("length", inch, metric, default)


def _range(quantity: str, inch: str, metric: str, default: str | None = None) -> Sane:
    (inch_low, inch_high), (metric_low, metric_high) = _ends(inch), _ends(metric)
    inch_default, _, metric_default = (default or "").partition(", ")
    pair = (inch_default, metric_default or inch_default) if default else None
    return Sane(quantity, (inch_low, inch_high), (metric_low, metric_high), pair)


def _ends(text: str) -> tuple[str, str]:
    numbers, _, unit = text.partition(" | ")
    low, _, high = numbers.partition("..")
    return f"{low} {unit}".strip(), f"{high} {unit}".strip()


# [job]
FALL = length("0..400 | ft", "0..120 | m")
ROUND_TO = length("1/64..1 | in", "0.1..10 | mm", "1/16 in, 0.5 mm")
ALIKE = length("0..1/16 | in", "0..2 | mm", "0.1 mm")

# [cable]
DIAMETER = length("1/16..1/2 | in", "1.5..13 | mm", "1/8 in, 3.2 mm")
TENSION = _range("force", "5..5000 | lbf", "20..20000 | N", "225 lbf, 1000 N")
INSTALL = _range("temperature", "-40..150 | degF", "-40..65 | degC", "65 degF, 18 degC")
COLDEST = _range("temperature", "-80..150 | degF", "-60..65 | degC", "0 degF, -18 degC")
HOTTEST = _range("temperature", "-80..200 | degF", "-60..95 | degC", "120 degF, 49 degC")
LOSS = _range("share", "0..80 | %", "0..80 | %", "15 %")
HANG_WEIGHT = _range("weight", "1..100 | lb", "0.5..50 | kg", "5 kg")
SPOOL = length("3..10000 | ft", "1..3000 | m")
CLEARANCE = length("0..1/2 | in", "0..13 | mm", "3/32 in, 2.4 mm")
TRIM = length("-6..12 | in", "-150..300 | mm", "0 mm")
SIDE_FORCE = _range("force", "1..500 | lbf", "4..2000 | N")

# [guard] and the same keys of a run
HEIGHT = length("8..98 | in", "200..2500 | mm")
OUT = length("1/4..24 | in", "5..600 | mm")
RAIL_DEPTH = length("1/4..10 | in", "5..250 | mm", "1 1/2 in, 38 mm")
RAIL_WIDTH = length("1/4..12 | in", "5..300 | mm", "3 1/2 in, 89 mm")
BOTTOM_DEPTH = length("1/4..10 | in", "5..250 | mm")
BOTTOM_GAP = length("0..24 | in", "0..600 | mm")
SPACING = length("1/2..12 | in", "12..300 | mm")
FIRST = length("1/8..24 | in", "3..600 | mm")

# [post.NAME]
POST_SIZE = length("1/4..24 | in", "6..610 | mm")
WALL = length("0.02..2 | in", "0.5..50 | mm")
RADIUS = length("0..6 | in", "0..150 | mm")
GROMMET = length("1/8..2 | in", "3..50 | mm")
ROTATE = _range("angle", "-180..180 | deg", "-180..180 | deg")

# wires
WIRE_DROP = length("-40..98 | in", "-1000..2500 | mm")
WIRE_DIAMETER = length("1/16..2 | in", "1.5..50 | mm")

# [fitting.NAME], [bracket.NAME]
OUTLINE = length("1/4..12 | in", "5..300 | mm")
FLANGE = length("0..1 | in", "0..25 | mm")
SCREW_LENGTH = length("1/8..24 | in", "3..610 | mm")
SCREW_PLACE = length("-12..12 | in", "-300..300 | mm")
PIVOT_OUT = length("0..12 | in", "0..300 | mm")
PIVOT_UP = length("-6..6 | in", "-150..150 | mm")
SETBACK = length("0..24 | in", "0..600 | mm")
TRAVEL = length("0..12 | in", "0..300 | mm", "0 mm")
TAKES_UP = length("0.01..1 | in", "0.25..25 | mm")
BORE = length("1/16..2 | in", "1.5..50 | mm")
BORE_DEPTH = length("1/4..24 | in", "5..610 | mm")
WASHER = length("1/8..4 | in", "3..100 | mm")

# [[run]]
SPAN = length("4..393 | in", "100..10000 | mm")
TURN = _range("turn", "-180..180 | deg", "-180..180 | deg")
HEADING = _range("angle", "-360..360 | deg", "-360..360 | deg")
PLACE = length("-3000..3000 | ft", "-1000..1000 | m")
RISE = length("2..12 | in", "50..300 | mm")
GOING = length("4..48 | in", "100..1200 | mm")
RISER_OPENING = length("0..12 | in", "0..300 | mm")
OVERHANG = length("0..3 | in", "0..75 | mm", "1 in, 25 mm")
FIRST_BEHIND = length("-48..48 | in", "-1200..1200 | mm", "4 in, 100 mm")
LAST_BEHIND = length("-48..48 | in", "-1200..1200 | mm")
RAMP_SLOPE = _range("slope", "0.1..30 | deg", "0.1..30 | deg")
GAP = length("0..48 | in", "0..1200 | mm")

# [as_built.POST]
UNDERSIDE = length("2..120 | in", "50..3000 | mm")
LEANING = _range("lean", "-100..100 | mm per m", "-100..100 | mm per m")

# [sheet], [jig], [limits]
PAPER_SIDE = length("2..80 | in", "50..2000 | mm")
MARGIN = length("0..3 | in", "0..75 | mm", "1/2 in, 12.7 mm")
OVERLAP = length("1/8..3 | in", "3..75 | mm", "3/8 in, 9.5 mm")
BOARD = length("1/32..3 | in", "1..75 | mm")
KERF = length("0..1/2 | in", "0..13 | mm", "0.2 mm")
BED = length("4..200 | in", "100..5000 | mm")
BUSHING = length("1/8..2 | in", "3..50 | mm")
MIN_WEB = length("0..4 | in", "0..100 | mm", "6 mm")
MIN_EDGE = length("0..4 | in", "0..100 | mm")

# [strand.NAME], [wood.NAME], [code.NAME]
CODE_LENGTH = length("0..400 | ft", "0..120 | m")
CLEAR_SPAN = length("4..393 | in", "100..10000 | mm")
LISTED_PULL = _range("force", "0..5000 | lbf", "0..20000 | N")
FILL = _range("number", "0.3..1", "0.3..1")
MODULUS = _range("modulus", "10..250 | GPa", "10..250 | GPa")
EXPANSION = _range("expansion", "1e-6..50e-6 | /K", "1e-6..50e-6 | /K", "16.5e-6 /K")
STRETCH = _range("share", "0..5 | %", "0..5 | %", "0.1 %")
BREAKING = _range("force", "50..100000 | lbf", "200..450000 | N")
GRAVITY = _range("number", "0.1..1.4", "0.1..1.4")
