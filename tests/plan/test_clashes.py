"""What runs into what: distances against sampling by brute force, shifts that cure, the stagger that clears a corner."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_made import Keys, between, job, of_level, plan, ramp, run, stair

from jiggen.geometry import Capsule, Vector, segment_distance
from jiggen.plan.clashes import Body, _stretch, bodies, capsule, clash_problems, least_shift, pairs, web_of
from jiggen.plan.model import Plan
from jiggen.plan.words import apart
from jiggen.problems import Problem
from jiggen.units import mm_text

FEW = settings(max_examples=60)
UP = Vector(0.0, 0.0, 1.0)
WEB = 6.0  # least web where a job says none, mm


def sampled(first: Capsule, second: Capsule) -> float:
    """Least distance of two segments from points on both, the grid drawn in about the nearest pair again and again."""
    a, b = (np.array([body.start, body.end]) for body in (first, second))
    low, high = np.zeros(2), np.ones(2)
    best = float("inf")
    for _ in range(14):
        s, t = (np.linspace(low[i], high[i], 41) for i in (0, 1))
        p = a[0] + s[:, None] * (a[1] - a[0])
        q = b[0] + t[:, None] * (b[1] - b[0])
        far = np.linalg.norm(p[:, None, :] - q[None, :, :], axis=2)
        i, j = np.unravel_index(np.argmin(far), far.shape)
        best = min(best, float(far[i, j]))
        middle, reach = np.array([s[i], t[j]]), (high - low) / 6
        low, high = np.clip(middle - reach, 0, 1), np.clip(middle + reach, 0, 1)
    return best


places = st.builds(Vector, between(-80, 80), between(-80, 80), between(-80, 80))
capsules = st.builds(Capsule, places, places, between(0.5, 8))


@FEW
@given(first=capsules, second=capsules)
def test_distance_of_two_bores(first: Capsule, second: Capsule) -> None:
    """Distance is convex in both places, so drawing the grid in cannot lose the nearest pair."""
    wanted = sampled(first, second)
    assert segment_distance(first, second) == pytest.approx(wanted, abs=1e-3)
    assert segment_distance(second, first) == pytest.approx(wanted, abs=1e-3)
    assert web_of(first, second) == pytest.approx(wanted - first.radius - second.radius, abs=1e-3)


@FEW
@given(start=places, way=places, by=places, share=between(-2, 2))
def test_distance_of_parallel_bores(start: Vector, way: Vector, by: Vector, share: float) -> None:
    if way.length() < 1.0:
        way = Vector(10.0, 0.0, 0.0)
    first = Capsule(start, start.plus(way), 1.0)
    other = start.plus(by)
    second = Capsule(other, other.plus(way.times(share)), 1.0)
    assert segment_distance(first, second) == pytest.approx(sampled(first, second), abs=1e-3)


@FEW
@given(first=capsules, second=capsules, way=st.sampled_from([UP, Vector(1, 0, 0), Vector(0.6, 0.8, 0)]))
def test_least_shift_cures_and_half_of_it_does_not(first: Capsule, second: Capsule, way: Vector) -> None:
    if web_of(first, second) >= WEB:
        return  # nothing to cure
    shift = least_shift(first, second, way, WEB)
    if shift is None:
        return
    moved = [
        Capsule(second.start.plus(way.times(by)), second.end.plus(way.times(by)), second.radius)
        for by in (shift, shift / 2, shift * 0.98)
    ]
    assert web_of(first, moved[0]) >= WEB - 1e-6
    assert sampled(first, moved[0]) - first.radius - second.radius >= WEB - 1e-3
    assert web_of(first, moved[1]) < WEB
    assert web_of(first, moved[2]) < WEB
    # nor does the same way in the other direction any sooner
    back = way.times(-shift * 0.98)
    assert web_of(first, Capsule(second.start.plus(back), second.end.plus(back), second.radius)) < WEB


def corner(turn: str = "left 90 deg", width: float = 140, screw: str = "#14 x 2 1/2 in", **keys: Any) -> Keys:
    """Two runs whose cables end in one post at the same heights, long screws from both sides."""
    plate: Keys = {
        "outline": [32, 64],
        "flange": 3,
        "screws": [[0, 22], [0, -22]],
        "screw": screw,
        "pivot": 25,
        "swivels": "any",
        "setback": 60,
        "travel": 30,
    }
    return {
        "runs": [
            run([1000, 900], count=9, height=1000, start="plate", finish="plate"),
            run([800], 3, count=9, height=1000, turn=turn, start="plate", finish="plate", **keys),
        ],
        "post": {"timber": {"width": width, "material": "douglas fir"}},
        "fitting": {"plate": plate},
    }


def made(job: Keys) -> Plan:
    tables = {key: value for key, value in job.items() if key != "runs"}
    return plan(job["runs"], **tables)


def every_pair(found: list[Body], least: float) -> set[tuple[str, str]]:
    """Pairs that are too near, each two compared, by sampling."""
    near = set()
    for first, second in combinations(found, 2):
        if first.owner != second.owner:
            left = sampled(first.capsule, second.capsule) - first.capsule.radius - second.capsule.radius
            if left < least:
                near.add((first.mark.id, second.mark.id))
    return near


def clashes(problems: Any) -> list[Problem]:
    return [p for p in of_level(problems, "stop") if "is the least" in p.found and " and " in p.where]


def test_every_clash_of_a_corner_post_is_found() -> None:
    """Screws of 60 mm from two faces of a post of 89 mm, four cables each: against each two compared by hand."""
    job = corner(width=89)
    for keys in job["runs"]:
        keys |= {"count": 4, "height": 500}
    post = made(job).post_by_id["3"]
    found = bodies(post)
    assert len(found) == 16  # two fittings of four cables with two screws
    wanted = every_pair(found, WEB)
    assert wanted
    assert {(first.mark.id, second.mark.id) for first, second, _ in pairs(found, WEB)} == wanted


def test_a_bore_counts_once_and_is_as_long_as_the_post_is_deep() -> None:
    """A corner post with cables of one run passing and those of the other ending in it."""
    job = corner(stagger=20)
    job["runs"][0]["posts"] = ["1", "3", "9"]
    post = made(job).post_by_id["3"]
    passing = [body for body in bodies(post) if body.mark.purpose == "cable"]
    assert len(passing) == 9
    for body in passing:
        assert body.capsule.end.minus(body.capsule.start).length() == pytest.approx(140)
        assert abs(body.capsule.end.minus(body.capsule.start).unit().dot(Vector(1, 0, 0))) == pytest.approx(1)


def of_pair(found: Plan, problem: Problem) -> tuple[Capsule, Capsule]:
    marks = {mark.id: (face, mark) for post in found.posts for face in post.faces for mark in face.marks}
    first, second = (marks[name] for name in problem.where.split(" and "))
    return capsule(*first), capsule(*second)


SCREWS = ["#14 x 2 1/2 in", "#14 x 3 in", "#12 x 3 in", "#10 x 3 1/2 in"]


@pytest.mark.parametrize("screw", SCREWS)
@pytest.mark.parametrize("turn", ["left 90 deg", "right 90 deg", "left 120 deg"])
def test_the_shift_in_the_message_cures_its_clash_and_half_of_it_does_not(turn: str, screw: str) -> None:
    found = made(corner(turn, 100, screw))
    told = clashes(found.problems)
    assert told
    for problem in told:
        first, second = of_pair(found, problem)
        number = re.match(r"(?:they run )?([\d.]+) mm", problem.found)
        assert number
        left = float(number[1]) * (-1 if problem.found.startswith("they run") else 1)
        assert left == pytest.approx(web_of(first, second), abs=0.051)  # told to 0.1 mm
        move = re.search(r"another fitting: \S+ has to lie ([\d.]+) mm (up|down)", problem.remedy)
        assert move, problem.remedy
        by = float(move[1]) * (1 if move[2] == "up" else -1)
        shifted = [
            Capsule(second.start.plus(UP.times(s)), second.end.plus(UP.times(s)), second.radius) for s in (by, by / 2)
        ]
        assert web_of(first, shifted[0]) >= WEB, (problem.remedy, web_of(first, shifted[0]))
        assert web_of(first, shifted[1]) < WEB
        side = re.search(r"or ([\d.]+) mm sideways", problem.remedy)
        if side:
            way = second.end.minus(second.start)
            level = Vector(way.y, -way.x, 0.0).unit()
            best = [
                web_of(first, Capsule(second.start.plus(d), second.end.plus(d), second.radius))
                for d in (level.times(float(side[1])), level.times(-float(side[1])))
            ]
            assert max(best) >= WEB, (problem.remedy, best)


def test_lengths_that_read_alike_on_a_tape_are_told_in_mm_first() -> None:
    """5.6 and 6.0 mm are both just under 1/4 in, 6.35 mm; 9.5 mm is 3/8 in."""
    timber = {"timber": {"width": 3.5, "material": "douglas fir"}}
    inches = job(run([40]), job={"units": "in"}, post=timber)
    assert apart(inches, 5.6, 6.0) == ["5.6 mm (just under 1/4 in)", "6.0 mm (just under 1/4 in)"]
    assert apart(inches, 9.5, 6.0) == ["3/8 in (9.5 mm)", "just under 1/4 in (6.0 mm)"]
    assert apart(job(run([1000])), 5.6, 6.0) == ["5.6 mm", "6.0 mm"]


def least_web(found: Plan, post: str) -> float:
    """Between bodies of different runs in a post, by the bodies' own distances."""
    every = bodies(found.post_by_id[post])
    return min(web_of(a.capsule, b.capsule) for a, b in combinations(every, 2) if a.mark.run != b.mark.run)


