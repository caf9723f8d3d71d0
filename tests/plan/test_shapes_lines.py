"""Where lines enter and leave posts, against trimesh's planes and shapely's distances: random posts, leans, skews."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi, sin
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_made import Keys, between, plan, ramp, run, stair

from jiggen.geometry import UP, Line, Point, Vector, heading_vector
from jiggen.plan.model import Plan
from jiggen.plan.prism import Prism
from jiggen.shapes.known import section
from jiggen.shapes.outline import Polygon

trimesh = pytest.importorskip("trimesh")
shapely = pytest.importorskip("shapely")

WITHIN = 1e-6  # mm
GRAZES = 0.05  # mm; a chord shorter than this only touches the post
MANY = settings(max_examples=120)
FEW = settings(max_examples=25)


def flat_sides(base: Any, axis: Any, along: Any, sizes: tuple[float, float], start: Any, way: Any) -> list[Any]:
    """Where a line meets the four sides of a box-shaped post, by trimesh: in the order in which it passes them."""
    left = np.cross(axis, along)
    frame = np.eye(4)
    frame[:3, 0], frame[:3, 1], frame[:3, 2], frame[:3, 3] = along, left, axis, base
    mesh = trimesh.creation.box(extents=(*sizes, 40000.0), transform=frame)
    found = []
    for origin, normal in zip(mesh.facets_origin, mesh.facets_normal, strict=True):
        if abs(normal @ axis) > 0.9:
            continue  # top and foot
        points, valid = trimesh.intersections.plane_lines(origin, normal, np.array([[start], [start + way]]), False)
        for point in points if valid[0] else ():
            local = (trimesh.transformations.inverse_matrix(frame) @ [*point, 1.0])[:3]
            if abs(local[0]) <= sizes[0] / 2 + 1e-7 and abs(local[1]) <= sizes[1] / 2 + 1e-7:
                found.append(point)
    return sorted(found, key=lambda point: float((point - start) @ way))


def round_side(base: Any, axis: Any, radius: float, start: Any, way: Any) -> list[Any]:
    """Where a line meets a round post: shapely's distance of its axis from the line, seen along the axis."""
    first = np.cross(axis, [0.3, 0.8, 0.1])
    first /= np.linalg.norm(first)
    second = np.cross(axis, first)
    flat = lambda p: (float((p - base) @ first), float((p - base) @ second))  # noqa: E731
    far = 1e5
    line = shapely.LineString([flat(start - far * way), flat(start + far * way)])
    centre = shapely.Point(0, 0)
    off = line.distance(centre)
    if off >= radius:
        return []
    middle, half = line.project(centre), (radius * radius - off * off) ** 0.5
    share = 2.0 * far / line.length
    return [start + way * (s * share - far) for s in (middle - half, middle + half)]


@st.composite
def posts(draw: Any) -> Prism:
    """A post of any size, turn and lean of up to 100 mm a metre."""
    heading, tilt = draw(between(-pi, pi)), draw(st.tuples(between(-0.1, 0.1), between(-0.1, 0.1)))
    axis = UP.plus(heading_vector(heading).times(tilt[0])).plus(UP.cross(heading_vector(heading)).times(tilt[1])).unit()
    along = heading_vector(heading)
    along = along.minus(axis.times(along.dot(axis))).unit()
    is_round = draw(st.booleans())
    size = draw(between(6, 610))
    base = Vector(*(draw(between(-5000, 5000)) for _ in range(3)))
    cut = section("round", size) if is_round else section("rectangular", size, draw(between(6, 610)))
    return Prism(base, axis, along, cut.outline)


@st.composite
def crossings(draw: Any) -> tuple[Prism, Line]:
    """A post and a line that passes near its axis, at most 35 degrees steep."""
    post = draw(posts())
    way = heading_vector(draw(between(-pi, pi)), draw(between(-0.6, 0.6)))
    aim = post.base.plus(post.axis.times(draw(between(0, 1200))))
    across = way.cross(post.axis).unit()
    aim = aim.plus(across.times(draw(between(-0.6, 0.6)) * min(post.size_along, post.size_across)))
    return post, Line(aim.minus(way.times(draw(between(-3000, 3000)))), way)


def expected(post: Prism, line: Line) -> list[Any]:
    base, axis, along = (np.array(v) for v in (post.base, post.axis, post.along))
    start, way = np.array(line.point), np.array(line.direction)
    if post.round:
        return round_side(base, axis, post.size_along / 2, start, way)
    return flat_sides(base, axis, along, (post.size_along, post.size_across), start, way)


def close(found: Sequence[float], wanted: Any, within: float = WITHIN) -> bool:
    return bool(np.linalg.norm(np.array(found) - wanted) <= within)


@MANY
@given(crossing=crossings())
def test_line_enters_and_leaves(crossing: tuple[Prism, Line]) -> None:
    post, line = crossing
    wanted, found = expected(post, line), post.through(line)
    if found is None or len(wanted) < 2:  # it misses, or touches an edge or a round side
        assert found is None or close(found[0], np.array(found[1]), GRAZES)
        assert len(wanted) < 2 or close(wanted[0], wanted[-1], GRAZES)
        return
    if close(found[0], np.array(found[1]), GRAZES):  # in a chord so short rounding shows in its ends, not in its middle
        assert close((np.array(found[0]) + found[1]) / 2.0, (wanted[0] + wanted[-1]) / 2.0)
        return
    assert close(found[0], wanted[0]) and close(found[1], wanted[-1])


