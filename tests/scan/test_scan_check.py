"""Simulated scans: a printer that is off by known figures is measured by its pages, whichever way they lie on the glass."""

from __future__ import annotations

from math import degrees, hypot

import numpy as np
import pytest
from packets import packet
from scipy.ndimage import gaussian_filter

pytest.importorskip("cv2", reason='opencv is not on this machine: pip install "jiggen[scan]"')

from scans_made import Array, Printer, Scanner, encoded, glass, scan, written

from jiggen.build import scale_file
from jiggen.scan.check import Checked, check, correction
from jiggen.scan.packet import Known, known
from jiggen.scan.page import seen
from jiggen.scan.picture import Picture, ScanError, picture
from jiggen.sheets.correction import Correction

SCALE = scale_file("letter", 12.7)
JOB = "smallest"


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return packet(JOB).files["packet.pdf"]


@pytest.fixture(scope="module")
def of(pdf: bytes) -> Known:
    return known(pdf)


@pytest.fixture(scope="module")
def scale_glass() -> Array:
    """The scale page on the glass, turned by 3 degrees."""
    return glass(SCALE, 0, Printer(turn=3.0), Scanner())


@pytest.fixture(scope="module")
def sheet_glass(pdf: bytes, of: Known) -> Array:
    """The third page of sheet S1, which has holes, on the glass, upside down."""
    return glass(pdf, of.labels.index("S1-3"), Printer(turn=181.0), Scanner())


def measured(one: Checked, printer: Printer) -> None:
    """Scale within 0.05 %, skew within 0.03 degrees, and within what is stated."""
    fit = one.page.fit
    assert abs(fit.across - printer.across) < min(0.0005, fit.across_doubt)
    assert abs(fit.along - printer.along) < min(0.0005, fit.along_doubt)
    assert abs(degrees(fit.skew) - printer.skew) < min(0.03, degrees(fit.skew_doubt))


@pytest.mark.parametrize("turn", [0.0, -2.5, 90.0, 180.0, 217.0])
def test_the_scale_page_whichever_way_it_lies(turn: float) -> None:
    printer = Printer(turn=turn)
    found = check("scan", scan(SCALE, 0, printer))
    measured(found, printer)
    assert found.page.code.scale and not found.problems
    assert (found.page.fit.turn and degrees(found.page.fit.turn) - turn + 180.0) % 360.0 == pytest.approx(
        180.0, abs=0.05
    )


@pytest.mark.parametrize(
    "scanner",
    [
        Scanner(noise=30.0),
        Scanner(blur=2.2),
        Scanner(paper=225.0, ink=140.0),
        Scanner(quality=20),
        Scanner(quality=0),
    ],
    ids=["noise", "blur", "pale", "jpeg20", "png"],
)
def test_bad_scans_are_measured_as_well(scale_glass: Array, sheet_glass: Array, scanner: Scanner) -> None:
    for black in (scale_glass, sheet_glass):
        measured(check("scan", written(black, scanner)), Printer())


@pytest.mark.parametrize("dpi", [150, 200])
def test_coarse_scans(dpi: int) -> None:
    measured(check("scan", scan(SCALE, 0, Printer(turn=1.0), Scanner(dpi=dpi))), Printer())


@pytest.mark.parametrize(
    "printer",
    [Printer(1.0, 1.0, 0.0), Printer(0.985, 1.012, -0.8), Printer(1.02, 0.98, 1.2)],
    ids=["true", "left", "far"],
)
def test_other_printers(printer: Printer) -> None:
    measured(check("scan", scan(SCALE, 0, printer)), printer)


def test_stated_doubt_holds_for_bad_prints(scale_glass: Array) -> None:
    """Paper that waves by 0.08 mm along: the squares leave their fit, the doubt grows, what is found is within it."""
    rows = np.arange(scale_glass.shape[0])
    wave = np.round(0.08 / 25.4 * 300.0 * 1.5 * np.sin(rows / 400.0)).astype(int)
    bent = scale_glass[np.clip(rows + wave, 0, len(rows) - 1)]
    flat = check("scan", written(scale_glass, Scanner())).page.fit
    fit = check("scan", written(bent, Scanner())).page.fit
    assert fit.spread > 3.0 * flat.spread and fit.along_doubt > 2.0 * flat.along_doubt
    assert abs(fit.along - 0.996) < fit.along_doubt and abs(fit.across - 1.007) < fit.across_doubt


