"""The names and page counts of a packet's parts turned into its contents, page numbers worked out."""

from __future__ import annotations

from collections.abc import Sequence

from jiggen.compose.tables import Column, Table, flow
from jiggen.drawing.scene import Drawing
from jiggen.plan.model import Plan
from jiggen.problems import Problem

Part = tuple[str, int]


def contents(
    plan: Plan, problems: Sequence[Problem], size: tuple[float, float], parts: Sequence[Part], at: int = 1
) -> tuple[Drawing, ...]:
    """The contents of a packet on drawings of ``size`` mm.

    ``parts``: name and number of pages of each part in the packet's order, the contents left out; ``at``: how many of
    them come before the contents. Page 1 is the packet's first page. Raises ValueError where ``at`` is not among them.
    """
    if not 0 <= at <= len(parts):
        raise ValueError(f"the contents cannot come after {at} of {len(parts)} parts")
    count = 1
    while True:
        drawings = _drawn(plan, size, numbered(parts, at, count))
        if len(drawings) == count:
            return drawings
        count = len(drawings)


def numbered(parts: Sequence[Part], at: int, count: int) -> list[tuple[str, int]]:
    """Name and first page of each part, the contents of ``count`` pages among them."""
    found, page = [], 1
    for name, pages in (*parts[:at], ("Contents", count), *parts[at:]):
        found.append((name, page))
        page += pages
    return found


def _drawn(plan: Plan, size: tuple[float, float], entries: Sequence[tuple[str, int]]) -> tuple[Drawing, ...]:
    rows = tuple((name, str(page)) for name, page in entries)
    columns = (Column("part", wide=size[0] * 0.6), Column("page", "right", 16.0))
    return flow([Table("", columns, rows)], size, "CONTENTS", f"{plan.job.name}   {plan.fingerprint}")
