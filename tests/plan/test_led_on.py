"""Cables that are led on round the post that two runs end at: bores, clashes, what is left of the pull, what to cut and buy."""

from __future__ import annotations

from math import cos, exp, pi, radians, sin
from typing import Any

import pytest
from jobs_made import LUG, SWIVEL, TUBE, Keys, face, job, marks, plan, ramp, run, stair, text

from jiggen.geometry import Vector
from jiggen.job.read import read_job
from jiggen.mechanics.opening import loaded_opening
from jiggen.plan.clashes import bodies
from jiggen.plan.document import document
from jiggen.plan.make import make_plan
from jiggen.plan.model import Mark, Plan
from jiggen.plan.report import report
from jiggen.problems import JobError, Problem

HOLE = 5.6  # 3.2 mm cable and 2.4 mm clearance; the next drill of the metric set is that very size
EA = 130_000.0 * 0.760 * pi * 3.2**2 / 4.0
ROUND_90 = exp(-0.2 * pi / 2.0)  # 0.7304 of the pull is left
PLATE: Keys = {"outline": [30, 60], "flange": 3, "screws": [[0, 20]], "screw": "#14 x 2 1/2 in", "setback": 50}
ENDS: Keys = {"hook": {**PLATE, "pivot": 25, "swivels": "any"}, "turn": {**PLATE, "setback": 80, "travel": 38}}


def corner(turn: str = "left 90 deg", first: Keys | None = None, then: Keys | None = None, **tables: Any) -> Plan:
    """Posts 1 2 3, a turn at 3, posts 3 4: the cables of run A go on in run B."""
    a = {**run([1000, 1000]), "spacing": 80, **(first or {})}
    return plan([a, run([900], 3, turn=turn, led_on=True, **(then or {}))], **tables)


def place(made: Plan, mark: Mark) -> Vector:
    """Where the hole begins, in the world."""
    return made.face_by_id[f"{mark.post}/{mark.face}"].frame.world(mark.u, mark.v)


def bottom(made: Plan, mark: Mark, less: float) -> Vector:
    """The middle of a bore's end, ``less`` mm before it."""
    where = made.face_by_id[f"{mark.post}/{mark.face}"]
    inward = where.frame.normal_at(mark.u).times(-1.0)
    right = inward.cross(where.frame.up)
    way = right.times(mark.axis.x).plus(where.frame.up.times(mark.axis.y)).plus(inward.times(mark.axis.z))
    return place(made, mark).plus(way.times(mark.depth - less))


def found(made: Plan, where: str, level: str) -> list[Problem]:
    return [problem for problem in made.problems if problem.where == where and problem.level == level]


def test_bores_of_a_solid_post_meet_in_its_middle() -> None:
    made = corner()
    for number, (one, other) in enumerate(
        zip(marks(face(made, "3", "2"), "cable"), marks(face(made, "3", "4"), "cable"), strict=True), 1
    ):
        assert (one.u, one.drop, other.u, other.drop) == (0, pytest.approx(80 * number), 0, pytest.approx(80 * number))
        assert one.depth == other.depth == pytest.approx(89 / 2 + HOLE / 2)  # to the middle and half a hole: 47.3
        assert one.diameter == HOLE and not one.through
        assert one.meets == other.id and other.meets == one.id
        assert not marks(face(made, "3", "2"), "screw")


@pytest.mark.parametrize(
    ("turn", "then", "tables"),
    [
        ("left 90 deg", {}, {}),
        ("right 40 deg", {}, {"post": {"timber": {"width": 140, "material": "douglas fir", "rotate": "bisect"}}}),
        ("left 20 deg", {"stair": stair(180, 280, 120, "down"), "bottom_gap": 15}, {}),
        ("left 0 deg", {"ramp": ramp(6)}, {}),
        ("right 70 deg", {}, {"as_built": {"3": {"lean": [5, -4]}, "4": {"underside": 860}}}),
        ("left 90 deg", {}, {"as_built": {"3": {"underside": {"A": 870, "B": 861}, "lean": [-3, 2]}}}),
        ("right 30 deg", {}, {"post": {"pole": {"shape": "round", "diameter": 120, "material": "douglas fir"}}}),
    ],
)
def test_bores_meet_where_the_legs_do(turn: str, then: Keys, tables: Keys) -> None:
    """Each bore's end, less half a hole, is the one point of the post's axis that both cables' lines go through."""
    made = corner(turn, then=then, **tables)
    pairs = zip(marks(face(made, "3", "2"), "cable"), marks(face(made, "3", "4"), "cable"), strict=True)
    post = made.post_by_id["3"].prism
    for one, other in pairs:
        here, there = (bottom(made, mark, HOLE / 2) for mark in (one, other))
        assert here.minus(there).length() < 1e-6
        off = here.minus(post.base)
        assert off.minus(post.axis.times(off.dot(post.axis))).length() < 1e-6