def test_the_sheet_page_and_its_marks(sheet_glass: Array, of: Known) -> None:
    """What a mark is off: the printer's distortion of its place about the middle of the squares, no turn in it."""
    printer = Printer()
    found = check("scan", written(sheet_glass, Scanner()), None, of)
    code = found.page.code
    assert (code.sheet, code.page, code.fingerprint) == ("S1", 3, packet(JOB).survey.plan.fingerprint)
    measured(found, printer)
    planned = {mark.id: mark for mark in of.planned(code)}
    assert planned and {mark.id for mark in found.marks} == set(planned)
    corners = np.array(list(found.page.true.values()))
    middle = corners.mean(axis=0)
    made = corners - middle
    u, _, v = np.linalg.svd((made @ printer.matrix.T).T @ made)
    turn = (u @ v).T
    for mark in found.marks:
        at = np.array([planned[mark.id].x, planned[mark.id].y]) - middle
        across, along = turn @ printer.matrix @ at - at
        assert mark.across is not None and mark.along is not None and mark.off is not None
        assert hypot(mark.across - across, mark.along - along) < mark.doubt < 0.06, mark
        assert mark.off == pytest.approx(hypot(across, along), abs=0.03)


def test_marks_of_every_page_of_a_sheet_are_found(pdf: bytes, of: Known) -> None:
    """A printer without fault: every mark is found on its page, none more than 0.03 mm off."""
    count, ids = 0, set()
    for index, page in enumerate(of.placed):
        if page is not None and page.sheet == "S1":
            found = check("scan", scan(pdf, index, Printer(1.0, 1.0, 0.0, 2.0), Scanner(dpi=200)), None, of)
            assert all(mark.off is not None and mark.off < 0.03 for mark in found.marks), found.lines()
            ids |= {mark.id for mark in found.marks}
            count += 1
    assert count > 1
    assert ids == {target.id for target in of.wanted["S1"]}


def test_a_moved_hole_is_told(sheet_glass: Array, of: Known) -> None:
    """The patch round one mark is moved by 6 pixels: 0.51 mm; the others stay."""
    flat = check("scan", written(sheet_glass, Scanner(quality=0)), None, of)
    image = picture(written(sheet_glass, Scanner(quality=0)))
    first, *others = flat.marks
    plan = next(mark for mark in of.planned(flat.page.code) if mark.id == first.id)
    x, y = flat.page.fit.on_scan(plan.x, plan.y) * image.per_mm
    row, column, half = round(image.grey.shape[0] - y), round(x), round((plan.rx + 1.5) * image.per_mm)
    moved = image.grey.copy()
    moved[row - half : row + half, column - half + 6 : column + half + 6] = image.grey[
        row - half : row + half, column - half : column + half
    ]
    found = check("scan", encoded(moved, Scanner(quality=0)), None, of)
    now = {mark.id: mark for mark in found.marks}
    one = now[first.id]
    assert one.across is not None and first.across is not None and one.along is not None and first.along is not None
    # upside down by 181 degrees: right on the glass is left on the page
    assert hypot(one.across - first.across + 0.508, one.along - first.along) < 0.05
    for other in others:
        assert now[other.id].off == pytest.approx(other.off, abs=0.02)


def test_a_hole_that_is_not_there_is_told(sheet_glass: Array, of: Known) -> None:
    image = picture(written(sheet_glass, Scanner(quality=0)))
    page = seen(image)
    plan = of.planned(page.code)[0]
    x, y = page.fit.on_scan(plan.x, plan.y) * image.per_mm
    row, column, half = round(image.grey.shape[0] - y), round(x), round((plan.rx + 1.0) * image.per_mm)
    wiped = image.grey.copy()
    wiped[row - half : row + half, column - half : column + half] = 240
    found = check("scan", encoded(wiped, Scanner(quality=0)), None, of)
    assert next(mark for mark in found.marks if mark.id == plan.id).off is None
    assert any(plan.id in problem.found and problem.level == "check" for problem in found.problems)


def test_pages_without_marks_are_named(pdf: bytes, of: Known) -> None:
    for label in ("cover", "scale page"):
        found = check("scan", scan(pdf, of.labels.index(label)), None, of)
        measured(found, Printer())
        assert not found.marks
        assert label.split()[0] in found.lines()[0]


