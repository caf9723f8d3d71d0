"""Holes and slots in thin walls against a cable sampled through them; posts bought by their trade size."""

from __future__ import annotations

from math import acos, cos, hypot, pi, radians, sin, tan
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_made import INCH, LOW_LUG, Keys, between, face, marks, of_level, only_run, plan, ramp, run, slope_of, stair

from jiggen.plan.model import Mark, PostFace, RunLine

FEW = settings(max_examples=15)
# a cable of 3.2 mm and 2.3 mm of clearance go through 5.5 mm, which is a metric drill: nothing is rounded up
CABLE, CLEARANCE = 3.2, 2.3
EXACT: Keys = {"cable": {"diameter": CABLE, "clearance": CLEARANCE}, "job": {"drills": ["metric"]}}


def near(value: Any, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def made(kind: Keys, **keys: Any) -> tuple[RunLine, list[PostFace]]:
    """A run of three such posts of steel; its line and both faces of the middle one."""
    steel = {"material": "steel", "slot": "file", **kind}
    found = plan(
        run([900, 1000], count=5, height=900, start="lug", finish="lug", **keys),
        post={"post": steel},
        fitting={"lug": LOW_LUG},
        **EXACT,
    )
    return only_run(found), [face(found, "2", "1"), face(found, "2", "3")]


grounds = st.one_of(
    st.builds(ramp, between(3, 29), st.sampled_from(["up", "down"])).map(lambda found: {"ramp": found}),
    st.builds(stair, between(120, 200), between(230, 320), st.just(130.0), st.sampled_from(["up", "down"])).map(
        lambda found: {"stair": found, "bottom_gap": 20}
    ),
)


def through_wall(line: RunLine, mark: Mark, where: PostFace, wall: float) -> Any:
    """(u, v) of points on the skin of a cable, wherever it is within the wall of a flat face."""
    assert mark.cable is not None
    axis = line.line(line.drops[mark.cable - 1])
    way = np.array(axis.direction)
    first = np.cross(way, [0.0, 0.0, 1.0])
    first /= np.linalg.norm(first)
    second = np.cross(first, way)
    frame = where.frame
    normal, right, up, origin = (np.array(v) for v in (frame.normal, frame.right, frame.up, frame.origin))
    turns = np.linspace(0, 2 * pi, 721)
    rim = np.array(axis.point) + CABLE / 2 * (np.cos(turns)[:, None] * first + np.sin(turns)[:, None] * second)
    found = []
    for deep in np.linspace(0, wall, 9):
        reach = (-deep - (rim - origin) @ normal) / (way @ normal)
        points = rim + reach[:, None] * way - origin
        found.append(np.stack([points @ right, points @ up], axis=1))
    return np.concatenate(found)


@FEW
@given(ground=grounds, size=between(30, 90), wall=between(1, 6), turned=between(-20, 20))
def test_slot_in_a_flat_wall(ground: Keys, size: float, wall: float, turned: float) -> None:
    """Its middle in the wall's middle; as long and as wide as the sampled cable and its clearance."""
    kind = {"width": size, "wall": wall, "rotate": f"{turned!r} deg"}
    line, faces = made(kind, **ground)
    f = acos(cos(slope_of(ground)) * cos(radians(turned)))
    for where in faces:
        for mark in marks(where, "cable"):
            points = through_wall(line, mark, where, wall)
            middle = (points.max(axis=0) + points.min(axis=0)) / 2
            assert (mark.u, mark.v) == near(tuple(middle), 1e-3)
            along = np.array(mark.slot) / hypot(*mark.slot)
            reach = np.ptp(points @ along)
            assert reach == near(CABLE / cos(f) + wall * tan(f), 1e-3)
            # the two end holes with the slot between them: that and the clearance long, d + clearance wide
            assert 2 * hypot(*mark.slot) + mark.diameter == near(reach + CLEARANCE, 1e-3)
            assert mark.diameter == near(CABLE + CLEARANCE)
            across = np.array([-along[1], along[0]])
            assert np.ptp(points @ across) == near(CABLE, 1e-3)
            # no point of the cable comes nearer to the slot's rim than half the clearance
            off = points - np.array([mark.u, mark.v])
            beyond = np.maximum(np.abs(off @ along) - hypot(*mark.slot), 0.0)
            assert np.hypot(beyond, off @ across).max() <= CABLE / 2 + 1e-6
            assert mark.axis == near((0, 0, 1))


@FEW
@given(ground=grounds, diameter=between(42, 120), wall=between(1.5, 5))
def test_slot_in_a_round_tube(ground: Keys, diameter: float, wall: float) -> None:
    """In the middle of the side that looks along the run, upright: the wall's middle is wall / 2 inside it."""
    line, faces = made({"shape": "round", "diameter": diameter, "wall": wall}, **ground)
    t = slope_of(ground)
    for where in faces:
        x = line.along(where.frame.origin) - (wall / 2 if where.name == "toward 3" else -wall / 2)
        for mark, drop in zip(marks(where, "cable"), line.drops, strict=True):
            base = where.frame.origin.z
            assert (mark.u, mark.v) == near((0, line.underside(x) - drop - base))
            assert mark.slot[0] == near(0)
            # d / cos t + wall tan t and the clearance, ends included
            assert 2 * abs(mark.slot[1]) + mark.diameter == near(CABLE / cos(t) + wall * tan(t) + CLEARANCE)


@pytest.mark.parametrize("kind", [{"width": 50, "wall": 3}, {"shape": "round", "diameter": 60.3, "wall": 3}])
def test_level_cables_leave_round_holes(kind: Keys) -> None:
    line, faces = made(kind)
    for where in faces:
        for mark, drop in zip(marks(where, "cable"), line.drops, strict=True):
            assert mark.slot == (0.0, 0.0)
            assert (mark.u, mark.v, mark.diameter) == near((0, 900 - 38 - drop, CABLE + CLEARANCE))
            assert mark.depth == near(kind["wall"])


@pytest.mark.parametrize("degrees", [4.8, 15, 28])
def test_bored_along_the_cable_each_wall_has_its_own_centre(degrees: float) -> None:
    """``bore = "along"``: centred where the cable meets the outside, an oval over cos t, wall / cos t deep."""
    kind = {"width": 60, "wall": 4, "bore": "along"}
    line, faces = made(kind, ramp=ramp(degrees))
    t = radians(degrees)
    for where in faces:
        x = line.along(where.frame.origin)
        for mark, drop in zip(marks(where, "cable"), line.drops, strict=True):
            assert mark.v == near(line.underside(x) - drop - where.frame.origin.z)
            assert mark.slot == (0.0, 0.0)
            assert mark.oval == near((5.5, 5.5 / cos(t)))
            assert mark.depth == near(4 / cos(t))
            assert mark.axis.y == near(sin(t) if where.name == "toward 1" else -sin(t))


def test_sleeve_over_wood_is_bored_along_the_cable() -> None:
    """A sleeve with a core is bored in one go from face to face."""
    found = plan(
        run([900, 900], count=5, height=900, ramp=ramp(10)),
        post={"post": {"width": 127, "wall": 4, "core": 89, "material": "southern pine"}},
        **EXACT,
    )
    for mark in marks(face(found, "2", "1"), "cable"):
        assert mark.slot == (0.0, 0.0)
        assert mark.depth == near(127 / cos(radians(10)))


SIZES = [
    # name, shape, along, across, wall: PS 20 (4x4, 6x6; 2x6 and 4x6 from memory), ASTM A500, ASME B36.10M (from memory)
    ("4x4", "square", 3.5, 3.5, None),
    ("6x6", "square", 5.5, 5.5, None),
    ("4x6", "rectangular", 3.5, 5.5, None),
    ("2x6", "rectangular", 1.5, 5.5, None),
    ("2x2x1/8 tube", "square", 2.0, 2.0, 0.125),
    ("3x2x1/8 tube", "rectangular", 3.0, 2.0, 0.125),
    ("1-1/2 pipe", "round", 1.9, 1.9, 0.145),
    ("2 pipe", "round", 2.375, 2.375, 0.154),
    ("2 pipe schedule 10", "round", 2.375, 2.375, 0.109),
]


@pytest.mark.parametrize(("size", "shape", "along", "across", "wall"), SIZES)
def test_trade_size_in_a_job(size: str, shape: str, along: float, across: float, wall: float | None) -> None:
    """The post's faces stand where its real sizes put them; tube and pipe are hollow."""
    wood = wall is None
    found = plan(
        run([900, 900], count=5, height=900, start="lug", finish="lug"),
        post={"post": {"size": size, "material": "douglas fir" if wood else "steel"}},
        fitting={"lug": LOW_LUG},
    )
    post = found.post_by_id["2"]
    assert post.kind.shape == shape
    assert (post.prism.size_along, post.prism.size_across) == near((along * INCH, across * INCH))
    assert post.kind.wall == (near(wall * INCH) if wall is not None else None)
    where = face(found, "2", "3")
    assert where.frame.origin.x == near(900 + along * INCH / 2)
    assert where.frame.width == near(across * INCH if shape != "round" else pi * across * INCH / 2)
    for mark in marks(where, "cable"):
        assert mark.depth == near(along * INCH if wood else wall * INCH)  # type: ignore[operator]
    assert not [p for p in of_level(found.problems, "stop") if "wall" in p.found]


@FEW
@given(ground=grounds, size=between(30, 90), wall=between(1, 4))
def test_round_hole_in_place_of_a_slot_whose_end_holes_overlap(ground: Keys, size: float, wall: float) -> None:
    """The next drill (0.1 mm apart up to 14) over the slot's length: d / cos t + wall tan t + clearance. Every point of
    the cable stays half the clearance inside it, and up and down there is what the slot would leave."""
    line, faces = made({"width": size, "wall": wall, "slot": "round"}, **ground)
    t = slope_of(ground)
    long = CABLE / cos(t) + wall * tan(t) + CLEARANCE  # at 30 degrees and 4 mm: 3.7 + 2.3 + 2.3, end holes 2.8 apart
    for where in faces:
        for mark in marks(where, "cable"):
            assert mark.slot == (0.0, 0.0) and mark.slotted == 0.0
            if long > 5.55:
                assert mark.replaces == near((5.5, long))
            assert long - 0.011 <= mark.diameter <= long + 0.1
            off = through_wall(line, mark, where, wall) - np.array([mark.u, mark.v])
            assert np.hypot(off[:, 0], off[:, 1]).max() <= mark.diameter / 2 - CLEARANCE / 2 + 0.006


def test_slot_whose_end_holes_do_not_meet_stays_a_slot() -> None:
    """A solid bar 20 mm deep at 29 degrees: the end holes are 3.2 (1 / cos - 1) + 20 tan = 11.5 mm apart, drill 5.5."""
    _, faces = made({"width": 20, "slot": "round"}, ramp=ramp(29))
    (mark, *_) = marks(faces[0], "cable")
    assert 2 * hypot(*mark.slot) == near(CABLE / cos(radians(29)) - CABLE + 20 * tan(radians(29)))
    assert mark.replaces == (0.0, 0.0) and mark.diameter == near(5.5)


@pytest.mark.parametrize("degrees", [0.0, 10.0, 29.0])
@pytest.mark.parametrize("how", ["round", "file"])
def test_play_is_that_of_the_real_hole(degrees: float, how: str) -> None:
    """Room up and down less the cable's shadow d / cos t + wall tan t, square to the cable times cos t. A slot leaves
    exactly the clearance, the round hole that and what its drill is larger."""
    ground = {"ramp": ramp(degrees)} if degrees else {}
    steel = {"width": 60, "wall": 3, "material": "steel", "slot": how}
    found = plan(
        run([900, 1000], count=5, height=900, start="lug", finish="lug", **ground),
        post={"post": steel},
        fitting={"lug": LOW_LUG},
        **EXACT,
    )
    t = radians(degrees)
    (mark, *_) = marks(face(found, "2", "1"), "cable")
    high = mark.diameter + 2 * abs(mark.slot[1])
    wanted = (high - CABLE / cos(t) - 3 * tan(t)) * cos(t)
    held = found.loads[only_run(found).id].strung
    assert held.play == near(wanted)
    assert CLEARANCE * cos(t) - 1e-6 <= held.play <= (CLEARANCE + 0.1) * cos(t) + 1e-6
