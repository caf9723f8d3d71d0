"""The plan view read back: posts and runs, times the stated scale, stand where the plan has them."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import combinations, permutations
from math import hypot

import pytest
from jobs_made import Keys, stair
from jobs_made import plan as planned_of
from packet_pages import DRAWN, NAMES, faults, named, planned, size_of, texts

from jiggen.compose.cover import cover, picture
from jiggen.compose.islands import islands
from jiggen.compose.planview import draw_plan, plan_view
from jiggen.compose.scales import scales
from jiggen.compose.space import Box
from jiggen.drawing.scene import Drawing, Ink, Line, Path, Pen, Text
from jiggen.plan.model import Plan
from jiggen.sheets.extent import text_extent

NEAR = 0.05  # mm of paper


def ratio_of(drawing: Drawing) -> float:
    told = " ".join(text.text for text in texts(drawing))
    (ratio,) = set(re.findall(r"Scale [^.]*?1:(\d+)", told))
    return float(ratio)


def middles(drawing: Drawing) -> dict[str, tuple[float, float]]:
    """The middle of each post's outline on paper."""
    found = {}
    for post, way in named(drawing.shapes, "post"):
        assert isinstance(way, Path)
        count = len(way.points)
        found[post] = (sum(p.x for p in way.points) / count, sum(p.y for p in way.points) / count)
    return found


def check(plan: Plan, drawing: Drawing) -> None:
    ratio = ratio_of(drawing)
    assert ratio in {scale.ratio for scale in scales(plan.job.units)}
    at = middles(drawing)
    together = [{name for line in island.runs for name in line.posts} for island in islands(plan)]
    assert set(at) == set().union(*together)
    for names in together:
        first = min(names)
        zero = plan.post_by_id[first].prism.base
        for name in names:
            base = plan.post_by_id[name].prism.base
            assert at[name][0] - at[first][0] == pytest.approx((base.x - zero.x) / ratio, abs=NEAR), name
            assert at[name][1] - at[first][1] == pytest.approx((base.y - zero.y) / ratio, abs=NEAR), name
    for run, way in named(drawing.shapes, "run"):
        assert isinstance(way, Line)
        line = next(line for line in plan.runs if line.id == run)
        for end, post in ((way.start, line.posts[0]), (way.end, line.posts[-1])):
            assert hypot(end.x - at[post][0], end.y - at[post][1]) < NEAR, run
    told = {text.text for text in texts(drawing)}
    some = "not all are named" in " ".join(text.text for text in texts(drawing))
    assert told >= ({name for line in plan.runs for name in (line.posts[0], line.posts[-1])} if some else set(at))


@pytest.mark.parametrize("name", NAMES)
def test_plan_view_is_the_plan(name: str) -> None:
    plan, problems = planned(name)
    drawing = plan_view(plan, problems, size_of("letter"))
    check(plan, drawing)
    assert {text.text for text in texts(drawing)} >= set(middles(drawing))


@pytest.mark.parametrize("name", NAMES)
def test_it_fits_a_small_box(name: str) -> None:
    """As on the cover: nothing leaves the box, the scale gives way."""
    plan, _ = planned(name)
    pen = Pen()
    draw_plan(plan, pen, Box(0.0, 0.0, 180.0, 80.0))
    drawing = pen.drawing(180.0, 80.0)
    check(plan, drawing)
    for x, y in middles(drawing).values():
        assert 0.0 < x < 180.0 and 8.0 < y < 80.0


def test_runs_that_do_not_meet_keep_apart() -> None:
    """Two runs that the job puts on the same spot are drawn side by side, and the page says so."""
    from jobs_made import plan as made_plan
    from jobs_made import run

    plan = made_plan([run([1100.0, 1100.0]), run([1100.0, 1100.0], 11)])
    drawing = plan_view(plan, (), size_of("a4"))
    at = middles(drawing)
    first, second = ([at[name] for name in line.posts] for line in plan.runs)
    assert min(hypot(a[0] - b[0], a[1] - b[1]) for a in first for b in second) > 10.0
    assert any("side by side" in text.text for text in texts(drawing))


