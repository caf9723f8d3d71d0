"""What closes the triangle on a stair: each figure written into the job and planned again, or the steps that would let it."""

from __future__ import annotations

import re
from math import hypot
from typing import Any

import pytest
from jobs_made import plan, run, stair
from keys_written import planned, written

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import review


def made(
    rise: float, going: float, overhang: float = 25.0, code: str = "irc-2021", pull: str = "2500 N", **keys: Any
) -> Plan:
    keys = {"height": 1000, **keys}
    ground, spans = stair(rise, going, overhang=overhang), keys.pop("spans", [600, 600])
    return plan(run(spans, stair=ground, **keys), job={"code": code, "fall": "3 m"}, cable={"tension": pull})


def triangles(found: Plan) -> list[Problem]:
    return [p for p in review(found) if "triangle" in p.found]


@pytest.mark.parametrize(
    "keys",
    [
        {"count": 9, "bottom_gap": 60},
        {"spacing": 85, "bottom_gap": 60},
        {"spacing": 80, "count": 9, "bottom_gap": 60},
        {"spacing": 80, "count": 10, "first": 60, "bottom_gap": 60},
        {"count": 9, "bottom_gap": 60, "bottom_rail": {"depth": 38}},
    ],
)
@pytest.mark.parametrize("pull", ["2500 N", "500 N"])
def test_every_cure_closes_it_at_rest_and_under_load(keys: dict[str, Any], pull: str) -> None:
    """178 on 280, overhang 25: at the nosing line 6 in leave 178 x (152.4 / 126.2 - 1 - 25 / 280) = 21.1 mm."""
    found = made(178, 280, pull=pull, **keys)
    problem = triangles(found)[0]
    assert problem.level == "stop" and problem.cures
    for cure in problem.cures:
        again = planned(written(dict(found.job.data), cure))
        assert triangles(again) == [], cure
        before = {p.found.split(" is ")[0] for p in review(found) if p.level == "stop"}
        assert {p.found.split(" is ")[0] for p in review(again) if p.level == "stop"} <= before
    heights = [float(h) for h in re.findall(r"([\d.]+) mm over the nosing line", problem.remedy)]
    assert heights and max(heights) <= 21.2


def test_a_lifted_cable_leaves_a_bottom_rail() -> None:
    """At 250 N over 900 mm the lowest cable lifts by more than the 21.1 mm that the triangle leaves: no height helps, a rail does."""
    found = made(178, 280, count=9, bottom_gap=60, pull="250 N", spans=[900, 900])
    problem = triangles(found)[0]
    assert "lowest cable down" not in problem.remedy
    assert [cure.words for cure in problem.cures] == ["give this run a bottom rail 20.0 mm over the nosing line"]


def circle(rise: float, going: float, overhang: float) -> float:
    """Of the triangle under a member on the nosing line: (g + r - hypot) (1 + n / g)."""
    return (going + rise - hypot(going, rise)) * (1 + overhang / going)


@pytest.mark.parametrize("code", ["irc-2021", "nbc-2020"])
@pytest.mark.parametrize("bottom", [{}, {"bottom_rail": {"depth": 38}, "bottom_gap": 0}])
def test_steps_that_no_member_closes(code: str, bottom: dict[str, Any]) -> None:
    """210 on 300, overhang 25: circle (510 - 366.2) x 1.0833 = 155.8, over 152.4 and 150. Which rise, going and overhang pass."""
    limit = 152.4 if code == "irc-2021" else 150.0
    assert circle(210, 300, 25) == pytest.approx(155.8, abs=0.1)
    found = made(210, 300, code=code, count=10, **bottom)
    problem = next(p for p in triangles(found) if p.level == "stop")
    assert problem.cures == () and "even under a member on the nosing line" in problem.found + problem.remedy
    told = re.search(
        r"a rise of ([\d.]+) mm, a going of ([\d.]+) mm or an overhang of ([\d.]+) mm at most", problem.remedy
    )
    assert told
    rise, going, over = (float(part) for part in told.groups())
    for size, more in (
        ((rise, 300, 25), (1, 0, 0)),
        ((210, going, 25), (0, 1, 0)),
        ((210, 300, over), (0, 0, 1)),
    ):
        near, past = ([a + b * by for a, b in zip(size, more, strict=True)] for by in (0.99, 2.0))
        assert circle(*near) < limit <= circle(*past)  # 1 mm under the limit at least, in whole mm
        rail = {"bottom_rail": {"depth": 38}, "bottom_gap": 0}
        assert triangles(made(*size, code=code, count=10, **rail)) == []
