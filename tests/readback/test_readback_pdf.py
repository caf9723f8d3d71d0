"""PDF bytes to circles and lines: pages, paths, clips, marked content, forms, attachments, damage."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from io import BytesIO
from math import pi, radians

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pytest import approx

from jiggen.readback.model import Circle, Found
from jiggen.readback.pdf import read_pdf

Make = Callable[..., bytes]
Oval = Callable[..., str]
IN_MM = "2.834645669291339 0 0 2.834645669291339 0 0 cm "  # 72/25.4 points in a mm


def only(found: Found) -> Circle:
    (circle,) = found.circles
    return circle


def test_page_sizes_and_corner(make_pdf: Make, oval: Oval) -> None:
    content = oval(100, 82, 36, 36) + " S"
    found = read_pdf(make_pdf(content, content, box="10 10 622 802"))
    # 612 pt = 8.5 in = 215.9 mm; 792 pt = 11 in = 279.4 mm.
    assert [(box.width, box.height) for box in found.pages] == [approx((215.9, 279.4))] * 2
    first, second = found.circles
    # (100 - 10) pt = 90/72 in = 31.75 mm; (82 - 10) pt = 1 in = 25.4 mm; 36 pt = 12.7 mm.
    assert (first.x, first.y, first.rx, first.ry, first.page) == approx((31.75, 25.4, 12.7, 12.7, 0), abs=1e-5)
    assert second.page == 1


def test_user_unit(make_pdf: Make) -> None:
    found = read_pdf(make_pdf("0 0 m 72 0 l S", page="/UserUnit 2"))
    assert found.segments[0].x2 == approx(50.8)  # 72 units of 2/72 in = 2 in


@pytest.mark.parametrize("pieces", [4, 8, 12])
@pytest.mark.parametrize("paint", ["S", "s", "f", "F", "f*", "B", "B*", "b", "b*"])
def test_painted_circles(make_pdf: Make, oval: Oval, pieces: int, paint: str) -> None:
    circle = only(read_pdf(make_pdf(f"{IN_MM}{oval(60, 70, 3.175, 3.175, pieces)} {paint}")))
    assert (circle.x, circle.y, circle.rx, circle.ry) == approx((60, 70, 3.175, 3.175), abs=1e-5)


def test_a_turned_ellipse(make_pdf: Make, oval: Oval) -> None:
    for pieces in (4, 8):
        circle = only(read_pdf(make_pdf(f"{IN_MM}{oval(60, 70, 8, 5, pieces, turn=radians(30))} S")))
        assert (circle.rx, circle.ry, circle.angle) == approx((8, 5, radians(30)), abs=1e-5)
    # cm 0 1 -1 0 turns by a quarter, counter-clockwise: (x, y) -> (-y, x), then 100 to the right.
    circle = only(read_pdf(make_pdf(f"{IN_MM} 0 1 -1 0 100 0 cm {oval(60, 70, 8, 5)} S")))
    # An upright axis may come back as either end of the range.
    assert (circle.x, circle.y, abs(circle.angle)) == approx((30, 60, pi / 2), abs=1e-5)


def test_a_circle_of_reportlab(make_pdf: Make) -> None:
    canvas = pytest.importorskip("reportlab.pdfgen.canvas")
    out = BytesIO()
    page = canvas.Canvas(out, pagesize=(300, 400), invariant=1)
    page.circle(144, 216, 36)  # 2 in, 3 in, half an inch
    page.ellipse(36, 36, 108, 72)  # its box: centre 72, 54 pt, half axes 36 and 18 pt
    page.line(72, 72, 144, 72)
    page.drawString(20, 20, "Q (text) S")
    page.rect(10, 10, 50, 50)
    page.showPage()
    page.save()
    found = read_pdf(out.getvalue())
    circle, ellipse = found.circles
    assert (circle.x, circle.y, circle.rx, circle.ry) == approx((50.8, 76.2, 12.7, 12.7), abs=0.001)
    assert (ellipse.x, ellipse.y, ellipse.rx, ellipse.ry) == approx((25.4, 19.05, 12.7, 6.35), abs=0.001)
    (line,) = found.segments
    assert (line.x1, line.y1, line.x2, line.y2) == approx((25.4, 25.4, 50.8, 25.4))


def test_v_and_y_curves_and_a_closing_line_of_no_length(make_pdf: Make, oval: Oval) -> None:
    # v takes the current point as the first handle, y the end as the second: a path with either is no circle
    # here, but its end is the next curve's start, so the circle after it in the same path is whole.
    path = f"10 10 m 20 20 30 10 v 30 0 10 10 y {oval(60, 70, 5, 5)[:-1]} 65 70 l h S"
    assert (only(read_pdf(make_pdf(IN_MM + path))).x) == approx(60)


def test_not_circles(make_pdf: Make) -> None:
    k = 0.5522847498
    rounded = (
        "12 10 m 18 10 l 19.1 10 20 10.9 20 12 c 20 18 l 20 19.1 19.1 20 18 20 c "
        "12 20 l 10.9 20 10 19.1 10 18 c 10 12 l 10 10.9 10.9 10 12 10 c h S "
    )
    # An egg: half a circle of 5 below, half an ellipse of 5 by 8 above.
    egg = (
        f"55 50 m 55 {50 + 8 * k} {50 + 5 * k} 58 50 58 c {50 - 5 * k} 58 45 {50 + 8 * k} 45 50 c "
        f"45 {50 - 5 * k} {50 - 5 * k} 45 50 45 c {50 + 5 * k} 45 55 {50 - 5 * k} 55 50 c h S "
    )
    # Handles of 0.6: the middle of a piece lies at (4 + 3 x 0.6)/8 x 1.41421 = 1.0253 of the radius.
    swollen = "85 80 m 85 83 83 85 80 85 c 77 85 75 83 75 80 c 75 77 77 75 80 75 c 83 75 85 77 85 80 c h S "
    found = read_pdf(make_pdf(IN_MM + rounded + egg + swollen + "10 10 20 30 re S 1 1 m 2 2 l 3 1 l h S"))
    assert (found.circles, found.segments) == ((), ())


def test_open_and_unpainted_curves_are_not_found(make_pdf: Make, oval: Oval) -> None:
    circle = oval(60, 70, 5, 5)
    quarters = circle.split(" c ")
    opened = " c ".join(quarters[:7]) + " c"  # seven of eight pieces, stroked open
    assert read_pdf(make_pdf(f"{IN_MM}{circle} n {opened} S")).circles == ()
    assert len(read_pdf(make_pdf(f"{IN_MM}{circle[:-1]} S")).circles) == 1  # ends where it began: closed


def test_segments(make_pdf: Make) -> None:
    content = "72 72 m 144 72 l 0 0 m 0 36 l S 1 1 m 2 2 l f 5 5 m 6 6 l 7 5 l S 9 9 m S "
    content += "q 2 0 0 2 0 0 cm 0 18 m 36 18 l s Q"
    lines = read_pdf(make_pdf(content)).segments
    # 72 pt = 25.4 mm; 36 pt = 12.7 mm; the last at twice the size: (0, 36) to (72, 36) pt.
    expected = [(25.4, 25.4, 50.8, 25.4), (0, 0, 0, 12.7), (0, 12.7, 25.4, 12.7)]
    assert [(line.x1, line.y1, line.x2, line.y2) for line in lines] == [approx(four) for four in expected]


def test_a_circle_moved_by_three_hundredths_is_noticed(make_pdf: Make, oval: Oval) -> None:
    first, second = (only(read_pdf(make_pdf(f"{IN_MM}{oval(x, 70, 4, 4)} S"))) for x in (60, 60.03))
    assert second.x - first.x == approx(0.03, abs=1e-5)
    # Nor does rounding to 0.001 mm hide it: the mean of eight points is good to 0.0005.
    assert abs(second.x - 60) > 0.02 > abs(first.x - 60)


@pytest.mark.parametrize(
    ("clip", "seen"),
    [
        ("50 60 20 20 re W n", "whole"),
        ("20 20 20 20 re W n", "hidden"),
        ("60 60 40 40 re W* n", "cut"),
        ("63.6 73.6 40 40 re W n", "hidden"),  # its corner is 3.6 x 1.414 = 5.09 from the centre
        ("63.5 73.5 40 40 re W n", "cut"),  # 4.95
        ("50 60 20 20 re W n 0 0 55.5 200 re W n", "cut"),  # both count
        ("0 0 50 50 re W n 50 60 20 20 re W n", "hidden"),  # they have nothing in common
        ("q 20 20 20 20 re W n Q", "whole"),  # over with its Q
        ("20 20 20 20 re n", "whole"),  # no W
        ("20 20 m 40 20 l 40 40 l 20 40 l h W n", "hidden"),
        ("W n", "hidden"),  # an empty clipping path leaves nothing
        ("q 1 0 0 1 40 50 cm 0 0 30 30 re W n", "whole"),  # (40, 50) to (70, 80)
    ],
)
def test_clips(make_pdf: Make, oval: Oval, clip: str, seen: str) -> None:
    circle = oval(60, 70, 5, 5) if not clip.startswith("q 1") else oval(20, 20, 5, 5)
    found = read_pdf(make_pdf(f"{IN_MM}{clip} {circle} S"))
    if seen == "hidden":
        assert found.circles == ()
    else:
        assert only(found).x == approx(60)
        assert only(found).data == ({"clipped": "yes"} if seen == "cut" else {})


def test_lines_under_a_clip(make_pdf: Make) -> None:
    lines = "25 25 m 35 35 l S 10 30 m 90 30 l S 10 39 m 21 50 l S 10 10 m 90 10 l S 19 10 m 19 90 l S"
    found = read_pdf(make_pdf(f"{IN_MM}20 20 20 20 re W n {lines}"))
    # The third passes the corner (20, 40) outside: at x 20 it is at y 49.
    assert [(line.x1, dict(line.data)) for line in found.segments] == [
        (approx(25), {}),
        (approx(10), {"clipped": "yes"}),
    ]


def test_a_path_can_be_painted_and_become_the_clip(make_pdf: Make, oval: Oval) -> None:
    content = f"{IN_MM}{oval(60, 70, 5, 5)} W S {oval(60, 70, 4, 4)} S {oval(90, 70, 4, 4)} S"
    assert [circle.rx for circle in read_pdf(make_pdf(content)).circles] == [approx(5), approx(4)]


def test_what_lies_off_the_page_is_not_seen(make_pdf: Make, oval: Oval) -> None:
    shapes = f"{oval(-20, 70, 5, 5)} S {oval(2, 70, 5, 5)} S {oval(100, 100, 5, 5)} S"
    found = read_pdf(make_pdf(IN_MM + shapes))
    assert [(circle.x, dict(circle.data)) for circle in found.circles] == [
        (approx(2), {"clipped": "yes"}),
        (approx(100), {}),
    ]
    # A CropBox of 200 pt = 70.6 mm hides the last one.
    assert len(read_pdf(make_pdf(IN_MM + shapes, page="/CropBox[0 0 200 800]")).circles) == 1


def test_marked_content(make_pdf: Make, oval: Oval) -> None:
    dot, line = oval(60, 70, 5, 5) + " S ", "1 1 m 9 9 l S "
    content = (
        f"{IN_MM}/OC /L1 BDC {line}/Mark <</mark (3/toward 4/7)/face <FEFF00E9>/n 5>> BDC {dot}"
        f"/Span BMC {dot}EMC EMC {line}EMC {line}/Mark /P2 BDC {dot}EMC {dot}"
    )
    found = read_pdf(make_pdf(content, resources="/Properties<</L1 100 0 R/P2<</mark(x)>>>>", extra=(
        b"<</Type/OCG/Name(HOLES)>>",
    )))  # fmt: skip
    mark = {"mark": "3/toward 4/7", "face": "é"}  # FEFF: UTF-16; 00E9 is e acute
    assert [dict(circle.data) for circle in found.circles] == [mark, mark, {"mark": "x"}, {}]
    assert [dict(line.data) for line in found.segments] == [{"Name": "HOLES"}, {"Name": "HOLES"}, {}]


def test_forms(make_pdf: Make, make_stream: Make, oval: Oval) -> None:
    form = make_stream(
        f"{oval(5, 5, 2, 2)} S {oval(50, 5, 2, 2)} S q /Out <</mark(y)>> BDC".encode(),
        "/Type/XObject/Subtype/Form/BBox[0 0 10 10]/Matrix[2 0 0 2 1 0]",
    )
    image = make_stream(b"\x00", "/Subtype/Image/Width 1/Height 1/BitsPerComponent 8/ColorSpace/DeviceGray")
    resources = "/XObject<</F 100 0 R/I 101 0 R>>"
    content = f"{IN_MM}/M <</mark(x)>> BDC q 1 0 0 1 30 40 cm /F Do /I Do /Gone Do Q EMC {oval(9, 9, 1, 1)} S"
    inner, after = read_pdf(make_pdf(content, resources=resources, extra=(form, image))).circles
    # (5, 5) x 2 + (1, 0) + (30, 40) = (41, 50); radius 2 x 2; the second one lies outside the BBox.
    assert (inner.x, inner.y, inner.rx, dict(inner.data)) == (
        approx(41),
        approx(50),
        approx(4),
        {"mark": "x"},
    )
    assert (after.x, dict(after.data)) == (approx(9), {})


def test_a_form_that_draws_itself_is_refused(make_pdf: Make, make_stream: Make) -> None:
    form = make_stream(b"/F Do /F Do", "/Subtype/Form/Resources<</XObject<</F 100 0 R>>>>")
    with pytest.raises(ValueError, match="nested too deep"):
        read_pdf(make_pdf("/F Do", resources="/XObject<</F 100 0 R>>", extra=(form,)))


def test_forms_that_multiply_are_refused(make_pdf: Make, make_stream: Make) -> None:
    """Six forms, each of them ten times the one before it: a million lines out of some 100 bytes each."""
    line = make_stream(b"0 0 m 1 1 l S", "/Subtype/Form")
    tens = [
        make_stream(b"/F Do " * 10, f"/Subtype/Form/Resources<</XObject<</F {number} 0 R>>>>")
        for number in range(100, 106)
    ]
    bomb = make_pdf("/F Do", resources="/XObject<</F 106 0 R>>", extra=(line, *tens))
    with pytest.raises(ValueError, match="64 MB"):
        read_pdf(bomb)


def test_text_strings_and_inline_images_draw_nothing(make_pdf: Make, oval: Oval) -> None:
    content = (
        f"{IN_MM}BT /F1 9 Tf 3 Tr (0 0 m 9 9 l S \\) ET Q) Tj [(q) -20 (cm)] TJ ET "
        f"BI /W 4 /H 1 /BPC 8 /CS /G ID (q Q EI\nQ {oval(60, 70, 5, 5)} S"
    ).replace("EI\nQ", "EI\n")
    found = read_pdf(make_pdf(content))
    assert (only(found).x, found.segments) == (approx(60), ())


def test_attachments_and_metadata() -> None:
    pypdf = pytest.importorskip("pypdf")
    writer = pypdf.PdfWriter()
    writer.add_blank_page(100, 100)
    writer.add_attachment("job.toml", b"name = 'A'")
    writer.add_attachment("job.toml", b"second")
    writer.add_attachment("plan.json", b"{}")
    writer.xmp_metadata = b"<x:xmpmeta>Deck</x:xmpmeta>"
    out = BytesIO()
    writer.write(out)
    found = read_pdf(out.getvalue())
    assert found.attachments == {"job.toml": b"name = 'A'", "plan.json": b"{}"}
    assert "Deck" in found.metadata


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"page": "/Rotate 90"}, "turned by 90"),
        ({"box": "0 0 0 100"}, "no size"),
        ({"box": "0 0 100"}, "damaged"),
    ],
)
def test_pages_that_are_refused(make_pdf: Make, arguments: dict[str, str], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        read_pdf(make_pdf("", **arguments))
    with pytest.raises(ValueError, match="no pages"):
        read_pdf(make_pdf())
    assert len(read_pdf(make_pdf("", page="/Rotate 0")).pages) == 1


@pytest.mark.parametrize(
    "content",
    ["Q", "1 2 l S", "1 m", "1 2 3 m", "(a) (b) m", "(abc", "<< /A", "q " * 1001, "/A BDC", "1 2 m 1e9 5 l S",
     "1 2 m 99999999999 5 l S", "/M <</A 1>> BDC " * 1100],
)  # fmt: skip
def test_broken_content_is_refused(make_pdf: Make, content: str) -> None:
    with pytest.raises(ValueError, match=r"^this PDF "):
        read_pdf(make_pdf(content))


@pytest.mark.parametrize(
    "step", ["1 1 l ", "1 1 2 2 3 3 c ", "1 1 2 2 v ", "1 1 2 2 y ", "0 0 m 1 1 l ", "1 1 2 2 re "]
)
def test_a_path_without_measure_is_refused(make_pdf: Make, step: str) -> None:
    with pytest.raises(ValueError, match="too many"):
        read_pdf(make_pdf("0 0 m " + step * 100_001))


def test_not_a_pdf_encrypted_or_too_large() -> None:
    for data in (b"", b"%PDF-1.7", b"<svg/>", b"\x00" * 5000):
        with pytest.raises(ValueError, match="damaged"):
            read_pdf(data)
    with pytest.raises(ValueError, match="64 MB"):
        read_pdf(b" " * (64 * 1024 * 1024 + 1))
    pypdf = pytest.importorskip("pypdf")
    writer = pypdf.PdfWriter()
    writer.add_blank_page(100, 100)
    writer.encrypt("secret", algorithm="RC4-128")
    out = BytesIO()
    writer.write(out)
    with pytest.raises(ValueError, match="encrypted"):
        read_pdf(out.getvalue())


def test_a_page_tree_without_end_is_refused(make_pdf: Make) -> None:
    data = make_pdf("").replace(b"/Kids[3 0 R]", b"/Kids[2 0 R]")
    with pytest.raises(ValueError, match="no end"):
        read_pdf(data)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 10**9), cuts=st.integers(1, 6), put=st.binary(max_size=8))
def test_damage_raises_nothing_but_value_errors(
    make_pdf: Make, make_stream: Make, oval: Oval, seed: int, cuts: int, put: bytes
) -> None:
    form = make_stream(b"0 0 m 5 5 l S", "/Subtype/Form/BBox[0 0 9 9]")
    content = f"q {IN_MM}/M <</mark (a)>> BDC {oval(60, 70, 5, 5)} S EMC 5 5 m 9 9 l S Q /F Do"
    data = make_pdf(content, content, resources="/XObject<</F 100 0 R>>", extra=(form,))
    dice = random.Random(seed)
    for _ in range(cuts):
        place = dice.randrange(len(data))
        data = data[:place] + put + data[place + dice.choice((0, 1, 5, 60)) :]
    start = time.perf_counter()
    try:
        found = read_pdf(data)
    except ValueError as error:
        assert "this PDF " in str(error)
    else:
        assert len(found.pages) >= 1
    assert time.perf_counter() - start < 5


def test_a_page_of_three_hundred_lines_and_forty_circles(make_pdf: Make, oval: Oval) -> None:
    spots = ((20 + index % 60, 20 + index // 2) for index in range(300))
    lines = " ".join(f"{x} {y} m {x + 5} {y + 2} l S" for x, y in spots)
    dots = " ".join(f"{oval(20 + index % 8 * 20, 40 + index // 8 * 30, 3, 3)} S" for index in range(40))
    data = make_pdf(f"{IN_MM}{lines} {dots}")
    found = read_pdf(data)
    assert (len(found.circles), len(found.segments)) == (40, 300)
    best = min(_seconds(lambda: read_pdf(data)) for _ in range(5))
    assert best < 0.05  # 0.003 s on a small machine; ten times that is a fault, not a slow day


def _seconds(act: Callable[[], object]) -> float:
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


def test_words_that_are_drawn_are_passed_over_with_care(make_pdf: Make, make_stream: Make) -> None:
    """Forms placed between q and Q: passed over where they draw lines without data, not where there is a mark in one."""
    stroke = make_stream(b"0 0 m 1 1 l S", "/Subtype/Form")
    named = make_stream(b"/Mark <</mark(a)>> BDC 0 0 m 1 0 l S EMC", "/Subtype/Form")
    words = "0 J\nq 2 0 0 2 10 20 cm 0.1 w /{0} Do 1 0 0 1 5 0 cm /{0} Do Q\n3 3 m 9 9 l S\n"
    resources = "/XObject<</F 100 0 R/N 101 0 R>>"
    data = make_pdf(words.format("F") + words.format("N"), resources=resources, extra=(stroke, named))
    # the second word twice: x from 10 and from 10 + 2 x 5 = 20, 2 x 1 long, all in points of 25.4 / 72 mm
    found = [(s.x1, s.x2, s.y1, s.data["mark"]) for s in read_pdf(data, unnamed=False).segments]
    mm = 25.4 / 72.0
    assert [one[3] for one in found] == ["a", "a"]
    assert [one[:3] for one in found] == [pytest.approx((x * mm, (x + 2) * mm, 20 * mm)) for x in (10, 20)]
    assert len(read_pdf(data).segments) == 2 + 2 + 2  # each stroke and each line between the words as well


NAMED = "/M <</mark (a)>> BDC 5 5 m 9 9 l S EMC"
ROUND = (
    "20 10 m 20 15.523 15.523 20 10 20 c 4.477 20 0 15.523 0 10 c 0 4.477 4.477 0 10 0 c 15.523 0 20 4.477 20 10 c h"
)


@pytest.mark.parametrize(
    "content",
    [
        "1 0 0 1 0 0 cm\n1 J\n0 0 m 50 50 l S\n" + NAMED,
        "1 J\n0 0 m 50 0 l 50 50 l h\n10 10 m 20 20 l\nS\n"
        + NAMED
        + "\n0 g 0 0 m 9 0 l 9 9 l h f*\n0 g 1 1 m 9 0 l f\n"
        + NAMED,
        "1 J\n0.5 w [3 1] 0 d 0 G 0 J\n0 0 m 50 0 l S\n0.5 w [] 0 d\n" + NAMED,
        f"1 J\n{ROUND} S\n0 0 m 1 1 l S\n{ROUND} f*\n0 g {ROUND} f\n",
        f"1 J\n0 0 m 9 9 l {ROUND} S\n" + NAMED,
        f"1 J\n0 0 m 9 9 l\n{ROUND}\nS\n" + NAMED,  # one path of lines and a circle
        f"1 J\n0 0 m 100 0 l 100 100 l 0 100 l h W n\n{ROUND} S\n" + NAMED,  # a clip stays one
        f"1 J\n0 0 m 8 0 l 8 8 l 0 8 l h W f\n{ROUND} S\n" + NAMED,
        "BT 3 Tr\n/F 9 Tf 1 0 0 1 5 5 Tm (a \\) S\n0 0 m) Tj\nET\n" + NAMED + "\n" + ROUND + " S",
        "1 J\nq 2 0 0 2 0 0 cm\n0 0 m 1 1 l S\nQ\n" + NAMED,
        "1 J\n/M <</mark (b)>> BDC\n1 J\n0 0 m 7 7 l S\n0 0 m 8 8 l S\nEMC\n" + NAMED,
        "1 J\n/M <</mark (b)>> BDC /N BMC 1 J\n0 0 m 7 7 l S\nEMC\n0 0 m 8 8 l S\nEMC\n" + NAMED,
    ],
)
def test_what_is_passed_over_is_no_more_than_lines_without_data(make_pdf: Make, content: str) -> None:
    """With all lines asked for nothing is passed over: circles and named lines must be the same."""
    data = make_pdf(content)
    whole, less = read_pdf(data), read_pdf(data, unnamed=False)
    assert less.circles == whole.circles
    assert less.segments == tuple(one for one in whole.segments if set(one.data) - {"clipped"})
    assert less.circles or less.segments  # there is something to miss
