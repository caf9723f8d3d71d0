"""A printer that is off, simulated in pixels: its scale page is measured, a packet corrected, taped and measured."""

from __future__ import annotations

import itertools
from math import atan2, cos, hypot, radians, sin, tan

import numpy as np
import pypdfium2
import pytest
from click.testing import CliRunner
from scipy.ndimage import affine_transform
from specimen import face

from jiggen.cli_printer import printer
from jiggen.compose.scalepage import scale_page
from jiggen.drawing.scene import Ink, Line, Oval
from jiggen.geometry import Point
from jiggen.printers import load
from jiggen.render.pdf import content, pdf
from jiggen.sheets.correction import Correction, foot_words
from jiggen.sheets.model import Page
from jiggen.sheets.paper import bare, paper
from jiggen.sheets.tiling import pages, single

DPI = 300
PIXEL = 25.4 / DPI
LETTER = paper("letter")
MIDDLE = np.array([LETTER.width / 2.0, LETTER.height / 2.0])

# 0.7 % long across, 0.4 % short along, 0.3 degrees out of square; and the paper lies a little askew and aside
# in the tray, which moves a whole page and so must not matter.
LEAN, ASKEW, ASIDE = radians(0.3), radians(0.15), np.array([0.8, -1.1])
STRETCH = np.array([[1.0, tan(LEAN)], [0.0, 1.0]]) @ np.diag([1.007, 0.996])
PRINTER = np.array([[cos(ASKEW), -sin(ASKEW)], [sin(ASKEW), cos(ASKEW)]]) @ STRETCH


def printed(data: bytes, index: int = 0) -> Print:
    """A page rendered at 300 dpi and distorted as the printer does it."""
    image = pypdfium2.PdfDocument(data)[index].render(scale=(DPI - 1e-6) / 72.0, grayscale=True)
    black = 1.0 - image.to_numpy().reshape(image.height, image.width).astype(np.float32) / 255.0
    (a, c), (b, d) = PRINTER
    back = np.linalg.inv(np.array([[d, -b], [-c, a]]))  # rows run down, columns to the right
    size = np.array(black.shape)
    middle = (size - 1) / 2.0
    aside = np.array([-ASIDE[1], ASIDE[0]]) / PIXEL
    return Print(affine_transform(black, back, middle - back @ (middle + aside), order=1), size[0] * PIXEL)


class Print:
    """What lies in the tray: ink as pixels, found again as one finds it with a loupe."""

    def __init__(self, ink: np.ndarray, height: float) -> None:
        self.ink, self.height = ink, height

    def patch(self, x: float, y: float, half_x: float, half_y: float) -> tuple[np.ndarray, int, int]:
        top, left = round((self.height - y - half_y) / PIXEL), round((x - half_x) / PIXEL)
        rows, columns = round(2.0 * half_y / PIXEL), round(2.0 * half_x / PIXEL)
        return self.ink[top : top + rows, left : left + columns], top, left

    def upright(self, x: float, y: float, half_y: float = 0.3, reach: float = 0.6) -> float:
        """x of the upright line near (x, y), from its ink within ``reach`` and ``half_y``."""
        ink, _, left = self.patch(x, y, reach, half_y)
        profile = ink.sum(axis=0)
        assert profile.max() > 0.3 * ink.shape[0]
        return float((left + (np.arange(len(profile)) + 0.5) @ profile / profile.sum()) * PIXEL)

    def level(self, x: float, y: float, half_x: float = 0.3, reach: float = 0.6) -> float:
        """y of the level line near (x, y)."""
        ink, top, _ = self.patch(x, y, half_x, reach)
        profile = ink.sum(axis=1)
        assert profile.max() > 0.3 * ink.shape[1]
        return float(self.height - (top + (np.arange(len(profile)) + 0.5) @ profile / profile.sum()) * PIXEL)


def about(x: float, y: float, correction: Correction | None = None) -> tuple[float, float]:
    """Where on the print to look for what was drawn at (x, y)."""
    at = np.array([x, y]) - MIDDLE
    if correction is not None:
        a, b, c, d = correction.undoing
        at = np.array([[a, c], [b, d]]) @ at
    found = PRINTER @ at + MIDDLE + ASIDE
    return float(found[0]), float(found[1])


def scale() -> tuple[bytes, Page]:
    page = single(LETTER, scale_page(bare(LETTER)), label="scale", title="SCALE PAGE", foot="uncorrected")
    return pdf([page], title="Scale page"), page


def rulers(sheet: Print, dx: float, dy: float, across: float, along: float) -> tuple[float, float]:
    """Both rulers of the scale page by tape: from 0 to the last ten, along the ruler.

    They start 9 mm right of and 8 mm above the drawing's corner; 4.2 to 4.6 mm off a ruler only its tens have ticks,
    and the other ruler none.
    """
    left, low = 9.0 + dx, 8.0 + dy
    feet = [sheet.upright(*about(left + at, low + 4.4), 0.2) for at in (0.0, across)]
    heads = [sheet.level(*about(left + 4.4, low + at), 0.2) for at in (0.0, along)]
    rail = [sheet.upright(*about(left, low + at), 0.12) for at in (0.5, along - 0.5)]
    return feet[1] - feet[0], hypot(heads[1] - heads[0], rail[1] - rail[0])


