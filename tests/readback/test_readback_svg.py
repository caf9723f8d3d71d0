"""SVG bytes to circles and lines: sizes, transforms, metadata, refusals."""

from __future__ import annotations

from io import BytesIO
from math import atan2, cos, hypot, pi, radians, sin, sqrt
from time import process_time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx

from jiggen.readback.model import Circle
from jiggen.readback.svg import read_svg

MM_ROOT = 'width="210mm" height="297mm" viewBox="0 0 210 297"'


def svg(inside: str, root: str = MM_ROOT) -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {root}>{inside}</svg>'.encode()


def only_circle(inside: str, root: str = MM_ROOT) -> Circle:
    (circle,) = read_svg(svg(inside, root)).circles
    return circle


def test_shapes_of_a_sheet_in_millimetres() -> None:
    found = read_svg(
        svg(
            '<metadata>job <b>A &amp; B</b></metadata><g data-face="no">'
            '<circle cx="30" cy="40" r="2.5" data-mark="3/toward 4/7" data-face="3/toward 4"/>'
            '<ellipse cx="50" cy="60" rx="2" ry="5"/></g><line x1="1" y1="2" x2="3" y2="4" '
            'data-line="datum"/>'
        )
    )
    assert [(box.width, box.height) for box in found.pages] == [(210.0, 297.0)]
    assert found.metadata == "job A & B"
    first, second = found.circles
    assert (first.x, first.y, first.rx, first.ry, first.angle) == approx((30, 40, 2.5, 2.5, 0))
    assert first.data == {"mark": "3/toward 4/7", "face": "3/toward 4"}  # its own, not the group's
    # The longer half axis comes first: 5 along y, a quarter turn from +x.
    assert (second.rx, second.ry, second.angle) == approx((5, 2, pi / 2))
    (line,) = found.segments
    assert (line.x1, line.y1, line.x2, line.y2, line.page) == approx((1, 2, 3, 4, 0))
    assert line.data == {"line": "datum"}


@pytest.mark.parametrize(
    ("root", "x", "r"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 10.0, 5.0),
        ('width="10cm" height="10cm" viewBox="0 0 50 50"', 20.0, 10.0),  # 100 mm / 50 = 2 mm a unit
        ('width="1in" height="1in" viewBox="0 0 100 100"', 2.54, 1.27),  # 25.4 mm / 100
        ('width="72pt" height="72pt" viewBox="0 0 100 100"', 2.54, 1.27),  # 72 pt = 1 in
        ('width="96" height="96"', 2.645833333, 1.322916667),  # 10 px x 25.4/96; no viewBox: px
        ('width="96px" height="96px" viewBox="-10 0 100 100"', 5.08, 1.27),  # (10 + 10) x 0.254
        # By default the smaller scale (1 mm) counts and the picture is centred: (200 - 100)/2 = 50 mm aside.
        ('width="200mm" height="100mm" viewBox="0 0 100 100"', 60.0, 5.0),
        ('width="200mm" height="100mm" viewBox="0 0 100 100" preserveAspectRatio="xMinYMin"', 10.0, 5.0),
        (
            'width="200mm" height="100mm" viewBox="0 0 100 100" preserveAspectRatio="xMaxYMid meet"',
            110.0,
            5.0,
        ),
        (
            'width="200mm" height="100mm" viewBox="0 0 100 100" preserveAspectRatio="xMidYMid slice"',
            20.0,
            10.0,
        ),
    ],
)
def test_root_size_gives_the_scale(root: str, x: float, r: float) -> None:
    circle = only_circle('<circle cx="10" cy="50" r="5"/>', root)
    assert (circle.x, circle.rx, circle.ry) == approx((x, r, r))


def test_scale_that_differs_across_and_down() -> None:
    circle = only_circle(
        '<circle cx="10" cy="10" r="5"/>',
        'width="20mm" height="30mm" viewBox="0 0 20 20" preserveAspectRatio="none"',
    )
    # 1 mm a unit across, 30/20 = 1.5 mm down: y 15, half axes 5 and 7.5, the long one upright.
    assert (circle.x, circle.y, circle.rx, circle.ry, circle.angle) == approx((10, 15, 7.5, 5, pi / 2))


def test_a_turned_ellipse_has_the_angle_that_one_sees() -> None:
    # rotate(-30) turns counter-clockwise as seen, y being down: +30 degrees for us.
    circle = only_circle('<ellipse cx="50" cy="60" rx="8" ry="3" transform="rotate(-30 50 60)"/>')
    assert (circle.x, circle.y, circle.rx, circle.ry, circle.angle) == approx((50, 60, 8, 3, radians(30)))


