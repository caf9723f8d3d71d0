"""A change of the job that one tap makes, and how a remedy's words and a problem's place become figures and paths."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.web.places import path_of

Path = tuple[str | int, ...]
TAPE = r"(?P<tape>[0-9][0-9 /]*)(?P<sign> [+-])? in \((?P<mm>[0-9.]+) mm\)"
LENGTH = rf"(?:{TAPE}|(?P<only>[0-9.]+) mm)"  # as a finding tells it


@dataclass(frozen=True, slots=True)
class Change:
    """``words``: what a button says. ``sets``: paths and values, None: the key goes. ``aim``: one of an aim is enough."""

    words: str
    sets: tuple[tuple[Path, Any], ...]
    aim: str = ""


@dataclass(frozen=True, slots=True)
class Case:
    """A problem with what is needed to change the job for it. ``runs``: indices of the runs that it is about."""

    problem: Problem
    plan: Plan
    data: dict[str, Any]
    runs: tuple[int, ...]

    @property
    def units(self) -> str:
        return self.plan.job.units

    def run_key(self, index: int, key: str) -> Path:
        return ("run", index, key)


def way_to(where: str, data: dict[str, Any]) -> Path:
    """A problem's place (``run[1].spans[0]``) as a path, () where it is none of this job's."""
    path = tuple(path_of(where))
    return path if at_path(data, path[:-1]) is not None else ()


def at_path(data: Any, path: Path) -> Any:
    """What is at ``path``, None where there is nothing."""
    for step in path:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def texts_of(match: re.Match[str]) -> list[str]:
    """The length that was told, as a job writes it: the tape's reading, then the millimetres."""
    if match["only"]:
        return [f"{match['only']} mm"]
    return [f"{match['tape'].strip()} in", f"{match['mm']} mm"]


def told_mm(match: re.Match[str]) -> float:
    """The length that was told, mm."""
    return float(match["mm"] or match["only"])
