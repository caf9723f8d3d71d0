"""Every sheet of the sample jobs can be read: no words on words, none off the sheet, none over a hole, each mark named."""

from __future__ import annotations

from collections.abc import Iterable
from math import degrees, pi, sin

import pytest
from jobs_made import Keys, job, run
from packets import SOUND, surveyed

from jiggen.build import Drawn, survey
from jiggen.drawing.scene import Ink, Line, Oval, Path, Text
from jiggen.sheets.extent import Box, extent, overlaps, text_extent


def every(name: str) -> list[Drawn]:
    found = surveyed(name)
    return [*found.samples, *found.sheets]


def texts(shapes: Iterable[object]) -> list[Text]:
    return [shape for shape in shapes if isinstance(shape, Text) and shape.text.strip()]


def tight(text: Text) -> Box:
    """The box of the capitals and figures themselves: without the room for a comma or an accent that ``text_extent`` keeps."""
    left, bottom, right, top = text_extent(text)
    low, high = 0.3 * text.height, 0.05 * text.height
    turned = abs(text.angle) > 0.1
    if not turned:
        return (left, bottom + low, right, top - high)
    return (left + high, bottom, right - low, top) if text.angle > 0 else (left + low, bottom, right - high, top)


def together(first: Text, second: Text) -> bool:
    """Parts of one reading: the later ones say nothing of themselves."""
    return first.spoken == "" or second.spoken == ""


def crossings(drawn: Drawn) -> list[str]:
    """Pairs of words that share more than 0.1 mm both ways."""
    boxed = sorted(((tight(text), text) for text in texts(drawn.sheet.drawing.shapes)), key=lambda pair: pair[0][0])
    found = []
    for i, (box, text) in enumerate(boxed):
        for other_box, other in boxed[i + 1 :]:
            if other_box[0] > box[2]:
                break
            if overlaps(box, other_box, 0.1) and not together(text, other):
                place = f"{box[0]:.1f}, {box[1]:.1f} and {other_box[0]:.1f}, {other_box[1]:.1f}"
                found.append(f'{drawn.group.id}: "{text.text}" and "{other.text}" at {place} mm')
    return found


def test_crossings_are_seen() -> None:
    """The measure itself: a word laid over another is found."""
    from dataclasses import replace

    drawn = every("smallest")[-1]
    drawing = drawn.sheet.drawing
    first = texts(drawing.shapes)[0]
    twice = replace(drawing, shapes=(*drawing.shapes, replace(first, text="ON TOP", spoken=None)))
    layout = replace(drawn.tiled.layout, sheet=replace(drawn.sheet, drawing=twice))
    spoilt = replace(drawn.tiled, layout=layout)
    assert len(crossings(replace(drawn, draw=lambda: spoilt))) > len(crossings(drawn))


@pytest.mark.parametrize("name", SOUND)
def test_no_words_on_words(name: str) -> None:
    assert [words for drawn in every(name) for words in crossings(drawn)] == []


@pytest.mark.parametrize("name", SOUND)
def test_no_words_off_the_sheet(name: str) -> None:
    off = []
    for drawn in every(name):
        drawing = drawn.sheet.drawing
        for text in texts(drawing.shapes):
            left, bottom, right, top = tight(text)
            if left < -0.05 or bottom < -0.05 or right > drawing.width + 0.05 or top > drawing.height + 0.05:
                off.append(f'{drawn.group.id}: "{text.text}" at {left:.1f}, {bottom:.1f} to {right:.1f}, {top:.1f}')
    assert off == []


@pytest.mark.parametrize("name", SOUND)
def test_no_words_over_a_hole(name: str) -> None:
    over = []
    holes = 0
    for drawn in every(name):
        shapes = drawn.sheet.drawing.shapes
        circles = [extent(s) for s in shapes if isinstance(s, Oval) and s.ink is Ink.DRILL]
        holes += len(circles)
        for text in texts(shapes):
            box = tight(text)
            over += [
                f'{drawn.group.id}: "{text.text}" over the hole at {hole[0]:.1f}, {hole[1]:.1f} mm'
                for hole in circles
                if overlaps(box, hole)
            ]
    assert over == []
    assert holes > 10


