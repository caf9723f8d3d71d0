"""The slanting bores of a sheet turned into paper angle gauges to cut out, each with a sketch of the drill at its faces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, degrees, pi, tan

from jiggen.compose.bench import Strip
from jiggen.compose.clear import below, start
from jiggen.compose.flatgauge import MOST, draw_how, flat_gauges, flat_height, how_height
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.drilling import SLANT
from jiggen.plan.words import capitals

GAUGE = 60.0  # height of a gauge, mm
GAP = 7.0
SKETCH, ONE, BOTH = 94.0, 52.0, 76.0  # where the sketch beside a gauge begins; its width with one face and with two
WAY = 24.0  # room for the words beside a drill in a sketch
HOW = (
    "Cut the gauge out on stiff paper. Stand it beside the hole, its upright edge flat on the post, and hold the drill along "
    "its sloping edge: as drawn for the way it names, upside down for the other."
)


@dataclass(frozen=True, slots=True)
class Slope:
    """Bores of one ``angle`` from square, in the vertical, radians: the faces and whether they are drilled upwards there."""

    angle: float
    faces: tuple[tuple[str, bool], ...]


def slopes(strip: Strip) -> list[Slope]:
    """Every slope that the sheet's bores have, to a tenth of a degree, in the order of its faces."""
    found: dict[float, tuple[float, dict[tuple[str, bool], None]]] = {}
    for bench in strip.benches:
        for mark in bench.marks:
            if mark.purpose in ("cable", "wire") and abs(mark.axis.y) > SLANT:
                angle = abs(asin(mark.axis.y))
                _, faces = found.setdefault(round(degrees(angle), 1), (angle, {}))
                faces[bench.face.name, mark.axis.y > 0.0] = None
    return [Slope(angle, tuple(faces)) for angle, faces in found.values()][:MOST]


def gauges_height(strip: Strip) -> float:
    """What the gauges and how to use them take of the sheet's foot, mm; 0 where no bore slants."""
    count = len(slopes(strip))
    return (count * (GAUGE + GAP) + how_height(strip, HOW) if count else 0.0) + flat_height(strip)


def gauges(strip: Strip, pen: Pen, top: float, rows: Sequence[float] = ()) -> list[tuple[float, float]]:
    """Draws them from ``top`` down, none across a join at ``rows``; returns what a join must miss, (bottom, top) each."""
    parts = []
    found = slopes(strip)
    if found:
        top = below(rows, top, how_height(strip, HOW))
        draw_how(strip, pen, top, HOW)
        parts.append((top - how_height(strip, HOW), top - 3.0))
        top -= how_height(strip, HOW)
    for slope in found:
        top = below(rows, top, GAUGE + GAP)
        _gauge(strip, pen, top, slope)
        parts.append((top - GAUGE - GAP, top - 3.0))
        top -= GAUGE + GAP
    return parts + flat_gauges(strip, pen, top, rows)


def _gauge(strip: Strip, pen: Pen, top: float, slope: Slope) -> None:
    """A paper triangle with the bore's angle, to cut out, and a sketch of it against the post; both have the post on the
    right and the drill going in as at the face that is named first: up, or down under a gauge that stands on its tip."""
    angle, y = slope.angle, top - 5.0
    long = min(88.0, (GAUGE - 6.0) / tan(angle))
    foot = y - GAUGE + 2.0
    high = long * tan(angle)
    up, right = slope.faces[0][1], 2.0 + long
    level, tip = (
        (foot, foot + high) if up else (foot + high, foot)
    )  # its level edge, and where the slope meets the post
    pen.path(((2.0, level), (right, level), (right, tip)), Ink.CUT, True)
    told = f"ANGLE GAUGE, BORE {_way(up, angle)}: CUT OUT"
    size = fitted(told, 3.0, long * 0.66)
    inside = (width(told, size) + 4.0) / long + (size + 3.0) / high < 1.0  # under the slope, else over all of it
    base = level + (2.0 if up else -2.0 - size) if inside else foot + high + 2.0
    pen.text(right - 3.0, base, told, size, "right")
    if high > 22.0:
        pen.text(right - 1.5, (level + tip) / 2.0 - (1.0 if up else 3.0), "POST", 2.2, "right")
    left = start(strip.joins, SKETCH, ONE if len(slope.faces) == 1 else BOTH, 2.0 + long, strip.width)
    _sketch(strip, pen, (SKETCH if left is None else left) + 30.0, foot, slope)


def _sketch(strip: Strip, pen: Pen, x: float, bottom: float, slope: Slope) -> None:
    """Seen from the side: the post, a face on the left with the drill at its slope, the face where it comes out on the
    right with the drill that meets it."""
    (name, up), *others = slope.faces
    rate = tan(slope.angle) * (1.0 if up else -1.0)
    deep, middle = 18.0, bottom + 28.0
    pen.box(x, bottom + 2.0, x + deep, bottom + 54.0, Ink.EDGE)
    pen.line(x, middle, x + deep, middle + deep * rate, Ink.HIDDEN)
    pen.line(x - 26.0, middle - 26.0 * rate, x - 1.0, middle - rate, Ink.DATUM)
    pen.line(x - 26.0, middle, x, middle, Ink.CENTRE)
    way = _way(up, slope.angle)
    pen.text(x - 3.0, middle + (5.0 if up else -9.0), way, fitted(way, 4.0, WAY, 1.5), "right", ink=Ink.STRONG)
    pen.text(x + deep / 2.0 + 1.2, bottom + 6.0, "POST", 3.0, "left", pi / 2.0)
    one = "THIS FACE" if len(strip.benches) == 1 else capitals(name)
    high, low = bottom + 49.0, bottom + 4.0  # clear of the drills
    pen.text(x - 2.0, high if up else low, one, fitted(one, 3.0, 27.0, 1.5), "right")
    practice = strip.first.group.kind == "practice"  # the other way is another hole's
    far = next((place for place, way in others if way is not up), "") if not practice else ""
    if far:
        out, level = x + deep, middle + deep * rate
        pen.line(out + 1.0, level + rate, out + 26.0, level + 26.0 * rate, Ink.DATUM)
        pen.line(out, level, out + 26.0, level, Ink.CENTRE)
        way = _way(not up, slope.angle)
        pen.text(out + 3.0, level + (-9.0 if up else 5.0), way, fitted(way, 4.0, WAY, 1.5), ink=Ink.STRONG)
        pen.text(out + 2.0, low if up else high, capitals(far), fitted(capitals(far), 3.0, 25.0, 1.5))


def _way(up: bool, angle: float) -> str:
    return f"{'UP' if up else 'DOWN'} {degrees(angle):.1f}°"
