"""The bores of a sheet that slant sideways turned into paper gauges that lie flat, each with sketches from above."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, sin, tan

from jiggen.compose.bench import Bench, Strip
from jiggen.compose.clear import below, start
from jiggen.compose.lettering import paragraph, wrapped
from jiggen.compose.titles import ALIKE, tied
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.drilling import SLANT
from jiggen.plan.words import capitals

HIGH = 46.0  # of a gauge from the post's face outward, mm
GAP = 8.0
BODY = 30.0  # of a gauge's edge on the face, beyond what the slope takes
MOST = 3  # gauges of a kind on a sheet
SKETCH, ONE = 96.0, 42.0  # where the sketches beside a gauge begins; width of one
SMALL = 2.6  # height of the lettering that says how they are used
ARROWS = 8.0  # over the words: room for the marks along a join that runs there
HOW = (
    "Bores to the LEFT or RIGHT: cut the gauge out on stiff paper. Lay it flat, level with the hole, the edge marked POST "
    "against the face, and hold the drill along its sloping edge: this side up for the way it names, turned over for the other."
)


@dataclass(frozen=True, slots=True)
class Aside:
    """Bores of one ``angle`` from square, seen from above, radians: the faces and whether they are drilled to the right."""

    angle: float
    faces: tuple[tuple[str, bool], ...]


def asides(strip: Strip) -> list[Aside]:
    """Every sideways slope of the sheet's bores, to a tenth of a degree, in the order of its faces. A face whose bores all
    differ, as on a post that leans, has none: its words tell them."""
    found: dict[float, tuple[float, dict[tuple[str, bool], None]]] = {}
    for bench in strip.benches:
        for side in _sides(bench):
            _, faces = found.setdefault(round(degrees(abs(side)), 1), (abs(side), {}))
            faces[_called(strip, bench), side > 0.0] = None
    return [Aside(angle, tuple(faces)) for angle, faces in found.values()][:MOST]


def _sides(bench: Bench) -> Iterator[float]:
    """How far each bore of a face slants sideways, radians, + to the right."""
    every = [atan2(mark.axis.x, mark.axis.z) for mark in bench.marks if mark.purpose in ("cable", "wire")]
    practice = bench.group.kind == "practice"
    if every and (practice or max(every) - min(every) < ALIKE):
        yield from (side for side in every if abs(side) > SLANT)


def _called(strip: Strip, bench: Bench) -> str:
    name = "THIS FACE" if len(strip.benches) == 1 else capitals(bench.face.name)
    return f"{bench.line.head}: {name}" if tied(strip, bench) else name


def flat_height(strip: Strip) -> float:
    """What the flat gauges and how to use them take of the sheet's foot, mm; 0 where no bore slants sideways."""
    count = len(asides(strip))
    return count * (HIGH + GAP) + how_height(strip, HOW) if count else 0.0


def how_height(strip: Strip, words: str) -> float:
    """What the words over a sheet's gauges take with the room above them, mm."""
    return len(wrapped(words, SMALL, _how_room(strip))) * SMALL * 1.55 + ARROWS


def draw_how(strip: Strip, pen: Pen, top: float, words: str) -> None:
    """Draws the words over the gauges, from ``top`` down."""
    paragraph(pen, 2.0, top - ARROWS, words, SMALL, _how_room(strip))


def _how_room(strip: Strip) -> float:
    """How wide the words over the gauges may be, so that no join between columns cuts them, mm."""
    return min(strip.joins, default=strip.width) - 5.0


def flat_gauges(strip: Strip, pen: Pen, top: float, rows: Sequence[float] = ()) -> list[tuple[float, float]]:
    """Draws them from ``top`` down, none across a join at ``rows``; returns what a join must miss, (bottom, top) each."""
    parts = []
    found = asides(strip)
    if found:  # the words stay with the first gauge
        top = begins = below(rows, top, how_height(strip, HOW) + ARROWS + HIGH)
        draw_how(strip, pen, top, HOW)
        top -= how_height(strip, HOW)
    for index, aside in enumerate(found):
        if index:
            top = begins = below(rows, top, ARROWS + HIGH)
        _gauge(strip, pen, top - ARROWS, aside)
        top -= HIGH + GAP
        parts.append((top, begins - 3.0))
    return parts


def _gauge(strip: Strip, pen: Pen, y: float, aside: Aside) -> None:
    """The gauge as seen from above, the post's face along its upper edge, and a sketch for every way that it is used."""
    right = aside.faces[0][1]
    rate = tan(aside.angle)
    high = min(HIGH - 6.0, 56.0 / rate)
    slope = high * rate
    long = BODY + slope
    corners = ((0.0, y), (long, y), (BODY, y - high), (0.0, y - high))  # to bore right; its mirror to bore left
    pen.path([(2.0 + (x if right else long - x), at) for x, at in corners], Ink.CUT, True)
    left = 2.0 if right else 2.0 + slope
    for line, (words, size) in enumerate((("POST", 3.0), (f"BORE {_way(right, aside.angle)}", 3.0), ("CUT OUT", 3.0))):
        fit = fitted(words, size, BODY - 4.0, 1.8)
        pen.text(left + 2.0, y - 5.0 - 6.0 * line, words, fit, ink=Ink.STRONG if line == 1 else Ink.NOTE)
    _sketches(strip, pen, y, aside, 2.0 + long)


def _sketches(strip: Strip, pen: Pen, y: float, aside: Aside, after: float) -> None:
    """One sketch for each way, side by side; only the first where there is room for no more."""
    ways = list(dict.fromkeys(right for _, right in aside.faces))
    for count in range(len(ways), 0, -1):
        left = start(strip.joins, SKETCH, ONE * count, after, strip.width)
        if left is not None or count == 1:
            for index, right in enumerate(ways[:count]):
                names = [name for name, way in aside.faces if way is right]
                _sketch(pen, (SKETCH if left is None else left) + ONE * (index + 0.5), y, aside.angle, right, names)
            return


def _sketch(pen: Pen, x: float, y: float, angle: float, right: bool, names: list[str]) -> None:
    """Seen from above: the post, the face that is drilled below it, square to it a centre line, the drill on its slope."""
    sign, half, face = (1.0 if right else -1.0), 9.0, y - 18.0
    away = sign * sin(angle), cos(angle)
    pen.box(x - half, face, x + half, face + 16.0, Ink.EDGE)
    inside = min(16.0 / away[1], half / abs(away[0]))
    pen.line(x, face, x + inside * away[0], face + inside * away[1], Ink.HIDDEN)
    pen.line(x - 18.0 * away[0], face - 18.0 * away[1], x - away[0], face - away[1], Ink.DATUM)
    pen.line(x, face, x, face - 17.0, Ink.CENTRE)
    pen.text(x - sign * (half - 1.0), face + 12.0, "POST", 2.2, "left" if right else "right")
    told = _way(right, angle)
    pen.text(
        x + sign * 2.0, face - 9.0, told, fitted(told, 3.5, 19.0, 2.0), "left" if right else "right", ink=Ink.STRONG
    )
    words = "SEEN FROM ABOVE"
    pen.text(x, face - 23.5, words, fitted(words, 2.6, ONE - 4.0, 1.8), "middle")
    listed = ", ".join(names)
    if width(listed, 1.8) > ONE - 3.0:
        listed = f"{len(names)} FACES, AS NAMED"
    pen.text(x, face - 28.0, listed, fitted(listed, 2.8, ONE - 3.0, 1.5), "middle")


def _way(right: bool, angle: float) -> str:
    return f"{'RIGHT' if right else 'LEFT'} {degrees(angle):.1f}°"
