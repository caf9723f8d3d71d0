"""Headings, places and roles of posts where runs meet, and the guard seen in a mirror."""

from __future__ import annotations

from math import cos, pi, radians, sin
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_made import SWIVEL, Keys, between, face, of_level, plan, run, stair

from jiggen.plan.document import document
from jiggen.plan.model import Plan

FEW = settings(max_examples=30)


def near(value: float, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def turn(degrees: float) -> str:
    return f"{'left' if degrees >= 0 else 'right'} {abs(degrees)!r} deg"


def chain(turns: list[float], spans: list[float], **keys: Any) -> list[Keys]:
    """Runs of one span each, one after another."""
    found = [run([spans[0]], count=8, **SWIVEL, **keys)]
    for index, (angle, span) in enumerate(zip(turns, spans[1:], strict=False), 2):
        found.append(run([span], index, count=8, turn=turn(angle), **SWIVEL, **keys))
    return found


@FEW
@given(turns=st.lists(between(-170, 170), min_size=1, max_size=4), span=between(500, 3000))
def test_turns_add_up(turns: list[float], span: float) -> None:
    spans = [span + 100 * index for index in range(len(turns) + 1)]
    made = plan(chain(turns, spans))
    heading, x, y = 0.0, 0.0, 0.0
    for index, length in enumerate(spans):
        heading += radians(turns[index - 1]) if index else 0.0
        assert made.runs[index].heading == near(heading)
        x, y = x + length * cos(heading), y + length * sin(heading)
        base = made.post_by_id[str(index + 2)].prism.base
        assert (base.x, base.y, base.z) == (near(x), near(y), near(0))


@pytest.mark.parametrize(("hand", "sign"), [("left", 1), ("right", -1)])
def test_turn_of_ninety_degrees(hand: str, sign: int) -> None:
    made = plan([run([1000, 900], count=8), run([800], 3, count=8, turn=f"{hand} 90 deg")])
    place = {post["id"]: (post["x_mm"], post["y_mm"]) for post in document(made)["posts"]}
    assert place == {"1": (0, 0), "2": (1000, 0), "3": (1900, 0), "4": (1900, sign * 800)}
    heading = {post["id"]: post["heading_degrees"] for post in document(made)["posts"]}
    assert heading == {"1": 0, "2": 0, "3": 0, "4": sign * 90}  # the shared post is square to its first run
    assert face(made, "3", "4").skew == near(0)


def test_at_and_heading() -> None:
    first = run([1000], count=8)
    second = {"posts": ["a", "b"], "spans": [1000], "count": 8, "at": [500, -2000, 300], "heading": "30 deg"}
    made = plan([first, second])
    # 500 + 1000 cos 30 = 1366.025; -2000 + 1000 sin 30 = -1500
    assert made.post_by_id["a"].prism.base == (near(500), near(-2000), near(300))
    assert made.post_by_id["b"].prism.base == (near(1366.025404, 1e-5), near(-1500), near(300))


def test_run_without_a_place_starts_at_the_origin() -> None:
    made = plan([run([1000], count=8), {"posts": ["a", "b"], "spans": [700], "count": 8}])
    assert made.post_by_id["a"].prism.base == (0, 0, 0)
    assert made.post_by_id["b"].prism.base == (700, 0, 0)


def test_run_that_ends_at_a_post_of_an_earlier_run() -> None:
    """It comes in from the left at 90 degrees: its first post lies to the right of post 2."""
    made = plan([run([1000], count=8), {"posts": ["a", "2"], "spans": [700], "count": 8, "turn": "left 90 deg"}])
    assert made.post_by_id["a"].prism.base == (near(1000), near(-700), near(0))
    assert made.post_by_id["2"].prism.base == (near(1000), near(0), near(0))


def test_runs_that_do_not_close_are_a_stop() -> None:
    square = chain([90, 90, 90], [1000, 1000, 1000, 1000])
    square[-1]["posts"] = ["4", "1"]
    made = plan(square)
    assert not [p for p in made.problems if "away" in p.found]
    square[-1]["spans"] = [990]
    stops = [p for p in of_level(plan(square).problems, "stop") if "away" in p.found]
    assert len(stops) == 1 and "10.0 mm" in stops[0].found


def test_roles_and_kinds() -> None:
    posts = {name: {"width": 89 + 10 * index, "material": "redwood"} for index, name in enumerate("lecto")}
    stands = {"line": "l", "end": "e", "corner": "c", "transition": "t", "only": {"4": "o"}}
    made = plan(
        [
            run([900, 900], count=8),
            run([900, 900], 3, count=8, turn="left 90 deg"),
            {**run([1000], 5, count=8, stair=stair(175, 250, 120, "down")), "bottom_gap": 10},
        ],
        post=posts,
        posts=stands,
    )
    found = {post.id: (post.role, post.kind.name) for post in made.posts}
    assert found == {
        "1": ("end", "e"),
        "2": ("line", "l"),
        "3": ("corner", "c"),
        "4": ("line", "o"),
        "5": ("transition", "t"),
        "6": ("end", "e"),
    }


def test_runs_in_line_meet_at_a_corner_post() -> None:
    made = plan([run([900], count=8), run([900], 2, count=8)])
    assert made.post_by_id["2"].role == "corner"
    assert [f.name for f in made.post_by_id["2"].faces] == ["toward 1", "toward 3"]


@pytest.mark.parametrize("degrees", [20.0, 40.0, 60.0, -60.0, -35.0, 80.0])
def test_bisecting_post_shares_the_skew(degrees: float) -> None:
    """A post turned by half: each run leaves its face by half the turn, on the same hand of each."""
    post = {"timber": {"width": 140, "material": "redwood", "rotate": "bisect"}}
    made = plan(chain([degrees], [1000, 1000]), post=post)
    first, second = face(made, "2", "1"), face(made, "2", "3")
    assert abs(first.skew) == near(radians(abs(degrees) / 2))
    assert first.skew == near(-second.skew)


@pytest.mark.parametrize("degrees", [90.0, -90.0])
def test_tie_goes_to_the_side_of_the_turn(degrees: float) -> None:
    """A post turned by 45 in a corner of 90: each neighbour lies between two faces; the inner one is meant."""
    post = {"timber": {"width": 140, "material": "redwood", "rotate": "bisect"}}
    made = plan(chain([degrees], [1000, 1000]), post=post)
    sign = 1 if degrees > 0 else -1
    for neighbour in ("1", "3"):
        # between heading 180 (back) and +-90: +-135 degrees
        normal = face(made, "2", neighbour).frame.normal
        assert (normal.x, normal.y) == (near(cos(0.75 * pi)), near(sign * sin(0.75 * pi)))


def flat(made: Plan) -> dict[str, list[tuple[Any, ...]]]:
    """By face: what each mark is, rounded, in order of its numbers (a mirror exchanges the screws' labels)."""
    return {
        f.id: sorted(
            (
                m.purpose,
                m.cable or 0,
                round(m.u, 5) + 0.0,
                round(m.drop, 5),
                m.drill.name,
                round(m.height, 5),
                round(m.depth, 5),
            )
            for m in f.marks
        )
        for post in made.posts
        for f in post.faces
    }


def mirrored(marks: dict[str, list[tuple[Any, ...]]]) -> dict[str, list[tuple[Any, ...]]]:
    return {
        name: sorted((purpose, cable, -u + 0.0, *rest) for purpose, cable, u, *rest in found)
        for name, found in marks.items()
    }


def job_of(turns: list[float], rotate: float, deck: str, ground: bool) -> Plan:
    runs = chain(turns, [1500.0, 1200.0, 1700.0][: len(turns) + 1], deck=deck, bracket="side plate", bottom_gap=20)
    if ground:
        runs[-1] = {**runs[-1], "stair": stair(170, 280, 110, "down")}
    runs[0] = {**runs[0], "posts": ["1", "m", "2"], "spans": [800, 700]}
    runs[0]["wire"] = {"drop": 60, "face": "deck side", "diameter": 12}
    post = {
        "timber": {
            "shape": "rectangular",
            "along": 140,
            "across": 120,
            "rotate": f"{rotate!r} deg",
            "material": "redwood",
        }
    }
    return plan(runs, post=post)


@FEW
@given(
    turns=st.lists(between(-100, 100), min_size=1, max_size=2),
    rotate=between(-20, 20),
    ground=st.booleans(),
)
def test_mirrored_guard_gives_the_mirrored_plan(turns: list[float], rotate: float, ground: bool) -> None:
    here = job_of(turns, rotate, "left", ground)
    there = job_of([-angle for angle in turns], -rotate, "right", ground)
    for one, other in zip(here.posts, there.posts, strict=True):
        a, b = one.prism.base, other.prism.base
        assert (a.x, -a.y, a.z) == (near(b.x), near(b.y), near(b.z))
        assert one.heading == near(-other.heading)
    assert mirrored(flat(here)) == flat(there)


@FEW
@given(turns=st.lists(between(-100, 100), min_size=1, max_size=2), rotate=between(-20, 20), ground=st.booleans())
def test_deck_side_alone_moves_only_the_marks_on_the_sides(turns: list[float], rotate: float, ground: bool) -> None:
    left, right = job_of(turns, rotate, "left", ground), job_of(turns, rotate, "right", ground)
    toward = {name: found for name, found in flat(left).items() if "toward" in name}
    assert toward == {name: found for name, found in flat(right).items() if "toward" in name}
    for post in ("1", "m", "2"):
        one, other = left.face_by_id[f"{post}/deck side"], right.face_by_id[f"{post}/deck side"]
        assert one.frame.normal == tuple(near(-part) for part in other.frame.normal)
        assert one.marks[0].u == other.marks[0].u == 0.0
