"""Fittings that stand square to their face: the angle at which a cable may leave them, and what they need to hold in."""

from __future__ import annotations

from math import degrees, radians, tan

import pytest
from jobs_made import TUBE, Keys, of_level, plan, run

from jiggen.plan.rigid import leaving

STUD: Keys = {"outline": [12, 12], "flange": 2, "bore": 8, "setback": 38, "travel": 25}


def test_the_angle_of_slope_and_skew_together() -> None:
    """cos 30 x cos 40 = 0.866025 x 0.766044 = 0.663414: 48.4385 degrees."""
    assert degrees(leaving(tan(radians(30)), radians(40))) == pytest.approx(48.4385, abs=1e-3)
    assert leaving(0.0, 0.0) == 0.0
    assert degrees(leaving(-tan(radians(12)), 0.0)) == pytest.approx(12.0)


@pytest.mark.parametrize(("turn", "level"), [(4.0, "check"), (5.0, "check"), (5.2, "stop"), (30.0, "stop")])
def test_a_turn_leaves_a_stud_askew(turn: float, level: str) -> None:
    """Post 2 stands square to the first run: the second leaves it by the whole turn."""
    ends: Keys = {"count": 6, "height": 900, "start": "own", "finish": "own"}
    found = plan(
        [run([900], **ends), run([900], 2, turn=f"left {turn} deg", stagger=30, **ends)],
        post={"post": {"width": 140, "material": "douglas fir", "rotate": "0 deg"}},
        fitting={"own": STUD},
    )
    told = [p for p in found.problems if "is rigid and screwed square" in p.found]
    assert [(p.where, p.level) for p in told] == [("2/toward 3", level)]
    assert f"{turn:.1f} degrees" in told[0].found and "bored at the cable's angle" in told[0].remedy


@pytest.mark.parametrize(
    ("post", "stud", "stopped"),
    [
        (TUBE, {"bore_depth": 50}, True),
        ({"width": 60, "material": "douglas fir"}, {"bore_depth": 50}, False),  # solid: it is held all along
        ({**TUBE, "wall": 6}, {"bore_depth": 5}, False),  # no deeper than the wall
        (TUBE, {"washer": 16}, False),  # through the post, a nut behind it
        (
            {"width": 100, "wall": 5, "core": 89, "material": "douglas fir"},
            {"bore_depth": 50},
            False,
        ),
    ],
)
def test_a_stud_for_wood_needs_wood_behind_the_wall(post: Keys, stud: Keys, stopped: bool) -> None:
    found = plan(
        run([900], count=6, height=900, start="own", finish="own"),
        post={"post": post},
        fitting={"own": {**STUD, **stud}},
    )
    told = [p for p in of_level(found.problems, "stop") if "nothing holds it behind a wall" in p.found]
    assert [p.where for p in told] == (["1/toward 2", "2/toward 1"] if stopped else [])
    assert all("50.0 mm" in p.found and "wall of 3.0 mm" in p.found for p in told)


@pytest.mark.parametrize(("deep", "told"), [(59, 0), (61, 2)])
def test_a_stud_longer_than_its_post_is_thick_is_told(deep: float, told: int) -> None:
    """60 mm of wood: a bore of 59 mm stops in it, one of 61 mm comes out; at both ends, and not of a stud meant to."""
    for stud, count in (({"bore_depth": deep}, told), ({"washer": 16}, 0)):
        found = plan(
            run([900], count=6, height=900, start="own", finish="own"),
            post={"post": {"width": 60, "material": "douglas fir"}},
            fitting={"own": {**STUD, **stud}},
        )
        checks = [p for p in of_level(found.problems, "check") if "comes out at the other side" in p.found]
        assert len(checks) == count
        assert all(f"is {deep}.0 mm deep, the post 60.0 mm there" in p.found for p in checks)
