"""A rail that is in place turned into its section over a face: where the cables' line meets it, as wide as it meets it."""

from __future__ import annotations

from collections.abc import Sequence

from jiggen.compose.bench import Bench
from jiggen.compose.clear import start
from jiggen.compose.hatching import hatch
from jiggen.compose.space import Box
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.beside import rail_on

DRAWN = 26.0  # of the rail over the datum, the rest broken off: it falls off with the band
HIGH = 5.0  # of the datum's words in it
LEAST = 2.0  # of a rail that stands nearly all over the edge of its face: its outline is drawn from there on


def rail_height(bench: Bench) -> float:
    """How much of the rail's section is drawn, mm."""
    return min(bench.face.rail_up, DRAWN)


def rail_sides(bench: Bench) -> tuple[float, float] | None:
    """x of both sides of the rail on the sheet, cut off at the edges of its face; None where it passes the face by."""
    middle, half = rail_on(bench.face, bench.line, bench.line.guard.rail.width)
    low, high = max(bench.left, bench.place(-bench.half, 0.0).x), min(bench.right, bench.place(bench.half, 0.0).x)
    left, right = max(low, bench.place(middle - half, 0.0).x), min(high, bench.place(middle + half, 0.0).x)
    return (left, right) if right - left > LEAST else None


def rail_section(bench: Bench, pen: Pen, words: Sequence[str], joins: Sequence[float]) -> None:
    """The rail over the datum, cut through and hatched, the datum's words in a clear box low in it where they fit."""
    sides = rail_sides(bench)
    if sides is None:
        return
    left, right = sides
    box = Box(left, min(_foot(bench, left), _foot(bench, right)), right, _top(bench, left, right))
    feet = [(x, _foot(bench, x)) for x in sides]
    pen.path((feet[0], (left, box.top), *_rim(bench, box), (right, box.top), feet[1]), Ink.EDGE)
    foot = (_foot(bench, 0.0), _climb(bench))
    middle = words_inside(bench, words, joins) if words else None
    if middle is None:
        hatch(pen, box, 3.0, foot=foot)
        return
    long = max(width(line, HIGH) for line in words)
    low = _foot(bench, middle) + _rise(bench, long)
    high = 7.5 * len(words) + 2.5
    clear = Box(middle - long / 2.0 - 1.5, box.bottom, middle + long / 2.0 + 1.5, low + high)
    hatch(pen, box, 3.0, clear, foot=foot)
    y = low + high - 2.5
    for line in words:
        pen.text(middle, y - HIGH, line, HIGH, "middle", ink=Ink.STRONG)
        y -= 7.5


def words_inside(bench: Bench, words: Sequence[str], joins: Sequence[float]) -> float | None:
    """x of the middle of the datum's words in the section of the rail over this face, None where they do not fit."""
    long, sides = max(width(line, HIGH) for line in words) + 3.0, rail_sides(bench)
    if sides is None or long >= sides[1] - sides[0]:
        return None
    left = start(joins, (sides[0] + sides[1] - long) / 2.0, long, *sides)
    if left is None:
        return None
    middle = left + long / 2.0
    return middle if _foot(bench, middle) + _rise(bench, long) + 7.5 * len(words) + 4.0 < _top(bench, *sides) else None


def _climb(bench: Bench) -> float:
    """Climb of the datum across a flat face of a raked, skewed post, a mm of paper."""
    return 0.0 if bench.face.frame.radius else bench.climb


def _foot(bench: Bench, x: float) -> float:
    """y of the rail's underside at ``x``."""
    return bench.seat_y + _climb(bench) * (x - bench.centre)


def _top(bench: Bench, left: float, right: float) -> float:
    """y up to which the section between two sides is drawn."""
    return _foot(bench, (left + right) / 2.0) + rail_height(bench)


def _rise(bench: Bench, long: float) -> float:
    """How far the datum climbs over its middle within words ``long`` mm long, mm."""
    return abs(_climb(bench)) * long / 2.0


def _rim(bench: Bench, box: Box) -> list[tuple[float, float]]:
    """The kink of a break line in the middle of the upper edge, where the rail goes on over what is drawn of it."""
    if bench.face.rail_up <= DRAWN or box.right - box.left < 10.0:
        return []
    x, kink = (box.left + box.right) / 2.0, ((-4.0, 0.0), (-1.5, 2.5), (1.5, -2.5), (4.0, 0.0))
    return [(x + dx, box.top + dy) for dx, dy in kink]
