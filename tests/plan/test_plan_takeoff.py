"""Cut lengths, hardware and the order to pull in."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import pytest
from hypothesis import given, settings
from jobs_made import SWIVEL, Keys, between, plan, ramp, run, slope_of

FEW = settings(max_examples=30)
PIN: Keys = {
    "outline": [30, 60],
    "flange": 3,
    "screws": [[0, 20], [0, -20]],
    "screw": "#14 x 2 1/2 in",
    "swivels": "any",
}
PINS: Keys = {"near": PIN | {"pivot": 25, "setback": 50}, "away": PIN | {"pivot": 20, "setback": 80}}
ENDS = {"start": "near", "finish": "away"}


def near(value: float, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def test_level_run_by_hand() -> None:
    """Centres 2000 apart, posts of 89, setbacks 50 and 80: 2000 - 89 - 50 - 80 = 1781."""
    made = plan(run([1000, 1000], count=9, **ENDS), fitting=PINS)
    assert [(cut.run, cut.cable) for cut in made.takeoff.cables] == [("A", number) for number in range(1, 10)]
    assert {round(cut.length, 9) for cut in made.takeoff.cables} == {1781.0}
    more = plan(run([1000, 1000], count=9, **ENDS), fitting=PINS, cable={"trim": 25})
    assert more.takeoff.cables[0].length == near(1806)


def test_spans_measured_clear_and_along_the_rake() -> None:
    """Clear 911 each between posts of 89 is 1000 from centre to centre."""
    keys = {"posts": ["1", "2", "3"], "clear": [911, 911], "count": 9, **ENDS}
    assert plan(keys, fitting=PINS).takeoff.cables[0].length == near(1781)
    sloped = {"posts": ["1", "2", "3"], "slope": [1000, 1000], "count": 9, "ramp": ramp(20.0), **ENDS}
    made = plan(sloped, fitting=PINS)
    assert made.posts[-1].prism.base.x == near(2000 * cos(radians(20)))
    assert made.posts[-1].prism.base.z == near(2000 * sin(radians(20)))


@FEW
@given(degrees=between(1, 29), span=between(700, 2000))
def test_raked_run(degrees: float, span: float) -> None:
    """Pivots 2 span - 89 - 25 - 20 apart, level; over cos t along the cable; less (50 - 25) and (80 - 20)."""
    made = plan(run([span, span], count=8, ramp=ramp(degrees), **ENDS), fitting=PINS)
    t = slope_of({"ramp": ramp(degrees)})
    expected = (2 * span - 89 - 45) / cos(t) - 25 - 60
    assert all(cut.length == near(expected) for cut in made.takeoff.cables)


@FEW
@given(angle=between(-44, 44))
def test_run_round_a_corner(angle: float) -> None:
    """The second run leaves its square corner post askew: its pivot's plane is (44.5 + 25) / cos a off the axis."""
    hand = "left" if angle > 0 else "right"
    second = run([1500], 2, count=8, turn=f"{hand} {abs(angle)} deg", **ENDS)
    made = plan([run([1000], count=8, **ENDS), second], fitting=PINS)
    askew = (44.5 + 25) / cos(radians(angle))
    straight = 44.5 + 20
    expected = 1500 - askew - straight - 25 - 60
    found = [cut.length for cut in made.takeoff.cables if cut.run == "B"]
    assert found == [near(expected)] * 8


def test_corner_and_rake_together_by_hand() -> None:
    """A ramp of 20 degrees that leaves its corner post at 30: 1500 - 69.5 / cos 30 - 64.5 = 1355.2485 level."""
    second = run([1500], 2, count=8, turn="left 30 deg", ramp=ramp(20.0), **ENDS)
    made = plan([run([1000], count=8, **ENDS), second], fitting=PINS)
    length = next(cut.length for cut in made.takeoff.cables if cut.run == "B")
    assert 1500 - 69.5 / cos(radians(30)) - 64.5 == near(1355.248, 1e-3)
    assert length == near(1355.2483 / cos(radians(20)) - 85, 1e-3)


@pytest.mark.parametrize(("count", "order"), [(1, (1,)), (4, (2, 3, 1, 4)), (5, (3, 2, 4, 1, 5))])
def test_tension_from_the_middle_outwards(count: int, order: tuple[int, ...]) -> None:
    """Common practice, no source."""
    made = plan(run([1000], count=count, spacing=80))
    assert made.takeoff.tension_order == (("A", order),)


def test_hardware_is_counted() -> None:
    keys = run([1000, 1000], count=9, bracket="side plate", bottom_rail={"depth": 38}, bottom_gap=50)
    counted = dict(plan([keys, run([1000], 3, count=5, turn="left 90 deg", **SWIVEL)]).takeoff.hardware)
    assert counted["fixed plate"] == counted["take-up plate"] == 9
    assert counted["fixed swivel"] == counted["take-up swivel"] == 5
    assert counted["side plate"] == 8  # two rails on each of the first run's 4 faces
    assert counted["#14 x 2 1/2 in"] == 36  # 18 plates of 2
    assert counted["#10 x 2 in"] == 40  # 10 swivels of 4
    assert counted["#10 x 1 1/2 in"] == 16  # 8 brackets of 2


def test_pivot_height_does_not_change_the_length() -> None:
    raised = {"near": PINS["near"] | {"pivot": [25, 9]}, "away": PINS["away"]}
    assert plan(run([2000], count=8, ramp=ramp(15.0), **ENDS), fitting=raised).takeoff.cables[0].length == near(
        (2000 - 134) / cos(radians(15)) - 85
    )
