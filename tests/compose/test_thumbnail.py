"""The thumbnail in a sheet's band shows the post cut across as it is."""

from __future__ import annotations

from math import hypot, pi

import pytest
from jobs_made import Keys, job, run

from jiggen.build import survey
from jiggen.compose.band import _section
from jiggen.compose.bench import strip
from jiggen.drawing.scene import Fill, Pen
from jiggen.geometry import Point


def cut(kind: Keys) -> tuple[Fill, float]:
    """The section drawn about (0, 0), 10 mm at its widest, and the mm of paper for a mm of post."""
    plan = survey(
        job(run([900, 1000], count=4, height=800, start="fixed stud", finish="fixed stud"), post={"a": kind})
    ).plan
    bench, pen = strip(plan, plan.groups[0], 176.0).first, Pen()
    scale = 10.0 / max(bench.post.prism.size_along, bench.post.prism.size_across)
    _section(pen, bench, Point(0.0, 0.0), scale)
    (shape,) = pen.shapes
    assert isinstance(shape, Fill)
    return shape, scale


def area(points: tuple[Point, ...]) -> float:
    ends = zip(points, points[1:] + points[:1], strict=True)
    return sum(a.x * b.y - b.x * a.y for a, b in ends) / 2.0


@pytest.mark.parametrize(
    ("kind", "wanted"),
    [
        ({"width": 89, "material": "redwood"}, 100.0),  # 10 x 10
        ({"shape": "rectangular", "along": 40, "across": 100, "material": "redwood"}, 40.0),  # 4 x 10
        ({"shape": "round", "diameter": 100, "material": "redwood"}, 25 * pi),
        ({"shape": "octagon", "width": 100, "material": "redwood"}, 200 * (2**0.5 - 1)),  # 2 w^2 (sqrt 2 - 1)
        # walls of 20 of 100 are 2 of 10: the hole is 6 wide
        ({"width": 100, "wall": 20, "material": "steel"}, 100 - 36.0),
        ({"shape": "round", "diameter": 100, "wall": 20, "material": "steel"}, pi * (25 - 9)),
        # a wall of 3 of 60 would be 0.5 wide: 1.2, to be seen; 10 x 10 less 7.6 x 7.6
        ({"width": 60, "wall": 3, "material": "steel"}, 100 - 7.6**2),
        # a sleeve over wood is full
        ({"width": 120, "wall": 4, "core": 89, "material": "southern pine"}, 100.0),
    ],
)
def test_black_is_what_is_not_hollow(kind: Keys, wanted: float) -> None:
    shape, _ = cut(kind)
    assert area(shape.points) == pytest.approx(wanted, rel=0.01)  # a circle drawn with 36 corners lacks 0.5 %


def test_round_post_is_drawn_round() -> None:
    shape, scale = cut({"shape": "round", "diameter": 100, "material": "redwood"})
    assert {round(hypot(*point), 6) for point in shape.points} == {5.0}
    assert scale == pytest.approx(0.1)
