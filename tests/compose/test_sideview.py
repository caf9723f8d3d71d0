"""The side view on the sheet of patterns: every edge where the job's own figures put it, true scale."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from jobs_made import Keys, job, run

from jiggen.build import Drawn, survey
from jiggen.compose.sideview import draw_side, layers_of, side_view
from jiggen.drawing.scene import Ink, Line, Path, Pen, Text
from jiggen.job.model import Bracket, Fitting

LUG: Keys = {
    "outline": [32, 40],
    "flange": 3,
    "screws": [[0, 12], [0, -12]],
    "screw": "M6 x 16 mm",
    "pivot": [20, 7],
    "swivels": "any",
    "setback": 50,
    "travel": 30,
    "takes_up": 2,
}
BOLT: Keys = {
    "outline": [20, 20],
    "flange": 2,
    "bore": 8,
    "bore_depth": 60,
    "at_rake": True,
    "setback": 38,
    "travel": 25,
}
LEFT, TOP = 10.0, 200.0


def near(value: Any, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def drawn(keys: Keys) -> tuple[list[Any], float, float, Fitting | Bracket]:
    """The shapes of a fitting's view, x of the post's face, y of the flange's middle."""
    made = job(run([900], start="own", finish="own"), fitting={"own": keys})
    fitting, pen = made.fittings["own"], Pen()
    view = side_view(fitting, fitting.outline[1], 25.0, 170.0)
    draw_side(made, pen, view, LEFT, TOP)
    (face,) = [
        s.start.x for s in pen.shapes if isinstance(s, Line) and s.ink is Ink.EDGE and abs(s.end.y - s.start.y) == 50
    ]
    assert face == near(LEFT + view.inside)
    return pen.shapes, face, TOP - 13.0 - 25.0, fitting


def boxes(shapes: list[Any], ink: Ink) -> list[tuple[float, float, float, float]]:
    """Left, bottom, right, top of every closed path."""
    found = []
    for shape in shapes:
        if isinstance(shape, Path) and shape.ink is ink and shape.closed:
            xs, ys = [p.x for p in shape.points], [p.y for p in shape.points]
            found.append((min(xs), min(ys), max(xs), max(ys)))
    return found


def test_flange_screws_and_pivot_lie_where_the_job_says() -> None:
    shapes, face, middle, _ = drawn(LUG)
    found = boxes(shapes, Ink.EDGE)
    assert near((face, middle - 20, face + 3, middle + 20)) in found  # flange 3 thick, outline 40 high
    for up in (12, -12):  # M6: 6 mm thick, 16 - 3 = 13 mm in the post
        assert near((face - 13, middle + up - 3, face + 3, middle + up + 3)) in found
    pins = [box for box in found if box[2] - box[0] == near(5)]
    assert [((a + c) / 2, (b + d) / 2) for a, b, c, d in pins] == [near((face + 20, middle + 7))]


@pytest.mark.parametrize(("keys", "up", "setback"), [(LUG, 7, 50), (BOLT, 0, 38)])
def test_cable_starts_at_its_setback_in_the_line_of_the_pivot(keys: Keys, up: float, setback: float) -> None:
    """Two edges 3.2 mm apart, the cable's diameter, from where it ends inside outwards."""
    shapes, face, middle, _ = drawn(keys)
    lines = [s for s in shapes if isinstance(s, Line) and s.ink is Ink.EDGE and s.start.y == s.end.y]
    edges = [s for s in lines if s.start.x == near(face + setback)]
    assert sorted(s.start.y - middle for s in edges) == near([up - 1.6, up + 1.6])
    assert all(s.end.x > face + setback for s in edges)


def test_bore_of_a_stud() -> None:
    """8 mm wide, 60 deep."""
    shapes, face, middle, _ = drawn(BOLT)
    bored = [s for s in shapes if isinstance(s, Line) and s.ink is Ink.EDGE and s.end.x == near(face) == s.end.x]
    sides = sorted(s.start.y - middle for s in bored if s.start.y == s.end.y)
    assert sides == near([-4, 4])
    assert {round(s.start.x, 6) for s in bored if s.start.y == s.end.y} == {round(face - 60, 6)}


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        (
            LUG,
            ["in the post 13.0 mm", "pivot 20.0 mm", "takes up 30.0 mm", "to the cable's end 50.0 mm", "flange 3.0 mm"],
        ),
        (BOLT, ["bore 60.0 mm", "takes up 25.0 mm", "to the cable's end 38.0 mm", "flange 2.0 mm"]),
    ],
)
def test_every_length_is_told(keys: Keys, told: list[str]) -> None:
    shapes, *_ = drawn(keys)
    texts = [s.text for s in shapes if isinstance(s, Text)]
    assert sorted(text for text in texts if "SIDE VIEW" not in text and text) == sorted(told)


