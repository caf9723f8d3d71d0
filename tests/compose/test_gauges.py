"""Paper gauges stand as the sketch beside them shows: up, down on their tip, or lying flat for bores to a side."""

from __future__ import annotations

from math import atan2, degrees

import pytest
from jobs_made import Keys, plan, ramp, run

from jiggen.compose.bench import Strip, strip
from jiggen.compose.flatgauge import asides, flat_gauges, flat_height
from jiggen.compose.gauge import gauges, gauges_height
from jiggen.drawing.scene import Ink, Path, Pen, Text
from jiggen.geometry import Point
from jiggen.plan.model import Plan

STUD: Keys = {
    "outline": [20, 20],
    "flange": 2,
    "bore": 8,
    "at_rake": True,
    "setback": 38,
    "travel": 25,
}
WOOD: Keys = {"timber": {"width": 140, "material": "douglas fir"}}


def strips(made: Plan) -> dict[str, Strip]:
    """Every sheet's strip by the first of its faces."""
    return {group.strip[0]: strip(made, group, 190.0) for group in made.groups}


def cut_out(pen: Pen) -> tuple[Point, ...]:
    (shape,) = [shape for shape in pen.shapes if isinstance(shape, Path) and shape.ink is Ink.CUT]
    return shape.points


def words(pen: Pen) -> list[str]:
    return [shape.text for shape in pen.shapes if isinstance(shape, Text)]


@pytest.mark.parametrize(("toward", "up"), [("2/toward 1", True), ("2/toward 3", False)])
def test_a_gauge_stands_as_it_is_held_with_the_post_on_its_right(toward: str, up: bool) -> None:
    made = plan(run([1200, 1200], count=9, height=900, ramp=ramp(30)), post=WOOD)
    pen = Pen()
    gauges(strips(made)[toward], pen, 0.0)
    points = cut_out(pen)
    right = max(point.x for point in points)
    square, tip = sorted((point for point in points if point.x == right), key=lambda point: point.y, reverse=not up)
    (outer,) = [point for point in points if point.x < right]
    assert outer.y == square.y  # the level edge is below to bore up, above to bore down
    rise = degrees(atan2(tip.y - outer.y, tip.x - outer.x))  # the way the drill goes in
    assert rise == pytest.approx(30.0 if up else -30.0)
    assert f"ANGLE GAUGE, BORE {'UP' if up else 'DOWN'} 30.0°: CUT OUT" in words(pen)


@pytest.mark.parametrize("turn", [40, -40])
def test_a_bore_to_a_side_has_a_gauge_that_lies_flat(turn: int) -> None:
    """Where a corner is bisected each run meets its face 20 degrees off square: half of the turn."""
    ends: Keys = {"count": 4, "height": 800, "start": "stud", "finish": "stud"}
    runs = [run([900], **ends), run([900], 2, turn=f"{turn} deg", stagger=40, **ends)]
    turned = {"timber": {**WOOD["timber"], "rotate": "bisect"}}
    made = plan(runs, post=turned, fitting={"stud": STUD})
    (found,) = [one for name, one in strips(made).items() if name == "2/toward 1"]
    (aside,) = asides(found)
    ((_, right),) = aside.faces
    assert degrees(aside.angle) == pytest.approx(20.0)
    assert right is (found.first.marks[0].axis.x > 0.0)
    pen = Pen()
    flat_gauges(found, pen, 0.0)
    points = cut_out(pen)
    top, low = max(point.y for point in points), min(point.y for point in points)
    pick = max if right else min
    hole, outer = (pick((p for p in points if p.y == y), key=lambda p: p.x) for y in (top, low))
    off = degrees(atan2(hole.x - outer.x, hole.y - outer.y))  # the drill goes up the page, into the post
    assert off == pytest.approx(20.0 if right else -20.0)
    assert gauges_height(found) == flat_height(found) > 50.0
    assert f"BORE {'RIGHT' if right else 'LEFT'} 20.0°" in words(pen) and "SEEN FROM ABOVE" in words(pen)


def test_a_square_bore_has_no_gauge() -> None:
    made = plan(run([900, 900], count=4, height=800), post=WOOD)
    assert all(gauges_height(found) == 0.0 and not asides(found) for found in strips(made).values())
