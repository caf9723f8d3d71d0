"""Elevations read back: what is drawn, times the stated scale, is the plan."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import degrees, hypot

import pytest
from jobs_made import Keys, plan, run, stair
from packet_pages import DRAWN, NAMES, faults, named, planned, size_of

from jiggen.compose.elevation import elevations
from jiggen.compose.scales import scales
from jiggen.compose.sight import sight
from jiggen.drawing.scene import Drawing, Ink, Line, Path, Shape, Text
from jiggen.geometry import Point
from jiggen.job.model import Stair
from jiggen.plan.model import Plan, RunLine
from jiggen.sheets.extent import text_extent

NEAR = 0.05  # mm of paper

Block = tuple[RunLine, float, list[Shape]]


def blocks(plan: Plan, drawings: tuple[Drawing, ...]) -> Iterator[Block]:
    """Each elevation: its run, the ratio that its words state, its shapes."""
    lines = {line.id: line for line in plan.runs}
    for drawing in drawings:
        starts = [
            index
            for index, shape in enumerate(drawing.shapes)
            if isinstance(shape, Text) and shape.ink is Ink.STRONG and shape.text.startswith("RUN ")
        ]
        for start, end in zip(starts, [*starts[1:], len(drawing.shapes)], strict=True):
            shapes = list(drawing.shapes[start:end])
            head = shapes[0]
            assert isinstance(head, Text)
            told = " ".join(shape.text for shape in shapes if isinstance(shape, Text))
            (ratio,) = set(re.findall(r"Scale [^,;]*?1:(\d+)", told))
            yield lines[re.split("[,:]", head.text)[0].removeprefix("RUN ")], float(ratio), shapes


def origin(line: RunLine, plan: Plan, ratio: float, shapes: list[Shape]) -> tuple[float, float]:
    """Where level distance 0 and height 0 lie on paper, by the first post drawn."""
    name, way = next(named(shapes, "post"))
    assert isinstance(way, Path)
    x, y = (way.points[0].x + way.points[3].x) / 2.0, way.points[0].y
    base = plan.post_by_id[name].prism.base
    down = 150.0 if line.guard.mount == "side" else 0.0
    return x - line.along(base) / ratio, y - (base.z - down) / ratio


@pytest.mark.parametrize("on", ["letter", "a4"])
@pytest.mark.parametrize("name", NAMES)
def test_positions_are_the_plans(name: str, on: str) -> None:
    """Posts, cable holes, rails: paper times ratio, in the run's frame; every post and cable of every run is drawn."""
    plan, problems = planned(name)
    posts: set[tuple[str, str]] = set()
    cables: set[str] = set()
    known = {scale.ratio for scale in scales(plan.job.units)}
    for line, ratio, shapes in blocks(plan, elevations(plan, problems, size_of(on))):
        assert ratio in known
        x0, y0 = origin(line, plan, ratio, shapes)
        for post, way in named(shapes, "post"):
            assert isinstance(way, Path)
            base = plan.post_by_id[post].prism.base
            foot = (way.points[0].x + way.points[3].x) / 2.0
            assert foot - x0 == pytest.approx(line.along(base) / ratio, abs=NEAR)
            posts.add((line.id, post))
        drawn = {cable: way for cable, way in named(shapes, "cable") if isinstance(way, Line)}
        cables |= set(drawn)
        for post, _ in named(shapes, "post"):
            for face in plan.post_by_id[post].faces:
                for mark in face.marks:
                    if mark.purpose != "cable" or mark.run != line.id or face.fittings:
                        continue
                    hole = face.frame.world(mark.u, mark.v)
                    wall = plan.post_by_id[post].kind.wall
                    if (
                        wall and mark.axis.z > 1.0 - 1e-9
                    ):  # bored square: centred where the cable crosses the wall's middle
                        hole = hole.minus(face.frame.normal_at(mark.u).times(wall / 2.0))
                    way = drawn[f"{line.id}{mark.cable}"]
                    x = x0 + line.along(hole) / ratio
                    share = (x - way.start.x) / (way.end.x - way.start.x)
                    y = way.start.y + share * (way.end.y - way.start.y)
                    assert y - y0 == pytest.approx(hole.z / ratio, abs=NEAR), mark.id
    assert posts == {(line.id, post) for line in plan.runs for post in line.posts}
    assert cables == {f"{line.id}{k}" for line in plan.runs for k in range(1, len(line.drops) + 1)}


