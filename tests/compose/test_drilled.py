"""The drill of every hole stands on the page that shows the hole; blocks of words on a flap stand apart."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path as FilePath

import pytest
from jobs_made import Keys, job, run

from jiggen.build import Drawn, Survey, survey
from jiggen.compose.drilled import from_to
from jiggen.drawing.scene import Ink, Oval, Text
from jiggen.job.read import read_job
from jiggen.sheets.extent import text_extent

JOBS = FilePath(__file__).parent.parent / "jobs"
TUBE: Keys = {"width": 50, "wall": 3, "material": "stainless steel"}
PIPE: Keys = {"shape": "round", "diameter": 60.3, "wall": 3.6, "material": "stainless steel"}
STUD: Keys = {"outline": [12, 12], "bore": 8.5, "washer": 20, "setback": 60, "travel": 40}


@cache
def made(name: str) -> Survey:
    if name in ("tube", "pipe"):
        runs = run([1000, 1000], height=1100, count=13, start="stud", finish="stud")
        return survey(job(runs, post={"p": TUBE if name == "tube" else PIPE}, fitting={"stud": STUD}))
    return survey(read_job((JOBS / f"{name}.toml").read_text()))


def drawn_sheets(name: str) -> list[Drawn]:
    return [one for one in (*made(name).sheets, *made(name).samples) if one.group.kind not in ("fitting", "pole")]


@pytest.mark.parametrize("name", ["tube", "pipe", "example", "metric", "corner-45-bisect", "overrides"])
def test_every_page_with_holes_names_their_drills(name: str) -> None:
    seen = 0
    for drawn in drawn_sheets(name):
        overlap = made(name).plan.job.sheet.overlap
        for page in drawn.tiled.pages:
            left, bottom, right, top = (
                at - page.shift[index % 2] for index, at in enumerate(page.window)
            )  # what it shows, on the sheet
            holes = [s for s in drawn.sheet.drawing.shapes if isinstance(s, Oval) and "drill" in dict(s.data)]
            own = {
                dict(s.data)["drill"]
                for s in holes
                if left + overlap < s.centre.x < right - overlap and bottom + overlap < s.centre.y < top - overlap
            }
            words = []
            for shape in drawn.sheet.drawing.shapes:
                if isinstance(shape, Text) and shape.ink is Ink.STRONG:
                    x1, y1, x2, y2 = text_extent(shape)
                    if left < x1 and x2 < right and bottom < y1 and y2 < top:
                        words.append(shape.text)
            told = " ".join(words)
            assert not [drill for drill in own if f"DRILL {drill}" not in told], (drawn.group.id, page.label, told)
            seen += len(own)
    assert seen > 5


def test_blocks_on_a_flap_stand_apart() -> None:
    """Three kinds of holes on a practice piece: 4 mm and more from one block to the next above it."""
    for name in ("example", "overrides"):
        (piece,) = [one for one in made(name).samples if one.group.kind == "practice"]
        texts = [s for s in piece.sheet.drawing.shapes if isinstance(s, Text) and s.angle and s.ink is Ink.STRONG]
        firsts = [s for s in texts if " HOLE" in s.text and s.at.x < piece.sheet.drawing.width / 2]
        assert len(firsts) > 1
        boxes = sorted((text_extent(s) for s in firsts), key=lambda box: box[1])
        gaps = [b[1] - a[3] for a, b in pairwise(boxes) if a[2] > b[0] and b[2] > a[0]]
        assert gaps and min(gaps) > 3.9


def test_labels_are_told_from_first_to_last() -> None:
    assert from_to(["4", "5", "6"]) == "4 TO 6"
    assert from_to(["1", "2", "C1", "C2"]) == "1 TO 2, C1 TO C2"
    assert from_to(["7"]) == "7"
