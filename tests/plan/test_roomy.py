"""A spacing left open: the largest that stays shut under load and leaves the end fittings room."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_made import Keys, only_run, plan, run

from jiggen.plan.model import Plan
from jiggen.review import review

PLATE: Keys = {"flange": 3, "screw": "#14 x 2 1/2 in", "pivot": 25, "swivels": "any", "setback": 50, "travel": 38}


def made(high: float, height: float = 900, step: str = "0.5 mm", pull: float = 2000, **keys: Any) -> Plan:
    """One span of 900 with end plates ``high`` mm tall on it."""
    screws = [[0, high / 2 - 12], [0, 12 - high / 2]]
    plate = {**PLATE, "outline": [30, high], "screws": screws}
    own = {"height": height, "start": "plate", "finish": "plate", **keys}
    head = {"round_to": step, "fall": "3 m"}
    return plan(run([900], **own), fitting={"plate": plate}, cable={"tension": pull}, job=head)


def in_the_way(found: Plan) -> bool:
    return any(
        "overlap" in p.found or "of wood between" in p.found or "into each other" in p.found for p in found.problems
    )


def opens(found: Plan) -> bool:
    return any("clear, a sphere" in p.found or "gives to" in p.found for p in review(found))


def over_the_floor(found: Plan) -> bool:
    faces = [face for post in found.posts for face in post.faces]
    return all(o.v - o.up / 2 >= -1e-6 for face in faces for o in face.outlines)


def note(found: Plan) -> str:
    (told,) = [p.found for p in found.problems if "spacing left open" in p.found]
    return told


def test_equal_openings_where_they_have_room() -> None:
    """Nine cables in 862: (862 - 9 x 3.2) / 10 + 3.2 = 86.52; plates of 86 stand beside each other."""
    found = made(86)
    assert only_run(found).spacing == pytest.approx((862 - 28.8) / 10 + 3.2)
    assert not in_the_way(found) and "taken" not in note(found)


def test_wider_where_they_have_not() -> None:
    """Plates of 90 overlap at 86.52, and 92.5 passes under load. Nine at s leave 862 - 9 s under the last cable's centre, and
    its plate ends 45 under it: s at most 817 / 9 = 90.78, in steps of 0.5 that is 90.5."""
    found = made(90)
    line = only_run(found)
    assert (line.spacing, len(line.drops)) == (pytest.approx(90.5), 9)
    assert line.drops[0] == pytest.approx(90.5)
    assert line.openings[-1] == pytest.approx(862 - 9 * 90.5 - 1.6)
    assert not in_the_way(found) and not opens(found) and over_the_floor(found)
    assert "allows 92.5 mm; taken 90.5 mm, as equal openings under it leave the end fittings no room" in note(found)


def test_no_room_at_any_spacing_is_told_as_it_is() -> None:
    """Plates of 100 are taller than the 92.5 that stay shut: equal openings, and the overlap is told."""
    found = made(100)
    assert only_run(found).spacing == pytest.approx((862 - 28.8) / 10 + 3.2)
    assert in_the_way(found) and "taken" not in note(found)


def test_what_the_job_says_is_not_changed() -> None:
    assert in_the_way(made(90, spacing=80)) and in_the_way(made(90, count=9))


@settings(max_examples=12)
@given(high=st.integers(70, 105), height=st.integers(900, 1100), pull=st.sampled_from([1200, 2000, 4000]))
def test_no_spacing_in_range_avoids_a_stop_that_is_left(high: int, height: int, pull: int) -> None:
    """In steps of 2.5 mm: where plates are still in the way, every spacing above the equal one is tried by itself."""
    found = made(high, height, "2.5 mm", pull)
    if not in_the_way(found):
        return
    spacing = only_run(found).spacing
    for steps in range(int(spacing / 2.5) + 1, 42):  # up to 102.5, over which the sphere of 101.6 passes at rest
        other = made(high, height, "2.5 mm", pull, spacing=steps * 2.5)
        assert in_the_way(other) or opens(other) or not over_the_floor(other), steps * 2.5


def test_no_spacing_of_nothing_is_tried_where_the_first_cable_hangs_too_low() -> None:
    """First at 600, a bottom rail 250 deep and 50 up: 876 - 250 - 50 leaves less than a first cable; it is told, not raised."""
    made = plan(run([1000], first=600, height=914.4, rail={"depth": 38}, bottom_rail={"depth": 250}, bottom_gap=50))
    assert [problem for problem in made.problems if problem.level == "stop"]
