"""The DXF as others see it: ezdxf opens it, audits it, finds circles, layers, units and our data."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import date
from io import StringIO
from math import pi

import ezdxf
import pytest
from jigs_made import WISH, every, laid_out

from jiggen.compose.jig import operations
from jiggen.drawing.scene import Drawing, Ink, Oval, Path, Pen
from jiggen.geometry import Point
from jiggen.render.dxf import dxf, layer_name


def sample() -> Drawing:
    pen = Pen()
    pen.oval(30.0, 40.0, 2.678, 2.678, Ink.CUT, data=(("mark", "3/toward 4/7"), ("part", "S1/1")))
    pen.oval(60.0, 40.0, 3.0, 5.0, Ink.CUT, 0.5)
    pen.line(10.0, 5.0, 10.0, 95.0, Ink.SCORE, (("line", "centre"),))
    pen.path(((5.0, 5.0), (95.0, 5.0), (95.0, 80.0)), Ink.CUT, True)
    pen.text(20.0, 20.0, "UP Ä", 4.0, ink=Ink.ENGRAVE)
    pen.box(1.0, 1.0, 2.0, 2.0, Ink.EDGE)  # no operation: stays out
    return pen.drawing(100.0, 90.0, "jig\nS1")


def opened(data: bytes) -> ezdxf.document.Drawing:  # type: ignore[name-defined]
    return ezdxf.read(StringIO(data.decode("utf-8")))


def test_units_layers_and_entities() -> None:
    found = opened(dxf(sample(), operations(WISH)))
    assert found.header["$INSUNITS"] == 4
    assert {"cut", "score", "engrave"} <= {layer.dxf.name for layer in found.layers}
    assert found.layers.get("cut").rgb == (0xC4, 0x35, 0x1C)
    space = found.modelspace()
    assert len(space.query("TEXT MTEXT HATCH")) == 0
    circle = space.query("CIRCLE").first
    assert (circle.dxf.center.x, circle.dxf.center.y, circle.dxf.radius) == (30.0, 40.0, 2.678)
    assert [tag.value for tag in circle.get_xdata("JIGGEN")] == ["mark=3/toward 4/7", "part=S1/1"]
    ellipse = space.query("ELLIPSE").first
    assert ellipse.dxf.major_axis.magnitude == pytest.approx(5.0)
    assert ellipse.dxf.ratio == pytest.approx(0.6)
    assert ellipse.dxf.major_axis.angle % pi == pytest.approx((0.5 + pi / 2.0) % pi)
    line = space.query("LINE").first
    assert (line.dxf.start.y, line.dxf.end.y, line.dxf.layer) == (5.0, 95.0, "score")
    closed = [p for p in space.query("LWPOLYLINE") if p.closed]
    assert len(closed) == 1 and closed[0].dxf.layer == "cut"
    order = [entity.dxf.layer for entity in space]
    assert order == sorted(order, key=["engrave", "score", "cut"].index)
    assert set(order) == {"engrave", "score", "cut"}


def test_audit_finds_nothing() -> None:
    auditor = opened(dxf(sample(), operations(WISH))).audit()
    assert not auditor.errors and not auditor.fixes


@pytest.mark.parametrize(("name", "jig"), [*every()[:6], ("sampler", "S1"), ("stair-up", "S2")])
def test_audit_of_jigs(name: str, jig: str) -> None:
    for drawing in laid_out(name, jig).drawings:
        found = opened(dxf(drawing, operations(WISH)))
        auditor = found.audit()
        assert not auditor.errors and not auditor.fixes
        circles = found.modelspace().query("CIRCLE")
        assert len(circles) == sum(isinstance(s, Oval) for s in drawing.shapes)
        ways = [s for s in drawing.shapes if isinstance(s, Path) and s.ink is Ink.CUT]
        assert len([p for p in found.modelspace().query("LWPOLYLINE[layer=='cut']") if p.closed]) == len(ways)


def test_same_drawing_same_bytes_and_the_library_is_left_as_it_was() -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    assert dxf(sample()) == dxf(sample())
    assert ezdxf.options.write_fixed_meta_data_for_testing == before
    year = str(date.today().year).encode()
    assert year not in dxf(sample())


def test_layer_names_lose_what_dxf_keeps_for_itself() -> None:
    assert layer_name('cut <1>/"2";') == "cut 1 2"
    assert layer_name("***") == "0"
    data = dxf(sample(), {Ink.CUT: ("a|b", "#010203"), Ink.SCORE: ("", "#010203")})
    names = {layer.dxf.name for layer in opened(data).layers}
    assert "a b" in names


def test_text_cannot_break_out_of_its_line() -> None:
    pen = Pen()
    pen.oval(5.0, 5.0, 1.0, 1.0, Ink.CUT, data=(("mark", "a\n0\nEOF\r\nb"),))
    found = opened(dxf(pen.drawing(10.0, 10.0, "t\n0\nEOF")))
    assert [t.value for t in found.modelspace().query("CIRCLE").first.get_xdata("JIGGEN")] == ["mark=a 0 EOF b"]
    assert Point(5.0, 5.0) == pytest.approx(tuple(found.modelspace().query("CIRCLE").first.dxf.center)[:2])


def test_the_same_bytes_with_any_hash_seed() -> None:
    program = (
        "import sys; from jiggen.drawing.scene import Ink, Pen; from jiggen.render.dxf import dxf; pen = Pen();"
        "pen.oval(20, 20, 3, 3, Ink.CUT); pen.box(0, 0, 90, 40, Ink.CUT); pen.text(5, 5, 'UP', 4, ink=Ink.ENGRAVE);"
        "sys.stdout.buffer.write(dxf(pen.drawing(100, 50)))"
    )
    made = [
        subprocess.run(
            [sys.executable, "-c", program], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True
        ).stdout
        for seed in ("1", "2", "3")
    ]
    assert len(made[0]) > 1000
    assert made[0] == made[1] == made[2]
