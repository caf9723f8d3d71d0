"""Flanges over an edge, grommets askew in a wall, screws that reach a cable inside a tube: each by its sum."""

from __future__ import annotations

from math import atan, cos, hypot, sqrt, tan
from typing import Any

import pytest
from jobs_made import LUG, TUBE, Keys, of_level, plan, run, stair
from keys_written import planned, written

from jiggen.plan.clashes import bodies, web_of
from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import findings


def level_run(post: Keys, **keys: Any) -> Plan:
    """Three posts, eight cables, pieces 30 mm wide."""
    return plan(
        run([900, 900], count=8, height=900, start="lug", finish="lug", **keys),
        post={"tube": {"material": "steel", "wall": 3, **post}},
        fitting={"lug": LUG},
    )


def seats(found: Plan, words: str) -> list[Problem]:
    return [problem for problem in found.problems if words in problem.found]


@pytest.mark.parametrize(
    ("post", "over"),
    [
        ({"width": 30}, 0.0),
        ({"width": 29}, 0.5),  # (30 - 29) / 2
        ({"width": 38, "radius": 4}, 0.0),  # flat over 38 - 2 x 4 = 30
        ({"width": 37, "radius": 4}, 0.5),
        ({"width": 28, "radius": 1.5}, 2.5),  # 15 - (14 - 1.5)
    ],
)
def test_a_flange_over_the_edge_or_an_eased_corner(post: Keys, over: float) -> None:
    told = seats(level_run(post), " of its face, which is flat over ")
    if not over:
        assert told == []
        return
    (problem,) = told  # both ends stand on one kind
    assert problem.level == "check" and problem.where == "post.tube"
    assert f"stands {over:.1f} mm over the {'eased corner' if 'radius' in post else 'edge'}" in problem.found
    flat, wide = 30.0 - 2.0 * over, 30.0 + 2.0 * post.get("radius", 0.0)
    assert f"use a piece {flat:.1f} mm wide at most or a face {wide:.1f} mm wide at least" in problem.remedy
    assert not seats(level_run({**post, "width": wide}), "flat over")
    assert seats(level_run({**post, "width": wide - 0.2}), "flat over")


def test_a_flange_beside_the_middle_of_a_turned_face() -> None:
    """12 degrees: the pivot 20 out of a face 30 from the axis lies (30 + 20) tan 12 = 10.6 mm aside; with half of 30 mm
    25.6, the face ends at 30: nothing. Of a tube of 40: (20 + 20) tan 12 + 15 - 20 = 3.5 mm over."""
    assert not seats(level_run({"width": 60, "rotate": "12 deg"}), "flat over")
    told = seats(level_run({"width": 40, "rotate": "12 deg"}), "flat over")
    assert [problem.where for problem in told] == ["1/toward 2", "3/toward 2"]
    over = 40 * tan(12 * 3.14159265 / 180) + 15 - 20
    for problem in told:
        assert f"stands {over:.1f} mm over the edge" in problem.found and "nearer to square" in problem.remedy


def on_stair(post: Keys) -> Plan:
    return level_run({"width": 50, **post}, stair=stair(180, 260))


def test_a_grommet_must_be_open_for_a_cable_that_slants() -> None:
    """tan f = 180/260; a cable of 3.2 takes 3.2 / cos f = 3.89 and leaves a wall of 3 by 3 tan f = 2.08 further: 6.0."""
    needed = 3.2 * hypot(180, 260) / 260 + 3 * 180 / 260
    (problem,) = seats(on_stair({"grommet": 9}), "grommet")
    assert problem.level == "check" and problem.where == "post.tube"
    assert f"must be open over {needed:.1f} mm at least" in problem.found and needed == pytest.approx(5.97, abs=0.01)
    # without it: one round hole for a slot, 3.2 + 2.4 clearance + (needed - 3.2), next drill up
    (bare,) = {mark.diameter for face in on_stair({}).post_by_id["2"].faces for mark in face.marks}
    assert bare >= 3.2 + 2.4 + needed - 3.2 > bare - 0.2
    assert f"a hole of {bare:.1f} mm is then marked" in problem.remedy


def test_a_grommet_that_the_cable_cannot_pass() -> None:
    """Through 5 mm: 3.89 + 5 x 0.692 = 7.35 of height, more than the whole grommet of 7; 7.5 would be more."""
    (problem,) = seats(on_stair({"grommet": 7, "wall": 5}), "grommet")
    assert problem.level == "stop" and "takes 7.4 mm of height" in problem.found
    (check,) = seats(on_stair({"grommet": 7.5, "wall": 5}), "grommet")
    assert check.level == "check"
    assert not seats(level_run({"width": 50, "grommet": 7, "wall": 5}), "grommet")  # level: nothing slants