def test_depth_of_bores_in_a_post_that_halves_the_turn() -> None:
    wide = {"timber": {"width": 140, "material": "douglas fir", "rotate": "bisect"}}
    made = corner("left 40 deg", post=wide)
    for toward in ("2", "4"):
        (mark, *_) = marks(face(made, "3", toward), "cable")
        assert mark.depth == pytest.approx(70 / cos(radians(20)) + HOLE / 2)  # 20 degrees off square: 74.49 + 2.8
        assert abs(mark.axis.x) == pytest.approx(sin(radians(20)))


def test_each_wall_of_a_tube_is_bored() -> None:
    made = corner(post={"tube": TUBE}, fitting={"lug": LUG}, first={"start": "lug"}, then={"finish": "lug"})
    one, other = (marks(face(made, "3", toward), "cable")[0] for toward in ("2", "4"))
    assert (one.wall, one.depth, one.through) == (3, 3, True)
    inside = [body for body in bodies(made.post_by_id["3"]) if body.mark.id in (one.id, other.id)]
    # both walls, and the way across the inside from the middle of one face to that of the other: 30 mm along, 30 across
    way = max(inside, key=lambda body: body.capsule.end.minus(body.capsule.start).length())
    assert len(inside) == 3
    assert way.capsule.end.minus(way.capsule.start).length() == pytest.approx(30 * 2**0.5)
    assert not [problem for problem in made.problems if problem.level == "stop"]
    # a cable's bore through post 2 is one hole, as everywhere; at post 3 each wall's is one: 10 + 20
    assert sum(d.holes for d in made.takeoff.drills if d.drill == "5.6 mm") == 30


def test_bores_of_one_cable_may_meet_those_of_two_may_not() -> None:
    near = corner(first={"spacing": 12, "count": 2, "first": 80}, limits={"min_web": 7})
    clashes = [
        problem for problem in near.problems if "between them" in problem.found and problem.where.startswith("3/toward")
    ]
    named = {frozenset(part.rpartition("/")[2] for part in problem.where.split(" and ")) for problem in clashes}
    assert clashes and named == {frozenset({"1", "2"})}  # 12 - 5.6 = 6.4 mm left, 7 are the least
    assert not [problem for problem in corner().problems if "between them" in problem.found]


def test_wire_hole_is_held_against_both_bores() -> None:
    """It runs 8 mm over the first cable's, right through the post: 8 - 2 x 2.8 are left."""
    made = corner(first={"wire": {"drop": 72, "face": "toward 2", "diameter": 5.6}})
    clashes = [p for p in made.problems if "between them" in p.found and "3/toward 2/W1" in p.where]
    assert sorted(p.where.replace("3/toward 2/W1", "").strip(" and") for p in clashes) == [
        "3/toward 2/1",
        "3/toward 4/1",
    ]
    assert all("2.4 mm" in p.found for p in clashes)


def test_pull_behind_ninety_degrees_and_what_it_opens() -> None:
    made = corner(first={"start": "fixed swivel"}, then={"finish": "take-up swivel"})
    far, near = made.loads["A"], made.loads["B"]
    assert far.strung.tension == pytest.approx(1000 * ROUND_90) and near.strung.tension == pytest.approx(1000)
    assert far.strung.tension == pytest.approx(730.4, abs=0.05)
    assert far.strung.tightest == near.strung.tightest  # friction may be less than that
    total = 2000 + 900 - 2 * 44.5  # between the faces of posts 1 and 4
    assert far.strung.total == near.strung.total == pytest.approx(total)
    free = 1000 - 89
    size = loaded_opening(76.8, _give(free, 730.4026910, total), HOLE - 3.2, 2)
    assert far.loaded[1] == pytest.approx(size, abs=1e-6)
    lone = plan([run([1000, 1000, 900], spacing=80)], cable={"tension": f"{1000 * ROUND_90!r} N"})  # as long, 2811
    assert far.loaded == pytest.approx(lone.loads["A"].loaded)
    assert far.opens == pytest.approx(lone.loads["A"].opens) and far.go == pytest.approx(lone.loads["A"].go)


