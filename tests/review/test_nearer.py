"""Posts put between posts, a thread, a place beside the deck: as keys of the job, read and planned again."""

from __future__ import annotations

import re

import pytest
from jobs_made import Keys, plan, run
from keys_written import planned, written
from reviewed import told

from jiggen.plan.model import Plan
from jiggen.problems import Cure, Problem


def after(made: Plan, cure: Cure) -> Plan:
    return planned(written(dict(made.job.data), cure))


def posted(problem: Problem) -> Cure:
    return next(one for one in problem.cures if any(path.endswith(".posts") for path, _ in one.keys))


ABCB: Keys = {"job": {"code": "abcb-2022", "units": "mm", "fall": "3 m"}}
ENDS: Keys = {"start": "pin", "finish": "pin"}
PIN: Keys = {"outline": [20, 20], "bore": 6, "setback": 40, "travel": 38}


def table_job(spans: list[float], pull: float, **keys: object) -> Plan:
    return plan(
        run(spans, height=1000, **{"spacing": 80, **ENDS, **keys}),
        fitting={"pin": PIN},
        cable={"tension": f"{pull} N", "strand": "1x19"},
        **ABCB,
    )


def test_posts_between_posts_meet_the_table() -> None:
    """1900 - 89 = 1811 clear every 80: 1980 N. With 1100 N the longest listed span is 1200 (1025 N): a span of 1900 in two
    is 950 - 89 = 861 clear. The other one of 1200 (1111 clear) stays whole."""
    was = table_job([1900, 1200], 1100)
    (problem,) = told(was, "the table asks for")
    cure = posted(problem)
    assert dict(cure.keys) == {
        "run[0].posts": '["1", "1b", "2", "3"]',
        "run[0].spans": '["950 mm", "950 mm", "1200 mm"]',
    }
    again = after(was, cure)
    assert told(again, "the table asks for") == [] and told(again, "no tension") == []
    assert again.runs[0].stations == pytest.approx((0, 950, 1900, 3100))


@pytest.mark.parametrize("measured", ["spans", "clear"])
def test_as_the_job_measures_its_spans(measured: str) -> None:
    """Clear 1811 in two with a post of 89 between: (1811 - 89) / 2 = 861 each."""
    keys: Keys = {"spans": None, measured: [1900 if measured == "spans" else 1811]}
    body = {key: value for key, value in {**run([1900], height=1000, spacing=80, **ENDS), **keys}.items() if value}
    was = plan(body, fitting={"pin": PIN}, cable={"tension": "1100 N"}, **ABCB)
    (problem,) = told(was, "the table asks for")
    cure = posted(problem)
    half = "950 mm" if measured == "spans" else "861 mm"
    assert dict(cure.keys)[f"run[0].{measured}"] == f'["{half}", "{half}"]'
    assert told(after(was, cure), "the table asks for") == []


def test_names_that_posts_have_are_not_given_again() -> None:
    """A post of another run is called 1b already."""
    other = {"posts": ["x", "1b"], "spans": [900], "at": [9000, 0, 0], "height": 1000, "spacing": 80, **ENDS}
    first = run([1900], height=1000, spacing=80, **ENDS)
    was = plan([first, other], fitting={"pin": PIN}, cable={"tension": "1100 N"}, **ABCB)
    (problem,) = told(was, "the table asks for")
    assert dict(posted(problem).keys)["run[0].posts"] == '["1", "1c", "2"]'


def test_a_taped_span_is_not_torn() -> None:
    """What was built stands: words alone."""
    was = plan(
        run([1900], height=1000, spacing=80, **ENDS),
        fitting={"pin": PIN},
        cable={"tension": "1100 N"},
        as_built={"1": {"span_to_next": "1899 mm"}},
        **ABCB,
    )
    (problem,) = told(was, "the table asks for")
    assert "bring supports" in problem.remedy
    assert not [c for c in problem.cures if any(path.endswith(".posts") for path, _ in c.keys)]


@pytest.mark.parametrize("start", ["hook", "long"])
def test_a_longer_thread(start: str) -> None:
    """Told in whole mm up; where both ends have the same fitting each has half."""
    hold: Keys = {"outline": [20, 20], "bore": 6, "setback": 40}
    keys: Keys = {"height": 1000, "spacing": 80, "start": start, "finish": "long"}
    was = plan(run([1000] * 20, **keys), fitting={"hook": hold, "long": {**hold, "travel": 10}})
    (problem,) = told(was, "of thread to stretch")
    (cure,) = problem.cures
    assert [path for path, _ in cure.keys] == ["fitting.long.travel"]
    assert told(after(was, cure), "of thread to stretch") == []


def test_nearer_to_the_deck_s_edge() -> None:
    """110 mm out a sphere of 4 in passes whatever the spacing; what is told shuts it."""
    was = plan(run([1000], height=1000, spacing=60, mount="side", out="110 mm", **ENDS), fitting={"pin": PIN})
    problems = told(was, "clear, a sphere")
    assert problems
    (cure,) = problems[0].cures
    assert [path for path, _ in cure.keys] == ["run[0].out"]
    assert told(after(was, cure), "clear, a sphere") == []


