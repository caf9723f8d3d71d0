"""Dimensions across: how far holes lie beside their face's centre line, once a column, clear of everything else."""

from __future__ import annotations

from math import radians, tan

import pytest
from jobs_made import BOLT, INCH, Keys, job, plan, run

from jiggen.build import survey
from jiggen.compose.across import _ends
from jiggen.compose.bench import strip
from jiggen.drawing.scene import Ink, Line, Oval, Text
from jiggen.sheets.extent import text_extent

SWIVELS: Keys = {"start": "fixed swivel", "finish": "fixed swivel"}


def shapes(keys: Keys, **tables: Keys) -> list[object]:
    found = survey(job({**run([900], count=6, height=900), **keys}, **tables))
    (drawn,) = [one for one in found.sheets if one.group.strip[0] == "1/toward 2"]
    return list(drawn.sheet.drawing.shapes)


def level_lines(found: list[object], long: float) -> list[Line]:
    """The dimension lines of a length: thin, level, as long to 0.01 mm."""
    lines = [s for s in found if isinstance(s, Line) and s.ink is Ink.TICK and s.start.y == s.end.y]
    return [s for s in lines if abs(abs(s.end.x - s.start.x) - long) < 0.01]


def test_each_column_is_told_once_from_the_centre_line() -> None:
    """Screws half an inch to both sides: two lines of 12.7 mm, from the centre line to each, however many cables."""
    found = shapes(SWIVELS, post={"timber": {"width": 89}})
    lines = level_lines(found, INCH / 2)
    assert len(lines) == 2
    assert sum(isinstance(s, Text) and s.text == "12.7 mm" for s in found) == 2
    (centre,) = {s.start.x for s in found if isinstance(s, Line) and ("line", "centre") in s.data}
    ends = sorted(x - centre for s in lines for x in (s.start.x, s.end.x))
    assert ends == pytest.approx([-12.7, 0.0, 0.0, 12.7], abs=1e-6)


def test_a_stud_on_a_post_that_stands_askew() -> None:
    """100 mm turned by 20 degrees: in at 50 tan 20 = 18.2 mm aside."""
    keys = {"start": "stud", "finish": "stud"}
    post = {"timber": {"width": 100, "rotate": "20 deg"}}
    found = shapes(keys, post=post, fitting={"stud": BOLT})
    assert len(level_lines(found, 50 * tan(radians(20)))) == 1
    assert [s.text for s in found if isinstance(s, Text) and s.text == "18.2 mm"] == ["18.2 mm"]


def test_holes_on_the_centre_line_have_none() -> None:
    found = shapes({"start": "stud", "finish": "stud"}, post={"timber": {"width": 100}}, fitting={"stud": BOLT})
    assert not [
        s for s in found if isinstance(s, Text) and s.height == 2.6 and s.text.endswith(" mm") and s.text != "100 mm"
    ]


def test_dimensions_stand_clear_of_holes_and_labels() -> None:
    found = shapes(SWIVELS, post={"timber": {"width": 140, "rotate": "12 deg"}})
    words = [s for s in found if isinstance(s, Text) and not s.angle]
    dims = [s for s in words if s.height == 2.6 and s.text.endswith(" mm")]
    assert len(dims) == 2
    for dim in dims:
        left, low, right, high = text_extent(dim)
        for other in words:
            a, b, c, d = text_extent(other)
            assert other is dim or a > right or c < left or b > high or d < low, (dim.text, other.text)
        for oval in (s for s in found if isinstance(s, Oval)):
            near = max(left - oval.centre.x, oval.centre.x - right, low - oval.centre.y, oval.centre.y - high)
            assert near > oval.rx


def test_both_holes_of_a_bracket_are_told_on_the_practice_sheet() -> None:
    """The generic bracket's screws lie 5/8 in, 15.9 mm, to both sides."""
    found = survey(job(run([900], count=6, height=900, bracket="side plate"), post={"timber": {"width": 140}}))
    (one,) = [sample for sample in found.samples if sample.group.kind == "practice"]
    assert len(level_lines(list(one.sheet.drawing.shapes), 5 / 8 * INCH)) == 2


def test_every_hole_of_a_leaning_post_is_told_where_it_lies_elsewhere() -> None:
    """Leaning 8 mm a metre: over 70 mm of a column a hole moves 0.6 mm aside, over a tenth; none is told of an upright post."""
    leaning = plan(run([900, 900], count=6, height=900), as_built={"2": {"lean": [0, 8]}})
    group = next(group for group in leaning.groups if "2/toward 3" in group.faces)
    bench = strip(leaning, group, 190.0).first
    ends = list(_ends(bench))
    assert {mark.label for mark, _ in ends} == {mark.label for mark in bench.marks if abs(mark.u) > 0.5}
    assert len(ends) > 3 and [over for _, over in ends].count(False) <= 1