def _give(free: float, pull: float, total: float) -> float:
    """Deflection under 44 N at mid-span, by bisection of F = 2 T y / s."""
    low, high = 0.0, free
    for _ in range(200):
        y = (low + high) / 2.0
        s = ((free / 2.0) ** 2 + y * y) ** 0.5
        low, high = (y, high) if 2.0 * (pull + EA * (2.0 * s - free) / total) * y / s < 44.0 else (low, y)
    return low


def around(start: str, finish: str) -> Plan:
    """Three runs round a U: A, the middle B, C."""
    runs = [
        run([1000], 1, spacing=80, start=start),
        run([1200], 2, turn="left 90 deg", led_on=True),
        run([800], 3, turn="left 90 deg", led_on=True, finish=finish),
    ]
    return plan(runs)


@pytest.mark.parametrize(
    ("start", "finish", "bends"),
    [
        ("take-up plate", "take-up plate", (0, 1, 0)),  # both ends turn: the middle has one bend to either
        ("take-up plate", "fixed plate", (0, 1, 2)),
        ("fixed plate", "take-up plate", (2, 1, 0)),
        ("fixed plate", "fixed plate", (2, 1, 2)),  # nobody knows from which end: the lesser
    ],
)
def test_bends_between_a_leg_and_the_end_that_turns(start: str, finish: str, bends: tuple[int, ...]) -> None:
    made = around(start, finish)
    shares = [made.loads[name].strung.share for name in ("A", "B", "C")]
    assert shares == [pytest.approx(ROUND_90**bend) for bend in bends]
    assert {line.head for line in made.runs} == {"A"}
    assert [line.led.runs for line in made.runs if line.led] == [("A", "B", "C")] * 3


def test_one_cable_for_both_runs() -> None:
    made = corner(fitting=ENDS, first={"start": "hook"}, then={"finish": "turn"})
    # to the middle of post 3: 2000 - 44.5 - 50 and 900 - 44.5 - 80; the plates' pivots lie on the level line
    assert [cut.length for cut in made.takeoff.cables] == [pytest.approx(1905.5 + 775.5)] * 10
    assert {cut.run for cut in made.takeoff.cables} == {"A"}
    assert dict(made.takeoff.hardware) == {"hook": 10, "turn": 10, "#14 x 2 1/2 in": 20}
    assert [name for name, _ in made.takeoff.tension_order] == ["A"]
    holes = {d.drill: (d.holes, d.both) for d in made.takeoff.drills}
    assert holes["5.6 mm"] == (10 + 20, 10)  # post 2 right through, post 3 from each face
    a, b = made.takeoff.pulling
    assert (a.adjustable, a.fixed, a.spool, a.feed) == (("4",), ("1",), "4", "1")
    for pulling in (a, b):
        assert pulling.travel_asked == pytest.approx(1000 * 2811 / EA + 0.001 * 2811)
    assert sum(len(spool.cuts) for spool in made.takeoff.buying.spools) == 11 if made.takeoff.buying else False


def test_cables_keep_their_height_where_the_later_run_has_another_underside() -> None:
    made = corner(then={"height": 950})
    first, then = (line for line in made.runs)
    down = made.runs[1].height - made.runs[0].height
    assert [b - a for a, b in zip(first.drops, then.drops, strict=True)] == [pytest.approx(down)] * 10
    assert then.openings[0] == pytest.approx(first.openings[0] + down)


def test_open_spacing_is_that_of_the_run_with_the_least_pull() -> None:
    """Both runs alike but for the pull: the far one bounds what a job leaves open; alone it may be wider."""
    both = plan([run([1000]), run([1000], 2, turn="left 90 deg", led_on=True)])
    alone = plan([run([1000])])
    assert both.runs[0].spacing < alone.runs[0].spacing and both.runs[0].drops == both.runs[1].drops
    ends = {"start": "take-up plate"}, {"finish": "fixed plate"}
    near = plan([run([1000], **ends[0]), run([1000], 2, turn="left 90 deg", led_on=True, **ends[1])])
    assert near.runs[0].spacing == both.runs[0].spacing
    assert [p for p in near.problems if "run B, into which its cables are led on" in p.found]