def built_over(line: RunLine, x: float) -> float:
    """How far over the plan the rail was built ``x`` mm along the run: straight from post to post."""
    for (a, b), (low, high) in zip(
        pairwise(line.stations), pairwise(line.lifts or [0.0] * len(line.posts)), strict=True
    ):
        if a <= x <= b:
            return float(low + (x - a) / (b - a) * (high - low))
    return 0.0


@pytest.mark.parametrize("name", NAMES)
def test_rails_lie_where_they_are_judged(name: str) -> None:
    """The underside over the reference line is the guard's height less the rail, upright."""
    plan, problems = planned(name)
    for line, ratio, shapes in blocks(plan, elevations(plan, problems, size_of("letter"))):
        x0, y0 = origin(line, plan, ratio, shapes)
        rails = [way for part in ("rail top", "rail over") for _, way in named(shapes, part) if isinstance(way, Path)]
        assert rails
        for way in rails:
            low, _, _, high = way.points
            x = (low.x - x0) * ratio
            top = line.origin.z + x * line.slope + line.height + built_over(line, x)
            assert high.y - y0 == pytest.approx(top / ratio, abs=NEAR)
            depth = line.guard.rail.depth * hypot(1.0, line.slope)  # square depth over cos
            assert high.y - low.y == pytest.approx(depth / ratio, abs=NEAR)


@pytest.mark.parametrize("name", ["demo", "demo_all", "stair-up"])
def test_steps_are_the_stairs(name: str) -> None:
    """Rises and goings of the drawn steps; the post stands on a tread; the nosings touch the nosing line."""
    plan, problems = planned(name)
    stairs = 0
    for line, ratio, shapes in blocks(plan, elevations(plan, problems, size_of("letter"))):
        stair = line.ground
        if not isinstance(stair, Stair):
            continue
        stairs += 1
        x0, y0 = origin(line, plan, ratio, shapes)
        ground = [way.points for _, way in named(shapes, "ground") if isinstance(way, Path)]
        pieces = [[((p.x - x0) * ratio, (p.y - y0) * ratio) for p in points] for points in ground]
        surface = [place for piece in pieces for place in piece]
        steps = [pair for piece in pieces for pair in pairwise(piece)]
        level = [(a, b) for a, b in steps if abs(a[1] - b[1]) < 0.01 and abs(a[0] - b[0]) > stair.going / 4.0]
        treads = sorted({round(a[1], 3) for a, _ in level})
        assert all(b - a == pytest.approx(stair.rise, abs=NEAR * ratio) for a, b in pairwise(treads))
        for post, _ in named(shapes, "post"):
            base = plan.post_by_id[post].prism.base
            assert min(abs(base.z - tread) for tread in treads) < NEAR * ratio, post
        (nose,) = (way for _, way in named(shapes, "nosing line") if isinstance(way, Line))
        climb = (nose.end.y - nose.start.y) / (nose.end.x - nose.start.x)
        on_line = [
            x
            for x, z in surface
            if abs(nose.start.y + ((x0 + x / ratio) - nose.start.x) * climb - (y0 + z / ratio)) < NEAR
        ]
        goings = [b - a for a, b in pairwise(sorted(on_line))]
        assert len(on_line) >= len(treads) - 1
        assert all(going == pytest.approx(stair.going, abs=NEAR * ratio) for going in goings)
    assert stairs


