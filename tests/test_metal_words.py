"""What a metal post's pages say of a hole: drill, wall, tap or clearance, slot; the same in every list."""

from __future__ import annotations

import csv
from io import StringIO
from typing import Any

import pytest
from jobs_made import LUG, TUBE, Keys, face, marks, of_level, plan, ramp, run

from jiggen.compose.bench import Room, strip
from jiggen.compose.drilled import holes_of
from jiggen.compose.fittings import figures
from jiggen.compose.flaps import drill_words
from jiggen.compose.howto import steps
from jiggen.compose.lists import drill_list, hardware_list
from jiggen.compose.panel import hollow_words, panel
from jiggen.compose.sideview import draw_side, side_view
from jiggen.compose.site import care
from jiggen.drawing.scene import Pen, Text
from jiggen.handbook.screws import parse_screw
from jiggen.job.read import read_job
from jiggen.plan.document import document
from jiggen.plan.make import make_plan
from jiggen.plan.model import Plan
from jiggen.plan.report import report
from jiggen.review import review
from jiggen.sheets.extent import overlaps, text_extent

FLAT: Keys = {"shape": "rectangular", "along": 10, "across": 50, "material": "steel"}


def made(post: Keys, screw: str = "M6 x 16 mm", **keys: Any) -> Plan:
    """Three posts, six cables; 2 x 6 x 2 = 24 screws."""
    return plan(
        run([900, 900], count=6, height=900, start="lug", finish="lug", **keys),
        post={"post": post},
        fitting={"lug": {**LUG, "screw": screw}},
        job={"drills": ["metric"]},
        cable={"diameter": 3.2, "clearance": 2.3},
    )


def on_sheet(found: Plan, post: str) -> tuple[dict[str, str], list[str]]:
    """The drill words and the steps of the sheet that serves a post's first face."""
    group = next(g for g in found.groups if post in g.posts)
    one = strip(found, group, Room(184.0, 250.0, 10.0).width)
    return dict(drill_words(one.benches)), steps(one)


def rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(data.decode("utf-8-sig"))))


def test_tapped_through_a_wall() -> None:
    """M6 in 3 mm: tap drill 5 mm (workshop tables); the hole is the wall, not the screw."""
    found = made(TUBE)
    words, how = on_sheet(found, "1")
    assert words == {"SCREW HOLES 1a TO 6b": "DRILL 5 mm THROUGH WALL 3.0 mm, TAP M6"}
    assert any(step.startswith("Tap M6 square") for step in how)
    assert any("wall of this face alone" in step for step in how)
    assert not any("drill stop to the depth" in step or "meet in the middle" in step for step in how)
    row = next(row for row in rows(drill_list(found)) if row["mark"] == "1/toward 2/1a")
    assert (row["drill"], row["depth mm"], row["how deep"], row["then"]) == (
        "5 mm",
        "3.0",
        "through wall, 3.0 mm",
        "tap M6",
    )
    assert {"item": "tap M6, 24 holes", "count": "1", "spare": "1"} in rows(hardware_list(found))
    assert found.takeoff.taps == (("M6", 24),)  # 2 ends x 6 cables x 2 screws
    said = report(found, [])
    assert "  tap M6     24 holes" in said
    assert "  1a to 6b: 5 mm through wall, 3.0 mm; tap M6" in said
    mark = next(m for m in document(found)["posts"][0]["marks"] if m["id"] == "1/toward 2/1a")
    assert (mark["tap"], mark["wall_mm"], mark["depth_mm"]) == ("M6", 3.0, 3.0)


def test_practice_sheet_says_it_too() -> None:
    found = made(TUBE)
    (sample,) = [s for s in found.samples if s.group.kind == "practice"]
    one = strip(found, sample.group, 184.0, sample.face)
    assert "DRILL 5 mm THROUGH WALL 3.0 mm, TAP M6" in [how for _, how in drill_words(one.benches)]


