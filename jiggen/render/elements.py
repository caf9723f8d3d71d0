"""Elements with their attributes turned into the text of an XML file."""

from __future__ import annotations

import re
from collections.abc import Mapping

Value = str | float | int

_SPECIAL = re.compile('[&<>"\r\n\t]')
_WRITTEN = str.maketrans(
    {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\r": "&#13;", "\n": "&#10;", "\t": "&#09;"}
)


class Element:
    """One element: ``attributes`` (one whose value is "" is left out), then ``text``, then what was added, in that order.

    Values and text may hold any character that XML can; names are taken as they are.
    """

    __slots__ = ("attributes", "name", "text", "within")

    def __init__(self, name: str, attributes: Mapping[str, Value] | None = None, text: str = "") -> None:
        self.name, self.text = name, text
        self.attributes: dict[str, Value] = dict(attributes or {})
        self.within: list[Element] = []

    def add(self, element: Element) -> None:
        self.within.append(element)


def xml(root: Element) -> bytes:
    """The file of an element, UTF-8, attributes in order of their names."""
    parts = ['<?xml version="1.0" encoding="utf-8"?>\n']
    _write(root, parts)
    parts.append("\n")
    return "".join(parts).encode()


def _write(element: Element, parts: list[str]) -> None:
    parts.append(f"<{element.name}")
    for name, value in sorted(element.attributes.items()):
        text = str(value)
        if text:
            parts.append(f' {name}="{text.translate(_WRITTEN) if _SPECIAL.search(text) else text}"')
    if not element.text and not element.within:
        parts.append(" />")
        return
    parts.append(">")
    parts.append(element.text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;"))
    for inner in element.within:
        _write(inner, parts)
    parts.append(f"</{element.name}>")
