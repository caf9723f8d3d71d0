"""A packet is the same bytes every time, its pages make the sheet again, and its PDFs carry what they should."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from math import hypot
from pathlib import Path
from typing import Any, BinaryIO

import pypdfium2 as pdfium
import pytest
from packets import JOBS, SOUND, job, packet, surveyed
from pypdf import PdfReader
from pypdf.generic import ArrayObject

import jiggen.render.pdf
import jiggen.render.svg
from jiggen.build import Options, ReadBackError, build, survey, write
from jiggen.drawing.scene import Drawing, Ink, Oval, Text
from jiggen.drawing.scene import Path as Way
from jiggen.problems import JobError
from jiggen.readback.pdf import read_pdf
from jiggen.readback.svg import read_svg
from jiggen.sheets.extent import moved
from jiggen.sheets.model import Page

PUT_TOGETHER = ("smallest", "ramp", "corner-45-bisect", "wide-post", "small-paper", "deck-datum", "height-line")


def reader(name: str, file: str = "packet.pdf") -> PdfReader:
    return PdfReader(BytesIO(packet(name).files[file]))


@pytest.mark.parametrize("name", SOUND)
def test_every_sound_job_makes_a_whole_packet(name: str) -> None:
    made = packet(name)
    sheets = [drawn.group.id for drawn in made.survey.sheets]
    wanted = {"packet.pdf", "drill-list.csv", "cut-list.csv", "hardware.csv", "plan.json", "job.toml"}
    assert wanted <= set(made.files)
    assert {f"sheets/{s}.svg" for s in sheets} | {f"sheets/{s}.pdf" for s in sheets} <= set(made.files)
    assert all(made.files.values())
    assert made.survey.stops == ()
    # each mark of each sheet: once in the SVG, at least once in the sheet's PDF and in the packet
    marks = sum(len(drawn.targets) for drawn in made.survey.sheets)
    assert marks >= 8
    assert len(made.deviations) >= 3 * marks
    # a slanting guide hole of a jig is a polygon: its width is read to 0.002 mm
    most = 0.003 if made.survey.jigs else 0.001
    assert all(d.off is not None and d.off < most for d in made.deviations)
    jigs = {name for name in made.files if name.startswith("jigs/")}
    assert bool(jigs) == bool(made.survey.jigs) == (made.survey.plan.job.jig is not None)
    assert {f"jigs/{one.jig.id}.{kind}" for one in made.survey.jigs for kind in ("svg", "dxf")} <= jigs


@pytest.mark.parametrize("name", PUT_TOGETHER)
def test_pages_put_together_are_the_sheet(name: str) -> None:
    """Every hole of the SVG is on the pages once, where the page's shift puts it."""
    for drawn in surveyed(name).sheets:
        sheet = drawn.group.id
        svg = read_svg(packet(name).files[f"sheets/{sheet}.svg"])
        pdf = read_pdf(packet(name).files[f"sheets/{sheet}.pdf"])
        placed = json.loads(pdf.attachments["marks.json"])["pages"]
        height = svg.pages[0].height
        whole = {c.data["mark"]: (c.x, height - c.y) for c in svg.circles}
        found = Counter(c.data["mark"] for c in pdf.circles)
        assert found == Counter(dict.fromkeys(whole, 1))
        assert len(whole) >= 8
        for circle in pdf.circles:
            dx, dy = placed[circle.page]["shift"]
            x, y = whole[circle.data["mark"]]
            assert hypot(circle.x - dx - x, circle.y - dy - y) < 0.02, circle.data["mark"]


def halves(page: Page) -> Iterator[tuple[str, tuple[float, float], tuple[float, float]]]:
    """Each half join mark of a page: its name, the middle of its base and its tip, sheet coordinates."""
    names = [s.text for s in page.shapes if isinstance(s, Text) and s.ink is Ink.STRONG and s.text[-1:] in "ab"]
    names = [n for n in names if n[:1] == "J" and n[1:-1].isdigit()]
    back = [moved(s, -page.shift[0], -page.shift[1]) for s in page.shapes]
    marks = [s for s in back if isinstance(s, Way) and s.ink is Ink.JOIN and len(s.points) == 3]
    assert len(names) == len(marks)
    for name, mark in zip(names, marks, strict=True):
        a, tip, b = mark.points
        yield name, ((a.x + b.x) / 2.0, (a.y + b.y) / 2.0), (tip.x, tip.y)