def test_without_the_packet_the_marks_are_left_out_and_that_is_said(sheet_glass: Array) -> None:
    found = check("scan", written(sheet_glass, Scanner()))
    assert not found.marks
    assert [problem.level for problem in found.problems] == ["note"] and "--packet" in found.problems[0].remedy


def refused(data: bytes, dpi: float | None = None, of: Known | None = None) -> str:
    with pytest.raises(ScanError) as error:
        check("scan", data, dpi, of)
    assert error.value.found and error.value.remedy
    return str(error.value)


def test_a_page_of_another_packet_is_refused(sheet_glass: Array) -> None:
    other = known(packet("ramp").files["packet.pdf"])
    said = refused(written(sheet_glass, Scanner()), None, other)
    assert "page 3 of sheet S1 is of packet" in said and other.fingerprint in said


def test_a_page_that_the_file_does_not_have_is_refused(pdf: bytes) -> None:
    sheet = known(packet(JOB).files["sheets/S1.pdf"])
    cover = scan(pdf, 0, Printer(), Scanner(dpi=150))
    assert "not in the file" in refused(cover, None, sheet)


def test_the_sheets_own_pdf_serves_as_well(sheet_glass: Array) -> None:
    found = check("scan", written(sheet_glass, Scanner()), None, known(packet(JOB).files["sheets/S1.pdf"]))
    assert found.marks and all(mark.off is not None for mark in found.marks)


def lettered_page() -> bytes:
    """Somebody else's page: words, boxes in boxes and squares, by reportlab."""
    from io import BytesIO

    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out, (612, 792), invariant=1)
    for line in range(40):
        canvas.drawString(72, 720 - 16 * line, "The quick brown fox jumps over the lazy dog 0123456789")
    for x, y in ((40, 40), (560, 40), (40, 745), (560, 745)):
        canvas.rect(x, y, 14, 14, fill=1)
        canvas.setFillColorRGB(1, 1, 1)
        canvas.rect(x + 2.5, y + 2.5, 9, 9, fill=1)
        canvas.setFillColorRGB(0, 0, 0)
        canvas.rect(x + 5, y + 5, 4, 4, fill=1)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def test_a_page_of_somebody_else_is_refused() -> None:
    """It even has four squares like ours."""
    said = refused(scan(lettered_page(), 0, Printer(turn=2.0)))
    assert "no code of ours" in said


