"""Problems turned into what is told of them: what is said the same of many runs or posts told once, its places named."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jiggen.problems import Level, Problem, counted

MOST = (
    12  # names in one place; of more the first are told and the others counted (our choice: what is read at a glance)
)
_IN_BRACKETS = re.compile(r"\(((?:runs|posts) [^()]+)\)")
_NAMES = re.compile(r"(run|post)(s?) (.+)", re.DOTALL)


def listed(names: Sequence[str], most: int = 0) -> str:
    """Names as people say them, "A, B and C"; of more than ``most`` (0: no end) the first, then how many more: "A, B and
    64 more"."""
    first, more = _cut(names, most)
    said = [*first, *more]
    return f"{', '.join(said[:-1])} and {said[-1]}" if len(said) > 1 else "".join(said)


def _cut(names: Sequence[str], most: int) -> tuple[Sequence[str], list[str]]:
    """The names and nothing; of more than ``most`` (0: no end) the first and how many more there are."""
    if not 0 < most < len(names):
        return names, []
    return names[: most - 1], [f"{len(names) - most + 1} more"]


@dataclass(frozen=True, slots=True)
class Told:
    """One finding as it is told. ``places``: the ``where`` of every problem that says it, in their order; ``found``: with
    a few of many names in brackets; the other fields as a problem has them."""

    level: Level
    places: tuple[str, ...]
    found: str
    remedy: str
    source: str

    @property
    def place(self) -> str:
        """The places as people count and join them: ``run A``; ``runs A, B and 64 more, each``."""
        read = [_read(where) for where in self.places]
        kind, _, tail = read[0]
        names = list(dict.fromkeys(name for _, found, _ in read for name in found))
        if not kind and any(" and " in name or ", " in name for name in names):
            first, more = _cut(self.places, MOST // 2)
            return counted("; ".join([*first, *(f"and {words}" for words in more), *["each"] * (len(read) > 1)]))
        words = f"{kind}{'s' * (len(names) > 1)} {listed(names, MOST)}" if kind else listed(names, MOST)
        return counted(words) + (f", {tail}" if tail else "") + (", each" if len(read) > 1 else "")

    def __str__(self) -> str:
        end = f" [{self.source}]" if self.source else ""
        return f"{self.level}: {self.place}: {self.found}; {self.remedy}{end}"


def told(problems: Iterable[Problem]) -> list[Told]:
    """The problems with those that say the same told together, each where the first of them stands.

    The same are level, finding, remedy and source, and what the place is: a run, a post, a piece at a post, another. All
    else that a problem has, the cures that are keys of its own place, is left out.
    """
    every: dict[tuple[Level, str, str, str, tuple[str, str]], dict[str, None]] = {}
    for one in problems:
        kind, _, tail = _read(one.where)
        every.setdefault((one.level, one.found, one.remedy, one.source, (kind, tail)), {})[one.where] = None
    return [
        Told(level, tuple(where), _IN_BRACKETS.sub(_fewer, found), remedy, source)
        for (level, found, remedy, source, _), where in every.items()
    ]


def _fewer(found: re.Match[str]) -> str:
    """Runs or posts that a finding names in brackets, of many the first."""
    kind, names, _ = _read(found[1])
    return f"({kind}s {listed(names, MOST)})" if kind else found[0]


def how_many(findings: Iterable[Told], what: str = "") -> str:
    """How many are told, and of how many places where that is more: "9", "9 at 26 places"; with ``what`` "9 checks"."""
    every = list(findings)
    places = sum(len(one.places) for one in every)
    words = f"{len(every)} {what}{'s' * (len(every) > 1)}" if what else f"{len(every)}"
    return f"{words} at {places} places" if places > len(every) else words


def _read(where: str) -> tuple[str, tuple[str, ...], str]:
    """What a place is, its names and what stands behind them: ``runs A and B``: "run", A and B, ""; ``5, fixed plate``: "",
    5, "fixed plate"; any other place, and one that can be read in two ways, as it is."""
    found = _NAMES.fullmatch(where)
    if found and not found[2] and ", " not in found[3]:
        return found[1], (found[3],), ""
    if found and found[2]:
        first, _, last = found[3].rpartition(" and ")
        if first and " and " not in first and ", " not in last:
            return found[1], (*first.split(", "), last), ""
    front, _, tail = where.rpartition(", ")
    if found or not front or _NAMES.fullmatch(tail):
        return "", (where,), ""
    return "", (front,), tail
