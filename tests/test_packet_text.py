"""The words of every page, as pypdf and poppler extract them: posts, marks and cuts stand on the pages that should have them."""

from __future__ import annotations

import csv
import json
import re
import shutil
import subprocess
from collections.abc import Callable
from functools import cache
from io import BytesIO, StringIO
from typing import Any
from xml.etree import ElementTree

import pytest
from packets import packet, plan_json
from pypdf import PdfReader

from jiggen.readback.pdf import read_pdf

JOBS = ("example", "stair-up", "corner-45-bisect")
POPPLER = shutil.which("pdftotext") is not None
NO_POPPLER = "poppler's pdftotext is not on this machine (Debian: apt install poppler-utils)"


def packed(job: str) -> bytes:
    return packet(job).files["packet.pdf"]


@cache
def by_pypdf(job: str) -> tuple[str, ...]:
    return tuple(page.extract_text() for page in PdfReader(BytesIO(packed(job))).pages)


@cache
def by_poppler(job: str) -> tuple[str, ...]:
    """In the order of the content: laid out as on the page, poppler runs single figures with wide gaps together."""
    done = subprocess.run(["pdftotext", "-raw", "-", "-"], input=packed(job), capture_output=True, check=True)
    assert not done.stderr
    return tuple(done.stdout.decode().split("\f")[:-1])


READERS = [
    pytest.param(by_pypdf, id="pypdf"),
    pytest.param(by_poppler, id="poppler", marks=pytest.mark.skipif(not POPPLER, reason=NO_POPPLER)),
]
Reader = Callable[[str], tuple[str, ...]]


@cache
def labels(job: str) -> tuple[str, ...]:
    return tuple(PdfReader(BytesIO(packed(job))).page_labels)


def part(job: str, text: tuple[str, ...], name: str) -> str:
    """The words of all pages whose label is ``name`` or ``name`` with a number, spaces made single."""
    chosen = [words for label, words in zip(labels(job), text, strict=True) if re.fullmatch(rf"{name}( \d+)?", label)]
    assert chosen, name
    return "\n".join(re.sub(r"[ \t]+", " ", words) for words in chosen)


def lines(job: str, text: tuple[str, ...], name: str) -> list[str]:
    return part(job, text, name).splitlines()


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize("job", JOBS)
def test_every_page_says_whose_it_is(job: str, read: Reader) -> None:
    """The job's name and the fingerprint, its own name, and two words on the squares for the scan."""
    survey = packet(job).survey
    text = read(job)
    assert len(text) == len(labels(job))
    for label, words in zip(labels(job), text, strict=True):
        plain = " ".join(words.split())
        assert survey.plan.fingerprint in plain, label
        assert survey.plan.job.name in plain, label
        assert "for scan check" in plain, label
        if numbered := re.fullmatch(r"([A-Z]\d+)-(\d+)", label):
            sheet, number = numbered.groups()
            assert f"page {number} of" in plain and re.search(rf"\b{sheet}\b", plain), label


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize("job", JOBS)
def test_every_post_is_where_it_should_be(job: str, read: Reader) -> None:
    """On the plan view, the elevations and in the schedule of posts; there with each of its sheets."""
    text, plan = read(job), plan_json(job)
    for name in ("plan view", "elevations", "posts"):
        words = set(re.split(r"[\s:,]+", part(job, text, name)))
        for post in plan["posts"]:
            assert post["id"] in words or post["role"] == "spacer", (name, post["id"])
    told = lines(job, text, "posts")
    for post in plan["posts"]:
        begin = next(i for i, line in enumerate(told) if re.match(rf"{re.escape(post['id'])} {post['role']}\b", line))
        row = " ".join(told[begin : begin + 2 * len(post["sheets"]) + 2])
        for sheet in post["sheets"]:
            assert re.search(rf"\b{sheet}\b", row), (post["id"], sheet)


