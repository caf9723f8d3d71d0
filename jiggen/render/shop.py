"""A drawing turned into an SVG for a machine shop: one group an operation, in the order of cutting, mm, y down."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from math import degrees
from typing import Any
from xml.etree import ElementTree

import svgwrite
from svgwrite.base import BaseElement

from jiggen.drawing.scene import Data, Drawing, Ink, Line, Oval, Path, Shape, Text
from jiggen.geometry import Point
from jiggen.render import glyphs

HAIR = 0.1  # a machine follows the line whatever its width; 0.1 mm shows on a screen, 0 would not
_NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def shop_svg(
    drawing: Drawing, operations: Mapping[Ink, tuple[str, str]], *, title: str = "", metadata: str = ""
) -> bytes:
    """``drawing`` as an SVG file, UTF-8; y there = height - y.

    A group for each ink of ``operations`` in that order, with its id and colour; inside a group shapes stand in the
    drawing's order. An Oval becomes a ``<circle>`` or ``<ellipse>``, a Line with data a ``<line>``, all else
    ``<path>``s; lettering is strokes. Data become ``data-`` attributes. Shapes of other inks are left out.
    """
    root = svgwrite.Drawing(debug=False, size=(f"{_n(drawing.width)}mm", f"{_n(drawing.height)}mm"))
    root.attribs["viewBox"] = f"0 0 {_n(drawing.width)} {_n(drawing.height)}"
    root.set_desc(title=_clean(title or drawing.title))
    if metadata:
        root.add(_Metadata(metadata))
    for ink, (name, colour) in operations.items():
        group = root.g(id=_clean(name), fill="none", stroke=colour)
        group.attribs |= {"stroke-width": HAIR, "stroke-linecap": "round", "stroke-linejoin": "round"}
        for shape in drawing.shapes:
            if shape.ink is ink:
                group.add(_element(root, shape, drawing.height))
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


def _element(root: Any, shape: Shape, height: float) -> Any:
    if isinstance(shape, Text):
        made = root.path(d=" ".join(_d(stroke, False, height) for stroke in glyphs.placed(shape)) or "M0 0")
        made.attribs["data-text"] = _clean(shape.text)
        return made
    if isinstance(shape, Oval):
        return _with(_oval(root, shape, height), shape.data)
    if isinstance(shape, Line):
        start, end = _at(shape.start, height), _at(shape.end, height)
        return _with(root.line(start, end), shape.data)
    closed = not isinstance(shape, Path) or shape.closed
    return _with(root.path(d=_d(shape.points, closed, height)), () if not isinstance(shape, Path) else shape.data)


def _oval(root: Any, oval: Oval, height: float) -> Any:
    centre = _at(oval.centre, height)
    if abs(oval.rx - oval.ry) <= 1e-6:
        return root.circle(centre, _n(oval.rx))
    made = root.ellipse(centre, (_n(oval.rx), _n(oval.ry)))
    turn = _n(-degrees(oval.angle))
    if turn:
        made.attribs["transform"] = f"rotate({turn} {centre[0]} {centre[1]})"
    return made


def _with(element: Any, data: Data) -> Any:
    for key, value in data:
        element.attribs[f"data-{key}"] = _clean(value)
    return element


def _d(points: Iterable[Point], closed: bool, height: float) -> str:
    way = " ".join(f"{'L' if i else 'M'}{x} {y}" for i, (x, y) in enumerate(_at(p, height) for p in points))
    return way + " Z" if closed else way


def _at(point: Point, height: float) -> tuple[float | int, float | int]:
    return _n(point.x), _n(height - point.y)


def _n(number: float) -> float | int:
    """``number`` to four places, whole where it is."""
    rounded = round(number, 4)
    return int(rounded) if rounded == int(rounded) else rounded


def _clean(text: str) -> str:
    """``text`` without the characters that XML 1.0 cannot hold."""
    return _NO_XML.sub("", text)
