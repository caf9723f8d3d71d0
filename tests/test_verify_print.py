"""A corrected file read back as its printer prints it: circles where the plan has them, round and full size."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from specimen import DRILL, face

from jiggen.drawing.scene import Ink, Oval, Pen
from jiggen.geometry import Point
from jiggen.readback.model import Circle, Found, PageBox
from jiggen.readback.pdf import read_pdf
from jiggen.render.pdf import pdf
from jiggen.sheets.correction import Correction
from jiggen.sheets.model import Page, Sheet
from jiggen.sheets.paper import paper
from jiggen.sheets.tiling import pages
from jiggen.verify import Placed, Target, check_pdf
from jiggen.verify.printed import printed

LETTER = paper("letter")
WORST = Correction(1.03, 0.97, 0.0299)
OFF = [Correction(), Correction(1.007, 0.996, 0.005236), Correction(0.97, 1.03, -0.0299), WORST]


@pytest.mark.parametrize("correction", OFF)
def test_marks_are_true_again(correction: Correction) -> None:
    made = pages(face(620.0, 150.0, 2), LETTER, 9.525, "f").pages
    found = printed(read_pdf(pdf(made, title="t", correction=correction)), correction)
    planned = [
        (index, shape.data[0][1], shape.centre)
        for index, page in enumerate(made)
        for shape in page.content
        if isinstance(shape, Oval)
    ]
    assert len(found.circles) == len(planned) == 14
    by_name = {(circle.page, circle.data["mark"]): circle for circle in found.circles}
    for index, name, at in planned:
        circle = by_name[index, name]
        assert (circle.x, circle.y) == pytest.approx(at, abs=0.001)
        assert (circle.rx, circle.ry) == pytest.approx((DRILL / 2.0, DRILL / 2.0), abs=0.001)


def test_without_it_they_are_not() -> None:
    """3 % of a hundred millimetres from the middle of the page."""
    made = pages(face(200.0), LETTER, 9.525, "f").pages
    found = read_pdf(pdf(made, title="t", correction=WORST))
    planned = [shape.centre for shape in made[0].content if isinstance(shape, Oval)]
    assert max(abs(c.y - at.y) for c, at in zip(found.circles, planned, strict=True)) > 0.5
    assert found.circles[0].rx - found.circles[0].ry > 0.1


@given(
    st.floats(0.5, 30.0),
    st.floats(0.05, 1.0),
    st.floats(-pi / 2.0, pi / 2.0),
    st.sampled_from(OFF),
)
def test_an_ellipse_keeps_its_rim(rx: float, share: float, angle: float, correction: Correction) -> None:
    """numpy: the singular values of the map times the half axes are the new half axes, its left vectors their turn."""
    one = Circle(60.0, 200.0, rx, rx * share, angle, {}, 0)
    box = PageBox(LETTER.width, LETTER.height)
    made = printed(Found((one,), (), (box,)), correction).circles[0]
    a, b, c, d = correction.printer
    turn = np.array([[cos(angle), -sin(angle)], [sin(angle), cos(angle)]])
    whole = np.array([[a, c], [b, d]]) @ turn @ np.diag([rx, rx * share])
    vectors, sizes, _ = np.linalg.svd(whole)
    assert (made.rx, made.ry) == pytest.approx(tuple(sizes), rel=1e-6, abs=1e-6)
    if made.rx - made.ry > 1e-3:
        assert abs(vectors[:, 0] @ [cos(made.angle), sin(made.angle)]) == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("correction", OFF)
@pytest.mark.parametrize("beside", [-2.0, -0.3, 0.0, 0.3, 2.0])
def test_a_hole_cut_by_an_upright_join_is_one_hole(correction: Correction, beside: float) -> None:
    """A join through a hole puts it on two pages; the correction leans the edge that cuts it, high up and low down."""
    wide, high = 300.0, 200.0
    join = pages(Sheet("S1", "N", Pen().drawing(wide, high)), LETTER, 9.525, "f").pages[0]
    at = join.window[2] - join.shift[0] + beside
    pen = Pen()
    targets = []
    for number, y in enumerate((20.0, 100.0, 185.0)):
        pen.oval(at, y, 2.778, 2.778, Ink.DRILL, data=(("mark", f"3/A/{number}"), ("face", "A")))
        targets.append(Target(f"3/A/{number}", "A", at, y, 2.778, 2.778, 0.0))
    made = pages(Sheet("S1", "N", pen.drawing(wide, high)), LETTER, 9.525, "f").pages
    assert made[0].window[2] - made[0].shift[0] == pytest.approx(at - beside)
    placed = [Placed("S1", page.shift, {"A": (0.0, 0.0)}) for page in made]
    found = printed(read_pdf(pdf(made, title="t", correction=correction)), correction)
    deviations, problems = check_pdf({"S1": targets}, placed, found)
    assert problems == []
    assert {one.id for one in deviations} == {target.id for target in targets}


def test_a_mark_twice_on_one_page_is_one_too_many() -> None:
    """A skew excuses a mark at a join of two pages and nothing else."""
    pen = Pen()
    for _ in range(2):
        pen.oval(60.0, 60.0, 2.778, 2.778, Ink.DRILL, data=(("mark", "3/A/1"), ("face", "A")))
    page = Page(LETTER, "1", tuple(pen.shapes), (0.0, 0.0, 210.0, 270.0))
    found = printed(read_pdf(pdf([page], title="t", correction=WORST)), WORST)
    target = Target("3/A/1", "A", 60.0, 60.0, 2.778, 2.778, 0.0)
    _, problems = check_pdf({"S1": [target]}, [Placed("S1", (0.0, 0.0), {"A": (0.0, 0.0)})], found)
    assert [problem.found for problem in problems] == ["a circle too many on S1, called 3/A/1"]


def test_lines_are_moved_too() -> None:
    pen = Pen()
    pen.line(20.0, 30.0, 180.0, 250.0, Ink.DATUM)
    page = Page(LETTER, "1", tuple(pen.shapes), (0.0, 0.0, 210.0, 270.0))
    found = printed(read_pdf(pdf([page], title="t", correction=WORST)), WORST)
    (line,) = found.segments
    assert Point(line.x1, line.y1) == pytest.approx((20.0, 30.0), abs=0.001)
    assert Point(line.x2, line.y2) == pytest.approx((180.0, 250.0), abs=0.001)
