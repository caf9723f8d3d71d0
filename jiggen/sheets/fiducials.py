"""A page's paper turned into the places of the squares that a scan is measured by, and of its code; and their drawing."""

from __future__ import annotations

from itertools import groupby
from math import pi

from jiggen.drawing import lettering
from jiggen.drawing.scene import Ink, Pen
from jiggen.geometry import Point
from jiggen.sheets.model import Paper
from jiggen.sheets.pagecode import CELLS, PageCode, cells
from jiggen.sheets.paper import FOOT, bare, bare_window

SIDE, HOLE, DOT = 5.0, 3.2, 1.4  # a black frame, white inside, with a black square in its middle; mm
INSET = 2.8  # from the margin to the middle of a corner's square
CELL = 0.7  # of the code, mm: 4 pixels at 150 dpi
QUIET = 1.2  # white round squares and code
WORDS = "for scan check"

LOWER_LEFT, LOWER_RIGHT = "lower left", "lower right"
UPPER_LEFT, UPPER_RIGHT = "upper left", "upper right"
CORNERS = (LOWER_LEFT, LOWER_RIGHT, UPPER_RIGHT, UPPER_LEFT)
LEFT_OF_CODE = INSET + SIDE / 2.0 + QUIET + CELLS * CELL  # from the right margin to the code's left side
ROOM = LEFT_OF_CODE + 4.5  # of the foot's right end, taken up by square, code and words
BEFORE = INSET + SIDE / 2.0 + 1.7  # of the foot's left end, taken up by the square
LOW = 8.0  # of the scale page's level ruler over the page's lower edge, mm
_LEAST_SQUARE = 60.0  # of the scale page, for squares inside it

Places = dict[str, Point]


def rulers(size: tuple[float, float]) -> tuple[float, float]:
    """Lengths of the level and the upright ruler of a scale page of ``size``, mm."""
    width, height = size
    return 10.0 * ((width - 14.0) // 10.0), 10.0 * ((height - LOW - 3.0) // 10.0)


def corners(width: float, height: float, margin: float) -> Places:
    """The middles of the four squares of a page, counter-clockwise from the lower left one: mm, page coordinates."""
    left, right = margin + INSET, width - margin - INSET
    low, high = margin + (FOOT - 0.4) / 2.0, height - margin - INSET
    return dict(zip(CORNERS, map(Point, (left, right, right, left), (low, low, high, high)), strict=True))


def places(code: PageCode) -> Places:
    """All squares of the page that ``code`` names, by their names: mm, page coordinates."""
    found = corners(code.width, code.height, code.margin)
    if code.scale:
        paper = Paper("", code.width, code.height, code.margin)
        left, low, _, _ = bare_window(paper)
        found |= {name: Point(x + left, y + low) for name, (x, y) in inner(bare(paper)).items()}
    return found


def square(size: tuple[float, float]) -> tuple[float, float, float]:
    """Lower left corner and side of the scale page's own square with diagonals, on a drawing of ``size`` mm."""
    width, height = size
    return 31.0, 32.0, max(10.0, 10.0 * (min(width - 60.0, height - 100.0) // 10.0))


def inner(size: tuple[float, float]) -> Places:
    """The middles of the squares inside the scale page's square, clear of its diagonals; none in a small one."""
    x, y, side = square(size)
    if side < _LEAST_SQUARE:
        return {}
    middle, near, far = side / 2.0, side / 5.0, side * 0.8
    return {
        "inner lower": Point(x + middle, y + near),
        "inner right": Point(x + far, y + middle),
        "inner upper": Point(x + middle, y + far),
        "inner left": Point(x + near, y + middle),
    }


def code_corner(lower_right: Point) -> Point:
    """The upper left corner of the code of a page whose lower right square lies there."""
    half = CELLS * CELL / 2.0
    return Point(lower_right.x - SIDE / 2.0 - QUIET - 2.0 * half, lower_right.y + half)


def draw_square(pen: Pen, at: Point) -> None:
    """One square to be found in a scan. The frame is one way round outside and back round inside."""
    out, hole, dot = SIDE / 2.0, HOLE / 2.0, DOT / 2.0
    x, y = at
    frame = [(x + a * out, y + b * out) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))]
    inside = [(x + a * hole, y + b * hole) for a, b in ((-1, -1), (-1, 1), (1, 1), (1, -1), (-1, -1))]
    pen.fill((*frame, *inside))
    pen.fill([(x + a * dot, y + b * dot) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))])


def draw(pen: Pen, code: PageCode) -> None:
    """The squares of a page, its code and a few words on what they are for."""
    at = places(code)
    for point in at.values():
        draw_square(pen, point)
    left, top = code_corner(at[LOWER_RIGHT])
    for row, line in enumerate(cells(code)):
        column = 0
        for black, run in groupby(line):
            long = len(list(run))
            if black:
                x, y = left + column * CELL, top - row * CELL
                pen.fill(((x, y - CELL), (x + long * CELL, y - CELL), (x + long * CELL, y), (x, y)))
            column += long
    high = min(1.5, 1.5 * CELLS * CELL / lettering.width(WORDS, 1.5))
    pen.text(left - 0.9, top - CELLS * CELL, WORDS, high, "left", pi / 2.0, Ink.NOTE)
