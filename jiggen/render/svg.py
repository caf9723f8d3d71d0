"""A drawing turned into one SVG at true scale: mm on the root, mm in the viewBox, y down."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from math import cos, sin
from typing import Any

import svgwrite

from jiggen.drawing import lettering
from jiggen.drawing.scene import Data, Drawing, Fill, Ink, Line, Oval, Path, Shape, Text
from jiggen.geometry import Point
from jiggen.render import glyphs
from jiggen.render.looks import DRAFT_RIM, FILLED, LETTERED, SHOP, SVG, Look, pen_width
from jiggen.render.svgparts import Metadata, clean, number, oval_of, place, way

# Filled areas under lines, lines under lettering.
_ORDER = (
    Ink.DRAFT,
    Ink.PALE,
    Ink.SOLID,
    *(i for i in Ink if i not in FILLED | LETTERED),
    Ink.NOTE,
    Ink.STRONG,
)
TOGETHER = 50  # lines or areas in one path of a picture; longer ones take readers longer
_NAME = re.compile(r"[^a-z0-9.-]+")


def svg(
    drawing: Drawing,
    *,
    title: str = "",
    metadata: str = "",
    operations: Mapping[Ink, tuple[str, str]] | None = None,
    fused: bool = False,
) -> bytes:
    """``drawing`` as an SVG file, UTF-8; y there = height - y.

    A group an ink, its id the ink's name. An Oval becomes a ``<circle>`` or an ``<ellipse>``, a Line with a
    "line" in its data a ``<line>``, all else ``<path>``s; every pair of data becomes a ``data-`` attribute.
    Lettering is strokes in a group that carries its words as ``data-text``. ``metadata``: text for
    ``<metadata>``. ``operations``: for a machine shop, the id and colour of the group of an ink; lines are
    then hair lines without dashes. ``fused``: many lines or areas in one ``<path>``, without their data: for a picture.
    """
    root = svgwrite.Drawing(debug=False, size=(f"{number(drawing.width)}mm", f"{number(drawing.height)}mm"))
    root.attribs["viewBox"] = f"0 0 {number(drawing.width)} {number(drawing.height)}"
    root.set_desc(title=clean(title or drawing.title))
    if metadata:
        root.add(Metadata(metadata))
    if operations is None:
        root.add(root.rect((0, 0), (number(drawing.width), number(drawing.height)), fill="white", stroke="none"))
    looks = SVG if operations is None else SHOP
    for ink in _ORDER:
        shapes = [s for s in drawing.shapes if s.ink is ink and not (isinstance(s, Text) and s.white)]
        if shapes:
            group = _group(ink, looks[ink], (operations or {}).get(ink), root)
            _add(group, _strewn(group, shapes, root, drawing.height) if fused else shapes, root, drawing.height)
            root.add(group)
    white = [s for s in drawing.shapes if isinstance(s, Text) and s.white]
    if white:
        group = root.g(id="white", fill="none", stroke="white", stroke_linecap="round", stroke_linejoin="round")
        _add(group, white, root, drawing.height)
        root.add(group)
    return f'<?xml version="1.0" encoding="utf-8"?>\n{root.tostring()}\n'.encode()


def _group(ink: Ink, look: Look, shop: tuple[str, str] | None, root: Any) -> Any:
    name, colour = shop or (ink.value, _grey(look.grey))
    group = root.g(id=name, fill="none", stroke=colour)
    group.attribs["stroke-width"] = number(look.width)
    if look.dash:
        group.attribs["stroke-dasharray"] = " ".join(str(number(part)) for part in look.dash)
    if ink in LETTERED or shop:
        group.attribs["stroke-linecap"] = "round"
    group.attribs["stroke-linejoin"] = "round"
    if ink in FILLED:
        group.attribs |= {"fill": colour, "fill-rule": "evenodd", "stroke": "none"}
    return group


def _strewn(group: Any, shapes: Iterable[Shape], root: Any, height: float) -> list[Shape]:
    """The shapes that stay by themselves; the ways of the others are put into the group, ``TOGETHER`` to a path."""
    alone: list[Shape] = []
    ways: list[str] = []
    for shape in shapes:
        if isinstance(shape, Text | Oval):
            alone.append(shape)
        else:
            points, closed = _course(shape)
            ways.append(way(points, closed, height))
    if "fill-rule" in group.attribs:
        group.attribs["fill-rule"] = "nonzero"  # areas that lie over one another do not cancel out
    for start in range(0, len(ways), TOGETHER):
        group.add(root.path(d=" ".join(ways[start : start + TOGETHER])))
    return alone


def _course(shape: Line | Path | Fill) -> tuple[tuple[Point, ...], bool]:
    """The points that a shape of straight pieces goes through, and whether it goes back to the first."""
    if isinstance(shape, Fill):
        return shape.points, True
    return (shape.points, shape.closed) if isinstance(shape, Path) else ((shape.start, shape.end), False)


def _add(group: Any, shapes: Iterable[Shape], root: Any, height: float) -> None:
    for shape in shapes:
        group.add(_element(root, shape, height))


def _element(root: Any, shape: Shape, height: float) -> Any:
    if isinstance(shape, Text):
        return _lettering(root, shape, height)
    if isinstance(shape, Oval):
        return _with(oval_of(root, shape, height), shape.data)
    if isinstance(shape, Line) and any(key == "line" for key, _ in shape.data):
        start, end = (place(point, height) for point in (shape.start, shape.end))
        return _with(root.line(start, end), shape.data)
    return _with(root.path(d=way(*_course(shape), height)), () if isinstance(shape, Fill) else shape.data)


def _lettering(root: Any, text: Text, height: float) -> Any:
    words = clean(glyphs.said(text))
    group = root.g()
    if words:
        group.attribs |= {"role": "img", "aria-label": words, "data-text": words}
    d = _written(text, height)
    if text.ink in LETTERED:
        width = pen_width(text.ink, text.height)
        group.attribs["stroke-width"] = number(width)
    if d:
        group.add(root.path(d=d))
        if text.ink is Ink.DRAFT:
            inner = root.path(d=d, stroke="white")
            inner.attribs["stroke-width"] = number(width - 2.0 * DRAFT_RIM)
            group.add(inner)
    return group


def _written(text: Text, height: float) -> str:
    """The strokes of ``text``: to the first by its place, from there on by steps, which equal words share."""
    first, steps = _steps(text.text, text.height, text.angle)
    if not steps:
        return ""
    begin = glyphs.start(text)
    x = text.at.x + begin * cos(text.angle) + first.x
    y = text.at.y + begin * sin(text.angle) + first.y
    return f"M{number(x)} {number(height - y)} {steps}"


@lru_cache(maxsize=1024)  # some kB each
def _steps(words: str, height: float, angle: float) -> tuple[Point, str]:
    """Where the first stroke begins from the start of the base line, y up, and all the rest as relative moves, y down.

    Each character begins at its place as the steps before it give it when rounded, so that nothing adds up.
    """
    c, s = cos(angle), sin(angle)
    first, x, y = Point(0.0, 0.0), 0.0, 0.0
    parts: list[str] = []
    for character, origin in lettering.origins(words):
        start, end, drawn = _character(character, height, angle)
        along = origin * height
        to = Point(along * c + start.x, along * s + start.y)
        if parts:
            dx, dy = round(to.x - x, 4), round(to.y - y, 4)
            parts.append(f"m{number(dx)} {number(-dy)}")
            x, y = x + dx, y + dy
        else:
            first, (x, y) = to, to
        parts.append(drawn)
        x, y = x + end.x, y + end.y
    return first, "".join(parts)


@lru_cache(maxsize=4096)
def _character(character: str, height: float, angle: float) -> tuple[Point, Point, str]:
    """Where a character begins from its origin, where it ends from there, both y up, and the moves between, y down."""
    c, s = cos(angle), sin(angle)
    strokes = [[Point(x * c - y * s, x * s + y * c) for x, y in way] for way in lettering.strokes(character, height)]
    first = strokes[0][0]
    x, y = first
    parts: list[str] = []
    for stroke in strokes:
        for index, point in enumerate(stroke):
            dx, dy = round(point.x - x, 4), round(point.y - y, 4)
            if point is not first:
                parts.append(f"{'l' if index else 'm'}{number(dx)} {number(-dy)}")
            x, y = x + dx, y + dy
    return first, Point(x - first.x, y - first.y), "".join(parts)


def _with(element: Any, data: Data) -> Any:
    for key, value in data:
        element.attribs["data-" + _NAME.sub("-", key.lower())] = clean(value)
    return element


def _grey(grey: float) -> str:
    level = round(grey * 255)
    return f"#{level:02x}{level:02x}{level:02x}"
