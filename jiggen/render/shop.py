"""A drawing turned into an SVG for a machine shop: one group an operation, in the order of cutting, mm, y down."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import svgwrite

from jiggen.drawing.scene import Data, Drawing, Ink, Line, Oval, Path, Shape, Text
from jiggen.render import glyphs
from jiggen.render.svgparts import Metadata, clean, number, oval_of, place, way

HAIR = 0.1  # a machine follows the line whatever its width; 0.1 mm shows on a screen, 0 would not


def shop_svg(drawing: Drawing, operations: Mapping[Ink, tuple[str, str]], *, metadata: str = "") -> bytes:
    """``drawing`` as an SVG file, UTF-8; y there = height - y.

    A group for each ink of ``operations`` in that order, with its id and colour; inside a group shapes stand in the
    drawing's order. An Oval becomes a ``<circle>`` or ``<ellipse>``, a Line with data a ``<line>``, all else
    ``<path>``s; lettering is strokes. Data become ``data-`` attributes. Shapes of other inks are left out.
    """
    root = svgwrite.Drawing(debug=False, size=(f"{number(drawing.width)}mm", f"{number(drawing.height)}mm"))
    root.attribs["viewBox"] = f"0 0 {number(drawing.width)} {number(drawing.height)}"
    root.set_desc(title=clean(drawing.title))
    if metadata:
        root.add(Metadata(metadata))
    for ink, (name, colour) in operations.items():
        group = root.g(id=clean(name), fill="none", stroke=colour)
        group.attribs |= {"stroke-width": HAIR, "stroke-linecap": "round", "stroke-linejoin": "round"}
        for shape in drawing.shapes:
            if shape.ink is ink:
                group.add(_element(root, shape, drawing.height))
        root.add(group)
    return f'<?xml version="1.0" encoding="utf-8"?>\n{root.tostring()}\n'.encode()


def _element(root: Any, shape: Shape, height: float) -> Any:
    if isinstance(shape, Text):
        made = root.path(d=" ".join(way(stroke, False, height) for stroke in glyphs.placed(shape)) or "M0 0")
        made.attribs["data-text"] = clean(shape.text)
        return made
    if isinstance(shape, Oval):
        return _with(oval_of(root, shape, height), shape.data)
    if isinstance(shape, Line):
        start, end = place(shape.start, height), place(shape.end, height)
        return _with(root.line(start, end), shape.data)
    closed = not isinstance(shape, Path) or shape.closed
    return _with(root.path(d=way(shape.points, closed, height)), () if not isinstance(shape, Path) else shape.data)


def _with(element: Any, data: Data) -> Any:
    for key, value in data:
        element.attribs[f"data-{key}"] = clean(value)
    return element
