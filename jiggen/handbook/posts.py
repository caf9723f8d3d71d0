"""A post's trade name ("4x4", "2x2x1/8 tube", "1-1/2 pipe") turned into its real size."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from jiggen.handbook.load import rows
from jiggen.units import length


@dataclass(frozen=True, slots=True)
class NominalPost:
    """Real sizes in mm behind a trade name, in the order of the name: ``along``, then ``across`` the run.

    ``wall``: of tube and pipe, None for timber. A round one's diameter is both ``along`` and ``across``.
    """

    name: str
    shape: str
    along: float
    across: float
    wall: float | None
    source: str


def nominal(name: str) -> NominalPost | None:
    """The post that the trade calls ``name``, in any case and spacing ("4 x 4", "2 × 2 × 1/8 in tube").

    A name without "mm" is in inches: "1 1/2 pipe" and "1-1/2 in pipe" are one. None for any other name.
    """
    return _posts().get(_key(name))


def nominal_names() -> tuple[str, ...]:
    """The names that ``nominal`` knows, in the table's order."""
    return tuple(row["name"] for row in rows("posts.csv"))


def _key(name: str) -> str:
    plain = name.casefold().replace("×", "x").replace('"', " ").replace("sch ", "schedule ")
    plain = re.sub(r"\b(?:in|nps)\b|\bnominal\b", " ", plain)
    plain = re.sub(r"([0-9])[ -]+([0-9]+/)", r"\1-\2", plain)
    plain = re.sub(r"([0-9]) *mm\b", r"\1 mm", re.sub(r"(?<=[0-9]) *x *(?=[0-9])", "x", plain))
    return " ".join(plain.split())


@cache
def _posts() -> dict[str, NominalPost]:
    posts = {}
    for row in rows("posts.csv"):
        shape = row["shape"]
        wall = length(row["wall"]) if row["wall"] else None
        post = NominalPost(row["name"], shape, length(row["along"]), length(row["across"]), wall, row["source"])
        posts[_key(row["name"])] = post
    return posts
