"""Holes off the centre line of a flat face turned into dimensions across, to be checked with a square."""

from __future__ import annotations

import re
from collections.abc import Iterator

from jiggen.compose.bench import Bench
from jiggen.compose.lettering import reading
from jiggen.compose.space import Box, Space
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.model import Mark
from jiggen.units import mm_text

LEAST = 0.5  # of what lies aside: under it nobody measures it, mm
SAME = 0.1  # of two holes of one column, under which they are told once, mm
TEXT = 2.6
TICK = 1.2
CROSS = 3.0  # of a hole's cross beyond its rim
CLEAR = 2.0  # between a hole's cross and the first line over it
STEP, STEPS = 1.5, 22  # that a dimension moves away where there is no room


def across(bench: Bench, pen: Pen, space: Space) -> None:
    """Dimension from the centre line to each column of holes, over its first hole; where the holes lie elsewhere along
    it, as on a leaning post, at every one. What finds no room is left out: the drill list has it."""
    if bench.face.frame.radius:
        return
    told: set[tuple[float, bool]] = set()
    for mark, over in sorted(_ends(bench), key=lambda pair: abs(pair[0].u)):
        key = round(mark.u, 1), over
        if key not in told:
            told.add(key)
            _dimension(bench, pen, space, mark, over)


def _ends(bench: Bench) -> Iterator[tuple[Mark, bool]]:
    """The first hole of each column with True; where the others do not lie as far aside each of them too, the last with
    False: its dimension stands under it."""
    columns: dict[tuple[str, str, str, bool], list[Mark]] = {}
    for mark in bench.marks:
        key = (
            mark.run,
            mark.purpose,
            re.sub("[0-9]", "", mark.label),
            mark.u > 0.0,
        )  # a bracket's holes are numbers alone
        columns.setdefault(key, []).append(mark)
    for marks in columns.values():
        first, last = max(marks, key=lambda mark: mark.v), min(marks, key=lambda mark: mark.v)
        if abs(first.u) > LEAST:
            yield first, True
        if max(marks, key=_u).u - min(marks, key=_u).u > SAME:  # on a leaning post: nobody squares down from the first
            yield from ((mark, mark is not last) for mark in marks if mark is not first and abs(mark.u) > LEAST)


def _u(mark: Mark) -> float:
    return mark.u


def _dimension(bench: Bench, pen: Pen, space: Space, mark: Mark, over: bool) -> None:
    """A line from the centre line to over (or under) a hole, a tick at both its ends, the distance on or beside it."""
    at, words = bench.place(mark.u, mark.v), _words(bench, abs(mark.u))
    long, way = width(words, TEXT), 1.0 if over else -1.0
    low, high = sorted((bench.centre, at.x))
    start = max(mark.oval) / 2.0 + CROSS + CLEAR
    for step in range(STEPS):
        y = at.y + (start + step * STEP) * way
        for left, base in _places(low, high, long, y, mark.u > 0.0):
            ends = min(low, left), max(high, left + long)
            sides = (0.0 if end == bench.centre else 0.5 for end in ends)  # one from the other side may end there too
            box = Box(ends[0] - next(sides), y - TICK - 0.3, ends[1] + next(sides), max(y + TICK, base + TEXT) + 0.4)
            inside = bench.centre - bench.half < box.left and box.right < bench.centre + bench.half
            if not inside or not space.free(box):
                continue
            pen.line(low, y, high, y, Ink.TICK)
            for x in (low, high):
                pen.line(x, y - TICK, x, y + TICK, Ink.TICK)
            pen.line(at.x, at.y + (start - CLEAR + 0.5) * way, at.x, y, Ink.HATCH)
            pen.text(left, base, words, TEXT)
            space.take(box)
            return


def _words(bench: Bench, mm: float) -> str:
    """A distance in the job's tape and mm: "3/4 + (19.7 mm)", "19.7 mm"."""
    exact = f"{mm_text(mm)} mm"
    return exact if bench.job.units == "mm" else f"{reading(bench.job, mm).signed} ({exact})"


def _places(low: float, high: float, long: float, y: float, right: bool) -> Iterator[tuple[float, float]]:
    """Left end and base line of the words: on the line, beyond either end of it, over it where they are the longer."""
    if high - low > long + 1.0:
        yield (low + high - long) / 2.0, y + 0.9
        return
    ends = [high + 1.6, low - 1.6 - long]  # beyond the hole first
    yield from ((left, y - TEXT / 2.0) for left in (ends if right else reversed(ends)))
    yield (low + high - long) / 2.0, y + TICK + 0.6
