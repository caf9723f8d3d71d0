"""Jobs that read: what the installer wrote, in mm, N, radians and K."""

from __future__ import annotations

import time
from dataclasses import replace
from math import atan, pi
from pathlib import Path

import pytest

from jiggen.geometry import Vector
from jiggen.job.model import Guard, Job, Rail, Ramp, Stair
from jiggen.job.read import decode, read_job
from jiggen.job.start import start
from jiggen.problems import JobError

JOBS = Path(__file__).parents[1] / "jobs"


def job(name: str) -> Job:
    return read_job(decode((JOBS / f"{name}.toml").read_bytes()))


def near(value: float) -> object:
    return pytest.approx(value, abs=1e-9)


def test_example_job_and_cable() -> None:
    example = job("example")
    assert (example.name, example.units, example.rules.name) == ("Larkspur boathouse deck", "in", "irc-2021")
    assert example.fall == near(2133.6)  # 7 ft x 304.8
    assert example.round_to == near(1.5875)  # 25.4 / 16
    assert (example.drills, example.alike) == (("fraction", "number"), 0.1)
    cable = example.cable
    assert (cable.diameter, cable.strand.name, cable.frame) == (near(3.175), "1x19", "wood")  # 25.4 / 8
    assert cable.tension == near(1000.8498634336125)  # 225 x 4.4482216152605
    assert cable.install_temperature == near(291.48333333333335)  # (65 + 459.67) x 5 / 9
    assert cable.coldest == near(255.3722222222222)  # 459.67 x 5 / 9
    assert cable.hottest == near(322.0388888888889)  # (120 + 459.67) x 5 / 9
    assert (cable.loss, cable.hang_weight) == (0.15, near(49.03325))  # 5 x 9.80665
    assert cable.spools == (30480.0, 76200.0, 152400.0)  # 100, 250, 500 x 304.8
    assert (cable.clearance, cable.trim, cable.side_force) == (near(2.38125), 0.0, None)  # 3 x 25.4 / 32


def test_example_guard_and_runs() -> None:
    first, second, third = job("example").runs
    rail = Rail(38.1, 88.9)  # 1.5 and 3.5 x 25.4
    guard = Guard(914.4, "left", "deck", 0.0, rail, rail, 63.5, 76.2, None, None, "side", "side")  # 36, 2.5, 3 in
    assert first.guard == second.guard == guard
    assert third.guard == replace(guard, bottom_gap=12.7)  # the run's own 1/2 in
    assert [run.id for run in (first, second, third)] == ["A", "B", "C"]
    assert [run.posts for run in (first, second, third)] == [
        ("1", "2", "3"),
        ("3", "4", "5"),
        ("5", "6", "7"),
    ]
    assert (first.measured, first.lengths) == ("spans", (1473.2, 1473.2))  # 58 x 25.4
    assert second.lengths == (1016.0, 1016.0)  # 40 x 25.4
    assert third.lengths == (1066.8, 1066.8)  # 42 x 25.4
    assert (first.turn, second.turn, third.turn) == (None, near(pi / 2), None)
    assert first.spacers is not None
    assert (first.spacers.kind, first.spacers.each) == ("bar", 1)
    assert third.ground == Stair(184.15, 266.7, 25.4, True, False, 101.6, None)  # 7.25, 10.5, 1, 4 in
    assert {(run.start, run.finish) for run in (first, second, third)} == {("stud", "plate")}


def test_example_posts_and_hardware() -> None:
    example = job("example")
    stands = example.stands
    assert (stands.line, stands.end, stands.corner, stands.transition) == (
        "cedar",
        "timber",
        "timber",
        "timber",
    )
    widths = {name: (kind.along, kind.across) for name, kind in example.kinds.items()}
    assert widths == {  # 3.5, 5.5, 5; 0.25 and 1, all x 25.4
        "cedar": (88.9, 88.9),
        "timber": (139.7, 139.7),
        "sleeved": (127.0, 127.0),
        "bar": (6.35, 25.4),
    }
    assert example.kinds["cedar"].material.gravity == 0.36  # western cedars, NDS Table 12.3.3A
    assert (example.kinds["sleeved"].wall, example.kinds["sleeved"].core) == (near(3.81), near(88.9))
    assert example.kinds["bar"].fixed == ("top", "bottom")
    plate = example.fittings["plate"]
    assert plate.screws == ((0.0, 22.225), (0.0, -22.225))  # 7/8 x 25.4
    assert (plate.pivot, plate.setback, plate.travel) == ((25.4, 0.0), 82.55, 38.1)  # 1, 3.25, 1.5 in
    assert plate.takes_up == near(2.54)
    assert plate.screw is not None
    assert (plate.screw.kind, plate.screw.length, plate.measure_yours) == ("wood", 63.5, False)
    assert example.fittings["fixed plate"].measure_yours
    assert example.brackets["side"].screws == ((15.875, 22.225), (-15.875, 22.225))  # 5/8, 7/8 in


