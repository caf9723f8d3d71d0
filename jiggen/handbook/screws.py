"""A screw's name ("#14 x 2 1/2 in", "M6 x 40 mm") turned into its sizes and the hole that it wants."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from jiggen.handbook.load import rows
from jiggen.handbook.woods import Material
from jiggen.units import from_inches, length

Kind = Literal["wood", "lag", "machine"]

_REMEDY = 'write a screw such as "#10 x 1 1/2 in", "5 x 60 mm", "lag 5/16 x 3 in", "1/4-20 x 1 in" or "M6 x 40 mm"'
_LONGEST = 60  # characters
_LARGEST_NUMBER = 24
_MAX_SHANK = 32.0  # mm
_TIMES = re.compile(r" *[x×] *")
_BOLT = re.compile(r"\b(?:through[ -]?)?bolt\b")
_LAG = re.compile(r"\b(?:lag|coach)(?: *(?:screw|bolt))?\b")
_NUMBERED = re.compile(r"(?:#|no\.? *)([0-9]{1,2})")
_METRIC = re.compile(r"([0-9]{1,2}(?:\.[0-9]{1,2})?)(?: *mm)?")
_ISO = re.compile(r"m([0-9]{1,2})")
_UNIFIED = re.compile(r"#?([0-9]{1,2}(?:/[0-9]{1,2})?) *- *([0-9]{1,2})")
_INCH = re.compile(r"([0-9]{1,2}/[0-9]{1,2})(?: *(?:in|\"))?")


@dataclass(frozen=True, slots=True)
class Screw:
    """A screw, mm. ``shank``: outside diameter. ``root``: of the thread, ``root_source`` says whence.

    ``size``: as the trade calls it ("#14", "5 mm", "5/16 in", "M6", "1/4-20"). ``length``: as sold.
    ``pitch``: of a machine screw whose pitch is known, None else. ``bolt``: a machine screw that goes right through
    and has a nut behind.
    """

    text: str
    kind: Kind
    size: str
    length: float
    shank: float
    root: float
    root_source: str
    pitch: float | None = None
    bolt: bool = False


@dataclass(frozen=True, slots=True)
class LeadHole:
    """The hole for a screw's thread, mm.

    ``limit``: its largest diameter. ``low``: its smallest, 0 where none is published. ``share``: of the
    diameter that the source takes it from. ``shank_hole``: for the part without thread, None for none.
    """

    limit: float
    shank_hole: float | None
    share: float
    source: str
    low: float


def parse_screw(text: str) -> Screw:
    """The screw that ``text`` names, in any case, "x" or "×".

    Wood screws "#14 x 2 1/2 in", "5 x 60 mm"; lag screws "lag 5/16 x 3 in", "5/16 x 3 in lag"; machine
    screws "M6 x 40 mm", "1/4-20 x 1 in", "10-24 x 3/4 in"; bolts through the post "bolt M6 x 80 mm". A length without a unit is in inches, after a
    metric size in mm. Raises ValueError, its text the remedy, for anything else.
    """
    if not isinstance(text, str) or len(text) > _LONGEST:
        raise ValueError(_REMEDY)
    plain = " ".join(text.casefold().replace("″", '"').split())
    is_lag = bool(_LAG.search(plain))
    is_bolt = not is_lag and bool(_BOLT.search(plain))
    size, *rest = _TIMES.split((_BOLT if is_bolt else _LAG).sub("", plain).strip(), maxsplit=1)
    if not rest:
        raise ValueError(_REMEDY)
    kind, name, shank, pitch = _lag(size) if is_lag else _not_lag(size)
    if is_bolt and kind != "machine":
        raise ValueError('write a bolt by its thread, such as "bolt M6 x 80 mm" or "bolt 1/4-20 x 3 in"')
    is_metric = name.startswith("M") or name.endswith("mm")
    long = length(rest[0], "mm" if is_metric else "in")
    if not 0 < shank <= _MAX_SHANK or not long > 0:
        raise ValueError(_REMEDY)
    root, source = _root(kind, name, shank, pitch)
    return Screw(text.strip(), kind, name, long, shank, root, source, pitch, is_bolt)


def lead_hole(screw: Screw, material: Material, clearance: bool = False) -> LeadHole:
    """The hole for ``screw`` in ``material``; ``clearance``: it passes through without biting.

    Wood screw: 70 % of the root in softwood, 90 % in hardwood (NDS commentary 11.1.2.1). Lag screw: up to
    85, 75 or 70 % of the shank by specific gravity (NDS 2018 12.1.4.2, from memory), and a shank hole.
    Machine screw: in metal its tap drill, in anything else or with ``clearance`` a medium clearance hole; so a bolt.
    Raises ValueError, its text the remedy, for a wood or lag screw in metal and for a thread not listed.
    """
    if screw.kind == "machine":
        return _clearance(screw) if clearance or screw.bolt or material.kind != "metal" else _tapped(screw)
    if material.kind == "metal":
        raise ValueError('give a machine screw, such as "1/4-20 x 1 in" or "M6 x 40 mm", in a metal post')
    if clearance:
        return LeadHole(screw.shank, screw.shank, 1.0, "the shank's diameter", screw.shank)
    return _lag_hole(screw, material) if screw.kind == "lag" else _wood_hole(screw, material)


def _wood_hole(screw: Screw, material: Material) -> LeadHole:
    share = 0.90 if material.hard else 0.70
    wood = "hardwood" if material.hard else "softwood"
    source = f"NDS commentary 11.1.2.1, {wood}; root: {screw.root_source}"
    return LeadHole(share * screw.root, None, share, source, 0.0)


def _lag_hole(screw: Screw, material: Material) -> LeadHole:
    gravity = material.gravity or 0.0
    if gravity > 0.6 or material.hard:
        low, high = 0.65, 0.85
    elif gravity > 0.5:
        low, high = 0.60, 0.75
    else:
        low, high = 0.40, 0.70
    source = "NDS 2018 12.1.4.2, from memory"
    return LeadHole(high * screw.shank, screw.shank, high, source, low * screw.shank)


def finer(screw: Screw, wall: float, threads: float) -> str:
    """The listed thread of nearly the same diameter that has ``threads`` of its pitch in a wall, mm; "" where none is."""
    listed = [row["size"] for row in rows("screws.csv") if row["kind"] == "machine"]
    known = [_not_lag(size.casefold()) for size in listed]
    fits = [
        (shank, name)
        for _, name, shank, pitch in known
        if name.startswith("M") == screw.size.startswith("M")
        and pitch
        and -1e-6 <= screw.shank - shank < screw.shank / 4
        if wall > threads * pitch - 1e-6
    ]
    return max(fits)[1] if fits else ""


def _tapped(screw: Screw) -> LeadHole:
    row = _listed(screw)
    tap = length(row["tap"])
    least = screw.shank - 1.082532 * (screw.pitch or 0.0)  # basic minor diameter of the nut thread, ISO 724
    return LeadHole(tap, None, tap / screw.shank, row["tap_source"], least)


def _clearance(screw: Screw) -> LeadHole:
    row = _listed(screw)
    medium = length(row["medium"])
    return LeadHole(medium, medium, medium / screw.shank, row["hole_source"], length(row["fine"]))


def _listed(screw: Screw) -> Mapping[str, str]:
    row = _row(screw.kind, screw.size)
    if row is None:
        sizes = ", ".join(row["size"] for row in rows("screws.csv") if row["kind"] == "machine")
        raise ValueError(f"use a listed thread: {sizes}")
    return row


def _row(kind: Kind, size: str) -> Mapping[str, str] | None:
    return next((row for row in rows("screws.csv") if (row["kind"], row["size"]) == (kind, size)), None)


def _root(kind: Kind, size: str, shank: float, pitch: float | None) -> tuple[float, str]:
    row = _row(kind, size)
    if row and row["root"]:
        return length(row["root"]), row["root_source"]
    if kind == "machine" and pitch:
        return shank - 1.226869 * pitch, "basic thread form, ISO 724, from memory"
    return shank * 2 / 3, "2/3 of the shank, Wood Handbook FPL-GTR-190 p. 197"


def _lag(size: str) -> tuple[Kind, str, float, float | None]:
    inch, metric = _INCH.fullmatch(size), _METRIC.fullmatch(size.removeprefix("m"))
    if inch:
        return "lag", f"{_fraction(inch[1])} in", from_inches(_fraction(inch[1])), None
    if metric:
        return "lag", f"{float(metric[1]):g} mm", float(metric[1]), None
    raise ValueError(_REMEDY)


def _not_lag(size: str) -> tuple[Kind, str, float, float | None]:
    numbered, metric = _NUMBERED.fullmatch(size), _METRIC.fullmatch(size)
    iso, unified = _ISO.fullmatch(size), _UNIFIED.fullmatch(size)
    if numbered:
        return "wood", f"#{int(numbered[1])}", _number_diameter(int(numbered[1])), None
    if iso:
        row = _row("machine", f"M{int(iso[1])}")
        return "machine", f"M{int(iso[1])}", float(iso[1]), length(row["pitch"]) if row else None
    if unified:
        return _unified(unified[1], int(unified[2]))
    if metric:
        return "wood", f"{float(metric[1]):g} mm", float(metric[1]), None
    raise ValueError(_REMEDY)


def _unified(size: str, threads: int) -> tuple[Kind, str, float, float | None]:
    if threads == 0:
        raise ValueError(_REMEDY)
    pitch = from_inches(Fraction(1, threads))
    if "/" in size:
        part = _fraction(size)
        return "machine", f"{part}-{threads}", from_inches(part), pitch
    return "machine", f"{int(size)}-{threads}", _number_diameter(int(size)), pitch


def _number_diameter(number: int) -> float:
    """Outside diameter in mm of a numbered screw: 0.060 + 0.013 n in (FPL-GTR-190 Table 8-9, ASME B1.1)."""
    if number > _LARGEST_NUMBER:
        raise ValueError(_REMEDY)
    return from_inches(Fraction(60 + 13 * number, 1000))


def _fraction(text: str) -> Fraction:
    top, bottom = text.split("/")
    if int(bottom) == 0:
        raise ValueError(_REMEDY)
    return Fraction(int(top), int(bottom))
