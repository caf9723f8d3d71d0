"""Sheets wrapped round a model of their post in space, straight from the drawing: marks lie on their cables' lines."""

from __future__ import annotations

from math import hypot, pi
from typing import Any

import pytest
from jobs_made import BOLT, Keys, job, ramp, run
from paper_wrapped import EASED, KINDS, PAPER, UP_AND_DOWN, WITHIN, cable, drawn_marks, fold, of_post, off, roll, seat

from jiggen.build import Drawn, Options, Survey, survey
from jiggen.drawing.scene import Ink, Line, Oval, Path, Text
from jiggen.sheets.extent import text_extent


def wrapped(kind: Keys, ground: Keys, **keys: Any) -> Survey:
    """A run of three posts, wrapped sheets, bolts at both ends."""
    return survey(
        job(
            run([900, 1000], count=4, height=800, start="bolt", finish="bolt", **ground, **keys),
            post={"timber": kind},
            fitting={"bolt": BOLT},
            sheet={"kind": "wrap"},
        ),
        Options(posts=("2",)),
    )


@pytest.mark.parametrize("ground", UP_AND_DOWN)
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("deck", ["left", "right"])
def test_folded_sheet_puts_every_mark_on_its_cable(kind: str, ground: str, deck: str) -> None:
    found = wrapped(KINDS[kind], UP_AND_DOWN[ground], deck=deck)
    drawn, post, faces = of_post(found, "2")
    assert len(faces) == 3 and faces[1].name == "deck side"
    lay = fold(found, drawn, post, faces)
    # a hollow post is bored square where the cable crosses the middle of its wall
    deep = post.kind.wall / 2 if post.kind.wall and not post.kind.core else 0.0
    seen = 0
    for mark, places in drawn_marks(found, drawn):
        assert mark.purpose == "cable"
        x, y = (sum(values) / len(places) for values in zip(*places, strict=True))
        inward = found.plan.face_by_id[f"2/{mark.face}"].frame.normal.times(-deep)
        assert off(cable(found, mark), lay(x, y).plus(inward)) < WITHIN, mark.id
        seen += 1
    assert seen == 8


@pytest.mark.parametrize("ground", UP_AND_DOWN)
@pytest.mark.parametrize("kind", ["sharp", "eased", "flat"])
def test_underside_runs_along_the_rake_on_every_side(kind: str, ground: str) -> None:
    """The datum of each side, folded, lies in the plane of the rail's underside."""
    found = wrapped(KINDS[kind], UP_AND_DOWN[ground])
    drawn, post, faces = of_post(found, "2")
    lay = fold(found, drawn, post, faces)
    (line,) = found.plan.runs
    seen = 0
    for shape in drawn.sheet.drawing.shapes:
        if isinstance(shape, Line) and dict(shape.data).get("line") == "datum":
            face = found.plan.face_by_id[dict(shape.data)["face"]]
            x, _ = seat(drawn, face.id)
            half = face.frame.width / 2 - post.kind.radius
            rate = (shape.end.y - shape.start.y) / (shape.end.x - shape.start.x)
            for step in (-half, 0.0, half):
                point = lay(x + step, shape.start.y + rate * (x + step - shape.start.x))
                assert point.z == pytest.approx(line.underside(line.along(point)), abs=WITHIN), face.id
                seen += 1
    assert seen == 9


@pytest.mark.parametrize("ground", UP_AND_DOWN)
def test_slope_of_every_bore_stands_on_the_side(ground: str) -> None:
    """On the deck side a line from edge to edge, at each end as high as the cable where it enters and leaves."""
    found = wrapped(KINDS["sharp"], UP_AND_DOWN[ground])
    drawn, post, faces = of_post(found, "2")
    lay = fold(found, drawn, post, faces)
    x, _ = seat(drawn, faces[1].id)
    half = faces[1].frame.width / 2
    lines = [
        (s.start, s.end)
        for s in drawn.sheet.drawing.shapes
        if isinstance(s, Line) and s.ink is Ink.CENTRE and not s.data
        if min(s.start.x, s.end.x) == pytest.approx(x - half) and max(s.start.x, s.end.x) == pytest.approx(x + half)
    ]
    (run_line,) = found.plan.runs
    assert len(lines) == len(run_line.drops) == 4
    for drop, (start, end) in zip(run_line.drops, sorted(lines, key=lambda s: -s[0].y - s[1].y), strict=True):
        for place in (start, end):
            point = lay(*place)
            at = run_line.along(point)
            assert point.z == pytest.approx(run_line.underside(at) - drop, abs=WITHIN)


