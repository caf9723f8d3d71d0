"""Studs through end posts: sheets wrapped round the post mark where each goes in and where it comes out, on its axis."""

from __future__ import annotations

from math import cos, radians, sin, tan
from typing import Any

import pytest
from jobs_made import BOLT, Keys, job, ramp, run
from paper_wrapped import KINDS, UP_AND_DOWN, WITHIN, cable, drawn_marks, fold, of_post, off, roll

from jiggen.build import Options, Survey, survey
from jiggen.drawing.scene import Ink, Oval, Path, Text
from jiggen.plan.faces import AWAY
from jiggen.plan.model import Mark
from jiggen.sheets.extent import text_extent

STUD: Keys = {**BOLT, "washer": 24}
PIPES: dict[str, Keys] = {
    "pipe": {"shape": "round", "diameter": 48.3, "wall": 3, "material": "316 stainless"},
    "pole": {"shape": "round", "diameter": 140, "material": "douglas fir"},
}
LEANS = {"1": {"lean": [6, -4]}, "3": {"lean": [-3, 5]}}


def made(kind: Keys, ground: Keys, post: str, **tables: Any) -> Survey:
    """A run of three posts, wrapped sheets, studs right through both end posts."""
    return survey(
        job(
            run([900, 1000], count=4, height=800, start="stud", finish="stud", **ground),
            post={"timber": kind},
            fitting={"stud": STUD},
            sheet={"kind": "wrap"},
            **tables,
        ),
        Options(posts=(post,)),
    )


def ends_of(marks: list[tuple[Mark, list[tuple[float, float]]]]) -> tuple[int, int]:
    """How many marks are where studs go in, and where they come out."""
    out = sum(mark.face.startswith(AWAY) for mark, _ in marks)
    return len(marks) - out, out


@pytest.mark.parametrize("lean", [False, True])
@pytest.mark.parametrize("post", ["1", "3"])
@pytest.mark.parametrize("ground", UP_AND_DOWN)
@pytest.mark.parametrize("kind", KINDS)
def test_folded_both_ends_of_every_stud_lie_on_its_cable(kind: str, ground: str, post: str, lean: bool) -> None:
    found = made(KINDS[kind], UP_AND_DOWN[ground], post, **({"as_built": LEANS} if lean else {}))
    drawn, stands, faces = of_post(found, post)
    assert len(faces) == 3 and faces[1].name == "deck side"
    lay = fold(found, drawn, stands, faces)
    marks = drawn_marks(found, drawn)
    assert ends_of(marks) == (4, 4)
    for mark, ((x, y),) in marks:
        assert off(cable(found, mark), lay(x, y)) < WITHIN, mark.id


@pytest.mark.parametrize("lean", [False, True])
@pytest.mark.parametrize("post", ["1", "3"])
@pytest.mark.parametrize("ground", UP_AND_DOWN)
@pytest.mark.parametrize("kind", PIPES)
def test_rolled_both_ends_of_every_stud_lie_on_its_cable(kind: str, ground: str, post: str, lean: bool) -> None:
    found = made(PIPES[kind], UP_AND_DOWN[ground], post, **({"as_built": LEANS} if lean else {}))
    drawn, stands, faces = of_post(found, post)
    lay = roll(found, drawn, stands, faces)
    marks = drawn_marks(found, drawn)
    assert ends_of(marks) == (4, 4)
    for mark, ((x, y),) in marks:
        assert off(cable(found, mark), lay(x, y)) < WITHIN, mark.id


