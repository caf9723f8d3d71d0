"""What is open under the lowest cable where a spacing leaves less than the job's bottom_gap."""

from __future__ import annotations

from typing import Any

import pytest
from jobs_made import Keys, of_level, only_run, plan, ramp, run

from jiggen.plan.model import Plan

TOLD = "is the most that may stay open under the lowest cable"


def made(**keys: Any) -> Plan:
    """Underside 1100 - 38 = 1062 up; cables of 3.2."""
    return plan(run([900], height=1100, **keys))


def told(found: Plan) -> list[str]:
    return [f"{p.found}; {p.remedy}" for p in of_level(found.problems, "check") if TOLD in p.found]


def test_a_spacing_that_leaves_less_is_told_with_both_ways_out() -> None:
    """1062 - 14 x 75 - 1.6 = 10.4 where 80 is asked; with 13: 85.4; 14 equal ones end at 80."""
    found = made(spacing=75, bottom_gap=80)
    assert len(only_run(found).drops) == 14 and only_run(found).gap == pytest.approx(10.4)
    (words,) = told(found)
    assert "14 cables every 75.0 mm leave 10.4 mm there" in words and "bottom_gap = 80.0 mm" in words
    assert "write count = 13 too: 85.4 mm are open then" in words and "count = 14 in the place of spacing" in words
    fewer, equal = made(spacing=75, count=13, bottom_gap=80), made(count=14, bottom_gap=80)
    assert only_run(fewer).gap == pytest.approx(85.4) and only_run(equal).gap == pytest.approx(80.0)
    assert told(fewer) == told(equal) == []


def test_fewer_cables_are_not_told_where_a_sphere_would_pass() -> None:
    """1062 - 13 x 80 - 1.6 = 20.4; with 12 cables 100.4, under 101.6 of the code; with 11 of 90: 1062 - 990 - 1.6 = 70.4,
    and with 10 160.4, over it."""
    assert "count = 12 too: 100.4 mm" in told(made(spacing=80, bottom_gap=50))[0]
    (words,) = told(made(spacing=90, bottom_gap=90))
    assert "70.4 mm there" in words and " too:" not in words and "count = 11 in the place of spacing" in words


@pytest.mark.parametrize(
    "keys",
    [
        {"spacing": 75, "bottom_gap": 20},  # 10.4 left, 9.6 less: as near as a spacing comes
        {"spacing": 75, "bottom_gap": 80, "bottom_rail": {"depth": 38}},  # the rail stands at 80
        {"spacing": 75},
        {"bottom_gap": 80},
        {"count": 14, "bottom_gap": 80},
    ],
)
def test_nothing_is_told_where_the_gap_is_kept_or_not_asked_for(keys: Keys) -> None:
    assert told(made(**keys)) == []


def test_on_a_ramp_the_gap_is_upright() -> None:
    """Each cable fewer leaves 75 / cos 20 = 79.81 mm more, upright."""
    found = made(spacing=75, bottom_gap=80, ramp=ramp(20))
    gap = only_run(found).gap
    again = made(spacing=75, count=len(only_run(found).drops) - 1, bottom_gap=80, ramp=ramp(20))
    assert only_run(again).gap - gap == pytest.approx(79.81, abs=0.01)
    assert told(found) and f"{only_run(again).gap:.1f} mm are open then" in told(found)[0]
