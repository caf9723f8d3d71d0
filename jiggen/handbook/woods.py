"""A material's name turned into what drilling and heat need to know of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from jiggen.handbook.load import rows

Kind = Literal["wood", "metal", "other"]

_FRAMES = {"wood": "western cedars", "steel": "steel", "aluminium": "aluminium"}
HARD_ABOVE = 0.6  # specific gravity; NDS 2018 12.1.4.2 draws its line there, from memory


@dataclass(frozen=True, slots=True)
class Material:
    """What a post is made of.

    ``name``: as the table has it, or as written where it is not known. ``gravity``: specific gravity of a
    wood, None else. ``hard``: drills as a hardwood. ``known``: it stands in the table; a material that does
    not counts as the lightest listed softwood. ``expansion``: per K, along the grain.
    """

    name: str
    kind: Kind
    gravity: float | None
    hard: bool
    known: bool
    source: str
    expansion: float | None


def material(name: str) -> Material:
    """The material called ``name``, in any case and under its usual other names.

    An unknown name gives a softwood with ``known`` False and the least gravity that is listed.
    """
    wanted = " ".join(name.casefold().split())
    aliases = {row["alias"]: row["name"] for row in rows("woods_aliases.csv")}
    found = _materials().get(aliases.get(wanted, wanted))
    return found or Material(name, "wood", _least_gravity(), False, False, "counted as softwood", 4e-6)


def material_names() -> tuple[str, ...]:
    """The names in the table, in its order."""
    return tuple(_materials())


def every_name() -> tuple[str, ...]:
    """Every name that ``material`` knows: those of the table, then their usual other names."""
    return (*_materials(), *(row["alias"] for row in rows("woods_aliases.csv")))


def frame_expansion(name: str) -> float | None:
    """Thermal expansion per K of a frame of "wood", "steel" or "aluminium" (from memory), None for others."""
    wanted = "aluminium" if name.casefold() == "aluminum" else name.casefold()
    return _materials()[_FRAMES[wanted]].expansion if wanted in _FRAMES else None


@cache
def _materials() -> dict[str, Material]:
    return {row["name"]: _material(row) for row in rows("woods.csv")}


def _material(fields: Mapping[str, str]) -> Material:
    gravity = float(fields["gravity"]) if fields["gravity"] else None
    hard = fields["hard"] == "yes" or (gravity or 0.0) > HARD_ABOVE
    expansion = float(fields["expansion"]) if fields["expansion"] else None
    kind = cast(Kind, fields["kind"])
    return Material(fields["name"], kind, gravity, hard, True, fields["source"], expansion)


@cache
def _least_gravity() -> float:
    return min(m.gravity for m in _materials().values() if m.gravity is not None)
