"""Where the cables of a run lie, against closed formulas, on level, ramp and stair."""

from __future__ import annotations

from math import cos, floor, tan
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from jobs_made import Keys, between, only_run, plan, ramp, run, slope_of, stair

FEW = settings(max_examples=40)
EASY = {"tension": 20000, "side_force": 4, "coldest": "18 degC", "hottest": "18 degC", "loss": 0}
RAIL = 38.0
CABLE = 3.2  # the default of a metric job
IRC_LEVEL, IRC_STAIR = 101.6, 111.125  # 4 in and 4 3/8 in, IRC R312.1.3

grounds = st.one_of(
    st.just({}),
    st.builds(ramp, between(1, 29), st.sampled_from(["up", "down"])).map(lambda found: {"ramp": found}),
    st.builds(stair, between(120, 210), between(220, 350), between(60, 150), st.sampled_from(["up", "down"])).map(
        lambda found: {"stair": found}
    ),
)
bottoms = st.one_of(
    st.just({}),
    st.builds(lambda gap: {"bottom_gap": gap}, between(0, 120)),
    st.builds(
        lambda gap, depth: {"bottom_gap": gap, "bottom_rail": {"depth": depth}}, between(0, 120), between(20, 60)
    ),
)


def near(value: float) -> Any:
    return pytest.approx(value, abs=1e-6)


def room(keys: Keys, height: float) -> float:
    """A: from the underside to what closes the bottom, square to the cables."""
    t = slope_of(keys)
    # vertical: height less rail / cos t, less gap, less bottom rail / cos t; square to the cables: times cos t
    bottom = keys.get("bottom_gap", 0.0) + keys.get("bottom_rail", {"depth": 0.0})["depth"] / cos(t)
    return (height - RAIL / cos(t) - bottom) * cos(t)


def ends_at_cable(keys: Keys) -> bool:
    """Whether the lowest cable itself closes the bottom: a gap and no rail under it."""
    return "bottom_gap" in keys and "bottom_rail" not in keys


@FEW
@given(ground=grounds, bottom=bottoms, height=between(850, 1300), count=st.integers(1, 18))
def test_count_gives_equal_openings(ground: Keys, bottom: Keys, height: float, count: int) -> None:
    assume("stair" not in ground or bottom)  # a stair always has a gap; not given, the rules choose it
    keys = {**ground, **bottom}
    line = only_run(plan(run([1500, 1400], height=height, count=count, **keys)))
    a, t, closing = room(keys, height), slope_of(keys), 0 if ends_at_cable(keys) else 1
    g = (a - count * CABLE) / (count + closing)  # n openings, or n + 1, and n cables fill A
    assert line.openings == tuple(near(g) for _ in range(count + closing))
    assert sum(line.openings) + count * CABLE == near(a)
    assert line.spacing == near(g + CABLE)
    # cable k: k openings and k - 1/2 cables below the underside, square; over cos t: vertical
    assert line.drops == tuple(near((k * g + (k - 0.5) * CABLE) / cos(t)) for k in range(1, count + 1))
    assert line.closes == ("bottom rail" if "bottom_rail" in keys else "cable" if ends_at_cable(keys) else "deck")


def test_count_by_hand() -> None:
    """10 cables of 3.2 under a rail of 38, 1000 high, bottom rail 40 on a gap of 50."""
    line = only_run(plan(run([1500], height=1000, count=10, bottom_gap=50, bottom_rail={"depth": 40})))
    # A = 1000 - 38 - 40 - 50 = 872; g = (872 - 32) / 11 = 76.363636
    assert line.openings == tuple(near(840 / 11) for _ in range(11))
    assert line.drops[0] == near(840 / 11 + 1.6)
    assert line.drops[-1] == near(872 - 840 / 11 - 1.6)


@FEW
@given(
    ground=grounds,
    bottom=bottoms,
    spacing=between(50, 95),
    first=st.none() | between(20, 100),
    height=between(900, 1200),
)
def test_spacing_steps_down_from_the_underside(
    ground: Keys, bottom: Keys, spacing: float, first: float | None, height: float
) -> None:
    assume(not ends_at_cable(bottom) and ("stair" not in ground or bottom))
    keys = {**ground, **bottom}
    said = {} if first is None else {"first": first}
    line = only_run(plan(run([1500, 1400], height=height, spacing=spacing, **said, **keys)))
    t, a, start = slope_of(keys), room(keys, height), spacing if first is None else first
    n = len(line.drops)
    # cable k at first + (k - 1) spacing, square to the cables: over cos t vertically
    assert line.drops == tuple(near((start + k * spacing) / cos(t)) for k in range(n))
    between = [start - CABLE / 2] + [spacing - CABLE] * (n - 1)
    last = a - (start + (n - 1) * spacing) - CABLE / 2
    assert line.openings == tuple(near(opening) for opening in [*between, last])
    limit = IRC_STAIR if "stair" in ground else IRC_LEVEL
    assert last < limit  # the fewest whose bottom opening passes ...
    assert last + spacing >= limit or n == 1  # ... one fewer would leave its place open too