@MANY
@given(crossing=crossings(), inside=between(-pi, pi))
def test_side_that_looks_at_a_line_is_pierced_where_the_library_says(
    crossing: tuple[Prism, Line], inside: float
) -> None:
    """The face towards where the line goes, its point in (u, v) and back in the world."""
    post, line = crossing
    face = post.face_toward(line.direction, heading_vector(inside))
    found, wanted = face.meets(line), expected(post, line)
    if found is None:
        assert post.round and not wanted
        return
    at = face.place(found)
    assert close(face.world(at.x, at.y), np.array(found))
    if not face.radius:  # the plane of the face goes on past its edges
        points, valid = trimesh.intersections.plane_lines(
            np.array(face.origin),
            np.array(face.normal),
            np.array([[line.point], [line.at(1.0)]]),
            False,
        )
        assert valid[0] and close(found, points[0])
    else:
        assert close(found, wanted[-1])


SHAPES: list[Keys] = [
    {"width": 89, "material": "douglas fir"},
    {"shape": "rectangular", "along": 60, "across": 120, "material": "red oak"},
    {"shape": "round", "diameter": 110, "material": "douglas fir"},
]
grounds = st.one_of(
    st.just({}),
    st.builds(ramp, between(1, 25), st.sampled_from(["up", "down"])).map(lambda found: {"ramp": found}),
    st.builds(stair, between(150, 200), between(250, 320), st.just(130.0), st.sampled_from(["up", "down"])).map(
        lambda found: {"stair": found, "bottom_gap": 20}
    ),
)
leans = st.tuples(between(-15, 15), between(-15, 15)).map(list)


def library_marks(made: Plan) -> int:
    """Every cable mark of every line post against the library; how many there were."""
    lines = {line.id: line for line in made.runs}
    count = 0
    for post in made.posts:
        for face in post.faces:
            for mark in face.marks:
                if mark.purpose != "cable" or face.fittings or mark.cable is None:
                    continue
                line = lines[mark.run].line(lines[mark.run].drops[mark.cable - 1])
                wanted = expected(post.prism, line)
                outward = np.array(face.frame.normal_at(mark.u))
                end = max(wanted, key=lambda point: float(point @ outward))
                assert close(face.frame.world(mark.u, mark.v), end), mark.id
                # through the post along the cable, as far as the library says
                way = np.linalg.norm(wanted[-1] - wanted[0])
                assert abs(mark.depth - way) <= WITHIN, mark.id
                count += 1
    return count


@FEW
@given(
    shape=st.sampled_from(SHAPES),
    turned=between(-25, 25),
    ground=grounds,
    lean=leans,
    end_lean=leans,
)
def test_marks_of_a_plan(shape: Keys, turned: float, ground: Keys, lean: list[float], end_lean: list[float]) -> None:
    """Line posts that are turned and lean, ends that lean too: the cables are taut between leaning axes."""
    kind = shape if shape.get("shape") == "round" else {**shape, "rotate": f"{turned!r} deg"}
    made = plan(
        run([900, 1100], count=4, height=900, start="fixed swivel", finish="fixed swivel", **ground),
        posts={"line": "middle", "end": "end"},
        post={"middle": kind, "end": {"width": 140, "material": "douglas fir"}},
        as_built={"2": {"lean": lean}, "3": {"lean": end_lean}},
    )
    assert library_marks(made) == 8


@st.composite
def outlines(draw: Any) -> Polygon:
    """Corners of a convex outline: on an ellipse, at turns of at least 0.2 rad, the axis inside."""
    a, b = draw(between(10, 300)), draw(between(10, 300))
    count = draw(st.integers(3, 9))
    turns = [2.0 * pi / count * (k + draw(between(-0.3, 0.3))) for k in range(count)]
    return Polygon(tuple(Point(a * cos(turn), b * sin(turn)) for turn in turns))


@MANY
@given(outline=outlines(), heading=between(-pi, pi), off=between(-350, 350))
def test_any_convex_outline_is_crossed_where_shapely_says(outline: Polygon, heading: float, off: float) -> None:
    way = Point(cos(heading), sin(heading))
    start = Point(-off * way.y, off * way.x)
    far = 1e4
    ends = [(start.x + far * s * way.x, start.y + far * s * way.y) for s in (-1, 1)]
    chord = shapely.Polygon(outline.corners).intersection(shapely.LineString(ends))
    low, high = outline.crossing(start, way)
    if chord.is_empty or chord.length < GRAZES:
        assert high - low < 2 * GRAZES
        return
    wanted = sorted((x - start.x) * way.x + (y - start.y) * way.y for x, y in chord.coords)
    assert (low, high) == pytest.approx(tuple(wanted), abs=WITHIN)
    reach = max(x * way.x + y * way.y for x, y in outline.corners)
    assert outline.support(way) == pytest.approx(reach, abs=WITHIN)


@pytest.mark.parametrize(
    ("outline", "turns"),
    [
        (section("square", 50).outline, 4),
        (section("rectangular", 45, 140).outline, 2),
        (section("rectangular", 89, 89).outline, 4),
        (section("octagon", 140).outline, 8),
        (Polygon((Point(50, -50), Point(50, 50), Point(-50, 50.01), Point(-50, -50))), 1),  # 0.01 mm out of square
        (section("round", 60).outline, 1),  # any turn: a whole one is told
    ],
)
def test_the_turn_after_which_an_outline_lies_on_itself(outline: Any, turns: int) -> None:
    assert outline.repeats == pytest.approx(2.0 * pi / turns)