@pytest.mark.parametrize(("turn", "beyond"), [(0, 0), (60, 0), (120, 1)])
@pytest.mark.parametrize("goes", ["down", "up"])
def test_no_step_is_drawn_in_a_landing_along_which_a_run_goes_on(goes: str, turn: int, beyond: int) -> None:
    """Posts at 0, 1160 and 2030, nosings every 290 from 110 on: seven down to the landing, on which the last post stands
    and a level run goes on; the eighth, at 2140, lies beyond only where that run turns back."""
    steps, way = {"posts": ["6", "7", "8"], "spans": [1160, 870]}, f"left {turn} deg"
    level = {"posts": ["8", "9"], "spans": [1150], "turn": way}
    if goes == "up":
        steps, level = (
            {"posts": ["8", "7", "6"], "spans": [870, 1160], "turn": way},
            {"posts": ["9", "8"], "spans": [1150]},
        )
    stairs = {"id": "steps", **steps, "stair": stair(145, 290, 110.0, goes, overhang=25)}
    made = plan([stairs, level] if goes == "down" else [level, stairs])
    (line,) = (one for one in made.runs if one.id == "steps")
    seen, foot = sight(made, line), made.post_by_id["8"].prism.base
    past = [x for x, _ in seen.nosings if not 0.0 <= x <= 2030.0]
    assert (len(seen.nosings), len(past)) == (7 + beyond, beyond)
    low = min(z for _, z in seen.ground)
    assert foot.z - low == pytest.approx(145.0 * beyond, abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_the_sphere_is_to_scale(name: str) -> None:
    """One sphere a run, as large as the rules' at the scale, between the edges of the opening that its words name."""
    plan, problems = planned(name)
    seen = []
    for line, ratio, shapes in blocks(plan, elevations(plan, problems, size_of("letter"))):
        for shape in shapes:
            if not (isinstance(shape, Path) and dict(shape.data).get("part") == "sphere"):
                continue
            seen.append(line.id)
            xs, ys = [p.x for p in shape.points], [p.y for p in shape.points]
            assert len(xs) == 48
            told = " ".join(s.text for s in shapes if isinstance(s, Text))
            found = re.search(r"S: sphere of .*? at opening (\d+) from the top", told)
            assert found
            spheres = {rule.sphere for rule in plan.job.rules.zones}
            assert any((max(xs) - min(xs)) * ratio == pytest.approx(s, abs=NEAR * ratio) for s in spheres)
            _, y0 = origin(line, plan, ratio, shapes)
            x0, _ = origin(line, plan, ratio, shapes)
            x, z = (sum(xs) / 48.0 - x0) * ratio, (sum(ys) / 48.0 - y0) * ratio
            index = int(found[1]) - 1
            under = line.origin.z + x * line.slope + line.height - line.rail_drop
            if 0 < index < len(line.drops):
                middle = under - (line.drops[index - 1] + line.drops[index]) / 2.0
                assert z == pytest.approx(middle, abs=NEAR * ratio + 3.0 * bool(line.lifts))
    assert sorted(seen) == sorted(line.id for line in plan.runs if line.drops)


def test_a_long_run_is_told_in_parts() -> None:
    """Sixty posts: every part readable, neighbours share a post, none smaller than the finest scale."""
    from jobs_made import plan as made_plan
    from jobs_made import run

    plan = made_plan(run([1100.0] * 59), guard={"spacing": 75})
    parts = list(blocks(plan, elevations(plan, (), size_of("a4"))))
    names = [[post for post, _ in named(shapes, "post")] for _, _, shapes in parts]
    assert {ratio for _, ratio, _ in parts} == {20.0}
    assert all(a[-1] == b[0] for a, b in pairwise(names))
    assert {post for part in names for post in part} == {str(k) for k in range(1, 61)}


def test_faults_are_seen() -> None:
    """The measure itself: a word put on another one, and one put on an extension line."""
    plan, problems = planned("demo")
    drawing = elevations(plan, problems, size_of("letter"))[0]
    word = next(shape for shape in drawing.shapes if isinstance(shape, Text) and "sphere" in shape.text)
    line = next(shape for shape in drawing.shapes if isinstance(shape, Line) and shape.ink is Ink.TICK)
    assert not faults(drawing)
    for at in (Point(word.at.x + 1.0, word.at.y + 1.0), Point(line.start.x - 0.5, line.start.y - 1.0)):
        assert faults(replace(drawing, shapes=(*drawing.shapes, Text(at, 2.5, "HERE"))))


@pytest.mark.parametrize("on", ["letter", "a4"])
@pytest.mark.parametrize("name", DRAWN)
def test_words_stand_clear(name: str, on: str) -> None:
    plan, problems = planned(name)
    for drawing in elevations(plan, problems, size_of(on)):
        assert faults(drawing) == []


def test_words_stand_clear_where_posts_are_close() -> None:
    """Spans of 150 mm beside long ones, names as long as they come, thirty cables."""
    from jobs_made import plan as made_plan
    from jobs_made import run

    names = ["kitchen door, north", *(f"p{k}" for k in range(2, 8)), "8"]
    close = run(["150 mm", "150 mm", "1200 mm", *["150 mm"] * 4]) | {"posts": names}
    post = {"timber": {"width": "60 mm", "material": "douglas fir"}}
    for units in ("in", "mm"):
        plan = made_plan(close, job={"units": units}, post=post, guard={"count": 30})
        for drawing in elevations(plan, (), size_of("letter")):
            assert faults(drawing) == []


@pytest.mark.parametrize("name", DRAWN)
def test_the_chain_is_the_underside(name: str) -> None:
    """The links of the chain on the left add up to the underside over the reference line, at the part's first post."""
    plan, problems = planned(name)
    for line, _, shapes in blocks(plan, elevations(plan, problems, size_of("letter"))):
        if any("all else as in part 1" in s.text for s in shapes if isinstance(s, Text)):
            continue  # once a run is enough
        flags = [s.text for s in shapes if isinstance(s, Text) and s.align == "right" and s.text.endswith(" mm")]
        links = [float(re.sub("^(rail|=) ", "", words).removesuffix(" mm")) for words in flags]
        first = line.posts.index(next(named(shapes, "post"))[0])
        lift = line.lifts[first] if line.lifts else 0.0
        assert sum(links) == pytest.approx(line.height - line.rail_drop + lift, abs=0.05 * len(links) + 0.01)
        each = [words for words in (s.text for s in shapes if isinstance(s, Text)) if re.match(r"\d+ x [\d.]+$", words)]
        if not line.lifts:
            count, pitch = each[0].split(" x ")
            assert int(count) == len(line.drops) - 1
            assert float(pitch) == pytest.approx(line.spacing / line.cosine, abs=0.051)


@pytest.mark.parametrize("name", ["demo", "demo_all", "stair-up"])
def test_a_step_is_drawn_out(name: str) -> None:
    """One step a stair to its own scale: rise, going, overhang; their figures and the rake stand at it."""
    plan, problems = planned(name)
    seen = []
    for line, _, shapes in blocks(plan, elevations(plan, problems, size_of("letter"))):
        for name_of, way in named(shapes, "step"):
            assert isinstance(way, Path) and isinstance(line.ground, Stair)
            seen.append(name_of)
            stair = line.ground
            told = [s.text for s in shapes if isinstance(s, Text)]
            (ratio,) = (float(found[1]) for words in told if (found := re.search(r"ONE STEP.*1:(\d+)", words)))
            places = [(p.x, p.y) for p in way.points]
            nose, riser, tread, upper = places[3], places[0], places[4], places[7]
            assert abs(upper[0] - nose[0]) * ratio == pytest.approx(stair.going, abs=NEAR * ratio)
            assert (upper[1] - nose[1]) * ratio == pytest.approx(stair.rise, abs=NEAR * ratio)
            assert abs(riser[0] - nose[0]) * ratio == pytest.approx(stair.overhang, abs=NEAR * ratio)
            assert abs(tread[0] - upper[0]) * ratio == pytest.approx(stair.overhang, abs=NEAR * ratio)
            for mm in (stair.rise, stair.going, stair.overhang):
                assert f"{mm:.1f} mm" in told
            assert f"{degrees(abs(line.rake)):.2f}°" in told
            assert any("over nosing" in words for words in told)
    assert sorted(seen) == sorted(line.id for line in plan.runs if isinstance(line.ground, Stair))


@pytest.mark.parametrize("height", [1020, 1019])
def test_words_over_the_nosing_keep_off_the_ends_of_their_dimension_line(height: int) -> None:
    """At 1:20 the underside, 973 mm over the nosing line, leaves "underside over nosing 973.0 mm" 0.1 mm of paper, 972 none."""
    keys: Keys = {"height": height, "rail": {"depth": 42, "width": 90, "sits": "between"}}
    made = plan(run([1160, 870], stair=stair(145, 290, 110.0, "down", overhang=25)), guard=keys)
    (drawing,) = elevations(made, (), (182.0, 250.0))
    lines = [s for s in drawing.shapes if isinstance(s, Line) and s.ink is Ink.TICK and s.start.x == s.end.x]
    told = [s for s in drawing.shapes if isinstance(s, Text) and s.angle and "over nosing" in s.text]
    assert len(told) == 2
    for text in told:
        _, low, _, high = text_extent(text)
        own = min(lines, key=lambda line: (abs(line.start.x - text.at.x), -abs(line.end.y - line.start.y)))
        ends = sorted((own.start.y, own.end.y))
        assert ends[0] + 0.4 < low and high < ends[1] - 0.4, text.text
