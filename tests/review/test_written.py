"""Cures as keys of the job: each is written into the file's tables, the job read and planned again, the finding gone."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
from jobs_made import Keys, run, text
from keys_written import planned, written
from wrong_jobs import JOBS, kind_of, made, tellings

from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.plan.model import Plan
from jiggen.problems import Cure, Problem
from jiggen.review import review
from jiggen.review.written import said


@pytest.mark.parametrize("seed", range(JOBS))
def test_the_keys_of_a_cure_cure(seed: int) -> None:
    was = made(seed).plan()
    for kind, problem in tellings(was).items():
        for cure in problem.cures:
            assert cure.keys and cure.words.removeprefix("use ") in problem.remedy
            again = planned(written(dict(was.job.data), cure))
            assert kind not in tellings(again), f"{problem.found}: {cure}"


def test_there_were_cures_of_every_sort() -> None:
    """By the last part of their paths; the figures of the jobs above that a job can hold are all among them."""
    seen: Counter[str] = Counter()
    for seed in range(JOBS):
        for problem in tellings(made(seed).plan()).values():
            seen.update(path.rpartition(".")[2] for cure in problem.cures for path, _ in cure.keys)
    assert set(seen) >= {"spacing", "count", "first", "bottom_gap", "height", "tension", "spacers", "screw"}, seen


OPEN = {"spacing": "140 mm"}  # over irc-2021's 101.6 mm sphere whatever the cable


def plan_of(runs: Any, guard: Keys) -> Plan:
    return make_plan(read_job(text(runs, guard=guard, cable={"tension": "2500 N"})))


def opening(found: Plan, run_id: str) -> list[Problem]:
    return [p for p in review(found) if p.where == f"run {run_id}" and "clear, a sphere" in p.found]


def test_what_all_runs_share_is_changed_for_one() -> None:
    """The spacing stands in [guard]: the cure writes the run's own, the other run keeps its four cables at 140 mm."""
    found = plan_of([run([1000]), run([1000], 5, at=[9000, 0, 0])], OPEN)
    (problem,) = opening(found, "A")
    cure = problem.cures[0]
    assert [path for path, _ in cure.keys] == ["run[0].spacing"]
    again = planned(written(dict(found.job.data), cure))
    assert opening(again, "A") == [] and len(opening(again, "B")) == 1
    assert again.runs[1].spacing == pytest.approx(140)


def test_a_shared_key_that_goes_stays_with_the_other_runs() -> None:
    """Left out of [guard] for run A, it is written into run B, which keeps its 140 mm."""
    found = plan_of([run([1000]), run([1000], 5, at=[9000, 0, 0])], OPEN)
    (problem,) = opening(found, "A")
    out = next(cure for cure in problem.cures if cure.words == "leave spacing out")
    assert dict(out.keys) == {"guard.spacing": "", "run[1].spacing": '"140 mm"'}
    again = planned(written(dict(found.job.data), out))
    assert opening(again, "A") == [] and again.runs[1].spacing == pytest.approx(140)


def test_a_count_does_not_drop_the_shared_spacing() -> None:
    """A ramp's lowest cable stands too high: one cable more at the spacing of [guard], which the run must then repeat."""
    keys: Keys = {"bottom_gap": "60 mm", "count": 6, "ramp": {"slope": "5 deg", "goes": "up"}, "height": "950 mm"}
    found = plan_of(run([900], **keys), {})
    both = plan_of(run([900], **{k: v for k, v in keys.items() if k != "count"}), {"spacing": "90 mm", "count": 6})
    assert found.runs[0].spacing != pytest.approx(90)
    (problem,) = [p for p in review(both) if "gap under the lowest cable" in p.found]
    for cure in problem.cures:
        again = planned(written(dict(both.job.data), cure))
        assert not [p for p in review(again) if "gap under the lowest cable" in p.found], cure
        if "cables" in cure.words:
            assert again.runs[0].spacing == pytest.approx(90)
    assert problem.cures


def test_a_job_with_one_run_table() -> None:
    """[run] instead of [[run]]: the path has no index."""
    data = {"job": {"code": "irc-2021", "name": "One", "units": "mm"}, "run": run([1000], **OPEN)}
    data["post"] = {"timber": {"width": 89, "material": "douglas fir"}}
    found = planned(data)
    (problem,) = opening(found, "A")
    assert problem.cures[0].keys[0][0] == "run.spacing"
    assert opening(planned(written(data, problem.cures[0])), "A") == []


def test_bars_bring_their_own_kind_of_post() -> None:
    """At 250 N over 2.2 m the cables part: bars are named, and the keys hold the bar's own table."""
    found = plan_of(run([2200], count=10), {})
    weak = make_plan(read_job(text(run([2200], count=11), cable={"tension": "700 N"})))
    assert found.runs
    (problem,) = [p for p in review(weak) if "gives to" in p.found]
    bars = next(cure for cure in problem.cures if "spacer bar" in cure.words)
    assert [path for path, _ in bars.keys] == ['post."spacer bar"', "run[0].spacers"]
    again = planned(written(dict(weak.job.data), bars))
    assert not [p for p in review(again) if "gives to" in p.found]


def test_a_fitting_that_ships_is_written_whole() -> None:
    """The generic plate's two #14 screws do not hold 4000 N: the cure holds the whole table, its screw longer."""
    made = text(run([1000], count=9, start="fixed plate", finish="take-up plate"), cable={"tension": "4000 N"})
    found = make_plan(read_job(made))
    weak = [p for p in review(found) if "for good" in p.found]
    cures = [cure for problem in weak for cure in problem.cures]
    assert cures and all(
        path.startswith('fitting."') and not path.endswith(".screw") for c in cures for path, _ in c.keys
    )
    for problem in weak:
        for cure in problem.cures:
            again = planned(written(dict(found.job.data), cure))
            assert kind_of(problem) not in [kind_of(other) for other in review(again)], cure


def test_values_as_toml() -> None:
    assert said({"a b": ["x", 1.5, True], "c": 3}) == '{ "a b" = ["x", 1.5, true], c = 3 }'


def test_a_cure_is_frozen() -> None:
    with pytest.raises(AttributeError):
        Cure("words", ()).words = "other"  # type: ignore[misc]
