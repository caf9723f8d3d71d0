"""The plan as a terminal shows it: every mark of every sheet once, on lines of 80 columns at most."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.plan.report import report
from jiggen.units import mm_text

JOBS = sorted(Path(__file__).parents[1].joinpath("jobs").glob("*.toml"))
HEAD = re.compile(r"(S\d+)  \S")


def drill_lists(lines: list[str]) -> dict[str, list[list[str]]]:
    """Of each sheet its lines of marks, in words, with the heads of their columns; what is to be done to them besides has a
    colon."""
    found: dict[str, list[list[str]]] = {}
    sheet = ""
    for line in lines[lines.index("SHEETS") + 1 : lines.index("CABLES TO CUT")]:
        if head := HEAD.match(line):
            sheet = head[1]
        elif sheet and line.startswith(" ") and ":" not in line:
            found.setdefault(sheet, []).append(line.split())
    return found


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_every_mark_of_every_face_of_a_sheet_is_told(path: Path) -> None:
    """Of a sheet that goes round its post the faces behind the first too: each mark's label and its drop in mm."""
    plan = make_plan(read_job(path.read_text(encoding="utf-8")))
    lines = report(plan, ())
    told = drill_lists(lines)
    assert [line for line in lines if len(line) > 80] == []
    for group in plan.groups:
        marks = [mark for face in group.strip for mark in plan.face_by_id[face].marks]
        rows = [words for words in told[group.id] if words[0] in {mark.label for mark in marks}]
        assert Counter(words[0] for words in rows) == Counter(mark.label for mark in marks)
        for words, mark in zip(rows, marks, strict=True):
            assert words[0] == mark.label and mm_text(mark.drop) in words[1:5]


def test_each_face_is_told_with_those_that_are_alike() -> None:
    """Two bays, posts 89 mm square, on sheets that go round: the line post alone has two faces, each told by itself."""
    text = """
    job = { name = "Walk", units = "mm", code = "irc-2021" }
    post.a = { width = 89, material = "douglas fir" }
    sheet = { kind = "wrap" }
    [[run]]
    posts = ["1", "2", "3"]
    spans = [1000, 1000]
    """
    lines = report(make_plan(read_job(text)), ())
    heads = [line for line in lines if HEAD.match(line)]
    assert heads == ["S1  1/toward 2, 3/toward 2", "S2  2/toward 3", "S2  2/toward 1"]


def test_marks_that_no_sheet_shows_are_told_under_their_list() -> None:
    """Under the rail in place no sheet shows the brackets' holes, those of the bottom rail too; on the height line all do."""
    text = """
    job = { name = "Walk", units = "mm", code = "irc-2021" }
    guard = { bracket = "side plate", bottom_rail = { depth = 38, width = 38 }, bottom_gap = 50 }
    post.a = { width = 89, material = "douglas fir" }
    sheet = { datum = "DATUM" }
    [[run]]
    posts = ["1", "2"]
    spans = [1000]
    """
    said = "  B1 to B4: on no sheet, drilled through the bracket when its rail is put up"
    lines = report(make_plan(read_job(text.replace("DATUM", "underside"))), ())
    (row,) = (number for number, line in enumerate(lines) if line.startswith("  B4 "))
    assert said in lines[row + 1 : row + 4] and lines.count(said) == 1
    lines = report(make_plan(read_job(text.replace("DATUM", "height line"))), ())
    assert any(line.startswith("  B4 ") for line in lines) and not any("on no sheet" in line for line in lines)
