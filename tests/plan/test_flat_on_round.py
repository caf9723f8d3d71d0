"""A flat plate on a round post: its edges stand off, by how much, and what helps."""

from __future__ import annotations

import pytest
from jobs_made import Keys, job, run

from jiggen.plan.make import make_plan
from jiggen.problems import Problem


def told(post: Keys, wide: float = 40) -> list[Problem]:
    plate: Keys = {
        "outline": [wide, 36],
        "screws": [[0, 12], [0, -12]],
        "screw": "M6 x 12 mm",
        "pivot": 15,
        "swivels": "any",
        "setback": 40,
    }
    found = make_plan(job(run([900, 900], start="lug", finish="lug"), post={"pole": post}, fitting={"lug": plate}))
    return [problem for problem in found.problems if "stand off" in problem.found]


@pytest.mark.parametrize(
    ("diameter", "wide", "off"),
    [
        (120, 40, "3.4 mm"),  # 60 - sqrt(3600 - 400) = 60 - 56.569 = 3.431
        (100, 60, "10.0 mm"),  # 50 - sqrt(2500 - 900) = 50 - 40 = 10
        (50, 60, "25.0 mm"),  # wider than the post: all of its radius
    ],
)
def test_edges_of_a_flat_plate_stand_off(diameter: float, wide: float, off: str) -> None:
    (problem,) = told(
        {"shape": "round", "diameter": diameter, "material": "douglas fir"}, wide
    )  # once, not for each end
    assert problem.level == "check" and problem.where == "post.pole"
    assert problem.found.endswith(f"stand off {off}") and f"{wide}.0 mm wide" in problem.found
    assert "saddle washer" in problem.remedy and "narrower plate" in problem.remedy
    assert ("plane a flat" in problem.remedy) == (wide < diameter)


def test_no_flat_is_planed_on_a_tube() -> None:
    tube: Keys = {"shape": "round", "diameter": 60.3, "wall": 3, "material": "steel"}
    (problem,) = told(tube)
    assert "plane" not in problem.remedy and "saddle washer" in problem.remedy


def test_nothing_is_said_where_it_does_not_matter() -> None:
    """A square post; and 10 mm on a diameter of 120: 60 - sqrt(3600 - 25) = 0.21 mm."""
    assert told({"width": 89, "material": "douglas fir"}) == []
    assert told({"shape": "round", "diameter": 120, "material": "douglas fir"}, 10) == []
