"""Pieces of SVG that a sheet and a shop's file share: numbers, places, ways, ovals, text that XML can hold; y down."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from math import degrees
from typing import Any
from xml.etree import ElementTree

from svgwrite.base import BaseElement

from jiggen.drawing.scene import Oval
from jiggen.geometry import Point

_NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Metadata(BaseElement):  # type: ignore[misc]
    """The ``<metadata>`` of a file."""

    elementname = "metadata"

    def __init__(self, text: str) -> None:
        super().__init__(debug=False)
        self._text = clean(text)

    def get_xml(self) -> ElementTree.Element:
        element = ElementTree.Element("metadata")
        element.text = self._text
        return element


def oval_of(root: Any, oval: Oval, height: float) -> Any:
    """A circle, or an ellipse with its turn."""
    centre = place(oval.centre, height)
    if abs(oval.rx - oval.ry) <= 1e-6:
        return root.circle(centre, number(oval.rx))
    made = root.ellipse(centre, (number(oval.rx), number(oval.ry)))
    turn = number(-degrees(oval.angle))
    if turn:
        made.attribs["transform"] = f"rotate({turn} {centre[0]} {centre[1]})"
    return made


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
