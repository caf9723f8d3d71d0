"""The story pole's marks at the drops, holes in metal on the drill list with the table that gave them."""

from __future__ import annotations

import csv
from io import StringIO
from math import cos, pi
from typing import Any

import pytest
from jobs_made import INCH, Keys, job, plan, ramp, run, stair

from jiggen.build import Survey, survey
from jiggen.compose.lists import drill_list
from jiggen.drawing.scene import Ink, Line, Text
from jiggen.sheets.paper import usable
from jiggen.sheets.tiling import level_joins

GROUNDS: dict[str, Keys] = {
    "level": {},
    "ramp": {"ramp": ramp(7)},
    "stair": {"stair": stair(178, 279, 130), "bottom_gap": 20},
    "bottom rail": {"bottom_rail": {"depth": 38}, "bottom_gap": 50},
}


def near(value: Any, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def poles(found: Survey) -> list[Any]:
    return [drawn for drawn in found.samples if drawn.group.kind == "pole"]


@pytest.mark.parametrize("ground", GROUNDS)
def test_pole_has_a_mark_at_every_drop(ground: str) -> None:
    found = survey(job(run([900, 1000], count=6, height=900, **GROUNDS[ground])))
    line = found.plan.runs[0]
    (drawn,) = poles(found)
    shapes = drawn.sheet.drawing.shapes
    (top,) = [s.start.y for s in shapes if isinstance(s, Line) and s.ink is Ink.DATUM]
    crosses = [s for s in shapes if isinstance(s, Line) and s.ink is Ink.CROSS]
    assert sorted(top - s.start.y for s in crosses) == near(list(line.drops))
    assert all(s.start.y == s.end.y for s in crosses)
    # each with its number just over it, or just under it (5 mm high) where pages are joined over it
    high = drawn.sheet.drawing.height
    joins = [high - join.at for join in level_joins(drawn.sheet, usable(found.paper)[1], 9.5)]
    numbers = {s.text: s.at.y for s in shapes if isinstance(s, Text) and s.text.isdigit() and s.ink is Ink.STRONG}
    for number, drop in enumerate(line.drops, 1):
        over = numbers[str(number)] - (top - drop)
        assert 0 < over < 3 or (-10 < over < -5 and any(0 < join - (top - drop) < 12 for join in joins))
    # down to the line that heights are measured from
    foot = [s.start.y for s in shapes if isinstance(s, Line) and s.ink is Ink.EDGE and s.start.y == s.end.y]
    assert top - min(foot) == near(900 - 38 / line.cosine)


@pytest.mark.parametrize("paper", ["letter", "a4", "legal", "a3"])
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("height", [620, 900, 1067, 1100])
def test_pole_takes_no_page_more_than_its_length(height: int, ground: str, paper: str) -> None:
    """From the underside to the foot and 13 mm of words. A page shows what is inside the margins of 12.7 mm less 20 mm
    of ruler and foot; at each join 9.5 mm go under the page before and 4 mm are trimmed."""
    keys: Keys = {**GROUNDS[ground], "height": height, "spacing": 85}
    found = survey(job(run([900, 1000], **keys), sheet={"paper": paper, "margin": 12.7, "overlap": 9.5}))
    (drawn,) = poles(found)
    shows = {"letter": 279.4, "a4": 297.0, "legal": 355.6, "a3": 420.0}[paper] - 2 * 12.7 - 20
    line = found.plan.runs[0]
    length = height - 38 / line.cosine + 13
    pages = 1
    while pages * shows - (pages - 1) * 13.5 < length:
        pages += 1
    assert len(drawn.tiled.pages) == pages
    assert not drawn.tiled.warnings


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("spacing", [60, 85, 95])
def test_no_word_of_a_pole_lies_on_a_join(ground: str, spacing: int) -> None:
    found = survey(job(run([900, 1000, 900], height=1067, spacing=spacing, **GROUNDS[ground])))
    (drawn,) = poles(found)
    sheet = drawn.sheet
    joins = [sheet.drawing.height - join.at for join in level_joins(sheet, usable(found.paper)[1], 9.5)]
    assert len(joins) == 4
    for shape in sheet.drawing.shapes:
        if isinstance(shape, Text):
            assert not any(shape.at.y - 0.5 < join < shape.at.y + shape.height + 0.5 for join in joins), shape.text


def test_distances_along_the_line_snapped_on_the_slope() -> None:
    """Posts of 89 mm every 900 and 1000 mm level: along the slope those over cos 7, faces 44.5 / cos 7 off."""
    found = survey(job(run([900, 1000], count=6, height=900, ramp=ramp(7))))
    (drawn,) = poles(found)
    words = " ".join(s.text for s in drawn.sheet.drawing.shapes if isinstance(s, Text))
    c = cos(7 * pi / 180)
    for x in (900, 1900):
        for value in (x / c, (x - 44.5) / c, (x + 44.5) / c):
            assert f"{value:.1f} mm" in words
    assert "7.00 degrees" in words


def test_runs_of_the_same_heights_share_a_pole() -> None:
    runs = [
        run([900], count=6, height=900),
        run([700], 2, count=6, height=900, turn="left 90 deg"),
        run([700], 3, count=7, height=900, turn="left 90 deg"),
    ]
    found = survey(job(runs))
    assert [drawn.group.id for drawn in poles(found)] == ["R1", "R2"]


def lug(screw: str) -> Keys:
    return {
        "outline": [30, 36],
        "flange": 3,
        "screws": [[0, 12], [0, -12]],
        "screw": screw,
        "pivot": 19,
        "swivels": "any",
        "setback": 50,
        "travel": 25,
    }


def rows(screw: str, material: str, drills: list[str]) -> list[dict[str, str]]:
    """The drill list's screw rows for a square tube or a solid post."""
    made = plan(
        run([900, 900], count=4, height=900, start="lug", finish="lug"),
        job={"drills": drills},
        post={
            "post": {"width": 60, "wall": 5, "material": material}
            if material == "steel"
            else {"width": 89, "material": material}
        },
        fitting={"lug": lug(screw)},
    )
    text = drill_list(made).decode("utf-8-sig")
    return [row for row in csv.DictReader(StringIO(text)) if row["purpose"] == "screw"]


TAPS = [
    ("M6 x 12 mm", ["metric"], "5 mm", 5.0),  # workshop tables: M6 coarse, 5.0
    ("M5 x 12 mm", ["metric"], "4.2 mm", 4.2),
    ("M8 x 16 mm", ["metric"], "6.8 mm", 6.8),
    ("1/4-20 x 1/2 in", ["fraction", "number"], "#7", 0.201 * INCH),  # tap drill #7, from memory
    ("10-24 x 1/2 in", ["fraction", "number"], "#25", 0.1495 * INCH),  # from memory
]


@pytest.mark.parametrize(("screw", "drills", "name", "size"), TAPS)
def test_machine_screw_in_metal_is_tapped(screw: str, drills: list[str], name: str, size: float) -> None:
    found = rows(screw, "steel", drills)
    assert len(found) == 2 * 4 * 2  # two ends, four cables, two screws
    for row in found:
        assert row["drill"] == name
        assert float(row["drill mm"]) == pytest.approx(size, abs=0.006)
        assert "tap" in row["why"] or "workshop tables" in row["why"]
        assert screw in row["what"]


@pytest.mark.parametrize(
    ("screw", "drills", "size"),
    [("M6 x 40 mm", ["metric"], 6.6), ("M8 x 40 mm", ["metric"], 9.0), ("M10 x 40 mm", ["metric"], 11.0)],
)
def test_machine_screw_in_wood_passes_with_clearance(screw: str, drills: list[str], size: float) -> None:
    """ISO 273, medium."""
    for row in rows(screw, "douglas fir", drills):
        assert float(row["drill mm"]) == pytest.approx(size, abs=0.011)
        assert "ISO 273" in row["why"]


def test_wood_screw_in_wood_has_the_published_share_of_its_root() -> None:
    """#10: root 0.152 in, 70 % in softwood, 0.1064 in: next drill down of sixty-fourths and numbers #36, 0.1065 in
    within 0.01 mm; 90 % in hardwood, 0.1368: #29, 0.136 in."""
    for row in rows("#10 x 1 1/2 in", "douglas fir", ["fraction", "number"]):
        assert (row["drill"], row["through"]) == ("#36", "no")
        assert "NDS" in row["why"] and "softwood" in row["why"]
    for row in rows("#10 x 1 1/2 in", "red oak", ["fraction", "number"]):
        assert row["drill"] == "#29"
        assert "hardwood" in row["why"]


def test_wood_screw_in_metal_is_a_stop() -> None:
    made = plan(
        run([900, 900], count=4, height=900, start="lug", finish="lug"),
        post={"post": {"width": 60, "wall": 5, "material": "steel"}},
        fitting={"lug": lug("#10 x 1 1/2 in")},
    )
    assert [p for p in made.problems if p.level == "stop" and "machine screw" in p.remedy]


def test_every_row_says_which_table() -> None:
    made = plan(run([900, 900], count=4, height=900), guard={"bracket": "side plate"})
    text = drill_list(made).decode("utf-8-sig")
    found = list(csv.DictReader(StringIO(text)))
    assert {row["mark"] for row in found} == {m.id for p in made.posts for f in p.faces for m in f.marks}
    assert all(row["why"] and row["drill"] and float(row["depth mm"]) > 0 for row in found)


def test_a_pole_names_the_runs_that_it_holds_for() -> None:
    # B is A again; C's guard is 50 lower, its cables as far under the rail: its bottom is elsewhere, so it has its own
    runs = [
        run([900], id="A", spacing=90, count=6, height=900),
        run([900], 2, id="B", spacing=90, count=6, height=900, turn="left 90 deg"),
        run([900], 3, id="C", spacing=90, count=6, height=850, turn="left 90 deg"),
    ]
    found = poles(survey(job(runs)))
    words = [[s.text for s in drawn.sheet.drawing.shapes if isinstance(s, Text)] for drawn in found]
    assert [drawn.sheet.name for drawn in found] == ["STORY POLE RUN A", "STORY POLE RUN C"]
    assert "The same heights hold for run B." in words[0]
    assert not any("same heights" in text for text in words[1])


def test_a_pole_tells_what_a_sign_means_where_it_has_one() -> None:
    # in steps of 1 mm: 80 is a reading, 80.4 is one and 0.4 more
    for spacing, told in ((80.0, False), (80.4, True)):
        keys: Keys = {"spacing": spacing, "first": spacing, "count": 6, "height": 900}
        found = poles(survey(job(run([900], **keys), job={"round_to": 1})))
        words = " ".join(s.text for s in found[0].sheet.drawing.shapes if isinstance(s, Text))
        assert ("a little beyond it" in words) is told
