"""A corner pipe with four rows of holes: each name and each reading stands clear of the other faces' lines and the joins."""

from __future__ import annotations

import re
from functools import cache

from jobs_made import Keys, job, run

from jiggen.build import Drawn, Options, survey
from jiggen.compose.bench import Room, strip
from jiggen.compose.space import Box
from jiggen.compose.titles import round_lines
from jiggen.drawing.scene import Ink, Path, Text
from jiggen.sheets.extent import text_extent
from jiggen.sheets.paper import usable
from jiggen.sheets.tiling import upright_joins

STUD: Keys = {"outline": [20, 20], "flange": 2, "bore": 8, "washer": 18, "setback": 35, "travel": 40}


@cache
def corner() -> tuple[Drawn, list[float], list[float]]:
    """The sheet of a pipe of 60.3 mm where studs of two runs, 60 degrees apart, go in and come out; x of its lines, and of
    the joins between its columns of pages."""
    pipe = {"shape": "round", "diameter": 60.3, "wall": 3.6, "material": "stainless steel"}
    keys: Keys = {"height": 900, "count": 6, "start": "stud", "finish": "stud"}
    found = survey(
        job(
            [run([950], **keys), run([900], 2, turn="left 60 deg", stagger=14, **keys)],
            post={"timber": pipe},
            fitting={"stud": STUD},
            sheet={"kind": "wrap", "paper": "a4"},
        ),
        Options(posts=("2",)),
    )
    (drawn,) = found.sheets
    room = Room(*usable(found.paper), found.plan.job.sheet.overlap)
    lines = strip(found.plan, drawn.group, room.width)
    return drawn, round_lines(lines), [join.at for join in upright_joins(drawn.sheet, room.width, room.overlap)]


def crossing(x: float, text: Text) -> bool:
    left, _, right, _ = text_extent(text)
    return left < x - 0.2 and right > x + 0.2


def on_the_post(drawn: Drawn) -> list[Text]:
    foot, top = drawn.sheet.breaks
    return [s for s in drawn.sheet.drawing.shapes if isinstance(s, Text) and foot < s.at.y < top]


def test_a_face_s_name_crosses_no_line_and_stands_nearest_to_its_own() -> None:
    drawn, lines, _ = corner()
    centres = {
        face.rpartition("/")[2].replace("toward", "TOWARD").replace("away from", "AWAY FROM"): x
        for face, x, _ in drawn.sheet.seats
    }
    assert len(centres) == 4
    seen = set()
    for text in on_the_post(drawn):
        if text.text in centres:
            left, _, right, _ = text_extent(text)
            assert not [x for x in lines if crossing(x, text)], text.text
            own = centres[text.text]
            assert min(abs(left - own), abs(right - own)) < 5.0
            seen.add(text.text)
    assert seen == set(centres)


def test_no_reading_or_number_is_cut_by_a_join_or_touches_an_outline() -> None:
    drawn, lines, joins = corner()
    assert len(joins) == 1  # 190 mm round the pipe, and flaps: two columns
    labels = [text for text in on_the_post(drawn) if re.fullmatch(r"[A-Z]?[\d.]+", text.text)]  # a name bears its run
    assert len(labels) == 48  # 6 cables x 2 runs x in and out, number and reading of each
    for text in labels:
        assert not [x for x in (*joins, *lines) if crossing(x, text)], text
    frames, pieces = [], []
    for shape in drawn.sheet.drawing.shapes:
        if isinstance(shape, Path) and shape.closed and shape.ink in (Ink.TICK, Ink.FITTING):
            xs, ys = zip(*shape.points, strict=True)
            box = Box(min(xs), min(ys), max(xs), max(ys))
            (frames if shape.ink is Ink.TICK else pieces).append(box)
    frames = [frame for frame in frames if frame.bottom > drawn.sheet.breaks[0] and frame.top < drawn.sheet.breaks[1]]
    assert len(frames) == 24 and len(pieces) == 24
    assert not [(a, b) for a in frames for b in pieces if a.grown(0.3).overlap(b)]