def test_transforms_of_groups_and_elements_in_order() -> None:
    circle = only_circle(
        '<g transform="translate(10,20) scale(2)"><g transform="rotate(90)">'
        '<circle cx="5" cy="0" r="1" transform="matrix(1 0 0 1 1 0)"/></g></g>'
    )
    # (5,0) -> +1 -> (6,0) -> quarter turn -> (0,6) -> x2 -> (0,12) -> + (10,20) -> (10,32); radius 1 x 2.
    assert (circle.x, circle.y, circle.rx, circle.ry) == approx((10, 32, 2, 2))


def test_a_sheared_circle() -> None:
    circle = only_circle('<circle cx="0" cy="0" r="1" transform="skewX(45)"/>')
    # x' = x + y: the shear by 1 has the singular values (sqrt 5 +- 1)/2 = 1.618 and 0.618. Its first axis
    # lies at atan2(2 x 1, 2 - 1)/2 = 31.7 degrees from +x towards +y, which is down: -31.7 as seen.
    assert (circle.rx, circle.ry) == approx(((sqrt(5) + 1) / 2, (sqrt(5) - 1) / 2))
    assert circle.angle == approx(-atan2(2, 1) / 2)


def test_oblique_bore_on_a_face() -> None:
    # A hole of diameter d cut at t has the half axes d/2 and d/(2 cos t); cos 0.904556894284 = 0.618033988764
    # (the golden ratio), so 4/0.618034 = 6.472136.
    circle = only_circle(f'<circle cx="0" cy="0" r="4" transform="scale({1 / cos(0.904556894284):.12f} 1)"/>')
    assert (circle.rx, circle.ry, circle.angle) == approx((6.472136, 4.0, 0.0))


def test_what_is_not_drawn_is_not_found() -> None:
    circle = '<circle cx="1" cy="1" r="1"/>'
    hidden = "".join(
        f"<{name}>{circle}</{name}>" for name in ("defs", "symbol", "clipPath", "mask", "pattern", "marker")
    )
    hidden += f'<g display="none">{circle}</g><g style="fill:none;display: none">{circle}</g>'
    hidden += '<circle cx="1" cy="1"/><ellipse rx="3" ry="0"/>'
    assert read_svg(svg(hidden)).circles == ()
    assert len(read_svg(svg(hidden + circle)).circles) == 1


def test_a_circle_moved_by_three_hundredths_is_noticed() -> None:
    first = only_circle('<circle cx="30" cy="40" r="2.5"/>')
    second = only_circle('<circle cx="30.03" cy="40" r="2.5"/>')
    assert second.x - first.x == approx(0.03, abs=1e-9)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "not an SVG"),
        (b"%PDF-1.7", "broken"),
        (b"<html/>", "root is <html>"),
        (b'<svg width="10mm" height="10mm"><g></svg>', "broken"),
        (b'<svg viewBox="0 0 10 10"/>', "no width"),
        (b'<svg width="10mm"/>', "no height"),
        (b'<svg width="100%" height="10mm"/>', 'width is "100%"'),
        (b'<svg width="-1mm" height="10mm"/>', "no size"),
        (b'<svg width="10mm" height="10mm" viewBox="0 0 0 1"/>', "viewBox"),
        (b'<!DOCTYPE svg><svg width="10mm" height="10mm"/>', "DOCTYPE"),
        (b'<?xml version="1.0" encoding="no-such"?><svg/>', "encoding"),
        (svg('<circle r="-1"/>'), "negative"),
        (svg('<circle cx="1 2" r="1"/>'), 'cx="1 2"'),
        (svg('<circle r="10%"/>'), 'r="10%"'),
        (svg('<g transform="rotate(1 2)"/>'), "rotate"),
        (svg('<g transform="turn(1)"/>'), "turn"),
        (svg('<g transform="rotate(1) x"/>'), "transform"),
        (svg('<g transform="scale(1;2)"/>'), "scale"),
        (svg('<use href="#a"/>'), "<use>"),
        (svg('<svg width="1" height="1"/>'), "inside"),
        (svg("<g>" * 1100 + "</g>" * 1100), "deep"),
    ],
)
def test_refusals_are_plain_sentences(data: bytes, words: str) -> None:
    with pytest.raises(ValueError, match="SVG") as raised:
        read_svg(data)
    assert words in str(raised.value)


def test_entities_that_multiply_are_refused_before_they_are_read() -> None:
    entities = b'<!ENTITY a "xxxxxxxxxx"><!ENTITY b "&a;&a;&a;">'
    bomb = b"<!DOCTYPE s [" + entities + b']><svg width="1mm" height="1mm">&b;</svg>'
    with pytest.raises(ValueError, match="DOCTYPE"):
        read_svg(bomb)


def test_a_long_list_of_transforms_takes_time_by_its_length() -> None:
    """Two hundred thousand steps: a second at most, where going through the text again at each takes many."""
    began = process_time()
    read_svg(svg(f'<g transform="{"scale(1) " * 200_000}"/>'))
    assert process_time() - began < 4.0


