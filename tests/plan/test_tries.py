"""What a plan took to make, in marks, and what remedies may plan again."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from jobs_made import LUG, plan, run

from jiggen.plan.make import plan_again
from jiggen.plan.tries import MOST, Tries


def test_marks_are_counted_as_often_as_they_were_laid_out() -> None:
    """Three cables with two screws at each end: 12 marks, laid out once."""
    was = plan(run([700], count=3, height=900, start="lug", finish="lug"), fitting={"lug": LUG})
    assert sum(len(face.marks) for post in was.posts for face in post.faces) == 12
    assert was.laid == 12


def test_a_stagger_that_is_worked_out_counts_its_holes_and_their_pairs() -> None:
    """Two runs of three cables at a corner: 4 x 6 = 24 marks, laid out for the stagger and as they then are, 48. The six
    screws of each at the corner are held against each other: 36 pairs, 16 as a mark: 2 more."""
    runs: list[dict[str, Any]] = [
        run([700], count=3, height=900, start="lug", finish="lug"),
        run([700], 2, count=3, height=900, start="lug", finish="lug", turn="left 90 deg", stagger="auto"),
    ]
    was = plan(runs, fitting={"lug": LUG})
    assert was.laid == 2 * 24 + 2


def test_planned_again_is_taken_off_and_shared() -> None:
    was = plan(run([700], count=3, height=900, start="lug", finish="lug"), fitting={"lug": LUG})
    tries = Tries()
    again = plan_again(was.job, tries)
    assert again.tries is tries and tries.marks == MOST - 12
    bare = replace(was, takeoff=replace(was.takeoff, buying=None))  # nobody buys spools for a trial
    assert again == bare and again != was  # what may be planned again is no part of it


def test_asked_in_vain_is_remembered() -> None:
    tries = Tries(5)
    assert tries.left() and not tries.short
    tries.marks -= 5
    assert not tries.left() and tries.short
