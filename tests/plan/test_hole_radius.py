"""How thick a hole counts in a clash: a screw by its shank, a bore by its drill."""

from __future__ import annotations

import pytest
from jobs_made import plan, run

from jiggen.plan.clashes import bodies

SCREW = {"screws": [[0, 22], [0, -22]], "screw": "#14 x 2 1/2 in", "outline": [32, 64], "flange": 3, "setback": 50}


def test_half_of_shank_or_drill() -> None:
    """#14 is 0.060 + 14 x 0.013 = 0.242 in = 6.1468 mm thick (wood screws, ASME B18.6.1): half of it is 3.0734 mm."""
    made = plan(
        run([1200, 1200], start="plate", finish="plate"),
        fitting={"plate": {**SCREW, "pivot": 25, "swivels": "any", "travel": 30}},
    )
    found = [body for post in made.posts for body in bodies(post)]
    screws = [body.capsule.radius for body in found if body.mark.purpose == "screw"]
    assert len(screws) > 20
    assert screws == pytest.approx([3.0734] * len(screws), abs=1e-4)
    bores = [body for body in found if body.mark.purpose == "cable"]
    assert len(bores) > 5
    assert [body.capsule.radius for body in bores] == pytest.approx([body.mark.drill.diameter / 2.0 for body in bores])
