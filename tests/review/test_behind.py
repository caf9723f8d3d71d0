"""Runs that cables come to round a post: what is said of their openings, and that its keys cure."""

from __future__ import annotations

from typing import Any

import pytest
from jobs_made import Keys, run, text
from keys_written import planned, written

from jiggen.job.read import read_job
from jiggen.mechanics.heat import BEND_FRICTION, round_bend
from jiggen.plan.make import make_plan
from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import review
from jiggen.review.behind import behind_words

WIDE: Keys = {"post": {"timber": {"width": 140, "material": "douglas fir"}}}


def two(first: Keys | None = None, then: Keys | None = None, pull: int = 1300, **tables: Any) -> Plan:
    """Run A behind a corner of 90 degrees, pulled at the end of run B."""
    a = {**run([900, 900], spacing=76), **(first or {})}
    b = {**run([700], 3, turn="left 90 deg", led_on=True), **(then or {})}
    return make_plan(read_job(text([a, b], cable={"tension": f"{pull} N"}, **tables)))


def told(plan: Plan, name: str, words: str = "gives to") -> list[Problem]:
    return [problem for problem in review(plan) if problem.where == f"run {name}" and words in problem.found]


def test_far_run_says_that_it_is_behind_a_bend() -> None:
    plan = two()
    (problem,) = told(plan, "A")
    assert "behind post 3 73 % of the pull is left" in problem.found and told(plan, "B") == []
    assert behind_words(plan.runs[1], plan.loads["B"].strung) == ""


def test_pull_that_is_named_is_that_at_the_end() -> None:
    """What the far run needs, over what is left behind 90 degrees."""
    plan = two()
    (problem,) = told(plan, "A")
    (cure,) = [cure for cure in problem.cures if [path for path, _ in cure.keys] == ["cable.tension"]]
    asked = float(cure.keys[0][1].strip('"').removesuffix(" N"))
    again = planned(written(dict(plan.job.data), cure))
    assert told(again, "A") == []
    assert again.loads["A"].strung.tension == pytest.approx(round_bend(asked, 3.14159265358979 / 2, BEND_FRICTION))
    less = written(dict(plan.job.data), cure)
    less["cable"]["tension"] = f"{asked - 4.0} N"
    assert told(planned(less), "A")  # no more than it takes


def test_every_cure_of_a_far_run_cures() -> None:
    plan = two(pull=1100, **WIDE)
    (problem,) = told(plan, "A")
    words = [cure.words for cure in problem.cures]
    assert any(one.startswith('pull from both ends, with "take-up plate" at post 1 too') for one in words), words
    assert any(one.startswith("end the cables at post 3 (leave led_on out of run B") for one in words), words
    for cure in problem.cures:
        again = planned(written(dict(plan.job.data), cure))
        assert told(again, "A") == [] and told(again, "B") == [], cure


def test_spacing_of_a_later_run_is_written_in_the_run_that_says_it() -> None:
    """Run B, the later one, is the far one: its cables are where run A says."""
    plan = two({"start": "take-up plate"}, {"finish": "fixed plate", "spans": [900]}, guard={"first": 70})
    (problem,) = told(plan, "B")
    paths = {path for cure in problem.cures for path, _ in cure.keys if path.endswith("spacing")}
    assert paths == {"run[0].spacing"}
    for cure in problem.cures:
        again = planned(written(dict(plan.job.data), cure))
        assert told(again, "B") == [], cure


def test_table_of_tensions_asks_for_what_is_left() -> None:
    code: Keys = {
        "opening": 125,
        "tension": [{"diameter": 3.2, "strand": "1x19", "spacing": 80, "spans": [1000], "pulls": ["1000 N"]}],
    }
    plan = two(pull=1200, job={"code": "own"}, code={"own": code})
    (problem,) = told(plan, "A", "the table asks for")
    assert (
        "the pull is 876 N (behind post 3 73 % of the pull is left), the table" in problem.found
    )  # 1200 x 0.7304 = 876.48
    assert told(plan, "B", "the table asks for") == []
    (cure,) = [cure for cure in problem.cures if [path for path, _ in cure.keys] == ["cable.tension"]]
    assert 1000 / 0.7304027 <= float(cure.keys[0][1].strip('"').removesuffix(" N")) < 1000 / 0.7304027 + 2
    assert told(planned(written(dict(plan.job.data), cure)), "A", "the table asks for") == []


