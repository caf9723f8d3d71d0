"""A Plan held against its rule set and what its cables do to it: problems, changes nothing."""

from __future__ import annotations

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review.judged import judged as review

__all__ = ["findings", "review"]


def findings(plan: Plan) -> tuple[Problem, ...]:
    """Everything that was found: the plan's own problems, remedies at its posts planned again, then what review finds."""
    if not any(problem.level == "stop" for problem in plan.problems):
        return (*plan.problems, *review(plan))
    from jiggen.review.standing import cured

    return (*cured(plan), *review(plan))
