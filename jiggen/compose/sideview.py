"""An end fitting or bracket turned into its side view at true scale: flange, screws in the post, pivot, cable, dimensions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from jiggen.compose.dimension import ARROW, HIGH, level, long, size_words, words
from jiggen.compose.hatching import hatch
from jiggen.compose.space import Box
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.handbook.screws import Screw
from jiggen.job.model import Bracket, Fitting, Job, PostKind
from jiggen.plan.samples import BETWEEN, ROW

HOLLOW = 8.0  # of a hollow post drawn behind its wall at least
BEYOND = 5.0  # of the post drawn beyond a screw's point
TAIL = 16.0  # of the cable drawn beyond its fitting, and
LEAST = 7.0  # the least of it
PIN = 2.5  # radius of the pivot as drawn
SHORT = 40.0  # a dimension under this may be shorter than its words
SOLD = ("flange", "wall")  # of its lengths, what is bought by a fraction
SAID = "SIDE VIEW, TRUE SCALE"
DEEPEST = 60.0  # of a bore that goes through, as far as it is drawn


Layers = tuple[tuple[float, float], ...]
SOLID: Layers = ((0.0, float("inf")),)


@dataclass(frozen=True, slots=True)
class SideView:
    """What is seen of one piece from the side, mm. ``inside``: post drawn left of its face; ``out``: drawn right of it.
    ``layers``: where the post has wood or metal behind its face, from how deep to how deep."""

    piece: Fitting | Bracket
    up: float
    half: float
    inside: float
    out: float
    layers: Layers = SOLID

    @property
    def width(self) -> float:
        return self.inside + self.out


def layers_of(kind: PostKind, deep: float) -> Layers:
    """What a post of that kind and depth has behind its face: all of it, a tube's walls, a sleeve's walls and the core."""
    if kind.wall is None:
        return ((0.0, deep),)
    if kind.core is None:
        return ((0.0, kind.wall), (deep - kind.wall, deep))
    gap = (deep - kind.core) / 2.0
    return ((0.0, kind.wall), (gap, deep - gap), (deep - kind.wall, deep))


def side_view(piece: Fitting | Bracket, up: float, half: float, room: float, layers: Layers = SOLID) -> SideView:
    """The view of a piece ``up`` mm high. ``half``: half the height that it may take; ``room``: the width, which it
    keeps if that can be done by drawing less of the cable and of the post. ``layers``: of the post behind its face.
    """
    reach = [depth for depth in (_into(piece), _bored(piece)) if depth is not None]
    setback = piece.setback if isinstance(piece, Fitting) else 0.0
    out = max(setback + TAIL, piece.flange + 5.0 + width(SAID, 2.5))
    deep = max([*reach, layers[0][1] + HOLLOW] if len(layers) > 1 else reach, default=0.0)
    over = max(deep + BEYOND + out - room, 0.0)
    tail = min(over, TAIL - LEAST) if setback + TAIL == out else 0.0
    beyond = max(BEYOND - over + tail, 1.0)
    shallow = reach and min(reach) < SHORT  # its words stand on the left of its dimension
    return SideView(
        piece, up, half, max(deep + beyond, min(reach) + SHORT + beyond if shallow else 0.0), out - tail, layers
    )


def draw_side(job: Job, pen: Pen, view: SideView, left: float, top: float) -> None:
    """Draw the view with its words and dimensions, its upper left corner at ``left``, ``top``."""
    x, y = left + view.inside, top - BETWEEN - view.half
    pen.text(x + view.piece.flange + 4.0, y + view.half - 2.5, SAID, 2.5)
    _post(pen, view, x, y)
    piece = view.piece
    if piece.flange:
        pen.box(x, y - view.up / 2.0, x + piece.flange, y + view.up / 2.0, Ink.EDGE)
    if piece.screw is not None:
        for place in _rows(piece.screws):
            _screw(pen, piece.screw, x + piece.flange, y + place)
    if isinstance(piece, Fitting):
        _body(job, pen, piece, x, y, view.out)
    _dimensions(job, pen, view, x, y - view.half)


def _into(piece: Fitting | Bracket) -> float | None:
    """How far the screws go into the post, mm."""
    return piece.screw.length - piece.flange if piece.screw is not None else None


def _bored(piece: Fitting | Bracket) -> float | None:
    """How deep the bore of a stud is drawn, mm."""
    if not isinstance(piece, Fitting) or piece.bore is None:
        return None
    return piece.bore_depth if piece.bore_depth is not None else DEEPEST


def _rows(places: Sequence[tuple[float, float]]) -> list[float]:
    """The heights at which screws are seen from the side, each once."""
    return sorted({round(up, 3) for _, up in places})


def _post(pen: Pen, view: SideView, x: float, y: float) -> None:
    """The post in section, its face at ``x``, with the bore of a stud; hatched where neither screw nor bore goes in."""
    piece, bored = view.piece, _bored(view.piece)
    pen.line(x, y - view.half, x, y + view.half, Ink.EDGE)
    holes = [(up, piece.screw.shank) for up in _rows(piece.screws)] if piece.screw is not None else []
    if isinstance(piece, Fitting) and piece.bore is not None and bored is not None:
        holes.append((0.0, piece.bore))
        end = x - view.inside if piece.bore_depth is None else x - bored
        for side in (-0.5, 0.5):
            pen.line(end, y + side * piece.bore, x, y + side * piece.bore, Ink.EDGE)
        if piece.bore_depth is not None:
            pen.line(end, y - piece.bore / 2.0, end, y + piece.bore / 2.0, Ink.EDGE)
    for start, end in view.layers:
        if start < view.inside:
            _layer(pen, view, x - min(end, view.inside), x - start, y, sorted(holes))
            for deep in (start, end):
                if 0.0 < deep < view.inside:
                    pen.line(x - deep, y - view.half, x - deep, y + view.half, Ink.EDGE)


def _layer(pen: Pen, view: SideView, left: float, right: float, y: float, holes: Sequence[tuple[float, float]]) -> None:
    """One layer of the post's section from ``left`` to ``right``, its holes left out."""
    low, pitch = y - view.half, min(4.0, max((right - left) / 2.0, 1.2))
    for up, wide in holes:
        if y + up - wide / 2.0 - 0.8 > low:
            hatch(pen, Box(left, low, right, y + up - wide / 2.0 - 0.8), pitch)
        low = y + up + wide / 2.0 + 0.8
    hatch(pen, Box(left, low, right, y + view.half), pitch)


