"""A Plan held against its rule set and what its cables do to it: problems, changes nothing."""

from __future__ import annotations

from dataclasses import replace

from jiggen.plan.model import Plan
from jiggen.plan.tries import Tries
from jiggen.problems import Problem
from jiggen.review.judged import judged

__all__ = ["findings", "review"]

SHORT = Problem(
    "note",
    "remedies",
    "this job asks for more remedies than are tried at once; those that come last are told as they are, not planned again",
    "mend what stands first, then plan again",
)


def review(plan: Plan) -> tuple[Problem, ...]:
    """Every finding of the plan against its rules, at rest and under load, and of what holds the cables; stops first."""
    return judged(_fresh(plan))


def _fresh(plan: Plan) -> Plan:
    """The plan with all that its remedies may plan again."""
    return replace(plan, tries=Tries.of(sum(len(face.marks) for post in plan.posts for face in post.faces)))


def findings(plan: Plan) -> tuple[Problem, ...]:
    """Everything that was found: the plan's own problems, remedies at its posts planned again, then what review finds.

    All of them share what may be planned again, stops at posts first; where it was not enough, a note says so.
    """
    plan = _fresh(plan)
    own = plan.problems
    if any(problem.level == "stop" for problem in own):
        from jiggen.review.standing import cured

        own = cured(plan)
    found = (*own, *judged(plan))
    return (*found, SHORT) if plan.tries.short else found
