"""A screw turned into the lengths that it is commonly sold in."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from jiggen.handbook.load import rows
from jiggen.handbook.screws import Screw
from jiggen.units import length, mm_text, tape

Market = Literal["in", "mm"]
SOURCE = "lengths as sold: common practice, no source"
_SAME = 0.05  # mm; a length this near to one that is sold is that one


@dataclass(frozen=True, slots=True)
class Sold:
    """A length that is sold: ``mm`` and as it is asked for, ``text`` ("2 1/2 in", "75 mm")."""

    mm: float
    text: str

    @property
    def told(self) -> str:
        """``text``, with the mm behind inches."""
        return self.text if self.text.endswith("mm") else f"{self.text} ({mm_text(self.mm)} mm)"


def sold_lengths(screw: Screw, market: Market) -> tuple[Sold, ...]:
    """Every length that screws of this kind and size are commonly sold in, the shortest first.

    ``market``: a job's units. A screw sized in mm has whole mm and one sized in inches has fractions in either; a numbered
    one has what is on the shelf there. Common practice, no source.
    """
    if screw.size.startswith("M") or screw.size.endswith("mm"):
        return _listed(screw.kind, "mm", "mm")
    numbered = screw.size.startswith("#") or (screw.kind == "machine" and "/" not in screw.size)
    return _listed(screw.kind, "#" if numbered else "in", market if screw.kind == "wood" else "in")


@cache
def _listed(kind: str, size: str, market: str) -> tuple[Sold, ...]:
    found: dict[float, Sold] = {}
    for row in rows("screw_lengths.csv"):
        if (row["kind"], row["size"], row["market"]) != (kind, size, market):
            continue
        start, end, step = (length(row[key]) for key in ("from", "to", "step"))
        for number in range(round((end - start) / step) + 1):
            mm = round(start + number * step, 6)
            found[mm] = Sold(mm, f"{tape(mm).text} in" if market == "in" else f"{mm_text(mm, 0)} mm")
    return tuple(found[mm] for mm in sorted(found))


def is_sold(screw: Screw) -> bool:
    """Whether the screw's own length is one that it is commonly sold in, anywhere."""
    every = (*sold_lengths(screw, "in"), *sold_lengths(screw, "mm"))
    return any(abs(one.mm - screw.length) < _SAME for one in every)


def at_most(screw: Screw, market: Market, mm: float) -> Sold | None:
    """The longest length of at most ``mm`` that such screws are sold in; None where there is none."""
    return max(
        (one for one in sold_lengths(screw, market) if one.mm <= mm + 1e-6), key=lambda one: one.mm, default=None
    )


def at_least(screw: Screw, market: Market, mm: float) -> Sold | None:
    """The shortest length of at least ``mm`` that such screws are sold in; None where there is none."""
    return min(
        (one for one in sold_lengths(screw, market) if one.mm >= mm - 1e-6), key=lambda one: one.mm, default=None
    )