GROUNDS: dict[str, Keys] = {"level": {}, "ramp": {"ramp": ramp(6)}}


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("turn", ["left 90 deg", "right 90 deg", "left 120 deg"])
@pytest.mark.parametrize("web", [4, 6, 9])
def test_stagger_auto_is_the_least_that_clears(turn: str, ground: str, web: float) -> None:
    """At the shift that was found every web is the minimum or more, a quarter of a millimetre less does not do."""
    job = corner(turn, 100, stagger="auto", **GROUNDS[ground]) | {"limits": {"min_web": web}}
    found = made(job)
    plain = made(corner(turn, 100, stagger=0, **GROUNDS[ground]) | {"limits": {"min_web": web}})
    shift = found.runs[1].drops[0] - plain.runs[1].drops[0]
    assert least_web(plain, "3") < web, "nothing to stagger here"
    assert shift > 0
    assert least_web(found, "3") >= web - 1e-6
    assert [d - p for d, p in zip(found.runs[1].drops, plain.runs[1].drops, strict=True)] == pytest.approx([shift] * 9)
    told = [p.found for p in found.problems if 'stagger = "auto"' in p.found]
    assert told == [f'stagger = "auto" moves its cables {mm_text(shift)} mm down, to clear the holes of earlier runs']
    assert not [p for p in plain.problems if "stagger" in p.found]
    less = made(corner(turn, 100, stagger=shift - 0.25, **GROUNDS[ground]) | {"limits": {"min_web": web}})
    assert least_web(less, "3") < web
    # the first opening grows by the shift, square to the cables
    line, before = found.runs[1], plain.runs[1]
    assert line.openings[0] - before.openings[0] == pytest.approx(shift * line.cosine)


