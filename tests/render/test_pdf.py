"""The PDF as others see it: pdfium's pixels, pypdf's objects, the words that both find."""

from __future__ import annotations

import itertools
import os
import re
import subprocess
import sys
from io import BytesIO
from math import hypot, pi
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from pypdf import PdfReader
from specimen import face

from jiggen.drawing.scene import Drawing, Ink, Pen
from jiggen.render.pdf import content, pdf
from jiggen.sheets.correction import Correction
from jiggen.sheets.model import Page
from jiggen.sheets.paper import paper
from jiggen.sheets.tiling import pages, single

LETTER = paper("letter")
DPI = 1200
PIXEL = 25.4 / DPI


def ink(data: bytes, box: tuple[float, float, float, float], index: int = 0, dpi: int = DPI) -> np.ndarray:
    """How black each pixel of a part of a page is, 0 to 1; ``box``: left, bottom, right, top, mm.

    The page is cut at the whole pixels nearest to the box.
    """
    page = pypdfium2.PdfDocument(data)[index]
    width, height = (round(points / 72.0 * dpi) for points in page.get_size())
    left, bottom, right, top = (round(edge / 25.4 * dpi) for edge in box)
    # a quarter of a pixel less, since the parts to cut off are rounded up
    crop = tuple((pixels - 0.25) * 72.0 / dpi for pixels in (left, bottom, width - right, height - top))
    image = page.render(scale=dpi / 72.0, crop=crop, grayscale=True, may_draw_forms=False)
    return 1.0 - image.to_numpy().reshape(image.height, image.width).astype(float) / 255.0


def centre(data: bytes, x: float, y: float, reach: float, index: int = 0) -> tuple[float, float]:
    """Centre of all ink within ``reach`` mm of (x, y), mm, page coordinates."""
    page_height = pypdfium2.PdfDocument(data)[index].get_size()[1] / 72.0 * 25.4
    left = round((x - reach) / PIXEL) * PIXEL
    top = page_height - round((page_height - y - reach) / PIXEL) * PIXEL
    size = round(2.0 * reach / PIXEL) * PIXEL
    black = ink(data, (left, top - size, left + size, top), index)
    rows, columns = np.indices(black.shape)
    total = black.sum()
    assert total > 0.0
    return (
        left + ((columns + 0.5) * black).sum() / total * PIXEL,
        top - ((rows + 0.5) * black).sum() / total * PIXEL,
    )


def plain(drawing: Drawing, name: str = "letter") -> Page:
    return single(paper(name), drawing, label="1", title="SPECIMEN", foot="f")


def test_circles_lie_where_they_were_put() -> None:
    pen = Pen()
    places = [(20.0, 30.0, 1.0), (95.3, 120.7, 2.778), (170.123, 200.456, 6.35), (10.0, 215.0, 3.5)]
    for x, y, r in places:
        pen.oval(x, y, r, r, Ink.DRILL)
    page = plain(pen.drawing(190.5, 229.5))
    data = pdf([page], title="circles")
    for x, y, r in places:
        at = (x + page.shift[0], y + page.shift[1])
        found = centre(data, *at, r + 1.0)
        assert hypot(found[0] - at[0], found[1] - at[1]) < 0.05


def curves(operators: bytes) -> list[list[tuple[float, float]]]:
    """The Beziers of a page, four points each."""
    out: list[list[tuple[float, float]]] = []
    here = (0.0, 0.0)
    for numbers, operator in re.findall(r"((?:-?[0-9.]+ )+)([mlc])\b", operators.decode()):
        values = [float(v) for v in numbers.split()]
        points = list(zip(values[0::2], values[1::2], strict=True))
        if operator == "c":
            out.append([here, *points])
        here = points[-1]
    return out


def test_a_circle_is_round() -> None:
    """Eight Beziers: off by 4.3e-6 of the radius between their ends; written to 0.0001 mm."""
    pen = Pen()
    pen.oval(80.0, 80.0, 50.0, 50.0, Ink.DRILL)
    page = plain(pen.drawing(190.5, 229.5))
    found = curves(content(page))
    assert len(found) == 8
    x, y = 80.0 + page.shift[0], 80.0 + page.shift[1]
    for a, b, c, d in found:
        for i in range(21):
            t = i / 20.0
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            point = [sum(w * p[k] for w, p in zip(weights, (a, b, c, d), strict=True)) for k in (0, 1)]
            assert hypot(point[0] - x, point[1] - y) == pytest.approx(50.0, abs=50.0 * 4.3e-6 + 1e-4)