@pytest.mark.parametrize("radius", [0.0, 3.0, 6.35, 12.7])
def test_fold_lines_leave_the_arc_of_an_eased_corner(radius: float) -> None:
    """Flat, arc pi r / 2, flat less both radii, arc, flat; the arc's length is said at it."""
    found = wrapped({"width": 140, "radius": radius, "material": "douglas fir"}, {})
    drawn, _, faces = of_post(found, "2")
    middles = [seat(drawn, face.id)[0] for face in faces]
    # middle to corner 70 - r, arc pi r / 2, corner to middle 70 - r
    apart = 140 - 2 * radius + pi * radius / 2
    assert middles[1] - middles[0] == pytest.approx(apart, abs=1e-6)
    assert middles[2] - middles[1] == pytest.approx(apart, abs=1e-6)
    folds = sorted(
        {
            round(s.start.x - middles[0], 4)
            for s in drawn.sheet.drawing.shapes
            if isinstance(s, Line) and s.ink is Ink.FOLD and not s.data and s.start.x == s.end.x
        }
    )
    words = [s.text for s in drawn.sheet.drawing.shapes if hasattr(s, "text")]
    if radius:
        corner, arc = 70 - radius, pi * radius / 2
        second = apart + corner
        assert folds == pytest.approx([corner, corner + arc, second, second + arc], abs=1e-3)
        said = f"{arc:.1f} mm"
        assert sum("CORNER" in text and said in text for text in words) == 2
    else:
        assert not folds and not any("CORNER" in text and "mm" in text for text in words)


def test_no_words_of_a_face_lie_on_a_fold_of_an_eased_corner() -> None:
    """Radius 12: the sharp edge would lie 12 mm outside each line to fold, and words that keep off that alone lie on it."""
    wire = {"drop": 100, "face": "deck side", "diameter": 6}
    drawn, _, _ = of_post(wrapped({"width": 90, "radius": 12, "material": "douglas fir"}, {}, wire=wire), "2")
    shapes = drawn.sheet.drawing.shapes
    folds = [s.start.x for s in shapes if isinstance(s, Line) and s.ink is Ink.FOLD and not s.data]
    top = max(s.start.y for s in shapes if isinstance(s, Line) and s.ink is Ink.DATUM)
    words = [s for s in shapes if isinstance(s, Text) and not s.angle and drawn.sheet.breaks[0] < s.at.y < top]
    told = {text.text.strip() for text in words}
    assert len(folds) == 4 and {"DECK SIDE", "TOWARD 1", "TOWARD 3", "W1"} <= told
    boxes = [(text.text, text_extent(text)) for text in words]
    assert [words for words, box in boxes if any(box[0] < fold < box[2] for fold in folds)] == []


def test_an_eased_corner_s_two_folds_are_named_on_every_page_and_nothing_else_is_drawn_to_fold_there() -> None:
    """Radius 12: each corner has two lines to fold, pi 12 / 2 = 18.85 mm apart, and none where it would be sharp."""
    found = wrapped({"width": 140, "radius": 12, "material": "douglas fir"}, {})
    drawn, _, _ = of_post(found, "2")
    shapes = drawn.sheet.drawing.shapes
    upright = {
        round(s.start.x, 2) for s in shapes if isinstance(s, Line) and s.ink is Ink.FOLD and s.start.x == s.end.x
    }
    assert len(upright) == 6  # two at each corner and both outer edges
    inner = sorted(upright)[1:-1]
    assert (inner[1] - inner[0], inner[3] - inner[2]) == pytest.approx((18.85, 18.85), abs=0.02)
    for x in inner:
        beside = [text_extent(s) for s in shapes if isinstance(s, Text) and s.text == "FOLD"]
        near = [box for box in beside if min(abs(box[0] - x), abs(box[2] - x)) < 4.0]
        assert len(near) >= drawn.tiled.rows - 1  # the last row may hold the foot alone


PIPES: dict[str, Keys] = {
    "pipe": {"shape": "round", "diameter": 48.3, "wall": 3, "material": "316 stainless"},
    "thin pole": {"shape": "round", "diameter": 60, "material": "douglas fir"},
    "pole": {"shape": "round", "diameter": 140, "material": "douglas fir"},
}


