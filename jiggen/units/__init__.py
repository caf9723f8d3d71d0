"""What people write ("5 ft 3 1/8 in", "225 lbf", "1 in 12") turned into mm, N, K, radians, and back."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from fractions import Fraction

from jiggen.units.factors import GRAVITY, MM_PER_INCH, N_PER_LBF, factor, kelvin_of
from jiggen.units.writing import System, Tape, degrees_text, feet, from_inches, mm_text, tape

__all__ = [
    "GRAVITY",
    "MM_PER_INCH",
    "N_PER_LBF",
    "System",
    "Tape",
    "Text",
    "angle",
    "degrees_text",
    "expansion",
    "feet",
    "force",
    "from_inches",
    "length",
    "mass_weight",
    "mm_text",
    "ratio",
    "slope",
    "stress",
    "tape",
    "temperature",
    "turn",
]

Text = str | int | float

_LONGEST = 60  # characters; no honest length needs more
_LARGEST = 10**12

_INCH = ("in", "in.", "inch", "inches", '"')
_FOOT = ("ft", "ft.", "foot", "feet", "'")
_LENGTHS = {
    **dict.fromkeys(_INCH, "inch"),
    **dict.fromkeys(_FOOT, "foot"),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "millimetre"),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "centimetre"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "metre"),
}
_FORCES = {
    **dict.fromkeys(("n", "newton", "newtons"), "newton"),
    "kn": "kilonewton",
    "kgf": "kilogram_force",
    **dict.fromkeys(("lbf", "lb", "lbs", "pound", "pounds"), "pound_force"),
}
_MASSES = {
    **dict.fromkeys(("kg", "kgf"), "kilogram_force"),
    "g": "gram_force",
}
_TEMPERATURES = {
    **dict.fromkeys(("k", "kelvin"), "kelvin"),
    **dict.fromkeys(("c", "degc", "deg c", "°c", "celsius"), "degree_celsius"),
    **dict.fromkeys(("f", "degf", "deg f", "°f", "fahrenheit"), "degree_fahrenheit"),
}
_ANGLES = {
    **dict.fromkeys(("deg", "degree", "degrees", "°"), "degree"),
    **dict.fromkeys(("rad", "radian", "radians"), "radian"),
}
_STRESSES = {
    **dict.fromkeys(("n/mm2", "mpa"), "newton_per_square_millimetre"),
    **dict.fromkeys(("kn/mm2", "gpa"), "kilonewton_per_square_millimetre"),
    "pa": "pascal",
    "psi": "psi",
    "ksi": "kilopsi",
}
_EXPANSIONS = {
    **dict.fromkeys(("/k", "1/k", "per k", "/c", "/degc", "/°c", "per degc", "per °c"), Fraction(1)),
    **dict.fromkeys(("/f", "/degf", "/°f", "per degf", "per °f"), Fraction(9, 5)),
}

_DECIMAL = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:e[+-]?[0-9]{1,2})?"
_FRACTION = r"(?:(?:[0-9]+(?: +|- ?))?[0-9]+ */ *[0-9]+)"
_NUMBER = rf"(?:{_FRACTION}|{_DECIMAL})"
_SIGNED = re.compile(rf"([+-]?) *({_NUMBER}) *(.*)")
_FEET = re.compile(rf"([+-]?) *([0-9]+) *(ft\.?|foot|feet|') *(-?) *({_NUMBER}) *(in\.?|inch|inches|\")")
_PITCH = re.compile(rf"({_NUMBER}) *(?:in|on|:) *({_NUMBER})|([0-9]+) */ *([0-9]+)")
_PERCENT = re.compile(rf"({_NUMBER}) *(?:%|percent|per cent)")
_MARKS = str.maketrans(
    {
        "\N{MINUS SIGN}": "-",
        "\N{HYPHEN}": "-",
        "\N{NON-BREAKING HYPHEN}": "-",
        "\N{EN DASH}": "-",
        "\N{FRACTION SLASH}": "/",
        "\N{DIVISION SLASH}": "/",
        "\N{PRIME}": "'",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{DOUBLE PRIME}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{SUPERSCRIPT TWO}": "2",
        "\N{MASCULINE ORDINAL INDICATOR}": "°",
        "\N{DEGREE CELSIUS}": "°C",
        "\N{DEGREE FAHRENHEIT}": "°F",
        "\N{NO-BREAK SPACE}": " ",
        "\N{NARROW NO-BREAK SPACE}": " ",
        "\N{THIN SPACE}": " ",
        "\t": " ",
    }
)

_LENGTH_REMEDY = 'write a length such as "2 in", "5 ft 4 3/4 in" or "51 mm"'
_FORCE_REMEDY = 'write a force such as "225 lbf" or "1000 N"'
_WEIGHT_REMEDY = 'write a weight such as "5 kg" or "11 lb"'
_TEMPERATURE_REMEDY = 'write a temperature such as "65 degF" or "18 degC", above absolute zero'
_ANGLE_REMEDY = 'write an angle such as "33 deg"'
_SLOPE_REMEDY = 'write a slope such as "33 deg", "1 in 12" or "8.33 %", above level and below upright'
_TURN_REMEDY = 'write a turn such as "left 90 deg" or "right 22.5 deg", up to 180 deg'
_RATIO_REMEDY = 'write a share such as "15 %" or 0.15'
_STRESS_REMEDY = 'write a modulus such as "130 kN/mm2" or "130 GPa"'
_EXPANSION_REMEDY = 'write an expansion such as "16e-6 /K"'


def _clean(value: object, remedy: str) -> str:
    """``value`` as one line of lower-case text with plain marks; ValueError where it cannot be a number."""
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise ValueError(remedy)
    if not isinstance(value, str):
        if not -_LARGEST <= value <= _LARGEST:  # refuses nan too
            raise ValueError(remedy)
        return repr(int(value) if isinstance(value, int) else float(value))
    if len(value) > _LONGEST:
        raise ValueError(remedy)
    return _spelled(value).translate(_MARKS).strip(" ").casefold()


def _spelled(text: str) -> str:
    """``text`` with one-character fractions written out after a space: "3⅛" becomes "3 1/8"."""
    if text.isascii():
        return text
    parts = []
    for character in text:
        decomposed = unicodedata.decomposition(character)
        is_fraction = decomposed.startswith("<fraction>")
        parts.append(" " + unicodedata.normalize("NFKC", character) if is_fraction else character)
    return "".join(parts)


def _number(text: str, remedy: str) -> Fraction:
    """The number that ``text`` (matched by _NUMBER) spells."""
    if "/" not in text:
        return Fraction(text)
    *whole, top, bottom = re.findall("[0-9]+", text)
    if int(bottom) == 0 or (whole and int(top) >= int(bottom)):
        raise ValueError(remedy)
    return Fraction(int(top), int(bottom)) + sum(map(int, whole))


def _split(text: str, remedy: str) -> tuple[Fraction, str]:
    """Signed number and unit of ``text``, "" for no unit."""
    found = _SIGNED.fullmatch(text)
    if not found:
        raise ValueError(remedy)
    sign, number, unit = found.groups()
    amount = _number(number, remedy)
    return (-amount if sign == "-" else amount), unit


def _float(number: Fraction, remedy: str) -> float:
    if abs(number) > _LARGEST:
        raise ValueError(remedy)
    return float(number)


def _measure(value: Text, table: Mapping[str, str], bare: str, target: str, remedy: str) -> float:
    """``value`` in ``target``: the unit looked up in ``table``, ``bare`` where none is written."""
    amount, unit = _split(_clean(value, remedy), remedy)
    name = table.get(unit) if unit else bare
    if name is None:
        raise ValueError(remedy)
    return _float(amount * factor(name, target), remedy)


def length(value: Text, unit: str = "mm") -> float:
    """A length in mm, with its sign.

    Accepts "3 1/8 in", "3-1/8\"", "3⅛ in", "5' 4 3/4\"", "5 ft 4 3/4 in", "1067 mm", "67.5 cm", "1.067 m";
    a bare number, or one written as text, is in ``unit`` ("in" or "mm"). Every spelling of one length
    gives the same float. Raises ValueError, its text the remedy, for anything else.
    """
    text = _clean(value, _LENGTH_REMEDY)
    feet_inches = _FEET.fullmatch(text)
    if not feet_inches:
        return _measure(value, _LENGTHS, _LENGTHS[unit], "millimetre", _LENGTH_REMEDY)
    sign, whole, foot, dash, number, inch = feet_inches.groups()
    inches = _number(number, _LENGTH_REMEDY)
    if inches >= 12 or (foot == "'") != (inch == '"') or (dash and foot != "'"):
        raise ValueError(_LENGTH_REMEDY)
    total = (int(whole) * 12 + inches) * factor("inch", "millimetre")
    return _float(-total if sign == "-" else total, _LENGTH_REMEDY)


def force(value: Text, unit: str = "mm") -> float:
    """A force in N: "225 lbf", "225 lb" (read as a force), "1 kN", "1000 N".

    ``unit``: the job's units; a bare number is N in "mm" (or "N"), lbf in "in" (or "lbf").
    """
    bare = {"mm": "newton", "N": "newton", "in": "pound_force", "lbf": "pound_force"}[unit]
    return _measure(value, _FORCES, bare, "newton", _FORCE_REMEDY)


def mass_weight(value: Text, unit: str = "mm") -> float:
    """The weight in N of what hangs: "5 kg" or "11 lb" times 9.80665 m/s2, or a force as it is.

    ``unit``: the job's units; a bare number is kg in "mm" (or "kg"), lb in "in" (or "lb").
    """
    bare = {"mm": "kilogram_force", "kg": "kilogram_force", "in": "pound_force", "lb": "pound_force"}[unit]
    return _measure(value, {**_FORCES, **_MASSES}, bare, "newton", _WEIGHT_REMEDY)


def temperature(value: Text, unit: str = "mm") -> float:
    """A temperature in K: "65 degF", "65 °F", "18 degC", "18 C", "291 K".

    ``unit``: the job's units; a bare number is degrees Celsius in "mm" (or "degC"), Fahrenheit in "in"
    (or "degF"). Raises ValueError below absolute zero too.
    """
    bare = {"mm": "degree_celsius", "degC": "degree_celsius"}
    bare |= {"in": "degree_fahrenheit", "degF": "degree_fahrenheit"}
    amount, written = _split(_clean(value, _TEMPERATURE_REMEDY), _TEMPERATURE_REMEDY)
    name = _TEMPERATURES.get(written) if written else bare[unit]
    if name is None:
        raise ValueError(_TEMPERATURE_REMEDY)
    kelvin = kelvin_of(amount, name)
    if kelvin < 0:
        raise ValueError(_TEMPERATURE_REMEDY)
    return _float(kelvin, _TEMPERATURE_REMEDY)


def angle(value: Text) -> float:
    """An angle in radians: "33 deg", "33°", "0.5 rad"; a bare number is degrees."""
    return _measure(value, _ANGLES, "degree", "radian", _ANGLE_REMEDY)


def slope(value: Text) -> float:
    """A slope in radians, above 0 and below pi/2.

    Accepts an angle ("33 deg"; a bare number is degrees), rise in or on going ("7 in 12", "7-3/4 on 10",
    "7:12", "7/12") and rise over going as a share ("8.33 %").
    """
    text = _clean(value, _SLOPE_REMEDY)
    pitch, percent = _PITCH.fullmatch(text), _PERCENT.fullmatch(text)
    if pitch:
        rise, going = (_number(part, _SLOPE_REMEDY) for part in pitch.groups() if part is not None)
        result = math.atan2(_float(rise, _SLOPE_REMEDY), _float(going, _SLOPE_REMEDY))
    elif percent:
        result = math.atan(_float(_number(percent[1], _SLOPE_REMEDY) / 100, _SLOPE_REMEDY))
    else:
        result = _measure(value, _ANGLES, "degree", "radian", _SLOPE_REMEDY)
    if not 0 < result < math.pi / 2:
        raise ValueError(_SLOPE_REMEDY)
    return result


def turn(value: Text) -> float:
    """A turn in plan in radians, + to the left, at most half a circle.

    Accepts "left 90 deg", "90 deg left", "right 22.5 deg", "-90 deg" (right); a bare number is degrees.
    """
    text = _clean(value, _TURN_REMEDY)
    sides = re.findall("left|right", text)
    rest = text.removeprefix(sides[0]).removesuffix(sides[0]).strip() if len(sides) == 1 else text
    result = _measure(rest, _ANGLES, "degree", "radian", _TURN_REMEDY)
    if abs(result) > math.pi + 1e-12 or (sides and rest[0] in "+-"):
        raise ValueError(_TURN_REMEDY)
    return -result if sides == ["right"] else result


def ratio(value: Text) -> float:
    """A share as a plain number: "15 %", "0.15" and 0.15 all give 0.15 (a bare number is not per cent)."""
    text = _clean(value, _RATIO_REMEDY)
    percent = _PERCENT.fullmatch(text)
    if percent:
        return _float(_number(percent[1], _RATIO_REMEDY) / 100, _RATIO_REMEDY)
    amount, unit = _split(text, _RATIO_REMEDY)
    if unit:
        raise ValueError(_RATIO_REMEDY)
    return _float(amount, _RATIO_REMEDY)


def stress(value: Text) -> float:
    """A modulus or stress in N/mm2: "130 GPa", "130 kN/mm2", "18.9e3 ksi"; a bare number is N/mm2."""
    target = "newton_per_square_millimetre"
    return _measure(value, _STRESSES, target, target, _STRESS_REMEDY)


def expansion(value: Text) -> float:
    """A thermal expansion per K: "16e-6 /K", "16e-6 /degC", "8.9e-6 /degF"; a bare number is per K."""
    amount, unit = _split(_clean(value, _EXPANSION_REMEDY), _EXPANSION_REMEDY)
    factor = _EXPANSIONS.get(unit) if unit else Fraction(1)
    if factor is None:
        raise ValueError(_EXPANSION_REMEDY)
    return _float(amount * factor, _EXPANSION_REMEDY)