@pytest.mark.parametrize("name", PUT_TOGETHER)
def test_join_marks_meet(name: str) -> None:
    """The two halves with one name have one base and tips on both sides of it; no other pages have that name."""
    for drawn in surveyed(name).sheets:
        met: dict[str, list[tuple[Page, tuple[float, float], tuple[float, float]]]] = {}
        for page in drawn.tiled.pages:
            for mark, base, tip in halves(page):
                met.setdefault(mark, []).append((page, base, tip))
        for mark, found in met.items():
            assert len(found) == 2, mark
            (one, base, tip), (two, other, far) = found
            assert (two.column - one.column, two.row - one.row) in ((1, 0), (0, 1)), mark
            assert base == pytest.approx(other, abs=0.02), mark
            middle = ((tip[0] + far[0]) / 2.0, (tip[1] + far[1]) / 2.0)
            assert middle == pytest.approx(base, abs=0.02), mark
            assert hypot(tip[0] - far[0], tip[1] - far[1]) == pytest.approx(6.0, abs=0.02)
        shared = Counter((one.label, two.label) for (one, *_), (two, *_) in met.values())
        for one, two, length in joins(drawn.tiled.pages):
            assert shared[one.label, two.label] == 2 or length < 60.0, (one.label, two.label)


def joins(pages: Sequence[Page]) -> Iterator[tuple[Page, Page, float]]:
    """Neighbouring pages and how long the join between them is at least, mm."""
    at = {(page.column, page.row): page for page in pages}
    for page in pages:
        left, bottom, right, top = page.window
        for beside, length in (((0, 1), right - left), ((1, 0), top - bottom)):
            other = at.get((page.column + beside[0], page.row + beside[1]))
            if other is not None:
                yield page, other, length - 12.0  # a strip of up to 3/8 in lies under the neighbour


def test_join_names_can_be_read_on_both_pages() -> None:
    words = [page.extract_text() for page in reader("smallest", "sheets/S1.pdf").pages]
    for upper, lower in pairwise(words):
        shared = {f"J{n}{half}" for n in range(1, 20) for half in "ab"} & set(upper.split()) & set(lower.split())
        assert {w[-1] for w in shared} == {"a", "b"}


