"""Remedies at a post: every turn, stagger and screw that is told is written into the job, planned again and judged."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from jobs_made import LUG, Keys, between, of_level, plan, run
from keys_written import planned, written

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import findings
from jiggen.review.signs import sign

PIN: Keys = {**LUG, "swivels": "up-down"}


def corner(degrees: float, post: Keys, first: str = "lug", second: str = "lug", **keys: Any) -> Plan:
    """Two runs that end on post 2, the second turned to the left (or right, where negative)."""
    hand = "left" if degrees >= 0 else "right"
    runs = [
        run([1200], count=9, height=900, start="lug", finish=first),
        run([1200], 2, count=9, height=900, start=second, finish="lug", turn=f"{hand} {abs(degrees)!r} deg", **keys),
    ]
    return plan(runs, post={"tube": {"material": "steel", **post}}, fitting={"lug": LUG, "pin": PIN})


def stops(found: Plan) -> list[Problem]:
    return of_level(findings(found), "stop")


def turns(problem: Problem) -> list[Any]:
    return [cure for cure in problem.cures if "turn " in cure.words]


def held_to(was: Plan) -> int:
    """Writes every cure of every stop into the job: the stop is gone, none has come. How many there were."""
    before = {sign(was, problem) for problem in stops(was)}
    count = 0
    for problem in stops(was):
        for cure in problem.cures:
            assert cure.words in problem.remedy
            again = planned(written(dict(was.job.data), cure))
            after = {sign(again, one) for one in stops(again)}
            assert sign(was, problem) not in after, (problem, cure)
            assert after <= before, (after - before, cure)
            count += 1
    return count


@settings(max_examples=20, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(
    degrees=between(15, 135),
    right=st.booleans(),
    width=between(38, 110),
    wall=st.sampled_from([None, 3.0]),
    first=st.sampled_from(["lug", "pin", "fixed stud"]),
    second=st.sampled_from(["lug", "pin", "fixed stud"]),
)
def test_every_remedy_that_is_told_cures_and_adds_no_stop(
    degrees: float, right: bool, width: float, wall: float | None, first: str, second: str
) -> None:
    post: Keys = {"width": width} if wall is None else {"width": width, "wall": wall}
    held_to(corner(-degrees if right else degrees, post, first, second))


@pytest.mark.parametrize(
    ("degrees", "rotate"),
    [
        # the second run leaves the nearest face of a square post by 60 - 90 = -30 and 120 - 90 = 30: half of it each
        (60.0, "-15 deg"),
        (-60.0, "15 deg"),
        (120.0, "15 deg"),
        (-120.0, "-15 deg"),
        # 45 or 135 - 90 = 45: half of it each; 22.5 - 90 = -67.5 is the same for a square post, and is not told
        (-45.0, "-22.5 deg"),
        (45.0, "22.5 deg"),
        (135.0, "22.5 deg"),
    ],
)
def test_the_turn_that_is_told_is_the_middle_of_the_two_faces(degrees: float, rotate: str) -> None:
    """50 mm, screws in the line (25 + 20) tan 30 = 26 mm beside the middle: over the edge; (25 + 20) tan 15 = 12.1 is
    not. By half the corner, 30 degrees, both runs would leave as skewed as the one did."""
    was = corner(degrees, {"width": 50, "wall": 3})
    told = [problem for problem in stops(was) if turns(problem)]
    assert told
    for problem in told:
        (cure,) = turns(problem)
        assert f'rotate = "{rotate}"' in cure.words and "bisect" not in problem.remedy
    assert held_to(was)


def test_one_post_is_turned_and_its_kind_is_left_alone() -> None:
    was = corner(60, {"width": 50, "wall": 3})
    cure = next(cure for problem in stops(was) for cure in turns(problem))
    assert dict(cure.keys) == {
        'post."tube at 2"': '{ material = "steel", width = 50, wall = 3, rotate = "-15 deg" }',
        "posts.only.2": '"tube at 2"',
        "posts.line": '"tube"',
    }
    again = planned(written(dict(was.job.data), cure))
    assert {post.id: post.kind.rotate for post in again.posts if post.id != "2"} == {"1": None, "3": None}
    assert not stops(again)


def test_a_kind_that_stands_once_is_turned_itself() -> None:
    runs = [
        run([1200], count=9, height=900, start="lug", finish="lug"),
        run([1200], 2, count=9, height=900, start="lug", finish="lug", turn="left 60 deg"),
    ]
    kinds = {name: {"material": "steel", "width": 50, "wall": 3} for name in ("tube", "turned")}
    was = plan(runs, post=kinds, posts={"line": "tube", "corner": "turned"}, fitting={"lug": LUG})
    cure = next(cure for problem in stops(was) for cure in turns(problem))
    assert cure.keys == (("post.turned.rotate", '"-15 deg"'),)
    assert held_to(was)


def test_two_fittings_that_swivel_up_and_down_only_have_no_turn() -> None:
    """60 degrees: no square post has faces square to both runs."""
    was = corner(60, {"width": 110, "wall": 3}, "pin", "pin")
    told = [problem for problem in stops(was) if "swivels up and down only" in problem.found]
    assert told
    for problem in told:
        assert not turns(problem)
        assert "no turn of the post cures it" in problem.remedy and "swivels any way" in problem.remedy


def test_one_that_swivels_up_and_down_gets_its_face_square() -> None:
    """The first run's fitting swivels any way: the post is turned by the whole skew, -30 degrees, and (55 + 20) tan 30 =
    43.3 mm leaves 11.7 to the edge, 9 are the least for M6."""
    was = corner(60, {"width": 110, "wall": 3}, "lug", "pin")
    (problem,) = [problem for problem in stops(was) if "swivels up and down only" in problem.found]
    (cure,) = turns(problem)
    assert 'rotate = "-30 deg"' in cure.words
    assert held_to(was)


def test_an_end_post_that_was_turned_in_vain_is_turned_back() -> None:
    """Both ends stand on the turned kind; 12 degrees back is square again."""
    was = plan(
        run([1200], count=9, height=900, start="pin", finish="pin"),
        post={"tube": {"material": "steel", "width": 60, "wall": 3, "rotate": "12 deg"}},
        fitting={"pin": PIN},
    )
    told = [cure for problem in stops(was) for cure in turns(problem)]
    assert len(told) == 2 and all('rotate = "0 deg"' in cure.words for cure in told)
    assert held_to(was) == 2


@pytest.mark.parametrize("degrees", [90.0, -90.0, 75.0])
def test_screws_that_meet_in_a_corner_are_parted_by_a_stagger(degrees: float) -> None:
    """47 mm of M6 from two faces of a tube of 60: they cross in the middle."""
    runs = [
        run([1200], count=9, height=900, start="lug", finish="long"),
        run([1200], 2, count=9, height=900, start="long", finish="lug", turn=f"left {abs(degrees)!r} deg"),
    ]
    post = {"tube": {"material": "steel", "width": 60, "wall": 3}}
    was = plan(runs, post=post, fitting={"lug": LUG, "long": {**LUG, "screw": "M6 x 50 mm"}})
    clashes = [problem for problem in stops(was) if "is the least" in problem.found]
    assert clashes
    for problem in clashes:
        assert any('stagger = "auto" in run B' in cure.words for cure in problem.cures)
        assert "two posts at the corner" in problem.remedy
    assert held_to(was)


def test_shorter_screws_are_told_where_they_do() -> None:
    """35 mm less a flange of 3 from two faces of 60: 32 + 32 reach past the middle, 16 mm apart by their sizes."""
    runs = [
        run([1200], count=9, height=900, start="lug", finish="long"),
        run([1200], 2, count=9, height=900, start="long", finish="lug", turn="left 90 deg"),
    ]
    post = {"tube": {"material": "steel", "width": 60, "wall": 3}}
    was = plan(runs, post=post, fitting={"lug": LUG, "long": {**LUG, "screw": "M6 x 35 mm"}})
    clashes = [problem for problem in stops(was) if "is the least" in problem.found]
    assert clashes
    told = [cure for problem in clashes for cure in problem.cures if cure.words.startswith("use screws")]
    assert told and all(key == "fitting.long.screw" for cure in told for key, _ in cure.keys)
    assert held_to(was)


def test_both_faces_of_a_post_are_told_one_remedy_and_its_width_holds() -> None:
    """60 mm and 60 degrees: at -15 the screws 14 mm beside the middle come (25 + 20) tan 15 = 12.1 mm further, 3.9 mm
    from the edge; 9 are the least for M6. The width that is told holds, 10 mm less does not."""
    wide = {**LUG, "screws": [[14, 0], [-14, 0]]}

    def made(width: float, **turned: Any) -> Plan:
        runs = [
            run([1200], count=9, height=900, start="lug", finish="lug"),
            run([1200], 2, count=9, height=900, start="lug", finish="lug", turn="left 60 deg"),
        ]
        kinds = {name: {"material": "steel", "width": 90, "wall": 3} for name in ("tube",)}
        kinds["corner"] = {"material": "steel", "width": width, "wall": 3, **turned}
        return plan(runs, post=kinds, posts={"line": "tube", "corner": "corner"}, fitting={"lug": wide})

    was = made(60, rotate="-15 deg")
    assert len(stops(was)) == 2
    (keys,) = {problem.cures[0].keys for problem in stops(was)}
    ((path, value),) = keys
    assert path == "post.corner.width"
    width = float(value.strip('"').removesuffix(" mm"))
    assert not stops(made(width, rotate="-15 deg"))
    assert stops(made(width - 10, rotate="-15 deg"))
    assert held_to(was) == 2


def test_nothing_that_leaves_an_opening_open_is_told_to_part_plates() -> None:
    """The first cable is 150 down, some 148 clear, and 100 is the limit: 64 between cables would part the
    plates and leave that one open. With the first at 60 the spacing is told."""
    open_too = [
        one for one in stops(plan(run([1200], spacing=60, first=150, height=900))) if " overlap by " in one.found
    ]
    assert open_too
    assert all(not one.cures and one.remedy.startswith("use a smaller piece (no spacing") for one in open_too)
    shut = [one for one in stops(plan(run([1200], spacing=60, height=900))) if " overlap by " in one.found]
    assert all(one.cures for one in shut)


def test_plates_that_overlap_are_parted_by_what_opens_nothing() -> None:
    """Plates 63.5 mm up at a spacing of 60: 64 would part them."""
    was = plan(run([1200], spacing=60, height=900))
    told = [problem for problem in stops(was) if " overlap by " in problem.found]
    assert told
    for problem in told:
        (cure,) = problem.cures
        again = planned(written(dict(was.job.data), cure))
        assert not [one for one in stops(again) if " overlap by " in one.found]
        assert not [one for one in findings(again) if " gives to " in one.found]
