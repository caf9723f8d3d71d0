"""Posts on stairs: distance behind the nosing, tread, heights, against closed formulas."""

from __future__ import annotations

from math import cos, degrees, floor, hypot, radians, tan
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from jobs_made import INCH, between, face, marks, only_run, plan, run, slope_of, stair

FEW = settings(max_examples=40)


def near(value: float, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def behind(made: Any, post: str) -> float:
    """b of a post, from what the plan says: reference line over the tread, over tan t."""
    line = only_run(made)
    base = made.post_by_id[post].prism.base
    return float((line.reference(line.along(base)) - base.z) / abs(line.slope))


@FEW
@given(
    rise=between(120, 200),
    going=between(230, 350),
    start=between(60, 200),
    spans=st.lists(between(600, 1500), min_size=1, max_size=4),
    goes=st.sampled_from(["up", "down"]),
)
def test_every_post_stands_on_a_tread(rise: float, going: float, start: float, spans: list[float], goes: str) -> None:
    keys = stair(rise, going, start, goes)
    made = plan(run(spans, stair=keys, bottom_gap=10, count=8))
    x = 0.0
    for index, post in enumerate(made.posts):
        # level distance from the top nosing's line: uphill is +
        along = start + x if goes == "up" else start - x
        b = along % going
        assume(min(b, going - b) > 0.2)
        assert behind(made, post.id) == near(b, 1e-5)
        # one rise for each nosing passed
        assert post.prism.base.z == near(floor(along / going) * rise, 1e-5)
        assert post.prism.base.x == near(x)
        x += spans[index] if index < len(spans) else 0.0


def test_distance_within_a_tenth_of_the_going_counts_as_nought() -> None:
    made = plan(run([1100.05], stair=stair(175, 250, 100, "down"), bottom_gap=10, count=8))
    assert behind(made, "2") == near(0.0)  # (100 - 1100.05) mod 250 = 249.95, which is 0.05 from 250
    made = plan(run([1100.2], stair=stair(175, 250, 100, "down"), bottom_gap=10, count=8))
    assert behind(made, "2") == near(249.8)  # 0.2 from 250: on the step below
    assert made.post_by_id["2"].prism.base.z == near(-5 * 175)  # nosings at 100, 350, 600, 850, 1100 passed


def test_last_post_on_the_floor_below() -> None:
    """Down three risers: nosings at 100, 350 and 600 from the first post; the last post is 140 beyond the third."""
    keys = stair(180, 250, 100, "down", last_behind_nosing=-140)
    made = plan(run([740], stair=keys, bottom_gap=10, count=8))
    assert made.post_by_id["2"].prism.base.z == near(-3 * 180)
    t = slope_of({"stair": keys})
    for mark in marks(face(made, "2", "1"), "screw"):
        # the floor lies rise + b tan t under the nosing line at the axis; the face is w/2 = 44.5 uphill of it
        assert mark.above_tread - mark.height == near((-140 + 44.5) * tan(t) + 180)


def test_first_post_on_the_floor_of_a_stair_that_goes_up() -> None:
    """The first nosing is 130 mm ahead of the first post, which stands on the floor."""
    keys = stair(180, 250, -130, "up")
    made = plan(run([1000, 1000], stair=keys, bottom_gap=10, count=8))
    assert made.post_by_id["1"].prism.base.z == 0.0
    assert not made.problems or all(problem.level != "stop" for problem in made.problems)
    # nosings at 130, 380, 630, 880: four passed at 1000, eight at 2000 (1130, 1380, 1630, 1880)
    assert made.post_by_id["2"].prism.base.z == near(4 * 180)
    assert made.post_by_id["3"].prism.base.z == near(8 * 180)
    assert behind(made, "2") == near(120)  # 1000 - 880
    t = slope_of({"stair": keys})
    for mark in marks(face(made, "1", "2"), "screw"):
        # uphill face, w/2 = 44.5: the floor is 180 - 130 tan t under the nosing line at the axis
        assert mark.above_tread - mark.height == near(180 - 130 * tan(t) + 44.5 * tan(t))


@FEW
@given(
    rise=between(120, 200),
    going=between(230, 350),
    start=between(80, 200),
    span=between(700, 1500),
    goes=st.sampled_from(["up", "down"]),
    width=between(40, 140),
    height=between(900, 1200),
)
def test_heights_on_near_and_far_face(
    rise: float, going: float, start: float, span: float, goes: str, width: float, height: float
) -> None:
    keys = stair(rise, going, start, goes)
    post = {"timber": {"width": width, "material": "douglas fir"}}
    made = plan(run([span, span], stair=keys, bottom_gap=10, count=8, height=height), post=post)
    line, t = only_run(made), slope_of({"stair": keys})
    b = (start + span if goes == "up" else start - span) % going
    assume(min(b, going - b) > 0.2)
    for neighbour, uphill in (("1", goes == "down"), ("3", goes == "up")):
        f = width / 2 if uphill else -width / 2
        for mark, drop in zip(marks(face(made, "2", neighbour), "cable"), line.drops, strict=True):
            # a cable runs with the nosing line: the height over it is the same at every place
            assert mark.height == near(height - 38 / cos(t) - drop)
            assert mark.above_tread == near(mark.height + (b + f) * tan(t), 1e-5)


def test_twelve_risers_along_the_slope() -> None:
    """12 x 175 = 2100 up over 12 x 250 = 3000: sqrt(2100^2 + 3000^2) = 3661.97 mm, 3662 in whole ones."""
    assert round(hypot(2100, 3000)) == 3662
    keys = {"posts": ["1", "2"], "slope": [hypot(2100, 3000)], "stair": stair(175, 250, 100)}
    made = plan({**keys, "bottom_gap": 10, "count": 8})
    last = made.post_by_id["2"].prism.base
    assert (last.x, last.z) == (near(3000), near(2100))
    # a cable between plates that hold it at the face: half a post short at each end, 89 / cos t in all,
    # less 1 1/4 in of setback twice
    rigid = {"start": "rigid plate", "finish": "rigid plate"}
    whole = plan({**keys, "bottom_gap": 10, "count": 8, **rigid}).takeoff.cables[0].length
    assert whole + 89 * hypot(175, 250) / 250 + 2 * 1.25 * INCH == near(3661.967, 1e-3)


def test_steepest_stair_of_the_irc() -> None:
    """7 3/4 in on 10 in (IRC R311.7.5): 37.776 degrees; 12.65 / 10 = 1.26516 along the slope for 1 level."""
    keys = stair(7.75 * INCH, 10 * INCH, 100)
    line = only_run(plan(run([1000], stair=keys, bottom_gap=5, spacing=76.2, count=9)))
    assert degrees(line.rake) == near(37.776, 5e-4)
    step = line.drops[1] - line.drops[0]
    assert step / 76.2 == near(1.26516, 5e-6)


@FEW
@given(rise=between(120, 200), going=between(230, 350), spans=st.lists(between(600, 1500), min_size=1, max_size=3))
def test_level_run_at_the_top_of_a_stair(rise: float, going: float, spans: list[float]) -> None:
    up = run(spans, stair=stair(rise, going, 100), bottom_gap=10, count=8)
    level = {"posts": [up["posts"][-1], "x", "y"], "spans": [1000, 1000], "count": 8}
    made = plan([up, level])
    top = made.post_by_id[up["posts"][-1]].prism.base
    for post, more in (("x", 1000), ("y", 2000)):
        base = made.post_by_id[post].prism.base
        assert (base.x, base.y, base.z) == (near(sum(spans) + more), near(0), near(top.z))
    assert made.post_by_id[up["posts"][-1]].role == "transition"


def test_stair_from_the_last_post_of_a_level_run() -> None:
    level = run([1200], count=8)
    down = {"posts": ["2", "3"], "spans": [1000], "stair": stair(175, 250, 100, "down"), "bottom_gap": 10, "count": 8}
    made = plan([level, down])
    # nosings at 100, 350, 600, 850 from post 2: four rises down
    assert made.post_by_id["3"].prism.base == (near(2200), near(0), near(-700))
    assert made.runs[1].reference(0) == near(100 * tan(radians(34.992020198558)))  # the line carried back over the deck


def test_post_over_a_nosing_is_a_check() -> None:
    made = plan(run([1000], stair=stair(175, 250, 20), bottom_gap=10, count=8))  # 20 behind, half a post is 44.5
    found = [p for p in made.problems if p.where == "post 1" and p.level == "check"]
    assert found and "24.5 mm" in found[0].found  # 44.5 - 20
    beside = plan(run([1000], stair=stair(175, 250, 20), bottom_gap=10, count=8, mount="side", out=60))
    assert not [p for p in beside.problems if p.where == "post 1" and "nosing" in p.found]


def test_spans_that_disagree_with_the_last_nosing() -> None:
    def checks(last: float) -> list[str]:
        keys = stair(175, 250, 100, last_behind_nosing=last)
        made = plan(run([1000], stair=keys, bottom_gap=10, count=8))
        return [p.found for p in made.problems if "last_behind_nosing" in p.found]

    assert checks(100) == []  # (100 + 1000) mod 250 = 100
    assert "20.0 mm" in checks(120)[0]