@pytest.mark.parametrize("ground", UP_AND_DOWN)
@pytest.mark.parametrize("kind", PIPES)
def test_rolled_sheet_puts_every_mark_on_its_cable(kind: str, ground: str) -> None:
    found = wrapped(PIPES[kind], UP_AND_DOWN[ground])
    drawn, post, faces = of_post(found, "2")
    lay, line = roll(found, drawn, post, faces), found.plan.runs[0]
    deep = post.kind.wall / 2 if post.kind.wall else 0.0
    seen = 0
    for mark, places in drawn_marks(found, drawn):
        x, y = (sum(values) / len(places) for values in zip(*places, strict=True))
        face = found.plan.face_by_id[f"2/{mark.face}"]
        point = lay(x, y).plus(face.frame.normal.times(-deep))
        assert off(cable(found, mark), point) < WITHIN, mark.id
        seen += 1
    assert seen == 2 * len(line.drops)


@pytest.mark.parametrize("turn", [0, 30, 90, 135, -60])
def test_rolled_sheet_of_a_corner(turn: int) -> None:
    """Both runs' bores on one strip, apart by the turn, on their own lines."""
    runs = [
        run([900], count=4, height=800, start="bolt", finish="bolt"),
        run([900], 2, count=4, height=800, turn=f"{turn} deg", start="bolt", finish="bolt"),
    ]
    found = survey(
        job(
            runs,
            post={"pole": {"shape": "round", "diameter": 140, "material": "douglas fir"}},
            fitting={"bolt": BOLT},
            sheet={"kind": "wrap"},
        ),
        Options(posts=("2",)),
    )
    drawn, post, faces = of_post(found, "2")
    lay = roll(found, drawn, post, faces)
    marks = drawn_marks(found, drawn)
    assert len(marks) == 16  # two runs of four studs, each where it goes in and where it comes out
    for mark, ((x, y),) in marks:
        assert off(cable(found, mark), lay(x, y)) < WITHIN, mark.id


@pytest.mark.parametrize(
    ("turn", "rotate"),
    [(90, "0 deg"), (-90, "0 deg"), (60, "0 deg"), (120, "0 deg"), (-100, "0 deg"), (60, "bisect"), (-120, "bisect")],
)
def test_folded_sheet_of_a_corner(turn: int, rotate: str) -> None:
    """Bores of both runs through one eased post, whichever sides they come out of; the second run climbs."""
    runs = [
        run([900], count=4, height=800, start="bolt", finish="bolt"),
        run([900], 2, count=4, height=800, turn=f"{turn} deg", start="bolt", finish="bolt", ramp=ramp(5)),
    ]
    kind = {"width": 140, "radius": 6, "rotate": rotate, "material": "douglas fir"}
    sheet = {"kind": "wrap"}
    found = survey(job(runs, post={"post": kind}, fitting={"bolt": BOLT}, sheet=sheet), Options(posts=("2",)))
    seen = 0
    alone = [drawn for drawn in found.sheets if drawn.group.strip[0].startswith("2/")]
    for drawn in alone:
        faces = [found.plan.face_by_id[name] for name in drawn.group.strip]
        lay = fold(found, drawn, found.plan.post_by_id["2"], faces)
        for mark, ((x, y),) in drawn_marks(found, drawn):
            assert off(cable(found, mark), lay(x, y)) < WITHIN, mark.id
            seen += 1
    assert seen == 16  # two runs of four studs, each where it goes in and where it comes out


@pytest.mark.parametrize("diameter", [48.3, 60.3, 140.0])
def test_girth_is_that_of_the_paper(diameter: float) -> None:
    """Meeting edges pi (D + 0.1) apart, quarter lines between them, the words at both edges."""
    found = wrapped({"shape": "round", "diameter": diameter, "material": "douglas fir"}, {})
    drawn, _, _ = of_post(found, "2")
    shapes = drawn.sheet.drawing.shapes
    edges = sorted(s.start.x for s in shapes if isinstance(s, Line) and s.ink is Ink.EDGE and s.start.x == s.end.x)
    girth = pi * (diameter + PAPER)
    assert edges[-1] - edges[0] == pytest.approx(girth, abs=1e-6)
    quarters = sorted(s.start.x - edges[0] for s in shapes if isinstance(s, Line) and s.ink is Ink.HIDDEN)
    assert quarters == pytest.approx([girth / 4, girth / 2, 3 * girth / 4], abs=1e-6)
    assert sum(getattr(s, "text", "") == "MEETING EDGE" for s in shapes) == 2