def test_example_rest() -> None:
    example = job("example")
    assert example.as_built["4"].underside == 873.125  # 34.375 x 25.4
    assert (example.sheet.paper, example.sheet.size) == ("letter", (215.9, 279.4))  # 8.5 x 11 in
    assert (example.sheet.margin, example.sheet.overlap) == (12.7, 9.525)
    assert (example.sheet.kind, example.sheet.datum) == ("wrap", "underside")
    assert example.jig is not None
    assert example.jig.thickness == near(5.9944)  # 0.236 x 25.4
    assert (example.jig.kerf, example.jig.bed) == (0.2, (600.0, 400.0))
    assert example.jig.stock == (1219.2, 609.6)  # 48, 24 x 25.4
    assert (example.min_web, example.min_edge) == (6.0, None)
    assert example.text.startswith("# A deck") and example.data["job"]["units"] == "in"
    assert example.notes == ()


def test_smallest_takes_inch_defaults() -> None:
    text = (JOBS / "smallest.toml").read_text()
    assert len(text.splitlines()) == 5
    small = read_job(text)
    (run,) = small.runs
    rail = Rail(38.1, 88.9)
    assert run.guard == Guard(None, "left", "deck", 0.0, rail, None, None, None, None, None, None, None)
    assert (run.id, run.start, run.finish) == ("A", "fixed plate", "take-up plate")
    assert {small.stands.line, small.stands.end, small.stands.corner, small.stands.transition} == {"cedar"}
    assert (small.units, small.drills, small.sheet.paper) == ("in", ("fraction", "number"), "letter")
    assert small.cable == job("example").cable
    assert (small.jig, small.fall, small.notes) == (None, None, ())
    assert not small.kinds["cedar"].material.known or small.kinds["cedar"].material.name == "softwood"


def test_metric_takes_metric_defaults() -> None:
    metric = job("metric")
    (run,) = metric.runs
    assert (metric.units, metric.drills, metric.round_to) == ("mm", ("metric",), 0.5)
    assert (run.measured, run.lengths) == ("clear", (1150.0, 1200.0))
    assert (run.guard.rail.depth, run.guard.rail.width) == (38.0, 89.0)
    cable = metric.cable
    assert (cable.diameter, cable.tension, cable.clearance) == (3.2, 1000.0, 2.4)
    temperatures = (cable.install_temperature, cable.coldest, cable.hottest)
    assert temperatures == (near(291.15), near(255.15), near(322.15))  # 18, -18, 49 + 273.15
    assert cable.spools == (30000.0, 75000.0, 150000.0)
    assert (metric.sheet.paper, metric.sheet.size) == ("a4", (210.0, 297.0))
    assert (metric.sheet.margin, metric.sheet.overlap) == (12.7, 9.5)
    tube = metric.kinds["tube"]
    assert (tube.shape, tube.along, tube.wall, tube.material.kind) == ("square", 50.0, 3.0, "metal")


def test_overrides() -> None:
    mixed = job("overrides")
    first, second = mixed.runs
    assert (first.guard.count, first.guard.spacing) == (11, None)  # count drops the guard's spacing
    assert (second.guard.count, second.guard.spacing) == (None, 70.0)
    assert (first.guard.mount, first.guard.out) == ("side", 60.0)
    assert (second.guard.mount, second.guard.out) == ("deck", 0.0)
    assert first.guard.bottom_rail == Rail(40.0, 89.0)  # as wide as the top rail
    assert second.guard.bottom_rail is None
    assert (first.guard.bottom_bracket, second.guard.bottom_bracket) == ("side plate", "low")
    assert (first.id, second.id, first.start) == ("A", "up", "pin")
    assert second.ground == Ramp(near(atan(1 / 12)), True)
    assert (second.turn, second.measured) == (near(-pi / 4), "slope")
    assert mixed.stands.only == {"2": "beam"}
    assert mixed.stands.transition == "beam"  # from corner, from end
    beam, pole = mixed.kinds["beam"], mixed.kinds["pole"]
    assert (beam.shape, beam.along, beam.across, beam.rotate) == ("rectangular", 88.9, 139.7, "bisect")
    assert (pole.shape, pole.along, pole.material.gravity) == ("round", 60.0, 0.52)
    assert pole.wires[0].drop == -20.0
    assert (mixed.cable.strand.name, mixed.cable.strand.breaking) == ("tight", {4.0: 9000.0})
    assert mixed.rules.triangle == 150.0
    assert mixed.as_built["3"].lean == (-3.0, 2.0)
    assert mixed.measured_spans == {"2": (1096.0, "clear")}


