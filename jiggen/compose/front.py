"""A Plan turned into the pages that stand before the sheets: cover, findings, elevations, schedules, form."""

from __future__ import annotations

from collections.abc import Sequence

from jiggen.compose.cover import cover
from jiggen.compose.elevation import elevations
from jiggen.compose.form import form
from jiggen.compose.planview import plan_view
from jiggen.compose.scalepage import scale_page
from jiggen.compose.schedules import findings, schedules
from jiggen.compose.section import SCALE, Section
from jiggen.plan.model import Plan
from jiggen.problems import Problem


def front(
    plan: Plan, problems: Sequence[Problem], size: tuple[float, float], words: Sequence[str]
) -> tuple[Section, ...]:
    """What stands before the sheets but for the contents, in the packet's order, on drawings of ``size`` mm: the cover
    first, the scale page last.

    ``words``: a line a sheet for the cover.
    """
    return (
        Section("Cover", lambda: (cover(plan, problems, size, words),)),
        Section("Plan view", lambda: (plan_view(plan, problems, size),)),
        Section("Findings", lambda: findings(plan, problems, size)),
        Section("Elevations", lambda: elevations(plan, problems, size)),
        *schedules(plan, problems, size),
        Section("Measure-up form", lambda: form(plan, problems, size)),
        Section(SCALE, lambda: (scale_page(size),)),
    )