def moved_down(found: Plan, post: str, run_id: str, by: float) -> float:
    """Least web between a run's bodies, all ``by`` lower, and the other run's, from the capsules alone."""
    every = bodies(found.post_by_id[post])
    lower = [
        Capsule(b.capsule.start.plus(UP.times(-by)), b.capsule.end.plus(UP.times(-by)), b.capsule.radius)
        for b in every
        if b.mark.run == run_id
    ]
    return min(web_of(a.capsule, b) for a in every if a.mark.run != run_id for b in lower)


@pytest.mark.parametrize("turn", ["left 90 deg", "left 75 deg"])
def test_stagger_auto_on_a_stair_clears_or_leaves_the_clash_told(turn: str) -> None:
    """Rows of two pitches: every shift up to half a spacing is tried here, half a millimetre by half a millimetre."""
    ground: Keys = {"stair": stair(178, 279, 150, "down"), "bottom_gap": 20}
    found = made(corner(turn, 100, stagger="auto", **ground))
    plain = made(corner(turn, 100, stagger=0, **ground))
    shift = found.runs[1].drops[0] - plain.runs[1].drops[0]
    most = plain.runs[1].spacing / 2
    clear = [by / 2 for by in range(int(2 * most) + 1) if moved_down(plain, "3", "B", by / 2) >= WEB]
    if clear:
        assert least_web(found, "3") >= WEB - 1e-6
        assert shift <= clear[0] + 1e-6
    else:
        assert shift == pytest.approx(0)
        assert clashes(found.problems)


