"""Swaps at a post: each that is told has keys, holds when written into the job, and none is told that the plan refuses."""

from __future__ import annotations

from typing import Any

import pytest
from jobs_made import LUG, TUBE, Keys, of_level, plan, run
from keys_written import planned, written

from jiggen.job.read import read_job
from jiggen.plan import tries
from jiggen.plan.clashes import bodies
from jiggen.plan.make import make_plan
from jiggen.plan.model import Plan
from jiggen.plan.rescrewed import rescrewed, screw_stops
from jiggen.problems import Problem
from jiggen.review import findings
from jiggen.review.signs import sign

PIN: Keys = {**LUG, "swivels": "up-down"}
WOOD: Keys = {**LUG, "screw": "#10 x 50 mm"}


def stops(found: Plan) -> list[Problem]:
    return of_level(findings(found), "stop")


def held_to(was: Plan) -> int:
    """Writes every cure of every stop into the job: the stop is gone, none has come. How many there were."""
    before, count = {sign(was, problem) for problem in stops(was)}, 0
    for problem in stops(was):
        for cure in problem.cures:
            assert cure.words in problem.remedy
            again = planned(written(dict(was.job.data), cure))
            after = {sign(again, one) for one in stops(again)}
            assert sign(was, problem) not in after and after <= before, (problem, cure)
            count += 1
    return count


def corner(degrees: float, post: Keys, fitting: Keys, **first: Any) -> Plan:
    runs = [
        run([1200], count=9, height=900, start="piece", finish="piece", **first),
        run([1200], 2, count=9, height=900, start="piece", finish="piece", turn=f"left {degrees!r} deg"),
    ]
    return plan(runs, post={"tube": post}, fitting={"piece": fitting})


def test_swivels_are_keys() -> None:
    """60 degrees on a square post: no face is square to both runs, so both fittings must swivel any way."""
    was = corner(60, {**TUBE, "width": 110}, PIN)
    (problem,) = stops(was)
    (cure,) = problem.cures
    assert [path for path, _ in cure.keys] == [
        'fitting."piece that swivels any way"',
        "run[0].finish",
        "run[1].start",
    ]
    assert held_to(was) == 1


def test_a_width_is_a_key_and_a_size_by_its_trade_name_gives_way() -> None:
    """Screws 18 mm beside the middle and, at -15 degrees, (w/2 + 20) tan 15 further: 9 mm of edge are left where
    w/2 >= 18 + 0.268 (w/2 + 20) + 9, w/2 >= 44.2: 90 mm, in steps of 10."""
    wide = {**LUG, "outline": [50, 40], "screws": [[18, 0], [-18, 0]]}
    was = corner(60, {"material": "steel", "size": "60x60x3 mm tube"}, wide)
    (problem,) = stops(was)
    (cure,) = problem.cures
    assert dict(cure.keys)['post."tube at 2"'] == (
        '{ material = "steel", rotate = "-15 deg", width = "90 mm", wall = "3 mm" }'
    )
    assert held_to(was) == 1


def test_a_wider_pipe_is_told_with_its_diameter() -> None:
    was = corner(
        60, {"material": "steel", "shape": "round", "diameter": 48.3, "wall": 3}, {**LUG, "screw": "M6 x 30 mm"}
    )
    (problem,) = stops(was)
    first = next(cure for cure in problem.cures if "diameter" in cure.words)
    assert first.keys[0][0] == 'post."tube at 2"'
    assert held_to(was) == 3  # a width, a stagger, screws


@pytest.mark.parametrize("width", [38, 50, 60, 90])
@pytest.mark.parametrize("degrees", [30.0, 60.0, 90.0, 135.0])
def test_no_width_is_told_without_its_figure(width: int, degrees: float) -> None:
    for screw in ("M6 x 16 mm", "M6 x 40 mm"):
        was = corner(degrees, {"material": "steel", "width": width}, {**LUG, "screw": screw})
        for problem in stops(was):
            assert "a wider post" not in problem.remedy and "narrower" not in problem.remedy
        held_to(was)


def test_how_much_narrower_a_pattern_has_to_be() -> None:
    """40 mm, screws 14 beside the middle: 6 mm to the edge, 1.5 x 6 = 9 are the least: 3 nearer to the middle."""
    was = plan(
        run([1200], count=9, height=900, start="piece", finish="piece"),
        post={"tube": {**TUBE, "width": 40}},
        fitting={"piece": {**LUG, "screws": [[14, 0], [-14, 0]]}},
    )
    told = stops(was)
    assert len(told) == 2
    for problem in told:
        assert "use a piece whose screws lie 3.0 mm nearer to its middle" in problem.remedy
    assert held_to(was) == 2  # the widths: 14 + 9 = 23 either side, 50 mm


