"""No join between columns of pages lies on the words of a sheet's foot, nor on those of the sheet to lay fittings on."""

from __future__ import annotations

from jobs_made import Keys, job, run
from packets import JOBS

from jiggen.build import Drawn, survey
from jiggen.drawing.scene import Ink, Text
from jiggen.job.read import read_job
from jiggen.sheets.extent import extent


def pipes() -> list[Drawn]:
    """Studs 4 in long in a pipe of 2 3/8 in whose wall takes words to tell: just under 3/16 in (4.0 mm)."""
    stud: Keys = {"outline": [1, 1], "flange": 0, "bore": "17/64 in", "washer": "5/8 in", "setback": 4, "travel": 2}
    made = job(
        run([42, 42], spacing=3, start="stud", finish="stud", deck="right", ramp={"slope": "1 in 12", "goes": "up"}),
        job={"units": "in", "code": "ibc-2021"},
        guard={"height": 42, "rail": {"depth": 1.5, "width": 1.5, "sits": "over"}, "bottom_gap": 2.5},
        post={"tube": {"shape": "round", "diameter": "2 3/8 in", "wall": "5/32 in", "material": "steel"}},
        fitting={"stud": {**stud, "at_rake": True}},
        sheet={"paper": "letter"},
    )
    found = survey(made)
    return [*found.samples, *found.sheets]


def cut(drawn: Drawn, top: float) -> tuple[int, list[str]]:
    """How many joins between columns a sheet has, and the words under ``top`` that one lies on."""
    joins = [join.at for join in drawn.tiled.layout.upright]
    words = [s for s in drawn.sheet.drawing.shapes if isinstance(s, Text) and s.at.y < top]
    return len(joins), [s.text for s in words for at in joins if extent(s)[0] < at < extent(s)[2]]


def test_no_upright_join_lies_on_words_of_the_foot() -> None:
    found = [cut(one, one.sheet.breaks[0]) for one in pipes() if one.group.kind not in ("fitting", "pole")]
    assert sum(joins for joins, _ in found) >= 2
    assert [words for _, words in found] == [[] for _ in found]


def test_no_upright_join_lies_on_words_of_the_fitting_sheet() -> None:
    (one,) = [one for one in pipes() if one.group.kind == "fitting"]
    assert cut(one, one.sheet.drawing.height) == (1, [])


def test_its_heading_and_the_figures_of_each_piece_stand_on_one_page_of_small_paper_too() -> None:
    found = survey(read_job((JOBS / "small-paper.toml").read_text(encoding="utf-8")))
    (one,) = [one for one in found.samples if one.group.kind == "fitting"]
    strong = [s for s in one.sheet.drawing.shapes if isinstance(s, Text) and s.ink is Ink.STRONG]
    joins, words = cut(one, one.sheet.drawing.height)
    assert joins == 1 and len(strong) == 3  # the heading, and the names of two pieces
    assert all(told.startswith(("SIDE VIEW", "to the cable's end")) for told in words)  # true to scale over the join
