"""Openings beyond the cables: beside the deck's edge, to walls, at a landing; both undersides at a transition post."""

from __future__ import annotations

import re
from math import atan, hypot, pi, tan
from typing import Any

import pytest
from jobs_made import INCH, Keys, of_level, plan, ramp, run, stair
from scipy.optimize import linprog

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import review

SPHERE = 4 * INCH  # IRC 2021 R312.1.3
STAIR_SPHERE = 4.375 * INCH  # its exception 2
IN: Keys = {"units": "in"}


def stops(found: Plan, words: str) -> list[Problem]:
    return [p for p in of_level(review(found), "stop") if words in p.found]


def side(out: float, **keys: Any) -> Plan:
    return plan(run([36, 36], height=36, mount="side", out=out, **keys), job=IN, post={"p": {"width": 3.5}})


def test_3_in_up_and_3_in_out_is_a_4_24_in_opening() -> None:
    """sqrt(3^2 + 3^2) = 4.243 in = 107.8 mm, over 4 in; 2.8 and 2.8 make 3.960 in, under it."""
    # the lowest cable's lower edge 3 in over the deck: 36 - 1.5 rail - 3 gap - first - 1/16 in = (n - 1) spacing
    wide = side(3, bottom_gap=3, count=10)
    (told,) = stops(wide, "the gap under the lowest cable")
    assert wide.runs[0].closes == "cable" and wide.runs[0].gap == pytest.approx(3 * INCH)
    assert "(107.8 mm)" in told.found and "4 1/4" in told.found
    assert not stops(side(2.8, bottom_gap=2.8, count=10), "gap under")
    # upright alone it would pass
    deck = plan(run([36, 36], height=36, bottom_gap=3, count=10), job=IN, post={"p": {"width": 3.5}})
    assert not stops(deck, "gap under")


def test_the_same_without_a_gap_of_its_own() -> None:
    """Cables every 3 in (with one of 1/8 in, first at 3): nine of them leave 34.5 - 27 - 1/16 = 7.4, ten 4.4, eleven
    1.4 in over the deck; beside the deck's edge ten and 4.4 in do not pass, eleven do with 2 in out: 2.46 in."""
    found = side(2, spacing=3, count=11)
    assert found.runs[0].openings[-1] / INCH == pytest.approx(34.5 - 33 - 1 / 16)
    assert not stops(found, "opening")
    wide = side(3.9, spacing=3, count=11)
    last = hypot(1.5 - 1 / 16, 3.9)  # 4.157 in
    assert last > 4
    (told,) = stops(wide, "opening 12")
    assert f"({last * INCH:.1f} mm)" in told.found


def test_count_left_open_closes_the_opening_beside_the_deck() -> None:
    """What may stay open upright beside 3 in out: sqrt(4^2 - 3^2) = 2.646 in."""
    for out in (1.0, 2.0, 3.0, 3.5):
        found = side(out, spacing=3)
        line = found.runs[0]
        assert hypot(line.openings[-1], out * INCH) < SPHERE
        assert not stops(found, "opening")


@pytest.mark.parametrize(("gap", "bad"), [(3.9, False), (4.0, True), (4.5, True)])
@pytest.mark.parametrize("end", ["start", "finish"])
def test_gap_to_a_wall(end: str, gap: float, bad: bool) -> None:
    """The limit itself fails: a sphere of 4 in must not pass."""
    found = plan(run([36, 36], height=36, spacing=3, **{f"gap_at_{end}": gap}), job=IN, post={"p": {"width": 3.5}})
    told = stops(found, "the gap beside it")
    assert bool(told) is bad
    if told:
        assert told[0].where == ("post 1" if end == "start" else "post 3")
        assert f"{gap * INCH:.1f} mm" in told[0].found


def test_gap_to_a_wall_on_a_stair_has_the_stair_s_sphere() -> None:
    """4 3/8 in there."""
    keys: Keys = {"stair": stair(7, 11, 4, "down"), "bottom_gap": 0.5, "count": 10}
    for gap, bad in ((4.25, False), (4.4, True)):
        found = plan(run([36], height=36, gap_at_start=gap, **keys), job=IN, post={"p": {"width": 3.5}})
        assert bool(stops(found, "the gap beside it")) is bad


def wedge(high: float, slope: float) -> float:
    """Diameter of the largest circle between a floor, a post's face and a line that falls away from ``high`` up on
    the face: the Chebyshev centre of three half planes."""
    # maximise r: x >= r (face), y >= r (floor), slope x + y + r hypot(1, slope) <= high
    found = linprog([0, 0, -1], A_ub=[[-1, 0, 1], [0, -1, 1], [slope, 1, hypot(1, slope)]], b_ub=[0, 0, high])
    return float(2 * found.x[2])


