"""Fittings and holes beside the rails: limits to a tenth of a millimetre, by the sums in the comments."""

from __future__ import annotations

from typing import Any

import pytest
from jobs_made import plan, run
from keys_written import planned, written

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import findings

PLATE = {
    "outline": [30, 70],
    "flange": 3,
    "screws": [[0, 25], [0, -25]],
    "screw": "5 x 50 mm",
    "setback": 40,
    "travel": 25,
}


def made(**keys: Any) -> Plan:
    """A run of 1000 between two square posts, its plates 70 high and in the middle on its cables."""
    one = run([1000], start="plate", finish="plate", **keys)
    return plan(one, fitting={"plate": PLATE})


def told(found: Plan) -> list[Problem]:
    return [problem for problem in found.problems if " rail overlap by " in problem.found]


@pytest.mark.parametrize(("first", "over"), [(35.0, 0.0), (34.9, 0.1), (20.0, 15.0), (5.0, 30.0)])
def test_a_plate_over_the_underside_stands_in_the_top_rail(first: float, over: float) -> None:
    """35 above the cable: 35 - first of it is over the underside."""
    found = told(made(first=first, spacing=80, count=9, height=1000))
    assert len(found) == (2 if over else 0)
    assert all(f"top rail overlap by {over:.1f} mm" in problem.found for problem in found)


def test_the_top_rails_cure_cures() -> None:
    was = made(first=20, spacing=80, count=12, height=1000)
    for problem in [one for one in findings(was) if " rail overlap by " in one.found]:
        (cure,) = problem.cures
        assert [path for path, _ in cure.keys] == ["run[0].first"]
        assert not told(planned(written(dict(was.job.data), cure)))


@pytest.mark.parametrize(("gap", "over"), [(59.9, 0.0), (60.1, 0.1), (80.0, 20.0)])
def test_a_plate_of_the_last_cable_stands_in_the_bottom_rail(gap: float, over: float) -> None:
    """Underside at 1000 - 40 = 960; the last cable 960 - 9 * 90 = 150 up, its plate from 115 to 185; the rail's top is
    55 over the gap: 55 + gap - 115."""
    rail = {"depth": 55, "width": 60}
    found = told(made(spacing=90, count=9, height=1000, rail={"depth": 40}, bottom_rail=rail, bottom_gap=gap))
    assert len(found) == (2 if over else 0)
    assert all(f"bottom rail overlap by {over:.1f} mm" in problem.found for problem in found)


def test_on_a_rake_the_low_end_is_judged_where_its_pivot_puts_it() -> None:
    """A pivot 22 from the face lowers the plate by 22 tan t at one end and lifts it by as much at the other: with 35 over
    a cable 40 under the rail, 5 are left; a slope of 0.3 takes 6.6 of it at the end where it lifts."""
    plate = {**PLATE, "pivot": 22}
    stair = {"rise": 90, "going": 300, "goes": "down", "first_behind_nosing": 0}
    one = run([900], start="plate", finish="plate", first=40 * 0.957826, spacing=70, count=9, height=1000, stair=stair)
    found = told(plan(one, fitting={"plate": plate}))
    assert len(found) == 1
    assert "top rail overlap by 1.6 mm" in found[0].found