@FEW
@given(ground=grounds, gap=between(0, 100), spacing=between(50, 95), height=between(900, 1200))
def test_gap_without_bottom_rail_is_the_most_left_open(ground: Keys, gap: float, spacing: float, height: float) -> None:
    line = only_run(plan(run([1500, 1400], height=height, spacing=spacing, bottom_gap=gap, **ground)))
    t = slope_of(ground)
    c = cos(t)
    clear = height - RAIL / c
    n = len(line.drops)
    # left open under the lowest cable, vertically: its lower edge is half a cable / cos t under its centre
    left = clear - (n * spacing + CABLE / 2) / c
    assert line.gap == near(left)
    assert left >= -1e-6  # never below the reference line
    assert len(line.openings) == n
    fewest = left + spacing / c > gap
    no_more = left - spacing / c < 0
    assert (left <= gap + 1e-6 and fewest) or (left > gap and no_more)


def test_gap_on_a_ramp_is_judged_square_to_the_cables() -> None:
    """On 28 degrees a gap of 108 mm upright is 95.4 mm square: it passes 101.6 and is what the job allows."""
    ground = {"ramp": ramp(28.0)}
    t = slope_of(ground)
    # four cables at 60, first at 60: lower edge of the lowest 240 + 1.6 square below the underside
    height = (241.6 + RAIL) / cos(t) + 107.0
    line = only_run(plan(run([1500], height=height, spacing=60, bottom_gap=108, **ground)))
    # 107 upright is left under the fourth: 107 x cos 28 = 94.5 under 101.6, and under the 108 asked for
    assert len(line.drops) == 4
    assert line.gap == near(107.0)


@FEW
@given(
    ground=grounds, bottom=bottoms, spacing=between(40, 95), count=st.integers(1, 7), first=st.none() | between(20, 90)
)
def test_spacing_and_count_are_taken_as_they_are(
    ground: Keys, bottom: Keys, spacing: float, count: int, first: float | None
) -> None:
    assume("stair" not in ground or bottom)
    said = {} if first is None else {"first": first}
    line = only_run(plan(run([1500], height=1100, spacing=spacing, count=count, **said, **ground, **bottom)))
    t, start = slope_of(ground), first or spacing
    assert line.spacing == near(spacing)
    assert line.drops == tuple(near((start + k * spacing) / cos(t)) for k in range(count))
    if ends_at_cable(bottom):  # the bottom gap gives way
        lower = (start + (count - 1) * spacing + CABLE / 2) / cos(t)
        assert line.gap == near(1100 - RAIL / cos(t) - lower)


@settings(max_examples=25)
@given(ground=grounds, bottom=bottoms, height=between(900, 1200), step=st.sampled_from([0.5, 1.0, 2.0]))
def test_neither_takes_the_largest_spacing_that_passes(ground: Keys, bottom: Keys, height: float, step: float) -> None:
    """One bay, held taut, without play: what the side force adds is under 0.1 mm and the limits at rest decide."""
    assume("stair" not in ground or bottom)
    keys = {**ground, **bottom}
    line = only_run(plan(run([400], height=height, **keys), cable=EASY, job={"round_to": step}))
    limit = IRC_STAIR if "stair" in ground else IRC_LEVEL
    most = floor((limit - 0.1 + CABLE) / step) * step
    a, n = room(keys, height), len(line.drops)
    closing = 0 if ends_at_cable(keys) else 1
    g = (a - n * CABLE) / (n + closing)
    assert line.openings == tuple(near(g) for _ in range(n + closing))  # equal, not rounded again
    assert line.spacing <= most + 1e-6
    assert n == 1 or (a - (n - 1) * CABLE) / (n - 1 + closing) + CABLE > most  # one cable fewer would not do


def test_stair_without_a_gap_stays_under_its_triangle() -> None:
    """A lowest cable that no one placed: loaded, its triangle stays 3 mm under the sphere of 152.4 mm."""
    line = only_run(plan(run([1000], stair=stair(180, 270, 100, overhang=20)), cable=EASY))
    # unit circle 270 + 180 - sqrt(270^2 + 180^2) = 450 - 324.4996 = 125.5004
    # k = 149.4 / 125.5004 = 1.190434; h = 180 x (1.190434 - 1 - 20 / 270) = 20.945
    unit = 270 + 180 - (270**2 + 180**2) ** 0.5
    highest = 180 * ((152.4 - 3.0) / unit - 1 - 20 / 270)
    assert highest == pytest.approx(20.945, abs=0.001)
    assert line.gap == pytest.approx(highest, abs=0.1)  # less the 0.05 mm that this cable gives
    assert line.gap < highest


def test_height_is_over_the_reference_line() -> None:
    line = only_run(plan(run([1200], height=1000, count=9, ramp=ramp(20.0), bottom_gap=60)))
    t = slope_of({"ramp": ramp(20.0)})
    assert line.drops[-1] + CABLE / 2 / cos(t) + line.gap == near(1000 - RAIL / cos(t))
    assert line.slope == near(tan(t))