def listed(job: str, text: tuple[str, ...]) -> dict[tuple[str, str], list[float]]:
    """The drill list: of each sheet's marks drop, across and the height over the surface, mm, as they are printed."""
    found: dict[tuple[str, str], list[float]] = {}
    sheet = ""
    for line in lines(job, text, "drill list"):
        if begun := re.match(r"SHEET (S\d+)\b", line):
            sheet = begun[1]
        if row := re.match(r"(\S+) (?:.* )?(-?\d+\.\d) (-?\d+\.\d) (-?\d+\.\d) \S+", line):
            found[sheet, row[1]] = [float(value) for value in row.groups()[1:]]
    return found


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize("job", JOBS)
def test_every_mark_is_in_the_drill_list(job: str, read: Reader) -> None:
    """Under its sheet, with drop, distance across and height over the surface underfoot to 0.1 mm, as plan.json has them."""
    text, plan = read(job), plan_json(job)
    found = listed(job, text)
    marks = {f"{post['id']}/{mark['face']}": [] for post in plan["posts"] for mark in post["marks"]}
    for post in plan["posts"]:
        for mark in post["marks"]:
            marks[f"{post['id']}/{mark['face']}"].append(mark)
    count = 0
    for sheet in plan["sheets"]:
        shown = {c.data["mark"] for c in read_pdf(packet(job).files[f"sheets/{sheet['id']}.pdf"]).circles}
        for mark in (mark for face in sheet["faces"] for mark in marks.get(face, ()) if mark["id"] in shown):
            name = mark["id"].rsplit("/", 1)[1]
            wanted = [mark["drop_mm"], mark["u_mm"], mark["above_tread_mm"]]
            if (sheet["id"], name) not in found:
                raise AssertionError(f"{mark['id']} of {sheet['id']} is not in the drill list")
            if mark["face"] == sheet["faces"][0].split("/", 1)[1] and len(sheet["faces"]) == 1:
                assert found[sheet["id"], name] == pytest.approx(wanted, abs=0.0501), mark["id"]
            count += 1
    assert count >= 16


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize("job", JOBS)
def test_every_face_has_its_marks_by_post(job: str, read: Reader) -> None:
    """The table by post: behind post, face and sheet all the marks of one drill, each by name."""
    text, plan = read(job), plan_json(job)
    told = part(job, text, "drill list")
    told = " ".join(told[told.index("BY POST") : told.index("SHEET S1")].split())
    for post in plan["posts"]:
        for mark in post["marks"]:
            name = mark["id"].rsplit("/", 1)[1]
            assert re.search(rf"{re.escape(mark['face'])} .*?(?<!\S){re.escape(name)}(?!\S)", told), mark["id"]


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize("job", JOBS)
def test_every_cut_is_on_the_page_of_cuts(job: str, read: Reader) -> None:
    """Each row of cut-list.csv: label and length, tape and mm, on one line of the page."""
    told = lines(job, read(job), "cable cuts and spools")
    rows = list(csv.DictReader(StringIO(packet(job).files["cut-list.csv"].decode("utf-8-sig"))))
    cuts = [row for row in rows if row["cable"]]
    assert len(cuts) == len(plan_json(job)["takeoff"]["cables"]) > 0
    for row in cuts:
        wanted = rf"{re.escape(row['label'])} .* {re.escape(row['cut to'])} \({re.escape(row['cut to mm'])} mm\)"
        assert any(re.match(wanted, line) for line in told), row


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize("job", JOBS)
def test_every_mark_is_written_on_its_page(job: str, read: Reader) -> None:
    """On the page of the sheet that shows its circle stand its name and its drop in mm; the drop, which stands under the
    name, beyond the join where the circle is within 20 mm of it."""
    text = read(job)
    drops = drops_of(job)
    count = 0
    for circle in read_pdf(packed(job)).circles:
        mark = circle.data["mark"]
        if mark in drops and "clipped" not in circle.data:
            plain = " ".join(text[circle.page].split())
            name = mark.rsplit("/", 1)[1]
            assert re.search(rf"(?<!\S){re.escape(name)}(?!\S)", plain), (labels(job)[circle.page], mark)
            if circle.y - lower_edge(job, labels(job)[circle.page]) < 20.0:
                plain += " ".join(text[circle.page + 1].split())
            assert f"{drops[mark]:.1f} mm" in plain, (labels(job)[circle.page], mark)
            count += 1
    assert count >= 16


def lower_edge(job: str, label: str) -> float:
    """Where the part of a sheet that a page shows ends, mm from the lower edge of the paper."""
    (edge,) = [low for name, low in lower_edges(job) if name == label]
    return edge


@cache
def lower_edges(job: str) -> tuple[tuple[str, float], ...]:
    survey = packet(job).survey
    return tuple((page.label, page.window[1]) for d in (*survey.sheets, *survey.samples) for page in d.tiled.pages)


@cache
def drops_of(job: str) -> dict[str, float]:
    """Drop of each cable or screw mark of plan.json, without ties of rounding; those of sheets seated on the underside."""
    plan = plan_json(job)
    seated = {face for sheet in plan["sheets"] if sheet["datum"] == "underside" for face in sheet["faces"]}
    found: dict[str, float] = {}
    for post in plan["posts"]:
        for mark in post["marks"]:
            tie = abs(mark["drop_mm"] * 10.0 % 1.0 - 0.5) < 0.01
            if mark["purpose"] in ("cable", "screw") and f"{post['id']}/{mark['face']}" in seated and not tie:
                found[mark["id"]] = mark["drop_mm"]
    return found


