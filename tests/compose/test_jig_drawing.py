"""What a cutter is given: kerf by one number and by a simulated cut, order, closed lines, nothing twice; the assembly page."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from jigs_made import JOBS, WISH, all_jigs, every, laid_out, one, shop_plan
from shapely.geometry import LinearRing, Polygon
from shapely.geometry import Point as Spot
from shapely.ops import unary_union
from svgelements import SVG, Circle, Close, Path, SimpleLine

from jiggen.compose.assembly import assembly
from jiggen.compose.exploded import Body, flat, seen
from jiggen.compose.jig import layout, operations
from jiggen.drawing.scene import Drawing, Ink, Oval
from jiggen.drawing.scene import Path as Way
from jiggen.geometry import Point, Vector
from jiggen.plan.jigs.make import comb_jig, discs_jig
from jiggen.plan.jigs.model import Hole, Jig, Part
from jiggen.plan.jigs.shapes import contour
from jiggen.plan.words import length
from jiggen.readback.contour import read_svg_contours
from jiggen.readback.svg import read_svg
from jiggen.render.shop import shop_svg

JIGS = every()
NS = "{http://www.w3.org/2000/svg}"


def plain(*holes: Hole, kerf: float = 0.2) -> Jig:
    """A board of 100 x 60 with holes and one slot."""
    outline = tuple(Point(*p) for p in ((0, 0), (100, 0), (100, 40), (80, 40), (80, 60), (0, 60)))
    slot = tuple(Point(*p) for p in ((10, 10), (16, 10), (16, 34), (10, 34)))
    part = Part("t/1", "board", outline, 6.0, (slot,), holes)
    return Jig("t", "t", "", (), (part,), (), (), (), replace(WISH, thickness=6.0, kerf=kerf))


def cuts(drawing: Drawing) -> list[Oval | Way]:
    return [s for s in drawing.shapes if s.ink is Ink.CUT and isinstance(s, Oval | Way)]


def test_kerf_by_one_number() -> None:
    """A 5.556 mm hole at kerf 0.2 is drawn 5.356; the outline 100.2 x 60.2; the slot 5.8 x 23.8."""
    drawing = layout(plain(Hole(Point(50.0, 20.0), 5.556, "guide"))).drawings[0]
    hole = next(s for s in drawing.shapes if isinstance(s, Oval))
    assert 2.0 * hole.rx == pytest.approx(5.356, abs=1e-9) and hole.rx == hole.ry
    sizes = {}
    for shape in cuts(drawing):
        if isinstance(shape, Way):
            xs, ys = [p.x for p in shape.points], [p.y for p in shape.points]
            sizes[dict(shape.data)["use"]] = sorted((max(xs) - min(xs), max(ys) - min(ys)))
    assert sizes["outline"] == pytest.approx([60.2, 100.2])
    assert sizes["slot"] == pytest.approx([5.8, 23.8])


@pytest.mark.parametrize("kerf", [0.0, 0.1, 0.2, 0.35, 1.0])
def test_simulated_cut_gives_back_the_nominal_part(kerf: float) -> None:
    """Take away what a beam as wide as the kerf takes along each line. Edges come back within 0.005 mm; in an inner
    corner a round beam leaves (sqrt 2 - 1) / 2 of its width, no more."""
    slanted = Hole(Point(60.0, 30.0), 5.6563, "guide", stretch=3.8146, slant=1.18528, trace=Point(0.0, 1.0))
    round_one = Hole(Point(40.0, 20.0), 6.1, "dowel")
    jig = plain(slanted, round_one, kerf=kerf)
    made = layout(jig)
    laid = made.laid[0]
    rings: dict[str, list[Polygon]] = {"inner": [], "outer": []}
    for shape in cuts(made.drawings[0]):
        if isinstance(shape, Oval):
            rings["inner"].append(_circle(shape.centre, shape.rx))
        else:
            rings["outer" if dict(shape.data)["use"] == "outline" else "inner"].append(Polygon(shape.points))
    beam = unary_union([LinearRing(p.exterior).buffer(kerf / 2.0 + 1e-9, 64) for ps in rings.values() for p in ps])
    left = rings["outer"][0].difference(beam).difference(unary_union(rings["inner"]))
    body = max(getattr(left, "geoms", [left]), key=lambda g: g.area)

    def nominal(points: tuple[Point, ...]) -> Polygon:
        return Polygon([laid.at(p) for p in points])

    part = jig.parts[0]
    holes = [nominal(contour(slanted)), _circle(laid.at(round_one.at), 3.05), nominal(part.slots[0])]
    wanted = nominal(part.outline).difference(unary_union(holes))
    assert body.buffer(0.005, join_style="mitre").contains(wanted.buffer(-1e-6))  # nowhere too much taken
    spare = body.difference(wanted.buffer(0.005, join_style="mitre"))
    corner = (2.0**0.5 - 1.0) / 2.0 * kerf
    assert spare.area <= 6.0 * kerf * kerf  # only in corners: five of them
    assert wanted.buffer(corner + 0.006).contains(body.buffer(-1e-6))


def _circle(centre: Point, radius: float) -> Polygon:
    return Spot(centre.x, centre.y).buffer(radius, 180)


@pytest.mark.parametrize(("name", "jig_id"), JIGS)
def test_contours_are_valid_and_nested_right(name: str, jig_id: str) -> None:
    """Every outline is simple; its holes and slots lie inside it, apart from each other; outlines apart, on the panel."""
    made = laid_out(name, jig_id)
    for number, drawing in enumerate(made.drawings):
        outer: dict[str, Polygon] = {}
        inner: dict[str, list[Polygon]] = {}
        for shape in cuts(drawing):
            said = dict(shape.data)
            polygon = _circle(shape.centre, shape.rx) if isinstance(shape, Oval) else Polygon(shape.points)
            assert polygon.is_valid and polygon.area > 1.0
            if said["use"] == "outline":
                assert said["part"] not in outer
                outer[said["part"]] = polygon
            else:
                inner.setdefault(said["part"], []).append(polygon)
        assert set(outer) == {laid.part.id for laid in made.laid if laid.sheet == number}
        assert set(inner) <= set(outer)
        for part, holes in inner.items():
            for i, hole in enumerate(holes):
                assert outer[part].contains(hole)
                assert outer[part].exterior.distance(hole) > 1.9
                assert all(hole.distance(other) > 1.9 for other in holes[i + 1 :])
        shapes = list(outer.values())
        for i, one_part in enumerate(shapes):
            left, bottom, right, top = one_part.bounds
            assert left >= 8.0 - 1e-6 and bottom >= 8.0 - 1e-6
            assert right <= drawing.width - 8.0 + 1e-6 and top <= drawing.height - 8.0 + 1e-6
            assert all(one_part.distance(other) >= 4.0 - 1e-6 for other in shapes[i + 1 :])


@pytest.mark.parametrize("name", JOBS)
def test_panels_are_at_most_one_over_the_area(name: str) -> None:
    for jig in all_jigs(name):
        made = layout(jig)
        assert made.bound <= len(made.drawings) <= made.bound + 2  # the bound knows no shapes
        job, count = shop_plan(name).job, len(made.drawings)
        size = " by ".join(length(job, side) for side in made.size)
        assert f"{count} panel{'s' * (count != 1)} of {size}" in made.words(job)
        assert ("would fill" in made.words(job)) == (made.bound < count)


@pytest.mark.parametrize(("name", "jig_id"), JIGS[::4])
def test_order_groups_and_no_line_twice(name: str, jig_id: str) -> None:
    """Engrave, score, cut; in the cut group everything inner before anything outer; closed; no line drawn twice."""
    made = laid_out(name, jig_id)
    for drawing in made.drawings:
        data = shop_svg(drawing, operations(WISH))
        root = ElementTree.fromstring(data)
        assert [g.get("id") for g in root.iter(f"{NS}g")] == ["engrave", "score", "cut"]
        assert root.get("width", "").endswith("mm") and root.get("viewBox", "").startswith("0 0 ")
        cut = next(g for g in root.iter(f"{NS}g") if g.get("id") == "cut")
        uses = [e.get("data-use") for e in cut]
        first = uses.index("outline")
        assert set(uses[first:]) == {"outline"}
        assert first == len([e for e in cut if e.get("data-use") != "outline"])
        assert not list(root.iter(f"{NS}text"))
        seen_lines = set()
        for line in read_svg_contours(data):
            assert line.gap < 0.001 or line.group != "cut"
            assert line.closed or line.group != "cut"
            if line.group == "engrave":
                continue
            ring = [*line.points, line.points[0]]
            for a, b in pairwise(ring):
                key = tuple(sorted((tuple(round(v, 3) for v in a), tuple(round(v, 3) for v in b))))
                assert key not in seen_lines
                seen_lines.add(key)


@pytest.mark.parametrize(("name", "jig_id"), [*JIGS[:3], ("sampler", "S1"), ("stair-up", "S2")])
def test_svgelements_reads_the_same(name: str, jig_id: str) -> None:
    """Circles, centre lines and contours as another library has them, mm (it counts 96 px to the inch, to
    six places: 0.0003 mm on a panel)."""
    for drawing in laid_out(name, jig_id).drawings:
        data = shop_svg(drawing, operations(WISH))
        found, lines = read_svg(data), read_svg_contours(data)
        theirs = list(SVG.parse(BytesIO(data), reify=True).elements())
        mm = 25.4 / 96.0
        circles = [(e.cx * mm, e.cy * mm, e.rx * mm) for e in theirs if isinstance(e, Circle)]
        assert circles == [pytest.approx((c.x, c.y, c.rx), abs=5e-4) for c in found.circles]
        straight = [(e.x1 * mm, e.y1 * mm, e.x2 * mm, e.y2 * mm) for e in theirs if isinstance(e, SimpleLine)]
        assert straight == [pytest.approx((s.x1, s.y1, s.x2, s.y2), abs=5e-4) for s in found.segments]
        paths = [sub for e in theirs if isinstance(e, Path) for sub in e.as_subpaths()]
        assert len(paths) == len(lines)
        for sub, line in zip(paths, lines, strict=True):
            points = [(step.end.x * mm, step.end.y * mm) for step in Path(sub) if not isinstance(step, Close)]
            assert points == [pytest.approx(p, abs=5e-4) for p in line.points]
            assert line.closed == any(isinstance(step, Close) for step in Path(sub))


def test_names_and_colours_of_the_shop() -> None:
    wish = replace(WISH, operations={"cut": ("through", "#112233"), "engrave": ('a "mark" <1>', "#445566")})
    jig = replace(one("example", "S2"), wish=wish)
    root = ElementTree.fromstring(shop_svg(layout(jig).drawings[0], operations(wish)))
    groups = {g.get("id"): g.get("stroke") for g in root.iter(f"{NS}g")}
    assert groups["through"] == "#112233" and groups['a "mark" <1>'] == "#445566"
    assert list(groups)[1] == "score"


def test_same_jig_same_bytes() -> None:
    one_jig = one("stair-up", "S2")
    assert [shop_svg(d, operations(WISH)) for d in layout(one_jig).drawings] == [
        shop_svg(d, operations(WISH)) for d in layout(one_jig).drawings
    ]


def test_comb_and_discs_are_drawn() -> None:
    """The comb's raw contours stand as they are, its slots with the kerf; a disc of 4 in at kerf 0.2 is drawn 101.8."""
    plan = shop_plan("example")
    comb, discs = comb_jig(plan), discs_jig(plan)
    assert comb and discs
    shapes = cuts(layout(comb).drawings[0])
    raw = next(s for s in shapes if dict(s.data) == {"part": "comb/2", "use": "slot"})
    assert isinstance(raw, Way)
    xs = sorted({round(p.x, 6) for p in raw.points} | {round(p.y, 6) for p in raw.points})
    assert any(abs(b - a - 16.0) < 1e-9 for a in xs for b in xs)
    radii = [s.rx for s in cuts(layout(discs).drawings[0]) if isinstance(s, Oval)]
    assert radii == pytest.approx([101.8 / 2.0, 111.325 / 2.0, 152.6 / 2.0])


