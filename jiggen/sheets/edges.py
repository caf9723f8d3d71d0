"""The joins round a page turned into its cut lines, lay-on lines and numbered join marks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jiggen.drawing import lettering
from jiggen.drawing.scene import Ink, Pen
from jiggen.sheets.extent import Box, Placed, busy
from jiggen.sheets.furniture import Place, base

TRIM = 4.0  # room beside a join for the words on the edge that is cut off, mm
_HALF = 3.0  # half the size of a join mark
_BEFORE, _AFTER = 4.0, 11.0  # room that a join mark and its name take along the join
_LEAST = 1.2  # lower lettering is left out: the foot says the same
_MOVED, _SHARE = 12.0, 0.15  # how far a mark is moved at most, mm and as a part of its join
_SHORT = 60.0  # a join under this length has one mark, in its middle


@dataclass(frozen=True, slots=True)
class Mark:
    """One join mark: its name ("3b") and its place along the join, sheet coordinates, mm."""

    name: str
    along: float


def marks(number: int, start: float, end: float, band: Sequence[tuple[float, float]]) -> tuple[Mark, ...]:
    """The marks, two or for a short join fewer, of join ``number`` that runs from ``start`` to ``end``.

    They lie in the first and the last third, at fractions that follow the golden ratio and so differ from
    join to join, moved by up to 12 mm, on a long join by up to 0.15 of it, to a place where ``band`` (what is drawn there) is free.
    """
    length = end - start
    if length < _SHORT:
        fits = length > _BEFORE + _AFTER
        return (Mark(f"J{number}a", start + (length + _BEFORE - _AFTER) / 2.0),) if fits else ()
    first = start + length * (0.08 + 0.22 * (number * 0.6180339887 % 1.0))
    last = end - length * (0.10 + 0.22 * (number * 0.7548776662 % 1.0))
    return (
        Mark(f"J{number}a", _free(first, start, end, band)),
        Mark(f"J{number}b", _free(last, start, end, band)),
    )


def _free(wanted: float, start: float, end: float, band: Sequence[tuple[float, float]]) -> float:
    """The place nearest ``wanted``, in steps of 1 mm, where mark and number meet nothing; else ``wanted``."""
    wanted = min(max(wanted, start + _BEFORE), end - _AFTER)
    for step in range(1 + 2 * int(max(_MOVED, _SHARE * (end - start)))):
        at = wanted + (step + 1) // 2 * (1 if step % 2 else -1)
        low, high = at - _BEFORE, at + _AFTER
        if start <= low and high <= end and not any(a < high and low < b for a, b in band):
            return at
    return wanted


def spans(placed: Iterable[Placed], box: Box, upright: bool) -> list[tuple[float, float]]:
    """What is drawn in ``box``, as stretches along a join through it (y for an ``upright`` join, else x)."""
    low, high = (1, 3) if upright else (0, 2)
    return [(piece[low], piece[high]) for piece in busy(placed, box)]


def trimmed(pen: Pen, place: Place, length: float, turn: float, onto: int) -> None:
    """The side that is cut off: a cut line and, outside it, the words. ``place``: (along, out)."""
    pen.line(*place(0.0, 0.0), *place(length, 0.0), Ink.CUT)
    words = f"TRIM THIS EDGE, LAY IT ON PAGE {onto}"
    high = min(2.2, 2.2 * (length - 4.0) / lettering.width(words, 2.2))
    if high < _LEAST:
        return
    pen.text(*base(place, length / 2.0, 0.9, high, turn), words, high, "middle", turn)


def laid(
    pen: Pen,
    place: Place,
    length: float,
    turn: float,
    strip: tuple[float, Sequence[tuple[float, float]]],
    under: int,
) -> None:
    """The side that goes under: the line to lay page ``under`` to, and words in the strip where it is free.

    ``strip``: its depth, and what is drawn in it along the join.
    """
    pen.line(*place(0.0, 0.0), *place(length, 0.0), Ink.JOIN)
    depth, band = strip
    words = f"LAY PAGE {under} TO THIS LINE"
    high = min(2.2, depth - 2.0)
    if high < _LEAST:
        return
    long = lettering.width(words, high) + 4.0
    free = _widest(length, band)
    if free[1] - free[0] < long:
        return
    pen.text(*base(place, (free[0] + free[1]) / 2.0, 1.2, high, turn), words, high, "middle", turn)


def _widest(length: float, band: Sequence[tuple[float, float]]) -> tuple[float, float]:
    best, free = (0.0, 0.0), 0.0
    for low, high in [*sorted(band), (length, length)]:
        if low - free > best[1] - best[0]:
            best = (free, low)
        free = max(free, high)
    return best


def half_mark(pen: Pen, place: Place, at: float, name: str, turn: float) -> None:
    """Half a diamond on the line out = 0, where out > 0, with a stroke to its tip and the mark's name."""
    pen.path((place(at - _HALF, 0.0), place(at, _HALF), place(at + _HALF, 0.0)), Ink.JOIN)
    pen.line(*place(at, 0.0), *place(at, _HALF), Ink.JOIN)
    pen.text(*base(place, at + _HALF + 0.8, 0.8, 2.2, turn), name, 2.2, "left", turn, Ink.STRONG)
