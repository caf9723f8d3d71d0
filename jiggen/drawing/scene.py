"""A drawing as a list of simple shapes with inks by meaning: mm, x to the right, y up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum
from typing import Literal

from jiggen.geometry import Point

_new = tuple.__new__  # a Point straight from its pair: a page's code alone has three hundred


class Ink(Enum):
    """What a line means. Widths, dashes and colours belong to the renderers, one table per format."""

    DRILL = "drill"  # circle of a drill's diameter: bore here
    CROSS = "cross"  # the cross through a hole's centre: steel goes in where these lines meet
    DATUM = "datum"  # the line that the sheet is seated on
    CUT = "cut"  # cut the paper (or the board) here
    FOLD = "fold"  # fold the paper here: also a post's edge
    EDGE = "edge"  # visible outline of a thing: face, rail, step, notch
    CENTRE = "centre"  # centre line or axis
    FITTING = "fitting"  # outline of a fitting or bracket that will sit here
    HIDDEN = "hidden"  # outline behind another thing
    HATCH = "hatch"  # section hatching, tape zones
    TICK = "tick"  # ruler ticks and dimension lines
    JOIN = "join"  # where two pages are taped together, and the join marks
    NOTE = "note"  # lettering and its rules, ordinary
    STRONG = "strong"  # lettering that must be read at arm's length; stroke a tenth of its height
    SOLID = "solid"  # filled black: arrow heads, this post in a thumbnail, the band
    PALE = "pale"  # filled light grey
    DRAFT = "draft"  # the word DRAFT across a page
    SCORE = "score"
    ENGRAVE = "engrave"


Data = tuple[tuple[str, str], ...]
"""Pairs such as (("mark", "3/toward 4/7"), ("face", "3/toward 4")): data-* attributes in an SVG."""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line from ``start`` to ``end``."""

    start: Point
    end: Point
    ink: Ink
    data: Data = ()


@dataclass(frozen=True, slots=True)
class Path:
    """Straight pieces through ``points``; closed back to the first where ``closed``."""

    points: tuple[Point, ...]
    ink: Ink
    closed: bool = False
    data: Data = ()


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled polygon (even-odd rule), ``ink`` SOLID or PALE."""

    points: tuple[Point, ...]
    ink: Ink = Ink.SOLID


@dataclass(frozen=True, slots=True)
class Oval:
    """An ellipse, a circle where both radii agree. ``angle``: of the ``rx`` axis from +x, radians, counter-clockwise."""

    centre: Point
    rx: float
    ry: float
    ink: Ink
    angle: float = 0.0
    data: Data = ()


@dataclass(frozen=True, slots=True)
class Text:
    """One line of lettering.

    ``at`` is on the base line: its left end, middle or right end as ``align`` says. ``height`` is the
    height of a capital, mm. ``angle`` turns the base line about ``at``, radians. ``white``: lettering on a
    filled band, drawn in paper colour. ``spoken``: what a search finds; None: the text itself, "": nothing.
    """

    at: Point
    height: float
    text: str
    align: Literal["left", "middle", "right"] = "left"
    angle: float = 0.0
    ink: Ink = Ink.NOTE
    white: bool = False
    spoken: str | None = None


Shape = Line | Path | Fill | Oval | Text


@dataclass(frozen=True)
class Drawing:
    """A finished drawing: what lies in the rectangle (0, 0) to (width, height) counts."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    title: str = ""


@dataclass
class Pen:
    """Collects shapes while a page is being drawn, in the order in which they are painted."""

    shapes: list[Shape] = field(default_factory=list)

    def line(self, x1: float, y1: float, x2: float, y2: float, ink: Ink, data: Data = ()) -> None:
        self.shapes.append(Line(Point(x1, y1), Point(x2, y2), ink, data))

    def path(self, points: Iterable[tuple[float, float]], ink: Ink, closed: bool = False, data: Data = ()) -> None:
        self.shapes.append(Path(tuple([_new(Point, point) for point in points]), ink, closed, data))

    def box(self, x1: float, y1: float, x2: float, y2: float, ink: Ink, data: Data = ()) -> None:
        self.path(((x1, y1), (x2, y1), (x2, y2), (x1, y2)), ink, True, data)

    def fill(self, points: Iterable[tuple[float, float]], ink: Ink = Ink.SOLID) -> None:
        self.shapes.append(Fill(tuple([_new(Point, point) for point in points]), ink))

    def oval(self, x: float, y: float, rx: float, ry: float, ink: Ink, angle: float = 0.0, data: Data = ()) -> None:
        self.shapes.append(Oval(Point(x, y), rx, ry, ink, angle, data))

    def text(
        self,
        x: float,
        y: float,
        text: str,
        height: float,
        align: Literal["left", "middle", "right"] = "left",
        angle: float = 0.0,
        ink: Ink = Ink.NOTE,
        white: bool = False,
        spoken: str | None = None,
    ) -> None:
        self.shapes.append(Text(Point(x, y), height, text, align, angle, ink, white, spoken))

    def drawing(self, width: float, height: float, title: str = "") -> Drawing:
        return Drawing(width, height, tuple(self.shapes), title)