def test_a_file_over_64_mb_is_refused() -> None:
    with pytest.raises(ValueError, match="64 MB"):
        read_svg(b" " * (64 * 1024 * 1024 + 1))


SMALL = st.floats(-50, 50).map(lambda value: round(value, 3))
FACTOR = st.floats(0.3, 3).map(lambda value: round(value, 3))
TURN = st.floats(-360, 360).map(lambda value: round(value, 2))
LEAN = st.floats(-40, 40).map(lambda value: round(value, 2))
STEP = st.one_of(
    st.builds("translate({}, {})".format, SMALL, SMALL),
    st.builds("translate({})".format, SMALL),
    st.builds("scale({})".format, FACTOR),
    st.builds("scale({} -{})".format, FACTOR, FACTOR),
    st.builds("rotate({})".format, TURN),
    st.builds("rotate({},{},{})".format, TURN, SMALL, SMALL),
    st.builds("skewX({})".format, LEAN),
    st.builds("skewY({})".format, LEAN),
    st.builds("matrix({} 0.25 -0.5 {} {} {})".format, FACTOR, FACTOR, SMALL, SMALL),
)


@settings(max_examples=150, deadline=None)
@given(
    outer=st.lists(STEP, max_size=3),
    inner=st.lists(STEP, max_size=3),
    cx=SMALL,
    cy=SMALL,
    rx=FACTOR,
    ry=FACTOR,
)
def test_transforms_agree_with_svgelements(
    outer: list[str], inner: list[str], cx: float, cy: float, rx: float, ry: float
) -> None:
    svgelements = pytest.importorskip("svgelements")
    shapes = (
        f'<ellipse cx="{cx}" cy="{cy}" rx="{rx}" ry="{ry}" transform="{" ".join(inner)}"/>'
        f'<line x1="{cx}" y1="{cy}" x2="{rx}" y2="{ry}" transform="{" ".join(inner)}"/>'
    )
    found = read_svg(svg(f'<g transform="{" ".join(outer)}">{shapes}</g>'))
    # In svgelements the first factor of a product is done first. The root maps 1 to 1 onto mm.
    m = svgelements.Matrix(" ".join(inner)) * svgelements.Matrix(" ".join(outer))
    centre, end = m.point_in_matrix_space((cx, cy)), m.point_in_matrix_space((rx, ry))
    (circle,), (line,) = found.circles, found.segments
    assert (circle.x, circle.y) == approx((centre.x, centre.y), abs=1e-6)
    assert (line.x1, line.y1, line.x2, line.y2) == approx((centre.x, centre.y, end.x, end.y), abs=1e-6)
    # How far an ellipse reaches along each direction settles it: hypot of its half diameters' shares there.
    for step in range(8):
        along, down = cos(step * pi / 8), sin(step * pi / 8)
        reach = hypot(rx * (m.a * along + m.b * down), ry * (m.c * along + m.d * down))
        turn = step * pi / 8 + circle.angle  # the direction seen from the axes; angle is against y down
        assert hypot(circle.rx * cos(turn), circle.ry * sin(turn)) == approx(reach, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(root=st.tuples(*[st.floats(1, 50).map(lambda value: round(value, 2))] * 4))
def test_the_root_agrees_with_svgelements(root: tuple[float, float, float, float]) -> None:
    svgelements = pytest.importorskip("svgelements")
    width, height, across, down = root
    data = svg(
        '<line x1="0" y1="0" x2="7" y2="9"/>',
        f'width="{width}in" height="{height}in" viewBox="0 0 {across} {down}"',
    )
    (line,) = read_svg(data).segments
    picture = svgelements.SVG.parse(BytesIO(data), reify=True)
    (other,) = [shape for shape in picture.elements() if isinstance(shape, svgelements.SimpleLine)]
    mm = 25.4 / 96  # svgelements gives px (and rounds its px a mm: inches here)
    expected = tuple(value * mm for value in (other.x1, other.y1, other.x2, other.y2))
    assert (line.x1, line.y1, line.x2, line.y2) == approx(expected, abs=1e-6)


@settings(max_examples=200, deadline=None)
@given(cut=st.integers(0, 400), put=st.binary(max_size=4), drop=st.integers(0, 6))
def test_damage_raises_nothing_but_value_errors(cut: int, put: bytes, drop: int) -> None:
    whole = svg('<g transform="rotate(5)"><circle cx="1" cy="2" r="3"/></g><metadata>&lt;é</metadata>')
    damaged = whole[:cut] + put + whole[cut + drop :]
    try:
        found = read_svg(damaged)
    except ValueError as error:
        assert "SVG" in str(error)
    else:
        assert len(found.pages) == 1