@pytest.mark.parametrize("turn", [90, -60, 30])
def test_a_corner_post_s_marks_all_bear_their_run(turn: int) -> None:
    """The sheet is wrapped and holds the studs of two runs: where one goes in and where it comes out it is called A1."""
    runs = [
        run([900], count=4, height=800, start="stud", finish="stud", id="A"),
        run([900], 2, count=4, height=800, turn=f"{turn} deg", start="stud", finish="stud", stagger=40, id="B"),
    ]
    found = survey(
        job(runs, post={"timber": {"width": 140}}, fitting={"stud": STUD}, sheet={"kind": "wrap"}),
        Options(posts=("2",)),
    )
    plan = found.plan
    for name in ("2/away from 1", "2/away from 3"):
        face = plan.face_by_id[name]
        others = [f for f in plan.post_by_id["2"].faces if f is not face and f.marks]
        shared = any(f.frame.normal.dot(face.frame.normal) > 0.999 for f in others)
        assert shared == (abs(turn) == 30)  # B still leaves by the side that A comes out of
        first = f"{face.run}1"
        assert face.marks[0].label == first and face.marks[0].id == f"{name}/{first}"
    drawn = [one for one in found.sheets if one.group.strip[0].startswith("2/")]
    seen = 0
    for one in drawn:
        faces = [plan.face_by_id[name] for name in one.group.strip]
        lay = fold(found, one, plan.post_by_id["2"], faces)
        for mark, ((x, y),) in drawn_marks(found, one):
            assert off(cable(found, mark), lay(x, y)) < WITHIN, mark.id
            seen += 1
    assert seen == 16


@pytest.mark.parametrize("degrees", [0, 7, 18])
def test_an_exit_keeps_its_drop_and_lies_higher_or_lower_by_the_rake(degrees: float) -> None:
    """140 tan t up or down in post coordinates, the same drop under the underside; 140 / cos t along the bore."""
    found = made({"width": 140, "material": "douglas fir"}, {"ramp": ramp(degrees)} if degrees else {}, "1").plan
    t = radians(degrees)
    near, far = found.face_by_id["1/toward 2"].marks, found.face_by_id["1/away from 2"].marks
    for a, b in zip(near, far, strict=True):
        assert b.drop == pytest.approx(a.drop, abs=1e-6)
        assert b.v - a.v == pytest.approx(-140 * tan(t), abs=1e-6)  # post 1 is the low end: out is downhill
        assert a.depth == b.depth == pytest.approx(140 / cos(t), abs=1e-6)
        assert tuple(a.axis) == pytest.approx((0, -sin(t), cos(t)), abs=1e-9)
        assert tuple(b.axis) == pytest.approx((0, sin(t), cos(t)), abs=1e-9)
        assert (a.other, b.other) == (b.id, a.id)


def test_of_a_tube_each_wall_has_its_own_hole() -> None:
    """3 / cos t through each wall of 3 mm; both ends of the stud on the cable."""
    plan = made(KINDS["tube"], {"ramp": ramp(9.5)}, "1").plan
    for name in ("1/toward 2", "1/away from 2"):
        for mark in plan.face_by_id[name].marks:
            assert mark.wall == 3 and mark.depth == pytest.approx(3 / cos(radians(9.5)), abs=1e-6)


def test_a_bore_as_deep_as_its_post_comes_out_and_one_that_stops_does_not() -> None:
    """140 mm of wood: a bore of 139 mm stops in it, one of 141 mm is one through it."""
    for deep, out in ((139, False), (141, True)):
        found = job(
            run([900], count=4, height=800, start="stud", finish="stud"),
            post={"timber": {"width": 140}},
            fitting={"stud": {**{k: v for k, v in STUD.items() if k != "washer"}, "bore_depth": deep}},
        )
        plan = survey(found).plan
        assert ("1/away from 2" in plan.face_by_id) is out
        assert all(mark.through is out for mark in plan.face_by_id["1/toward 2"].marks)