@pytest.mark.parametrize("ground", UP_AND_DOWN)
@pytest.mark.parametrize("kind", ["thin pole", "pole"])
def test_developed_rim_is_the_drill_s_own(kind: str, ground: str) -> None:
    """Rolled back, each point of a hole's curve is half a drill away from the bore's axis."""
    found = wrapped(PIPES[kind], UP_AND_DOWN[ground])
    drawn, post, faces = of_post(found, "2")
    lay, seen = roll(found, drawn, post, faces), 0
    rims = [s for s in drawn.sheet.drawing.shapes if isinstance(s, Path) and s.ink is Ink.DRILL and s.closed]
    for mark, ((x, y),) in drawn_marks(found, drawn):
        rim = min(rims, key=lambda path: hypot(path.points[0].x - x, path.points[0].y - y))
        axis = cable(found, mark)
        for point in rim.points:
            assert off(axis, lay(*point)) == pytest.approx(mark.diameter / 2, abs=WITHIN), mark.id
            seen += 1
    assert seen >= 8 * 24


@pytest.mark.parametrize("kind", ["pipe", "pole"])
def test_screws_on_a_round_post_are_as_far_apart_as_on_the_flange(kind: str) -> None:
    """Two screws 24 mm apart across, rolled on the post, lie 24 mm apart along the flange."""
    plate: Keys = {
        "outline": [36, 36],
        "screws": [[12, 0], [-12, 0]],
        "screw": "M6 x 12 mm",
        "pivot": 15,
        "swivels": "any",
        "setback": 40,
    }
    found = survey(
        job(
            run([900, 900], count=4, height=800, start="lug", finish="lug"),
            post={"pipe": PIPES[kind]},
            fitting={"lug": plate},
            sheet={"kind": "wrap"},
        ),
        Options(posts=("1",)),
    )
    drawn, post, faces = of_post(found, "1")
    lay = roll(found, drawn, post, faces)
    places = {mark.label: lay(*at[0]) for mark, at in drawn_marks(found, drawn) if mark.purpose == "screw"}
    for cable_number in range(1, 5):
        first, second = places[f"{cable_number}a"], places[f"{cable_number}b"]
        assert first.minus(second).dot(faces[0].frame.right) == pytest.approx(24, abs=2 * WITHIN)


@pytest.mark.parametrize("diameter", [60, 114.3])
def test_round_end_post_has_a_collar_and_one_column(diameter: float) -> None:
    """All pages of the first row go round the post; below it only those with marks and what is read are printed."""
    found = survey(
        job(
            run([900, 1000], count=6, height=900, start="bolt", finish="bolt"),
            post={"timber": {"shape": "round", "diameter": diameter, "material": "douglas fir"}},
            fitting={"bolt": {**BOLT, "bore_depth": 40}},
            sheet={"paper": "letter"},
        )
    )
    (drawn,) = [d for d in found.sheets if d.group.posts[0] == "1"]
    tiled = drawn.tiled
    rows = [[page.column for page in tiled.pages if page.row == row] for row in range(tiled.rows)]
    assert tiled.columns > 1 and rows[0] == list(range(tiled.columns))
    assert rows[1:] == [[0]] * (tiled.rows - 1)
    shown = {
        dict(s.data)["mark"]
        for page in tiled.pages
        for s in page.content
        if isinstance(s, Oval) and "mark" in dict(s.data)
    }
    assert shown == {mark.id for mark in found.plan.face_by_id["1/toward 2"].marks if mark.purpose != "bracket"}


PLACED: dict[str, tuple[Keys, Keys, str]] = {
    "flat": ({"width": 89}, {}, "3 Fold both flaps back. Equal readings"),
    "folded": ({"width": 89}, {"kind": "wrap"}, "Lay the folds on the post, at its corners. Equal readings"),
    "folded, eased": (EASED, {"kind": "wrap"}, "Lay the folds on the post, at its rounded corners, a fold where each"),
    "rolled": (
        PIPES["pole"],
        {"kind": "wrap"},
        "String 2 to 3; pencil a plumb line down 2 where it faces 3. Lay the line TOWARD 3 on it.",
    ),
}