def test_less_of_cable_and_post_is_drawn_where_the_page_is_narrow() -> None:
    """A screw of 101.6 mm less a flange of 3 in the post, 50 out to the cable's end: 98.6 + 5 + 50 + 16 = 169.6 mm."""
    fitting = job(run([900], start="own", finish="own"), fitting={"own": {**LUG, "screw": "#14 x 4 in"}}).fittings[
        "own"
    ]
    assert side_view(fitting, 40, 25, 169.6).width == near(169.6)
    assert side_view(fitting, 40, 25, 160.6).width == near(160.6)  # 9 mm less of the cable
    assert side_view(fitting, 40, 25, 158).width == near(158)  # and 2.6 less of the post
    assert side_view(fitting, 40, 25, 100).width == near(98.6 + 1 + 50 + 7)


def sheet(keys: Keys) -> Drawn:
    found = survey(
        job(
            run([900, 900], count=6, height=700, start="own", finish="fixed stud"),
            guard={"bracket": "side plate"},
            post={"post": {"width": 140, "material": "douglas fir"}},
            fitting={"own": keys},
        )
    )
    (one,) = [drawn for drawn in found.samples if drawn.group.kind == "fitting"]
    return one


@pytest.mark.parametrize(
    "keys", [LUG, BOLT, {**LUG, "screw": "#14 x 4 in", "setback": 140}], ids=["lug", "bolt", "long"]
)
def test_views_stay_on_the_sheet_and_off_each_other(keys: Keys) -> None:
    """Each piece has its view; all that is drawn is on the paper; no join runs through a view."""
    one = sheet(keys)
    size, shapes = one.sheet.drawing, one.sheet.drawing.shapes
    assert sum(isinstance(s, Text) and s.text == "SIDE VIEW, TRUE SCALE" for s in shapes) == 3
    for shape in shapes:
        for point in (shape.start, shape.end) if isinstance(shape, Line) else ():
            assert -1e-6 <= point.x <= size.width + 1e-6 and -1e-6 <= point.y <= size.height + 1e-6
    views = sorted((keep.bottom, keep.top) for keep in one.sheet.keeps if keep.weight == 1 and keep.left == 4.0)
    assert len(views) == 3
    assert all(top < low for (_, top), (low, _) in pairwise(views))
    assert one.tiled.columns > 1 or not one.tiled.warnings


def walls_of(post: Keys) -> tuple[list[float], list[tuple[float, float]], list[str]]:
    """How deep every upright edge of the post lies, from where to where it is hatched, and the words of a view on it."""
    made = survey(
        job(
            run([900, 900], count=6, height=700, start="own", finish="own"),
            post={"post": post},
            fitting={"own": {**LUG, "pivot": [20, 0]}},
        )
    )
    plan = made.plan
    kind, depth = plan.posts[0].kind, plan.posts[0].prism.depth(plan.posts[0].faces[0].frame.normal)
    pen = Pen()
    view = side_view(plan.job.fittings["own"], 40.0, 25.0, 170.0, layers_of(kind, depth))
    draw_side(plan.job, pen, view, LEFT, TOP)
    x = LEFT + view.inside
    lines = [s for s in pen.shapes if isinstance(s, Line)]
    edges = sorted(x - s.start.x for s in lines if s.ink is Ink.EDGE and abs(s.end.y - s.start.y) == 50)
    spots = [x - (s.start.x + s.end.x) / 2 for s in lines if s.ink is Ink.HATCH]
    texts = [s.text for s in pen.shapes if isinstance(s, Text)]
    return [round(edge, 6) for edge in edges], [(min(spots), max(spots))] if spots else [], texts


def test_a_tube_has_its_wall_and_is_hollow_behind_it() -> None:
    """80 x 80 x 3: face at 0, the wall's inside at 3, hollow from there to 77, which is beyond the 58 that are drawn."""
    edges, hatched, texts = walls_of({"width": 80, "wall": 3, "material": "steel"})
    assert edges == near([0, 3])
    assert hatched[0][0] > 0 and hatched[0][1] < 3
    assert "wall 3.0 mm" in texts


def test_a_slim_tube_shows_its_far_wall() -> None:
    """16 mm with walls of 2: the far wall from 14 to 16, inside the 18 that are drawn."""
    edges, _, _ = walls_of({"shape": "rectangular", "along": 16, "across": 60, "wall": 2, "material": "steel"})
    assert edges == near([0, 2, 14, 16])


def test_a_sleeved_post_has_sleeve_gap_and_core() -> None:
    """100 with a wall of 4 round 84 of wood: the core starts (100 - 84) / 2 = 8 in, a gap of 4."""
    edges, _, texts = walls_of({"width": 100, "wall": 4, "core": 84, "material": "southern pine"})
    assert edges == near([0, 4, 8])
    assert "wall 4.0 mm" in texts and "gap 4.0 mm" in texts


def test_a_solid_bar_ends_where_its_back_is() -> None:
    edges, hatched, texts = walls_of({"shape": "rectangular", "along": 10, "across": 60, "material": "steel"})
    assert "post 10.0 mm" in texts
    assert edges == near([0, 10])
    assert hatched[0][1] < 10
