"""Two points of a drawing turned into a dimension line between them: arrows, extension lines, the length above and below."""

from __future__ import annotations

from math import pi

from jiggen.compose.lettering import reading
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.job.model import Job
from jiggen.units import mm_text

HIGH = 2.5  # of the figures
ARROW = 1.8  # long, closed and filled (ISO 129-1)


def words(job: Job, mm: float) -> tuple[str, str]:
    """The tape reading and, in an inch job, the millimetres; the latter is "" in a metric one."""
    if job.units == "mm":
        return f"{mm_text(mm)} mm", ""
    return f"{reading(job, mm).signed} in", f"{mm_text(mm)} mm"


def level(pen: Pen, left: float, right: float, y: float, told: tuple[str, str]) -> None:
    """A level dimension line; the first words above it, the second below it."""
    _line(pen, left, right, y, False)
    middle = (left + right) / 2.0
    pen.text(middle, y + 0.8, told[0], HIGH, "middle")
    if told[1]:
        pen.text(middle, y - 0.8 - HIGH, told[1], HIGH, "middle", spoken=None)


def upright(pen: Pen, x: float, bottom: float, top: float, told: tuple[str, str]) -> None:
    """An upright dimension line; its words stand along it, the first on its left, the second on its right."""
    _line(pen, bottom, top, x, True)
    middle = (bottom + top) / 2.0
    pen.text(x - 0.8, middle, told[0], HIGH, "middle", pi / 2.0)
    if told[1]:
        pen.text(x + 0.8 + HIGH, middle, told[1], HIGH, "middle", pi / 2.0)


def long(told: tuple[str, str]) -> float:
    """How long the words of a dimension are, mm."""
    return max(width(part, HIGH) for part in told)


def _line(pen: Pen, start: float, end: float, across: float, standing: bool) -> None:
    """The line with its arrow heads, which stand outside where there is no room between them."""

    def at(along: float, off: float) -> tuple[float, float]:
        return (across + off, along) if standing else (along, across + off)

    inside = end - start > 3.0 * ARROW
    over = 0.0 if inside else 2.0 * ARROW
    pen.line(*at(start - over, 0.0), *at(end + over, 0.0), Ink.TICK)
    for tip, way in ((start, 1.0 if inside else -1.0), (end, -1.0 if inside else 1.0)):
        back = tip + way * ARROW
        pen.fill((at(tip, 0.0), at(back, 0.35), at(back, -0.35)))
