"""A rail that was built too high at one post: what is open under it, and how far it comes down."""

from __future__ import annotations

import pytest
from jobs_made import Keys, plan, run
from keys_written import planned, written

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import review

# 862 under the planned rail, a first cable 90 down and 60 apart: 90 - 1.6 = 88.4 clear. 20 higher: 108.4, over 101.6
KEYS: Keys = {"height": 900, "first": 90, "spacing": 60, "start": "fixed swivel", "finish": "fixed swivel"}


def found(made: Plan) -> list[Problem]:
    return [one for one in review(made) if one.found.startswith("as built ")]


@pytest.mark.parametrize("by_run", [False, True])
def test_a_rail_too_high_at_a_line_post_comes_down(by_run: bool) -> None:
    """6.8 mm over the sphere at least, told in whole millimetres that close it."""
    taped: Keys = {"underside": {"A": 882}} if by_run else {"underside": 882}
    was = plan(run([1000, 1000], id="A", **KEYS), as_built={"2": taped}, cable={"tension": "2000 N"})
    (problem,) = found(was)
    assert (problem.level, problem.where.split("/")[0]) == ("stop", "2")
    assert "as built 108.4 mm are open under the rail, a sphere of 101.6 mm passes" in problem.found
    (cure,) = problem.cures
    ((path, value),) = cure.keys
    assert path == ("as_built.2.underside.A" if by_run else "as_built.2.underside")
    lower = 882 - float(value.strip('"').removesuffix(" mm"))
    assert cure.words == f"lower the rail there by {lower:.1f} mm"
    assert 6.8 <= lower <= 9.0
    again = planned(written(was.job.data, cure))
    assert found(again) == []


def test_a_rail_a_little_too_high_is_none_of_it() -> None:
    # 13 higher: 101.4 clear, under 101.6
    assert found(plan(run([1000, 1000], **KEYS), as_built={"2": {"underside": 875}}, cable={"tension": "2000 N"})) == []


def test_an_opening_that_the_plan_has_already_is_none_of_a_post_that_was_not_taped() -> None:
    """A spacing of 300 leaves 298.4 under the rail everywhere: only post 2, built 20 higher, has it as built (318.4)."""
    keys: Keys = {**KEYS, "first": 300, "spacing": 300}
    told = found(plan(run([1000, 1000, 1000], id="A", **keys), as_built={"2": {"underside": 882}}))
    assert [one.where.split("/")[0] for one in told] == ["2"]
    assert "as built 318.4 mm are open" in told[0].found
