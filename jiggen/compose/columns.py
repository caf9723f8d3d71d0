"""Columns of holes of several runs on one face turned into what stands over each: its run and the way it is bored."""

from __future__ import annotations

from math import atan2

from jiggen.compose.bench import Bench, Strip
from jiggen.compose.space import Box, Space
from jiggen.compose.titles import bore_words, tied
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.drilling import SLANT
from jiggen.plan.model import Mark

TEXT = 3.0
ARROW = 6.0  # length of the arrow that shows which way a column's bores go
CROSS = 5.0  # from a hole's rim to what stands over it
STEP, STEPS = 1.5, 16  # that the head of a column moves up where there is no room


def column_heads(strip: Strip, pen: Pen, space: Space) -> None:
    """Over the first hole of every column whose face has another run's holes too: its run, the way it is bored and an
    arrow. What finds no room is left out: the title of the face says it by the run's name."""
    for bench in (one for one in strip.benches if tied(strip, one)):
        bores = [mark for mark in bench.marks if mark.purpose == "cable"]
        words = bore_words(bench)
        if bores and words:
            _column_head(bench, pen, space, max(bores, key=lambda mark: mark.v), words[-1])


def _column_head(bench: Bench, pen: Pen, space: Space, mark: Mark, words: str) -> None:
    at, side = bench.place(mark.u, mark.v), atan2(mark.axis.x, mark.axis.z)
    told = f"{bench.line.head}: {words}"
    arrow = ARROW + 1.5 if abs(side) > SLANT else 0.0
    long = width(told, TEXT) + arrow
    start = at.y + max(mark.oval) / 2.0 + CROSS
    low, high = bench.centre - bench.half + 1.0, bench.centre + bench.half - 1.0 - long
    for y in (start + STEP * step for step in range(STEPS)):
        for left in (min(max(at.x - share * long, low), high) for share in (0.5, 0.25, 0.75, 0.0, 1.0)):
            box = Box(left - 0.8, y - 1.3, left + long + 0.8, y + TEXT + 1.3)
            if left < low or not space.free(box):
                continue
            pen.text(left, y, told, TEXT, ink=Ink.STRONG)
            if arrow:
                _arrow(pen, left + long, y + TEXT / 2.0, side > 0.0)
            space.take(box)
            return


def _arrow(pen: Pen, right: float, y: float, to_right: bool) -> None:
    tip, tail = (right, right - ARROW) if to_right else (right - ARROW, right)
    neck = tip + (tail - tip) * 0.4
    pen.line(tail, y, neck, y, Ink.EDGE)
    pen.fill(((tip, y), (neck, y + 1.3), (neck, y - 1.3)))
