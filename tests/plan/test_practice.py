"""The practice piece holds every kind of hole that the job drills, and no kind that it does not."""

from __future__ import annotations

import pytest
from packet_pages import DRAWN, planned

from jiggen.plan.model import Mark, Plan


def kinds(marks: list[Mark]) -> set[tuple[str, str, float, str, bool]]:
    """What is drilled, by purpose: drill, diameter, thread, whether it is filed to a slot."""
    return {(m.purpose, m.drill.name, m.diameter, m.tap, m.slotted > 0.0) for m in marks}


def practice(plan: Plan) -> list[Mark]:
    (sample,) = [one for one in plan.samples if one.group.kind == "practice"]
    return list(sample.face.marks)


@pytest.mark.parametrize("name", DRAWN)
def test_every_kind_of_hole_is_practised(name: str) -> None:
    plan, _ = planned(name)
    drilled = [m for post in plan.posts for f in post.faces if f.name.startswith("toward") for m in f.marks]
    assert kinds(practice(plan)) == kinds([m for m in drilled if m.purpose != "wire"])


def test_a_tapped_wall_and_a_wooden_post_are_both_there() -> None:
    """demo_all: its lug on a metal tube is tapped 1/4-20, the other fittings' screws go into wood."""
    plan, _ = planned("demo_all")
    screws = [mark for mark in practice(plan) if mark.purpose == "screw"]
    assert {mark.tap for mark in screws} == {"1/4-20", ""}


def test_a_job_with_one_hole_has_two_of_it() -> None:
    """So that the distance between two can be tried: the example bores 7/32 in alone."""
    plan, _ = planned("example")
    bores = [mark for mark in practice(plan) if mark.purpose == "cable"]
    assert len(bores) == 2 and len({mark.drill.name for mark in bores}) == 1
