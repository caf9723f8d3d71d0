"""A Plan turned into the pages that stand before a few chosen sheets."""

from __future__ import annotations

from collections.abc import Sequence

from jiggen.compose.cover import cover
from jiggen.compose.scalepage import scale_page
from jiggen.compose.schedules import findings
from jiggen.compose.section import SCALE, Section
from jiggen.plan.model import Plan
from jiggen.problems import Problem


def short_front(
    plan: Plan, problems: Sequence[Problem], size: tuple[float, float], words: Sequence[str]
) -> tuple[Section, ...]:
    """Before chosen sheets only: cover, every finding in full, scale page. ``size``: mm; ``words``: a line a sheet."""
    return (
        Section("Cover", lambda: (cover(plan, problems, size, words),)),
        Section("Findings", lambda: findings(plan, problems, size)),
        Section(SCALE, lambda: (scale_page(size),)),
    )