@pytest.mark.parametrize("name", SOUND)
def test_every_mark_has_its_number(name: str) -> None:
    """As a word of its own, within 45 mm of the hole's height and beside no nearer word of the same name."""
    plan = surveyed(name).plan
    labels = {mark.id: mark.label for post in plan.posts for face in post.faces for mark in face.marks}
    missing = []
    for drawn in surveyed(name).sheets:
        words = texts(drawn.sheet.drawing.shapes)
        seats = {face: y for face, _, y in drawn.sheet.seats}
        for target in drawn.targets:
            height = seats[target.face] + target.v
            label = labels[target.id]
            if not any(text.text == label and abs(text.at.y - height) < 45.0 for text in words):
                missing.append(f"{drawn.group.id}: {target.id}")
    assert missing == []


def strokes(drawn: Drawn) -> list[Box]:
    """Boxes of the upright and level lines of crosses and of the folds at a face's edges."""
    return [
        extent(shape)
        for shape in drawn.sheet.drawing.shapes
        if isinstance(shape, Line)
        and (shape.ink is Ink.CROSS or (shape.ink is Ink.FOLD and dict(shape.data).get("line") == "edge"))
    ]


def struck(drawn: Drawn, clear: float = 0.0) -> list[str]:
    """Words that a cross or a face's edge runs through or comes nearer to than ``clear`` mm."""
    found = []
    for text in texts(drawn.sheet.drawing.shapes):
        left, bottom, right, top = tight(text)
        for x1, y1, x2, y2 in strokes(drawn):
            if x1 < right + clear and x2 > left - clear and y1 < top and y2 > bottom:
                found.append(f'{drawn.group.id}: "{text.text}" at {left:.1f}, {bottom:.1f}, line {x1:.1f}, {y1:.1f}')
    return found


METAL: Keys = {"shape": "square", "width": 60, "wall": 3, "material": "steel"}


@pytest.mark.parametrize("start", ["fixed swivel for metal", "fixed plate for metal"])
def test_no_line_through_words_on_a_narrow_tube(start: str) -> None:
    """A plate 32 mm wide on a tube of 60 mm: its name keeps off the crosses, every reading with its sign off the edges."""
    found = survey(
        job(
            run([1200, 1200], start=start),
            post={"tube": METAL},
            guard={"height": 1070, "rail": {"depth": 40, "width": 60, "sits": "between"}},
        )
    )
    shapes = [shape for drawn in found.sheets for shape in drawn.sheet.drawing.shapes]
    named = [shape for shape in texts(shapes) if shape.text in (start.upper(), "BY POST: SEE THE FOOT")]
    signs = [shape for shape in texts(shapes) if shape.text in ("+", "-")]
    assert named and signs
    assert [words for drawn in found.sheets for words in struck(drawn, 0.3)] == []


@pytest.mark.parametrize("start", ["fixed swivel for metal", "fixed plate for metal"])
def test_signs_keep_off_what_stands_beside_them(start: str) -> None:
    """From a sign to the next words right of it there is 1.2 + 0.9 mm, less what a box of lettering keeps beyond its own."""
    found = survey(job(run([1200, 1200], start=start), post={"tube": METAL}))
    for drawn in found.sheets:
        every_word = texts(drawn.sheet.drawing.shapes)
        for sign in (word for word in every_word if word.text in ("+", "-")):
            _, bottom, right, top = tight(sign)
            beside = [tight(word) for word in every_word if word is not sign]
            gaps = [box[0] - right for box in beside if box[1] < top and box[3] > bottom and box[0] > right - 0.5]
            assert min(gaps, default=9.0) > 1.5


@pytest.mark.parametrize("name", SOUND)
def test_no_line_through_words(name: str) -> None:
    assert [words for drawn in every(name) for words in struck(drawn)] == []


def test_a_sheet_of_two_posts_names_the_fitting_of_each() -> None:
    """Both ends of a level run on one sheet: fixed at post 1, take-up at post 3, of the same pattern."""
    pattern: Keys = {"outline": [32, 64], "screws": [[0, 22], [0, -22]], "screw": "M6 x 12 mm", "pivot": 15}
    sizes: Keys = {**pattern, "swivels": "any", "setback": 40}
    found = survey(
        job(
            run([1200, 1200], start="hook", finish="drum"),
            post={"tube": METAL},
            fitting={"hook": sizes, "drum": {**sizes, "travel": 25}},
        )
    )
    (drawn,) = [one for one in found.sheets if one.group.posts == ("1", "3")]
    words = texts(drawn.sheet.drawing.shapes)
    assert any(word.text == "1: HOOK; 3: DRUM" for word in words)
    assert not any(word.text in ("HOOK", "DRUM") for word in words)
    assert "THE OUTLINE STANDS FOR: hook on post 1; drum on post 3." in " ".join(
        " ".join(w.text for w in words).split()
    )


