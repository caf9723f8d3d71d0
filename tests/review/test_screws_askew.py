"""Screws on a face that the cables leave askew, and how many of them a flange has room for."""

from __future__ import annotations

from math import asin, cos, degrees, hypot, pi, radians, sin, sqrt, tan
from typing import Any

import pytest
from jobs_made import Keys, plan, ramp, run
from reviewed import number

from jiggen.handbook.screws import parse_screw
from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import review
from jiggen.review.screws import most_screws

COLD = 130_000.0 * 0.760 * pi * 3.2**2 / 4.0 * 12.5e-6 * 36.0  # N that the coldest day adds in a frame of wood
PLATE: Keys = {"outline": [30, 90], "flange": 3, "pivot": 25, "swivels": "any", "setback": 50, "travel": 38}


def made(screw: str, tension: float, turned: float, count: int = 2, ground: float = 0.0, outline: Any = None) -> Plan:
    """A run of one span between posts that stand turned by some degrees: both faces are askew to the cables."""
    places = [[0, 12 * index - 6 * (count - 1)] for index in range(count)]
    plate = {**PLATE, "screws": places, "screw": screw, "outline": outline or PLATE["outline"]}
    keys: Keys = {"height": 1000, "count": 3, "start": "plate", "finish": "plate"}
    if ground:
        keys["ramp"] = ramp(ground)
    timber = {"width": 140, "material": "douglas fir", "rotate": f"{turned} deg"}
    return plan(run([1000], **keys), fitting={"plate": plate}, post={"timber": timber}, cable={"tension": tension})


def ends(*args: Any, **keys: Any) -> list[Problem]:
    return [problem for problem in review(made(*args, **keys)) if problem.where.endswith(", plate")]


def test_a_skewed_face_holds_what_a_raked_one_does() -> None:
    """28 degrees in plan instead of up: #10 x 2 in hold 1833.9 N out and 1060 N aside, at 28 degrees 1579.7 N, for a thin
    screw bears the same along and across the grain. The pull is T cos 28, the shear T sin 28."""
    assert ends("#10 x 2 in", 1578.0 - COLD, 28.0) == []
    (problem, other) = ends("#10 x 2 in", 1800.0 - COLD, 28.0)
    assert other.found == problem.found
    assert number(r"hold ([\d.]+) N at this angle", problem.found) == pytest.approx(1580, abs=1.0)
    assert number(r"tightest: ([\d.]+) N out", problem.found) == pytest.approx(1800 * cos(radians(28)), abs=0.5)
    assert number(r"and ([\d.]+) N sideways", problem.found) == pytest.approx(1800 * sin(radians(28)), abs=0.5)


def test_rake_and_skew_together() -> None:
    """Up 20 degrees and 25 askew in plan: out cos 20 cos 25, across cos 20 sin 25, up sin 20; the shear is both of them."""
    (problem, _) = ends("#10 x 2 in", 3000.0 - COLD, 25.0, ground=20.0)
    out, aside = cos(radians(20)) * cos(radians(25)), hypot(cos(radians(20)) * sin(radians(25)), sin(radians(20)))
    assert out**2 + aside**2 == pytest.approx(1)
    assert number(r"([\d.]+) N at its tightest|tightest: ([\d.]+) N out", problem.found) == pytest.approx(
        3000 * out, abs=0.5
    )
    assert number(r"and ([\d.]+) N sideways", problem.found) == pytest.approx(3000 * aside, abs=0.5)


def most_pulled(turned: float, ground: float) -> float:
    """The largest pull, N, that two 3/8 in lag screws are found to hold."""
    low, high = 500.0, 9000.0
    while high - low > 2.0:
        middle = (low + high) / 2.0
        good = not [p for p in ends("lag 3/8 x 2 1/2 in", middle, turned, ground=ground) if "for good" in p.found]
        low, high = (middle, high) if good else (low, middle)
    return low


def test_a_lag_screw_holds_less_across_the_grain_than_along_it() -> None:
    """The same 25 degrees: in plan the shear lies across the grain, on a rake along it; between them where both are.

    Up t and askew a the shear is sin t up and cos t sin a across; both are sin 25 / 2^0.5 = 0.29884 at t = 17.388 degrees
    and sin a = tan t, a = 18.25 degrees."""
    rise, skew = asin(sin(radians(25)) / sqrt(2)), asin(tan(asin(sin(radians(25)) / sqrt(2))))
    assert (degrees(rise), degrees(skew)) == (pytest.approx(17.388, abs=0.001), pytest.approx(18.25, abs=0.01))
    askew, raked = most_pulled(25.0, 0.0), most_pulled(0.0, 25.0)
    assert askew < most_pulled(degrees(skew), degrees(rise)) < raked


@pytest.mark.parametrize(
    ("outline", "screw", "count"),
    [
        (
            (30, 90),
            "#10 x 2 in",
            8,
        ),  # 4.826: (30 - 14.478) / 12.065 = 1.29, 2 beside; (90 - 14.478) / 24.13 = 3.13, 4 up: 8
        ((30, 60), "#10 x 2 in", 4),  # (60 - 14.478) / 24.13 = 1.89: 2 up
        ((20, 40), "#10 x 2 in", 2),  # 5.522 / 12.065: 1 beside; 25.522 / 24.13 = 1.06: 2 up
        ((30, 60), "lag 3/8 x 3 in", 1),  # 9.525: 1.425 / 19.05: 1; 31.425 / 38.1 = 0.82: 1
        ((40, 80), "lag 1/4 x 3 in", 6),  # 6.35: 20.95 / 12.7 = 1.65: 2; 60.95 / 25.4 = 2.4: 3
        ((10, 40), "#10 x 2 in", 0),  # narrower than 3 diameters
    ],
)
def test_room_of_a_flange(outline: tuple[float, float], screw: str, count: int) -> None:
    fitting = made("#10 x 2 in", 1000, 0.0, outline=list(outline), count=1).job.fittings["plate"]
    assert most_screws(fitting, parse_screw(screw)) == count


def test_more_screws_than_the_flange_has_room_for_are_not_named() -> None:
    """3 of #10 would hold 2500 N (917 each), and a flange of 30 by 60 has room for 4, one of 20 by 40 for 2."""
    roomy, small = (ends("#10 x 2 in", 2500.0 - COLD, 0.0, outline=size) for size in ([30, 60], [20, 40]))
    assert "use 3 such screws" in roomy[0].remedy
    assert "such screws" not in small[0].remedy and "screws" in small[0].remedy and small[0].cures
