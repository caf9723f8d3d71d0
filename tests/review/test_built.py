"""A rail that was built too high or too low: what is open under it and under the cables, and how far it has to move."""

from __future__ import annotations

import pytest
from jobs_made import Keys, plan, run, stair
from keys_written import planned, written

from jiggen.plan.built import planned_undersides
from jiggen.plan.model import Plan
from jiggen.plan.spacing import worst_circle
from jiggen.problems import Problem
from jiggen.review import review
from jiggen.review.openings import as_it_stands, opened, triangle

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


# 962 under the planned rail, cables 75 apart from 75 down: the lowest of 12 at 900, 62 - 1.6 = 60.4 clear over the deck
HIGH: Keys = {
    "height": 1000,
    "first": 75,
    "spacing": 75,
    "count": 12,
    "start": "fixed swivel",
    "finish": "fixed swivel",
}
PULLED: Keys = {"tension": "2500 N"}


def test_an_end_post_too_high_opens_the_gap_over_the_deck() -> None:
    """48 mm up: 60.4 + 48 = 108.4, 6.8 mm over the sphere at least; at the other end it is shut."""
    was = plan(run([1000, 1000], id="A", **HIGH), as_built={"1": {"underside": 1010}}, cable=PULLED)
    (problem,) = found(was)
    assert (problem.level, problem.where) == ("stop", "post 1, run A")
    assert problem.found == "as built 108.4 mm are open under the lowest cable, a sphere of 101.6 mm passes"
    (cure,) = problem.cures
    ((path, value),) = cure.keys
    assert path == "as_built.1.underside"
    assert 6.8 <= 1010 - float(value.strip('"').removesuffix(" mm")) <= 9.0
    assert found(planned(written(was.job.data, cure))) == []


def test_a_line_post_too_high_leaves_the_cables_at_the_deck() -> None:
    """The cables go straight from end to end: 20 mm more are open under the rail there (93.4), none under them."""
    assert found(plan(run([1000, 1000], id="A", **HIGH), as_built={"2": {"underside": 982}}, cable=PULLED)) == []


def test_the_gap_over_a_bottom_rail_opens_with_an_end_post() -> None:
    """Its top lies 50 + 40 over the deck as planned; of 11 cables the lowest at 825 down, 137 - 90 - 1.6 = 45.4 clear.
    60 mm up: 105.4."""
    keys: Keys = {**HIGH, "count": 11, "bottom_rail": {"depth": 40}, "bottom_gap": 50}
    (problem,) = found(plan(run([1000, 1000], id="A", **keys), as_built={"3": {"underside": 1022}}, cable=PULLED))
    assert (problem.level, problem.where) == ("stop", "post 3, run A")
    assert "105.4 mm are open under the lowest cable over the bottom rail" in problem.found


@pytest.mark.parametrize("fall", [{}, {"fall": "1 m"}])
def test_a_guard_built_too_low(fall: Keys) -> None:
    """914.4 high as planned, 38 of it rail: underside 876.4. Taped 860: 898.0, 16.4 short."""
    keys: Keys = {"height": 914.4, "first": 75, "spacing": 70, "start": "fixed swivel", "finish": "fixed swivel"}
    heads: Keys = {"name": "Low", "code": "irc-2021", "units": "mm", **fall}
    was = plan(run([1000, 1000], id="A", **keys), as_built={"2": {"underside": 860}}, cable=PULLED, job=heads)
    (problem,) = found(was)
    assert (problem.level, problem.where, problem.source) == ("check", "post 2, run A", "IRC R312.1.2")
    assert problem.found == "as built the guard is 898.0 mm high there, 914.4 mm is the least"
    (cure,) = problem.cures
    ((_, value),) = cure.keys
    assert 876.4 <= float(value.strip('"').removesuffix(" mm")) <= 879.0
    assert found(planned(written(was.job.data, cure))) == []


def test_a_guard_a_tape_reading_too_low_is_none_of_it() -> None:
    keys: Keys = {"height": 914.4, "first": 75, "spacing": 70, "start": "fixed swivel", "finish": "fixed swivel"}
    assert found(plan(run([1000, 1000], **keys), as_built={"2": {"underside": 876}}, cable=PULLED)) == []


def test_under_load_the_openings_count_as_built() -> None:
    """Pulled so that every opening as planned stays shut; 25 mm more under the rail at the line post does not."""
    was = plan(run([1000, 1000], id="A", **HIGH), cable=PULLED)
    made = plan(run([1000, 1000], id="A", **HIGH), as_built={"2": {"underside": 987}}, cable=PULLED)
    line = made.runs[0]
    assert opened(was, was.runs[0]) == []
    first = as_it_stands(line).openings[0]
    assert first == pytest.approx(75 - 1.6 + 25)  # 98.4, shut at rest
    assert [opening.number for opening in opened(made, line)] == [1]
    assert [opening.upright for opening in opened(made, line)] == [first]


def test_the_triangle_of_a_stair_opens_with_an_end_post() -> None:
    """Steps of 178 by 280. The lowest cable goes up with the post by what lets a circle of 170 through, over 152.4."""
    keys: Keys = {"start": "fixed swivel", "finish": "fixed swivel", "height": 960, "spacing": 70}
    steps = run([1200], id="A", stair=stair(178, 280), **keys)
    was = plan(steps, cable=PULLED)
    line = was.runs[0]
    before = triangle(was, line)
    assert line.closes == "cable" and before is not None and not before.open_at_rest
    up = next(by for by in range(1, 200) if worst_circle(line.ground, line.gap + by) > 170.0)  # type: ignore[arg-type]
    under = planned_undersides(was.runs, "2", was.post_by_id["2"].prism.base.z)["A"] + up
    told = [
        one for one in found(plan(steps, as_built={"2": {"underside": under}}, cable=PULLED)) if "triangle" in one.found
    ]
    assert [(one.level, one.where) for one in told] == [("stop", "post 2, run A")]
    assert "152.4 mm is the limit" in told[0].found and "as built a sphere of 170" in told[0].found
