"""The squares in a page's corners and its code: where they are drawn, and that nothing else comes near them."""

from __future__ import annotations

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from packets import packet
from specimen import face

from jiggen.build import scale_file
from jiggen.compose.scalepage import scale_page
from jiggen.drawing.scene import Fill, Line, Path
from jiggen.render.pdf import pdf
from jiggen.sheets.extent import extent, overlaps
from jiggen.sheets.fiducials import CORNERS, LOWER_RIGHT, code_corner, corners, inner, places, square
from jiggen.sheets.pagecode import CELLS, cells, page_code
from jiggen.sheets.paper import bare, paper, usable
from jiggen.sheets.tiling import pages

DPI = 300
FOOT = "Porch   7F3A-22C1"


def ink(data: bytes, index: int) -> NDArray[np.float64]:
    """Blackness of a page by pdfium, rows from the bottom up, 0 to 1."""
    image = pypdfium2.PdfDocument(data)[index].render(scale=(DPI - 1e-6) / 72.0, grayscale=True)
    return 1.0 - image.to_numpy().reshape(image.height, image.width)[::-1].astype(np.float64) / 255.0


def box(black: NDArray[np.float64], left: float, low: float, right: float, high: float) -> NDArray[np.float64]:
    """What lies in a box of mm, whole pixels inside it."""
    a, b, c, d = (side * DPI / 25.4 for side in (left, low, right, high))
    return black[int(np.ceil(b)) : int(d), int(np.ceil(a)) : int(c)]


def stands_clear(black: NDArray[np.float64], x: float, y: float) -> None:
    """A frame of 5 mm, 3.2 mm white in it, 1.4 mm black in that, and 1 mm of white round it all."""
    assert box(black, x - 0.6, y - 0.6, x + 0.6, y + 0.6).min() > 0.95
    for sign in (-1, 1):
        assert box(black, *sorted_box(x + sign * 1.7, y - 2.4, x + sign * 2.4, y + 2.4)).min() > 0.95
        assert box(black, *sorted_box(x + sign * 0.8, y - 0.8, x + sign * 1.5, y + 0.8)).max() < 0.05
        for a, b, c, d in ((2.6, -3.5, 3.5, 3.5), (-3.5, 2.6, 3.5, 3.5)):
            assert box(black, *sorted_box(x + sign * a, y + sign * b, x + sign * c, y + sign * d)).max() < 0.05, (x, y)


def sorted_box(x1: float, y1: float, x2: float, y2: float) -> tuple[float, float, float, float]:
    return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)


@pytest.mark.parametrize(
    ("job", "name"), [("smallest", "letter"), ("smallest", "a4"), ("wide-post", "letter"), ("small-paper", None)]
)
def test_every_page_has_its_squares_with_nothing_near(job: str, name: str | None) -> None:
    """Rendered by pdfium: template pages, schedules, scale page. Their middles: 2.8 mm inside the margin, the lower ones
    in the middle of the foot's 11.6 mm."""
    made = packet(job, name)
    sheet = made.survey.paper
    data = made.files["packet.pdf"]
    left, right = sheet.margin + 2.8, sheet.width - sheet.margin - 2.8
    low, high = sheet.margin + 5.8, sheet.height - sheet.margin - 2.8
    for index in range(len(pypdfium2.PdfDocument(data))):
        black = ink(data, index)
        for x in (left, right):
            for y in (low, high):
                stands_clear(black, x, y)


def test_code_cells_are_drawn_as_they_are() -> None:
    """The code's right side is 1.2 mm left of the square, its cells 0.7 mm, read off the picture cell by cell."""
    sheet = paper("letter")
    made = pages(face(200.0), sheet, 9.525, FOOT).pages
    code = page_code(sheet, "S1  POST 3  TOWARD 4", "", "S1", 1, FOOT)
    assert code
    black = ink(pdf(made, title="t"), 0)
    right = sheet.width - sheet.margin - 2.8 - 2.5 - 1.2
    top = sheet.margin + 5.8 + 15 * 0.7 / 2.0
    for row, line in enumerate(cells(code)):
        for column, wanted in enumerate(line):
            x, y = right - (CELLS - column - 0.5) * 0.7, top - (row + 0.5) * 0.7
            value = box(black, x - 0.2, y - 0.2, x + 0.2, y + 0.2).mean()
            assert (value > 0.9) if wanted else (value < 0.1), (row, column)


