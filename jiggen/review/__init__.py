"""A Plan held against its rule set and what its cables do to it: problems, changes nothing."""

from __future__ import annotations

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review.judged import judged as review
from jiggen.review.standing import cured

__all__ = ["findings", "review"]


def findings(plan: Plan) -> tuple[Problem, ...]:
    """Everything that was found: the plan's own problems, remedies at its posts planned again, then what review finds."""
    return (*cured(plan), *review(plan))