@pytest.mark.parametrize("kind", PLACED)
def test_how_to_drill_places_each_kind_of_sheet_in_its_own_way(kind: str) -> None:
    """Flaps and edge scales are told where they are drawn; a pipe's sheet is turned by a plumb line instead."""
    post, sheet, _ = PLACED[kind]
    found = survey(
        job(
            run([900, 1000], count=4, height=800, start="bolt", finish="bolt"),
            post={"timber": {"material": "douglas fir", **post}},
            fitting={"bolt": BOLT},
            sheet=sheet,
        ),
        Options(posts=("2",)),
    )
    words = " ".join(getattr(s, "text", "") for s in of_post(found, "2")[0].sheet.drawing.shapes)
    told = {name for name, (_, _, own) in PLACED.items() if " ".join(own.split()) in " ".join(words.split())}
    assert told == {kind}
    assert ("edge scales" in words) == (kind != "rolled")
    assert ("flaps" in words) == (kind == "flat")
    assert ("Lay the line TOWARD" in " ".join(words.split())) == (kind == "rolled")


@pytest.mark.parametrize("datum", ["underside", "deck"])
@pytest.mark.parametrize("diameter", [60, 120])
def test_name_of_a_round_post_s_face_stands_at_its_own_centre_line(diameter: float, datum: str) -> None:
    """The middle of each name's box is within a quarter of the way round, pi D / 4, of the face's centre line, near
    the first mark; the line itself runs clear of the name."""
    found = survey(
        job(
            run([900, 1000], count=4, height=800, start="bolt", finish="bolt", ramp=ramp(4.8)),
            post={"timber": {"shape": "round", "diameter": diameter, "material": "douglas fir"}},
            fitting={"bolt": BOLT},
            sheet={"kind": "wrap", "datum": datum},
        )
    )
    seen = 0
    for drawn in found.sheets:
        shapes = drawn.sheet.drawing.shapes
        tops = dict.fromkeys(drawn.group.strip, 0.0)
        for shape in shapes:
            if isinstance(shape, Oval) and "mark" in dict(shape.data):
                face = dict(shape.data)["face"]
                tops[face] = max(tops[face], shape.centre.y)
        for face in drawn.group.strip:
            name = found.plan.face_by_id[face].name.upper()
            x, _ = seat(drawn, face)
            boxes = [
                text_extent(s)
                for s in shapes
                if isinstance(s, Text) and s.text == name and not s.angle and s.at.y < drawn.sheet.breaks[1]
            ]
            high = [box for box in boxes if box[1] > tops[face] - 40]
            assert high, (face, boxes)
            for left, _, right, _ in high:
                assert abs((left + right) / 2 - x) < pi * diameter / 4
                assert min(abs(left - x), abs(right - x)) < 5 and not left < x < right
                seen += 1
    assert seen >= 4


def test_a_solid_round_line_post_has_no_page_for_its_edge_alone() -> None:
    """114.3 mm: pi (114.3 + paper) = 359 mm and the flaps ask for three columns of 184; the marks lie a quarter of the way
    from both ends, in the first two. Below the first row the third would show the meeting edge alone."""
    found = survey(
        job(
            run([1200, 1200], count=9, height=900),
            post={"pole": {"shape": "round", "diameter": 114.3, "material": "douglas fir"}},
            sheet={"kind": "wrap"},
        )
    )
    (drawn,) = [one for one in found.sheets if one.group.kind == "round" and "2/toward 3" in one.group.faces]
    pages = drawn.draw().pages
    last = max(page.row for page in pages)  # on which the foot stands under the first column alone
    columns = [[page.column for page in pages if page.row == row] for row in range(last + 1)]
    assert columns == [[0, 1, 2], *([[0, 1]] * (last - 1)), [0]]
    assert drawn.count == len(pages)