def test_stagger_given_as_a_length_is_taken() -> None:
    found, plain = made(corner(stagger=31.5)), made(corner())
    assert [d - p for d, p in zip(found.runs[1].drops, plain.runs[1].drops, strict=True)] == pytest.approx([31.5] * 9)
    assert found.runs[0].drops == plain.runs[0].drops


def test_minimum_web_is_the_job_s_own() -> None:
    """4 mm asked for: pairs that leave 4 to 6 mm are no longer told."""
    wide, narrow = made(corner()), made(corner() | {"limits": {"min_web": 1}})
    assert len(list(clash_problems(wide.job, wide.post_by_id["3"]))) >= len(
        list(clash_problems(replace(wide.job, min_web=1.0), wide.post_by_id["3"]))
    )
    for first, second, left in pairs(bodies(narrow.post_by_id["3"]), 1.0):
        assert left < 1.0, (first.mark.id, second.mark.id)


def test_wire_against_cables() -> None:
    """A wire 12 mm below cable 3's centre: 12 - 5.6/2 - 9.6/2 or so is under 6 mm; 20 mm below is clear."""
    line = plan(run([900, 900], count=6, height=900)).runs[0]
    for below, bad in ((10.0, True), (25.0, False)):
        wire = {"drop": line.drops[2] + below, "face": "deck side", "diameter": 9}
        found = plan(run([900, 900], count=6, height=900, wire=wire))
        told = [p for p in clashes(found.problems) if "W1" in p.where and p.where.startswith("2/")]
        assert bool(told) is bad


def test_screw_out_of_the_far_side() -> None:
    """A screw of 3 1/2 in less a flange of 1/8 in, 85.7 mm, in a post of 3 in, 76.2 mm."""
    plate: Keys = {
        "outline": [32, 64],
        "flange": "1/8 in",
        "screws": [[0, 22], [0, -22]],
        "screw": "#14 x 3 1/2 in",
        "pivot": 25,
        "setback": 60,
    }
    found = plan(
        run([900], count=6, height=900, start="plate", finish="plate"),
        post={"thin": {"width": "3 in", "material": "redwood"}},
        fitting={"plate": plate},
    )
    told = [p for p in of_level(found.problems, "stop") if "the screw goes" in p.found]
    assert told and "1/toward 2/1a" in told[0].where
    assert "85.7 mm into a post of 76.2 mm" in told[0].found


def test_outlines_that_overlap() -> None:
    """Plates of 64 mm every 60 mm: by 4 mm."""
    plate: Keys = {"outline": [32, 64], "screws": [[0, 22]], "screw": "#10 x 1 1/2 in", "pivot": 25, "setback": 60}
    jobs = {"spacing": 60, "count": 6, "start": "plate", "finish": "plate"}
    found = plan(run([900], height=900, **jobs), fitting={"plate": plate})
    (told,) = [p for p in of_level(found.problems, "stop") if "overlap" in p.found and p.where == "1/toward 2"]
    assert "overlap by 4.0 mm (the worst of 5 such pairs)" in told.found
    clear = plan(run([900], height=900, **{**jobs, "spacing": 64.5}), fitting={"plate": plate})
    assert not [p for p in clear.problems if "overlap" in p.found]


