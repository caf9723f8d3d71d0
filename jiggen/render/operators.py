"""Shapes turned into the operators of a PDF page, in millimetres: clipped, and grouped by how they look."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from functools import lru_cache
from math import cos, fsum, pi, sin, tan

from jiggen.drawing import lettering
from jiggen.drawing.scene import Data, Fill, Ink, Line, Oval, Path, Shape, Text
from jiggen.geometry import Point
from jiggen.render import clip, glyphs
from jiggen.render.clip import Window
from jiggen.render.helvetica import CAPITAL, width_of
from jiggen.render.looks import DRAFT_RIM, LETTERED, PDF, pen_width
from jiggen.sheets.extent import extent

State = tuple[float, tuple[float, ...], float, int]
"""Line width, dashes, grey, line cap: what one group of strokes shares."""

WHOLE: Window = (-1e6, -1e6, 1e6, 1e6)
_LETTER = re.compile(rb"/g([0-9A-F]+) Do")
_ARCS = 8
_PULL = 4.0 / 3.0 * tan(pi / (2 * _ARCS))  # handle of a Bezier over 45 degrees


@lru_cache(maxsize=1 << 14)  # the same edges and heights come again and again
def number(value: float) -> str:
    """``value`` to four places without trailing zeros, never with an exponent: every number of a page."""
    written = repr(round(value, 4))
    if written.endswith(".0"):
        written = written[:-2]
    return "0" if written == "-0" else written


class Canvas:
    """Collects the operators of one page and gives them back in the order in which they are painted."""

    def __init__(self) -> None:
        self.under: list[str] = []
        self.forms: list[str] = []
        self.fills: list[str] = []
        self.strokes: dict[State, list[str]] = {}
        self.tagged: dict[State, list[str]] = {}
        self.clipped: dict[Window, list[str]] = {}
        self.white: list[str] = []
        self.words: list[str] = []

    def add(self, shapes: Sequence[Shape], window: Window, boxes: Sequence[Window] = ()) -> None:
        """Draws what of ``shapes`` lies in ``window``; all of it where that is ``WHOLE``. ``boxes``: round the shapes, if known."""
        for index, shape in enumerate(shapes):
            whole = window is WHOLE
            if not whole:
                box = boxes[index] if boxes else extent(shape)
                if clip.outside(box, window):
                    continue
                whole = clip.inside(box, window)
            if isinstance(shape, Text):
                self._text(shape, window, whole)
            elif isinstance(shape, Oval):
                self._oval(shape, window, whole)
            elif isinstance(shape, Fill):
                self._fill(shape, window, whole)
            else:
                self._path(shape, window, whole)

    def operators(self) -> str:
        """All that was drawn, lettering that is searched but not seen last."""
        parts = [*self.under, *self.forms, *self.fills]
        for state in dict.fromkeys((*self.strokes, *self.tagged)):
            parts.append(_state(state))
            if state in self.strokes:
                parts += (*self.strokes[state], "S")
            parts += self.tagged.get(state, ())
        for (left, bottom, right, top), drawn in self.clipped.items():
            rim = f"{number(left)} {number(bottom)} {number(right - left)} {number(top - bottom)} re W n"
            parts += ("q", rim, *drawn, "Q")
        parts += self.white
        if self.words:
            parts += ("BT 3 Tr", *self.words, "ET")
        return "\n".join(parts)

    def _path(self, shape: Line | Path, window: Window, whole: bool) -> None:
        look = PDF[shape.ink]
        state = (look.width, look.dash, look.grey, 1 if shape.ink in LETTERED else 0)
        points = (shape.start, shape.end) if isinstance(shape, Line) else shape.points
        closed = isinstance(shape, Path) and shape.closed
        if whole:
            self._stroke(state, [(_way(points, closed), 0.0)], shape.data)
            return
        period = fsum(look.dash)
        pieces = clip.polyline(points, closed, window)
        self._stroke(
            state,
            [(_way(way, False), begin % period if period else 0.0) for way, begin in pieces],
            shape.data,
        )

    def _stroke(self, state: State, ways: Sequence[tuple[str, float]], data: Data) -> None:
        if data and ways:
            drawn = " ".join(_phased(state, way, phase) for way, phase in ways)
            self.tagged.setdefault(state, []).append(f"{_tag(data)} BDC {drawn} EMC")
            return
        for way, phase in ways:
            if phase:
                self.tagged.setdefault(state, []).append(_phased(state, way, phase))
            else:
                self.strokes.setdefault(state, []).append(way)

    def _oval(self, shape: Oval, window: Window, whole: bool) -> None:
        look = PDF[shape.ink]
        state = (look.width, look.dash, look.grey, 0)
        way = _round(shape)
        if whole:
            self._stroke(state, [(way, 0.0)], shape.data)
            return
        drawn = f"{_tag(shape.data)} BDC {way} S EMC" if shape.data else f"{way} S"
        self.clipped.setdefault(window, []).append(f"{_state(state)} {drawn}")

    def _fill(self, shape: Fill, window: Window, whole: bool) -> None:
        points = shape.points if whole else clip.polygon(shape.points, window)
        if len(points) > 2:
            self.fills.append(f"{number(PDF[shape.ink].grey)} g {_way(points, True)} f*")

    def _text(self, shape: Text, window: Window, whole: bool) -> None:
        look = PDF[shape.ink]
        width = pen_width(shape.ink, shape.height) if shape.ink in LETTERED else look.width
        if whole and shape.ink is not Ink.DRAFT:
            drawn = _stood(shape, width)
        else:
            pieces = (p for stroke in glyphs.placed(shape) for p in clip.polyline(stroke, False, window))
            drawn = " ".join([*(_way(way, False) for way, _ in pieces), "S"])
        if shape.ink is Ink.DRAFT:
            self.under.append(_outlined(shape, drawn))
        elif drawn not in ("", "S"):
            state = (width, (), 1.0 if shape.white else look.grey, 1)
            if shape.white:
                self.white += (_state(state), drawn)
            else:
                self.tagged.setdefault(state, []).append(drawn)
        if glyphs.said(shape).strip() and (whole or clip.inside((*shape.at, *shape.at), window)):
            self.words.append(_searched(shape))


def _way(points: Sequence[Point], closed: bool) -> str:
    first, *rest = [f"{number(x)} {number(y)}" for x, y in points]
    return f"{first} m " + " ".join([f"{point} l" for point in rest]) + (" h" if closed else "")


def _state(state: State) -> str:
    width, dash, grey, cap = state
    return f"{number(width)} w {_dashes(dash)} 0 d {number(grey)} G {cap} J"


def _dashes(dash: Sequence[float]) -> str:
    return "[" + " ".join(number(part) for part in dash) + "]"


def _phased(state: State, way: str, phase: float) -> str:
    if not phase:
        return f"{way} S"
    dash = _dashes(state[1])
    return f"{dash} {number(phase)} d {way} S {dash} 0 d"


_CIRCLE = [(cos(2 * pi * i / _ARCS), sin(2 * pi * i / _ARCS)) for i in range(_ARCS + 1)]


@lru_cache(maxsize=512)
def _rim(rx: float, ry: float, angle: float) -> tuple[tuple[float, float], ...]:
    """Start, then two handles and an end for each arc, about a centre at (0, 0)."""
    unit = [_CIRCLE[0]]
    for (x1, y1), (x2, y2) in itertools.pairwise(_CIRCLE):
        unit += [(x1 - _PULL * y1, y1 + _PULL * x1), (x2 + _PULL * y2, y2 - _PULL * x2), (x2, y2)]
    c, s = cos(angle), sin(angle)
    return tuple((x * rx * c - y * ry * s, x * rx * s + y * ry * c) for x, y in unit)


def _round(oval: Oval) -> str:
    x, y = oval.centre
    points = [f"{number(x + a)} {number(y + b)}" for a, b in _rim(oval.rx, oval.ry, oval.angle)]
    arcs = [f"{points[i]} {points[i + 1]} {points[i + 2]} c" for i in range(1, 3 * _ARCS, 3)]
    return f"{points[0]} m {' '.join(arcs)} h"


def _tag(data: Data) -> str:
    """A tag with ``data`` as its properties: /Mark for a mark, /Item for anything else."""
    kind = "/Mark" if any(key == "mark" for key, _ in data) else "/Item"
    pairs = " ".join(f"/{_name(key)} {literal(value)}" for key, value in data)
    return f"{kind} <<{pairs}>>"


def _name(key: str) -> str:
    return "".join(chr(b) if chr(b).isalnum() and b < 128 else f"#{b:02X}" for b in key.encode())


def literal(value: str) -> str:
    """A PDF string: in brackets where ``value`` is plain ASCII, else UTF-16 in hexadecimal."""
    if not value.isascii() or not value.isprintable():
        return "<FEFF" + value.encode("utf-16-be", "replace").hex().upper() + ">"
    return "(" + value.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)") + ")"


@lru_cache(maxsize=8192)
def _letters(words: str) -> str:
    """The forms of the characters of ``words``, each at its origin, a capital being 1 high."""
    parts: list[str] = []
    last = 0.0
    for character, origin in lettering.origins(words):
        step = round(origin - last, 4)
        if step:
            parts.append(f"1 0 0 1 {number(step)} 0 cm")
        parts.append(f"/{letter_name(character)} Do")
        last += step
    return " ".join(parts)


def letter_name(character: str) -> str:
    """The name of the form that draws ``character``."""
    return f"g{ord(character):X}"


def letters_in(operators: bytes) -> frozenset[str]:
    """The characters whose forms ``operators`` draw."""
    return frozenset(chr(int(code, 16)) for code in _LETTER.findall(operators))


def letter(character: str) -> str:
    """The operators that draw ``character``, a capital being 1 high, its origin at (0, 0)."""
    return " ".join([*(_way(stroke, False) for stroke in lettering.strokes(character, 1.0)), "S"])


def _stood(text: Text, width: float) -> str:
    """The lettering of ``text`` under a matrix of its own, drawn from the forms of its characters."""
    letters = _letters(text.text)
    if not letters:
        return ""
    high = text.height
    c, s, begin = cos(text.angle), sin(text.angle), glyphs.start(text)
    x, y = text.at.x + begin * c, text.at.y + begin * s
    size = number(high)
    turn = f"{size} 0 0 {size}"
    if text.angle != 0.0:
        turn = f"{c * high:.7f} {s * high:.7f} {-s * high:.7f} {c * high:.7f}"
    return f"q {turn} {number(x)} {number(y)} cm {number(width / high)} w {letters} Q"


def _outlined(text: Text, drawn: str) -> str:
    width = pen_width(Ink.DRAFT, text.height)
    outer = _state((width, (), PDF[Ink.DRAFT].grey, 1))
    inner = _state((width - 2.0 * DRAFT_RIM, (), 1.0, 1))
    return f"{outer} {drawn}\n{inner} {drawn}"


def _searched(text: Text) -> str:
    """The words of ``text`` where they stand, in the font /F, as wide as the lettering that is seen."""
    words, across = _plain(glyphs.said(text))
    size = text.height / CAPITAL
    natural = across * size
    long = lettering.width(text.text, text.height)
    wide = 100.0 * long / natural if natural > 0.0 and long > 0.0 else 100.0
    c, s, begin = cos(text.angle), sin(text.angle), glyphs.start(text)
    x, y = text.at.x + begin * c, text.at.y + begin * s
    turn = "1 0 0 1" if text.angle == 0.0 else f"{c:.6f} {s:.6f} {-s:.6f} {c:.6f}"
    return f"/F {number(size)} Tf {number(wide)} Tz {turn} {number(x)} {number(y)} Tm ({words}) Tj"


@lru_cache(maxsize=4096)
def _plain(words: str) -> tuple[str, float]:
    """``words`` as they are written in a file, and their width at size 1, a space at their end left out."""
    plain = glyphs.plain(words)
    return _octal(plain), width_of(plain.rstrip())


def _octal(words: str) -> str:
    escaped = words.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")
    return "".join(chr(b) if 32 <= b < 127 else f"\\{b:03o}" for b in escaped.encode("cp1252", errors="replace"))
