"""The SVG as others see it: an XML parser, and cairo's PDF against ours."""

from __future__ import annotations

from io import BytesIO
from xml.etree import ElementTree

import pytest
from PIL import Image, ImageChops
from specimen import DRILL, face
from test_pdf import centre

from jiggen.drawing.scene import Ink, Oval, Pen
from jiggen.render.pdf import pdf
from jiggen.render.svg import svg
from jiggen.sheets.model import Page, Paper

NS = "{http://www.w3.org/2000/svg}"


def test_root_is_in_millimetres() -> None:
    root = ElementTree.fromstring(svg(face(900.0, 120.0).drawing, title="Post 3"))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("120mm", "900mm", "0 0 120 900")
    assert root.findtext(f"{NS}title") == "Post 3"


def test_every_mark_is_a_circle_in_its_place() -> None:
    drawing = face(500.0, 120.0).drawing
    root = ElementTree.fromstring(svg(drawing))
    found = {c.get("data-mark"): c for c in root.iter(f"{NS}circle")}
    ovals = [s for s in drawing.shapes if isinstance(s, Oval)]
    assert len(found) == len(ovals) == 6
    for oval in ovals:
        circle = found[dict(oval.data)["mark"]]
        assert float(circle.get("cx", "")) == pytest.approx(oval.centre.x, abs=5e-5)
        assert float(circle.get("cy", "")) == pytest.approx(500.0 - oval.centre.y, abs=5e-5)
        assert float(circle.get("r", "")) == pytest.approx(DRILL / 2.0, abs=5e-5)
        assert circle.get("data-face") == "3/toward 4"


def test_an_oval_turns_the_other_way_round() -> None:
    """y points down: 0.5 rad counter-clockwise is rotate(-28.6479)."""
    pen = Pen()
    pen.oval(30.0, 40.0, 5.0, 3.0, Ink.DRILL, 0.5, (("mark", "m"),))
    (ellipse,) = ElementTree.fromstring(svg(pen.drawing(100.0, 100.0))).iter(f"{NS}ellipse")
    assert (ellipse.get("rx"), ellipse.get("ry")) == ("5", "3")
    assert ellipse.get("transform") == "rotate(-28.6479 30 60)"


def test_named_lines_are_lines() -> None:
    root = ElementTree.fromstring(svg(face(300.0, 120.0).drawing))
    lines = list(root.iter(f"{NS}line"))
    assert sorted(line.get("data-line", "") for line in lines) == ["centre", "datum", "edge", "edge"]
    datum = next(line for line in lines if line.get("data-line") == "datum")
    assert [datum.get(k) for k in ("x1", "y1", "x2", "y2")] == ["2", "10", "118", "10"]
    assert datum.get("data-face") == "A"


def test_words_metadata_and_names_are_escaped() -> None:
    pen = Pen()
    pen.text(5.0, 5.0, 'A <b> & "c"\x07', 3.0)
    pen.oval(9.0, 9.0, 1.0, 1.0, Ink.DRILL, data=(("mark", "<&\"'>"),))
    data = svg(pen.drawing(50.0, 50.0), title="<t>", metadata='name = "a & b" <x>\x00')
    root = ElementTree.fromstring(data)
    assert root.findtext(f"{NS}metadata") == 'name = "a & b" <x>'
    assert root.findtext(f"{NS}title") == "<t>"
    assert [g.get("data-text") for g in root.iter(f"{NS}g") if g.get("data-text")] == ['A <b> & "c"']
    assert [c.get("data-mark") for c in root.iter(f"{NS}circle")] == ["<&\"'>"]
    assert b"<text" not in data


def test_what_is_spoken_is_said_instead() -> None:
    pen = Pen()
    pen.text(20.0, 100.0, "65", 10.0, spoken="65 5/8")
    pen.text(40.0, 105.0, "5", 4.0, spoken="")
    root = ElementTree.fromstring(svg(pen.drawing(150.0, 150.0)))
    assert [g.get("data-text") for g in root.iter(f"{NS}g") if g.get("data-text")] == ["65 5/8"]
    assert len(list(root.iter(f"{NS}path"))) == 2


