"""Jigs' files against the plan: all in place, and a hole moved, resized, renamed, lost or added is found."""

from __future__ import annotations

from dataclasses import replace

import pytest
from jigs_made import JOBS, WISH, all_jigs, every, laid_out, one, shop_plan

from jiggen.compose.jig import layout, operations
from jiggen.drawing.scene import Drawing, Ink, Line, Oval, Path, Shape
from jiggen.geometry import Point
from jiggen.problems import Problem
from jiggen.readback.contour import read_svg_contours
from jiggen.readback.dxf import read_dxf, read_dxf_contours
from jiggen.readback.svg import read_svg
from jiggen.render.dxf import dxf
from jiggen.render.shop import shop_svg
from jiggen.verify import Deviation
from jiggen.verify.jig import as_data, check, from_data, targets


def both(name: str, jig: str, drawings: tuple[Drawing, ...]) -> list[tuple[list[Deviation], list[Problem]]]:
    """What the SVGs and what the DXFs of these drawings show."""
    made = one(name, jig)
    wanted = targets(shop_plan(name), made)
    ops = operations(made.wish)
    svgs = [shop_svg(d, ops) for d in drawings]
    dxfs = [dxf(d, ops) for d in drawings]
    return [
        check(jig, wanted, [(read_svg(b), read_svg_contours(b)) for b in svgs], made.wish.kerf, True),
        check(jig, wanted, [(read_dxf(b), read_dxf_contours(b)) for b in dxfs], made.wish.kerf, False),
    ]


@pytest.mark.parametrize(("name", "jig"), every())
def test_every_guide_is_where_the_plan_has_it(name: str, jig: str) -> None:
    for deviations, problems in both(name, jig, laid_out(name, jig).drawings):
        assert problems == []
        assert deviations
        assert max(d.off for d in deviations if d.off is not None) < 0.005


def test_every_mark_is_a_target() -> None:
    for name in JOBS:
        plan = shop_plan(name)
        for jig in all_jigs(name):
            datum = next(g for g in plan.groups if jig.face in g.faces).datum
            marks = {m.id for m in plan.face_by_id[jig.face].marks if datum != "underside" or m.purpose != "bracket"}
            assert {t.id.partition(":")[0] for t in targets(plan, jig)} - {""} == marks


def changed(name: str, jig: str, change: object) -> tuple[Drawing, ...]:
    """The jig's drawings with the first guide of one of them put through ``change``."""
    drawings = list(laid_out(name, jig).drawings)
    for number, drawing in enumerate(drawings):
        shapes: list[Shape] = list(drawing.shapes)
        for index, shape in enumerate(shapes):
            if isinstance(shape, Oval | Path) and dict(shape.data).get("use") == "guide":
                shapes[index : index + 1] = change(shape)  # type: ignore[operator]
                drawings[number] = replace(drawing, shapes=tuple(shapes))
                return tuple(drawings)
    raise AssertionError("no guide")


def shifted(shape: Oval | Path, by: float) -> Oval | Path:
    if isinstance(shape, Oval):
        return replace(shape, centre=Point(shape.centre.x + by, shape.centre.y))
    return replace(shape, points=tuple(Point(p.x + by, p.y) for p in shape.points))


@pytest.mark.parametrize(("name", "jig"), [("example", "S1"), ("stair-up", "S2")])
@pytest.mark.parametrize("by", [0.03, -0.5])
def test_a_hole_that_moved_is_found(name: str, jig: str, by: float) -> None:
    for _, problems in both(name, jig, changed(name, jig, lambda s: [shifted(s, by)])):
        assert len(problems) == 1 and f"{abs(by):.3f} mm from its plan" in problems[0].found


def test_a_kerf_put_on_the_wrong_way_is_found() -> None:
    """Drawn 0.2 mm too wide: the rim is 0.1 mm off."""
    wide = changed("example", "S1", lambda s: [replace(s, rx=s.rx + 0.1, ry=s.ry + 0.1)])
    for _, problems in both("example", "S1", wide):
        assert [p.found for p in problems] == ["0.100 mm from its plan on S1/1"]


def test_a_lost_a_strange_and_a_renamed_hole_are_found() -> None:
    for _, problems in both("example", "S1", changed("example", "S1", lambda s: [])):
        assert any("not found" in p.found for p in problems)
    for _, problems in both("example", "S1", changed("example", "S1", lambda s: [s, shifted(s, 9.0)])):
        assert [p.found[:15] for p in problems] == ["a hole too many"]
    other = changed("example", "S1", lambda s: [replace(s, data=(("mark", "x"), *s.data[1:]))])
    for _, problems in both("example", "S1", other):
        assert any("is named x" in p.found for p in problems)


def test_a_lost_centre_line_is_found() -> None:
    drawings = tuple(
        replace(d, shapes=tuple(s for s in d.shapes if not (isinstance(s, Line) and s.ink is Ink.SCORE)))
        for d in laid_out("example", "S1").drawings
    )
    for _, problems in both("example", "S1", drawings):
        assert any("centre line" in p.found for p in problems)


def test_targets_ride_in_the_file() -> None:
    wanted = targets(shop_plan("stair-up"), one("stair-up", "S2"))
    back = from_data(as_data(wanted))
    assert len(back) == len(wanted)
    assert all(
        a.id == b.id and abs(a.x - b.x) < 1e-6 and abs(a.length - b.length) < 1e-6
        for a, b in zip(wanted, back, strict=True)
    )
    with pytest.raises(ValueError, match="damaged"):
        from_data([{"id": "x"}])


def test_a_bushed_plate_is_measured_by_its_bushings() -> None:
    from jigs_made import with_wish

    from jiggen.plan.jigs.make import jigs

    plan = with_wish("example", bushing=12.7)
    jig = jigs(plan, next(g for g in plan.groups if g.id == "S2"))[0]
    guides = [t for t in targets(plan, jig) if t.id]
    assert guides and all(t.width == t.length == 12.7 for t in guides)
    files = [shop_svg(d, operations(WISH)) for d in layout(jig).drawings]
    assert (
        check("S2", targets(plan, jig), [(read_svg(b), read_svg_contours(b)) for b in files], WISH.kerf, True)[1] == []
    )
