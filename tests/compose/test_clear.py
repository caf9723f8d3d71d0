"""No join between pages cuts a word of a sheet, and where lettering stands so that none does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from importlib import resources
from math import cos, sin
from pathlib import Path

import pytest

from jiggen.build import Options, survey
from jiggen.build.model import Drawn
from jiggen.compose.clear import raised, start, widest, windows
from jiggen.drawing.lettering import strokes, width
from jiggen.drawing.scene import Text
from jiggen.geometry import Point
from jiggen.job.read import read_job

JOBS = Path(__file__).parent.parent / "jobs"


def ink(text: Text) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of what is drawn of a line of lettering, the pen's width left out."""
    start = {"left": 0.0, "middle": -0.5, "right": -1.0}[text.align] * width(text.text, text.height)
    c, s = cos(text.angle), sin(text.angle)
    points = [(start + p.x, p.y) for stroke in strokes(text.text, text.height) for p in stroke]
    xs = [text.at.x + a * c - b * s for a, b in points]
    ys = [text.at.y + a * s + b * c for a, b in points]
    return min(xs), min(ys), max(xs), max(ys)


def cut_words(drawn: Drawn) -> Iterator[str]:
    """Every word of a sheet that a join between its pages runs through."""
    size, layout = drawn.sheet.drawing, drawn.tiled.layout
    level = [size.height - join.at for join in layout.across]
    upright = [join.at for join in layout.upright]
    for shape in drawn.sheet.drawing.shapes:
        if isinstance(shape, Text):
            left, low, right, high = ink(shape)
            if any(low < y < high for y in level) or any(left < x < right for x in upright):
                yield f"{drawn.group.id}: {shape.text}"


def job_text(name: str) -> str:
    if name.startswith("demo"):
        return resources.files("jiggen.job").joinpath(name).read_text(encoding="utf-8")
    return (JOBS / name).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "paper", "joined"),
    [
        ("demo.toml", None, 7),
        ("demo_all.toml", None, 24),  # wrapped and round sheets too, of two and three columns of pages
        ("height-line.toml", None, 2),
        ("deck-datum.toml", None, 2),
        ("overrides.toml", None, 6),
        ("ramp.toml", None, 4),
        ("stair-up.toml", None, 3),
        ("metric.toml", None, 2),
        ("smallest.toml", "legal", 1),
        ("smallest.toml", "tabloid", 1),
    ],
)
def test_no_join_cuts_a_word(name: str, paper: str | None, joined: int) -> None:
    found = survey(read_job(job_text(name)), Options(paper=paper))
    drawn = [*found.samples, *found.sheets]
    assert sum(one.tiled.count > 1 for one in drawn) >= joined
    assert [words for one in drawn for words in cut_words(one)] == []


def test_example_cuts_no_word_and_takes_no_page_more_for_it() -> None:
    # letter shows 234.0 mm, of each join 9.525 under and 4.0 trimmed are lost: five rows hold 5 x 234.0 - 4 x 13.525 mm
    found = survey(read_job(job_text("example.toml")))
    second = found.sheets[1].tiled
    assert second.sheet.drawing.height < 5 * 234.0 - 4 * 13.525 and second.rows == 5
    assert [words for one in (*found.samples, *found.sheets) for words in cut_words(one)] == []


def test_a_cut_word_is_found() -> None:
    """Lettering 4 mm high: begun 2 mm under the first join a word is cut by it, begun 6 mm under it it is not."""
    one = survey(read_job(job_text("smallest.toml"))).sheets[0]
    sheet, layout = one.sheet, one.tiled.layout
    join = sheet.drawing.height - layout.across[0].at

    def with_word(under: float) -> Drawn:
        word = Text(Point(20.0, join - under), 4.0, "WORD")
        other = replace(sheet, drawing=replace(sheet.drawing, shapes=(*sheet.drawing.shapes, word)))
        tiled = replace(one.tiled, layout=replace(layout, sheet=other))
        return replace(one, draw=lambda: tiled)

    assert list(cut_words(with_word(2.0))) == [f"{one.group.id}: WORD"]
    assert list(cut_words(with_word(6.0))) == []


def test_the_ways_between_joins() -> None:
    assert windows([100.0, 300.0], 2.0, 182.0) == [(2.0, 99.0), (101.0, 182.0)]
    assert windows([100.0, 104.0], 2.0, 182.0) == [(2.0, 99.0), (105.0, 182.0)]  # 4 mm hold nothing
    assert widest([100.0], 2.0, 182.0) == (2.0, 99.0)  # 97 mm against 81 mm


def test_lettering_moves_to_the_nearest_place_that_is_not_cut() -> None:
    assert start([], 60.0, 40.0, 0.0, 180.0) == 60.0
    assert start([70.0], 60.0, 40.0, 0.0, 180.0) == 71.0  # 11 mm to the right, else 60 - (69 - 40) = 31 mm to the left
    assert start([95.0], 60.0, 40.0, 0.0, 180.0) == 54.0  # 95 - 1 - 40
    assert start([70.0], 60.0, 120.0, 0.0, 180.0) is None


def test_lettering_along_a_fold_stands_over_a_join() -> None:
    assert raised([200.0], 100.0, 36.0, 900.0) == 100.0
    assert raised([120.0], 100.0, 36.0, 900.0) == 121.0
    assert raised([120.0, 140.0], 100.0, 36.0, 900.0) == 141.0
    assert raised([120.0], 100.0, 36.0, 150.0) == 100.0  # no room over it: 121 + 36 > 150


def test_words_on_the_datum_leave_room_for_the_marks_along_a_join() -> None:
    """Marks of a join reach 4.5 mm to both sides of it."""
    found = survey(read_job(job_text("demo_all.toml")))
    count = 0
    for drawn in found.sheets:
        joins = [join.at for join in drawn.tiled.layout.upright]
        for shape in drawn.sheet.drawing.shapes:
            if isinstance(shape, Text) and shape.text.startswith("TOP: HOLD") and shape.text.endswith("RAIL") and joins:
                left, _, right, _ = ink(shape)
                assert all(at < left - 4.4 or at > right + 4.4 for at in joins), drawn.group.id
                count += 1
    assert count >= 2