@pytest.mark.skipif(not POPPLER, reason=NO_POPPLER)
@pytest.mark.parametrize("job", JOBS)
def test_a_marks_name_stands_beside_its_circle(job: str) -> None:
    """By poppler's word boxes: a word that is its name, at the circle's height within 6 mm, within 90 mm of it."""
    words = boxes(job)
    drops = drops_of(job)
    count = 0
    for circle in read_pdf(packed(job)).circles:
        mark = circle.data["mark"]
        if mark not in drops or "clipped" in circle.data:
            continue
        name = mark.rsplit("/", 1)[1]
        near = [
            1 for word, x, y in words[circle.page] if word == name and abs(y - circle.y) < 6 and abs(x - circle.x) < 90
        ]
        assert near, (labels(job)[circle.page], mark)
        count += 1
    assert count >= 16


def boxes(job: str) -> list[list[tuple[str, float, float]]]:
    """Each page's words with their middles, mm from the lower left."""
    done = subprocess.run(["pdftotext", "-bbox", "-", "-"], input=packed(job), capture_output=True, check=True)
    root = ElementTree.fromstring(done.stdout)
    space = {"h": "http://www.w3.org/1999/xhtml"}
    pages = []
    for page in root.iterfind(".//h:page", space):
        high = float(page.get("height", "0"))
        found = []
        for word in page.iterfind("h:word", space):
            x1, x2, y1, y2 = (float(word.get(key, "nan")) for key in ("xMin", "xMax", "yMin", "yMax"))
            found.append((word.text or "", (x1 + x2) / 2.0 / 72.0 * 25.4, (high - (y1 + y2) / 2.0) / 72.0 * 25.4))
        pages.append(found)
    return pages


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize("job", JOBS)
def test_contents_tell_the_true_pages(job: str, read: Reader) -> None:
    """Each name of the outline stands in the contents with the page that the outline leads to."""
    told = lines(job, read(job), "contents")
    reader = PdfReader(BytesIO(packed(job)))
    count = 0
    for item in reader.outline:
        title, at = item.title, reader.get_destination_page_number(item) + 1  # type: ignore[union-attr,arg-type]
        wanted = " ".join(str(title).split())
        found = [line for line in told if " ".join(line.split()) == f"{wanted} {at}"]
        if wanted not in ("Cover", "Contents"):
            assert len(found) == 1, (title, at)
            count += 1
    assert count > 8


def table(data: bytes) -> list[list[str]]:
    return list(csv.reader(StringIO(data.decode("utf-8-sig"), newline=""), strict=True))


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("name", ["drill-list.csv", "cut-list.csv", "hardware.csv"])
def test_csv_opens_right_in_a_spreadsheet(job: str, name: str) -> None:
    """UTF-8 with its mark, so that an old spreadsheet knows it; lines end CR LF (RFC 4180); rows of equal length; no cell is a formula."""
    data = packet(job).files[name]
    assert data.startswith(b"\xef\xbb\xbf") and data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    rows = table(data)
    assert len(rows) > 1 and {len(row) for row in rows} == {len(rows[0])}
    for row in rows:
        for cell in row:
            assert not re.match(r"[=@\t\r]|[+-](?![0-9.])", cell), cell


def test_csv_of_a_job_that_writes_formulas() -> None:
    """Names are free text: one that begins as a formula does is not one in the file."""
    from packets import JOBS as FOLDER

    from jiggen.build import build
    from jiggen.job.read import read_job

    text = (FOLDER / "smallest.toml").read_text(encoding="utf-8")
    posts = re.findall(r'posts\s*=\s*\[\s*"([^"]+)"', text)
    assert posts
    evil = "=HYPERLINK(1)"
    made = build(read_job(text.replace(f'"{posts[0]}"', f'"{evil}"'), "evil.toml"))
    cells = [cell for row in table(made.files["drill-list.csv"]) for cell in row]
    assert any("HYPERLINK" in cell for cell in cells)
    assert not any(re.match(r"[=@\t\r]|[+-](?![0-9.])", cell) for cell in cells)


def marks_json(job: str) -> Any:
    reader = PdfReader(BytesIO(packed(job)))
    return json.loads(reader.attachments["marks.json"][0])


@pytest.mark.parametrize("job", JOBS)
def test_every_sheet_of_the_plan_has_its_pages(job: str) -> None:
    """plan.json's count of pages of each sheet is that of the packet, and marks.json names the same pages."""
    placed = marks_json(job)["pages"]
    assert len(placed) == len(labels(job))
    for sheet in plan_json(job)["sheets"]:
        own = [label for label in labels(job) if re.fullmatch(rf"{sheet['id']}(-\d+)?", label)]
        assert len(own) == sheet["pages"] == sum(page is not None and page["sheet"] == sheet["id"] for page in placed)


def test_the_tests_find_what_is_left_out() -> None:
    """The reader of the drill list on a page with a row less finds a mark less."""
    text = by_pypdf("stair-up")
    whole = listed("stair-up", text)
    (row,) = [line for words in text for line in words.splitlines() if re.match(r"8b 28 11/16 .* #29", line)]
    cut = tuple(words.replace(row, "") for words in text)
    assert set(whole) - set(listed("stair-up", cut)) == {("S1", "8b")}
