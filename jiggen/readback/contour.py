"""SVG bytes to its straight-sided paths in the sheet frame: mm, origin at the upper left, y down."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from jiggen.readback.svg import NAMESPACE, _data, _Reader, parsed

_TOKEN = re.compile(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")


@dataclass(frozen=True, slots=True)
class Contour:
    """One line of straight pieces through ``points`` (x, y), mm, in the frame of its reader.

    ``closed``: back to the first point. ``gap``: how far the last point lies from the first, mm. ``data`` as in
    ``Circle``. ``group``: id of the group or name of the layer that it stands in.
    """

    points: tuple[tuple[float, float], ...]
    closed: bool
    data: Mapping[str, str]
    group: str

    @property
    def gap(self) -> float:
        (x1, y1), (x2, y2) = self.points[0], self.points[-1]
        return 0.0 if self.closed else float(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5)


def read_svg_contours(data: bytes) -> tuple[Contour, ...]:
    """Every ``<path>`` that is drawn, a contour a subpath, in the order of the file.

    Reads the commands M, L, H, V and Z, absolute and relative. Raises ValueError for others, and for whatever
    ``read_svg`` raises.
    """
    reader = _PathReader()
    parsed(data, reader)
    return tuple(reader.contours)


class _PathReader(_Reader):
    """The reader of circles and lines, with an eye for paths and the groups that they stand in."""

    def __init__(self) -> None:
        super().__init__()
        self.contours: list[Contour] = []
        self.groups: list[str] = []

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        super().start(tag, attributes)
        name = tag.removeprefix(NAMESPACE)
        here = self.groups[-1] if self.groups else ""
        self.groups.append(attributes.get("id", here) if name == "g" else here)
        place = self.maps[-1]
        if name == "path" and place is not None:
            for points, closed in subpaths(attributes.get("d", "")):
                moved = tuple(place.at(x, y) for x, y in points)
                self.contours.append(Contour(moved, closed, _data(attributes), here))

    def end(self, tag: str) -> None:
        super().end(tag)
        self.groups.pop()


def subpaths(d: str) -> list[tuple[list[tuple[float, float]], bool]]:
    """The points of each subpath of straight pieces, and whether it is closed. Raises ValueError for curves."""
    found: list[tuple[list[tuple[float, float]], bool]] = []
    tokens = _TOKEN.findall(d)
    at, x, y, command = 0, 0.0, 0.0, ""
    while at < len(tokens):
        if tokens[at].isalpha():
            command = tokens[at]
            at += 1
        if command in "Zz" and command:
            if found:
                found[-1] = (found[-1][0], True)
                x, y = found[-1][0][0]
            command = ""
            continue
        need = {"M": 2, "L": 2, "H": 1, "V": 1}.get(command.upper(), 0)
        values = tokens[at : at + need]
        if not need or len(values) < need or any(v.isalpha() for v in values):
            raise ValueError(f'this SVG has a path that is not read: "{d[:40]}"')
        at += need
        x, y = _step(command, [float(v) for v in values], x, y)
        if command in "Mm":
            found.append(([(x, y)], False))
            command = "L" if command == "M" else "l"
        elif found:
            found[-1][0].append((x, y))
    return found


def _step(command: str, values: list[float], x: float, y: float) -> tuple[float, float]:
    base = (x, y) if command.islower() else (0.0, 0.0)
    if command in "Hh":
        return values[0] + base[0], y
    if command in "Vv":
        return x, values[0] + base[1]
    return values[0] + base[0], values[1] + base[1]