def test_turns_that_are_sharp_and_bars_without_an_inside() -> None:
    assert [p.found.partition(" at it")[0] for p in found(corner(), "post 3", "check")] == ["cables turn 90.0 degrees"]
    for strand, sharp, gentle in (("1x19", 30, 29), ("7x7", 45, 44), ("7x19", 45, 44)):
        (check,) = found(corner(f"left {sharp} deg", cable={"strand": strand}), "post 3", "check")
        assert f"from {sharp}.0 degrees up" in check.found and strand in check.found
        assert not found(corner(f"left {gentle} deg", cable={"strand": strand}), "post 3", "check")
    flat = {"bar": {"shape": "rectangular", "along": 12, "across": 60, "material": "steel"}}
    (stop,) = found(corner("left 29 deg", post=flat), "post 3", "stop")
    assert "12.0 mm thick" in stop.found and "16.8 mm thick at least" in stop.remedy  # three holes of 5.6


A: Keys = run([1000, 1000], spacing=80)
B: Keys = run([900], 3, turn="left 90 deg", led_on=True)


@pytest.mark.parametrize(
    ("runs", "where", "said"),
    [
        ([{**A, "led_on": True}, run([900], 3)], "run[0].led_on", "first run"),
        ([A, {**run([900], 7), "led_on": True}], "run[1].led_on", "shares no post"),
        ([A, {**B, "posts": ["2", "9"]}], "run[1].led_on", "where one of them does not end"),
        ([A, {**B, "count": 8}], "run[1].count", "those of run A"),
        ([A, {**B, "spacing": 70}], "run[1].spacing", "those of run A"),
        ([A, {**B, "first": 60}], "run[1].first", "those of run A"),
        ([A, {**B, "stagger": "auto"}], "run[1].stagger", "those of run A"),
        ([A, {**B, "start": "fixed plate"}], "run[1].start", "led round"),
        ([{**A, "finish": "take-up plate"}, B], "run[0].finish", "led round"),
        ([A, {**B, "led_on": "yes"}], "run[1].led_on", "yes"),
    ],
)
def test_what_cannot_be_led_on(runs: list[Keys], where: str, said: str) -> None:
    with pytest.raises(JobError) as told:
        read_job(text(runs))
    (problem,) = [problem for problem in told.value.problems if problem.where == where]
    assert said in problem.found and problem.remedy


def test_later_run_that_ends_at_the_shared_post() -> None:
    """Run B comes in to post 1, where run A starts: one cable from B's first post over 1 to A's last."""
    made = plan([run([1000], spacing=80), {"posts": ["8", "1"], "spans": [700], "turn": "left 90 deg", "led_on": True}])
    assert made.runs[0].led is not None and made.runs[0].led.runs == ("A", "B")
    assert made.runs[0].led.posts == ("2", "8") and made.runs[0].led.bends[0].angle == pytest.approx(pi / 2)
    one, other = (marks(face(made, "1", toward), "cable")[0] for toward in ("2", "8"))
    assert one.meets == other.id


def test_what_is_told_of_led_cables() -> None:
    made = corner()
    data = document(made)
    a, b = data["runs"]
    assert (a["pull_left"], b["pull_left"]) == (0.7304, 1.0) and b["cables_of"] == "A"
    assert a["bends"] == [{"post": "3", "degrees": 90.0}] and a["tension_n"] == pytest.approx(730.4027)
    (bend,) = data["takeoff"]["bends"]  # capstan equation, friction 0.2: e^(-0.2 pi / 2) = 0.7304
    assert (bend["post"], bend["degrees"]) == ("3", 90.0) and bend["left_share"] == pytest.approx(0.7304, abs=1e-4)
    words = " ".join(" ".join(report(made, [])).split())
    assert "it is measured to the post's middle" in words
    assert "run A, behind post 3: 73 % of the pull is left, 730 N" in words
    # each cable pulls post 3 to the inside of the turn with 2 T sin 45: 1357.57 x 1.41421 x 10 cables
    assert "19199 N on post 3 towards the inside of its turn" in words


def test_job_without_the_key_is_as_it_was() -> None:
    runs = [run([1000], spacing=80, **SWIVEL), run([900], 2, turn="left 90 deg", spacing=80, **SWIVEL)]
    made = make_plan(job(runs))
    assert all(line.led is None for line in made.runs)
    assert not [mark for post in made.posts for where in post.faces for mark in where.marks if mark.meets]
