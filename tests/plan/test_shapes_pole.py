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
    # each with its number just over it
    numbers = {s.text: s.at.y for s in shapes if isinstance(s, Text) and s.text.isdigit() and s.ink is Ink.STRONG}
    for number, drop in enumerate(line.drops, 1):
        assert 0 < numbers[str(number)] - (top - drop) < 3
    # down to the line that heights are measured from
    foot = [s.start.y for s in shapes if isinstance(s, Line) and s.ink is Ink.EDGE and s.start.y == s.end.y]
    assert top - min(foot) == near(900 - 38 / line.cosine)


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
