"""Holes that share a piece: each label is unmistakably its own hole's, on pipes and in brackets at a height line."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import hypot

import pytest
from jobs_made import Keys, job, run

from jiggen.build import survey
from jiggen.compose.stands import FRAME
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Drawing, Ink, Line, Oval, Path, Text

Box = tuple[float, float, float, float]


@cache
def pipes() -> list[Drawing]:
    """Pads of two screws on both sides of a pipe of 3 1/2 inches: the second run's lie between a quarter line and a join."""
    pad: Keys = {"outline": [1.25, 2], "flange": 0.125, "screws": [[0, 0.625], [0, -0.625]], "screw": "M6 x 16 mm"}
    pad |= {"pivot": 0.75, "swivels": "any", "setback": 1.875, "travel": 1}
    keys: Keys = {"spacing": 3, "start": "pad", "finish": "pad", "ramp": {"slope": "1 in 12", "goes": "up"}}
    runs = [run([42], 1, deck="right", **keys), run([41], 2, deck="right", turn="right 30 deg", stagger="auto", **keys)]
    rail: Keys = {"depth": 1.5, "width": 1.5, "sits": "over"}
    made = job(
        runs,
        job={"units": "in", "code": "ibc-2021"},
        guard={"height": 42, "rail": rail, "bottom_gap": 2.5},
        post={"pipe": {"shape": "round", "diameter": 3.5, "wall": 0.25, "material": "steel"}},
        fitting={"pad": pad},
        sheet={"paper": "letter"},
    )
    return [one.sheet.drawing for one in survey(made).sheets]


@cache
def brackets() -> list[Drawing]:
    """Side plates at a height line, on a sheet that folds round a post of 90 mm that leans, so that they stand aside."""
    keys: Keys = {"height": 1020, "deck": "left", "spacing": 80, "bottom_gap": 50, "bracket": "side plate"}
    keys |= {"rail": {"depth": 42, "width": 90, "sits": "between"}, "bottom_rail": {"depth": 42, "width": 90}}
    made = job(
        run([1310, 1260], 4, **keys),
        post={"ninety": {"width": 90, "material": "western red cedar"}},
        sheet={"paper": "a4", "kind": "wrap", "datum": "height line"},
        as_built={"5": {"underside": 974, "lean": [4, -6]}},
    )
    return [one.sheet.drawing for one in survey(made).sheets]


def off(box: Box, x: float, y: float) -> float:
    """From a point to a box, mm."""
    return hypot(max(box[0] - x, 0.0, x - box[2]), max(box[1] - y, 0.0, y - box[3]))


def frames(drawing: Drawing) -> list[tuple[str, Box]]:
    """Every number on a sheet with its frame."""
    return [
        (s.text, (s.at.x - FRAME, s.at.y - FRAME, s.at.x + width(s.text, s.height) + FRAME, s.at.y + s.height + FRAME))
        for s in drawing.shapes
        if isinstance(s, Text) and s.ink is Ink.STRONG and not s.angle
    ]


@pytest.mark.parametrize("made", [pipes, brackets])
def test_a_label_is_the_nearest_hole_s_or_a_leader_leads_to_it(made: Callable[[], list[Drawing]]) -> None:
    seen = 0
    for drawing in made():
        holes = [s for s in drawing.shapes if isinstance(s, Oval) and "mark" in dict(s.data)]
        leaders = [s for s in drawing.shapes if isinstance(s, Line) and s.ink is Ink.HATCH]
        told = frames(drawing)
        for hole in holes:
            x, y = hole.centre
            own = [leader.end for leader in leaders if hypot(leader.start.x - x, leader.start.y - y) < hole.rx + 2.1]
            name = dict(hole.data)["mark"].rsplit("/", 1)[1]
            mine = [box for text, box in told if text == name]
            nearest = (all(off(b, x, y) <= off(b, *o.centre) for o in holes) for b in mine)
            assert any(off(b, *end) < 1.0 for b in mine for end in own) or any(nearest), dict(hole.data)
            seen += 1
    assert seen > 20


def test_no_label_lies_across_a_fold() -> None:
    seen = 0
    for drawing in brackets():
        names = {dict(s.data)["mark"].rsplit("/", 1)[1] for s in drawing.shapes if isinstance(s, Oval) and s.data}
        folds = [s.start.x for s in drawing.shapes if isinstance(s, Line) and s.ink is Ink.FOLD]
        for left, _, right, _ in (box for text, box in frames(drawing) if text in names):
            assert folds and not any(left < fold < right for fold in folds)
            seen += 1
    assert seen > 40


def test_no_outline_runs_over_the_datum_through_what_is_written_there() -> None:
    seen = 0
    for drawing in brackets():
        datum = max(s.start.y for s in drawing.shapes if isinstance(s, Line) and s.ink is Ink.DATUM)
        outlines = [s.points for s in drawing.shapes if isinstance(s, Path) and s.ink is Ink.FITTING]
        for points in outlines:
            assert all(point.y <= datum + 1e-9 for point in points)
            seen += len(points) == 4
    assert seen >= 4
