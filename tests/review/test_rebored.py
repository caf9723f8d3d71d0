"""Remedies of rigid fittings: each is written into the job, planned again, and what it was told of is then gone."""

from __future__ import annotations

from jobs_made import Keys, of_level, plan, ramp, run
from keys_written import planned, written

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import findings
from jiggen.review.signs import sign

STUD: Keys = {"outline": [12, 12], "flange": 2, "bore": 6, "washer": 12, "setback": 38, "travel": 25}
ENDS: Keys = {"count": 6, "height": 900, "start": "own", "finish": "own"}


def stops(found: Plan, words: str) -> list[Problem]:
    return [problem for problem in of_level(findings(found), "stop") if words in problem.found]


def gone(was: Plan, problem: Problem) -> None:
    """Every cure of the problem, written into the job, has it gone."""
    for cure in problem.cures:
        assert cure.words in problem.remedy
        again = planned(written(dict(was.job.data), cure))
        assert sign(was, problem) not in {sign(again, one) for one in of_level(findings(again), "stop")}, cure


def test_a_stud_that_its_cable_leaves_askew_is_bored_along_it() -> None:
    """A wooden corner of 30 degrees: at_rake on the stud."""
    was = plan(
        [run([900], **ENDS), run([900], 2, turn="left 30 deg", stagger=40, **ENDS)],
        post={"post": {"width": 140, "material": "douglas fir", "rotate": "0 deg"}},
        fitting={"own": STUD},
    )
    (problem,) = stops(was, "is rigid and screwed square")
    assert ("fitting.own.at_rake", "true") in [key for cure in problem.cures for key in cure.keys]
    gone(was, problem)


def test_a_plate_screwed_square_swivels_instead() -> None:
    """A plate has no bore to turn: on a ramp of 20 degrees another fitting in its place."""
    was = plan(run([900], count=6, height=900, ramp=ramp(20), start="rigid plate", finish="fixed swivel"))
    (problem,) = stops(was, "is rigid and screwed square")
    (cure,) = problem.cures
    assert cure.keys == (("run[0].start", '"fixed swivel"'),)
    gone(was, problem)


def test_a_stud_for_wood_in_a_tube() -> None:
    """Two ways: through the post with a washer of 2 x 6.35 = 12.7, told as 13.0, or a plate for metal."""
    was = plan(
        run([900], count=6, height=900, start="fixed stud", finish="take-up stud"),
        post={"post": {"width": 60, "wall": 3, "material": "steel"}},
    )
    first, last = stops(was, "nothing holds it behind a wall")
    for problem, name, end in ((first, "fixed", "start"), (last, "take-up", "finish")):
        through, plate = problem.cures
        assert (f"run[0].{end}", f'"{name} stud through the post"') in through.keys
        assert "a washer of 13.0 mm" in through.words
        assert plate.keys == ((f"run[0].{end}", f'"{name} plate for metal"'),)
        gone(was, problem)
