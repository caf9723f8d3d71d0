"""A drawing turned into an SVG for a machine shop: one group an operation, in the order of cutting, mm, y down."""

from __future__ import annotations

from collections.abc import Mapping

from jiggen.drawing.scene import Drawing, Ink, Line, Oval, Path, Shape, Text
from jiggen.render import glyphs
from jiggen.render.elements import Element, xml
from jiggen.render.svgparts import clean, line_of, oval_of, path_of, root_of, told, way

HAIR = 0.1  # a machine follows the line whatever its width; 0.1 mm shows on a screen, 0 would not


def shop_svg(drawing: Drawing, operations: Mapping[Ink, tuple[str, str]], *, metadata: str = "") -> bytes:
    """``drawing`` as an SVG file, UTF-8; y there = height - y.

    A group for each ink of ``operations`` in that order, with its id and colour; inside a group shapes stand in the
    drawing's order. An Oval becomes a ``<circle>`` or ``<ellipse>``, a Line with data a ``<line>``, all else
    ``<path>``s; lettering is strokes. Data become ``data-`` attributes. Shapes of other inks are left out.
    """
    root = root_of(drawing, drawing.title, metadata)
    for ink, (name, colour) in operations.items():
        group = Element("g", {"id": clean(name), "fill": "none", "stroke": colour})
        group.attributes |= {"stroke-width": HAIR, "stroke-linecap": "round", "stroke-linejoin": "round"}
        for shape in drawing.shapes:
            if shape.ink is ink:
                group.add(_element(shape, drawing.height))
        root.add(group)
    return xml(root)


def _element(shape: Shape, height: float) -> Element:
    if isinstance(shape, Text):
        made = path_of(" ".join(way(stroke, False, height) for stroke in glyphs.placed(shape)) or "M0 0")
        made.attributes["data-text"] = clean(shape.text)
        return made
    if isinstance(shape, Oval):
        return told(oval_of(shape, height), shape.data)
    if isinstance(shape, Line):
        return told(line_of(shape.start, shape.end, height), shape.data)
    closed = not isinstance(shape, Path) or shape.closed
    return told(path_of(way(shape.points, closed, height)), () if not isinstance(shape, Path) else shape.data)