def test_a_shifted_pdf_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A renderer that draws 0.05 mm beside: no packet."""
    true = jiggen.render.pdf.content

    def shifted(page: Page, *rest: Any) -> bytes:
        return true(replace(page, content=tuple(moved(s, 0.05, 0.0) for s in page.content)), *rest)

    monkeypatch.setattr(jiggen.render.pdf, "content", shifted)
    with pytest.raises(ReadBackError) as caught:
        build(job("smallest"))
    assert "0.050 mm" in caught.value.problems[0].found
    assert caught.value.problems[0].where == "1/toward 2/1a"


def test_a_shifted_svg_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    true = jiggen.render.svg.svg

    def shifted(drawing: Drawing, **rest: Any) -> bytes:
        shapes = tuple(moved(s, 0.0, 0.05) if isinstance(s, Oval) else s for s in drawing.shapes)
        return true(replace(drawing, shapes=shapes), **rest)

    monkeypatch.setattr(jiggen.render.svg, "svg", shifted)
    with pytest.raises(ReadBackError) as caught:
        build(job("smallest"))
    assert len(caught.value.problems) == len(packet("smallest").survey.sheets[0].targets)


@pytest.mark.parametrize("datum", ["underside", "height line", "deck"])
def test_a_draft_shows_marks_beyond_its_datum_too(datum: str) -> None:
    """A guard 2.5 m high whose rail was built 2 m lower at post 1: the straight cables climb 2000 / 1205 mm a mm, so that
    at the face, 70 mm from the axis, the first lie over the rail's underside there, and the last far under the walking
    surface. These are stops; a draft has each mark."""
    from jobs_made import job as made_job
    from jobs_made import run

    beam = {"width": 140, "material": "douglas fir"}
    found = made_job(
        run([1205.0]),
        post={"beam": beam},
        guard={"height": 2500},
        as_built={"1": {"underside": 400}},
        sheet={"datum": datum},
    )
    made = build(found, Options(draft=True))
    faces = [face for post in made.survey.plan.posts for face in post.faces]
    over = {mark.id for face in faces for mark in face.marks if mark.v > face.underside[0] + 60.0 or mark.v < -500.0}
    assert len(over) > 10 and any(problem.level == "stop" for problem in made.survey.problems)
    assert over <= {deviation.id for deviation in made.deviations if deviation.off is not None and deviation.off < 0.01}


def test_a_stop_makes_no_packet_but_a_draft() -> None:
    with pytest.raises(JobError) as caught:
        build(job("too-wide"))
    assert any(problem.level == "stop" for problem in caught.value.problems)
    made = build(job("too-wide"), Options(draft=True))
    assert made.survey.stops
    assert b"DRAFT" in made.files["sheets/S1.svg"]


def test_a_large_job_with_a_stop_is_not_drawn_before_it_is_cured(monkeypatch: pytest.MonkeyPatch) -> None:
    small = survey(job("too-wide"))
    monkeypatch.setattr(sys.modules["jiggen.build.survey"], "UNDRAWN", 1)
    large = survey(job("too-wide"))
    assert small.sheets and not large.sheets and not large.jigs and not large.samples
    (note,) = set(large.problems) - set(small.problems)
    assert (note.level, note.where) == ("note", "sheets") and "not drawn" in note.found
    assert {p for p in small.problems if p.level == "stop"} == {p for p in large.problems if p.level == "stop"}
    assert large.text() and large.document  # what is told of it stands without sheets
    assert survey(job("too-wide"), Options(draft=True)).sheets  # a draft is drawn, and so is a sheet by its name
    assert survey(job("too-wide"), Options(only=("S1",))).sheets
    sound = job(SOUND[0])
    assert survey(sound).sheets


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (Options(only=("S99",)), "S99"),
        (Options(posts=("99",)), "99"),
        (Options(paper="a12"), "a12"),
    ],
)
def test_unknown_options(options: Options, words: str) -> None:
    with pytest.raises(JobError, match=words):
        survey(job("smallest"), options)


def test_only_and_posts_choose_sheets() -> None:
    every = [drawn.group for drawn in surveyed("example").sheets]
    assert len(every) > 3
    only = survey(job("example"), Options(only=("S2", "S3")))
    assert [drawn.group.id for drawn in only.sheets] == ["S2", "S3"]
    post = survey(job("example"), Options(posts=("4",)))
    assert [d.group.id for d in post.sheets] == [group.id for group in every if "4" in group.posts]
    assert post.samples == ()


OTHERWISE = """
import hashlib, json, sys
from jiggen.build import build
from jiggen.job.read import read_job
made = build(read_job(open(sys.argv[1], encoding="utf-8").read(), sys.argv[2]))
json.dump({name: hashlib.sha256(data).hexdigest() for name, data in made.files.items()}, sys.stdout)
"""


@pytest.mark.parametrize("name", ["smallest", "corner-45-bisect"])
def test_same_bytes_in_another_process(name: str, tmp_path: Path) -> None:
    """Another hash seed, zone and language change nothing."""
    from hashlib import sha256

    there = {**os.environ, "PYTHONHASHSEED": "4711", "TZ": "Pacific/Chatham", "LANG": "tr_TR.UTF-8", "LC_ALL": "C"}
    told = subprocess.run(
        [sys.executable, "-c", OTHERWISE, str(JOBS / f"{name}.toml"), f"{name}.toml"],
        env=there,
        cwd=tmp_path,
        capture_output=True,
        check=True,
        text=True,
    )
    assert json.loads(told.stdout) == {n: sha256(d).hexdigest() for n, d in packet(name).files.items()}


def test_same_bytes_twice() -> None:
    again = build(job("ramp"))
    assert again.files == packet("ramp").files
    assert list(again.files) == list(packet("ramp").files)


@pytest.mark.parametrize(
    ("name", "size"),
    [("smallest", (215.9, 279.4)), ("ramp", (210.0, 297.0)), ("small-paper", (140.0, 200.0))],
)
def test_page_boxes(name: str, size: tuple[float, float]) -> None:
    """Exactly the paper's: 215.9 mm = 612 pt, 279.4 mm = 792 pt; 210 mm x 72 / 25.4 = 595.27559 pt."""
    for page in reader(name).pages:
        for box in (page.mediabox, page.cropbox):
            assert [float(side) for side in (box.left, box.bottom)] == [0.0, 0.0]
            found = [float(side) * 25.4 / 72.0 for side in (box.right, box.top)]
            assert found == pytest.approx(size, abs=1e-5)
        assert page.rotation == 0