def test_what_shuts_it_is_not_told_where_plates_then_overlap() -> None:
    """Plates 110 mm high at 124 mm. Under a 4 in sphere cables are 104.7 mm apart at most: those plates overlap then."""
    plate: Keys = {
        "outline": [30, 110],
        "flange": 3,
        "screws": [[0, 20], [0, -20]],
        "screw": "#14 x 2 1/2 in",
        "setback": 50,
    }
    ends: Keys = {"start": "plate", "finish": "plate"}
    keys: Keys = {"height": 1000, "spacing": 124}
    was = plan(run([1000], **keys, **ends), fitting={"plate": plate})
    (problem,) = told(was, "clear, a sphere")
    assert problem.cures == () and problem.remedy.endswith("with end fittings that do not run into each other then")
    low = plan(run([1000], **keys, **ends), fitting={"plate": {**plate, "outline": [30, 60]}})
    (other,) = told(low, "clear, a sphere")
    assert other.cures and "use a spacing of" in other.remedy


@pytest.mark.parametrize(("key", "place"), [("gap_at_start", 0), ("gap_at_finish", 1)])
def test_an_end_post_nearer_to_its_wall(key: str, place: int) -> None:
    """120 mm beside a sphere of 4 in = 101.6: 20 mm nearer (18.4 and 1 over, whole mm), the last span as much longer."""
    was = plan(
        run([900, 800], height=1000, spacing=60, **{key: 120, **ENDS}),
        fitting={"pin": PIN},
        cable={"tension": "1500 N"},
    )
    (problem,) = told(was, "the gap beside it")
    (cure,) = problem.cures
    spans = ["920 mm", "800 mm"] if place == 0 else ["900 mm", "820 mm"]
    assert dict(cure.keys) == {
        f"run[0].{key}": '"100 mm"',
        "run[0].spans": "[" + ", ".join(f'"{s}"' for s in spans) + "]",
    }
    assert told(after(was, cure), "the gap beside it") == []


def test_a_shared_post_is_not_moved() -> None:
    runs = [run([900], height=1000, spacing=60, gap_at_finish=120, **ENDS)]
    runs.append(run([900], 2, height=1000, spacing=60, turn="left 90 deg", **ENDS))
    (problem,) = told(plan(runs, fitting={"pin": PIN}, cable={"tension": "1500 N"}), "the gap beside it")
    assert problem.cures == () and "move the post" in problem.remedy


def test_a_post_nearer_to_the_nosing() -> None:
    """A stair down from a landing, its first post far behind the nosing: the wedge under the first raked cable.
    260 - 44.5 = 215.5 of landing, 175 / 275 of it and 15 is 152.1; the circle 152.1 x (1 + 1/s - sqrt(1 + s^2)/s), s = 0.636,
    is 107.8 where 100 is the limit."""
    steps = {"rise": 175, "going": 275, "goes": "down", "overhang": 20, "first_behind_nosing": 260}
    was = plan(
        run([825], height=1000, count=10, bottom_gap=15, stair=steps, **ENDS),
        fitting={"pin": {**PIN, "at_rake": True}},
        job={"code": "nbc-2020", "units": "mm"},
    )
    (problem,) = told(was, "the wedge between the landing")
    (cure,) = problem.cures
    assert [path for path, _ in cure.keys] == ["run[0].stair.first_behind_nosing"]
    assert told(after(was, cure), "the wedge between the landing") == []


@pytest.mark.parametrize("last", [None, 260])
def test_the_last_post_nearer_to_the_nosing(last: float | None) -> None:
    """The same wedge at the top of a stair up: 150 + 935 = 1085 = 3 x 275 + 260 behind the nosing, so the last span goes down by
    what the post has to come nearer, and last_behind_nosing with it where the job gives it."""
    steps: Keys = {"rise": 175, "going": 275, "goes": "up", "overhang": 20, "first_behind_nosing": 150}
    steps |= {"last_behind_nosing": last} if last else {}
    was = plan(
        run([935], height=1000, count=10, bottom_gap=15, stair=steps, **ENDS),
        fitting={"pin": {**PIN, "at_rake": True}},
        job={"code": "nbc-2020", "units": "mm"},
    )
    (problem,) = told(was, "the wedge between the landing")
    (cure,) = problem.cures
    own = ["run[0].spans", "run[0].stair.last_behind_nosing"]
    assert [path for path, _ in cure.keys] == (own if last else own[:1])
    most = float(re.search(r"at most ([\d.]+) mm", problem.remedy)[1])  # type: ignore[index]
    (span,) = re.findall(r"[\d.]+", dict(cure.keys)["run[0].spans"])
    assert float(span) == pytest.approx(935 - (260 - most), abs=0.11)
    assert told(after(was, cure), "the wedge between the landing") == []