def test_a_wire_beside_studs_is_marked_where_it_comes_out_too() -> None:
    """A hole for a wire along the run, 40 mm under the rail, at both ends of its bore; beside plates, which stop in the
    post, on the near face alone."""
    keys: Keys = {"count": 4, "height": 800, "wire": {"drop": 40, "face": "toward 2", "diameter": 6}}
    tables: Keys = {"post": {"timber": {"width": 140}}, "fitting": {"stud": STUD}}
    found = survey(job(run([900], start="stud", finish="stud", **keys), **tables)).plan
    (near,) = [mark for mark in found.face_by_id["1/toward 2"].marks if mark.purpose == "wire"]
    (far,) = [mark for mark in found.face_by_id["1/away from 2"].marks if mark.purpose == "wire"]
    assert (near.other, far.other, far.id) == (far.id, near.id, "1/away from 2/W1")
    assert near.drop == pytest.approx(40) and far.drop == pytest.approx(40) and far.u == pytest.approx(0, abs=1e-9)
    assert len(found.face_by_id["1/away from 2"].outlines) == 4  # of studs alone
    plates = survey(job(run([900], **keys), **tables)).plan
    assert "1/away from 2" not in plates.face_by_id


def test_a_bore_with_both_ends_marked_is_one_hole() -> None:
    """Two end posts of four studs and a line post of four cables: 12 holes, each from both faces."""
    plan = made(KINDS["sharp"], {}, "1").plan
    assert sum(one.holes for one in plan.takeoff.drills if one.both) == 12
    assert all(one.both == one.holes for one in plan.takeoff.drills)


def test_washers_that_overlap_where_studs_come_out_are_told() -> None:
    """Cables 60 mm apart, washers of 70 mm: they overlap by 10 mm behind each end post; the fittings in front do not."""
    plan = survey(
        job(
            run([900], spacing=60, count=6, height=800, start="stud", finish="stud"),
            post={"timber": {"width": 89}},
            fitting={"stud": {**STUD, "washer": 70}},
        )
    ).plan
    told = {p.where: p for p in plan.problems if p.level == "stop" and "overlap" in p.found}
    assert set(told) == {"1/away from 2", "2/away from 1"}
    assert "washer of stud of cable 1 and washer of stud of cable 2 overlap by 10.0 mm" in told["1/away from 2"].found


def test_a_stud_that_comes_out_at_the_edge_is_told() -> None:
    """A post of 100 mm turned by 40 degrees: out 50 tan 40 = 42.0 mm aside, 8.0 mm from the edge; 10 mm are the least."""
    plan = survey(
        job(
            run([900], count=4, height=800, start="stud", finish="stud"),
            post={"timber": {"width": 100, "rotate": "40 deg"}},
            fitting={"stud": {**STUD, "washer": 12}},
        )
    ).plan
    told = [p for p in plan.problems if p.level == "stop" and p.where.startswith("1/")]
    assert any(p.where == "1/away from 2/1" and "8.0 mm from the face's edge" in p.found for p in told)


def test_washers_are_drawn_round_and_their_step_is_told() -> None:
    found = made(KINDS["sharp"], {}, "1")
    drawn, _, _ = of_post(found, "1")
    rims = [s for s in drawn.sheet.drawing.shapes if isinstance(s, Path) and s.ink is Ink.FITTING and len(s.points) > 8]
    assert len(rims) == 4
    for rim in rims:
        assert max(p.x for p in rim.points) - min(p.x for p in rim.points) == pytest.approx(24, abs=1e-6)
    words = " ".join(s.text for s in drawn.sheet.drawing.shapes if isinstance(s, Text))
    assert "Round outlines: nut and washer, where the stud comes out." in words
    assert "far end is not marked" not in words


def test_a_sheet_where_no_rail_leaves_the_post_is_seated_by_a_line_of_its_own() -> None:
    """Flat sheets: the one where the studs come out hangs on a line as high as the underside, 800 - 38 over the deck."""
    found = survey(
        job(
            run([900], count=4, height=800, start="stud", finish="stud", rail={"depth": 38, "width": 89}),
            fitting={"stud": STUD},
        )
    )
    (drawn,) = [one for one in found.sheets if "1/away from 2" in one.group.faces]
    words = " ".join(s.text.strip() for s in drawn.sheet.drawing.shapes if isinstance(s, Text))
    assert "TOP: HOLD ON LINE AT" in words and "HOLD AGAINST" not in words
    assert "on a line pencilled 762.0 mm over the walking surface here" in words


