"""DXFs that another library wrote, read by ours; broken ones refused in one sentence; SVG paths likewise."""

from __future__ import annotations

from io import StringIO
from math import cos, pi, sin

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jiggen.readback.contour import read_svg_contours
from jiggen.readback.dxf import read_dxf, read_dxf_contours


def written(units: int = 4, version: str = "R2010") -> bytes:
    document = ezdxf.new(version, units=units)
    document.appids.add("OTHER")
    space = document.modelspace()
    space.reset_limits((0.0, 0.0), (600.0, 400.0))
    circle = space.add_circle((10.0, 20.0), 3.5, dxfattribs={"layer": "cut"})
    circle.set_xdata("OTHER", [(1000, "mark=1/toward 2/3"), (1000, "no pair"), (1040, 3.5)])
    space.add_ellipse((50.0, 60.0), (4.0 * cos(2.0), 4.0 * sin(2.0)), 0.5)
    space.add_ellipse((1.0, 1.0), (4.0, 0.0), 0.5, 0.0, pi)  # an arc of one: no hole
    space.add_line((1.0, 2.0), (3.0, 4.0), dxfattribs={"layer": "score"})
    space.add_lwpolyline([(0.0, 0.0), (5.0, 0.0), (5.0, 7.0)], close=True, dxfattribs={"layer": "cut"})
    space.add_lwpolyline([(0.0, 0.0), (5.0, 0.0)], dxfattribs={"layer": "engrave"})
    out = StringIO()
    document.write(out)
    return out.getvalue().encode()


@pytest.mark.parametrize("version", ["R2000", "R2010", "R2018"])
def test_circles_ellipses_and_lines(version: str) -> None:
    found = read_dxf(written(version=version))
    assert (found.pages[0].width, found.pages[0].height) == (600.0, 400.0)
    circle, ellipse = found.circles
    assert (circle.x, circle.y, circle.rx, circle.ry) == (10.0, 20.0, 3.5, 3.5)
    assert circle.data == {"layer": "cut", "mark": "1/toward 2/3"}
    assert (ellipse.x, ellipse.y, ellipse.rx, ellipse.ry) == pytest.approx((50.0, 60.0, 4.0, 2.0))
    assert ellipse.angle == pytest.approx(2.0 - pi)
    line = found.segments[0]
    assert (line.x1, line.y1, line.x2, line.y2, line.data["layer"]) == (1.0, 2.0, 3.0, 4.0, "score")


def test_contours() -> None:
    closed, opened = read_dxf_contours(written())
    assert closed.points == ((0.0, 0.0), (5.0, 0.0), (5.0, 7.0)) and closed.closed and closed.group == "cut"
    assert closed.gap == 0.0
    assert not opened.closed and opened.gap == 5.0


@pytest.mark.parametrize(("units", "factor"), [(1, 25.4), (4, 1.0), (5, 10.0), (6, 1000.0)])
def test_units_are_heeded(units: int, factor: float) -> None:
    assert read_dxf(written(units)).circles[0].rx == pytest.approx(3.5 * factor)


def test_no_unit_is_refused() -> None:
    with pytest.raises(ValueError, match="unit"):
        read_dxf(written(0))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"hello\nworld\n", "group code"),
        (b"AutoCAD Binary DXF\r\n\x1a\x00", "binary"),
        (b"0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n", "breaks off"),
        (b"0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nEOF\n", "no ENTITIES"),
    ],
)
def test_what_is_no_dxf_is_refused(data: bytes, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        read_dxf(data)


def test_a_number_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="number"):
        read_dxf(written().replace(b"3.5", b"abc", 1))


def test_a_mirrored_entity_is_refused() -> None:
    document = ezdxf.new(units=4)
    document.modelspace().add_circle((1.0, 1.0), 1.0, dxfattribs={"extrusion": (0.0, 0.0, -1.0)})
    out = StringIO()
    document.write(out)
    with pytest.raises(ValueError, match="mirrored"):
        read_dxf(out.getvalue().encode())


@settings(max_examples=40, deadline=None)
@given(st.binary(max_size=200))
def test_noise_raises_only_value_errors(noise: bytes) -> None:
    for data in (noise, written()[:3000] + noise):
        with pytest.raises(ValueError):
            read_dxf(data)


def test_svg_paths_by_hand() -> None:
    """Absolute and relative steps, two subpaths, in a group moved by (10, 20) and doubled."""
    data = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
        b'<g id="cut" transform="translate(10 20) scale(2)"><path data-part="a" d="M0 0 L5 0 V5 h-5 z M1 1 2 2"/></g></svg>'
    )
    first, second = read_svg_contours(data)
    assert first.points == ((10.0, 20.0), (20.0, 20.0), (20.0, 30.0), (10.0, 30.0))
    assert first.closed and first.group == "cut" and first.data == {"part": "a"}
    assert second.points == ((12.0, 22.0), (14.0, 24.0)) and not second.closed


@pytest.mark.parametrize("d", ["M0 0 C1 1 2 2 3 3", "M0", "M0 0 L1", "5 5"])
def test_svg_paths_that_are_not_read(d: str) -> None:
    data = f'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><path d="{d}"/></svg>'
    with pytest.raises(ValueError, match="path"):
        read_svg_contours(data.encode())
