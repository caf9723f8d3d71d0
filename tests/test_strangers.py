"""Other people's readers find every mark, ruler and square where the plan has it: pdfium, svgelements, cairo."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from math import atan2, ceil, cos, hypot, pi, radians, sin
from typing import Any

import numpy as np
import pypdfium2 as pdfium
import pytest
from numpy.typing import NDArray
from packets import packet, plan_json
from svgelements import SVG, Circle, Ellipse, SimpleLine

from jiggen.readback.pdf import read_pdf
from jiggen.sheets.model import Page
from jiggen.verify import Target

SCALE = 1200.0 / 72.0  # pixels to the point
PX = 1200.0 / 25.4  # pixels to the mm
PAPERS = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}  # ANSI/ASME Y14.1 size A, 8.5 x 11 in; ISO 216
CASES = [("smallest", "letter"), ("smallest", "a4"), ("ramp", "a4"), ("corner-45-bisect", "letter")]
FURNITURE = 12.7  # the margin of these jobs: 1/2 in
Ink = NDArray[np.float64]


class Raster:
    """One page of a PDF as pdfium draws it, looked at through small windows."""

    def __init__(self, page: pdfium.PdfPage) -> None:
        self.page = page
        self.width, self.height = (side * 25.4 / 72.0 for side in page.get_size())
        self.high = ceil(page.get_height() * SCALE)
        self.wide = ceil(page.get_width() * SCALE)

    def window(self, left: float, bottom: float, right: float, top: float) -> tuple[Ink, float, float]:
        """Ink from 0 to 1, rows from the top, and the mm of its first column and row (y down from the page's top)."""
        x0, x1 = int(np.floor(left * PX)), int(np.ceil(right * PX))
        y0, y1 = int(np.floor((self.height - top) * PX)), int(np.ceil((self.height - bottom) * PX))
        cut = [x0, self.high - y1, self.wide - x1, y0]
        left, bottom, right, top = ((side - 0.5) / SCALE for side in cut)  # rounded up by pdfium's wrapper
        grey = self.page.render(scale=SCALE, crop=(left, bottom, right, top), grayscale=True).to_numpy()
        assert grey.shape[:2] == (y1 - y0, x1 - x0)
        return 1.0 - grey.reshape(y1 - y0, x1 - x0) / 255.0, x0 / PX, y0 / PX

    @property
    def scale(self) -> tuple[float, float]:
        """True pixels to the mm, across and along: pdfium stretches a page to whole pixels."""
        return self.wide / self.width, self.high / self.height


@cache
def document(job: str, paper: str) -> pdfium.PdfDocument:
    return pdfium.PdfDocument(packet(job, paper).files["packet.pdf"])


@cache
def raster(job: str, paper: str, page: int) -> Raster:
    return Raster(document(job, paper)[page])


def front_pages(job: str, paper: str) -> int:
    """Number of pages before the first sheet: its place in the packet's outline."""
    first = packet(job, paper).survey.samples[0]
    title = f"{first.group.id} {first.sheet.name}"
    (index,) = [b.get_dest().get_index() for b in document(job, paper).get_toc() if b.get_title() == title]
    return int(index)


def sheet_pages(job: str, paper: str) -> Iterator[tuple[int, Page, dict[str, tuple[float, float]], tuple[Target, ...]]]:
    """Index in the packet, page, seats and targets of each page that shows a sheet."""
    found = packet(job, paper).survey
    index = front_pages(job, paper)
    for drawn in (*found.samples, *found.sheets):
        for page in drawn.tiled.pages:
            yield index, page, {face: (x, y) for face, x, y in drawn.sheet.seats}, drawn.targets
            index += 1


def ring(view: Raster, x: float, y: float, rx: float, ry: float, turn: float) -> tuple[float, float, float]:
    """How far the drawn ellipse lies from the wanted one: right, up, and larger; mm.

    Along rays that miss the cross, the middle of the ink within 0.32 mm of the wanted rim; the best move
    and growth in the sense of least squares.
    """
    reach = rx + 0.6
    ink, left, top = view.window(x - reach, y - reach, x + reach, y + reach)
    sx, sy = view.scale
    steps = np.arange(-0.32, 0.3201, 0.01)
    rows, offs = [], []
    for degree in range(0, 360, 6):
        if min(degree % 90, 90 - degree % 90) < 24:
            continue
        t = radians(degree)
        local = t - turn
        rim = rx * ry / hypot(ry * cos(local), rx * sin(local))
        px = (x + (rim + steps) * cos(t)) * sx - left * PX - 0.5
        py = (view.height - y - (rim + steps) * sin(t)) * sy - top * PX - 0.5
        i, j = np.floor(py).astype(int), np.floor(px).astype(int)
        fi, fj = py - i, px - j
        dark = (
            ink[i, j] * (1 - fi) * (1 - fj)
            + ink[i, j + 1] * (1 - fi) * fj
            + ink[i + 1, j] * fi * (1 - fj)
            + ink[i + 1, j + 1] * fi * fj
        )
        assert dark.sum() > 10.0, "no rim on a ray"
        rows.append((cos(t), sin(t), 1.0))
        offs.append(float((dark * steps).sum() / dark.sum()))
    (dx, dy, grown), *_ = np.linalg.lstsq(np.array(rows), np.array(offs), rcond=None)
    return float(dx), float(dy), float(grown)


@pytest.mark.parametrize(("job", "paper"), CASES)
def test_marks_in_the_raster(job: str, paper: str) -> None:
    """Every mark of the packet where it lies whole on a page, at 1200 dpi within 0.05 mm of its plan."""
    seen: set[tuple[str, str]] = set()
    wanted: set[tuple[str, str]] = set()
    for index, page, seats, targets in sheet_pages(job, paper):
        left, bottom, right, top = page.window
        wanted |= {(page.sheet, target.id) for target in targets}
        for target in targets:
            x = target.u + seats[target.face][0] + page.shift[0]
            y = target.v + seats[target.face][1] + page.shift[1]
            reach = target.rx + 0.7
            if not (left + reach < x < right - reach and bottom + reach < y < top - reach):
                continue
            dx, dy, grown = ring(raster(job, paper, index), x, y, target.rx, target.ry, target.angle)
            assert hypot(dx, dy) < 0.05, (target.id, index, dx, dy)
            assert abs(grown) < 0.05, (target.id, index, grown)
            seen.add((page.sheet, target.id))
    assert seen == wanted
    assert len(seen) > 15


def test_ring_sees_a_shift() -> None:
    """The measure itself: asked for 0.2 mm beside the true place it says so."""
    for index, page, seats, targets in sheet_pages("smallest", "letter"):
        left, bottom, right, top = page.window
        if page.sheet != "S1":
            continue
        target = targets[0]
        x = target.u + seats[target.face][0] + page.shift[0]
        y = target.v + seats[target.face][1] + page.shift[1]
        if left + 5.0 < x < right - 5.0 and bottom + 5.0 < y < top - 5.0:
            view = raster("smallest", "letter", index)
            break
    else:
        pytest.fail("the first mark lies whole on no page")
    assert ring(view, x + 0.2, y, target.rx, target.ry, 0.0)[0] == pytest.approx(-0.2, abs=0.03)
    assert ring(view, x, y - 0.2, target.rx, target.ry, 0.0)[1] == pytest.approx(0.2, abs=0.03)
    assert ring(view, x, y, target.rx - 0.1, target.ry - 0.1, 0.0)[2] == pytest.approx(0.1, abs=0.02)


def lines_across(profile: NDArray[np.float64], widest: float = 0.4) -> list[float]:
    """Middles, in pixels, of the runs of ink in a profile that are no wider than ``widest`` mm."""
    dark = profile > 0.15
    edges = np.flatnonzero(np.diff(np.concatenate(([False], dark, [False])).astype(int)))
    found = []
    for start, end in zip(edges[0::2], edges[1::2], strict=True):
        if (end - start) / PX <= widest:
            part = slice(max(start - 1, 0), end + 1)
            found.append(
                float((profile[part] * (np.arange(*part.indices(len(profile))) + 0.5)).sum() / profile[part].sum())
            )
    return found


def ticks(view: Raster, box: tuple[float, float, float, float], upright: bool) -> list[float]:
    """Where the ticks of a ruler cross a thin strip, mm from the first one on."""
    ink, _, _ = view.window(*box)
    profile = ink.mean(axis=1)[::-1] if upright else ink.mean(axis=0)
    found = lines_across(profile)
    scale = view.scale[1 if upright else 0]
    return [(at - found[0]) / scale for at in found]


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("upright", [True, False])
def test_page_rulers(paper: str, upright: bool) -> None:
    """On every page of a sheet 0 to 100 is 100 mm, 0 to 4 is 4 in, and each tick between lies right."""
    wide, high = PAPERS[paper]
    count = 0
    for index, _, _, _ in sheet_pages("smallest", paper):
        view = raster("smallest", paper, index)
        assert (view.width, view.height) == pytest.approx((wide, high), abs=0.001)
        if upright:
            # 6.2 mm in from the margin, ticks toward the paper's edge: the strip 0.3 to 0.8 mm outside
            near = FURNITURE + 6.2
            millimetres = (near - 0.8, FURNITURE + 18.0, near - 0.3, high - FURNITURE)
            inches = (wide - near + 0.3, FURNITURE + 18.0, wide - near + 0.8, high - FURNITURE)
        else:
            # one edge for both, 16 mm over the margin: millimetres up, inches down
            edge = FURNITURE + 12.0 + 4.0
            millimetres = (FURNITURE, edge + 0.3, wide - FURNITURE, edge + 0.8)
            inches = (FURNITURE, edge - 0.8, wide - FURNITURE, edge - 0.3)
        for box, pitch, last in ((millimetres, 1.0, 100), (inches, 25.4 / 16.0, 64)):
            found = ticks(view, box, upright)
            assert len(found) > last, (index, box)
            assert found[last] == pytest.approx(last * pitch, abs=0.02)
            assert found == pytest.approx([i * pitch for i in range(len(found))], abs=0.02)
        count += 1
    assert count == len(document("smallest", paper)) - front_pages("smallest", paper)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_hundred_is_written_at_the_hundredth_tick(paper: str) -> None:
    """The word 100 of the left ruler stands at the tick 100 mm from the first, as pdfium reads the words."""
    for index, _, _, _ in sheet_pages("smallest", paper):
        text = document("smallest", paper)[index].get_textpage()
        places: dict[str, float] = {}
        for word in ("50", "100", "150"):
            finder = text.search(word, match_whole_word=True)
            while (hit := finder.get_next()) is not None:
                _, bottom, right, top = (side * 25.4 / 72.0 for side in text.get_charbox(hit[0]))
                if right < FURNITURE + 4.0 and top - bottom < 8.0:
                    places[word] = bottom
        assert places["100"] - places["50"] == pytest.approx(50.0, abs=1.2), index
        assert places["150"] - places["100"] == pytest.approx(50.0, abs=0.5), index


@pytest.mark.parametrize(("job", "paper"), [("smallest", "letter"), ("smallest", "a4"), ("ramp", "a4")])
def test_check_squares(job: str, paper: str) -> None:
    """The square of 4 in and the one of 100 mm lie whole on one page of every sheet, true both ways."""
    sheets: dict[str, int] = {}
    for index, page, _, _ in sheet_pages(job, paper):
        text = document(job, paper)[index].get_textpage()
        finder = text.search("outer square 4 in")
        hit = finder.get_next()
        sheets.setdefault(page.sheet, 0)
        if hit is None:
            continue
        left, bottom, _, _ = (side * 25.4 / 72.0 for side in text.get_charbox(hit[0]))
        view = raster(job, paper, index)
        # the words stand at the squares' lower left corner: 1.5 mm inside both edges
        across, _, _ = view.window(left - 3.0, bottom + 50.0, left + 104.0, bottom + 50.6)
        along, _, _ = view.window(left + 86.0, bottom - 3.0, left + 86.6, bottom + 104.0)
        level = edges_of(across.mean(axis=0), view.scale[0])
        upright = edges_of(along.mean(axis=1)[::-1], view.scale[1])
        for found in (level, upright):
            assert any(abs(size - 101.6) < 0.02 for size in found), (index, found)
            assert any(abs(size - 100.0) < 0.02 for size in found), (index, found)
        sheets[page.sheet] += 1
    bare = {d.group.id for d in packet(job, paper).survey.samples if d.group.kind in ("fitting", "pole")}
    served = {sheet: count for sheet, count in sheets.items() if sheet not in bare}
    assert "S1" in served
    assert set(served.values()) == {1}


def edges_of(profile: NDArray[np.float64], scale: float) -> list[float]:
    """Distances of all later lines from the first one, mm."""
    found = lines_across(profile)
    return [(at - found[0]) / scale for at in found[1:]]


def test_scale_page_rulers() -> None:
    """The long rulers of the scale page: 170 mm across and 230 mm along on letter, as far as it goes."""
    view = raster("smallest", "letter", front_pages("smallest", "letter") - 1)  # the last page before the sheets
    # lower left corner of the rulers: margin 12.7 + 9 across; margin 12.7, foot 12, 8 along
    x, y = 12.7 + 9.0, 12.7 + 12.0 + 8.0
    level = ticks(view, (x - 0.5, y + 0.3, 205.0, y + 0.8), False)
    upright = ticks(view, (x + 0.3, y - 0.5, x + 0.8, 268.0), True)
    for found, last in ((level, 170), (upright, 200)):
        assert found[: last + 1] == pytest.approx([float(i) for i in range(last + 1)], abs=0.02)


Spot = tuple[float, float, float, float, float]


def svg_shapes(data: bytes) -> tuple[dict[str, tuple[str, Spot]], dict[tuple[str, str], SimpleLine]]:
    """Marks of an SVG as svgelements sees them: face, and x, y (down), half axes, turn of the first, mm; and its
    lines by what they are and of which face."""
    root = SVG.parse(BytesIO(data), ppi=25.4, reify=True)
    marks = {}
    lines = {}
    for element in root.elements():
        if isinstance(element, Circle | Ellipse) and "data-mark" in element.values:
            assert element.values["data-mark"] not in marks
            x, y = element.implicit_center
            rx, ry = float(element.implicit_rx), float(element.implicit_ry)
            spot = (float(x), float(y), rx, ry, float(element.rotation or 0.0))
            marks[element.values["data-mark"]] = (element.values["data-face"], spot)
        elif isinstance(element, SimpleLine) and "data-line" in element.values:
            lines[element.values["data-line"], element.values["data-face"]] = element
    return marks, lines


@pytest.mark.parametrize("job", ["smallest", "corner-45-bisect", "ramp", "stair-up"])
def test_marks_in_the_svg(job: str) -> None:
    """By plan.json alone: u from the face's centre line, the drop below the datum line at the mark's own x."""
    plan = plan_json(job)
    checked = 0
    for sheet in plan["sheets"]:
        assert sheet["datum"] == "underside"
        marks, lines = svg_shapes(packet(job).files[f"sheets/{sheet['id']}.svg"])
        faces = {face for what, face in lines if what == "centre"}
        assert sheet["faces"][0] in faces
        wanted = {
            mark["id"]: mark
            for post in plan["posts"]
            for mark in post["marks"]
            if f"{post['id']}/{mark['face']}" in faces and mark["purpose"] != "bracket"
        }
        assert set(marks) == set(wanted)
        for name, (face, spot) in marks.items():
            assert face == f"{name.rsplit('/', 1)[0]}"
            lies_as_planned(wanted[name], spot, lines["centre", face], lines["datum", face])
            checked += 1
    assert checked >= 16


def lies_as_planned(mark: dict[str, Any], spot: Spot, centre: SimpleLine, datum: SimpleLine) -> None:
    x, y, rx, ry, turn = spot
    assert centre.x1 == pytest.approx(centre.x2)
    climb = (datum.y2 - datum.y1) / (datum.x2 - datum.x1)
    assert x - centre.x1 == pytest.approx(mark["u_mm"], abs=0.01), mark["id"]
    assert y - (datum.y1 + climb * (x - datum.x1)) == pytest.approx(mark["drop_mm"], abs=0.01), mark["id"]
    across, up, into = mark["axis"]
    # a bore that slants by t out of the face's normal leaves an oval d long over cos t
    half = mark["diameter_mm"] / 2
    assert sorted((rx, ry)) == pytest.approx([half, half / into], abs=0.002), mark["id"]
    if into < 1.0 - 1e-3:
        long = turn + (0.0 if rx > ry else pi / 2)
        off = (long - atan2(-up, across)) % pi
        assert min(off, pi - off) < radians(0.5), mark["id"]


def cairo_pdf(data: bytes) -> bytes:
    """The SVG as cairo's PDF. Left alone cairo draws a small circle as two Bezier pieces, which are no circle
    to 2 % of its radius; a finer tolerance makes it take enough of them."""
    try:
        from cairosvg.parser import Tree
        from cairosvg.surface import PDFSurface
    except OSError:
        pytest.skip("libcairo is not on this machine")

    class Fine(PDFSurface):  # type: ignore[misc]
        def draw(self, node: Any) -> None:
            self.context.set_tolerance(0.0005)
            super().draw(node)

    out = BytesIO()
    Fine(Tree(bytestring=data), out, 96).finish()
    return out.getvalue()


@pytest.mark.parametrize(("job", "sheet"), [("smallest", "S1"), ("ramp", "S2"), ("corner-45-bisect", "S3")])
def test_svg_through_cairo_agrees_with_our_pdf(job: str, sheet: str) -> None:
    """Centres within 0.03 mm of our PDF's, taken back to the sheet by each page's shift.

    Cairo draws a circle with its own Bezier pieces and in points to three digits: the radius is told apart.
    """
    files = packet(job).files
    through = read_pdf(cairo_pdf(files[f"sheets/{sheet}.svg"]))
    ours = read_pdf(files[f"sheets/{sheet}.pdf"])
    placed = json.loads(ours.attachments["marks.json"])["pages"]
    here = [
        (c.x - placed[c.page]["shift"][0], c.y - placed[c.page]["shift"][1], c.rx, c.data["mark"]) for c in ours.circles
    ]
    there = [(c.x, c.y, c.rx) for c in through.circles]
    assert len(through.pages) == 1
    marks = {name for *_, name in here}
    assert len(there) == len(marks) >= 8
    for x, y, r, name in here:
        near = min(there, key=lambda c: hypot(c[0] - x, c[1] - y))
        assert hypot(near[0] - x, near[1] - y) < 0.03, name
        assert near[2] == pytest.approx(r, abs=0.03), name
