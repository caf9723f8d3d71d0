"""Brackets, wires, hole sizes and lead holes."""

from __future__ import annotations

from math import cos, sin
from typing import Any

import pytest
from hypothesis import given, settings
from jobs_made import INCH, Keys, between, face, marks, of_level, only_run, plan, ramp, run, slope_of

FEW = settings(max_examples=25)
THIRTYSECOND = INCH / 32


def near(value: float, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def plate(screws: list[list[float]]) -> Keys:
    return {"plate": {"outline": [60, 80], "screws": screws, "screw": "#10 x 1 1/2 in", "flange": 3}}


@FEW
@given(degrees=between(1, 29), across=between(-20, 20), up=between(5, 40), gap=between(20, 90))
def test_brackets_on_a_ramp(degrees: float, across: float, up: float, gap: float) -> None:
    """Origin: middle of the rail's width at its underside, in the plane of each face."""
    keys: Keys = {"ramp": ramp(degrees), "bracket": "plate", "bottom_rail": {"depth": 40}, "bottom_gap": gap}
    made = plan(run([1200, 1200], count=7, **keys), bracket=plate([[across, up], [across, -up]]))
    t = slope_of(keys)
    # underside of the bottom rail under that of the top rail: 1000 or so less rail / cos t, less the gap
    line = only_run(made)
    lower = line.height - 38 / cos(t) - gap
    for post, neighbour in (("1", "2"), ("2", "1"), ("2", "3"), ("3", "2")):
        found = [(m.u, m.drop) for m in marks(face(made, post, neighbour), "bracket")]
        assert found == [
            (near(across), near(-up)),  # above the underside: a drop below nought
            (near(across), near(up)),
            (near(across), near(lower - up)),
            (near(across), near(lower + up)),
        ]


def test_brackets_on_the_level_by_hand() -> None:
    """1000 high, rail 38: underside at 962. Bottom rail's underside at 50: 912 below it."""
    keys = {"height": 1000, "bracket": "plate", "bottom_rail": {"depth": 40}, "bottom_gap": 50}
    made = plan(run([1200], count=9, **keys), bracket=plate([[16, 22], [-16, 22]]))
    found = marks(face(made, "1", "2"), "bracket")
    assert [m.label for m in found] == ["B1", "B2", "B3", "B4"]
    assert [m.drop for m in found] == [near(-22), near(-22), near(890), near(890)]
    assert [m.height for m in found] == [near(984), near(984), near(72), near(72)]
    assert [m.depth for m in found] == [near(1.5 * INCH - 3)] * 4
    assert all(m.cable is None for m in found)


def test_rail_over_the_posts_has_no_bracket() -> None:
    over = {"depth": 38, "sits": "over"}
    keys = {"bracket": "plate", "bottom_rail": {"depth": 40}, "bottom_gap": 50, "rail": over}
    made = plan(run([1200], height=1000, count=9, **keys), bracket=plate([[0, 22]]))
    assert [m.drop for m in marks(face(made, "1", "2"), "bracket")] == [near(890)]  # the bottom rail's alone


def test_bottom_bracket_of_its_own() -> None:
    both = plate([[0, 22]]) | {"low": {"outline": [40, 40], "screws": [[0, 7]], "screw": "#8 x 1 in"}}
    keys = {"bracket": "plate", "bottom_bracket": "low", "bottom_rail": {"depth": 40}, "bottom_gap": 50}
    made = plan(run([1200], height=1000, count=9, **keys), bracket=both)
    assert [(m.drop, m.what) for m in marks(face(made, "1", "2"), "bracket")] == [
        (near(-22), "plate, #10 x 1 1/2 in"),
        (near(905), "low, #8 x 1 in"),  # 912 - 7
    ]


def test_brackets_are_hidden_on_a_sheet_that_hangs_from_a_rail_in_place() -> None:
    keys = run([1200], count=9, bracket="side plate")
    for datum, shown in (("underside", False), ("height line", True), ("deck", True)):
        made = plan(keys, sheet={"datum": datum})
        mark = marks(face(made, "1", "2"), "bracket")[0]
        assert made.groups[0].shows(mark) is shown
        assert made.groups[0].shows(marks(face(made, "1", "2"), "screw")[0])


@FEW
@given(degrees=between(1, 29), drop=between(-30, 500), width=between(60, 140))
def test_wire_towards_a_neighbour_runs_along_the_cables(degrees: float, drop: float, width: float) -> None:
    wire = {"drop": drop, "face": "toward 3", "diameter": 10}
    post = {"timber": {"width": width, "material": "redwood"}}
    made = plan(run([1200, 1200], count=8, ramp=ramp(degrees), wire=wire), post=post)
    t = slope_of({"ramp": ramp(degrees)})
    (mark,) = marks(face(made, "2", "3"), "wire")
    assert (mark.u, mark.drop, mark.depth, mark.diameter) == (near(0), near(drop), near(width / cos(t)), near(10))
    assert mark.axis == (near(0), near(-sin(t)), near(cos(t)))
    assert not marks(face(made, "2", "1"), "wire")
    assert mark.cable is None


def test_wires_on_deck_and_open_side() -> None:
    """Deck to the left of a run along +x: its side looks along +y."""
    wires = [{"drop": 40, "face": "deck side", "diameter": 12}, {"drop": 90, "face": "open side", "diameter": 12}]
    made = plan(run([1200], count=8, deck="left", wire=wires))
    deck, other = made.face_by_id["1/deck side"], made.face_by_id["1/open side"]
    assert deck.frame.normal == (near(0), near(1), near(0))
    assert other.frame.normal == (near(0), near(-1), near(0))
    (mark,) = deck.marks
    assert (mark.id, mark.u, mark.drop, mark.depth) == ("1/deck side/W1", 0.0, near(40), near(89))
    assert [m.drop for m in other.marks] == [near(90)]
    asked = {"timber": {"width": 89, "material": "redwood", "wire": wires[0]}}
    assert "2/deck side" in plan(run([1200], count=8), post=asked).face_by_id


def drills(made: Any) -> set[str]:
    return {mark.drill.name for mark in marks(face(made, "2", "1"), "cable")}


def test_through_hole_of_an_inch_job() -> None:
    """1/8 in cable and 3/32 in clearance: 7/32 in, as installers drill it (common practice, no source)."""
    keys = {"posts": ["1", "2", "3"], "spans": [48, 48], "count": 8}
    made = plan(keys, job={"units": "in"}, post={"timber": {"size": "4x4"}})
    assert drills(made) == {"7/32 in"}
    assert marks(face(made, "2", "1"), "cable")[0].diameter == near(7 * THIRTYSECOND)


def test_through_hole_of_a_metric_job() -> None:
    assert drills(plan(run([1200, 1200], count=8))) == {"5.6 mm"}  # 3.2 + 2.4
    # 3.2 + 2.35 = 5.55: the next drill up in steps of 0.1
    assert drills(plan(run([1200, 1200], count=8), cable={"clearance": 2.35})) == {"5.6 mm"}
    # 14.02 and up there are steps of 0.25 (BS 328)
    assert drills(plan(run([1200, 1200], count=8), cable={"clearance": 10.9})) == {"14.25 mm"}  # 14.1


def test_what_must_pass_through_decides() -> None:
    swaged = {"outline": [40, 60], "screws": [[0, 20]], "screw": "#14 x 2 1/2 in", "setback": 50, "passes_through": 8.3}
    ends = {"start": "swaged", "finish": "rigid plate"}
    assert drills(plan(run([1200, 1200], count=8, **ends), fitting={"swaged": swaged})) == {"8.3 mm"}
    small = swaged | {"passes_through": 4.0}  # less than cable and clearance
    assert drills(plan(run([1200, 1200], count=8, **ends), fitting={"swaged": small})) == {"5.6 mm"}
    post = {"timber": {"width": 89, "material": "redwood", "grommet": 12.7}}
    made = plan(run([1200, 1200], count=8, **ends), fitting={"swaged": swaged}, post=post)
    assert drills(made) == {"12.7 mm"}  # the grommet's outside replaces both
    assert dict(made.takeoff.hardware)["grommet"] == 16  # one in each end of 8 bores


@pytest.mark.parametrize(
    ("wood", "screw", "drill", "inches"),
    [
        # NDS App. L3 roots (from memory): #14 .196, #10 .152; 70 % in softwood, 90 % in hardwood (NDS commentary 11.1.2.1)
        ("douglas fir", "#14 x 2 1/2 in", "#29", 0.136),  # 0.7 x .196 = .1372; #28 is .1405, 9/64 .1406
        ("red oak", "#14 x 2 1/2 in", "#17", 0.173),  # 0.9 x .196 = .1764; #16 is .1770: 0.015 mm over it
        ("douglas fir", "#10 x 2 in", "#36", 0.1065),  # 0.7 x .152 = .1064: 0.0025 mm under #36 counts as equal
        ("red oak", "#10 x 2 in", "#29", 0.136),  # 0.9 x .152 = .1368
        # root not listed: two thirds of the shank (Wood Handbook FPL-GTR-190 p. 197); #9: .060 + 9 x .013 = .177 in
        ("douglas fir", "#9 x 2 in", "#45", 0.082),  # 0.7 x .118 = .0826; #44 is .0860
    ],
)
def test_lead_holes(wood: str, screw: str, drill: str, inches: float) -> None:
    pin = {"outline": [40, 60], "screws": [[0, 20]], "screw": screw, "setback": 50, "flange": 3}
    made = plan(
        run([1200], count=8, start="pin", finish="pin"),
        job={"drills": ["fraction", "number"]},
        fitting={"pin": pin},
        post={"timber": {"width": 140, "material": wood}},
    )
    mark = marks(face(made, "1", "2"), "screw")[0]
    assert (mark.drill.name, mark.diameter) == (drill, near(inches * INCH))
    assert mark.depth == near(float(screw.split("x")[1].split()[0]) * INCH + (12.7 if "1/2" in screw else 0) - 3)
    assert not mark.through


def test_unknown_wood_is_a_check_and_counts_as_softwood() -> None:
    post = {"timber": {"width": 140, "material": "driftwood"}}
    made = plan(run([1200], count=8), post=post, job={"drills": ["fraction", "number"]})
    assert [p.where for p in of_level(made.problems, "check") if "driftwood" in p.found] == ["post.timber.material"]
    assert marks(face(made, "1", "2"), "screw")[0].drill.name == "#29"


def test_screw_longer_than_the_post_is_deep() -> None:
    """2 1/2 in less a flange of 1/8 in is 60.3 mm, in a post of 50."""
    made = plan(run([1200], count=8), post={"timber": {"width": 50, "material": "redwood"}})
    assert [p for p in of_level(made.problems, "stop") if "60.3 mm into a post of 50.0 mm" in p.found]
    made = plan(run([1200], count=8), post={"timber": {"width": 62, "material": "redwood"}})
    assert not [p for p in made.problems if "into a post" in p.found]


def test_wood_screw_in_a_metal_post_is_told() -> None:
    post = {"timber": {"size": "50x50x3 mm tube", "material": "316 stainless"}}
    made = plan(run([1200, 1200], count=8, start="fixed plate", finish="take-up plate"), post=post)
    stops = of_level(made.problems, "stop")
    assert {p.where for p in stops} == {"1/toward 2", "3/toward 2"}
    assert any('use "fixed plate for metal"' in p.remedy for p in stops)
    assert any('use "take-up plate for metal"' in p.remedy for p in stops)


def test_ends_left_open_on_metal_posts_get_machine_screws() -> None:
    """Three posts of which the first is of wood: the note is about the end on metal alone. M6 in 3 mm of wall, three
    threads: its tap drill, 5 mm (workshop tables)."""
    post = {"timber": {"width": 89, "material": "redwood"}, "tube": {"size": "50x50x3 mm tube", "material": "steel"}}
    made = plan(run([1200, 1200], count=8), post=post, posts={"line": "tube", "only": {"1": "timber"}})
    assert not of_level(made.problems, "stop")
    (told,) = [p for p in of_level(made.problems, "note") if "machine screws" in p.found]
    assert told.where == "run[0]" and "finish" in told.found and "start" not in told.found
    (line,) = made.runs
    assert (line.start, line.finish) == ("fixed plate", "take-up plate for metal")
    screws = marks(face(made, "3", "2"), "screw")
    assert len(screws) == 16 and {mark.drill.name for mark in screws} == {"5 mm"}
    assert {mark.what for mark in screws} == {"take-up plate for metal, M6 x 20 mm"}
    assert {mark.what for mark in marks(face(made, "1", "2"), "screw")} == {"fixed plate, #14 x 2 1/2 in"}


def test_a_plate_of_the_job_s_own_is_not_replaced_on_metal() -> None:
    own = {"outline": [40, 60], "screws": [[0, 20]], "screw": "M5 x 16 mm", "setback": 50}
    post = {"tube": {"size": "50x50x3 mm tube", "material": "steel"}}
    made = plan(run([1200], count=8), post=post, fitting={"fixed plate": own})
    assert (made.runs[0].start, made.runs[0].finish) == ("fixed plate", "take-up plate for metal")


@pytest.mark.parametrize(
    ("wall", "screw", "drill", "tapped"),
    [
        (3.0, "M6 x 12 mm", 5.0, True),  # 3 mm over a pitch of 1 mm: three threads, M6 tap drill 5.0, workshop tables
        (2.9, "M6 x 12 mm", 6.6, False),  # 2.9 threads: ISO 273 medium, 6.6
        (3.7, "M8 x 16 mm", 9.0, False),  # 3.7 / 1.25 = 2.96 threads: ISO 273 medium, 9.0
        (3.8, "M8 x 16 mm", 6.8, True),  # 3.04 threads: tap drill 6.8, workshop tables
    ],
)
def test_thin_wall_is_drilled_for_clearance(wall: float, screw: str, drill: float, tapped: bool) -> None:
    """Three pitches of thread at least in a tapped wall (common practice, no source)."""
    own = {"outline": [40, 60], "screws": [[0, 20]], "screw": screw, "setback": 50}
    post = {"tube": {"width": 60, "wall": wall, "material": "steel"}}
    made = plan(run([1200], count=8, start="own", finish="own"), post=post, fitting={"own": own})
    (mark, *_) = marks(face(made, "1", "2"), "screw")
    assert mark.diameter == near(drill)
    assert ("clearance" in mark.why) is not tapped
    assert (mark.tap, mark.clears) == ((screw.split()[0], "") if tapped else ("", screw.split()[0]))
    assert (mark.depth, mark.wall, mark.through) == (near(wall), near(wall), True)
    assert mark.reach == near(float(screw.split()[2]))  # no flange: the screw's length stays in the tube
    told = [p for p in of_level(made.problems, "check") if "threads of" in p.found]
    assert bool(told) is not tapped
    assert all("rivet nuts" in p.remedy and "bolt" in p.remedy and "no source" in p.source for p in told)


def test_through_hole_nearer_the_edge_than_ten_millimetres_is_a_stop() -> None:
    def stops(width: float, **tables: Any) -> list[Any]:
        post = {
            "timber": {"width": 89, "material": "redwood"},
            "slim": {"shape": "rectangular", "along": 89, "across": width},
        }
        made = plan(run([1200, 1200], count=8), post=post, posts={"line": "slim", "end": "timber"}, **tables)
        return [p for p in of_level(made.problems, "stop") if p.where.startswith("2/")]

    assert stops(20.2) == []  # centre 10.1 mm from each edge
    assert stops(19.8)  # 9.9
    assert stops(24, limits={"min_edge": 12.5})
    assert stops(26, limits={"min_edge": 12.5}) == []