def runs(profile: np.ndarray) -> list[float]:
    """Middles of the black stretches of a row of pixels, weighted, in pixels."""
    out, start = [], None
    for i, dark in enumerate([*(profile > 0.3), False]):
        if dark and start is None:
            start = i
        elif not dark and start is not None:
            part = slice(max(start - 2, 0), i + 2)
            at = np.arange(len(profile))[part] + 0.5
            out.append(float((at * profile[part]).sum() / profile[part].sum()))
            start = None
    return out


@pytest.mark.parametrize("name", ["letter", "a4"])
def test_a_hundred_millimetres_are_a_hundred(name: str) -> None:
    data = pdf(pages(face(200.0), paper(name), 9.525, "f").pages, title="ruler")
    sheet = paper(name)
    # the upright ruler's edge lies 6.2 mm inside the margin; 1.8 mm out only the ticks of the tens are left
    left, middle = sheet.margin + 6.2 - 1.8, sheet.margin + 12.0 + 4.0
    tens = runs(ink(data, (left, 30.0, left + 2 * PIXEL, sheet.height - 12.0))[:, 0][::-1])
    assert len(tens) >= 20
    assert (tens[10] - tens[0]) * PIXEL == pytest.approx(100.0, abs=0.02)
    # the level rulers' edge is the middle of a strip of 8 mm over the foot: millimetres above it
    steps = runs(ink(data, (10.0, middle + 0.5, sheet.width - 10.0, middle + 0.5 + 2 * PIXEL))[0])
    assert len(steps) >= 151
    assert (steps[100] - steps[0]) * PIXEL == pytest.approx(100.0, abs=0.02)
    # and sixteenths of an inch below; 64 of them are 101.6 mm
    steps = runs(ink(data, (10.0, middle - 0.5, sheet.width - 10.0, middle - 0.5 + 2 * PIXEL))[0])
    assert (steps[64] - steps[0]) * PIXEL == pytest.approx(101.6, abs=0.02)


def test_a_cut_dashed_line_looks_as_if_it_were_whole() -> None:
    pen = Pen()
    pen.path([(-30.0, -17.0), (60.0, 300.0), (120.0, -40.0)], Ink.CENTRE, True)
    pen.line(-20.0, 3.3, 400.0, 90.0, Ink.CUT)
    pen.oval(0.0, 120.0, 20.0, 9.0, Ink.HIDDEN, 0.3)
    shapes = tuple(pen.shapes)
    inner = Page(LETTER, "1", shapes, (20.0, 20.0, 90.0, 200.0))
    whole = Page(LETTER, "1", shapes, (-500.0, -500.0, 900.0, 900.0))
    box = (22.0, 22.0, 88.0, 198.0)
    seen = ink(pdf([inner], title="t"), box, dpi=200)
    wanted = ink(pdf([whole], title="t"), box, dpi=200)
    assert wanted.sum() > 500.0
    assert np.abs(seen - wanted).max() < 0.35  # anti-aliasing of ends; a missing dash would be 1
    outside = ink(pdf([inner], title="t"), (95.0, 5.0, 210.0, 270.0), dpi=100)
    assert outside.sum() == 0.0


def packet(watermark: str = "") -> bytes:
    made = pages(face(620.0), LETTER, 9.525, "porch 7f3a-22c1").pages
    files = [("plan.json", b'{"version": 1}'), ("job.toml", b'name = "porch"\n' * 50)]
    return pdf(made, title="Porch", outline=[("S1", 0)], attachments=files, watermark=watermark)


def test_same_bytes_each_time_and_everywhere() -> None:
    first = packet()
    assert first == packet()
    here = Path(__file__).resolve().parent
    program = "import hashlib, test_pdf; print(hashlib.sha256(test_pdf.packet()).hexdigest())"
    import hashlib

    for seed in ("1", "77"):
        paths = os.pathsep.join([str(here), str(here.parent / "sheets"), str(here.parents[1])])
        run = subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": paths},
            capture_output=True,
            text=True,
            check=True,
        )
        assert run.stdout.strip() == hashlib.sha256(first).hexdigest()


def test_what_the_file_says_of_itself() -> None:
    data = packet()
    reader = PdfReader(BytesIO(data))
    preferences = reader.trailer["/Root"]["/ViewerPreferences"]
    assert preferences["/PrintScaling"] == "/None"
    assert preferences["/Duplex"] == "/Simplex"
    assert preferences["/PickTrayByPDFSize"].value is True
    assert reader.page_labels == ["S1-1", "S1-2", "S1-3"]
    assert [item.title for item in reader.outline] == ["S1"]
    assert reader.attachments["job.toml"] == [b'name = "porch"\n' * 50]
    assert reader.attachments["plan.json"] == [b'{"version": 1}']
    assert reader.metadata is not None
    assert reader.metadata.title == "Porch"
    assert b"Date" not in data
    assert "/ID" not in reader.trailer