def _screw(pen: Pen, screw: Screw, x: float, y: float) -> None:
    """A screw from under its head at ``x`` to its point on the left; a machine screw ends square."""
    r, end = screw.shank / 2.0, x - screw.length
    tip = 0.0 if screw.kind == "machine" else min(1.5 * screw.shank, screw.length / 3.0)
    pen.path(((x, y - r), (end + tip, y - r), (end, y), (end + tip, y + r), (x, y + r)), Ink.EDGE, True)
    if screw.kind == "machine":
        pen.line(end, y - r, end, y + r, Ink.EDGE)
    pen.line(end - 2.0, y, x + 3.0, y, Ink.CENTRE)


def _body(job: Job, pen: Pen, fitting: Fitting, x: float, y: float, out: float) -> None:
    """Pivot, body (dashed, its shape is not known) and cable; the cable ends inside the body, ``setback`` out."""
    d = job.cable.diameter
    end, thick = x + fitting.setback, max(1.2 * d, 3.0)
    start = x + fitting.flange
    if fitting.pivot is not None:
        start, y = x + fitting.pivot[0], y + fitting.pivot[1]
        pen.path(((x + fitting.flange, y + 2.0 * PIN), (start, y + 1.6 * PIN)), Ink.HIDDEN)
        pen.path(((x + fitting.flange, y - 2.0 * PIN), (start, y - 1.6 * PIN)), Ink.HIDDEN)
        turns = (2.0 * pi * i / 24 for i in range(24))
        pen.path(((start + PIN * cos(turn), y + PIN * sin(turn)) for turn in turns), Ink.EDGE, True)
        pen.line(start, y - 2.0 * PIN, start, y + 2.0 * PIN, Ink.CENTRE)
        start += PIN
    stop = end + min(6.0, out - fitting.setback - 1.0)
    pen.box(start, y - thick, stop, y + thick, Ink.HIDDEN)
    for side in (-d / 2.0, d / 2.0):
        pen.line(end, y + side, x + out, y + side, Ink.EDGE)
    pen.line(end, y - d / 2.0, end, y + d / 2.0, Ink.EDGE)
    pen.line(x + fitting.flange, y, x + out, y, Ink.CENTRE)