@pytest.mark.parametrize("file", ["packet.pdf", "sheets/S1.pdf"])
def test_printer_is_told_not_to_scale(file: str) -> None:
    wishes = reader("smallest", file).root_object["/ViewerPreferences"].get_object()
    assert wishes["/PrintScaling"] == "/None"
    assert wishes["/Duplex"] == "/Simplex"


def test_outline_and_labels() -> None:
    found = reader("ramp")
    survey_ = packet("ramp").survey
    drawn = (*survey_.samples, *survey_.sheets)
    outline = [(item.title, found.get_destination_page_number(item)) for item in found.outline]  # type: ignore[union-attr,arg-type]
    names = [name for name, _ in outline]
    assert names[:3] == ["Cover", "Contents", "Plan view"]
    assert names.index("Findings") < names.index("Elevations") < names.index("Drill list") < names.index("Inspection")
    assert names.index("Care card") < names.index("Measure-up form") < names.index("Scale page")
    parts = names.index("Scale page") + 1
    index = outline[parts - 1][1] + 1
    wanted, labels = outline[:parts], found.page_labels[:index]
    assert (labels[0], labels[-1]) == ("cover", "scale page")
    assert len(set(labels)) == len(labels)
    for one in drawn:
        wanted.append((f"{one.group.id} {one.sheet.name}", index))
        count = len(one.tiled.pages)
        labels += [f"{one.group.id}-{n + 1}" for n in range(count)] if count > 1 else [one.group.id]
        index += count
    assert outline == wanted
    assert found.page_labels == labels
    assert len(found.pages) == index
    stranger = pdfium.PdfDocument(packet("ramp").files["packet.pdf"])
    assert [stranger.get_page_label(i) for i in range(len(stranger))] == labels


@pytest.mark.parametrize("file", ["packet.pdf", "sheets/S1.pdf"])
def test_attachments_are_the_files(file: str) -> None:
    files = packet("smallest").files
    attached = reader("smallest", file).attachments
    assert attached["job.toml"] == [files["job.toml"]]
    whole = json.loads(files["plan.json"])
    (plan,) = attached["plan.json"]
    if file == "packet.pdf":
        assert plan == files["plan.json"]
    else:  # its own part
        part = json.loads(plan)
        assert part["fingerprint"] == whole["fingerprint"]
        assert [s["id"] for s in part["sheets"]] == ["S1"]
        assert part["posts"] == [post for post in whole["posts"] if "S1" in post["sheets"]] != []
        assert part["runs"] == whole["runs"]
    assert files["job.toml"] == (JOBS / "smallest.toml").read_bytes()
    stranger = pdfium.PdfDocument(files[file])
    names = {
        a.get_name(): bytes(a.get_data())
        for a in (stranger.get_attachment(i) for i in range(stranger.count_attachments()))
    }
    assert names["job.toml"] == files["job.toml"]
    assert names["plan.json"] == plan


def pypdf_words(data: bytes) -> list[list[str]]:
    return [page.extract_text().split() for page in PdfReader(BytesIO(data)).pages]


def pdfium_words(data: bytes) -> list[list[str]]:
    return [page.get_textpage().get_text_range().split() for page in pdfium.PdfDocument(data)]


