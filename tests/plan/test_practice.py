"""The practice piece holds every kind of hole that the job drills, and no kind that it does not."""

from __future__ import annotations

from math import asin, degrees

import pytest
from jobs_made import job, plan, ramp, run
from packet_pages import DRAWN, planned

from jiggen.build import survey
from jiggen.drawing.scene import Text
from jiggen.plan.model import Mark, Plan


def kinds(marks: list[Mark]) -> set[tuple[str, str, float, str, bool]]:
    """What is drilled, by purpose: drill, diameter, thread, whether it is filed to a slot."""
    return {(m.purpose, m.drill.name, m.diameter, m.tap, m.slotted > 0.0) for m in marks}


def practice(made: Plan) -> list[Mark]:
    (sample,) = [one for one in made.samples if one.group.kind == "practice"]
    return list(sample.face.marks)


@pytest.mark.parametrize("name", DRAWN)
def test_every_kind_of_hole_is_practised(name: str) -> None:
    made, _ = planned(name)
    drilled = [m for post in made.posts for f in post.faces if f.name.startswith("toward") for m in f.marks]
    assert kinds(practice(made)) == kinds([m for m in drilled if m.purpose != "wire"])


def test_a_tapped_wall_and_a_wooden_post_are_both_there() -> None:
    """demo_all: its lug on a metal tube is tapped 1/4-20, the other fittings' screws go into wood."""
    made, _ = planned("demo_all")
    screws = [mark for mark in practice(made) if mark.purpose == "screw"]
    assert {mark.tap for mark in screws} == {"1/4-20", ""}


def test_a_job_with_one_hole_has_two_of_it() -> None:
    """So that the distance between two can be tried: the example bores 7/32 in alone."""
    made, _ = planned("example")
    bores = [mark for mark in practice(made) if mark.purpose == "cable"]
    assert len(bores) == 2 and len({mark.drill.name for mark in bores}) == 1


def test_a_bore_at_the_rake_is_practised_at_its_steepest() -> None:
    """A level run, a ramp of 12 degrees up and one of 30 down: one square hole and one at 30 degrees, of one drill."""
    runs = [
        run([900, 900], 1, count=6, height=900),
        run([900, 900], 3, count=6, height=900, ramp=ramp(12)),
        run([900, 900], 5, count=6, height=900, ramp=ramp(30, "down")),
    ]
    made = plan(runs, post={"timber": {"width": 89, "material": "douglas fir"}})
    bores = [mark for mark in practice(made) if mark.purpose == "cable"]
    assert sorted(round(degrees(asin(abs(mark.axis.y))), 6) for mark in bores) == [0.0, 30.0]


def test_the_practice_sheet_tells_where_a_slanting_hole_comes_out_and_has_its_gauge() -> None:
    """89 mm of wood at 30 degrees: 89 tan 30 = 51.4 mm."""
    found = survey(job(run([900, 900], count=6, height=900, ramp=ramp(30)), post={"timber": {"width": 89}}))
    (sheet,) = [one.sheet for one in found.samples if one.group.kind == "practice"]
    words = " ".join(shape.text.strip() for shape in sheet.drawing.shapes if isinstance(shape, Text))
    assert "out of an offcut 89.0 mm thick it must come 51.4 mm" in words
    assert "ANGLE GAUGE, BORE UP 30.0°: CUT OUT" in words
    assert "its upright edge flat on the post" in words and "upside down for the other" in words
    assert "BORE DOWN 30.0°" in words or "BORE UP 30.0°" in words
