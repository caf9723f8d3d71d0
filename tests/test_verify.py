"""A mark that was moved, taken away, doubled or made larger is found and named, in SVG and in PDF."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO

import pytest
from packets import packet
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DecodedStreamObject, NameObject

from jiggen.build import measure
from jiggen.problems import Problem

JOB, SHEET = "smallest", "S1"
MARK = "1/toward 2/4a"
OTHER = "1/toward 2/5b"
Change = Callable[[str], str]

SVG_CIRCLE = re.compile(rf'<circle[^>]*data-mark="{re.escape(MARK)}"[^>]*/>')
PDF_CIRCLE = re.compile(rf"/Mark <<[^>]*\({re.escape(MARK)}\)[^>]*>> BDC (.*?) S EMC", re.DOTALL)


def svg() -> str:
    return packet(JOB).files[f"sheets/{SHEET}.svg"].decode()


def svg_with(change: Change) -> bytes:
    """The sheet's SVG with one circle rewritten."""
    text, count = SVG_CIRCLE.subn(lambda found: change(found[0]), svg())
    assert count == 1
    return text.encode()


def attribute(name: str, by: float) -> Change:
    return lambda element: re.sub(
        rf'\b{name}="([^"]+)"', lambda m: f'{name}="{float(m[1]) + by:.4f}"', element, count=1
    )


def pdf_with(change: Callable[[re.Match[str]], str], name: str = f"sheets/{SHEET}.pdf") -> bytes:
    """The sheet's PDF with one circle of its content rewritten."""
    writer = PdfWriter(clone_from=PdfReader(BytesIO(packet(JOB).files[name])))
    changed = 0
    for page in writer.pages:
        contents = page.get_contents()
        assert contents is not None
        text, count = PDF_CIRCLE.subn(change, contents.get_data().decode("ascii"))
        if count:
            stream = DecodedStreamObject()
            stream.set_data(text.encode("ascii"))
            page[NameObject("/Contents")] = writer._add_object(stream)
        changed += count
    assert changed == 1
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def reshaped(x: float = 0.0, y: float = 0.0, radius: float = 0.0) -> Callable[[re.Match[str]], str]:
    """Every point of a circle's path moved, and pushed outward by ``radius`` mm."""

    def change(found: re.Match[str]) -> str:
        words = found[1].split()
        numbers = [float(word) for word in words if not word.isalpha()]
        xs, ys = numbers[0::2], numbers[1::2]
        cx, cy = (max(xs) + min(xs)) / 2.0, (max(ys) + min(ys)) / 2.0
        grow = 1.0 + radius / ((max(xs) - min(xs)) / 2.0)
        place = 0
        for i, word in enumerate(words):
            if not word.isalpha():
                centre, move = ((cx, x), (cy, y))[place % 2]
                words[i] = f"{centre + (float(word) - centre) * grow + move:.4f}"
                place += 1
        return found[0].replace(found[1], " ".join(words))

    return change


def problems(data: bytes) -> list[Problem]:
    return measure(data)[1]


def named(found: list[Problem]) -> list[str]:
    return [problem.where for problem in found]


def test_untouched_files_agree() -> None:
    for name in (f"sheets/{SHEET}.svg", f"sheets/{SHEET}.pdf", "packet.pdf"):
        deviations, wrong, fingerprint = measure(packet(JOB).files[name])
        assert wrong == []
        assert len(deviations) >= 16  # 8 cables, 2 screws each
        assert max(d.off for d in deviations if d.off is not None) < 0.001
        assert fingerprint == packet(JOB).survey.plan.fingerprint
    rewritten = pdf_with(lambda found: found[0])
    assert problems(rewritten) == []


@pytest.mark.parametrize("axis", ["cx", "cy"])
@pytest.mark.parametrize("by", [0.03, -0.03])
def test_moved_in_svg(axis: str, by: float) -> None:
    found = problems(svg_with(attribute(axis, by)))
    assert named(found) == [MARK]
    assert "0.030 mm" in found[0].found


def test_moved_a_little_is_within_what_is_allowed() -> None:
    assert problems(svg_with(attribute("cx", 0.015))) == []
    assert problems(pdf_with(reshaped(x=0.015))) == []