def diagonals(sheet: Print, dx: float, dy: float, side: float) -> tuple[float, float]:
    """Both diagonals of the scale page's square, from where its edges would meet; lower left to upper right first."""
    x, y = 31.0 + dx, 32.0 + dy  # 22 and 24 mm from where the rulers start
    near, far = 15.0, side - 15.0
    uprights = [[(sheet.upright(*about(e, y + t)), about(e, y + t)[1]) for t in (near, far)] for e in (x, x + side)]
    levels = [[(about(x + t, e)[0], sheet.level(*about(x + t, e))) for t in (near, far)] for e in (y, y + side)]
    corners = {(i, j): meet(uprights[i], levels[j]) for i in (0, 1) for j in (0, 1)}
    return hypot(*(corners[1, 1] - corners[0, 0])), hypot(*(corners[0, 1] - corners[1, 0]))


def meet(first: list[tuple[float, float]], second: list[tuple[float, float]]) -> np.ndarray:
    """Where two lines through two points each meet."""
    (a, b), (c, d) = (np.array(line) for line in (first, second))
    share = np.linalg.solve(np.column_stack([b - a, c - d]), c - a)[0]
    return a + share * (b - a)


def measured() -> tuple[str, str, str]:
    """What the printed scale page measures, as it is typed: both rulers and the diagonals, to 0.01 mm."""
    data, page = scale()
    sheet = printed(data)
    width, height = bare(LETTER)
    across, along = 10.0 * ((width - 14.0) // 10.0), 10.0 * ((height - 36.0) // 10.0)
    side = 10.0 * ((min(width, height) - 60.0) // 10.0)
    a, b = rulers(sheet, *page.shift, across, along)
    d1, d2 = diagonals(sheet, *page.shift, side)
    return f"{a:.2f} of {across:.0f} mm", f"{b:.2f} of {along:.0f} mm", f"{d1:.2f}, {d2:.2f} mm"


@pytest.fixture(scope="module")
def correction(tmp_path_factory: pytest.TempPathFactory) -> Correction:
    """The simulated printer measured by its scale page, kept by the command and loaded again."""
    place = tmp_path_factory.mktemp("config")
    across, along, both = measured()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("jiggen.printers.folder", lambda: place)
        arguments = ["truth", "--across", across, "--along", along, "--diagonals", both, "--paper", "letter"]
        ran = CliRunner().invoke(printer, arguments)
        assert ran.exit_code == 0, ran.output
        return load("truth", "letter").correction


def test_the_scale_page_tells_what_the_printer_does(correction: Correction) -> None:
    """The left edge's length grows by 1 / cos 0.3 deg, 1.4e-5, beside its 0.996; read to 0.01 mm of 170 and 200."""
    assert correction.across == pytest.approx(1.007, abs=1e-4)
    assert correction.along == pytest.approx(0.996, abs=1e-4)
    assert correction.skew == pytest.approx(LEAN, abs=2e-4)


Places = dict[str, np.ndarray]


def taped(correction: Correction | None) -> tuple[Places, Places]:
    """Holes of a sheet of 1020 mm as planned, and as its printed pages show them when taped together by the marks."""
    sheet = face(1020.0, 150.0, 2, 82.0)
    made = pages(sheet, LETTER, 9.525, foot_words("truth")).pages
    assert len(made) >= 5
    data = pdf(made, title="t", correction=correction)
    planned: Places = {}
    found: Places = {}
    before: Places = {}
    place, turn = np.zeros(2), np.eye(2)
    for index, page in enumerate(made):
        paper_sheet = printed(data, index)
        marks = joins(paper_sheet, page, correction)
        common = sorted(set(marks) & set(before))
        if index:
            assert len(common) == 2
            place, turn = laid([marks[name] for name in common], [before[name] for name in common])
        before = {name: place + turn @ at for name, at in marks.items()}
        for name, at in holes(page).items():
            planned[name] = np.array(at) - np.array(page.shift)
            found[name] = place + turn @ crossing(paper_sheet, *about(*at, correction))
    return planned, found


def holes(page: Page) -> dict[str, tuple[float, float]]:
    left, bottom, right, top = page.window
    return {
        dict(shape.data)["mark"]: (shape.centre.x, shape.centre.y)
        for shape in page.content
        if isinstance(shape, Oval) and left <= shape.centre.x <= right and bottom + 8.0 <= shape.centre.y <= top - 8.0
    }


def crossing(sheet: Print, x: float, y: float) -> np.ndarray:
    """Where a hole's cross lies: its arms reach 8 mm, the circle 2.8 and the fitting's outline 7."""
    upright = (sheet.upright(x, y + 5.0) + sheet.upright(x, y - 5.0)) / 2.0
    level = (sheet.level(x + 5.0, y) + sheet.level(x - 5.0, y)) / 2.0
    return np.array([upright, level])


def joins(sheet: Print, page: Page, correction: Correction | None) -> Places:
    """Each join mark of a printed page: where its stroke stands on the line that is cut or laid to."""
    found: Places = {}
    for shape in page.shapes:
        if isinstance(shape, Line) and shape.ink is Ink.JOIN and shape.start.x == shape.end.x:
            x, y = about(*shape.start, correction)
            inward = 1.2 if shape.end.y > shape.start.y else -1.2
            ends = [sheet.level(x + side, y, 0.45) for side in (-0.75, 0.75) if inked(sheet, x + side, y)]
            name = f"{shape.start.x - page.shift[0]:.3f} {shape.start.y - page.shift[1]:.3f}"
            found[name] = np.array([sheet.upright(x, y + inward), sum(ends) / len(ends)])
    return found


def inked(sheet: Print, x: float, y: float) -> bool:
    """Whether most of the stretch of a join line at (x, y) is ink: a cut line is dashed."""
    ink, _, _ = sheet.patch(x, y, 0.45, 0.6)
    return bool(ink.sum(axis=1).max() > 0.6 * ink.shape[1])


def laid(own: list[np.ndarray], onto: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """The shift and the turn that lay two marks of one page on the same two of another, paper kept rigid."""
    (a, b), (c, d) = own, onto
    angle = atan2(*(d - c)[::-1]) - atan2(*(b - a)[::-1])
    turn = np.array([[cos(angle), -sin(angle)], [sin(angle), cos(angle)]])
    return (c + d) / 2.0 - turn @ ((a + b) / 2.0), turn


def worst(planned: Places, found: Places) -> float:
    """The largest distance of a hole from its plan, the template held on the post as it fits best."""
    a, b = (np.array([places[name] for name in planned]) for places in (planned, found))
    a, b = a - a.mean(axis=0), b - b.mean(axis=0)
    u, _, vt = np.linalg.svd(b.T @ a)
    return float(np.abs(np.linalg.norm(b @ (u @ vt) - a, axis=1)).max())


def span(places: Places) -> float:
    """The longest distance between two holes."""
    return max(hypot(*(b - a)) for a, b in itertools.combinations(places.values(), 2))


def test_corrected_holes_are_true_over_900_mm(correction: Correction) -> None:
    planned, found = taped(correction)
    assert span(planned) > 900.0
    assert worst(planned, found) < 0.1
    assert span(found) == pytest.approx(span(planned), abs=0.1)


def test_without_correction_they_are_not() -> None:
    """0.4 % of 900 mm is 3.6 mm, half of it at either end."""
    planned, found = taped(None)
    assert worst(planned, found) > 1.5


def test_rulers_on_a_corrected_page_measure_true(correction: Correction) -> None:
    """The upright ruler stands 6.2 mm inside the margin, 2.5 mm above the strip over the foot; the level one in that
    strip's middle, 2 mm inside the margin. 1.8 and 2.5 mm off them only tens have ticks, and their labels beside."""
    made = pages(face(200.0), LETTER, 9.525, foot_words("truth")).pages
    sheet = printed(pdf(made, title="t", correction=correction))
    edge = LETTER.margin
    left, low = edge + 6.2, edge + 12.0 + 8.0 + 2.5
    ends = [(left, low + at) for at in (0.0, 200.0)]
    y = [sheet.level(*about(x - 2.1, at, correction), 0.2) for x, at in ends]
    assert y[1] - y[0] == pytest.approx(200.0, abs=0.05)
    start, middle = edge + 2.0, edge + 12.0 + 4.0
    x = [sheet.upright(*about(start + at, middle + 2.4, correction), 0.2) for at in (0.0, 170.0)]
    assert x[1] - x[0] == pytest.approx(170.0, abs=0.05)


def test_the_scale_page_stays_as_it_is(correction: Correction) -> None:
    _, page = scale()
    other = pages(face(200.0), LETTER, 9.525, foot_words("truth")).pages[0]
    document = pypdfium2.PdfDocument(pdf([page, other], title="t", correction=correction, uncorrected=(0,)))
    plain = pypdfium2.PdfDocument(pdf([page, other], title="t"))
    pictures = [[one[index].render().to_numpy() for index in (0, 1)] for one in (document, plain)]
    assert np.array_equal(pictures[0][0], pictures[1][0])
    assert not np.array_equal(pictures[0][1], pictures[1][1])
    assert content(page) != content(page, correction=correction)
    text = document[0].get_textpage().get_text_range()
    assert "without any correction" in " ".join(text.split())
    assert "corrected for truth: do not print elsewhere" in document[1].get_textpage().get_text_range()


def test_a_turned_or_shifted_page_is_still_true() -> None:
    """The measuring itself: a point drawn at a known place is found there, to a hundredth of a millimetre."""
    data = pdf(pages(face(200.0), LETTER, 9.525, "f").pages, title="t")
    page = pages(face(200.0), LETTER, 9.525, "f").pages[0]
    (x, y), *_ = holes(page).values()
    at = about(x, y)
    found = crossing(printed(data), at[0] + 0.1, at[1] - 0.1)
    assert Point(*found) == pytest.approx(at, abs=0.02)