def test_the_grey_band_is_on_the_peoples_side() -> None:
    """deck = "left": the band lies to the left of a run that heads along +x, so above it; "right": below."""
    from jobs_made import plan as made_plan
    from jobs_made import run

    from jiggen.drawing.scene import Fill, Ink

    for side, above in (("left", True), ("right", False)):
        drawing = plan_view(made_plan(run([1100.0]), guard={"deck": side}), (), size_of("a4"))
        (band,) = (shape for shape in drawing.shapes if isinstance(shape, Fill) and shape.ink is Ink.PALE)
        (y,) = {round(at[1], 6) for at in middles(drawing).values()}
        assert (sum(p.y for p in band.points) / 4.0 > y) is above


def test_names_do_not_crowd() -> None:
    """Sixty posts in two rows: the ends are named and every so many between, and the page says so."""
    from jobs_made import plan as made_plan
    from jobs_made import run

    second = run([1100.0] * 30) | {"posts": [str(k) for k in range(31, 62)], "turn": "right 90 deg"}
    plan = made_plan([run([1100.0] * 30), second])
    drawing = plan_view(plan, (), size_of("a4"))
    check(plan, drawing)
    named_posts = {text.text for text in texts(drawing)} & set(middles(drawing))
    assert {"1", "31", "61"} <= named_posts
    assert 10 < len(named_posts) < 61
    assert "not all are named" in " ".join(text.text for text in texts(drawing))
    boxes = [text_extent(text) for text in texts(drawing) if text.text in named_posts and not text.angle]
    beside = [(a, b) for a, b in permutations(boxes, 2) if a[1] < b[3] and b[1] < a[3] and a[0] < b[0]]
    assert beside and min(b[0] - a[2] for a, b in beside) > 1.9  # 43 44 45, not 434445


@pytest.mark.parametrize("on", ["letter", "a4"])
@pytest.mark.parametrize("name", DRAWN)
def test_words_stand_clear(name: str, on: str) -> None:
    plan, problems = planned(name)
    assert faults(plan_view(plan, problems, size_of(on))) == []


@pytest.mark.parametrize("name", DRAWN)
def test_every_span_is_told(name: str) -> None:
    """On its dimension line, whose length times the scale is the spans' sum, or in words under the view."""
    plan, problems = planned(name)
    drawing = plan_view(plan, problems, size_of("letter"))
    ratio, told = ratio_of(drawing), [text.text for text in texts(drawing)]
    drawn: dict[str, float] = {}
    for run, way in named(drawing.shapes, "span"):
        assert isinstance(way, Line)
        long = hypot(way.end.x - way.start.x, way.end.y - way.start.y)
        drawn[run] = drawn.get(run, 0.0) + long * ratio
    under = " ".join(told)
    for line in plan.runs:
        each = line.stations[1] - line.stations[0]
        if line.id in drawn:
            assert drawn[line.id] == pytest.approx(line.stations[-1], abs=NEAR * ratio * len(line.posts))
            assert any(re.fullmatch(rf"(\d+ x )?{each:.1f} mm", words) for words in told)
        else:
            assert re.search(rf"no room in the view:.*run {line.id} {line.posts[0]} to .*{each:.1f} mm", under)


def test_spans_that_differ_have_each_their_figure() -> None:
    """1100, 1100 and 900 mm: two equal ones together, the third alone; 7 mm drawn at 1:50 would not hold "350.0 mm"."""
    from jobs_made import plan as made_plan
    from jobs_made import run

    drawing = plan_view(made_plan(run([1100.0, 1100.0, 900.0])), (), size_of("a4"))
    told = {text.text for text in texts(drawing)}
    assert {"2 x 1100.0 mm", "900.0 mm"} <= told
    assert len(list(named(drawing.shapes, "span"))) == 2
    drawing = plan_view(made_plan(run([1100.0] * 11 + [350.0])), (), size_of("a4"))
    assert not list(named(drawing.shapes, "span"))
    assert any("1 to 12: 11 x 1100.0 mm; 12 to 13: 350.0 mm" in text.text for text in texts(drawing))


