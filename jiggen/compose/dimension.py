"""Two points of a drawing turned into a dimension line between them: its ends, the tape reading above and the mm below.

ISO 129-1: closed arrows, or oblique strokes where arrows have no room or dimensions stand in a chain; figures of an upright
dimension read from the right, or stand on a reference line that a leader brings to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import pi

from jiggen.compose.lettering import reading
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.job.model import Job
from jiggen.plan.words import fraction
from jiggen.units import mm_text

HIGH = 2.5  # of the figures
ARROW = 1.8  # long, closed and filled (ISO 129-1)
STROKE = 0.9  # of an oblique stroke to either side, level and upright
OFF = 0.8  # from a line to the figures on it
PITCH = 3.5  # from line to line of figures


@dataclass(frozen=True, slots=True)
class Flag:
    """Figures on a reference line: what stands above it and below it, each from the top down."""

    above: tuple[str, ...]
    below: tuple[str, ...]

    @property
    def long(self) -> float:
        """How wide it is, mm."""
        return max(width(words, HIGH) for words in (*self.above, *self.below))

    @property
    def up(self) -> float:
        """How far it reaches over its reference line, mm."""
        return OFF + HIGH + PITCH * (len(self.above) - 1)

    @property
    def down(self) -> float:
        """How far it reaches under its reference line, mm."""
        return OFF + HIGH + PITCH * (len(self.below) - 1) if self.below else 0.3


def words(job: Job, mm: float) -> tuple[str, str]:
    """The tape reading and, in an inch job, the millimetres; the latter is "" in a metric one."""
    if job.units == "mm":
        return f"{mm_text(mm)} mm", ""
    return f"{reading(job, mm).signed} in", f"{mm_text(mm)} mm"


def size_words(job: Job, mm: float) -> tuple[str, str]:
    """A size of what is bought, as ``words``; in an inch job in the fraction that it is."""
    return (f"{fraction(job, mm).signed} in", f"{mm_text(mm)} mm") if job.units == "in" else words(job, mm)


def level(pen: Pen, left: float, right: float, y: float, told: tuple[str, str]) -> None:
    """A level dimension line; the first words above it, the second below it."""
    bare(pen, left, right, y, False)
    middle = (left + right) / 2.0
    pen.text(middle, y + OFF, told[0], HIGH, "middle")
    if told[1]:
        pen.text(middle, y - OFF - HIGH, told[1], HIGH, "middle", spoken=None)


def upright(pen: Pen, x: float, bottom: float, top: float, told: tuple[str, str]) -> None:
    """An upright dimension line; its words stand along it, the first on its left, the second on its right."""
    bare(pen, bottom, top, x, True)
    along(pen, x, (bottom + top) / 2.0, told)


def along(pen: Pen, x: float, middle: float, told: tuple[str, str]) -> None:
    """The words of an upright dimension line, along it."""
    pen.text(x - OFF, middle, told[0], HIGH, "middle", pi / 2.0)
    if told[1]:
        pen.text(x + OFF + HIGH, middle, told[1], HIGH, "middle", pi / 2.0)


def flag(pen: Pen, x: float, y: float, told: Flag, knee: tuple[float, float]) -> None:
    """A flag on the left of a dimension line: a leader from (x, y) to ``knee``, from there its reference line to the left."""
    pen.path(((x, y), knee, (knee[0] - told.long - 1.0, knee[1])), Ink.TICK)
    base = knee[1] + OFF + PITCH * (len(told.above) - 1)
    for line in told.above:
        pen.text(knee[0] - 0.5, base, line, HIGH, "right")
        base -= PITCH
    base = knee[1] - OFF - HIGH
    for line in told.below:
        pen.text(knee[0] - 0.5, base, line, HIGH, "right")
        base -= PITCH


def spread(wanted: Sequence[float], told: Sequence[Flag], gap: float = 1.2) -> list[float]:
    """Heights of reference lines, given from the top down, moved as little as keeps the flags apart."""
    below = [0.0]
    for one, other in pairwise(told):
        below.append(below[-1] + one.down + gap + other.up)
    groups: list[tuple[float, int]] = []  # mean of (wanted + what stands above), how many: never rising downwards
    for height, under in zip(wanted, below, strict=True):
        mean, count = height + under, 1
        while groups and groups[-1][0] < mean:
            above, more = groups.pop()
            mean, count = (mean * count + above * more) / (count + more), count + more
        groups.append((mean, count))
    means = [mean for mean, count in groups for _ in range(count)]
    return [mean - under for mean, under in zip(means, below, strict=True)]


def long(told: tuple[str, str]) -> float:
    """How long the words of a dimension are, mm."""
    return max(width(part, HIGH) for part in told)


def bare(pen: Pen, start: float, end: float, across: float, standing: bool, strokes: bool = False) -> None:
    """The line with arrow heads at its ends, outside where there is no room between them, or with oblique ``strokes``."""

    def at(along: float, off: float) -> tuple[float, float]:
        return (across + off, along) if standing else (along, across + off)

    if strokes:
        pen.line(*at(start, 0.0), *at(end, 0.0), Ink.TICK)
        for tip in (start, end):
            pen.line(*at(tip - STROKE, -STROKE), *at(tip + STROKE, STROKE), Ink.DRILL)
        return
    inside = end - start > 3.0 * ARROW
    over = 0.0 if inside else 2.0 * ARROW
    pen.line(*at(start - over, 0.0), *at(end + over, 0.0), Ink.TICK)
    for tip, way in ((start, 1.0 if inside else -1.0), (end, -1.0 if inside else 1.0)):
        back = tip + way * ARROW
        pen.fill((at(tip, 0.0), at(back, 0.35), at(back, -0.35)))