@pytest.mark.parametrize("text", ["bolt M6 x 25 mm", "M6 x 25 mm bolt", "through-bolt M6 x 25 mm"])
def test_through_bolt(text: str) -> None:
    """Clearance 6.6 mm (ISO 273 medium) right through a bar 10 mm deep. 3 + 10 + 6 + 2 x 1.0 = 21 mm is the least."""
    found = made(FLAT, text)
    words, how = on_sheet(found, "1")
    assert words == {"SCREW HOLES 1a TO 6b": "DRILL 6.6 mm, THROUGH, CLEARANCE FOR M6"}
    assert "M6 holes: drill square right through the post; nut and washer behind." in how
    assert dict(found.takeoff.hardware)["nut and washer M6"] == 24
    assert found.takeoff.taps == ()
    assert not of_level(found.problems, "stop")
    assert marks(face(found, "1", "2"), "screw")[0].depth == pytest.approx(10)


def test_bolt_too_short_for_its_nut() -> None:
    """21 mm wanted: one of 20 is 1.0 short; 25 is the next that is sold."""
    (told, *more) = of_level(made(FLAT, "bolt M6 x 20 mm").problems, "stop")
    assert not more
    assert "1.0 mm too short" in told.found and "25 mm or more" in told.remedy


def test_a_bolt_has_a_machine_thread() -> None:
    with pytest.raises(ValueError, match="by its thread"):
        parse_screw("bolt #10 x 2 in")
    assert parse_screw("lag bolt 5/16 x 3 in").kind == "lag"


@pytest.mark.parametrize(
    ("screw", "depth", "through"),
    [
        ("M6 x 16 mm", 16 - 3 + 3, False),  # thread 13, 3 pitches of 1 mm more for the tap's lead, in 30 mm
        ("M6 x 30 mm", 30, True),  # 27 + 3 = 30: right through
    ],
)
def test_tapped_in_solid_metal(screw: str, depth: float, through: bool) -> None:
    found = made({**FLAT, "along": 30}, screw)
    mark = marks(face(found, "1", "2"), "screw")[0]
    assert (mark.depth, mark.through, mark.tap, mark.wall) == (pytest.approx(depth), through, "M6", 0.0)


def test_screw_that_meets_the_far_wall() -> None:
    """66 - 3 = 63 mm in a tube whose far wall is 57 in: shorter by 63 - 57 + 6 = 12, 54: 50 is sold."""
    (told, *_) = of_level(made(TUBE, "M6 x 66 mm").problems, "stop")
    assert "goes 63.0 mm in, the far wall is 57.0 mm" in told.found and told.remedy == "use a screw 50 mm long"


def test_round_hole_for_a_slanting_cable_is_told() -> None:
    """25 degrees, 3 mm: a slot 5.5 x 7.2 mm (5.5 + 3.2 (1 / cos - 1) + 3 tan = 0.33 + 1.40 longer); 7.3 is the drill
    over 7.23."""
    found = made(TUBE, ramp=ramp(25))
    words, how = on_sheet(found, "2")
    assert words["CABLE HOLES 1 TO 6"] == "DRILL 7.3 mm THROUGH WALL 3.0 mm, ROUND HOLE FOR SLANTING CABLE"
    assert any("drill square. They are round and larger" in step for step in how)
    assert "  1 to 6: 7.3 mm through wall, 3.0 mm; round, for a slot 5.5 x 7.2 mm" in report(found, [])


def test_slots_to_file_are_listed() -> None:
    """The same as slots: 1.73 mm between the end holes of a 5.5 mm drill, so one end is drilled and the rest filed."""
    found = made({**TUBE, "slot": "file"}, ramp=ramp(25))
    words, how = on_sheet(found, "2")
    assert "SLOT 5.5 x 7.2 mm: ONE END, FILE TO THE LINE" in words["CABLE HOLES 1 TO 6"]
    assert any("a second hole walks" in step for step in how)
    assert found.takeoff.slots == (("5.5 x 7.2", "5.5 mm", 12),)  # 6 cables, two walls of one line post
    row = next(row for row in rows(drill_list(found)) if row["mark"] == "2/toward 1/1")
    assert (row["slot mm"], row["slot's end holes"]) == ("5.50 x 7.23", "0.9 mm up and down")
    mark = next(m for m in document(found)["posts"][1]["marks"] if m["id"] == "2/toward 1/1")
    assert mark["slot_mm"] == pytest.approx([5.5, 7.2298], abs=1e-3)
    assert any("end holes 0.9 mm up and down" in line for line in report(found, []))


