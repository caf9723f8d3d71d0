"""Bores through line posts and end fittings, raked and skewed, against closed formulas."""

from __future__ import annotations

from math import acos, cos, degrees, radians, sin, tan
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_made import Keys, between, centres, face, marks, of_level, only_run, plan, ramp, run, slope_of, stair

FEW = settings(max_examples=30)
KINDS = {"line": "line", "end": "end"}


def near(value: float, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def kinds(width: float, turned: float = 0.0, end_turned: float = 0.0, end: float = 140.0) -> Keys:
    """A line post ``width`` deep and an end post ``end`` deep, each turned by degrees."""
    return {
        "posts": KINDS,
        "post": {
            "line": {
                "shape": "rectangular",
                "along": width,
                "across": 2 * width,
                "rotate": f"{turned!r} deg",
                "material": "douglas fir",
            },
            "end": {"width": end, "rotate": f"{end_turned!r} deg", "material": "douglas fir"},
        },
    }


grounds = st.one_of(
    st.builds(ramp, between(0.5, 29.5), st.sampled_from(["up", "down"])).map(lambda found: {"ramp": found}),
    st.builds(stair, between(120, 210), between(220, 350), st.just(120.0), st.sampled_from(["up", "down"])).map(
        lambda found: {"stair": {**found}, "bottom_gap": 10}
    ),
)


def sign(ground: Keys) -> int:
    return 1 if (ground.get("ramp") or ground["stair"])["goes"] == "up" else -1


@FEW
@given(ground=grounds, width=between(40, 160), turned=between(-38, 38))
def test_bore_through_a_raked_and_skewed_post(ground: Keys, width: float, turned: float) -> None:
    made = plan(
        run([1500, 1500], count=9, height=1000, start="fixed swivel", finish="fixed swivel", **ground),
        **kinds(width, turned),
    )
    line, t, a = only_run(made), slope_of(ground) * sign(ground), radians(turned)
    near_face, far_face = face(made, "2", "1"), face(made, "2", "3")
    entries, exits = marks(near_face, "cable"), marks(far_face, "cable")
    assert len(entries) == len(exits) == len(line.drops) == 9
    for entry, leaves, drop in zip(entries, exits, line.drops, strict=True):
        # the far face is w / cos a further on along the run, level
        assert leaves.v - entry.v == near(width * tan(t) / cos(a))
        # w tan a sideways: each face sees half of it, both to the same hand as they look opposite ways
        assert entry.u == near(-width / 2 * tan(a))
        assert leaves.u == near(-width / 2 * tan(a))
        assert (entry.drop, leaves.drop) == (near(drop), near(drop))  # in each face's own plane
        assert (entry.depth, leaves.depth) == (near(width / (cos(t) * cos(a))), near(width / (cos(t) * cos(a))))
        assert entry.axis == near_axis(cos(t) * sin(a), sin(t), cos(t) * cos(a))
        assert leaves.axis == near_axis(cos(t) * sin(a), -sin(t), cos(t) * cos(a))
        d = entry.diameter
        assert entry.oval == (near(d), near(d / (cos(t) * cos(a))))


def near_axis(*parts: float) -> Any:
    return pytest.approx(parts, abs=1e-9)


def test_axes_on_an_upward_run() -> None:
    """rise 3 on going 4: cos t = 0.8, sin t = 0.6."""
    made = plan(run([1600, 1600], stair=stair(210, 280), bottom_gap=10, count=8), **kinds(100.0))
    towards_previous, towards_next = marks(face(made, "2", "1"), "cable"), marks(face(made, "2", "3"), "cable")
    assert towards_previous[0].axis == near_axis(0, 0.6, 0.8)
    assert towards_next[0].axis == near_axis(0, -0.6, 0.8)
    assert towards_next[0].v - towards_previous[0].v == near(75.0)  # 100 x 3 / 4
    assert towards_next[0].depth == near(125.0)  # 100 / 0.8


def test_oval_of_an_oblique_cut() -> None:
    """A cylinder cut at 0.904556894284 rad is an ellipse whose axes are 0.618033988764 to 1 (cos t)."""
    t = 0.904556894284
    made = plan(
        run([1500, 1500], ramp=ramp(29.5), count=8, start="fixed swivel", finish="fixed swivel"),
        **kinds(60.0, degrees(_turn_for(t, radians(29.5)))),
    )
    wide, long = marks(face(made, "2", "1"), "cable")[0].oval
    assert wide / long == near(0.618033988764, 1e-9)


def _turn_for(whole: float, rake: float) -> float:
    """The turn in plan that makes rake and turn together ``whole``: cos whole = cos rake x cos turn."""
    return acos(cos(whole) / cos(rake))


@FEW
@given(ground=grounds, width=between(60, 160))
def test_bore_of_a_round_post_goes_through_its_middle(ground: Keys, width: float) -> None:
    post = {"pole": {"shape": "round", "diameter": width, "material": "douglas fir"}}
    made = plan(run([1500, 1500], count=8, start="fixed stud", finish="fixed stud", **ground), post=post)
    t = slope_of(ground) * sign(ground)
    for entry, leaves in zip(marks(face(made, "2", "1"), "cable"), marks(face(made, "2", "3"), "cable"), strict=True):
        assert (entry.u, leaves.u) == (near(0), near(0))
        assert leaves.v - entry.v == near(width * tan(t))
        assert entry.depth == near(width / cos(t))
        assert entry.axis == near_axis(0, sin(t), cos(t))


def pivoting(pivot: Any, swivels: str = "any") -> Keys:
    return {
        "pin": {
            "outline": [30, 60],
            "flange": 3,
            "screws": [[0, 20], [0, -20]],
            "screw": "#14 x 2 1/2 in",
            "setback": 300,
            "swivels": swivels,
            "pivot": pivot,
        }
    }


PINS = {"start": "pin", "finish": "pin"}


def test_pivot_at_forty_degrees() -> None:
    """A pivot 1 in out on 40 degrees: 25.4 x tan 40 = 25.4 x 0.8390996 = 21.313 mm, up at the low end, down at the high."""
    going = 250.0
    made = plan(
        run([1500, 1500], stair=stair(going * tan(radians(40)), going), bottom_gap=10, spacing=75, count=8, **PINS),
        fitting=pivoting(25.4),
    )
    drop = 75 / cos(radians(40))  # 97.905
    assert centres(face(made, "1", "2"))[0][1] == near(97.9055 - 21.3131, 1e-3)
    assert centres(face(made, "3", "2"))[0][1] == near(97.9055 + 21.3131, 1e-3)
    assert drop == near(97.9055, 1e-3)


@FEW
@given(ground=grounds, out=between(0, 80), up=between(-20, 20), width=between(70, 160))
def test_pivot_moves_the_pattern_by_p_times_m(ground: Keys, out: float, up: float, width: float) -> None:
    made = plan(run([1500, 1500], count=8, **PINS, **ground), fitting=pivoting([out, up]), **kinds(80.0, end=width))
    m = tan(slope_of(ground)) * sign(ground)
    for post, neighbour, slope in (("1", "2", m), ("3", "2", -m)):
        for (u, found, _), drop in zip(centres(face(made, post, neighbour)), only_run(made).drops, strict=True):
            assert u == near(0)
            # the pivot is p m over the line's place in the face; the pattern's centre is `up` below the pivot
            assert found == near(drop - out * slope + up)


@FEW
@given(ground=grounds, out=between(0, 60), turned=between(-35, 35))
def test_pivot_on_a_skewed_face(ground: Keys, out: float, turned: float) -> None:
    made = plan(
        run([1500, 1500], count=8, **PINS, **ground), fitting=pivoting(out), **kinds(80.0, end_turned=turned, end=140.0)
    )
    a, m = radians(turned), tan(slope_of(ground)) * sign(ground)
    line = only_run(made)
    for post, neighbour, slope in (("1", "2", m), ("3", "2", -m)):
        seen = face(made, post, neighbour)
        base = made.post_by_id[post].prism.base
        x = line.along(base)
        for (u, _, v), drop in zip(centres(seen), line.drops, strict=True):
            # carried square onto the face from where the line crosses the plane p outside it
            assert u == near(-(70.0 + out) * tan(a))
            # from the post's axis to that plane the line goes (w/2 + p) / cos a, level
            at_axis = line.underside(x) - drop - base.z
            assert v == near(at_axis + (70.0 + out) / cos(a) * slope)


@FEW
@given(ground=grounds, turned=between(-35, 35))
def test_rigid_fitting_sits_where_the_line_meets_the_face(ground: Keys, turned: float) -> None:
    made = plan(
        run([1500, 1500], count=8, start="rigid plate", finish="rigid plate", **ground),
        **kinds(80.0, end_turned=turned),
    )
    for (u, found, _), drop in zip(centres(face(made, "1", "2")), only_run(made).drops, strict=True):
        assert u == near(-70.0 * tan(radians(turned)))
        assert found == near(drop)


@pytest.mark.parametrize("turned", [12.0, -12.0])
def test_up_down_swivel_on_a_skewed_face_is_a_stop(turned: float) -> None:
    made = plan(run([1500, 1500], count=8, **PINS), fitting=pivoting(20, "up-down"), **kinds(80.0, end_turned=turned))
    stops = [problem for problem in of_level(made.problems, "stop") if "swivels" in problem.found]
    assert {problem.where for problem in stops} == {"1/toward 2", "3/toward 2"}
    assert all("swivels any way" in problem.remedy for problem in stops)
    free = plan(run([1500, 1500], count=8, **PINS), fitting=pivoting(20, "any"), **kinds(80.0, end_turned=turned))
    assert not [problem for problem in free.problems if "swivels" in problem.found]


def test_rigid_fitting_on_a_rake_is_told() -> None:
    rigid = {"start": "rigid plate", "finish": "fixed stud"}
    made = plan(run([1500, 1500], count=8, ramp=ramp(10.0), **rigid))
    told = [problem.where for problem in of_level(made.problems, "stop") if "rigid" in problem.found]
    assert told == ["1/toward 2"]  # the stud is bored along its cable


def test_screws_go_in_square_and_studs_at_the_rake() -> None:
    made = plan(run([1500, 1500], count=8, ramp=ramp(10.0), start="fixed plate", finish="fixed stud"))
    assert {mark.axis for mark in marks(face(made, "1", "2"), "screw")} == {(0.0, 0.0, 1.0)}
    t = radians(10)
    for mark in marks(face(made, "3", "2"), "cable"):
        assert mark.axis == near_axis(0, sin(t), cos(t))  # the upper end: into the post is upward
        assert mark.depth == near(63.5)  # 2 1/2 in