@pytest.mark.parametrize(("name", "width", "height"), [("letter", 612.0, 792.0), ("a4", 595.27559, 841.88976)])
def test_page_box_is_the_paper(name: str, width: float, height: float) -> None:
    """8.5 x 72, 11 x 72; 210 / 25.4 x 72, 297 / 25.4 x 72."""
    made = pages(face(200.0), paper(name), 9.525, "f").pages
    page = PdfReader(BytesIO(pdf(made, title="t"))).pages[0]
    for box in (page.mediabox, page.cropbox):
        assert [float(v) for v in box] == pytest.approx([0.0, 0.0, width, height], abs=1e-5)


def test_words_are_found() -> None:
    data = packet("DRAFT")
    ours = PdfReader(BytesIO(data)).pages[0].extract_text()
    page = pypdfium2.PdfDocument(data)[0]
    theirs = page.get_textpage().get_text_range()
    for text in (ours, theirs):
        for wanted in ("POST 3", "TOWARD 4", "page 1 of 3", "3 3/8 in", "dia", "porch 7f3a-22c1", "DRAFT"):
            assert wanted in text


def test_words_are_not_drawn_twice() -> None:
    """Without the strokes nothing of the lettering is left on the page."""
    pen = Pen()
    pen.text(20.0, 100.0, "DRILL HERE", 10.0)
    page = Page(LETTER, "1", tuple(pen.shapes), (0.0, 0.0, 200.0, 200.0))
    operators = content(page)
    assert operators.count(b" Tr") == operators.count(b"3 Tr") == 1
    bare = re.sub(rb"(?m)^q 1 0 0 1 .* S Q$", b"", operators)
    assert b" l" not in bare
    seen = ink(pdf([page], title="t"), (15.0, 95.0, 120.0, 115.0), dpi=300)
    # strokes 1 mm wide (a tenth of 10): centre lines' length x 1 mm, less what overlaps at corners
    from jiggen.drawing.lettering import strokes

    long = sum(
        hypot(b.x - a.x, b.y - a.y) for stroke in strokes("DRILL HERE", 10.0) for a, b in itertools.pairwise(stroke)
    )
    count = len(strokes("DRILL HERE", 10.0))
    area = seen.sum() * (25.4 / 300) ** 2
    assert 0.85 * long < area < long + count * pi / 4.0


def test_what_is_spoken_is_found_instead() -> None:
    """Large figures drawn in parts are found as one reading; the parts are not found."""
    pen = Pen()
    pen.text(20.0, 100.0, "QQ", 10.0, spoken="65 \u215d")
    pen.text(50.0, 105.0, "ZZ", 4.0, spoken="")
    text = PdfReader(BytesIO(pdf([plain(pen.drawing(150.0, 150.0))], title="t"))).pages[0].extract_text()
    assert "65 5/8" in text
    assert "QQ" not in text
    assert "ZZ" not in text


def test_marks_carry_their_names_safely() -> None:
    pen = Pen()
    pen.oval(50.0, 50.0, 3.0, 3.0, Ink.DRILL, data=(("mark", "3/toward (4\\/7)"), ("face", "né")))
    page = Page(LETTER, "1", tuple(pen.shapes), (0.0, 0.0, 200.0, 200.0))
    operators = content(page)
    assert b"/Mark <</mark (3/toward \\(4\\\\/7\\)) /face <FEFF006E00E9>>> BDC" in operators
    assert operators.count(b"BDC") == operators.count(b"EMC") == 1
    assert operators.isascii()


def test_stretch_is_about_the_middle_of_the_page() -> None:
    """Factor 1.01: a mark 50 mm left of the middle is printed 50.5 mm left of it."""
    pen = Pen()
    pen.oval(LETTER.width / 2 - 50.0, LETTER.height / 2 + 80.0, 3.0, 3.0, Ink.DRILL)
    page = Page(LETTER, "1", tuple(pen.shapes), (0.0, 0.0, 210.0, 270.0))
    data = pdf([page], title="t", correction=Correction(1.0 / 1.01, 1.0 / 0.99))
    wanted = (LETTER.width / 2 - 50.5, LETTER.height / 2 + 79.2)
    assert centre(data, *wanted, 4.0) == pytest.approx(wanted, abs=0.02)


def test_draft_is_on_every_page() -> None:
    marked, clean = packet("DRAFT"), packet()
    box = (60.0, 60.0, 150.0, 220.0)
    for index in range(3):
        assert ink(marked, box, index, 50).sum() > ink(clean, box, index, 50).sum() + 50.0


def test_refused() -> None:
    with pytest.raises(ValueError, match="at least one page"):
        pdf([], title="t")
    with pytest.raises(IndexError, match="leads to page 1"):
        pdf([plain(Pen().drawing(10.0, 10.0))], title="t", outline=[("x", 1)])