def test_deep_slots_have_two_end_holes() -> None:
    """A bar 30 mm deep at 25 degrees: 0.33 + 13.99 = 14.3 between the ends, the drill 5.5."""
    found = made({**FLAT, "along": 30}, "M6 x 16 mm", ramp=ramp(25))
    words, how = on_sheet(found, "2")
    assert "SLOT 5.5 x 19.8 mm: BOTH ENDS, FILE BETWEEN" in words["CABLE HOLES 1 TO 6"]
    assert any("drill square at both end crosses" in step for step in how)


def test_no_word_of_wood_in_steel() -> None:
    """Two runs in one solid steel post: what is between their screws is metal."""
    solid = {"width": 40, "material": "steel"}
    lug = {**LUG, "screw": "M6 x 30 mm"}
    found = plan(
        [
            run([900], count=6, height=900, start="lug", finish="lug"),
            run([900], 2, count=6, height=900, start="lug", finish="lug", turn="left 90 deg"),
        ],
        post={"post": solid},
        fitting={"lug": lug},
    )
    clashes = [p for p in of_level(found.problems, "stop") if "is the least" in p.found]
    assert clashes
    assert not [p for p in found.problems if " wood" in p.found or "grain" in p.found]


def test_openings_with_round_holes_are_told_beside_those_with_slots() -> None:
    """Both leave the clearance up and down, the round hole what its drill is larger too: 7.3 - 7.2298 = 0.070 mm of play
    upright, 0.064 square to the cable."""
    found = made(TUBE, ramp=ramp(25))
    (told,) = [p for p in review(found) if "one round hole" in p.found]
    slots = made({**TUBE, "slot": "file"}, ramp=ramp(25))
    (line,) = found.runs
    largest, with_slots = (max(one.loads[line.id].worst) for one in (found, slots))
    assert largest - with_slots == pytest.approx(0.064, abs=2e-3)
    assert f"{largest:.1f} mm so, {with_slots:.1f} mm with slots" in told.found
    assert told.level == "note" and 'slot = "file" in [post.post]' in told.remedy
    assert not [p for p in review(slots) if "one round hole" in p.found]


def test_caution_is_of_the_post_s_material() -> None:
    for material, word in (("steel", "cutting oil"), ("redwood", "Treated wood")):
        found = made({"width": 89, "material": material}, "M6 x 16 mm")
        shapes = panel(strip(found, found.groups[0], 184.0)).shapes
        said = " ".join(shape.text for shape in shapes if isinstance(shape, Text))
        assert word in said


