"""What a reader finds in a file: circles, straight lines, page sizes, attachments, metadata. All in mm.

Two frames are used, and every reader says which is its own:

* sheet frame (SVG): origin at the picture's upper left corner, x to the right, y **down**, as in the file;
* page frame (PDF): origin at the lower left corner of the page's MediaBox, x to the right, y **up**.

Angles mean the same in both: as one looks at the sheet, from +x (to the right) counter-clockwise.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Circle:
    """One circle or ellipse.

    ``x``, ``y``: the centre, mm, in the frame of the reader. ``rx`` >= ``ry`` > 0: half axes, mm.
    ``angle``: of the ``rx`` axis from +x, radians, counter-clockwise as one looks at the sheet, from -pi/2
    to pi/2 (either end may stand for an upright axis: compare modulo pi); 0 where both radii agree.
    ``data``: what the file says of it. ``page``: its place in ``Found.pages``, 0 for the first.
    """

    x: float
    y: float
    rx: float
    ry: float
    angle: float
    data: Mapping[str, str]
    page: int


@dataclass(frozen=True, slots=True)
class Segment:
    """One straight line from (``x1``, ``y1``) to (``x2``, ``y2``), mm, in the frame of the reader.

    ``data`` and ``page`` as in ``Circle``.
    """

    x1: float
    y1: float
    x2: float
    y2: float
    data: Mapping[str, str]
    page: int


@dataclass(frozen=True, slots=True)
class PageBox:
    """The size of one page, mm."""

    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Found:
    """All that was found in one file, in the order in which it is painted.

    ``pages``: one box a page (an SVG has one). ``attachments``: the files inside a PDF, by name.
    ``metadata``: the text of an SVG's ``<metadata>`` or a PDF's metadata stream, "" where there is none.
    """

    circles: tuple[Circle, ...]
    segments: tuple[Segment, ...]
    pages: tuple[PageBox, ...]
    attachments: Mapping[str, bytes] = field(default_factory=dict)
    metadata: str = ""
