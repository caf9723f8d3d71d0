"""Marks of two runs on one sheet bear the run's name, once and everywhere; of one run, or of cables led on, they do not."""

from __future__ import annotations

from jobs_made import run, text

from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.plan.model import Plan
from jiggen.plan.words import whole_label


def wrapped(**then: object) -> Plan:
    """Posts 1 2 3, a square turn at 3, posts 3 4; every post's marks on one sheet that is wrapped."""
    second = run([900], 3, turn="left 90 deg", **then)
    return make_plan(read_job(text([run([1000, 1000]), second], sheet={"kind": "wrap"})))


def test_two_runs_on_a_sheet_are_told_apart() -> None:
    post = wrapped().post_by_id["3"]
    screws = [[mark for mark in face.marks if mark.purpose == "screw"] for face in post.faces if face.marks]
    assert len(screws) == 2 and min(map(len, screws)) > 3
    first, second = ([mark.label for mark in marks] for marks in screws)
    assert first[:3] == ["A1a", "A1b", "A2a"] and second[:3] == ["B1a", "B1b", "B2a"]  # a plate of two screws a cable


def test_no_label_stands_twice_on_the_sheet_and_what_points_to_a_mark_finds_it() -> None:
    made = wrapped()
    for group in made.groups:
        every = [mark for name in group.strip for mark in made.face_by_id[name].marks]
        if len({mark.run for mark in every}) > 1:
            assert all(mark.label.startswith(mark.run) for mark in every)
    ids = {mark.id for post in made.posts for face in post.faces for mark in face.marks}
    ties = [
        tie for post in made.posts for face in post.faces for mark in face.marks for tie in (mark.other, mark.meets)
    ]
    assert set(ties) - {""} <= ids
    assert all(f"{m.post}/{m.face}/{m.label}" == m.id for p in made.posts for f in p.faces for m in f.marks)


def test_a_line_post_and_cables_that_are_led_on_keep_the_plain_numbers() -> None:
    made = wrapped()
    assert {m.label for f in made.post_by_id["2"].faces for m in f.marks if m.purpose == "cable"} >= {"1", "2", "3"}
    led = wrapped(led_on=True)
    assert {m.label for f in led.post_by_id["3"].faces for m in f.marks if m.purpose == "cable"} >= {"1", "2", "3"}


def test_a_name_that_cannot_be_read_in_two_ways() -> None:
    assert whole_label("C", "7a") == "C7a"
    assert whole_label("level1", "7a") == "level1#7a"  # level17a would read as cable 17 of a run named level
    assert whole_label("C", "B2") == "C-B2"  # CB2 would read as cable 2 of a run named CB