def test_turns_and_the_way_up() -> None:
    """A run that turns 45 degrees to the left and a stair that goes down from its first post: its arrow points back."""
    from jobs_made import plan as made_plan
    from jobs_made import run, stair

    second = run([1100.0], 3) | {"turn": "left 45 deg"}
    third = run([1120.0], 10) | {"stair": stair(178.0, 280.0, goes="down")}
    drawing = plan_view(made_plan([run([1100.0, 1100.0]), second, third]), (), size_of("a4"))
    assert "45° left" in {text.text for text in texts(drawing)}
    ((run_id, way),) = named(drawing.shapes, "up")
    assert run_id == "C" and isinstance(way, Line)
    at = middles(drawing)
    assert (way.end.x - way.start.x) * (at["10"][0] - at["11"][0]) > 0.0


def test_a_great_many_runs_keep_their_room() -> None:
    """400 runs on one spot: each at its own place inside the box, no two over one another, no words over words."""
    from jobs_made import plan as made_plan
    from jobs_made import run

    plan = made_plan([run([1100.0], 2 * k + 1) for k in range(400)])
    pen, box = Pen(), Box(3.0, 2.0, 267.0, 170.0)
    draw_plan(plan, pen, box)
    drawing = pen.drawing(270.0, 172.0)
    ways = [way for _, way in named(drawing.shapes, "run") if isinstance(way, Line)]
    assert len({(round(way.start.x, 3), round(way.start.y, 3)) for way in ways}) == 400
    assert min(abs(way.end.x - way.start.x) for way in ways) >= 6.0
    assert all(box.holds(Box(way.start.x, way.start.y, way.end.x, way.end.y)) for way in ways)
    boxes = [text_extent(text) for text in texts(drawing)]
    assert not [(a, b) for a, b in combinations(boxes, 2) if Box(*a).overlap(Box(*b)) > 0.01]


def lookout() -> Plan:
    """Round a corner, down a stair and on along its landing: on the cover 1:200, posts 4.4 to 6.6 mm apart."""
    steps = {"posts": ["6", "7", "8"], "spans": [1160, 870], "stair": stair(145, 290, 110.0, "down", overhang=25)}
    runs = [
        {"id": "sea", "posts": ["1", "2", "3", "4"], "spans": [1250, 1250, 1175]},
        {"id": "cliff", "posts": ["4", "5", "6"], "spans": [1310, 1260], "turn": "left 90 deg"},
        {"id": "steps", **steps},
        {"id": "landing", "posts": ["8", "9"], "spans": [1150]},
    ]
    kinds: Keys = {
        "ninety": {"width": 90, "material": "douglas fir"},
        "heavy": {"width": 140, "material": "douglas fir"},
    }
    return planned_of(runs, guard={"deck": "left"}, post=kinds, posts={"line": "ninety", "end": "heavy"})


@pytest.mark.parametrize("drawn", [lambda plan: cover(plan, (), (182.0, 250.0)), picture])
def test_a_post_s_name_is_clearly_its_own_or_has_a_hair_line(drawn: Callable[[Plan], Drawing]) -> None:
    drawing = drawn(lookout())
    at = middles(drawing)
    hairs = [s for s in drawing.shapes if isinstance(s, Line) and s.ink is Ink.HATCH]
    names = [s for s in drawing.shapes if isinstance(s, Text) and s.text in at]
    assert len(at) == 9 and {name.text for name in names} == set(at)
    for name in names:
        left, low, right, high = text_extent(name)
        x, y = (left + right) / 2.0, (low + high) / 2.0
        away = {post: hypot(x - place[0], y - place[1]) for post, place in at.items()}
        others = min(far for post, far in away.items() if post != name.text)
        led = any(hypot(h.start.x - at[name.text][0], h.start.y - at[name.text][1]) < 0.1 for h in hairs)
        assert led or away[name.text] < 0.8 * others, name.text


def test_no_word_lies_on_a_nosing() -> None:
    drawing = cover(lookout(), (), (182.0, 250.0))
    nosings = [way for _, way in named(drawing.shapes, "nosing") if isinstance(way, Line)]
    boxes = [text_extent(text) for text in texts(drawing)]
    for way in nosings:
        low, high = sorted((way.start.x, way.end.x))
        assert not any(left < high and right > low and b < way.start.y < t for left, b, right, t in boxes)
    assert len(nosings) == 7
