"""End fittings of every make: screw patterns, pivots, studs, grommets, what passes; each on the sheet of patterns."""

from __future__ import annotations

from itertools import pairwise
from math import asin, atan2, cos, hypot, radians, sin, tan
from typing import Any

import pytest
from jobs_made import INCH, Keys, face, job, marks, of_level, plan, ramp, run, stair

from jiggen.build import Survey, survey
from jiggen.drawing.scene import Ink, Oval, Path, Text
from jiggen.plan.model import Mark, Plan

SWIVELS: Keys = {"pivot": 19, "swivels": "any", "setback": 60, "travel": 25}


def near(value: Any, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def made(fitting: Keys, width: float = 140, **keys: Any) -> Plan:
    """A run of three posts whose cables end in ``fitting``."""
    return plan(
        run([900, 1000], count=5, height=900, start="own", finish="own", **keys),
        post={"post": {"width": width, "material": "douglas fir"}},
        fitting={"own": fitting},
    )


FOUR = [[15, 20], [-15, 20], [-15, -20], [15, -20]]
UNEVEN = [[0, 25], [14, -6], [-14, -6], [0, -25], [8, 0], [-8, 0]]


@pytest.mark.parametrize("pattern", [FOUR, UNEVEN, [[0, 22], [0, -22]], [[0, 0]]])
@pytest.mark.parametrize("degrees", [0, 12])
def test_screws_lie_as_the_pattern_says(pattern: list[list[float]], degrees: float) -> None:
    """Round the centre, which is the pivot carried square onto the face: up by 19 tan t at the low end."""
    fitting: Keys = {"outline": [60, 70], "screws": pattern, "screw": "#10 x 1 1/2 in", **SWIVELS}
    keys: Keys = {"ramp": ramp(degrees)} if degrees else {}
    found = made(fitting, **keys)
    line = found.runs[0]
    m = tan(radians(degrees))
    for post, toward, slope in (("1", "2", m), ("3", "2", -m)):
        where = face(found, post, toward)
        x = line.along(where.frame.origin)
        screws = marks(where, "screw")
        assert len(screws) == 5 * len(pattern)
        for number, drop in enumerate(line.drops, 1):
            own = [mark for mark in screws if mark.cable == number]
            centre = line.underside(x) - drop - where.frame.origin.z + 19 * slope
            assert [(mark.u, mark.v - centre) for mark in own] == [near(tuple(place)) for place in pattern]
            assert [mark.label for mark in own] == [f"{number}{letter}" for letter in "abcdef"[: len(pattern)]]
            assert all(mark.depth == near(1.5 * INCH) and mark.axis == near((0, 0, 1)) for mark in own)


@pytest.mark.parametrize("up", [-6.0, 4.5])
@pytest.mark.parametrize("degrees", [0, 9])
def test_pivot_that_is_not_on_the_pattern_s_centre(up: float, degrees: float) -> None:
    """[out, up]: the cable passes the pivot, so the pattern is as much lower as the pivot is above its centre."""
    plain: Keys = {"outline": [60, 70], "screws": FOUR, "screw": "#10 x 1 1/2 in", **SWIVELS}
    keys: Keys = {"ramp": ramp(degrees)} if degrees else {}
    first, second = made(plain, **keys), made({**plain, "pivot": [19, up]}, **keys)
    for post in ("1", "3"):
        pairs = zip(face(first, post, "2").marks, face(second, post, "2").marks, strict=True)
        for a, b in pairs:
            assert (b.u - a.u, b.v - a.v) == near((0, -up))
        lines = zip(face(first, post, "2").outlines, face(second, post, "2").outlines, strict=True)
        for c, d in lines:
            assert (d.u - c.u, d.v - c.v) == near((0, -up))


BOLT: Keys = {"outline": [20, 20], "flange": 2, "bore": 8, "setback": 38, "travel": 25}


def bores(found: Plan, post: str) -> list[Mark]:
    return [mark for mark in face(found, post, "2").marks if mark.purpose == "cable"]


@pytest.mark.parametrize("degrees", [0, 7, 18])
def test_stud_through_the_post_at_the_rake(degrees: float) -> None:
    """Bored along the cable where its line meets the face, out of the far side: width / cos t."""
    keys: Keys = {"ramp": ramp(degrees)} if degrees else {}
    found = made({**BOLT, "at_rake": True}, **keys)
    line, t = found.runs[0], radians(degrees)
    for post, sign in (("1", -1), ("3", 1)):
        where = face(found, post, "2")
        x = line.along(where.frame.origin)
        assert len(bores(found, post)) == 5
        for mark, drop in zip(bores(found, post), line.drops, strict=True):
            assert mark.v == near(line.underside(x) - drop - where.frame.origin.z)
            assert mark.through and mark.depth == near(140 / cos(t))
            assert mark.axis == near((0, sign * sin(t), cos(t)))
            assert mark.diameter >= 8 and mark.oval == near((mark.diameter, mark.diameter / cos(t)))
    assert not [p for p in found.problems if "is rigid and screwed square" in p.found]


@pytest.mark.parametrize(("degrees", "level"), [(4, "check"), (5, "check"), (5.1, "stop"), (10, "stop")])
def test_stud_square_to_the_face_on_a_rake_is_told(degrees: float, level: str) -> None:
    """Up to 5 degrees a check, over it a stop."""
    found = made(BOLT, ramp=ramp(degrees))
    assert all(mark.axis == near((0, 0, 1)) and mark.depth == near(140) for mark in bores(found, "1"))
    told = [p for p in found.problems if "is rigid and screwed square" in p.found]
    assert {(p.where, p.level) for p in told} == {("1/toward 2", level), ("3/toward 2", level)}
    assert all(f"{degrees:.1f} degrees" in p.found for p in told)


def test_bore_depth_is_a_blind_hole() -> None:
    found = made({**BOLT, "at_rake": True, "bore_depth": 63.5}, ramp=ramp(10))
    for mark in bores(found, "1"):
        assert not mark.through and mark.depth == near(63.5)


@pytest.mark.parametrize(("size", "bored"), [(7, 9 / 32 * INCH), (8, 8.0), (9.5, 3 / 8 * INCH)])
def test_what_must_pass_decides_the_line_posts_holes(size: float, bored: float) -> None:
    """A swaged end of that size goes through: next drill up, 7 mm to 9/32 in (7.144), 9.5 to 3/8 (9.525)."""
    fitting: Keys = {"outline": [60, 70], "screws": FOUR, "screw": "#10 x 1 1/2 in", **SWIVELS, "passes_through": size}
    found = plan(
        run([900, 1000], count=5, height=900, start="own", finish="own"),
        job={"drills": ["fraction"] if size != 8 else ["metric"]},
        fitting={"own": fitting},
    )
    for mark in marks(face(found, "2", "1"), "cable"):
        assert mark.diameter == near(bored)
        assert mark.why == "what must pass through"


@pytest.mark.parametrize(("outside", "bored"), [(12, 12.0), (12.7, 12.7)])
def test_grommet_takes_the_hole_over(outside: float, bored: float) -> None:
    """12 mm is a metric drill; 1/2 in is 12.7."""
    found = plan(
        run([900, 1000], count=5, height=900),
        job={"drills": ["metric", "fraction"]},
        post={"post": {"width": 89, "material": "redwood", "grommet": outside}},
    )
    for mark in marks(face(found, "2", "1"), "cable"):
        assert mark.diameter == near(bored)
        assert mark.why == "outside of the grommet"


@pytest.mark.parametrize(("turn", "width"), [(15.0, 140.0), (-22.0, 140.0), (30.0, 89.0)])
def test_skewed_face_with_a_fitting_that_swivels_any_way(turn: float, width: float) -> None:
    """The line crosses the pivot's plane at (w/2 + p) tan a beside the middle."""
    fitting: Keys = {"outline": [30, 30], "screws": [[0, 0]], "screw": "#10 x 1 1/2 in", **SWIVELS}
    found = plan(
        run([900, 1000], count=5, height=900, start="own", finish="own"),
        post={"post": {"width": width, "rotate": f"{turn} deg", "material": "redwood"}},
        fitting={"own": fitting},
    )
    wanted = -(width / 2 + 19) * tan(radians(turn))  # the face ahead is turned to the left: the line is on its right
    for mark in marks(face(found, "1", "2"), "screw"):
        assert abs(mark.u) == near(abs(wanted))
        assert mark.u * turn < 0 or mark.u * wanted > 0


def test_up_and_down_only_on_a_skewed_face_is_a_stop_with_its_cure() -> None:
    fitting: Keys = {
        "outline": [30, 30],
        "screws": [[0, 0]],
        "screw": "#10 x 1 1/2 in",
        "pivot": 19,
        "swivels": "up-down",
        "setback": 60,
    }
    found = plan(
        run([900, 1000], count=5, height=900, start="own", finish="own"),
        post={"post": {"width": 140, "rotate": "12 deg", "material": "redwood"}},
        fitting={"own": fitting},
    )
    told = [p for p in of_level(found.problems, "stop") if "swivels up and down only" in p.found]
    assert {p.where for p in told} == {"1/toward 2", "3/toward 2"}
    assert all("12" in p.found and "wedge" in p.remedy for p in told)


@pytest.mark.parametrize("lean", [[0, 0.2], [0, 3], [-4, 5], [0, 20]])
def test_up_and_down_only_on_a_stair_takes_a_post_a_little_out_of_plumb(lean: list[float]) -> None:
    """A post that leans sideways turns its face under raked cables: by atan(0.020 sin 30) or so, 0.6 degrees at 20 mm a m,
    which the play of a pin takes."""
    fitting: Keys = {"outline": [30, 40], "screws": [[0, 12], [0, -12]], "screw": "#10 x 1 1/2 in", "pivot": 19}
    found = plan(
        run([1200], count=5, height=900, start="own", finish="own", stair=stair(173, 300)),
        fitting={"own": {**fitting, "swivels": "up-down", "setback": 60}},
        as_built={"2": {"lean": lean}},
    )
    assert 0.0 < abs(face(found, "2", "1").skew) < radians(0.7)
    assert not [p for p in found.problems if "swivels up and down only" in p.found]


@pytest.mark.parametrize(("turned", "stops"), [("0.9 deg", False), ("1.1 deg", True)])
def test_the_play_of_a_pin_is_a_degree(turned: str, stops: bool) -> None:
    fitting: Keys = {"outline": [30, 30], "screws": [[0, 0]], "screw": "#10 x 1 1/2 in", "pivot": 19, "setback": 60}
    found = plan(
        run([900], count=5, height=900, start="own", finish="own"),
        post={"post": {"width": 140, "rotate": turned, "material": "redwood"}},
        fitting={"own": {**fitting, "swivels": "up-down"}},
    )
    assert bool([p for p in found.problems if "swivels up and down only" in p.found]) is stops


MANY: dict[str, Keys] = {
    "four": {"outline": [60, 70], "screws": FOUR, "screw": "#10 x 1 1/2 in", **SWIVELS},
    "high": {"outline": [40, 64], "screws": [[0, 22], [0, -22]], "screw": "#12 x 2 in", **SWIVELS, "pivot": [19, 5]},
    "six": {"outline": [50, 60], "screws": UNEVEN, "screw": "#8 x 1 1/2 in", **SWIVELS},
    "bolt": {**BOLT, "at_rake": True},
    "blind": {**BOLT, "bore": 6, "bore_depth": 60, "at_rake": True},
    "both": {**BOLT, "outline": [40, 50], "screws": [[0, 18], [0, -18]], "screw": "#10 x 1 1/2 in"},
}


def sampler(degrees: float) -> Survey:
    """Each fitting of MANY at one end of some run, brackets at all of them."""
    names = list(MANY)
    runs = []
    for index in range(0, len(names), 2):
        number = 10 * index + 1
        keys: Keys = {"ramp": ramp(degrees)} if degrees else {}
        runs.append(
            run([900], number, count=3, height=500, start=names[index], finish=names[index + 1], **keys)
            | {"at": [0, 3000 * index, 0], "heading": "0 deg"}
        )
    return survey(
        job(
            runs,
            guard={"bracket": "side plate"},
            post={"post": {"width": 140, "material": "douglas fir"}},
            fitting=MANY,
        )
    )


@pytest.mark.parametrize("degrees", [0, 8])
def test_every_fitting_is_on_the_sheet_of_patterns_with_every_mark(degrees: float) -> None:
    """One outline a fitting, its screws round it as the job says, its bore's oval long along the rake."""
    found = sampler(degrees)
    (sample,) = [s for s in found.plan.samples if s.group.kind == "fitting"]
    (drawn,) = [d for d in found.samples if d.group.id == sample.group.id]
    shapes = drawn.sheet.drawing.shapes
    named = {shape.text for shape in shapes if isinstance(shape, Text)}
    assert {"IS THIS YOUR FITTING?", *(name.upper() for name in MANY), "SIDE PLATE"} <= named
    outlines = {outline.what: outline for outline in sample.face.outlines}
    assert set(outlines) == {*MANY, "side plate"}
    ovals = {dict(s.data)["mark"]: s for s in shapes if isinstance(s, Oval) and "mark" in dict(s.data)}
    assert set(ovals) == {mark.id for mark in sample.face.marks}
    ((_, x0, y0),) = drawn.sheet.seats
    for mark in sample.face.marks:
        oval = ovals[mark.id]
        assert (oval.centre.x - x0, oval.centre.y - y0) == near((mark.u, mark.v))
    for name, keys in MANY.items():
        outline = outlines[name]
        assert (outline.across, outline.up) == near(tuple(keys["outline"]))
        own = [m for m in sample.face.marks if m.what.split(",")[0] == name]
        screws = [(m.u - outline.u, m.v - outline.v) for m in own if m.purpose == "screw"]
        assert screws == [near(tuple(place)) for place in keys.get("screws", [])]
        bored = [m for m in own if m.purpose == "cable"]
        assert len(bored) == (1 if "bore" in keys else 0)
        for mark in bored:
            assert (mark.u, mark.v) == near((outline.u, outline.v))
            oval, t = ovals[mark.id], radians(degrees) if keys.get("at_rake") else 0.0
            assert (oval.rx, oval.ry) == near((mark.diameter / cos(t) / 2, mark.diameter / 2))
            if t:
                assert abs(sin(oval.angle)) == near(1)  # upright, along the bore's trace
    boxes = [s for s in shapes if isinstance(s, Path) and s.ink is Ink.FITTING]
    assert len(boxes) == len(outlines)
    # nothing of one pattern lies in another's outline
    spans = sorted((o.v - o.up / 2, o.v + o.up / 2) for o in outlines.values())
    assert all(high <= low for (_, high), (low, _) in pairwise(spans))


def test_generic_fittings_are_told_to_be_measured() -> None:
    found = plan(run([900, 900], count=5, height=900))
    told = [p for p in of_level(found.problems, "check") if p.where.startswith("fitting.")]
    assert {p.where for p in told} == {"fitting.fixed plate", "fitting.take-up plate"}
    assert all("measure yours" in p.remedy for p in told)


@pytest.mark.parametrize("size", [40.0, 140.0])
def test_screws_on_a_round_post_go_in_square_to_the_flange(size: float) -> None:
    """12 mm beside the middle line the skin is r asin(12 / r) of arc away; the screw is parallel to the middle one."""
    fitting: Keys = {"outline": [36, 36], "screws": [[12, 0], [0, 0]], "screw": "#8 x 1 in", **SWIVELS}
    found = plan(
        run([900, 900], count=5, height=900, start="own", finish="own"),
        post={"pole": {"shape": "round", "diameter": size, "material": "douglas fir"}},
        fitting={"own": fitting},
    )
    r = size / 2
    for mark in marks(face(found, "1", "2"), "screw"):
        if mark.label.endswith("a"):
            assert mark.u == near(r * asin(12 / r))
            assert hypot(mark.axis.x, mark.axis.z) == near(1)
            assert atan2(abs(mark.axis.x), mark.axis.z) == near(asin(12 / r))
        else:
            assert mark.u == near(0) and mark.axis == near((0, 0, 1))


def test_generic_bracket_is_told_to_be_measured_and_marked_on_its_sheet() -> None:
    """The generic plate and bracket; the job's own fitting is neither told nor marked."""
    own: Keys = {"outline": [60, 70], "screws": FOUR, "screw": "#10 x 1 1/2 in", **SWIVELS}
    found = survey(
        job(
            run([900, 900], count=5, height=900, start="own", finish="take-up swivel"),
            guard={"bracket": "side plate"},
            post={"post": {"width": 140, "material": "douglas fir"}},
            fitting={"own": own},
        )
    )
    told = {p.where for p in of_level(found.plan.problems, "check") if "plausible example" in p.found}
    assert told == {"fitting.take-up swivel", "bracket.side plate"}
    (sample,) = [drawn for drawn in found.samples if drawn.group.kind == "fitting"]
    words = [s.text for s in sample.sheet.drawing.shapes if isinstance(s, Text)]
    assert words.count("A GENERIC PIECE: MEASURE YOURS") == 2


@pytest.mark.parametrize(("first", "bad"), [(9.9, True), (10.1, False)])
def test_hole_near_the_top_of_a_post_under_its_rail(first: float, bad: bool) -> None:
    """A bore 10 mm from the post's end at least (common practice, no source), where the rail lies over the posts."""
    found = plan(
        run([900, 900], count=5, height=900, first=first, spacing=80, rail={"sits": "over"}, start="own", finish="own"),
        fitting={"own": BOLT},
    )
    told = [p for p in of_level(found.problems, "stop") if "from the post's top" in p.found]
    assert bool(told) is bad
    assert all(p.where.endswith("/1") for p in told)
