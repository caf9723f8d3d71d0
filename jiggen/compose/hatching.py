"""A box turned into section lines."""

from __future__ import annotations

from math import cos, pi, sin

from jiggen.compose.space import Box
from jiggen.drawing.scene import Ink, Pen

ANGLE = pi / 4.0


def hatch(
    pen: Pen,
    box: Box,
    pitch: float,
    hole: Box | None = None,
    foot: tuple[float, float] | None = None,
) -> None:
    """Section lines at 45 degrees across a box at ``pitch`` mm, leaving out ``hole`` and what lies under a slanting ``foot``: its y at
    x = 0 and its climb, less steep than the lines."""
    c, s = cos(ANGLE), sin(ANGLE)
    corners = [(x, y) for x in (box.left, box.right) for y in (box.bottom, box.top)]
    offsets = [-x * s + y * c for x, y in corners]
    count = int((max(offsets) - min(offsets)) / pitch)
    for index in range(1, count + 1):
        offset = min(offsets) + index * pitch
        whole = _chord(offset, c, s, box)
        if whole is None:
            continue
        gap = _chord(offset, c, s, hole) if hole else None
        parts = [whole] if gap is None else [(whole[0], gap[0]), (gap[1], whole[1])]
        least = -1e9 if foot is None else (foot[0] - offset * (c + foot[1] * s)) / (s - foot[1] * c)
        for start, end in ((max(start, least), end) for start, end in parts):
            if end - start > 0.2:
                pen.line(
                    start * c - offset * s,
                    start * s + offset * c,
                    end * c - offset * s,
                    end * s + offset * c,
                    Ink.HATCH,
                )


def _chord(offset: float, c: float, s: float, box: Box) -> tuple[float, float] | None:
    """Where the line at ``offset`` from the origin in direction (c, s) lies in a box, as distances along it."""
    x0, y0 = -offset * s, offset * c
    low = max(min((box.left - x0) / c, (box.right - x0) / c), min((box.bottom - y0) / s, (box.top - y0) / s))
    high = min(max((box.left - x0) / c, (box.right - x0) / c), max((box.bottom - y0) / s, (box.top - y0) / s))
    return (low, high) if low < high else None
