"""Which way an oval leans, in a PDF as in an SVG: told by another library's pixels and by what is read back."""

from __future__ import annotations

from math import atan2, pi, sin

import numpy as np
import pypdfium2
import pytest

from jiggen.drawing.scene import Ink, Oval
from jiggen.geometry import Point
from jiggen.readback.pdf import read_pdf
from jiggen.render.pdf import pdf
from jiggen.sheets.model import Page, Paper

LETTER = Paper("letter", 215.9, 279.4, 12.7)  # 8 1/2 x 11 in


def page(turn: float) -> bytes:
    oval = Oval(Point(100.0, 140.0), 30.0, 6.0, Ink.DRILL, turn, (("mark", "1/toward 2/1"),))
    return pdf([Page(LETTER, "one", (oval,), (0.0, 0.0, 215.9, 279.4))], title="Oval")


@pytest.mark.parametrize("degrees", [20.0, 45.0, 70.0, 110.0, 160.0])
def test_it_leans_as_it_was_told(degrees: float) -> None:
    turn = degrees / 180.0 * pi
    picture = pypdfium2.PdfDocument(page(turn))[0].render(scale=4.0, grayscale=True).to_numpy()
    rows, columns = np.nonzero(picture < 128)
    x, y = columns - columns.mean(), rows.mean() - rows  # rows count downwards
    # the long axis of what is dark: half the angle of its second moments
    seen = atan2(2.0 * float((x * y).mean()), float((x * x).mean() - (y * y).mean())) / 2.0
    assert abs(sin(seen - turn)) < 0.01
    (circle,) = read_pdf(page(turn), unnamed=False).circles
    assert abs(sin(circle.angle - turn)) < 1e-3
    assert (circle.rx, circle.ry) == pytest.approx((30.0, 6.0), abs=1e-3)
