"""A Plan turned into the pages that stand before the sheets: cover, contents, findings, elevations, schedules, form."""

from __future__ import annotations

from collections.abc import Sequence

from jiggen.compose.contents import contents
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
    plan: Plan,
    problems: Sequence[Problem],
    size: tuple[float, float],
    sheets: Sequence[tuple[str, int]],
    words: Sequence[str],
) -> tuple[Section, ...]:
    """What stands before the sheets, in the packet's order, on drawings of ``size`` mm, the scale page last.

    ``sheets``: name and number of pages of each sheet that follows, for the contents; ``words``: a line a sheet for the
    cover.
    """
    first = Section("Cover", (cover(plan, problems, size, words),))
    rest = [
        Section("Plan view", (plan_view(plan, problems, size),)),
        Section("Findings", findings(plan, problems, size)),
        Section("Elevations", elevations(plan, problems, size)),
        *schedules(plan, problems, size),
        Section("Measure-up form", form(plan, problems, size)),
        Section(SCALE, (scale_page(size),)),
    ]
    rest = [section for section in rest if section.drawings]
    parts = [(section.name, len(section.drawings)) for section in (first, *rest)]
    return (first, Section("Contents", contents(plan, problems, size, [*parts, *sheets])), *rest)
