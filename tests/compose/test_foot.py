"""The foot of a sheet keeps its words, its boxes and its gauges clear of the joins between pages and of their marks."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import resources
from pathlib import Path as FilePath

import pytest
from jobs_made import job, runs_alike

from jiggen.build import Drawn, Options, survey
from jiggen.compose.bench import Room, Strip
from jiggen.compose.bench import strip as strip_of
from jiggen.compose.clear import JOINED, below
from jiggen.compose.lettering import paragraph
from jiggen.compose.panel import CLEAR, SQUARE, WHOLE, drawn_round, panel
from jiggen.compose.template import FLOOR, template
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Path, Pen, Text
from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.sheets.extent import extent

JOBS = FilePath(__file__).parent.parent / "jobs"
Box = tuple[float, float, float, float]


def marks_of(drawn: Drawn) -> Iterator[Box]:
    """What each join mark takes with its name, sheet coordinates: 3 mm to both sides of its join, its name behind it."""
    layout = drawn.tiled.layout
    for (column, row), marks in layout.level_marks.items():
        y = layout.own(column, row)[1]
        if not {(column, row), (column, row + 1)} & layout.gone:
            yield from ((m.along - 3.0, y - 3.0, m.along + 3.8 + width(m.name, 2.2), y + 3.0) for m in marks)
    for (column, row), marks in layout.upright_marks.items():
        x = layout.own(column, row)[2]
        if not {(column, row), (column + 1, row)} & layout.gone:
            yield from ((x - 3.0, m.along - 3.0, x + 3.0, m.along + 3.8 + width(m.name, 2.2)) for m in marks)


def under_marks(drawn: Drawn) -> list[str]:
    """The words of a sheet's foot, and of the floor that it may stand on, that lie under a join mark."""
    foot = drawn.sheet.breaks[0] + (FLOOR if drawn.group.datum == "deck" else 0.0)
    marks = list(marks_of(drawn))
    found = []
    for shape in drawn.sheet.drawing.shapes:
        if isinstance(shape, Text) and shape.at.y < foot:
            left, low, right, high = extent(shape)
            if any(left < m[2] and m[0] < right and low < m[3] and m[1] < high for m in marks):
                found.append(f"{drawn.group.id}: {shape.text}")
    return found


@pytest.mark.parametrize(
    ("name", "paper", "inside"),
    [
        ("demo_all.toml", None, 1),  # the practice piece's foot of two pages, columns of pages beside its words
        ("demo_all.toml", "a4", 2),
        ("swaged-ends.toml", None, 1),
        ("example.toml", None, 0),
        ("deck-datum.toml", None, 0),
    ],
)
def test_no_mark_of_a_join_lies_on_words_of_the_foot(name: str, paper: str | None, inside: int) -> None:
    file = resources.files("jiggen.job").joinpath(name) if name.startswith("demo") else JOBS / name
    found = survey(read_job(file.read_text(encoding="utf-8")), Options(paper=paper))
    drawn = [one for one in (*found.samples, *found.sheets) if one.group.kind not in ("fitting", "pole")]
    assert [words for one in drawn for words in under_marks(one)] == []
    assert sum(len(one.sheet.breaks) - 2 for one in drawn) >= inside  # feet that were drawn round a join


def many() -> Strip:
    """The strip of a sheet that serves 120 ends."""
    plan = make_plan(job(runs_alike(60)))
    group = max(plan.groups, key=lambda one: len(one.posts))
    assert len(group.posts) == 120
    return strip_of(plan, group, 176.0)


def test_boxes_to_tick_go_on_under_a_join_and_down_each_column_of_a_page() -> None:
    strip = many()
    plain = panel(strip)
    boxes = [shape for shape in plain.shapes if isinstance(shape, Path) and extent(shape)[2] - extent(shape)[0] == 4.0]
    heights = sorted({round(extent(box)[1], 6) for box in boxes}, reverse=True)
    row = heights[10] + 1.5  # through the eleventh line of boxes, 6.5 - 1.5 mm under the tenth
    assert plain.crossed([row])
    made = panel(strip, [row])
    assert not made.crossed([row])
    names = [s for s in made.shapes if isinstance(s, Text) and " toward " in s.text and s.at.y < -WHOLE]
    assert len(names) == 120
    over = [s.text for s in names if s.at.y > row]
    under = [s.text for s in names if s.at.y < row]
    served = [f"{k}-{i}  toward {k}-1" for k in range(60) for i in (0, 2)]
    columns = len({s.at.x for s in names})
    assert over == served[: 10 * columns]  # ten whole lines of boxes, each page in order of the list
    assert under == served[10 * columns :]
    assert made.height > plain.height  # by what lies between the tenth line and 4.5 mm under the join


def test_a_join_through_the_squares_goes_over_them() -> None:
    # the first words and the squares take 16 + 101.6 = 117.6 mm; 6 mm under the foot's edge a join is clear of a hole there
    assert pytest.approx(117.6) == WHOLE and pytest.approx(101.6) == SQUARE
    assert drawn_round([-90.0, -300.0]) == (-CLEAR,) == (-6.0,)
    assert drawn_round([-118.0, -300.0]) == (-118.0, -300.0)
    assert drawn_round([]) == ()
    made = panel(many(), drawn_round([-90.0]))
    assert max(extent(shape)[3] for shape in made.shapes) < -6.0 - JOINED  # 4.5 mm under the join at most


def test_the_last_join_counts_for_nothing_where_the_foot_ends_over_it() -> None:
    made = panel(many())
    end = min(extent(shape)[1] for shape in made.shapes)
    assert not made.crossed([end - 0.5]) and made.crossed([end + 0.5])


def test_a_block_stands_under_the_join_that_would_meet_it() -> None:
    assert below([-50.0], -10.0, 30.0) == -10.0  # ends at -40, the join's marks begin at -45.5
    assert below([-50.0], -10.0, 36.0) == -54.5  # would end at -46
    assert below([-50.0, -80.0], -10.0, 36.0) == -84.5  # from -54.5 it would reach to -90.5
    assert below([-50.0], -55.0, 36.0) == -55.0
    assert below([], -10.0, 500.0) == -10.0


def test_few_lines_go_under_a_join_together_and_many_part_there() -> None:
    # lines of 2 mm lettering are 3.1 mm apart, none within 4.5 mm of the join at -10: of those from 0 down one ends before
    # -5.5, the next would end at -6.2
    for lines, places in ((4, [-16.5, -19.6, -22.7, -25.8]), (6, [-2.0, -16.5, -19.6, -22.7, -25.8, -28.9])):
        pen = Pen()
        words = " ".join(["WWWWWWWWWW"] * lines)
        paragraph(pen, 0.0, 0.0, words, 2.0, width("WWWWWWWWWW", 2.0) + 0.1, rows=[-10.0])
        texts = [shape for shape in pen.shapes if isinstance(shape, Text)]
        assert [text.at.y for text in texts] == pytest.approx(places)
    assert [text.text for text in texts] == ["WWWWWWWWWW"] * 6


def test_the_room_of_a_page_decides_where_the_foot_is_parted() -> None:
    """A foot that one page holds whole is drawn as it comes."""
    plan = make_plan(job({"posts": ["1", "2", "3"], "spans": [900, 900], "count": 5, "height": 900}))
    made = template(plan, plan.groups[0], Room(176.0, 234.0, 9.525))
    assert len(made.breaks) == 2 and not panel(strip_of(plan, plan.groups[0], 176.0)).crossed([])