@pytest.mark.parametrize("kind", ["white", "black", "noise", "grid"])
def test_no_page_at_all_is_refused(kind: str) -> None:
    shape = (2200, 1700)
    rows, columns = np.indices(shape)
    grey = {
        "white": np.full(shape, 250),
        "black": np.zeros(shape),
        "noise": np.random.default_rng(3).integers(0, 255, shape),
        "grid": np.where((rows // 20 + columns // 20) % 2, 250, 10),
    }[kind].astype(np.uint8)
    assert "no page of ours" in refused(encoded(grey, Scanner(dpi=200, quality=0)))


def test_files_that_are_no_image_are_refused(pdf: bytes) -> None:
    whole = written(np.zeros((400, 300)), Scanner())
    assert "no image" in refused(b"") and "no image" in refused(b"P6 99999999 99999999 255\n") and "PDF" in refused(pdf)
    assert "no image" in refused(b"not an image at all" * 50)
    assert "no image" in refused(whole[:30])


def test_half_a_file_is_refused(scale_glass: Array) -> None:
    whole = written(scale_glass, Scanner())
    said = refused(whole[: len(whole) // 2])
    assert "no image" in said or "square" in said or "code" in said


@pytest.mark.parametrize("corner", [(0, 0), (0, 1)])
def test_a_covered_corner_is_named(sheet_glass: Array, corner: tuple[int, int]) -> None:
    """Upside down the page's lower squares lie at the top; its right is at the left."""
    hidden = sheet_glass.copy()
    half, wide = hidden.shape[0] // 2, hidden.shape[1] // 2
    hidden[half:, : wide if corner[1] else None] = hidden[half:, : wide if corner[1] else None] * 0.0
    if not corner[1]:
        hidden[half:, wide:] = sheet_glass[half:, wide:]
    said = refused(written(hidden, Scanner()))
    assert "no square in its upper right" in said and "page 3 of sheet S1" in said


def test_a_code_that_is_covered_is_refused(sheet_glass: Array) -> None:
    """A stripe of 8 mm over the lower right corner's code, the square beside it left alone."""
    image = Picture(np.asarray(255.0 * (1.0 - sheet_glass), np.uint8), 300.0)
    page = seen(image)
    x, y = page.found["lower right"]
    row, column = round(image.grey.shape[0] - y * image.per_mm), round(x * image.per_mm)
    hidden = sheet_glass.copy()
    hidden[row - 70 : row + 70, column + 45 : column + 140] = 1.0
    assert "no code of ours can be read" in refused(written(hidden, Scanner()))


def test_a_speck_on_the_code_does_no_harm(sheet_glass: Array) -> None:
    """1 mm of dirt in the middle of the code: two cells by two at most."""
    page = seen(Picture(np.asarray(255.0 * (1.0 - sheet_glass), np.uint8), 300.0))
    x, y = page.found["lower right"]
    row, column = round(sheet_glass.shape[0] - y / 25.4 * 300.0), round(x / 25.4 * 300.0)
    dirty = sheet_glass.copy()
    dirty[row - 3 : row + 7, column + 105 : column + 115] = 1.0
    measured(check("scan", written(dirty, Scanner())), Printer())


def test_a_mirrored_scan_is_told(scale_glass: Array) -> None:
    assert "mirrored" in refused(written(scale_glass[:, ::-1], Scanner()))


def test_a_photograph_is_refused(scale_glass: Array) -> None:
    """Perspective: the far edge of the page is 4 % shorter."""
    rows, columns = np.indices(scale_glass.shape, dtype=float)
    high, wide = scale_glass.shape
    squeeze = 1.0 + 0.04 * rows / high
    from scipy.ndimage import map_coordinates

    bent = map_coordinates(scale_glass, [rows, (columns - wide / 2.0) * squeeze + wide / 2.0], order=1)
    assert "off a flat page" in refused(written(bent, Scanner()))


def test_a_wrong_dpi_is_told(scale_glass: Array) -> None:
    """A scan of 300 dpi called 600 is half its size: (1.007 + 0.996) / 2 x 300 / 600 = 50 %, 300 dpi would fit."""
    said = refused(written(scale_glass, Scanner()), 600.0)
    assert "50 % of its size at 600 dpi" in said and "300 would fit" in said


def test_dpi_must_be_known(scale_glass: Array) -> None:
    untold = written(scale_glass, Scanner(told=False, quality=0))
    assert "--dpi" in refused(untold)
    measured(check("scan", untold, 300.0), Printer())
    assert "72 dpi" in refused(untold, 72.0)


def test_fit_to_page_is_told() -> None:
    printer = Printer(0.94, 0.94, 0.0, 1.0)
    found = check("scan", scan(SCALE, 0, printer))
    measured(found, printer)
    assert [problem.level for problem in found.problems] == ["stop"] and "fit-to-page" in found.problems[0].remedy
    with pytest.raises(ScanError, match="3 %"):
        correction([found])


def test_correction_of_two_scale_pages(scale_glass: Array) -> None:
    found = [check("scan", written(scale_glass, Scanner(), seed)) for seed in (1, 2)]
    made, doubt, paper = correction(found, "letter")
    assert paper == "letter" and 0.0 < doubt < 0.0005
    assert made.across == pytest.approx(1.007, abs=1e-4) and made.along == pytest.approx(0.996, abs=1e-4)
    assert degrees(made.skew) == pytest.approx(0.3, abs=0.01)
    with pytest.raises(ScanError, match="not a4"):
        correction(found, "a4")


def test_only_scale_pages_make_a_correction(scale_glass: Array, sheet_glass: Array) -> None:
    found = [check("scan", written(black, Scanner())) for black in (scale_glass, sheet_glass)]
    with pytest.raises(ScanError, match="scale pages only"):
        correction(found)
    a4 = check("scan", scan(scale_file("a4", 12.7)))
    with pytest.raises(ScanError, match="different papers"):
        correction([found[0], a4])
    assert correction([a4])[2] == "a4"


def test_a_corrected_page_scans_true(of: Known) -> None:
    """The printer's fault and what undoes it, one after the other: 100 % both ways, and the code says it is corrected."""
    from specimen import face

    from jiggen.render.pdf import pdf as render
    from jiggen.sheets.correction import foot_words
    from jiggen.sheets.paper import paper
    from jiggen.sheets.tiling import pages

    printer = Printer()
    undo = Correction(printer.across, printer.along, np.radians(printer.skew))
    foot = f"Porch   7F3A-22C1   {foot_words('office')}"
    made = pages(face(300.0), paper("letter"), 9.525, foot).pages
    found = check("scan", scan(render(made, title="t", correction=undo), 0, printer))
    measured(found, Printer(1.0, 1.0, 0.0))
    assert found.page.code.corrected and "corrected for a printer" in found.lines()[0]


def test_a_colour_scan_and_one_with_16_bits(scale_glass: Array) -> None:
    from io import BytesIO

    from PIL import Image

    grey = np.asarray(np.clip(240.0 - 205.0 * gaussian_filter(scale_glass, 0.8), 0, 255), np.uint8)
    for image in (
        Image.fromarray(np.dstack([grey, grey, np.full_like(grey, 200)])),
        Image.fromarray(np.dstack([grey, grey, grey, np.full_like(grey, 255)])),
        Image.fromarray(grey.astype(np.uint16) * 257),
    ):
        out = BytesIO()
        image.save(out, "TIFF", dpi=(300, 300))
        measured(check("scan", out.getvalue()), Printer())


def test_a_corrected_packet_scans_true_marks_and_all() -> None:
    """A packet corrected for this very printer, printed by it: every hole true within 0.1 mm, and its scale page is not
    corrected, so that it can be kept again."""
    from packets import job

    from jiggen.build import Options, build

    printer = Printer()
    undo = Correction(printer.across, printer.along, np.radians(printer.skew))
    data = build(job(JOB), Options(correction=undo, printer="office-2")).files["packet.pdf"]
    corrected = known(data)
    found = check("scan", scan(data, corrected.labels.index("S1-3"), Printer(turn=180.0)), None, corrected)
    measured(found, Printer(1.0, 1.0, 0.0))
    assert found.page.code.corrected and len(found.marks) == 6
    assert all(mark.off is not None and mark.off < 0.1 for mark in found.marks), found.lines()
    scale = check("scan", scan(data, corrected.labels.index("scale page"), printer), None, corrected)
    measured(scale, printer)
    assert not scale.page.code.corrected and correction([scale])[2] == "letter"


@pytest.mark.parametrize("apart", [0.55, 4.0])
def test_a_slot_is_one_mark(apart: float) -> None:
    """Two holes of one name, near enough for their lines to run together, or apart: the slot's middle is measured."""
    from jiggen.drawing.scene import Ink, Pen
    from jiggen.render.pdf import pdf as render
    from jiggen.scan.marks import Planned, marks_seen
    from jiggen.sheets.model import Sheet
    from jiggen.sheets.paper import paper
    from jiggen.sheets.tiling import pages

    pen = Pen()
    middles = ((40.0, 180.0), (120.0, 40.0))
    for x, y in middles:
        for sign in (1.0, -1.0):
            pen.oval(x, y + sign * apart / 2.0, 2.4, 2.4, Ink.DRILL, data=(("mark", f"{x}"), ("face", "A")))
        pen.line(x - 8.0, y, x + 8.0, y, Ink.CROSS)
        pen.line(x, y - 8.0, x, y + 8.0, Ink.CROSS)
    (page,) = pages(Sheet("S1", "slots", pen.drawing(150.0, 200.0)), paper("letter"), 9.525, "Porch   7F3A-22C1").pages
    planned = [
        Planned(f"{x}", x + page.shift[0], y + sign * apart / 2.0 + page.shift[1], 2.4, 2.4, 0.0)
        for x, y in middles
        for sign in (1.0, -1.0)
    ]
    printer = Printer(1.0, 1.0, 0.0, 2.0)
    image = picture(scan(render([page], title="t"), 0, printer))
    found = marks_seen(image, seen(image), planned)
    assert [mark.id for mark in found] == ["40.0", "120.0"]
    assert all(mark.off is not None and mark.off < 0.02 for mark in found), found
