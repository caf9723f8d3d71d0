"""A Plan held against its rule set and what its cables do to it: problems, changes nothing."""

from __future__ import annotations

from jiggen.plan.model import Plan
from jiggen.problems import Problem, weighed
from jiggen.review.between import nothing_between
from jiggen.review.hold import as_sold, holding
from jiggen.review.load import in_figures, under_load
from jiggen.review.rest import at_rest, climbing, said_by_the_rules
from jiggen.review.screws import Clear
from jiggen.review.slanting import in_place_of_slots, slanting


def judged(plan: Plan) -> tuple[Problem, ...]:
    """Every finding of the plan against its rules, at rest and under load, and of what holds the cables; stops first."""
    found = [*nothing_between(plan)]
    slots = in_place_of_slots(plan)
    known: Clear = {}
    lines = [line for line in plan.runs if line.drops]
    resting = [list(at_rest(plan, line)) for line in lines]  # what is open at rest has its remedies tried first
    for line, open_at_rest in zip(lines, resting, strict=True):
        found.extend(open_at_rest)
        found.extend(under_load(plan, line))
        found.extend(holding(plan, line, known))
        if line.id in slots:
            found.extend(slanting(plan, line, slots[line.id]))
    found.extend(as_sold(plan))
    found.extend(in_figures(plan))
    found.extend(climbing(plan))
    found.extend(said_by_the_rules(plan))
    return tuple(weighed(dict.fromkeys(found)))
