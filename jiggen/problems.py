"""What is wrong, turned into one kind of value: place, finding, remedy, source, cures."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Level = Literal["stop", "check", "note"]
_INDEX = re.compile(r"(\"[^\"]*\")|\[(\d+)\]")  # a name in quotes is left as it is


def nth(number: int) -> str:
    """``number`` as an ordinal: 1st, 2nd, 3rd, 4th, 11th, 21st."""
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def counted(path: str) -> str:
    """A path into the job file as people count: ``run (2nd).spans (1st)`` for ``run[1].spans[0]``."""
    return _INDEX.sub(lambda found: found[1] or f" ({nth(int(found[2]) + 1)})", path)


@dataclass(frozen=True, slots=True)
class Cure:
    """One remedy as keys of the job file, laid out again and seen to help before it was told.

    ``words``: the part of the remedy that says the same. ``keys``: every (path, value) that is to be written, all of
    them together; a path as a problem has it (``run[0].spacing``), a value as TOML writes it (``"3 in"``, ``9``), "" where
    the key goes.
    """

    words: str
    keys: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """One finding.

    ``level``: ``stop`` (a published limit is broken, the geometry cannot be built, the input cannot be
    read), ``check`` (somebody must decide), ``note`` (worth knowing). ``where``: the place, a path into
    the job file (``run[1].spans[0]``) or a mark, post, run or page by its name. ``found`` and ``remedy``:
    a clause each, no full stop. ``source``: the clause or table behind it, "" where there is none.
    ``cures``: those remedies that are keys of the job, as such.
    """

    level: Level
    where: str
    found: str
    remedy: str
    source: str = ""
    cures: tuple[Cure, ...] = ()

    @property
    def place(self) -> str:
        """``where`` as people count: ``run (2nd).spans (1st)`` for ``run[1].spans[0]``."""
        return counted(self.where)

    def __str__(self) -> str:
        tail = f" [{self.source}]" if self.source else ""
        return f"{self.level}: {self.place}: {self.found}; {self.remedy}{tail}"


def weighed(problems: Iterable[Problem]) -> list[Problem]:
    """The problems, stops first, then checks, then notes; among stops those of a whole run before those of a post, as what
    is wrong with a run's cables is often all that is wrong at its posts."""
    order: dict[Level, int] = {"stop": 0, "check": 1, "note": 2}

    def weight(problem: Problem) -> tuple[int, bool]:
        return order[problem.level], problem.level == "stop" and not problem.where.startswith("run ")

    return sorted(problems, key=weight)


class JobError(Exception):
    """Raised when a job cannot be read or used at all; carries every problem at once."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class StopError(JobError):
    """Raised when a job can be read and planned but has a ``stop``; carries everything that was found."""