@pytest.mark.parametrize(
    ("post", "units", "told"),
    [
        (TUBE, "mm", ["HOLLOW POST: WALL 3.0 mm"]),
        ({"shape": "round", "diameter": 60.3, "wall": 2.6, "material": "steel"}, "mm", ["HOLLOW POST: WALL 2.6 mm"]),
        ({**TUBE, "wall": "1/8 in"}, "in", ["HOLLOW POST: WALL 1/8 in (3.2 mm)"]),  # 3.175 mm
        (
            {"width": 127, "wall": 4, "core": 89, "material": "southern pine"},
            "mm",
            ["HOLLOW POST: WALL 4.0 mm", "WOOD INSIDE 89.0 mm"],
        ),
        ({"width": 89, "material": "douglas fir"}, "mm", []),
        (FLAT, "mm", []),
    ],
)
def test_a_sheet_says_that_its_post_is_hollow(post: Keys, units: str, told: list[str]) -> None:
    """Once, at its foot in the column beside the squares (101.6 mm), over nothing else; the practice piece is solid."""
    sizes = {key: f"{size} mm" if isinstance(size, float | int) else size for key, size in post.items()}
    found = plan(
        run(["900 mm"], count=6, height="900 mm", start="fixed swivel", finish="fixed swivel"),
        post={"post": sizes},
        job={"units": units},
    )
    one = strip(found, found.groups[0], 184.0)
    texts = [shape for shape in panel(one).shapes if isinstance(shape, Text)]
    lines = [shape for shape in texts if shape.text.startswith(("HOLLOW POST", "WOOD INSIDE"))]
    assert [shape.text for shape in lines] == told
    for shape in lines:
        box = text_extent(shape)
        assert not any(overlaps(box, text_extent(other)) for other in texts if other is not shape), shape.text
        assert box[0] > 101.6 and box[2] < 184.0
    (sample,) = [s for s in found.samples if s.group.kind == "practice"]
    assert hollow_words(strip(found, sample.group, 184.0, sample.face)) == []


STUDS = """
job = { name = "Pier", units = "in", code = "irc-2021", drills = ["fraction"] }
cable = { diameter = "5/32 in", strand = "1x19", tension = "250 lbf" }
post.tube = { width = "2 in", wall = "5/32 in", material = "stainless steel" }
[fitting.stud]
outline = ["3/4 in", "3/4 in"]
flange = "3/32 in"
bore = "17/64 in"
washer = "45/64 in"
setback = "2 in"
travel = "1 in"
[[run]]
posts = ["1", "2", "3"]
spans = ["36 in", "36 in"]
start = "stud"
finish = "stud"
"""


def test_what_is_bought_or_drilled_keeps_its_fraction_on_the_pages() -> None:
    """A cable and a wall of 5/32 in, 2.5 sixteenths, and a bore of 17/64 in: none is rounded to a tape's 1/16 in."""
    found = make_plan(read_job(STUDS))
    cared = " ".join(s.text for page in care(found, (), (190.0, 250.0)) for s in page.shapes if isinstance(s, Text))
    assert "cable 5/32 in (4.0 mm), pull 250 lbf" in cared
    group = next(g for g in found.groups if "1" in g.posts)
    one = strip(found, group, Room(184.0, 250.0, 10.0).width)
    assert hollow_words(one) == ["HOLLOW POST: WALL 5/32 in (4.0 mm)"]
    assert [how for _, how in drill_words(one.benches)] == ["DRILL 17/64 in THROUGH WALL 5/32 in (4.0 mm)"]
    (pattern,) = [o for face in found.posts[0].faces for o in face.outlines if o.purpose == "fitting" and o.cable == 1]
    told = figures(found.job, pattern)
    assert "bore 17/64 in (6.7 mm), nut and washer behind the post 45/64 in (17.9 mm) wide" in told
    assert "through wall, 5/32 in (4.0 mm)" in " ".join(report(found, ()))
    pen = Pen()
    draw_side(found.job, pen, side_view(found.job.fittings["stud"], 20.0, 25.0, 170.0), 10.0, 200.0)
    assert "flange 3/32 in" in [s.text for s in pen.shapes if isinstance(s, Text)]


def test_a_stud_s_bores_are_no_cable_holes() -> None:
    """Post 1 is bored for the fittings' studs, post 2 for the cables that pass it."""
    found = make_plan(read_job(STUDS))
    count = len(found.runs[0].drops)
    assert list(on_sheet(found, "1")[0]) == [f"STUD HOLES 1 TO {count}"]
    assert list(on_sheet(found, "2")[0]) == [f"CABLE HOLES 1 TO {count}"]
    first, second = (next(face.marks for face in found.posts[at].faces if face.marks) for at in (0, 1))
    assert (holes_of(first[0]), holes_of(second[0])) == ("STUD HOLES", "CABLE HOLES")