def _dimensions(job: Job, pen: Pen, view: SideView, x: float, low: float) -> None:
    """The lengths to compare under the view, each in the first row that has room for its line and its words."""
    taken: list[tuple[int, float, float]] = []
    for name, start, end in (*_walls(view, x), *_lengths(view.piece, x)):
        told = (size_words if name in SOLD else words)(job, end - start)
        told = (f"{name} {told[0]}", told[1])
        wide = long(told)
        short = wide + 2.0 > end - start
        room = 3.0 * ARROW + wide * short
        span = (start - 1.0, end + 1.0) if not short else (start - room, end) if end <= x else (start, end + room)
        row = next(n for n in range(9) if all(n != r or span[1] < a or b < span[0] for r, a, b in taken))
        taken.append((row, *span))
        y = low - 5.0 - ROW * row
        for place in (start, end):
            pen.line(place, y - 1.0, place, low - 0.5, Ink.TICK)
        if short:
            _beside(pen, start, end, y, told, end <= x)
        else:
            level(pen, start, end, y, told)


def _beside(pen: Pen, start: float, end: float, y: float, told: tuple[str, str], left: bool) -> None:
    """A level dimension that is shorter than its words: arrows from outside, the words on the right or left of it."""
    place = start - 2.5 * ARROW - long(told) if left else end + 2.5 * ARROW
    pen.line(min(start - 2.0 * ARROW, place), y, max(end + 2.0 * ARROW, place + long(told)), y, Ink.TICK)
    for tip, way in ((start, -1.0), (end, 1.0)):
        pen.fill(((tip, y), (tip + way * ARROW, y + 0.35), (tip + way * ARROW, y - 0.35)))
    pen.text(place, y + 0.8, told[0], HIGH)
    if told[1]:
        pen.text(place, y - 0.8 - HIGH, told[1], HIGH)


def _walls(view: SideView, x: float) -> list[tuple[str, float, float]]:
    """The wall of a tube or sleeve, and a sleeve's gap up to its core; a solid post's depth where its back is drawn."""
    if len(view.layers) < 2:
        deep = view.layers[0][1]
        return [("post", x - deep, x)] if deep < view.inside else []
    wall = view.layers[0][1]
    found = [("wall", x - wall, x)]
    if len(view.layers) > 2 and view.layers[1][0] - wall > 0.05:
        found.append(("gap", x - view.layers[1][0], x - wall))
    return found


def _lengths(piece: Fitting | Bracket, x: float) -> list[tuple[str, float, float]]:
    """Name, left and right end of every length that is told of a piece whose face is at ``x``."""
    found: list[tuple[str, float, float]] = []
    if piece.flange > 0.0:
        found.append(("flange", x, x + piece.flange))  # first, so that its line crosses no words below
    into = _into(piece)
    if into is not None:
        bolt = piece.screw is not None and piece.screw.bolt
        found.append(("behind the face" if bolt else "in the post", x - into, x))
    if isinstance(piece, Fitting) and piece.bore_depth is not None:
        found.append(("bore", x - piece.bore_depth, x))
    if isinstance(piece, Fitting):
        if piece.pivot is not None and piece.pivot[0] > 0.0:
            found.append(("pivot", x, x + piece.pivot[0]))
        if piece.travel > 0.0:
            found.append(("takes up", x + piece.setback - piece.travel, x + piece.setback))
        if piece.setback > 0.0:
            found.append(("to the cable's end", x, x + piece.setback))
    return found
