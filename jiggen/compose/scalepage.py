"""The page that proves a printer: two long rulers and a square with its diagonals, always uncorrected."""

from __future__ import annotations

from math import hypot, pi

from jiggen.compose.lettering import paragraph
from jiggen.drawing.lettering import fitted
from jiggen.drawing.scene import Drawing, Ink, Pen
from jiggen.sheets.fiducials import LOW, rulers, square
from jiggen.units import MM_PER_INCH, mm_text


def scale_page(size: tuple[float, float]) -> Drawing:
    """The scale page, ``size`` mm: rulers as long as it allows, a square with diagonals, what to measure."""
    width, height = size
    pen = Pen()
    left, low = 9.0, LOW
    across, along = rulers(size)
    _ruler(pen, left, low, across, False)
    _ruler(pen, left, low, along, True)
    pen.text(left - 5.5, low - 5.5, "0", 3.0, "middle")
    x, y, side = square(size)
    pen.box(x, y, x + side, y + side, Ink.TICK)
    pen.line(x, y, x + side, y + side, Ink.CENTRE)
    pen.line(x, y + side, x + side, y, Ink.CENTRE)
    for at, words in ((0.0, "A"), (side, "B")):
        pen.text(x + at + (-3.5 if at == 0.0 else 1.5), y - 3.0, words, 3.0)
        pen.text(x + side - at + (1.5 if at == 0.0 else -3.5), y + side, words, 3.0)
    pen.text(x + side / 2.0, y + 3.0, f"square {mm_text(side, 0)} mm", 3.5, "middle")
    pen.text(x, height - 9.0, "SCALE PAGE", fitted("SCALE PAGE", 8.0, width - x - 2.0, 3.0), ink=Ink.STRONG)
    _what(pen, x, height - 13.0, width - x - 2.0, (across, along, side))
    return pen.drawing(width, height, "Scale page")


def _what(pen: Pen, x: float, top: float, wide: float, lengths: tuple[float, float, float]) -> None:
    """What to measure and where it is told, from ``top`` down."""
    across, along, side = lengths
    words = (
        "Printed without any correction. Measure with the steel tape or rule that you work with, to the middle of the "
        f"lines: across 0 to {mm_text(across, 0)} mm, along 0 to {mm_text(along, 0)} mm, both diagonals of the square "
        f"({mm_text(hypot(side, side))} mm). More than 3 % off is a fit-to-page setting: print at 100 %."
    )
    foot = paragraph(pen, x, top, words, 3.0, wide)
    for line in (
        f"across ________ of {mm_text(across, 0)} mm",
        f"along ________ of {mm_text(along, 0)} mm",
        "diagonal A to A, from lower left up ________ mm",
        "diagonal B to B ________ mm",
    ):
        pen.text(x, foot - 6.0, line, fitted(line, 3.8, wide, 2.0))
        foot -= 7.0
    for words in (
        'Keep it: jiggen printer NAME --across "... of ... mm" --along "... of ... mm" --diagonals "A, B mm"',
        "or scan this page at 300 dpi or more: jiggen scan-check SCAN.png --save NAME",
    ):
        foot = paragraph(pen, x, foot - 2.5, words, 2.2, wide) + 2.2


def _ruler(pen: Pen, x: float, y: float, length: float, upright: bool) -> None:
    """A ruler from (x, y): millimetres on its inner side, inches on its outer side."""

    def line(at: float, out: float, ink: Ink = Ink.TICK) -> None:
        if upright:
            pen.line(x, y + at, x + out, y + at, ink)
        else:
            pen.line(x + at, y, x + at, y + out, ink)

    pen.line(x, y, x if upright else x + length, y + length if upright else y, Ink.TICK)
    for step in range(int(length) + 1):
        line(float(step), 8.0 if step % 100 == 0 else 5.0 if step % 10 == 0 else 3.5 if step % 5 == 0 else 2.0)
        if step % 10 == 0 and step:
            _number(pen, x, y, step, f"{step}", 9.0 if step % 100 == 0 else 6.0, upright)
    sixteenths = int(length / (MM_PER_INCH / 16.0))
    for step in range(sixteenths + 1):
        size = 5.0 if step % 16 == 0 else 3.0 if step % 8 == 0 else 2.2 if step % 4 == 0 else 1.4
        line(step * MM_PER_INCH / 16.0, -size)
        if step % 16 == 0 and step:
            _number(pen, x, y, step * MM_PER_INCH / 16.0 - 2.0, f"{step // 16}", -6.8, upright)


def _number(pen: Pen, x: float, y: float, at: float, words: str, out: float, upright: bool) -> None:
    if upright:
        pen.text(x + out + (1.0 if out > 0 else 0.0), y + at, words, 2.0, "middle", -pi / 2.0)
    else:
        pen.text(x + at, y + out, words, 2.0, "middle")
