"""Pieces of SVG that a sheet and a shop's file share: numbers, places, ways, ovals, text that XML can hold; y down."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from math import degrees

from jiggen.drawing.scene import Data, Drawing, Oval
from jiggen.geometry import Point
from jiggen.render.elements import Element

_SPACES = {
    "xmlns": "http://www.w3.org/2000/svg",
    "xmlns:xlink": "http://www.w3.org/1999/xlink",
    "xmlns:ev": "http://www.w3.org/2001/xml-events",
    "baseProfile": "full",
    "version": "1.1",
}
_NAME = re.compile(r"[^a-z0-9.-]+")
_NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def root_of(drawing: Drawing, title: str, metadata: str) -> Element:
    """The outermost element of a file at true scale, its title and ``metadata`` in it."""
    size = {"width": f"{number(drawing.width)}mm", "height": f"{number(drawing.height)}mm"}
    root = Element("svg", {**_SPACES, **size, "viewBox": f"0 0 {number(drawing.width)} {number(drawing.height)}"})
    root.add(Element("title", text=clean(title)))
    root.add(Element("defs"))
    if metadata:
        root.add(Element("metadata", text=clean(metadata)))
    return root


def path_of(d: str) -> Element:
    """A ``<path>`` along ``d``."""
    return Element("path", {"d": d})


def line_of(start: Point, end: Point, height: float) -> Element:
    """A ``<line>``."""
    (x1, y1), (x2, y2) = place(start, height), place(end, height)
    return Element("line", {"x1": x1, "y1": y1, "x2": x2, "y2": y2})


def oval_of(oval: Oval, height: float) -> Element:
    """A circle, or an ellipse with its turn."""
    x, y = place(oval.centre, height)
    if abs(oval.rx - oval.ry) <= 1e-6:
        return Element("circle", {"cx": x, "cy": y, "r": number(oval.rx)})
    made = Element("ellipse", {"cx": x, "cy": y, "rx": number(oval.rx), "ry": number(oval.ry)})
    turn = number(-degrees(oval.angle))
    if turn:
        made.attributes["transform"] = f"rotate({turn} {x} {y})"
    return made


def told(element: Element, data: Data) -> Element:
    """``element`` with a ``data-`` attribute for each pair."""
    for key, value in data:
        element.attributes["data-" + _NAME.sub("-", key.lower())] = clean(value)
    return element


def way(points: Iterable[Point], closed: bool, height: float) -> str:
    """A path through ``points``; y there = ``height`` less theirs."""
    steps = " ".join(f"{'L' if i else 'M'}{x} {y}" for i, (x, y) in enumerate(place(p, height) for p in points))
    return steps + " Z" if closed else steps


def place(point: Point, height: float) -> tuple[float | int, float | int]:
    """A point as the file has it."""
    return (number(point.x), number(height - point.y))


@lru_cache(maxsize=1 << 14)
def number(value: float) -> float | int:
    """``value`` to four places, whole where it is."""
    rounded = round(value, 4)
    return int(rounded) if rounded == int(rounded) else rounded


def clean(text: str) -> str:
    """``text`` without the characters that XML 1.0 cannot hold."""
    return _NO_XML.sub("", text)