def test_a_post_with_a_different_fitting_on_each_face_has_them_told_by_face() -> None:
    """At post 3 the run before ends with its drum and the next begins with its hook, both on one sheet."""
    pattern: Keys = {"outline": [32, 90], "screws": [[0, 22], [0, -22]], "screw": "M6 x 12 mm", "pivot": 15}
    sizes: Keys = {**pattern, "swivels": "any", "setback": 40, "travel": 25}
    runs = [
        run([1200, 1200], count=6, start="hook", finish="drum"),
        run([1200], 3, count=6, start="hook", finish="drum", turn="left 90 deg"),
    ]
    found = survey(job(runs, post={"tube": METAL}, fitting={"hook": sizes, "drum": sizes}))
    (drawn,) = [one for one in found.sheets if "3/toward 2" in one.group.faces]
    assert "3/toward 4" in drawn.group.faces
    words = [word.text for word in texts(drawn.sheet.drawing.shapes)]
    assert "1, 3 TOWARD 4: HOOK; 4, 3 TOWARD 2: DRUM" in words
    foot = "THE OUTLINE STANDS FOR: hook on posts 1, 3 toward 4; drum on posts 4, 3 toward 2."
    assert foot in " ".join(" ".join(words).split())


def test_the_rails_section_stands_on_a_slanting_datum() -> None:
    """At a corner of 60 degrees a stair's rail crosses the turned post's face at tan(32) sin(15) = 0.16 of slope: no word
    is struck, and both lower corners of the section lie on the datum."""
    runs = [
        run([1000, 1000], spacing=75, height=950, start="fixed swivel for metal", finish="fixed swivel for metal"),
        {
            **run([840, 840], 3, spacing=75, height=950, turn="left 60 deg", start="fixed swivel for metal"),
            "finish": "fixed swivel for metal",
            "bottom_rail": {"depth": 30},
            "bottom_gap": 20,
            "stair": {"rise": 175, "going": 280, "goes": "down", "first_behind_nosing": 140},
        },
    ]
    post: Keys = {
        "tube": {"width": 60, "wall": 3, "material": "steel"},
        "turned": {"width": 90, "wall": 3, "material": "steel"},
    }
    post["turned"]["rotate"] = "-15 deg"
    found = survey(job(runs, post=post, posts={"line": "tube", "transition": "turned"}))
    (drawn,) = [one for one in found.sheets if one.group.faces == ("3/toward 4",)]
    assert struck(drawn) == []
    shapes = drawn.sheet.drawing.shapes
    (datum,) = [shape for shape in shapes if isinstance(shape, Line) and dict(shape.data).get("line") == "datum"]
    slope = (datum.end.y - datum.start.y) / (datum.end.x - datum.start.x)
    assert slope == pytest.approx(175 / 280 * sin(pi / 12), abs=1e-9)
    (rail,) = [shape for shape in shapes if isinstance(shape, Path) and shape.ink is Ink.EDGE and len(shape.points) > 5]
    for corner in (rail.points[0], rail.points[-1]):
        assert corner.y == pytest.approx(datum.start.y + slope * (corner.x - datum.start.x), abs=1e-9)


def test_bores_that_differ_are_told_with_their_marks() -> None:
    """A round post that leans 6 mm a metre: the bore of a hole that lies u beside the middle of R = 50 is u / R off square to
    the skin there."""
    found = survey(
        job(
            run([1200, 1200], count=9, height=950),
            post={"pole": {"shape": "round", "diameter": 100, "material": "douglas fir"}},
            as_built={"2": {"lean": [0, -6]}},
        )
    )
    face = found.plan.face_by_id["2/toward 3"]
    first, last = (degrees(mark.u / 50.0) for mark in (face.marks[0], face.marks[-1]))
    assert abs(first) > 3.0 * abs(last) and first > 0.0
    told = [
        shape.text
        for drawn in found.sheets
        if "2/toward 3" in drawn.group.faces
        for shape in texts(drawn.sheet.drawing.shapes)
        if shape.text.startswith("BORE")
    ]
    assert f"BORE RIGHT {first:.1f}° AT 1, {last:.1f}° AT 9" in told