def test_a_gauge_shows_the_way_up_of_both_faces() -> None:
    """Up on one face is down on the other, by one angle: 30 degrees of a ramp through a post of wood."""
    found = survey(
        job(
            run([1200, 1200], count=9, height=900, ramp={"slope": "30 deg", "goes": "up"}),
            post={"timber": {"width": 89, "material": "douglas fir"}},
            sheet={"kind": "wrap"},
        )
    )
    (drawn,) = [one for one in found.sheets if "2/toward 3" in one.group.faces]
    words = [shape.text for shape in drawn.sheet.drawing.shapes if isinstance(shape, Text)]
    assert [text for text in words if text.startswith("ANGLE GAUGE")] == ["ANGLE GAUGE, BORE DOWN 30.0°: CUT OUT"]
    assert "DOWN 30.0°" in words and "UP 30.0°" in words
    assert words.count("TOWARD 3") >= 2 and words.count("TOWARD 1") >= 2  # over its marks and beside the sketch
    (alone,) = [
        one
        for one in survey(
            job(
                run([1200, 1200], count=9, height=900, ramp={"slope": "30 deg", "goes": "up"}),
                post={"timber": {"width": 89, "material": "douglas fir"}},
            )
        ).sheets
        if one.group.faces[0] == "2/toward 3"
    ]
    words = [shape.text for shape in alone.sheet.drawing.shapes if isinstance(shape, Text)]
    assert "THIS FACE" in words
    assert ("UP 30.0°" in words) != ("DOWN 30.0°" in words)


STUD: Keys = {"outline": [20, 20], "flange": 2, "bore": 8, "at_rake": True, "setback": 40, "travel": 25}


def _words(drawn: Drawn) -> str:
    """All words of a sheet, however they were broken into lines."""
    return " ".join(shape.text.strip() for shape in drawn.sheet.drawing.shapes if isinstance(shape, Text))


def _two_studs() -> Survey:
    """A level run that ends with studs on post 2, where a ramp down begins with studs of its own."""
    runs = [
        run([1200], count=9, height=950, start="stud", finish="stud"),
        run([1200], 2, count=9, height=950, start="stud", finish="stud", ramp=ramp(5, "down"), stagger=35),
    ]
    post = {"timber": {"width": 140, "material": "douglas fir"}}
    return survey(job(runs, post=post, fitting={"stud": STUD}, sheet={"kind": "wrap"}))


def test_slopes_are_drawn_from_where_each_bore_goes_in_to_where_it_comes_out() -> None:
    """Mark 1 toward 1 and mark 1 toward 3 are bores of two cables that end there: on the bare side between them stand nine
    level lines of the level run, and nine that fall by 140 tan 5 degrees, none from one bore to another."""
    found = _two_studs()
    (drawn,) = [one for one in found.sheets if "2/toward 3" in one.group.faces]
    assert "2/deck side" in drawn.group.strip and "2/toward 1" in drawn.group.strip
    slopes = [
        shape.end.y - shape.start.y
        for shape in drawn.sheet.drawing.shapes
        if isinstance(shape, Line) and shape.ink is Ink.CENTRE and abs(shape.end.x - shape.start.x) > 100.0
    ]
    assert sorted(round(abs(slope), 3) for slope in slopes) == [0.0] * 9 + [12.248] * 9  # 140 tan 5 degrees
    passing = survey(
        job(
            run([1200, 1200], count=9, height=950, ramp=ramp(5)),
            post={"timber": {"width": 140, "material": "douglas fir"}},
            sheet={"kind": "wrap"},
        )
    )
    (drawn,) = [one for one in passing.sheets if "2/toward 3" in one.group.faces]
    rises = [
        shape.end.y - shape.start.y
        for shape in drawn.sheet.drawing.shapes
        if isinstance(shape, Line) and shape.ink is Ink.CENTRE and abs(shape.end.x - shape.start.x) > 100.0
    ]
    assert len(rises) == 9 and {round(abs(rise), 3) for rise in rises} == {12.248}  # 140 tan 5 degrees


def test_bores_with_both_ends_marked_are_drilled_from_both_faces() -> None:
    found = _two_studs()
    (drawn,) = [one for one in found.sheets if "2/toward 3" in one.group.faces]
    words = _words(drawn)
    assert "Through holes: drill from both faces to meet" in words and "from here alone" not in words
    assert "large enough for the slope" not in words  # they slant, and on the level face nothing does


def test_a_hole_whose_far_end_is_not_marked_is_drilled_from_one_side() -> None:
    """A wire's hole on the deck side of an end post whose studs stop in it."""
    found = survey(
        job(
            run(
                [1200],
                count=5,
                height=950,
                start="stud",
                finish="stud",
                wire={"drop": 40, "face": "deck side", "diameter": 6},
            ),
            fitting={"stud": {**STUD, "bore_depth": 50}},
        )
    )
    (drawn,) = [one for one in found.sheets if "1/deck side" in one.group.faces]
    assert "Through holes: drill from here alone" in _words(drawn) and "from both faces" not in _words(drawn)
