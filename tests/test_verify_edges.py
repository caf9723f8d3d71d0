"""Outlines and slots of jigs' files against the parts: all in place, and kerf twice, missing or on the wrong side is found."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from jigs_made import every, laid_out, one, shop_plan

from jiggen.compose.jig import layout, operations
from jiggen.drawing.scene import Drawing, Oval, Path, Shape
from jiggen.geometry import Point
from jiggen.plan.jigs.make import comb_jig, discs_jig
from jiggen.plan.jigs.model import Jig
from jiggen.problems import Problem
from jiggen.readback.contour import read_svg_contours
from jiggen.readback.dxf import read_dxf, read_dxf_contours
from jiggen.readback.svg import read_svg
from jiggen.render.dxf import dxf
from jiggen.render.shop import shop_svg
from jiggen.sheets.kerf import offset
from jiggen.verify.edges import EdgeTarget, as_data, check, from_data, on_panel, targets

Change = Callable[[Oval | Path], Shape]


def both(jig: Jig, drawings: tuple[Drawing, ...]) -> list[list[Problem]]:
    """What is wrong in the SVGs and in the DXFs of these drawings."""
    ops = operations(jig.wish)
    svgs = [shop_svg(drawing, ops) for drawing in drawings]
    dxfs = [dxf(drawing, ops) for drawing in drawings]
    wanted = targets(jig)
    return [
        check(wanted, [(read_svg(data), read_svg_contours(data)) for data in svgs], True),
        check(wanted, [(read_dxf(data), read_dxf_contours(data)) for data in dxfs], False),
    ]


def changed(drawings: tuple[Drawing, ...], use: str, change: Change) -> tuple[Drawing, ...]:
    """The drawings with every line of a use put through ``change``."""
    return tuple(
        replace(
            drawing,
            shapes=tuple(
                change(shape) if isinstance(shape, Oval | Path) and dict(shape.data).get("use") == use else shape
                for shape in drawing.shapes
            ),
        )
        for drawing in drawings
    )


def grown(by: float) -> Change:
    """Every side ``by`` mm further out."""

    def change(shape: Oval | Path) -> Shape:
        if isinstance(shape, Oval):
            return replace(shape, rx=shape.rx + by, ry=shape.ry + by)
        return replace(shape, points=offset(shape.points, by))

    return change


@pytest.mark.parametrize(("name", "jig"), every())
def test_every_edge_is_where_the_part_has_it(name: str, jig: str) -> None:
    assert both(one(name, jig), laid_out(name, jig).drawings) == [[], []]


def test_comb_and_discs() -> None:
    """The comb is cut without kerf, to measure it; the discs are round."""
    plan = shop_plan("example")
    for made in (comb_jig(plan), discs_jig(plan)):
        if made is not None:
            drawings = layout(made).drawings
            assert both(made, drawings) == [[], []]
            for problems in both(made, changed(drawings, "outline", grown(0.1))):
                assert {p.where for p in problems} == {part.id for part in made.parts}


@pytest.mark.parametrize(("name", "jig"), [("example", "S1"), ("stair-up", "S2")])
@pytest.mark.parametrize("by", [-0.2, -0.1, 0.1])
def test_kerf_on_the_wrong_side_missing_or_twice_at_an_outline(name: str, jig: str, by: float) -> None:
    """Kerf 0.2 mm: 0.1 out is right; 0.2 further in is 0.1 on the wrong side, 0.1 further in none, 0.1 further out twice.

    Sides all round that lie as much too far out cannot be made good by a shift: one is that much off at least.
    """
    made = one(name, jig)
    for problems in both(made, changed(laid_out(name, jig).drawings, "outline", grown(by))):
        assert {p.where for p in problems} == {part.id for part in made.parts}
        offs = [float(re.fullmatch(r"its outline is (\d\.\d{3}) mm from its plan", p.found)[1]) for p in problems]  # type: ignore[index]
        assert min(offs) >= abs(by)
        assert max(offs) < 2.0 * abs(by)


@pytest.mark.parametrize("by", [0.2, 0.1, -0.1])
def test_kerf_on_the_wrong_side_missing_or_twice_at_a_slot(by: float) -> None:
    made = one("example", "S1")
    slotted = {part.id for part in made.parts if part.slots}
    assert slotted
    for problems in both(made, changed(laid_out("example", "S1").drawings, "slot", grown(by))):
        assert {p.where for p in problems} == slotted
        assert {p.found for p in problems} == {f"a slot is {abs(by):.3f} mm from its plan"}


def test_a_slot_that_moved_and_one_that_is_lost() -> None:
    made, drawings = one("example", "S1"), laid_out("example", "S1").drawings

    def moved(shape: Oval | Path) -> Shape:
        assert isinstance(shape, Path)
        return replace(shape, points=tuple(Point(p.x + 0.03, p.y) for p in shape.points))

    for problems in both(made, changed(drawings, "slot", moved)):
        assert {p.found for p in problems} == {"a slot is 0.030 mm from its plan"}
    lost = tuple(
        replace(d, shapes=tuple(s for s in d.shapes if dict(getattr(s, "data", ())).get("use") != "slot"))
        for d in drawings
    )
    for problems in both(made, lost):
        assert all("0 slots are drawn for it" in p.found for p in problems)
        assert problems


def test_a_corner_too_many() -> None:
    def pointed(shape: Oval | Path) -> Shape:
        assert isinstance(shape, Path)
        return replace(shape, points=(*shape.points, Point(shape.points[0].x + 1.0, shape.points[0].y + 1.0)))

    made = one("example", "S1")
    for problems in both(made, changed(laid_out("example", "S1").drawings, "outline", pointed)):
        assert {p.found for p in problems} == {"its outline has other corners than planned"}


def test_targets_ride_in_the_file() -> None:
    wanted = targets(one("stair-up", "S2"))
    back = from_data(as_data(wanted))
    assert [(one.part, one.use, one.disc, one.out) for one in back] == [
        (one.part, one.use, one.disc, one.out) for one in wanted
    ]
    for row in ({"part": "x"}, {**as_data(wanted)[0], "points": [[1.0]]}):
        with pytest.raises(ValueError, match="damaged"):
            from_data([row])


def test_one_panel_by_itself() -> None:
    """Only the parts that lie on it are judged."""
    made = one("example", "S1")
    data = shop_svg(laid_out("example", "S1").drawings[0], operations(made.wish))
    panel = read_svg(data), read_svg_contours(data)
    elsewhere = EdgeTarget("not here", "outline", ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)), 0.0, 0.1)
    wanted = on_panel([*targets(made), elsewhere], *panel)
    assert wanted
    assert "not here" not in {one.part for one in wanted}
    assert check(wanted, [panel], True) == []