@pytest.mark.parametrize(("across", "bad"), [(24.0, False), (42.0, True)])
def test_screw_too_near_an_edge(across: float, bad: bool) -> None:
    """Half of 89 is 44.5 mm: 42 mm off the middle leaves 2.5, under 1.5 diameters of a #14 (6.15 mm, so 9.2)."""
    plate: Keys = {
        "outline": [95, 40],
        "screws": [[across, 0], [-across, 0]],
        "screw": "#14 x 1 1/2 in",
        "pivot": 25,
        "setback": 60,
    }
    found = plan(run([900], count=5, height=900, start="plate", finish="plate"), fitting={"plate": plate})
    told = [p for p in of_level(found.problems, "stop") if "edge" in p.found and "screw mark" in p.found]
    assert bool(told) is bad
    if told:
        assert "2.5 mm from the face's edge" in told[0].found


@pytest.mark.parametrize(
    ("tall", "told"),
    [
        (75.0, None),  # 76 - 75 = 1: enough
        (75.4, ("check", "0.6 mm are left between", "they nearly touch", "space the cables 0.4 mm wider")),
        (76.0, ("check", "0.0 mm are left between", "they touch", "space the cables 1.0 mm wider")),
        (76.3, ("stop", "overlap by 0.3 mm", "(the worst of 5 such pairs)", "space the cables 0.3 mm wider")),
    ],
)
def test_pieces_that_touch_are_told(tall: float, told: tuple[str, ...] | None) -> None:
    """Cables 76 mm apart, six of them: five pairs of plates on each end post."""
    plate: Keys = {"outline": [30, tall], "flange": 3, "screws": [[0, 13], [0, -13]], "screw": "#10 x 50 mm"}
    piece: Keys = {**plate, "pivot": 20, "swivels": "any", "setback": 50, "travel": 30}
    found = plan(
        run([900], spacing=76, count=6, height=900, start="own", finish="own"),
        post={"post": {"width": 89, "material": "douglas fir"}},
        fitting={"own": piece},
    )
    seen = [p for p in found.problems if "overlap by" in p.found or " are left between " in p.found]
    assert [p.where for p in seen] == (["1/toward 2", "2/toward 1"] if told else [])
    for problem in seen if told else ():
        assert problem.level == told[0]
        assert all(words in f"{problem.found}; {problem.remedy}" for words in told[1:])
        assert "(the worst of 5 such pairs)" in problem.found


@given(
    st.tuples(*[st.floats(-60.0, 60.0)] * 6),
    st.tuples(*[st.floats(-60.0, 60.0)] * 6),
    st.floats(1.0, 8.0),
    st.floats(0.0, 12.0),
)
def test_a_stretch_of_shifts_is_where_two_holes_are_too_near(
    one: tuple[float, ...], two: tuple[float, ...], radius: float, least: float
) -> None:
    """By brute force: nowhere outside of the stretch a web under the least, none over it inside, the least at its edges."""
    first = Capsule(Vector(*one[:3]), Vector(*one[3:]), radius)
    second = Capsule(Vector(*two[:3]), Vector(*two[3:]), 3.0)

    def web(shift: float) -> float:
        down = [Vector(end.x, end.y, end.z - shift) for end in (second.start, second.end)]
        return web_of(first, Capsule(down[0], down[1], 3.0))

    found = _stretch(first, second, least, 0.0)
    shifts = [0.5 * k for k in range(-600, 601)]
    if found is None:
        assert min(map(web, shifts)) > least - 1e-6
        return
    low, high = found
    assert all(web(shift) >= least - 1e-6 for shift in shifts if not low < shift < high)
    assert all(web(shift) <= least + 1e-6 for shift in shifts if low < shift < high)
    if high - low > 1e-3:  # two that but touch at one shift have an edge that is not sharp
        assert web(low) == pytest.approx(least, abs=1e-6) and web(high) == pytest.approx(least, abs=1e-6)