def test_same_bytes() -> None:
    drawing = face().drawing
    assert svg(drawing, metadata="m") == svg(drawing, metadata="m")


def test_shop_groups_have_their_colour_and_no_dashes() -> None:
    pen = Pen()
    pen.box(5.0, 5.0, 45.0, 45.0, Ink.CUT)
    pen.line(10.0, 10.0, 20.0, 10.0, Ink.SCORE)
    root = ElementTree.fromstring(
        svg(pen.drawing(50.0, 50.0), operations={Ink.CUT: ("cut", "#ff0000"), Ink.SCORE: ("score", "#0000ff")})
    )
    groups = {g.get("id"): g for g in root.iter(f"{NS}g")}
    assert sorted(groups, key=str) == ["cut", "score"]
    assert groups["cut"].get("stroke") == "#ff0000"
    assert groups["cut"].get("fill") == "none"
    assert groups["cut"].get("stroke-dasharray") is None
    assert float(groups["cut"].get("stroke-width", "0")) > 0.0
    assert not list(root.iter(f"{NS}rect"))


def test_cairo_agrees_with_our_pdf() -> None:
    try:
        import cairosvg
    except OSError:
        pytest.skip("libcairo is not on this machine")
    pen = Pen()
    places = [(20.0, 30.0, 4.0, 4.0), (95.3, 120.7, 2.778, 2.778), (150.1, 200.4, 7.0, 3.0)]
    for x, y, rx, ry in places:
        pen.oval(x, y, rx, ry, Ink.DRILL, 0.4)
    drawing = pen.drawing(190.0, 240.0)
    theirs = cairosvg.svg2pdf(bytestring=svg(drawing))
    paper = Paper("190 x 240 mm", 190.0, 240.0, 0.0)
    ours = pdf([Page(paper, "1", drawing.shapes, (0.0, 0.0, 190.0, 240.0))], title="t")
    for x, y, rx, _ in places:
        first, second = centre(ours, x, y, rx + 1.0), centre(theirs, x, y, rx + 1.0)
        assert first == pytest.approx(second, abs=0.03)
        assert first == pytest.approx((x, y), abs=0.03)


def test_a_picture_shows_the_same_with_fewer_paths() -> None:
    """120 lines, 60 areas that lie over one another and a closed outline: 3 + 2 paths, and no pixel differs by more than a shade."""
    try:
        import cairosvg
    except OSError:
        pytest.skip("libcairo is not on this machine")
    pen = Pen()
    for k in range(119):
        pen.line(5.0, 1.0 + k, 60.0 + k / 7.0, 2.0 + k, Ink.EDGE, (("line", "post"), ("id", str(k))))
    pen.path([(70.0, 10.0), (90.0, 10.0), (80.0, 30.0)], Ink.EDGE, True)
    for k in range(60):
        pen.fill([(10.0 + k, 40.0), (14.0 + k, 40.0), (14.0 + k, 60.0), (10.0 + k, 60.0)], Ink.PALE)
    pen.text(10.0, 100.0, "5", 6.0)
    drawing = pen.drawing(100.0, 125.0)
    single, fused = svg(drawing), svg(drawing, fused=True)
    paths = list(ElementTree.fromstring(fused).iter(f"{NS}path"))
    assert len(paths) == 3 + 2 + 1 and not [path for path in paths if path.get("data-line")]
    grey = [
        Image.open(BytesIO(cairosvg.svg2png(bytestring=data, output_width=400, background_color="white"))).convert("L")
        for data in (single, fused)
    ]
    low, high = ImageChops.difference(*grey).getextrema()
    assert low == 0 and high <= 24  # of 255: rims alone, cairo smooths one long path a shade otherwise
    assert grey[0].getextrema()[0] < 60  # there is something on it
