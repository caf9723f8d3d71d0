"""Lengths and sentences turned into lettering: tape readings with stacked fractions, wrapped lines."""

from __future__ import annotations

from collections.abc import Sequence

from jiggen.compose.clear import below
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Ink, Pen
from jiggen.job.model import Job
from jiggen.units import Tape, mm_text, tape

TOGETHER = 4  # so many lines of a paragraph stay on one page
SMALL = 0.62  # height of a stacked fraction's figures against the whole number's


def reading(job: Job, mm: float) -> Tape:
    """The job's tape reading of a length, rounded to the job's step."""
    return tape(mm, job.round_to, job.units)


def both(job: Job, mm: float) -> str:
    """A length as words: the tape reading and, in an inch job, the millimetres."""
    found = reading(job, mm)
    return f"{mm_text(mm)} mm" if job.units == "mm" else f"{found.told} in ({mm_text(mm)} mm)"


def reading_width(found: Tape, height: float) -> float:
    """Width of a reading drawn by ``draw_reading``, mm."""
    whole, above, below, sign = _parts(found)
    total = width(whole, height)
    if above:
        total += height * 0.3 * bool(whole) + max(width(above, height * SMALL), width(below, height * SMALL))
    return total + (height * 0.2 + width(sign, height * 0.8) if sign else 0.0)


def draw_reading(pen: Pen, x: float, y: float, found: Tape, height: float) -> None:
    """Draw a reading with its left end at ``x`` and its middle at ``y``; fractions stacked over a bar."""
    whole, above, below, sign = _parts(found)
    spoken = found.signed
    if whole:
        pen.text(x, y - height / 2.0, whole, height, ink=Ink.STRONG, spoken=spoken)
        spoken = ""
        x += width(whole, height) + (height * 0.3 if above else 0.0)
    if above:
        small = height * SMALL
        wide = max(width(above, small), width(below, small))
        pen.text(x + wide / 2.0, y + height * 0.14, above, small, "middle", ink=Ink.STRONG, spoken=spoken)
        pen.line(x, y, x + wide, y, Ink.DRILL)
        pen.text(x + wide / 2.0, y - height * 0.14 - small, below, small, "middle", ink=Ink.STRONG, spoken="")
        x += wide
    if sign:
        pen.text(x + height * 0.2, y - height * 0.4, sign, height * 0.8, ink=Ink.STRONG, spoken="")


def _parts(found: Tape) -> tuple[str, str, str, str]:
    """Whole number, numerator, denominator and the sign of what rounding left."""
    sign = found.signed.removeprefix(found.text).strip()
    if "/" not in found.text:
        return found.text, "", "", sign
    whole, _, fraction = found.text.rpartition(" ")
    above, _, below = fraction.partition("/")
    if not whole and above.startswith("-"):
        return "-", above[1:], below, sign
    return whole, above, below, sign


def wrapped(words: str, height: float, room: float) -> list[str]:
    """The words broken into lines no wider than ``room`` mm; a word longer than that stands alone."""
    lines: list[str] = []
    line = ""
    for word in words.split():
        longer = f"{line} {word}".strip()
        if line and width(longer, height) > room:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines


def paragraph(
    pen: Pen,
    x: float,
    y: float,
    words: str,
    height: float,
    room: float,
    hang: float = 0.0,
    rows: Sequence[float] = (),
) -> float:
    """Draw wrapped words with the first line's top at ``y``; returns y under the last line. ``hang``: indent after the
    first. ``rows``: joins; a few lines go under one together, of more those that it would cut."""
    pitch = height * 1.55
    lines = wrapped(words, height, room - hang)
    if len(lines) <= TOGETHER:
        y = below(rows, y, len(lines) * pitch)
    for index, line in enumerate(lines):
        y = below(rows, y, pitch)
        size = height if width(line, height) <= room else fitted(line, height, room, 1.5)
        pen.text(x + (hang if index else 0.0), y - height, line, size)
        y -= pitch
    return y


def heading(pen: Pen, x: float, y: float, words: str, height: float, room: float) -> float:
    """Draw one strong line with its top at ``y``, as high as fits ``room`` up to ``height``; returns its height."""
    size = fitted(words, height, room, 2.0)
    pen.text(x, y - size, words, size, ink=Ink.STRONG)
    return size
