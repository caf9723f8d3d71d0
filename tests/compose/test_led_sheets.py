"""Sheets, lists and pages of cables that are led on round a post: what the driller and the one who pulls are told."""

from __future__ import annotations

import csv
from io import StringIO

from packets import packet, surveyed

from jiggen.drawing.scene import Text


def words_of(name: str, sheet: str) -> str:
    """Everything that is written on a sheet."""
    drawn = next(one for one in surveyed(name).sheets if one.group.id == sheet)
    return " ".join(shape.text for shape in drawn.sheet.drawing.shapes if isinstance(shape, Text))


def serving(name: str, face: str) -> str:
    """The sheet that a face is drilled by."""
    return next(one.group.id for one in surveyed(name).sheets if face in one.group.faces)


def test_sheet_of_a_turn_in_wood_tells_the_depth_and_that_the_bores_meet() -> None:
    told = words_of("led-on-corner", serving("led-on-corner", "3/toward 2"))
    assert "The cables turn in this post" in told and "run into each other in the middle" in told
    assert "(47.2 mm)" in told and "TO MEET THE" in told  # 88.9 / 2 + 5.556 / 2
    assert "Through holes" not in told
    passing = words_of("led-on-corner", serving("led-on-corner", "2/toward 1"))
    assert "The cables turn" not in passing and "Through holes: drill from both faces" in passing


def test_wall_that_cables_turn_behind_has_a_sheet_of_its_own() -> None:
    """The walls of posts 2 and 3 are drilled alike, but the cables bear on the edges of post 3's holes."""
    own, straight = (serving("led-on-ramp", face) for face in ("3/toward 2", "2/toward 3"))
    assert own != straight
    told = words_of("led-on-ramp", own)
    assert "The cables turn in this post." in told and "Round the edge of each hole off" in told
    assert "set the drill stop" not in told and "The cables turn" not in words_of("led-on-ramp", straight)


def test_lists_have_one_cable_for_all_runs() -> None:
    made = packet("led-on-bay")
    rows = list(csv.DictReader(StringIO(made.files["cut-list.csv"].decode("utf-8-sig"))))
    cables = [row for row in rows if row["cable"]]
    assert {row["run"] for row in cables} == {"west"}
    assert len(cables) == len(made.survey.plan.runs[0].drops)
    assert {(row["spool stands at post"], row["feed toward post"], row["turn at post"]) for row in cables} == {
        ("5", "1", "1 and 5")
    }
    holes = list(csv.DictReader(StringIO(made.files["drill-list.csv"].decode("utf-8-sig"))))
    meet = [cell for row in holes for cell in row.values() if str(cell).endswith("to meet 2/toward 3/1")]
    assert len(meet) == 1