@pytest.mark.parametrize("size", ["letter", "a4", "legal", "tabloid", "a3", (94.0, 120.0)])
def test_furniture_leaves_squares_and_code_free(size: str | tuple[float, float]) -> None:
    """No ruler, map, line or word in the box of a square or of the code."""
    sheet = paper(size, 10.0)
    at = corners(sheet.width, sheet.height, sheet.margin)
    x, y = code_corner(at[LOWER_RIGHT])
    kept = [(p.x - 3.5, p.y - 3.5, p.x + 3.5, p.y + 3.5) for p in at.values()]
    kept.append((x - 0.7, y - CELLS * 0.7, x + CELLS * 0.7 + 0.7, y))
    for page in pages(face(480.0, 330.0, 5), sheet, 9.525, FOOT).pages:
        others = [s for s in (*page.shapes, *page.content) if not isinstance(s, Fill) or len(s.points) == 3]
        for shape in others:
            if page_part(shape, page.window):
                assert not any(overlaps(extent(shape), area) for area in kept), shape


def page_part(shape: object, window: tuple[float, float, float, float]) -> bool:
    """Whether a shape is furniture: what belongs to the sheet is clipped to the window, clear of the corners."""
    left, low, right, high = extent(shape)  # type: ignore[arg-type]
    return not (left < window[0] or low < window[1] or right > window[2] or high > window[3])


def test_the_window_of_a_sheet_keeps_clear_of_the_squares() -> None:
    """7 mm of ruler strip less 2.8 + 2.5 mm leave 1.7 mm of white."""
    sheet = paper("letter")
    at = corners(sheet.width, sheet.height, sheet.margin)
    room = sheet.width - 2.0 * sheet.margin - usable(sheet)[0]
    assert room / 2.0 - (at["upper left"].x + 2.5 - sheet.margin) == pytest.approx(1.7)


def test_places_of_a_scale_page_are_on_it_and_clear_of_its_lines() -> None:
    for name in ("letter", "a4", "legal", "tabloid", "a3"):
        sheet = paper(name)
        code = page_code(sheet, "SCALE PAGE", "scale", "", 1, "uncorrected")
        assert code
        found = places(code)
        assert set(found) == {*CORNERS, "inner lower", "inner right", "inner upper", "inner left"}
        size = bare(sheet)
        lines = [s for s in scale_page(size).shapes if isinstance(s, Line | Path)]
        for point in inner(size).values():
            area = (point.x - 3.5, point.y - 3.5, point.x + 3.5, point.y + 3.5)
            for shape in lines:
                points = (shape.start, shape.end) if isinstance(shape, Line) else shape.points
                if isinstance(shape, Line) and abs(points[0].x - points[1].x) > 50 < abs(points[0].y - points[1].y):
                    # a diagonal, 45 degrees: further from the middle of the square than its half diagonal, 4.95 mm
                    (x1, y1), (x2, y2) = points
                    off = abs((x2 - x1) * (y1 - point.y) - (x1 - point.x) * (y2 - y1)) / np.hypot(x2 - x1, y2 - y1)
                    assert off > 4.95
                elif isinstance(shape, Line):
                    assert not overlaps(extent(shape), area, -1e-9)


def test_scale_page_rendered() -> None:
    """On letter the square of 130 mm begins 12.7 + 31 and 12.7 + 12 + 32 mm in: its squares a fifth of 130 from its sides."""
    black = ink(scale_file("letter", 12.7), 0)
    x, y = 43.7, 56.7
    for a, b in ((65.0, 26.0), (104.0, 65.0), (65.0, 104.0), (26.0, 65.0)):
        stands_clear(black, x + a, y + b)


def test_the_square_of_a_small_page_keeps_off_the_words() -> None:
    """200 x 200 mm: 174.6 wide, 200 - 25.4 - 12 - 6.5 = 156.1 high, 56.1 left of it: a square of 50 mm, none inside."""
    size = bare(paper((200.0, 200.0)))
    assert square(size)[2] == 50.0
    assert inner(size) == {}
    words = [s for s in scale_page(size).shapes if hasattr(s, "text") and s.at.x > 30.0]
    lowest = min(extent(s)[1] for s in words if s.text not in ("A", "B") and "square" not in s.text and len(s.text) > 6)
    assert lowest > 32.0 + 50.0 + 3.0
