"""Tape fractions and screws as a job of inches or of millimetres reads them."""

from __future__ import annotations

import pytest
from jobs_made import Keys, job, run

from jiggen.handbook.screws import Screw
from jiggen.job.settings import units_of
from jiggen.problems import JobError

WIDE: Keys = {"timber": {"size": "4x4", "material": "douglas fir"}}


def near(value: float) -> object:
    return pytest.approx(value, abs=1e-9)


def spans(unit: str) -> Keys:
    """A run of one span, as long in either unit."""
    return run([1200 if unit == "mm" else 48])


@pytest.mark.parametrize(
    ("unit", "written", "told"),
    [
        ("in", "1/13 in", '"1/16 in"'),
        ("in", "1/3 in", '"1/16 in"'),
        ("in", "0.05 in", '"1/16 in"'),
        ("in", "1 mm", '"1/16 in"'),
        ("mm", "1/16 in", "tenths of a mm"),
        ("mm", 0.25, "tenths of a mm"),
    ],
)
def test_readings_are_rounded_to_what_a_tape_has(unit: str, written: str | float, told: str) -> None:
    with pytest.raises(JobError) as caught:
        job(spans(unit), job={"units": unit, "round_to": written}, post=WIDE)
    (problem,) = caught.value.problems
    assert problem.where == "job.round_to" and "on no tape" in problem.found and told in problem.remedy


@pytest.mark.parametrize(
    ("unit", "written"), [("in", "1/32 in"), ("in", 0.5), ("in", "1/64 in"), ("mm", 2), ("mm", 0.1)]
)
def test_steps_of_a_tape_are_taken(unit: str, written: str | float) -> None:
    job(spans(unit), job={"units": unit, "round_to": written}, post=WIDE)


def screw_of(unit: str, written: str) -> Screw:
    """The screw of a fitting as a job of these units reads it."""
    fitting = {"outline": ["1 in", "2 in"], "screws": [["0 in", "0 in"]], "screw": written, "setback": "2 in"}
    found = job(spans(unit), job={"units": unit}, post=WIDE, fitting={"own": fitting}).fittings["own"].screw
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("unit", "written", "size", "long"),
    [
        ("in", "10 x 2", "#10", 50.8),  # 2 x 25.4
        ("in", "10 x 2 1/2 in", "#10", 63.5),  # 2.5 x 25.4
        ("in", "5 x 60 mm", "5 mm", 60.0),
        ("in", "#10 x 2", "#10", 50.8),
        ("in", "M6 x 40", "M6", 40.0),
        ("mm", "5 x 60", "5 mm", 60.0),
        ("mm", "#10 x 2", "#10", 50.8),
        ("mm", "1/4-20 x 1", "1/4-20", 25.4),
    ],
)
def test_bare_numbers_of_a_screw_are_in_the_job_s_units(unit: str, written: str, size: str, long: float) -> None:
    screw = screw_of(unit, written)
    assert (screw.size, screw.length) == (size, near(long))


@pytest.mark.parametrize(
    ("unit", "written"), [("mm", "10 x 2"), ("mm", "10 x 2 in"), ("in", "4.5 x 60"), ("in", "#10 x 60")]
)
def test_a_screw_that_cannot_be_meant_is_told(unit: str, written: str) -> None:
    with pytest.raises(JobError) as caught:
        screw_of(unit, written)
    (problem,) = caught.value.problems
    assert problem.where == "fitting.own.screw" and problem.remedy.startswith("write ")


def test_a_screw_shorter_than_its_flange_is_told() -> None:
    fitting = {"outline": [30, 60], "flange": 8, "screws": [[0, 0]], "screw": "M6 x 8 mm", "setback": 50}
    with pytest.raises(JobError) as caught:
        job(run([1200]), fitting={"own": fitting})
    (problem,) = caught.value.problems
    assert problem.where == "fitting.own.screw" and "flange" in problem.found


@pytest.mark.parametrize(
    ("said", "code", "length", "unit", "by_code"),
    [("inches", "adk-2013", "36 in", "in", "mm"), ("metric", "irc-2021", "1070 mm", "mm", "in")],
)
def test_a_unit_that_is_none_is_that_of_most_lengths(
    said: str, code: str, length: str, unit: str, by_code: str
) -> None:
    """A metric file under an inch code and the other way round; where nothing is said the code decides as before."""
    rest = {"guard": {"height": length, "rail": {"depth": length}}, "run": [{"spans": [length, "1 in", "1 mm"]}]}
    assert units_of({"job": {"units": said, "code": code}, **rest}) == unit
    assert units_of({"job": {"code": code}, **rest}) == by_code