def test_a_kind_used_as_spacer_only_leaves_one_that_stands_everywhere() -> None:
    text = (JOBS / "smallest.toml").read_text()
    text += 'spacers = { kind = "bar" }\n[post.bar]\nshape = "rectangular"\nalong = 0.25\nacross = 1\n'
    small = read_job(text)
    assert (small.stands.line, small.stands.end) == ("cedar", "cedar")
    assert small.runs[0].spacers is not None
    assert small.runs[0].spacers.each == 1


def test_place_and_wires_of_a_run() -> None:
    text = (JOBS / "smallest.toml").read_text()
    text += 'at = ["1 ft", -2, 0]\nheading = "30 deg"\ngap_at_start = 3\n'
    text += 'wire = [{ drop = "-3/4 in", face = "toward 2", diameter = "3/8 in" }]\n'
    (run,) = read_job(text).runs
    assert run.at == Vector(304.8, -50.8, 0.0)
    assert (run.heading, run.gap_at_start) == (near(pi / 6), near(76.2))
    (wire,) = run.wires
    assert (wire.drop, wire.face, wire.diameter) == (
        near(-19.05),
        "toward 2",
        near(9.525),
    )


def test_stair_says_what_it_took() -> None:
    text = (JOBS / "smallest.toml").read_text() + 'stair = { rise = 7, going = 11, goes = "up" }\n'
    small = read_job(text)
    assert small.runs[0].ground == Stair(near(177.8), near(279.4), 25.4, False, True, near(101.6))
    assert [note.where for note in small.notes] == ["run[0].stair"]
    assert '"' not in small.notes[0].found and "4 in" in small.notes[0].found


def test_a_table_of_the_job_replaces_the_generic_one() -> None:
    text = (JOBS / "smallest.toml").read_text()
    text += '[fitting."fixed plate"]\noutline = [1, 1]\nbore = "1/4 in"\nsetback = 2\n'
    small = read_job(text)
    assert small.fittings["fixed plate"].setback == 50.8
    assert not small.fittings["fixed plate"].measure_yours
    assert small.fittings["take-up plate"].measure_yours


@pytest.mark.parametrize("metric", [False, True])
def test_start_reads(metric: bool) -> None:
    begun = read_job(start(metric))
    assert begun.units == ("mm" if metric else "in")
    assert [len(run.posts) for run in begun.runs] == [4, 2, 3]
    assert isinstance(begun.runs[2].ground, Stair)
    bracket = begun.brackets[begun.runs[0].guard.bracket or ""]
    assert bracket.measure_yours and bracket.screw.text == ("5 x 40 mm" if metric else "#10 x 1 1/2 in")
    assert "<" not in start(metric).replace("|<", "") and max(map(len, start(metric).splitlines())) <= 110


def test_bytes_become_text() -> None:
    assert decode(b"\xef\xbb\xbfa = '\xc3\xa9'") == "a = 'é'"
    with pytest.raises(JobError) as caught:
        decode(b"\xef\xbb\xbfab\xff", "porch.toml")
    (problem,) = caught.value.problems
    assert (problem.where, problem.found) == ("porch.toml, byte 5", "found byte 0xff, which is not UTF-8")


@pytest.mark.parametrize(
    ("text", "where", "found"),
    [
        ("a" * (4 * 1024 * 1024 + 1), "porch.toml", "found a file over 4 MB"),
        ("[[run]]\n" * 501, "run", "found 501 runs"),
        (f"[[run]]\nposts = [{'1,' * 100_000}]", "run", "found 100000 posts"),
        (f"[run]\nposts = [{'1,' * 20_001}]", "run", "found 20001 posts"),
        ("a = 1\nb = '\ud800'", "line 2, column 6", "found half a surrogate pair"),
    ],
)
def test_one_problem_where_no_more_can_be_said(text: str, where: str, found: str) -> None:
    with pytest.raises(JobError) as caught:
        read_job(text, "porch.toml")
    assert [(problem.where, problem.found) for problem in caught.value.problems] == [(where, found)]


def test_reads_quickly() -> None:
    text = (JOBS / "example.toml").read_text()
    read_job(text)
    times = []
    for _ in range(5):
        began = time.perf_counter()
        read_job(text)
        times.append(time.perf_counter() - began)
    assert min(times) < 0.02  # 3 ms measured, 10 ms wanted; twice that for a busy machine
