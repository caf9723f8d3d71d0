"""A drawing turned into one DXF at true scale: mm, y up, real circles and polylines, a layer an operation."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from io import StringIO
from math import cos, pi, sin
from typing import Any

from jiggen.drawing.scene import Data, Drawing, Ink, Line, Oval, Path, Shape, Text
from jiggen.geometry import Point
from jiggen.render import glyphs

APP = "JIGGEN"  # the name under which data are attached to an entity
PLACES = 6
_BAD_LAYER = re.compile(r'[<>/\\":;?*|=,`\x00-\x1f]+')
_CONTROL = re.compile(r"[\x00-\x1f\x7f]+")


def dxf(drawing: Drawing, operations: Mapping[Ink, tuple[str, str]] | None = None) -> bytes:
    """``drawing`` as a DXF R2010 file, UTF-8; x and y as in the drawing, $INSUNITS 4 (mm).

    ``operations``: layer and colour of each ink, in the order of cutting; None: cut, score and engrave by their
    inks' names. Inside the file entities stand in that order, and within one as in the drawing. An Oval becomes a
    CIRCLE or an ELLIPSE, a Line a LINE, a Path an LWPOLYLINE, lettering LWPOLYLINEs. Data ride as extended data, a
    string "key=value" each. Same drawing, same bytes. Shapes of other inks are left out.
    """
    wanted = operations or {ink: (ink.value, "#000000") for ink in (Ink.ENGRAVE, Ink.SCORE, Ink.CUT)}
    with _without_dates() as new:
        document = new()
        _head(document, drawing)
        space = document.modelspace()
        for ink, (name, colour) in wanted.items():
            layer = layer_name(name)
            if layer not in document.layers:
                document.layers.add(layer, true_color=int(colour[1:7], 16))
            for shape in drawing.shapes:
                if shape.ink is ink:
                    _add(space, shape, layer)
        document.classes.add_required_classes(document.dxfversion)
        for name in document.entitydb.dxf_types_in_use():
            document.classes.add_class(name)
        document.classes.classes = dict(sorted(document.classes.classes.items()))  # the library keeps no fixed order
        out = StringIO()
        document.write(out)
    return out.getvalue().encode("utf-8", "surrogateescape")


@contextmanager
def _without_dates() -> Iterator[Callable[[], Any]]:
    """What makes an empty document; while it is open the library writes neither dates nor random ids."""
    import ezdxf

    options: Any = ezdxf.options  # type: ignore[attr-defined]
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield lambda: ezdxf.new("R2010", setup=False, units=4)  # type: ignore[attr-defined]
    finally:
        options.write_fixed_meta_data_for_testing = before


def layer_name(name: str) -> str:
    """``name`` as a layer may be called: without the characters that DXF keeps for itself, "0" where nothing is left."""
    return " ".join(_BAD_LAYER.sub(" ", name).split())[:250] or "0"


def _head(document: Any, drawing: Drawing) -> None:
    document.appids.add(APP)
    header = document.header
    header["$MEASUREMENT"] = 1
    document.modelspace().reset_limits((0.0, 0.0), (drawing.width, drawing.height))
    document.modelspace().reset_extents((0.0, 0.0, 0.0), (drawing.width, drawing.height, 0.0))
    header.custom_vars.append("Title", _CONTROL.sub(" ", drawing.title)[:250])


def _add(space: Any, shape: Shape, layer: str) -> None:
    looks = {"layer": layer}
    if isinstance(shape, Text):
        for stroke in glyphs.placed(shape):
            space.add_lwpolyline([_at(p) for p in stroke], dxfattribs=looks)
    elif isinstance(shape, Oval):
        _attach(_oval(space, shape, looks), shape.data)
    elif isinstance(shape, Line):
        _attach(space.add_line(_at(shape.start), _at(shape.end), dxfattribs=looks), shape.data)
    elif isinstance(shape, Path):
        made = space.add_lwpolyline([_at(p) for p in shape.points], close=shape.closed, dxfattribs=looks)
        _attach(made, shape.data)


def _oval(space: Any, oval: Oval, looks: dict[str, str]) -> Any:
    if abs(oval.rx - oval.ry) <= 1e-6:
        return space.add_circle(_at(oval.centre), _n(oval.rx), dxfattribs=looks)
    long, short, turn = oval.rx, oval.ry, oval.angle
    if short > long:
        long, short, turn = short, long, turn + pi / 2.0
    axis = (_n(long * cos(turn)), _n(long * sin(turn)))
    return space.add_ellipse(_at(oval.centre), axis, _n(short / long), dxfattribs=looks)


def _attach(entity: Any, data: Data) -> None:
    if data:
        entity.set_xdata(APP, [(1000, _CONTROL.sub(" ", f"{key}={value}")[:250]) for key, value in data])


def _at(point: Point) -> tuple[float, float]:
    return _n(point.x), _n(point.y)


def _n(number: float) -> float:
    return round(number, PLACES) + 0.0