def tee(screw: str, lower: float) -> Plan:
    """Run A passes post 2, run B ends on its side with screws 12 mm over and under each cable, B ``lower`` than A."""
    runs = [
        run([900, 900], count=8, height=900, start="lug", finish="lug"),
        {
            "posts": ["2", "9"],
            "spans": [900],
            "turn": "left 90 deg",
            "count": 8,
            "height": 900,
            "start": "side",
            "finish": "lug",
            "stagger": lower,
        },
    ]
    side = {**LUG, "screws": [[0, 12], [0, -12]], "screw": screw}
    return plan(runs, post={"tube": TUBE}, fitting={"lug": LUG, "side": side}, cable={"tension": "3000 N"})


@pytest.mark.parametrize(("long", "lower"), [(20, 12.0), (25, 12.0), (30, 12.0), (40, 12.0), (40, 0.0), (40, 3.0)])
def test_screws_that_reach_a_cable_inside_a_tube(long: int, lower: float) -> None:
    """The face is 30 mm from the cable, the tip 30 - (long - 3) from it; over it by |lower - 12|. Between them stay 3 of
    the screw's radius and that of the cable's hole, 3.2 + 2.4: 5.6 mm."""
    found = tee(f"M6 x {long} mm", lower)
    hole = {mark.diameter for face in found.post_by_id["2"].faces for mark in face.marks if mark.purpose == "cable"}
    tip, high = max(30.0 - (long - 3), 0.0), abs(lower - 12.0)
    room = hypot(tip, high) - 3.0 - max(hole) / 2.0
    told = seats(found, "is the least")
    assert bool(told) == (room < 6.0), room
    for problem in told:
        number = problem.found.removeprefix("they run ").partition(" mm")[0]
        assert float(number) == pytest.approx(abs(room), abs=0.051)
        assert "of room between them" in problem.found or "into each other" in problem.found


def test_a_shorter_screw_cures_it() -> None:
    """M6 x 25 reaches 22 mm, 2.2 are left; 6 mm want a screw of 21.2 at most, 20 is sold."""
    was = tee("M6 x 25 mm", 12.0)
    (problem,) = [one for one in of_level(findings(was), "stop") if "is the least" in one.found]
    (cure,) = [one for one in problem.cures if one.words == "use screws 20 mm long in side"]
    assert not seats(planned(written(dict(was.job.data), cure)), "is the least")


def test_the_way_inside_is_the_cable() -> None:
    """On a stair the way inside runs along the cable itself, wall to wall, and is no wider than the hole across."""
    found = on_stair({"width": 50})
    post, line = found.post_by_id["2"], found.runs[0]
    inside = [body for body in bodies(post) if (body.capsule.end.minus(body.capsule.start)).length() > 10.0]
    assert len(inside) == 8
    rake = atan(180 / 260)
    for number, body in enumerate(inside):
        cable = line.line(line.drops[number])
        for end in (body.capsule.start, body.capsule.end):
            off = end.minus(cable.point)
            away = sqrt(max(off.dot(off) - off.dot(cable.direction) ** 2, 0.0))
            assert away == pytest.approx(3 / 2 * tan(rake) * cos(rake), abs=1e-6)  # marked in the wall's middle
        assert 2.0 * body.capsule.radius < 6.0  # 5.6, next drill; not the 8.4 of the round hole that stands for a slot
    first, second = inside[:2]
    spacing = line.drops[1] - line.drops[0]
    ends = (first.capsule.end.minus(first.capsule.start)).unit()
    wanted = spacing * hypot(ends.x, ends.y) - 2.0 * first.capsule.radius
    assert web_of(first.capsule, second.capsule) == pytest.approx(wanted, abs=1e-6)


def test_a_solid_post_has_one_body_a_bore() -> None:
    solid = plan(run([900, 900], count=8, height=900), post={"post": {"width": 89, "material": "redwood"}})
    assert len(bodies(solid.post_by_id["2"])) == 8
    sleeved = plan(run([900, 900], count=8, height=900), post={"post": {"width": 100, "wall": 4, "core": 89}})
    assert len(bodies(sleeved.post_by_id["2"])) == 8


@pytest.mark.parametrize(("gap", "told"), [(45.3, True), (45.5, False)])
def test_a_hole_with_no_room_for_a_chuck_is_told(gap: float, told: bool) -> None:
    """The cable's middle is 1.6 over the gap, the lowest screw 21.6 under that: 25.4 are left at a gap of 45.4."""
    piece = {**LUG, "outline": [30, 60], "screws": [[0, 13], [0, -21.6]], "pivot": None}
    piece = {key: value for key, value in piece.items() if value is not None and key != "swivels"}
    keys = {"bottom_rail": False, "bottom_gap": gap, "height": 1000, "start": "piece", "finish": "piece"}
    found = plan(run([1000], **keys), fitting={"piece": piece}).problems
    assert any("a drill's chuck has no room" in problem.found for problem in found) is told
