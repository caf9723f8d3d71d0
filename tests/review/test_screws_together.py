"""Screws on a rake: pull and shear at once against a sum by hand, and what is told where shear cannot be judged."""

from __future__ import annotations

import re
from math import cos, pi, radians, sin
from typing import Any

import pytest
from jobs_made import TIMBER, Keys, plan, ramp, run
from reviewed import number

from jiggen.problems import Problem
from jiggen.review import review

COLD = 130_000.0 * 0.760 * pi * 3.2**2 / 4.0 * 12.5e-6 * 36.0  # N that the coldest day adds in a frame of wood


def ends(screw: str, tension: float, post: Keys = TIMBER, count: int = 2, **keys: Any) -> list[Problem]:
    """What the review says of the end fittings of a ramp of 28 degrees."""
    places = [[0, 12 * index - 6 * (count - 1)] for index in range(count)]
    plate: Keys = {"outline": [30, 90], "flange": 3, "screws": places, "screw": screw, "pivot": 25, "swivels": "any"}
    plate |= {"setback": 50, "travel": 38, **keys}
    ends_with = {"start": "plate", "finish": "plate"}
    made = plan(
        run([1000], height=1000, count=3, ramp=ramp(28.0), **ends_with),
        fitting={"plate": plate},
        post={"timber": post},
        cable={"tension": tension},
    )
    return [problem for problem in review(made) if problem.where.endswith(", plate")]


def test_pull_and_shear_by_hand() -> None:
    """Two #10 x 2 in in G 0.50 under 3 mm. Straight out (NDS 12.2-2, from memory): 1833.9 N, as in the level's test.

    Along the face (NDS 12.3.1, mode IIIs of the six; root 3.861 mm, Fe 16600 x 0.5^1.84 psi = 31.97, steel 426.4,
    Fyb 80 ksi = 551.6 N/mm2): Re = 0.07497; k3 = -1 + sqrt(2 x 1.07497 / 0.07497 + 2 x 551.6 x 2.07497 x 3.861^2 /
    (3 x 31.97 x 3^2)) = -1 + sqrt(28.68 + 39.53) = 7.259; 7.259 x 3.861 x 3 x 31.97 / 2.07497 / 2.2 x 0.9 = 530.0;
    two: 1060 N. Both at 28 degrees (NDS 12.4): 1 / (cos^2 28 / 1833.9 + sin^2 28 / 1060) = 1579.7 N.
    """
    assert 1 / (cos(radians(28)) ** 2 / 1833.9 + sin(radians(28)) ** 2 / 1060.0) == pytest.approx(1579.7, abs=0.5)
    assert ends("#10 x 2 in", 1578.0 - COLD) == []
    (problem, other) = ends("#10 x 2 in", 1800.0 - COLD)
    assert (problem.level, other.found) == ("check", problem.found)
    assert problem.source.startswith("NDS 12.2, 12.3 and 12.4")
    assert number(r"hold ([\d.]+) N at this angle", problem.found) == pytest.approx(1580, abs=1.0)
    assert number(r"([\d.]+) N straight out", problem.found) == pytest.approx(1834, abs=0.5)
    assert number(r"([\d.]+) N along the face", problem.found) == pytest.approx(1060, abs=1.0)
    assert number(r"pulls ([\d.]+) N", problem.found) == pytest.approx(1800, abs=0.5)
    assert number(r"tightest: ([\d.]+) N out", problem.found) == pytest.approx(1800 * cos(radians(28)), abs=0.5)
    assert number(r"and ([\d.]+) N sideways", problem.found) == pytest.approx(1800 * sin(radians(28)), abs=0.5)
    assert ends("#10 x 2 in", 1582.0 - COLD)


def test_what_cures_pull_and_shear_and_no_less() -> None:
    """The screws that the remedy counts hold both, one less does not; likewise longer ones, by lengths as sold."""
    problem = ends("#10 x 2 in", 1900.0 - COLD)[0]
    count = re.search(r"use (\d+) such screws", problem.remedy)
    assert count
    assert ends("#10 x 2 in", 1900.0 - COLD, count=int(count[1])) == []
    assert int(count[1]) == 3
    longer = re.search(r"screws ([\d.]+) mm long", problem.remedy)
    assert longer
    assert ends(f"#10 x {longer[1]} mm", 1900.0 - COLD) == []
    assert longer[1] == "75" and ends("#10 x 65 mm", 1900.0 - COLD)  # sold: ... 50, 65, 75


def test_lag_screws_that_are_named_hold() -> None:
    problem = ends("#10 x 2 in", 2000.0)[0]
    size = re.search(r"(\d+) mm lag screws (\d+) mm long", problem.remedy)
    assert size
    assert ends(f"lag {size[1]} mm x {size[2]} mm", 2000.0) == []


def test_a_bolt_takes_the_whole_pull() -> None:
    """What a through-bolt is for: the whole pull at its tightest, rounded up to a newton."""
    problem = ends("#10 x 2 in", 4000.0, {**TIMBER, "material": "western red cedar"})[0]
    hit = re.search(r"through-bolt for (\d+) N", problem.remedy)
    assert hit
    assert 0.0 <= float(hit[1]) - (4000.0 + COLD) < 1.0


def test_shear_is_said_to_be_unjudged_where_the_flange_is_not_known_or_a_sleeve_lies_between() -> None:
    (first, _) = ends("#14 x 2 1/2 in", 500.0, flange=0)
    assert first.level == "check" and "flange" in first.remedy
    assert number(r"the ([\d.]+) N along the face", first.found) == pytest.approx(
        (500 + COLD) * sin(radians(28)), abs=0.5
    )
    sleeve = {"width": 127, "wall": 4, "core": 115, "material": "douglas fir"}
    (sleeved, _) = ends("#14 x 2 1/2 in", 500.0, sleeve)
    assert "sleeve" in sleeved.found and "through-bolt" in sleeved.remedy


def test_no_deeper_than_the_wood_in_the_sleeve() -> None:
    """A core of 60 in a sleeve of 127: wall 4 and gap 29.5 before it, 93.5 to its far side; with 3 of flange 96.5."""
    sleeve = {"width": 127, "wall": 4, "core": 60, "material": "douglas fir"}
    for problem in ends("#10 x 75 mm", 1500.0, sleeve):
        longer = re.search(r", screws ([\d.]+) mm long|use screws ([\d.]+) mm long", problem.remedy)
        assert longer is None or float(longer[1] or longer[2]) < 96.5
    assert ends("#10 x 75 mm", 1500.0, sleeve)