def test_removed_from_svg() -> None:
    found = problems(svg_with(lambda element: ""))
    assert named(found) == [MARK]
    assert "not found" in found[0].found


def test_doubled_in_svg() -> None:
    found = problems(svg_with(lambda element: element * 2))
    assert len(found) == 1
    assert "too many" in found[0].found
    assert MARK in str(found[0])


def test_one_where_no_mark_is_in_svg() -> None:
    stray = '<circle cx="30" cy="500" r="2" />'
    found = problems(svg_with(lambda element: element + stray))
    assert len(found) == 1
    assert "too many" in found[0].found
    assert SHEET in str(found[0])


@pytest.mark.parametrize("by", [0.03, -0.03])
def test_radius_off_in_svg(by: float) -> None:
    assert named(problems(svg_with(attribute("r", by)))) == [MARK]


def test_names_exchanged_in_svg() -> None:
    """Two circles whose names were exchanged stand in the right places and are still wrong."""
    text = svg().replace(f'data-mark="{MARK}"', 'data-mark="?"')
    text = text.replace(f'data-mark="{OTHER}"', f'data-mark="{MARK}"').replace('data-mark="?"', f'data-mark="{OTHER}"')
    assert {MARK, OTHER} <= set(named(problems(text.encode())))


def test_datum_moved_in_svg() -> None:
    """The datum is read from the file: all marks are off where it lies wrong."""
    line = re.compile(r'<line[^>]*data-line="datum"[^>]*/>')
    moved = line.sub(lambda m: attribute("y1", 0.05)(attribute("y2", 0.05)(m[0])), svg())
    assert len(problems(moved.encode())) == len(measure(svg().encode())[0])


def test_no_datum_in_svg() -> None:
    bare = re.sub(r'<line[^>]*data-line="datum"[^>]*/>', "", svg())
    found = problems(bare.encode())
    assert len(found) == 1
    assert "datum" in found[0].found


@pytest.mark.parametrize("name", [f"sheets/{SHEET}.pdf", "packet.pdf"])
@pytest.mark.parametrize("move", [(0.03, 0.0), (0.0, -0.03)])
def test_moved_in_pdf(name: str, move: tuple[float, float]) -> None:
    found = problems(pdf_with(reshaped(*move), name))
    assert named(found) == [MARK]
    assert "0.030 mm" in found[0].found


def test_removed_from_pdf() -> None:
    found = problems(pdf_with(lambda m: ""))
    assert named(found) == [MARK]
    assert "not found" in found[0].found


def test_doubled_in_pdf() -> None:
    found = problems(pdf_with(lambda m: f"{m[0]} {m[0]}"))
    assert len(found) == 1
    assert "too many" in found[0].found
    assert MARK in str(found[0])


@pytest.mark.parametrize("by", [0.03, -0.03])
def test_radius_off_in_pdf(by: float) -> None:
    assert named(problems(pdf_with(reshaped(radius=by)))) == [MARK]


def test_circle_on_a_page_without_sheet() -> None:
    """The cover shows no circle; one that is there is told with its page."""
    writer = PdfWriter(clone_from=PdfReader(BytesIO(packet(JOB).files["packet.pdf"])))
    cover = writer.pages[0]
    contents = cover.get_contents()
    assert contents is not None
    every = "".join(page.get_contents().get_data().decode() for page in writer.pages)  # type: ignore[union-attr]
    circle = PDF_CIRCLE.search(every)
    assert circle is not None
    stream = DecodedStreamObject()
    stream.set_data(contents.get_data().replace(b"\n1 j\n", f"\n1 j\n{circle[0]}\n".encode(), 1))
    cover[NameObject("/Contents")] = writer._add_object(stream)
    out = BytesIO()
    writer.write(out)
    found = problems(out.getvalue())
    assert named(found) == ["page 1"]


def test_page_taken_away() -> None:
    reader = PdfReader(BytesIO(packet(JOB).files[f"sheets/{SHEET}.pdf"]))
    writer = PdfWriter(clone_from=reader)
    writer.remove_page(len(reader.pages) - 1)
    out = BytesIO()
    writer.write(out)
    assert len(problems(out.getvalue())) >= 1