def test_end_posts_and_the_post_of_the_turn_are_told_apart() -> None:
    plan = two()
    carried = {p.where: p.found for p in review(plan) if p.found.startswith("the cables pull")}
    assert set(carried) == {"post 1, run A", "post 3", "post 4, run B"}
    count, tight = len(plan.runs[0].drops), plan.loads["A"].strung.tightest
    assert f"the cables pull {count * tight:.0f} N:" in carried["post 4, run B"]
    assert f"the cables pull {count * tight * 2**0.5:.0f} N towards" in carried["post 3"]  # 2 T sin 45


def on_stairs(behind: int, first: Keys | None = None, then: Keys | None = None) -> Plan:
    """A landing and the stair down from it, in one line; the nosing line passes ``behind`` x 180 / 280 over the landing there."""
    ground = {"rise": 180, "going": 280, "goes": "down", "first_behind_nosing": behind}
    a = {**run([900, 900], spacing=64, height=920), **(first or {})}
    b = {**run([840], 3, led_on=True, height=920, stair=ground), **(then or {})}
    return make_plan(read_job(text([a, b], cable={"tension": "1700 N"}, **WIDE)))


def test_rail_comes_down_to_cables_that_lie_where_another_run_says() -> None:
    """130 mm behind the nosing: the stair's rail is 83.6 mm over the landing's, whose first cable lies 64 mm under that."""
    plan = on_stairs(130, {"count": 12})
    (problem,) = told(plan, "B", "opening 1 from the top is")
    (cure,) = [cure for cure in problem.cures if "run[1].height" in dict(cure.keys)]
    assert cure.words.startswith("make the guard of run B")
    assert told(planned(written(dict(plan.job.data), cure)), "B", "opening 1 from the top is") == []


def test_cables_that_a_later_run_has_no_room_for() -> None:
    plan = on_stairs(60, {"spacing": 60, "count": 15})
    (stop,) = [p for p in plan.problems if p.where == "run B" and p.level == "stop"]
    assert "the lowest of the 15 cables of run A" in stop.found and "at most in run A" in stop.remedy
    most = int(stop.remedy.partition("use ")[2].split()[0])
    assert not [p for p in on_stairs(60, {"spacing": 60, "count": most}).problems if "cables of run A" in p.found]
    assert [p for p in on_stairs(60, {"spacing": 60, "count": most + 1}).problems if "cables of run A" in p.found]


def test_steps_that_the_cables_of_a_landing_leave_open() -> None:
    """Too few cables for the stair: what closes its triangle is that they end at the post."""
    plan = on_stairs(90, {"spacing": 64, "count": 11}, {"height": 880})
    (problem,) = told(plan, "B", "passes the triangle")
    (cure,) = [cure for cure in problem.cures if "run[1].led_on" in dict(cure.keys)]
    again = planned(written(dict(plan.job.data), cure))
    assert told(again, "B", "passes the triangle") == [] and again.runs[1].led is None


def test_opening_at_rest_of_a_later_run_is_closed_where_its_cables_are_said() -> None:
    """110 mm less 3.2 lets a sphere of 101.6 mm through in both runs; one spacing, in run A, shuts both."""
    plan = two({"spacing": 110}, pull=1800)
    (problem,) = told(plan, "B", "clear, a sphere")
    spaced = [cure for cure in problem.cures if any(path.endswith(".spacing") for path, _ in cure.keys)]
    assert spaced and all("run[0].spacing" in dict(cure.keys) for cure in spaced)
    for cure in problem.cures:
        again = planned(written(dict(plan.job.data), cure))
        assert told(again, "B", "clear, a sphere") == [], cure