@pytest.mark.parametrize("behind", [60, 150, 260, 340, 420])
@pytest.mark.parametrize("goes", ["down", "up"])
def test_wedge_at_a_landing(behind: float, goes: str) -> None:
    """The post stands b behind the top nosing; at its face, b - 44.5 behind it, the lowest member's edge is the gap
    and (b - 44.5) tan t over the landing."""
    rise, going, gap = 178.0, 279.0, 20.0
    slope = rise / going
    if goes == "down":
        ground: Keys = stair(rise, going, behind, "down")
    else:  # 1500 mm on from a post that far back, so that the last one stands on the landing
        ground = stair(rise, going, (behind - 1500) % going, "up", last_behind_nosing=behind)
    found = plan(run([1500], height=900, bottom_gap=gap, count=9, stair=ground))
    line = found.runs[0]
    assert line.behind(0.0 if goes == "down" else 1500.0) == pytest.approx(behind)
    high = gap + (behind - 44.5) * slope
    size = wedge(high, slope)
    told = stops(found, "the wedge between the landing")
    assert bool(told) is (size > STAIR_SPHERE)
    if told:
        assert told[0].where == ("post 1" if goes == "down" else "post 2")
        assert f"sphere of {size:.1f} mm" in told[0].found
        most = re.search(r"at most ([\d.]+) mm behind", told[0].remedy)
        assert most
        # 1 mm inside the limit of b, then down to a whole mm
        for b, passes in ((float(most[1]) + 0.9, False), (float(most[1]) + 2.1, True)):
            assert (wedge(gap + (b - 44.5) * slope, slope) > STAIR_SPHERE) is passes


def numbers(words: str) -> list[float]:
    return [float(n) for n in re.findall(r"([\d.]+) mm", words)]


@pytest.mark.parametrize("behind", [60.0, 100.0, 250.0])
def test_transition_post_tells_both_undersides_and_the_step(behind: float) -> None:
    """Level 900 high with a rail of 38: 862. The stair's nosing line passes b tan t over the landing at the post,
    its rail is 38 / cos t deep: 900 + b tan t - 38 / cos t."""
    t = atan(178 / 279)
    runs = [
        run([1000], count=8, height=900, finish="fixed swivel"),
        run([1500], 2, count=8, height=900, stair=stair(178, 279, behind, "down"), bottom_gap=20),
    ]
    found = plan(runs)
    (told,) = [p for p in of_level(found.problems, "note") if "undersides over the walking surface" in p.found]
    level, raked = 900 - 38.0, 900 + behind * tan(t) - 38 / (279 / hypot(178, 279))
    assert told.where == "post 2"
    assert numbers(told.found) == pytest.approx([level, raked, abs(raked - level)], abs=0.051)
    assert found.post_by_id["2"].role == "transition"
    # each face's drop is from its own rail
    for where, line in (("2/toward 1", found.runs[0]), ("2/toward 3", found.runs[1])):
        for outline, drop in zip(
            [o for o in found.face_by_id[where].outlines if o.purpose == "fitting"], line.drops, strict=True
        ):
            under = found.face_by_id[where].underside[0]
            m = found.face_by_id[where].slope
            pivot = 19.05 if "swivel" in outline.what else 25.4
            assert under - outline.v == pytest.approx(drop - pivot * m)


def test_transition_to_a_ramp() -> None:
    """1 in 12 up from a level run: no step at the axis but for the rail's 38 / cos t."""
    runs = [run([1000], count=8, height=900), run([1500], 2, count=8, height=900, ramp=ramp(atan(1 / 12) * 180 / pi))]
    found = plan(runs)
    (told,) = [p for p in of_level(found.problems, "note") if "undersides over the walking surface" in p.found]
    # 38 hypot(1, 1/12) = 38.13
    assert numbers(told.found) == pytest.approx([862, 900 - 38.13, 0.13], abs=0.051)


def test_rail_over_the_posts_needs_no_bracket_and_seats_on_the_post() -> None:
    rail = {"depth": 38, "width": 89, "sits": "over"}
    over = plan(run([1000, 1000], count=8, height=900, rail=rail, bracket="side plate"))
    between = plan(run([1000, 1000], count=8, height=900, bracket="side plate"))
    assert not [m for face in over.face_by_id.values() for m in face.marks if m.purpose == "bracket"]
    assert [m for face in between.face_by_id.values() for m in face.marks if m.purpose == "bracket"]
    assert over.runs[0].drops == between.runs[0].drops


def test_side_mounted_posts_of_a_stair_may_stand_anywhere() -> None:
    """A post that would hang over a nosing is told on the treads, not on the stringer's side."""
    keys: Keys = {"stair": stair(178, 279, 10, "down"), "bottom_gap": 20, "count": 8, "height": 900}
    on_treads = plan(run([1000, 1000], **keys))
    beside = plan(run([1000, 1000], mount="side", out=50, **keys))
    assert [p for p in of_level(on_treads.problems, "check") if "hangs over" in p.found]
    assert not [p for p in beside.problems if "hangs over" in p.found]
    # its marks lie at the same drops as those of posts on the treads
    for name, where in on_treads.face_by_id.items():
        same = beside.face_by_id[name]
        assert [m.drop for m in same.marks] == pytest.approx([m.drop for m in where.marks])