CASES: dict[str, tuple[Keys, Keys, Keys, str]] = {
    # post, fitting, the run's keys, the remedy whole
    "reaches the far wall": (TUBE, {**LUG, "screw": "M6 x 70 mm"}, {}, "use screws 50 mm long in piece"),  # 57 + 3 - 6 = 54
    "comes out": ({"width": 60, "material": "redwood"}, {**LUG, "screw": "#10 x 80 mm"}, {}, "use screws 50 mm long in piece"),
    "no room for a nut": (TUBE, {**LUG, "screw": "bolt M6 x 60 mm"}, {}, "use bolts 80 mm long in piece"),  # 60 + 3 + 6 + 2 = 71: 70, 80 are sold
    "near the top": (  # 4 x 4.83 = 19.3 mm from the top to a screw 13 over the cable
        {"width": 89, "material": "redwood"},
        WOOD,
        {"first": 20, "spacing": 70, "rail": {"depth": 38, "width": 89, "sits": "over"}},
        "bring the first cable down to 32.5 mm under the rail",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_another_length_or_place_is_a_key(name: str) -> None:
    post, fitting, keys, words = CASES[name]
    keys = {"height": 900, **(keys or {"count": 9})}
    was = plan(run([1200], start="piece", finish="piece", **keys), post={"post": post}, fitting={"piece": fitting})
    told = stops(was)
    assert told and {problem.remedy for problem in told} == {words}
    assert held_to(was) == len(told)


def test_a_bracket_over_the_first_fitting_has_its_cable_lower() -> None:
    """The bracket reaches 50 mm under the rail, the fitting 20 over its cable: 70."""
    low = {"outline": [40, 60], "screws": [[10, -20], [-10, -20]], "screw": "#10 x 30 mm", "flange": 3}
    was = plan(
        run([1200], spacing=76, height=900, first=40, start="piece", finish="piece", bracket="low"),
        post={"post": {"width": 89, "material": "douglas fir"}},
        fitting={"piece": WOOD},
        bracket={"low": low},
    )
    told = stops(was)
    assert [problem.cures[0].keys for problem in told] == [(("run[0].first", '"70 mm"'),)] * 2
    assert held_to(was) == 2


def test_a_piece_for_metal_is_told_where_the_plan_takes_it() -> None:
    was = plan(run([1200], count=9, height=900, start="fixed plate", finish="fixed plate"), post={"tube": TUBE})
    told = [problem for problem in stops(was) if " is held by " in problem.found]
    assert {problem.remedy for problem in told} == {'use "fixed plate for metal"'}
    assert held_to(was) == 2


def test_a_piece_for_metal_is_not_told_where_it_would_come_out_at_the_back() -> None:
    """Its M6 x 20 less a flange of 3.2 reaches 16.8 mm into a tube of 16, whose far wall is 13 from the face."""
    was = plan(
        run([1200], count=9, height=900, start="fixed plate", finish="fixed plate"),
        post={"tube": {**TUBE, "width": 16}},
    )
    told = [problem for problem in stops(was) if " is held by " in problem.found]
    assert len(told) == 2
    for problem in told:
        assert "for metal" not in problem.remedy and not problem.cures
        assert "give a machine screw" in problem.remedy


def test_posts_beyond_the_most_say_that_they_were_not_planned_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Six corners of 60 degrees; a face has 6 marks. The first corner and its neighbours have 6 + 12 + 12 of them, planned
    as they are and turned: 60; the next ones 36, so 72. With 140 in all the third is begun at 132, the fourth not at 204."""
    monkeypatch.setattr(tries, "MOST", 140)
    monkeypatch.setattr(tries, "EACH", 0)
    runs = [run([700], count=3, height=900, start="piece", finish="piece")]
    runs += [
        run([700], number, count=3, height=900, start="piece", finish="piece", turn=f"{hand} 60 deg")
        for number, hand in zip(range(2, 8), ["left", "right"] * 3, strict=True)
    ]
    was = plan(runs, post={"tube": {**TUBE, "width": 50}}, fitting={"piece": LUG})
    told = [problem for problem in stops(was) if "edge" in problem.found]
    assert [problem.where[0] for problem in told] == ["2", "3", "4", "5", "6", "7"]
    assert all(problem.cures and "planned again" not in problem.remedy for problem in told[:3])
    assert all(
        not problem.cures and "(planned again once posts 2, 3 and 4 are mended)" in problem.remedy
        for problem in told[3:]
    )
    (note,) = [problem for problem in findings(was) if problem.where == "remedies"]
    assert note.level == "note" and "not planned again" in note.found


def test_remedies_of_openings_come_after_the_posts_and_are_then_told_without_keys(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A spacing of 120 passes a sphere of 4 in; with nothing to plan again the spacing that shuts it is told as before."""
    was = plan(run([900], spacing=120, height=900), job={"fall": "3 m"})
    (whole,) = [problem for problem in findings(was) if "clear, a sphere" in problem.found]
    assert any("spacing" in key for cure in whole.cures for key, _ in cure.keys)
    monkeypatch.setattr(tries, "MOST", 0)
    monkeypatch.setattr(tries, "EACH", 0)
    (bare,) = [problem for problem in findings(was) if "clear, a sphere" in problem.found]
    assert not bare.cures and bare.remedy.split(" at most")[0] == whole.remedy.split(" at most")[0]
    assert [problem.where for problem in findings(was)].count("remedies") == 1


def test_the_same_plan_is_told_the_same_again() -> None:
    """What one look planned again is not taken from the next."""
    was = corner(60.0, {**TUBE, "width": 50}, LUG)
    assert findings(was) == findings(was)
    assert all(problem.where != "remedies" for problem in findings(was))


def _weak(width: float, fitting: Keys, degrees: float, **later: Any) -> Plan:
    runs = [
        run([1200], count=9, height=900, start="piece", finish="piece"),
        run([1200], 2, count=9, height=900, start="piece", finish="piece", turn=f"left {degrees!r} deg", **later),
    ]
    post = {"post": {"width": width, "material": "western red cedar"}}
    return plan(runs, post=post, fitting={"piece": fitting}, cable={"tension": "1500 N"})


@pytest.mark.parametrize("width", [89.0, 140.0])
def test_screws_that_hold_are_told_only_where_they_meet_no_others(width: float) -> None:
    """At a corner longer screws run into those of the other run; a lag screw's edge is 1.5 of its own diameters."""
    was = _weak(width, {**WOOD, "screw": "#10 x 38 mm"}, 90.0, stagger="auto")
    told = [problem for problem in findings(was) if " for good, a cable pulls" in problem.found]
    assert told
    before = {sign(was, problem) for problem in stops(was)}
    for problem in told:
        for cure in problem.cures:
            again = planned(written(dict(was.job.data), cure))
            fresh = {sign(again, one) for one in stops(again)} - before
            assert not fresh, (cure, fresh)  # at none of the posts that have the fitting


def test_a_post_with_other_screws_is_the_post_of_the_job_with_them() -> None:
    """Bodies and stops of the post alone against those of the whole job planned again."""
    old, new = {**WOOD, "screw": "#10 x 38 mm"}, {**WOOD, "screw": "lag 1/4 x 80 mm"}
    was, again = _weak(89.0, old, 60.0), _weak(89.0, new, 60.0)
    piece = make_plan(read_job(again.job.text)).job.fittings["piece"]
    assert piece.screw is not None
    for post in was.posts:
        made, wanted = rescrewed(was.job, post, piece, piece.screw), again.post_by_id[post.id]
        assert [body.capsule for body in bodies(made)] == [body.capsule for body in bodies(wanted)]
        assert [m.drill for f in made.faces for m in f.marks] == [m.drill for f in wanted.faces for m in f.marks]
    mine = {sign(was, one) for one in screw_stops(was, rescrewed(was.job, was.post_by_id["2"], piece, piece.screw))}
    theirs = {sign(again, one) for one in again.problems if one.level == "stop"}
    assert mine == theirs and mine
    assert not list(screw_stops(was, was.post_by_id["2"]))


def test_wood_is_widened_to_what_is_sawn() -> None:
    """A 4x4 whose screws meet at a corner: 6x6 is told, 5 1/2 in, and no width between."""
    runs = [
        {"posts": ["1", "2"], "spans": ["44 in"], "count": 9, "start": "piece", "finish": "piece"},
        {
            "posts": ["2", "3"],
            "spans": ["44 in"],
            "count": 9,
            "start": "piece",
            "finish": "piece",
            "turn": "left 90 deg",
        },
    ]
    was = plan(
        runs,
        job={"units": "in"},
        post={"fir": {"size": "4x4", "material": "douglas fir"}},
        fitting={"piece": {**WOOD, **{key: f"{WOOD[key]} mm" for key in ("flange", "pivot", "setback", "travel")},
                           "outline": ["30 mm", "40 mm"], "screws": [["0 mm", "13 mm"], ["0 mm", "-13 mm"]]}},
    )  # fmt: skip
    (clash,) = [problem for problem in stops(was) if "is the least" in problem.found]
    wide = next(cure for cure in clash.cures if "widen" in cure.words)
    assert 'width = "5 1/2 in"' in wide.words
    assert held_to(was)


def test_longer_screws_at_one_post_meet_none_at_another_that_has_the_fitting() -> None:
    """The first post has room for any length, the corner has not: its screws of both runs lie at one height, and the fitting is
    the same. 38 mm reach 36 into 89 mm from each face, twice that runs into the other run's."""
    was = _weak(89.0, {**WOOD, "screw": "#10 x 38 mm"}, 90.0)
    assert not [problem for problem in stops(was) if "each other" in problem.found]
    (told,) = [one for one in findings(was) if one.where.startswith("1,") and " for good, a cable pulls" in one.found]
    assert told.cures == ()
    longer = plan(
        was.job.data["run"],
        post=was.job.data["post"],
        fitting={"piece": {**WOOD, "screw": "#10 x 75 mm"}},
        cable={"tension": "1500 N"},
    )
    assert [one for one in stops(longer) if one.where.startswith("2/")]  # so longer ones are none of the cures


LARGER: dict[str, tuple[Keys, str]] = {
    # 3 1/2 along, 1 1/2 across: of what is sawn, larger both ways, the first that cures it
    "2x4 on its edge": ({"shape": "rectangular", "along": "3 1/2 in", "across": "1 1/2 in"}, "across = "),
    # wood of 2 1/2 in a sleeve of 3 1/2: the next core sawn is 3 1/2, its sleeve 3 1/2 + 1 = 4 1/2
    "sleeved": ({"width": "3 1/2 in", "wall": "0.15 in", "core": "2 1/2 in"}, 'width = "4 1/2 in", core = "3 1/2 in"'),
}


@pytest.mark.parametrize("kind", LARGER)
def test_rectangular_and_sleeved_posts_are_widened_by_key(kind: str) -> None:
    keys, told = LARGER[kind]
    inch = {key: f"{WOOD[key]} mm" for key in ("flange", "pivot", "setback", "travel")}
    piece = {**WOOD, **inch, "outline": ["30 mm", "40 mm"], "screws": [["0 mm", "13 mm"], ["0 mm", "-13 mm"]]}
    ends = {"spans": ["44 in"], "count": 9, "start": "piece", "finish": "piece"}
    was = plan(
        [{"posts": ["1", "2"], **ends}, {"posts": ["2", "3"], **ends, "turn": "left 90 deg"}],
        job={"units": "in"},
        posts={"line": "fir", "end": "fir", "only": {"2": "own"}},
        post={"fir": {"size": "8x8", "material": "douglas fir"}, "own": {**keys, "material": "douglas fir"}},
        fitting={"piece": piece},
    )
    cures = [cure for problem in stops(was) for cure in problem.cures if "widen" in cure.words]
    assert cures and all(told in cure.words for cure in cures), [p.remedy for p in stops(was)]
    assert held_to(was)


def test_another_kind_of_fitting_is_told_by_its_name() -> None:
    """Plates of two screws 44.5 mm apart on cables 45 mm apart: each cable's lower screw lies on the next one's upper. A
    stud has one hole; nothing of the post helps."""
    was = plan(run([1000], count=6, spacing=45, height=900, start="fixed plate", finish="take-up plate"))
    clashes = [
        problem for problem in stops(was) if "is the least" in problem.found or "into each other" in problem.found
    ]
    assert {problem.where[0] for problem in clashes} == {"1", "2"}
    for problem, name, end in zip(clashes, ("fixed stud", "take-up stud"), ("start", "finish"), strict=True):
        (cure,) = problem.cures
        assert cure.words == f'use "{name}" at the {end} of run A (measure the one you get)'
        again = planned(written(dict(was.job.data), cure))
        assert sign(was, problem) not in {sign(again, one) for one in stops(again)}


def test_runs_that_are_alike_are_planned_again_once() -> None:
    """Three runs apart that differ in names and place alone: what shuts one is planned once and told of each."""
    alone = run([900], spacing=120, height=900)
    runs = [
        {**alone, "id": name, "posts": [f"{name}1", f"{name}2"], "at": [0, 2000 * n, 0]} for n, name in enumerate("abc")
    ]
    one = [problem for problem in findings(plan(alone, job={"fall": "3 m"})) if "clear, a sphere" in problem.found]
    three = [problem for problem in findings(plan(runs, job={"fall": "3 m"})) if "clear, a sphere" in problem.found]
    assert [problem.where for problem in three] == ["run a", "run b", "run c"]
    assert {problem.remedy for problem in three} == {problem.remedy for problem in one}
    assert [next(key for key, _ in problem.cures[0].keys) for problem in three] == [
        f"run[{n}].spacing" for n in range(3)
    ]


def test_what_may_be_planned_again_grows_with_the_job() -> None:
    assert tries.Tries.of(100).marks == tries.MOST
    assert tries.Tries.of(10_000).marks == 10_000 * tries.EACH
