"""Runs that are alike are told one remedy, each with its own keys: the same as each worked out by itself."""

from __future__ import annotations

from typing import Any

import pytest
from jobs_made import Keys, plan, run
from keys_written import planned, written

from jiggen.review import findings, load


def runs(count: int, **keys: Any) -> list[Keys]:
    """As many alike, each by itself on posts of its own."""
    return [
        {
            **run([1500, 1500], id=f"R{index}", spacing=95, count=9, height=1000, **keys),
            "posts": [f"{index}a", f"{index}b", f"{index}c"],
            "at": [0, 4000 * index, 0],
        }
        for index in range(count)
    ]


@pytest.mark.parametrize("keys", [{}, {"bottom_gap": 60}, {"stair": None}])
def test_alike_runs_are_told_what_each_would_be(keys: Keys, monkeypatch: pytest.MonkeyPatch) -> None:
    own = {key: value for key, value in keys.items() if value is not None}
    made = plan(runs(4, **own), cable={"tension": "700 N"})
    together = findings(made)
    monkeypatch.setattr(load, "once", lambda plan, line, found: found())
    assert together == findings(made)
    told = [problem for problem in together if problem.where.startswith("run R") and problem.cures]
    assert len({problem.where for problem in told}) == 4
    for problem in told:
        index = problem.where.removeprefix("run R").split(",")[0]
        for cure in problem.cures:
            assert all(key.startswith(f"run[{index}].") or not key.startswith("run[") for key, _ in cure.keys)


def test_a_run_that_says_a_key_for_itself_is_not_alike() -> None:
    """The first has its count from [guard], the second its own: what leaves the count out is written elsewhere."""
    every = runs(2)
    del every[0]["count"]
    made = plan(every, guard={"count": 9}, cable={"tension": "700 N"})
    told = {p.where: p for p in findings(made) if p.cures and "gives to" in p.found}
    assert set(told) == {"run R0", "run R1"}
    for problem in told.values():
        for cure in problem.cures:
            again = planned(written(dict(made.job.data), cure))
            assert not [p for p in findings(again) if p.where == problem.where and "gives to" in p.found], cure