def test_a_jig_where_studs_come_out_hangs_on_a_line_of_its_own_height() -> None:
    """No rail leaves the post there, and on a ramp a line squared round from the other face would be 140 tan 9.5 degrees
    off: 800 less 38 / cos 9.5 degrees is 761.5 over the walking surface at the face."""
    found = survey(
        job(
            run(
                [900], count=4, height=800, start="stud", finish="stud", ramp=ramp(9.5), rail={"depth": 38, "width": 89}
            ),
            post={"timber": {"width": 140}},
            fitting={"stud": STUD},
            jig={"thickness": 6, "kerf": 0.2, "bed": [600, 400], "stock": [1200, 600]},
        )
    )
    own = {one.jig.face: one.jig for one in found.jigs}
    assert own["1/toward 2"].seat.startswith("Press the stop up against the underside of the rail")
    assert "on a line 761.5 mm over the walking surface at this face" in own["1/away from 2"].seat
    marks = found.plan.face_by_id["1/away from 2"].marks
    guided = {hole.mark for part in own["1/away from 2"].parts for hole in part.holes if hole.use == "guide"}
    assert {mark.id for mark in marks} <= guided


@pytest.mark.parametrize("washer", [24, 0])
def test_a_flat_sheet_says_that_its_studs_come_out(washer: int) -> None:
    """Once, at the uppermost hole of the face that looks away, and in the steps; on no face where they go in."""
    stud = {key: held for key, held in STUD.items() if key != "washer"} | ({"washer": washer} if washer else {})
    found = survey(
        job(
            run([900], count=4, height=800, start="stud", finish="stud"),
            post={"timber": {"width": 100, "material": "douglas fir"}},
            fitting={"stud": stud},
            sheet={"kind": "face"},
        )
    )
    seen = 0
    for drawn in found.sheets:
        shapes = [s for s in drawn.sheet.drawing.shapes if isinstance(s, Text)]
        out = [s for s in shapes if s.text == "COMES OUT"]
        away = any("/away from" in face for face in drawn.group.strip)
        assert len(out) == away
        step = "Round outlines: nut and washer" if washer else "Holes of a face AWAY FROM a post"
        assert (step in " ".join(s.text for s in shapes)) == away
        for word in out:
            top = max(s.centre.y for s in drawn.sheet.drawing.shapes if isinstance(s, Oval) and "mark" in dict(s.data))
            assert abs(word.at.y - top) < 25
            seen += 1
    assert seen


@pytest.mark.parametrize("size", [14, 20, 24])
def test_no_name_in_an_outline_lies_over_its_hole(size: int) -> None:
    """A hole of 12 mm: in an outline of 14 there is no room for its name, in one of 24 there is 6 mm beside the hole."""
    found = survey(
        job(
            run([900], count=4, height=800, start="stud", finish="stud"),
            post={"timber": {"width": 100, "material": "douglas fir"}},
            fitting={"stud": {**STUD, "outline": [size, size], "bore": 12}},
        )
    )
    named = 0
    for drawn in found.sheets:
        shapes = drawn.sheet.drawing.shapes
        holes = [s for s in shapes if isinstance(s, Oval) and "mark" in dict(s.data)]
        for word in (s for s in shapes if isinstance(s, Text) and s.text == "STUD" and s.angle):
            left, low, right, high = text_extent(word)
            for hole in holes:
                reach = max(left - hole.centre.x, hole.centre.x - right, low - hole.centre.y, hole.centre.y - high)
                assert reach > 6.0 - 0.6  # the box of a word is 0.35 of its height lower than capitals
            named += 1
    assert (named > 0) == (size > 14)
