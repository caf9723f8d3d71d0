"""A job's own climbing band and table of tensions: read, judged by, and told at their keys where they are wrong."""

from __future__ import annotations

from typing import Any

import pytest
from jobs_made import run, text

from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.problems import JobError, Problem
from jiggen.review import review

ROW = {
    "diameter": "3.2 mm",
    "strand": "1x19",
    "spacing": "80 mm",
    "spans": ["900 mm", "1500 mm"],
    "pulls": ["600 N", "x"],
}
OWN = {"opening": "125 mm", "source": "by-law 7"}


def job(span: float, pull: float, spacing: str = "80 mm", fall: str = "3 m", **own: Any) -> str:
    head = {"code": "shire", "fall": fall}
    return text(run([span], spacing=spacing), job=head, code={"shire": {**OWN, **own}}, cable={"tension": f"{pull} N"})


def found(words: str, source: str) -> list[Problem]:
    return [p for p in review(make_plan(read_job(source))) if words in p.found]


def test_the_table_of_a_job_s_own_asks_for_a_pull() -> None:
    """Clear 900: 600 N. 599 is stopped with the job's own clause, 600 is not; loaded openings are told only."""
    span = 900 + 89  # two halves of a post of 89
    (problem,) = found("asks for", job(span, 599, tension=[ROW]))
    assert (problem.level, problem.source) == ("stop", "by-law 7") and "600 N" in problem.remedy
    assert found("asks for", job(span, 600, tension=[ROW])) == []
    assert found("this is told only", job(span, 600, tension=[ROW]))


def test_x_beyond_the_table_and_another_wire_are_stops() -> None:
    """Up to 1500 clear it is not allowed; over it, and at 81 mm, there is no row; nor is one for 3.0 mm wire, thinner."""
    assert found("has no tension", job(900.1 + 89, 900, tension=[ROW]))
    assert found("has no tension", job(1600, 900, tension=[ROW]))
    assert found("has no tension", job(900, 900, "81 mm", tension=[ROW]))
    assert found("has no tension", job(900, 900, tension=[{**ROW, "diameter": "3.0 mm"}]))


def test_own_rows_of_3_0_mm_are_not_read_by_thicker_wire() -> None:
    """That thicker wire reads the 3.0 rows is a note of the ABCB's table alone."""
    assert found("has no tension", job(900, 900, tension=[{**ROW, "diameter": "3.0 mm"}]))
    assert not found("has no tension", job(900, 900, tension=[ROW]))


def test_the_band_to_climb_on_holds_over_its_fall() -> None:
    band = {"fall": "4 m", "above": "150 mm", "below": "760 mm"}
    (problem,) = found("nothing to climb on", job(900, 1000, fall="4.1 m", climb=band))
    assert problem.level == "check" and problem.source == "by-law 7"
    assert "between 150.0 mm and 760.0 mm" in problem.found
    assert found("nothing to climb on", job(900, 1000, fall="4 m", climb=band)) == []
    always = {"above": "150 mm", "below": "760 mm"}
    assert found("nothing to climb on", job(900, 1000, fall="1 m", climb=always))


@pytest.mark.parametrize(
    ("own", "places"),
    [
        ({"climb": {"above": "760 mm", "below": "150 mm"}}, ["code.shire.climb.below"]),
        ({"climb": {"above": "1 m"}}, ["code.shire.climb.below"]),
        ({"climb": {"above": 1, "below": 2, "over": 3}}, ["code.shire.climb.over"]),
        ({"tension": [{**ROW, "spans": ["1500 mm", "900 mm"]}]}, ["code.shire.tension[0].spans"]),
        ({"tension": [{**ROW, "pulls": ["600 N"]}]}, ["code.shire.tension[0].pulls"]),
        ({"tension": [{**ROW, "pulls": ["600 N", "no"]}]}, ["code.shire.tension[0].pulls[1]"]),
        (
            {"tension": [{"spacing": "80 mm"}]},
            [f"code.shire.tension[0].{k}" for k in ("diameter", "strand", "spans", "pulls")],
        ),
        ({"tension": "none"}, ["code.shire.tension"]),
    ],
)
def test_what_is_wrong_is_told_at_its_key(own: dict[str, Any], places: list[str]) -> None:
    with pytest.raises(JobError) as caught:
        read_job(job(900, 1000, **own))
    assert [problem.where for problem in caught.value.problems] == places
    assert all(problem.remedy.startswith("write") or "leave" in problem.remedy for problem in caught.value.problems)