@pytest.mark.parametrize("words_of", [pypdf_words, pdfium_words])
@pytest.mark.parametrize("name", ["smallest", "corner-45-bisect"])
def test_text_layer_names_marks_on_their_pages(name: str, words_of: Any) -> None:
    """Each mark's number stands on a page on which the mark is, at the start of a word (pypdf may join what stands close)."""
    made = packet(name)
    words = words_of(made.files["packet.pdf"])
    pages: dict[str, set[int]] = {}
    for circle in read_pdf(made.files["packet.pdf"]).circles:
        pages.setdefault(circle.data["mark"], set()).add(circle.page)
    labels = {m.id: m.label for p in made.survey.plan.posts for f in p.faces for m in f.marks}
    served = {t.id for drawn in made.survey.sheets for t in drawn.targets}
    assert len(served) > 10
    for mark in served:
        assert any(word.startswith(labels[mark]) for page in pages[mark] for word in words[page]), mark


@pytest.mark.parametrize("words_of", [pypdf_words, pdfium_words])
def test_text_layer_names_post_and_face_on_the_first_page(words_of: Any) -> None:
    made = packet("corner-45-bisect")
    words = words_of(made.files["packet.pdf"])
    made_of = PdfReader(BytesIO(made.files["packet.pdf"]))
    titles = [(item.title, made_of.get_destination_page_number(item)) for item in made_of.outline]  # type: ignore[union-attr,arg-type]
    (index,) = [page for title, page in titles if title.startswith("S1 ")]
    for drawn in made.survey.sheets:
        first = " ".join(words[index])
        post = drawn.group.posts[0]
        face = drawn.group.faces[0].partition("/")[2].upper()
        assert f"POST {post}" in first or (len(drawn.group.posts) > 1 and f"POSTS {post}" in first), first
        if len(drawn.group.posts) == 1:
            assert face in first
        index += len(drawn.tiled.pages)
    assert index == len(words)


def test_readings_are_found_as_they_are_said() -> None:
    """A stacked fraction is searched as it is read: 2 15/16."""
    from jiggen.units import tape

    made = packet("smallest")
    mark = made.survey.plan.face_by_id["1/toward 2"].marks[0]
    reading = tape(mark.drop, made.survey.plan.job.round_to, "in").text
    assert "/" in reading
    document = pdfium.PdfDocument(made.files["sheets/S1.pdf"])
    assert any(page.get_textpage().search(reading).get_next() is not None for page in document)


def test_no_dates_in_the_pdf() -> None:
    data = packet("smallest").files["packet.pdf"]
    assert b"CreationDate" not in data
    assert b"ModDate" not in data
    assert isinstance(reader("smallest").trailer.get("/ID", ArrayObject()), ArrayObject)


def test_plan_json_has_what_is_promised() -> None:
    plan = surveyed("example").document
    assert {"version", "fingerprint", "name", "runs", "posts", "sheets", "takeoff", "problems"} <= set(plan)
    for mark in (mark for post in plan["posts"] for mark in post["marks"]):
        assert hypot(*mark["axis"]) == pytest.approx(1.0, abs=1e-3)
        assert mark["diameter_mm"] > 1.0
    served = [face for sheet in plan["sheets"] for face in sheet["faces"]]
    assert len(served) == len(set(served))
    marked = {f"{post['id']}/{mark['face']}" for post in plan["posts"] for mark in post["marks"]}
    assert marked <= set(served)


def test_sheets_that_are_not_kept_are_drawn_again_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules["jiggen.build.survey"], "KEPT", 0)
    again = build(job("smallest"))
    assert again.files == packet("smallest").files
    first = again.survey.sheets[0]
    assert first.tiled is not first.tiled
    kept = packet("smallest").survey.sheets[0]
    assert kept.tiled is kept.tiled


def test_files_come_one_after_another() -> None:
    """To a store that lets go of each at once; the packet itself carries none of them."""
    seen: dict[str, bytes] = {}
    pages = BytesIO()

    class Store:
        def put(self, name: str, data: bytes) -> None:
            assert name not in seen
            seen[name] = data

        def begin(self, name: str) -> BinaryIO:
            assert name == "packet.pdf"
            assert not seen  # it is begun first and grows with the sheets
            return pages

    made = write(job("smallest"), Store())
    assert made.files == {}
    assert made.names == ("packet.pdf", *seen)
    assert {"packet.pdf": pages.getvalue(), **seen} == packet("smallest").files
