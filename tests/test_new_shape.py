"""A shape that the project does not have, told in one definition: from the text of a job to sheets that are measured."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import asin, cos, hypot, pi, sin, tan
from typing import Any

import pytest
from jobs_made import BOLT, Keys, ramp, run, stair, text

from jiggen.build import Drawn, Options, Survey, build, survey
from jiggen.drawing.scene import Oval
from jiggen.geometry import Line as Ray
from jiggen.geometry import Point, Vector, heading_vector
from jiggen.job.read import read_job
from jiggen.plan.prism import Prism
from jiggen.problems import JobError
from jiggen.shapes.known import SHAPES, Shape, Size
from jiggen.shapes.outline import Outline, Polygon
from jiggen.web.forms import about

WITHIN = 0.01  # mm
GROUNDS: dict[str, Keys] = {
    "level": {},
    "ramp": {"ramp": ramp(4.8, "down")},
    "stair": {"stair": stair(178, 279, 120), "bottom_gap": 20},
}


def ridged(thick: float, wide: float, ridge: float) -> Outline:
    """All there is to say of a new shape: ``thick`` along the run, both sides drawn out to a ridge ``ridge`` wide."""
    a, b = thick / 2, wide / 2
    return Polygon((Point(a, -b), Point(a, b), Point(0, ridge / 2), Point(-a, b), Point(-a, -b), Point(0, -ridge / 2)))


RIDGED = Shape(
    (Size("thick", "thickness"), Size("wide", "flat width"), Size("ridge", "ridge to ridge")),
    ridged,
    "ridged, {thick} by {wide}, {ridge} over the ridges",
)
KINDS: dict[str, Keys] = {
    "ridged": {"shape": "ridged", "thick": 100, "wide": 90, "ridge": 130, "material": "douglas fir"},
    "octagon": {"shape": "octagon", "width": 140, "material": "douglas fir"},
}


@pytest.fixture(autouse=True)
def added(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(SHAPES, "ridged", RIDGED)


def corners(kind: str) -> list[tuple[float, float]]:
    """Forward and to the left, counter-clockwise from above, worked out by hand."""
    if kind == "ridged":
        return [(50, -45), (50, 45), (0, 65), (-50, 45), (-50, -45), (0, -65)]
    far = 70 / cos(pi / 8)  # a regular octagon's corners stand every 45 degrees, 22.5 from forward
    return [(far * cos(t), far * sin(t)) for t in (pi / 8 + pi / 4 * (k - 1) for k in range(8))]


def laid(kind: str, ground: str, **keys: Any) -> Survey:
    return survey(
        read_job(
            text(
                run([900, 1000], count=4, height=800, start="bolt", finish="bolt", **GROUNDS[ground], **keys),
                post={"timber": KINDS[kind]},
                fitting={"bolt": BOLT},
                sheet={"kind": "wrap"},
            )
        ),
        Options(posts=("2",)),
    )


def fold(found: Survey, drawn: Drawn, kind: str) -> Callable[[float, float], Vector]:
    """Paper laid on the first face with its datum at the underside, then led round the corners of the post."""
    face = found.plan.face_by_id[drawn.group.strip[0]]
    post, line = found.plan.post_by_id[face.post], found.plan.runs[0]
    ((x0, y0),) = [(x, y) for name, x, y in drawn.sheet.seats if name == face.id]
    z0 = line.underside(line.along(face.frame.origin))
    places = corners(kind)
    ring = list(zip(places, places[1:] + places[:1], strict=True))

    def outward(edge: Any) -> float:
        (ax, ay), (bx, by) = edge
        return ((by - ay) * face.frame.normal.x + (ax - bx) * face.frame.normal.y) / hypot(bx - ax, by - ay)

    first = max(range(len(ring)), key=lambda i: outward(ring[i]))

    def lay(x: float, y: float) -> Vector:
        index = first
        s = x - x0 + hypot(ring[index][1][0] - ring[index][0][0], ring[index][1][1] - ring[index][0][1]) / 2
        while True:
            (ax, ay), (bx, by) = ring[index % len(ring)]
            long = hypot(bx - ax, by - ay)
            if s <= long:
                return Vector(
                    post.prism.base.x + ax + (bx - ax) * s / long,
                    post.prism.base.y + ay + (by - ay) * s / long,
                    z0 + y - y0,
                )
            s, index = s - long, index + 1

    return lay


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("deck", ["left", "right"])
def test_folded_sheet_puts_every_mark_on_its_cable(kind: str, ground: str, deck: str) -> None:
    found = laid(kind, ground, deck=deck)
    (drawn,) = found.sheets
    # from one marked side round to the other: 2 of 6 sides lie between them, 3 of 8
    assert len(drawn.group.strip) == {"ridged": 4, "octagon": 5}[kind]
    lay, line = fold(found, drawn, kind), found.plan.runs[0]
    seen = 0
    for shape in drawn.sheet.drawing.shapes:
        if isinstance(shape, Oval) and "mark" in dict(shape.data):
            cable = int(dict(shape.data)["mark"].rpartition("/")[2])
            wanted, point = line.line(line.drops[cable - 1]), lay(*shape.centre)
            gap = point.minus(wanted.point)
            assert gap.minus(wanted.direction.times(gap.dot(wanted.direction))).length() < WITHIN
            seen += 1
    assert seen == 8


def test_sides_of_a_strip_have_names_of_their_own() -> None:
    found = laid("octagon", "level")
    names = [face.rpartition("/")[2] for face in found.sheets[0].group.strip]
    assert len(set(names)) == 5 and names[2] == "deck side"
    assert {names[0], names[4]} == {"toward 1", "toward 3"} and names[1].startswith("side")


@pytest.mark.parametrize("kind", KINDS)
def test_sheets_of_a_new_shape_read_back(kind: str) -> None:
    """Text to files: build refuses a stop, reads each file again and refuses a mark that is off by 0.02 mm."""
    packet = build(
        read_job(
            text(
                run([900, 1000], start="bolt", finish="bolt"),
                post={"timber": KINDS[kind]},
                fitting={"bolt": BOLT},
                jig={"thickness": 6, "kerf": 0.2, "bed": [1000, 600], "stock": [1200, 600]},
            )
        )
    )
    assert {"packet.pdf", "sheets/S1.svg", "jigs/S1.svg"} <= set(packet.files)
    assert packet.deviations and max(d.off for d in packet.deviations) < 0.02


def test_bore_leaves_a_new_shape_where_its_far_side_is() -> None:
    """100 mm thick, at 10 degrees in plan: 100 / cos 10 from face to face; across a ridge 130 at its middle."""
    post = Prism(Vector(0, 0, 0), Vector(0, 0, 1), Vector(1, 0, 0), ridged(100, 90, 130))
    ends = post.through(Ray(Vector(0, 0, 500), heading_vector(pi / 18)))
    assert ends is not None and ends[0].minus(ends[1]).length() == pytest.approx(100 / cos(pi / 18))
    ends = post.through(Ray(Vector(0, 0, 500), heading_vector(pi / 2)))
    assert ends is not None and ends[0].minus(ends[1]).length() == pytest.approx(130)
    # 60 degrees off the run the line leaves by a slanting side, from (50, 45) to (0, 65):
    # x = t cos 60, y = t sin 60 on 20 x + 50 y = 3250, so t = 3250 / (20 cos 60 + 50 sin 60)
    assert post.half_extent(heading_vector(pi / 3)) == pytest.approx(3250 / (20 * 0.5 + 50 * sin(pi / 3)))


def test_octagon_side_is_as_wide_as_its_angle_says() -> None:
    """140 tan(22.5 degrees) = 57.99 mm; its normals stand 45 degrees apart."""
    faces = Prism(Vector(0, 0, 0), Vector(0, 0, 1), Vector(1, 0, 0), SHAPES["octagon"].outline(140)).faces()
    assert [face.width for face in faces] == pytest.approx([140 * tan(pi / 8)] * 8)
    turns = [asin(a.normal.cross(b.normal).z) for a, b in pairwise(faces)]
    assert turns == pytest.approx([pi / 4] * 7)


def test_keys_of_a_new_shape_are_judged_like_all_keys() -> None:
    """A size of another shape, a size left out, a word misspelt: each with its place and remedy."""
    wrong = {**KINDS["ridged"], "width": 89}
    del wrong["wide"]
    with pytest.raises(JobError) as error:
        read_job(text(run([900]), post={"timber": wrong}))
    told = {problem.where: f"{problem.found}; {problem.remedy}" for problem in error.value.problems}
    assert "thick" in told["post.timber.width"] and "ridged" in told["post.timber.width"]
    assert "post.timber.wide" in told
    with pytest.raises(JobError) as error:
        read_job(text(run([900]), post={"timber": {**KINDS["ridged"], "shape": "ridge"}}))
    assert "ridged" in error.value.problems[0].remedy


def test_page_offers_the_sizes_of_every_shape() -> None:
    assert about()["choices"]["shapes"]["ridged"] == ["thick", "wide", "ridge"]


@pytest.mark.parametrize(
    "wrong",
    [
        ((0, 0), (10, 0)),
        ((0, 0), (0, 10), (10, 0)),  # clockwise
        ((10, -10), (10, 10), (2, 0), (-10, 10), (-10, -10)),  # one corner lies inside
    ],
)
def test_outline_that_is_not_convex_is_refused(wrong: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ValueError, match="counter-clockwise"):
        Polygon(tuple(Point(*corner) for corner in wrong))
