"""Specimen sheets of our own making: a face with a column of holes, as tall and as wide as is wanted."""

from __future__ import annotations

from jiggen.drawing.scene import Ink, Pen
from jiggen.sheets.model import Keep, Sheet

DRILL = 5.556  # 7/32 in: 7 x 25.4 / 32 = 5.55625


def face(height: float = 900.0, width: float = 120.0, columns: int = 1, spacing: float = 76.2) -> Sheet:
    """A sheet with ``columns`` columns of holes every ``spacing`` mm from the top, crosses and readings."""
    pen = Pen()
    pen.line(2.0, height - 10.0, width - 2.0, height - 10.0, Ink.DATUM, (("line", "datum"), ("face", "A")))
    for x in (10.0, width - 10.0):
        pen.line(x, 5.0, x, height - 10.0, Ink.EDGE, (("line", "edge"), ("face", "A")))
    pen.fill(((10.0, height - 9.0), (40.0, height - 9.0), (40.0, height - 1.0), (10.0, height - 1.0)))
    pen.text(12.0, height - 7.5, "POST 3", 4.0, white=True)
    keeps = []
    for column in range(columns):
        x = width * (column + 0.5) / columns
        pen.line(x, 5.0, x, height - 12.0, Ink.CENTRE, (("line", "centre"), ("face", "A")))
        y, n = height - 10.0 - spacing, 1
        while y > 20.0:
            name = f"3/toward 4/{chr(97 + column)}{n}"
            pen.oval(x, y, DRILL / 2, DRILL / 2, Ink.DRILL, data=(("mark", name), ("face", "3/toward 4")))
            pen.line(x - 8.0, y, x + 8.0, y, Ink.CROSS)
            pen.line(x, y - 8.0, x, y + 8.0, Ink.CROSS)
            pen.text(x + 10.0, y + 1.0, f"{n * 3} \u215c in  \u2300{DRILL:.1f}", 3.5, ink=Ink.STRONG)
            pen.path([(x + a, y + b) for a, b in ((-7, -10), (7, -10), (7, 10), (-7, 10))], Ink.FITTING, True)
            keeps.append(Keep(x - DRILL / 2, y - DRILL / 2, x + DRILL / 2, y + DRILL / 2, 2))
            keeps.append(Keep(x - 7.0, y - 10.0, x + 7.0, y + 10.0, 1))
            y, n = y - spacing, n + 1
    return Sheet("S1", "POST 3  TOWARD 4", pen.drawing(width, height, "Post 3"), tuple(keeps))