@pytest.mark.parametrize(("name", "jig_id"), JIGS)
def test_assembly_page(name: str, jig_id: str) -> None:
    """Every part has its number in the list and beside the picture; all lies on the page; cautions and play are said."""
    jig = one(name, jig_id)
    page = assembly(shop_plan(name), jig, (180.0, 245.0), laid_out(name, jig_id).words(shop_plan(name).job))
    words = [s.text for s in page.shapes if hasattr(s, "text")]
    for number, part in enumerate(jig.parts, 1):
        assert part.id.endswith(f"/{number}")
        (told,) = (w for w in words if w.startswith(f"{number}  {part.name}, "))
        assert told.endswith(" in" if shop_plan(name).job.units == "in" else " mm")
        assert str(number) in words
    said = " ".join(words)
    for part_of in ("UP", "Eye protection", "1 : ", "extinguisher", shop_plan(name).fingerprint):
        assert part_of in said
    assert ("Play" in said) == (jig.layers > 1)
    for shape in page.shapes:
        for p in _corners(shape):
            assert -0.5 <= p.x <= 180.5 and -0.5 <= p.y <= 245.5


def _corners(shape: object) -> list[Point]:
    for names in (("start", "end"), ("at",), ("centre",)):
        if all(hasattr(shape, n) for n in names):
            return [getattr(shape, n) for n in names]
    return list(getattr(shape, "points", ()))


def test_what_is_behind_is_not_drawn() -> None:
    """A small board wholly behind a large one is not seen; pulled aside it is."""

    def board(half: float, w: float, aside: float, name: str) -> Body:
        corners = ((-half, -half), (half, -half), (half, half), (-half, half))
        return Body(tuple(Vector(aside + x, y, w) for x, y in corners), Vector(0.0, 0.0, 1.0), 2.0, (), name)

    hidden = seen([board(100.0, 0.0, 0.0, "large"), board(10.0, -20.0, 0.0, "small")])
    assert {name for name, _ in hidden} == {"large"}
    aside = seen([board(100.0, 0.0, 0.0, "large"), board(10.0, -20.0, 300.0, "small")])
    assert {name for name, _ in aside} == {"large", "small"}
    corner = flat(Vector(-100.0, -100.0, 0.0))
    assert any(corner in piece for name, piece in hidden if name == "large")
