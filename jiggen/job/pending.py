"""Keys that are read and checked but whose effect comes later, turned into notes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from jiggen.job.wording import joined
from jiggen.problems import Problem

# place (* is any table or item), value (None: any; a pattern: found in it), finding, what is done for now
PENDING: tuple[tuple[str, object, str, str], ...] = (
    ("jig", None, "jigs are not drawn yet", "drill by the sheets for now"),
)


def notes(data: Mapping[str, Any]) -> list[Problem]:
    """A note for each row of ``PENDING`` that the job uses, at the first place that does."""
    found: list[Problem] = []
    for pattern, value, what, remedy in PENDING:
        place = next((path for path, held in _places(data, pattern.split("."), "") if _matches(value, held)), None)
        if place is not None:
            found.append(Problem("note", place, what, remedy))
    return found


def _matches(wanted: object, held: object) -> bool:
    if isinstance(wanted, re.Pattern):
        return isinstance(held, str) and wanted.search(held) is not None
    return wanted is None or wanted == held


def _places(value: object, steps: list[str], path: str) -> Iterator[tuple[str, object]]:
    """The places below ``value`` that ``steps`` lead to, and what they hold."""
    if not steps:
        yield path, value
    elif isinstance(value, list) and steps[0] == "*":
        for index, item in enumerate(value):
            yield from _places(item, steps[1:], f"{path}[{index}]")
    elif isinstance(value, dict):
        keys = list(value) if steps[0] == "*" else [key for key in value if key == steps[0]]
        for key in keys:
            yield from _places(value[key], steps[1:], joined(path, key))
