"""A strand's name ("1x19") turned into its metal, its stiffness and its strength."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from jiggen.handbook.load import table
from jiggen.units import expansion, force, length, ratio, stress

NEAR = 0.05  # mm; a diameter this near a listed one is that one


@dataclass(frozen=True, slots=True)
class Strand:
    """A make of strand, strands x wires.

    ``fill``: metallic share of the circle. ``modulus``: N/mm2. ``expansion``: per K. ``stretch``:
    constructional stretch, a share of the length. ``breaking``: breaking load in N by diameter in mm.
    """

    name: str
    fill: float
    modulus: float
    expansion: float
    stretch: float
    breaking: Mapping[float, float]
    source: str
    breaking_source: str = ""


@cache
def strand(name: str) -> Strand | None:
    """The strand called ``name``: "1x19", "7x7" or "7x19" ("1 × 19" too); None for any other."""
    wanted = name.casefold().replace("×", "x").replace(" ", "")
    fields = table("strands.toml").get(wanted)
    return _strand(wanted, fields) if fields else None


def strand_names() -> tuple[str, ...]:
    """The names that ``strand`` knows."""
    return tuple(table("strands.toml"))


def metallic_area(strand: Strand, diameter: float) -> float:
    """Metal in the cross-section, mm2, of a strand ``diameter`` mm across."""
    return strand.fill * math.pi / 4 * diameter**2


def breaking_load(strand: Strand, diameter: float) -> float | None:
    """The listed breaking load in N of a strand ``diameter`` mm across (0.05 mm counts as equal), or None."""
    near = (load for listed, load in strand.breaking.items() if abs(listed - diameter) <= NEAR + 1e-9)
    return next(near, None)


def _strand(name: str, fields: Mapping[str, Any]) -> Strand:
    return Strand(
        name=name,
        fill=fields["fill"],
        modulus=stress(fields["modulus"]),
        expansion=expansion(fields["expansion"]),
        stretch=ratio(fields["stretch"]),
        breaking={length(size): force(load) for size, load in fields["breaking"]},
        source=fields["source"],
        breaking_source=fields["breaking_source"],
    )
