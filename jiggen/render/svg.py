"""A drawing turned into one SVG at true scale: mm on the root, mm in the viewBox, y down."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from math import cos, degrees, sin
from typing import Any
from xml.etree import ElementTree

import svgwrite
from svgwrite.base import BaseElement

from jiggen.drawing import lettering
from jiggen.drawing.scene import Data, Drawing, Fill, Ink, Oval, Path, Shape, Text
from jiggen.geometry import Point
from jiggen.render import glyphs
from jiggen.render.looks import DRAFT_RIM, FILLED, LETTERED, SHOP, SVG, Look, pen_width

# Filled areas under lines, lines under lettering.
_ORDER = (
    Ink.DRAFT,
    Ink.PALE,
    Ink.SOLID,
    *(i for i in Ink if i not in FILLED | LETTERED),
    Ink.NOTE,
    Ink.STRONG,
)
_NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_NAME = re.compile(r"[^a-z0-9.-]+")


def svg(
    drawing: Drawing,
    *,
    title: str = "",
    metadata: str = "",
    operations: Mapping[Ink, tuple[str, str]] | None = None,
) -> bytes:
    """``drawing`` as an SVG file, UTF-8; y there = height - y.

    A group an ink, its id the ink's name. An Oval becomes a ``<circle>`` or an ``<ellipse>``, a Line with a
    "line" in its data a ``<line>``, all else ``<path>``s; every pair of data becomes a ``data-`` attribute.
    Lettering is strokes in a group that carries its words as ``data-text``. ``metadata``: text for
    ``<metadata>``. ``operations``: for a machine shop, the id and colour of the group of an ink; lines are
    then hair lines without dashes.
    """
    root = svgwrite.Drawing(debug=False, size=(f"{_n(drawing.width)}mm", f"{_n(drawing.height)}mm"))
    root.attribs["viewBox"] = f"0 0 {_n(drawing.width)} {_n(drawing.height)}"
    root.set_desc(title=_clean(title or drawing.title))
    if metadata:
        root.add(_Metadata(metadata))
    if operations is None:
        root.add(root.rect((0, 0), (_n(drawing.width), _n(drawing.height)), fill="white", stroke="none"))
    looks = SVG if operations is None else SHOP
    for ink in _ORDER:
        shapes = [s for s in drawing.shapes if s.ink is ink and not (isinstance(s, Text) and s.white)]
        if shapes:
            root.add(_group(root, shapes, ink, looks[ink], (operations or {}).get(ink), drawing.height))
    white = [s for s in drawing.shapes if isinstance(s, Text) and s.white]
    if white:
        group = root.g(id="white", fill="none", stroke="white", stroke_linecap="round", stroke_linejoin="round")
        _add(group, white, root, drawing.height)
        root.add(group)
    return f'<?xml version="1.0" encoding="utf-8"?>\n{root.tostring()}\n'.encode()


class _Metadata(BaseElement):  # type: ignore[misc]
    elementname = "metadata"

    def __init__(self, text: str) -> None:
        super().__init__(debug=False)
        self._text = _clean(text)

    def get_xml(self) -> ElementTree.Element:
        element = ElementTree.Element("metadata")
        element.text = self._text
        return element


def _group(
    root: Any, shapes: Iterable[Shape], ink: Ink, look: Look, shop: tuple[str, str] | None, height: float
) -> Any:
    name, colour = shop or (ink.value, _grey(look.grey))
    group = root.g(id=name, fill="none", stroke=colour)
    group.attribs["stroke-width"] = _n(look.width)
    if look.dash:
        group.attribs["stroke-dasharray"] = " ".join(str(_n(part)) for part in look.dash)
    if ink in LETTERED or shop:
        group.attribs["stroke-linecap"] = "round"
    group.attribs["stroke-linejoin"] = "round"
    if ink in FILLED:
        group.attribs |= {"fill": colour, "fill-rule": "evenodd", "stroke": "none"}
    _add(group, shapes, root, height)
    return group


def _add(group: Any, shapes: Iterable[Shape], root: Any, height: float) -> None:
    for shape in shapes:
        group.add(_element(root, shape, height))


def _element(root: Any, shape: Shape, height: float) -> Any:
    if isinstance(shape, Text):
        return _lettering(root, shape, height)
    if isinstance(shape, Oval):
        return _with(_oval(root, shape, height), shape.data)
    if isinstance(shape, Fill):
        return root.path(d=_d(shape.points, True, height))
    if isinstance(shape, Path):
        return _with(root.path(d=_d(shape.points, shape.closed, height)), shape.data)
    if any(key == "line" for key, _ in shape.data):
        start, end = (_at(point, height) for point in (shape.start, shape.end))
        return _with(root.line(start, end), shape.data)
    return _with(root.path(d=_d((shape.start, shape.end), False, height)), shape.data)


def _oval(root: Any, oval: Oval, height: float) -> Any:
    centre = _at(oval.centre, height)
    if abs(oval.rx - oval.ry) <= 1e-6:
        return root.circle(centre, _n(oval.rx))
    made = root.ellipse(centre, (_n(oval.rx), _n(oval.ry)))
    turn = _n(-degrees(oval.angle))
    if turn:
        made.attribs["transform"] = f"rotate({turn} {centre[0]} {centre[1]})"
    return made


def _lettering(root: Any, text: Text, height: float) -> Any:
    words = _clean(glyphs.said(text))
    group = root.g()
    if words:
        group.attribs |= {"role": "img", "aria-label": words, "data-text": words}
    d = _written(text, height)
    if text.ink in LETTERED:
        width = pen_width(text.ink, text.height)
        group.attribs["stroke-width"] = _n(width)
    if d:
        group.add(root.path(d=d))
        if text.ink is Ink.DRAFT:
            inner = root.path(d=d, stroke="white")
            inner.attribs["stroke-width"] = _n(width - 2.0 * DRAFT_RIM)
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
    return f"M{_n(x)} {_n(height - y)} {steps}"


@lru_cache(maxsize=1024)  # some kB each
def _steps(words: str, height: float, angle: float) -> tuple[Point, str]:
    """Where the first stroke begins from the start of the base line, y up, and all the rest as relative moves, y down.

    Each step leads from the place that the steps before it give when rounded, so that nothing adds up.
    """
    c, s = cos(angle), sin(angle)
    strokes = [[Point(x * c - y * s, x * s + y * c) for x, y in way] for way in lettering.strokes(words, height)]
    if not strokes:
        return Point(0.0, 0.0), ""
    first = strokes[0][0]
    x, y = first
    parts: list[str] = []
    for way in strokes:
        for index, point in enumerate(way):
            dx, dy = round(point.x - x, 4), round(point.y - y, 4)
            if point is not first:
                parts.append(f"{'l' if index else 'm'}{_n(dx)} {_n(-dy)}")
            x, y = x + dx, y + dy
    return first, "".join(parts)


def _with(element: Any, data: Data) -> Any:
    for key, value in data:
        element.attribs["data-" + _NAME.sub("-", key.lower())] = _clean(value)
    return element


def _d(points: Iterable[Point], closed: bool, height: float) -> str:
    way = " ".join(f"{'L' if i else 'M'}{x} {y}" for i, (x, y) in enumerate(_at(p, height) for p in points))
    return way + " Z" if closed else way


def _at(point: Point, height: float) -> tuple[float | int, float | int]:
    return (_n(point.x), _n(height - point.y))


def _n(number: float) -> float | int:
    """``number`` to four places, whole where it is."""
    rounded = round(number, 4)
    return int(rounded) if rounded == int(rounded) else rounded


def _grey(grey: float) -> str:
    level = round(grey * 255)
    return f"#{level:02x}{level:02x}{level:02x}"


def _clean(text: str) -> str:
    """``text`` without the characters that XML 1.0 cannot hold."""
    return _NO_XML.sub("", text)
