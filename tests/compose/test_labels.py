"""A mark's name stands on the page that shows its circle, beside it, in every sheet of every job."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import resources
from math import hypot, inf
from typing import Any

import pytest
from jobs_made import INCH, LUG, Keys, job, ramp, run
from packets import JOBS

from jiggen.build import Options, survey
from jiggen.build.model import Drawn
from jiggen.compose import labels
from jiggen.compose.labels import LEAST, _chosen, _free
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Line, Oval, Path, Text
from jiggen.job.read import read_job
from jiggen.sheets.extent import text_extent
from jiggen.sheets.model import Page

FAR = 60.0  # mm: beyond the outline of a wide fitting and a reading


def drawn(name: str) -> list[Drawn]:
    folder = resources.files("jiggen.job") if name.startswith("demo") else JOBS
    found = survey(read_job((folder / f"{name}.toml").read_text(encoding="utf-8")))
    return [one for one in (*found.sheets, *found.samples) if not one.group.id.startswith("F")]  # F: no marks to drill


def circles(page: Page) -> Iterator[tuple[str, Oval]]:
    """Name and circle of each mark whose middle is within what the page alone shows."""
    left, bottom, right, top = page.window
    for shape in page.content:
        name = dict(shape.data).get("mark", "") if isinstance(shape, Oval) else ""
        if isinstance(shape, Oval) and name and left < shape.centre.x < right and bottom < shape.centre.y < top:
            yield name.rsplit("/", 1)[1], shape


def _away(circle: Oval, text: Text) -> float:
    """From a circle's middle to the nearer end of a name, mm."""
    ends = text.at.x - circle.centre.x, text.at.x + width(text.text, text.height) - circle.centre.x
    return hypot(min(abs(x) for x in ends), text.at.y + text.height / 2.0 - circle.centre.y)


def astray(page: Page) -> list[tuple[str, str, float]]:
    """Page, name and distance of each mark that has no name of at least the smallest lettering within 60 mm of it."""
    left, bottom, right, top = page.window
    words = [
        text for text in page.content if isinstance(text, Text) and text.ink is Ink.STRONG and text.height >= LEAST
    ]
    words = [text for text in words if left <= text.at.x <= right and bottom <= text.at.y <= top - text.height]
    found = []
    for name, circle in circles(page):
        far = min((_away(circle, text) for text in words if text.text == name), default=inf)
        if far > FAR:
            found.append((page.label, name, far))
    return found


@pytest.mark.parametrize("name", ["demo", "demo_all", *sorted(path.stem for path in JOBS.glob("*.toml"))])
def test_a_marks_name_stands_on_its_own_page(name: str) -> None:
    sheets = [page for one in drawn(name) for page in one.tiled.pages]
    assert sum(1 for page in sheets for _ in circles(page)) >= 16
    assert [stray for page in sheets for stray in astray(page)] == []


def four_screws() -> list[Drawn]:
    """Fittings of four screws that pivot any way, on a corner post whose second run leaves askew: there the pattern lies
    wholly on one side of the face's centre line."""
    runs = [
        run([40 * INCH], 1, start="fixed swivel", finish="take-up swivel"),
        run([40 * INCH], 2, start="take-up swivel", finish="fixed swivel", turn="left 20 deg"),
    ]
    return list(survey(job(runs, post={"six": {"width": 5.5 * INCH, "material": "douglas fir"}})).sheets)


def test_no_leader_runs_through_another_hole() -> None:
    seen = 0
    for one in four_screws():
        ovals = [s for s in one.sheet.drawing.shapes if isinstance(s, Oval) and "mark" in dict(s.data)]
        leaders = [s for s in one.sheet.drawing.shapes if isinstance(s, Line) and s.ink is Ink.HATCH]
        for leader in leaders:
            for oval in ovals:
                (x1, y1), (x2, y2), (x, y) = leader.start, leader.end, oval.centre
                share = ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / ((x2 - x1) ** 2 + (y2 - y1) ** 2)
                near = min(max(share, 0.0), 1.0)
                assert hypot(x1 + near * (x2 - x1) - x, y1 + near * (y2 - y1) - y) > oval.rx  # clear of every circle
                seen += 1
    assert seen > 100


def test_labels_of_each_cable_s_fitting_stand_the_same_way_round() -> None:
    """a and d, on the right of their piece, are lettered right of it, b and c left of it, for every cable."""
    seen = 0
    for one in four_screws():
        shapes = one.sheet.drawing.shapes
        circle = {
            dict(s.data)["mark"].rsplit("/", 1)[1]: s.centre
            for s in shapes
            if isinstance(s, Oval) and "mark" in dict(s.data)
        }
        for text in (s for s in shapes if isinstance(s, Text) and s.text.strip() in circle):
            name = text.text.strip()
            right = text.at.x > circle[name].x
            assert right == (name[-1] in "ad"), name
            seen += 1
    assert seen == 2 * 4 * 10  # two sheets of ten cables


def test_exits_and_studs_on_one_side_of_a_corner_post_are_labelled_clear_of_each_other() -> None:
    """A tube of 80 mm turned by half of 60 degrees: on each of two sides the studs of one run and the exits of the other."""
    stud: Keys = {"outline": [20, 20], "bore": 8, "at_rake": True, "washer": 22, "setback": 38, "travel": 25}
    ends: Keys = {"count": 9, "height": 1070, "start": "stud", "finish": "stud"}
    runs = [
        run([1000], 1, **ends),
        run([1000], 2, **ends, turn="left 60 deg", ramp=ramp(5.7), stagger="auto"),
    ]
    kind: Keys = {"width": 80, "wall": 3, "material": "316 stainless", "rotate": "bisect"}
    found = survey(job(runs, post={"tube": kind}, fitting={"stud": stud}, sheet={"kind": "wrap"}))
    (one,) = [one for one in found.sheets if "2/toward 3" in one.group.strip]
    foot, top = one.sheet.breaks
    shapes = one.sheet.drawing.shapes
    words = [text_extent(s) for s in shapes if isinstance(s, Text) and not s.angle and foot < s.at.y < top - 60]
    pieces = [
        (min(xs), min(ys), max(xs), max(ys))
        for s in shapes
        if isinstance(s, Path) and s.ink is Ink.FITTING
        for xs, ys in ([[p.x for p in s.points], [p.y for p in s.points]],)
    ]
    assert len(pieces) == 36 and len(words) > 100  # two runs of nine studs, each in and out: number, reading, mm
    for index, (left, low, right, high) in enumerate(words):
        for a, b, c, d in (*words[index + 1 :], *pieces):
            assert a > right - 0.2 or c < left + 0.2 or b > high - 0.2 or d < low + 0.2


def test_a_column_s_labels_stand_the_same_way_round() -> None:
    """Studs near the edge of their face: "1 116.0" would find room beside its hole, "4 464.5-" under its number alone; so all
    cables of the column have it there, the number's left end within 3 mm, but where a join is in the way."""
    stud: Keys = {"outline": [20, 20], "bore": 8, "at_rake": True, "setback": 38, "travel": 25, "bore_depth": 60}
    keys: Keys = {"count": 9, "height": 1070, "start": "stud", "finish": "stud"}
    kind: Keys = {"width": 120, "rotate": "22 deg", "material": "douglas fir"}
    found = survey(job(run([1000], **keys), post={"post": kind}, fitting={"stud": stud}))
    (one,) = [one for one in found.sheets if "1/toward 2" in one.group.faces]
    shapes, size = one.sheet.drawing.shapes, one.sheet.drawing
    circles = {dict(s.data)["mark"].rsplit("/", 1)[1]: s.centre for s in shapes if isinstance(s, Oval)}
    rows = [size.height - join.at for join in one.tiled.layout.across]
    offs = [
        s.at.x - circles[s.text.strip()].x
        for s in shapes
        if isinstance(s, Text) and s.ink is Ink.STRONG and not s.angle and s.text.strip() in circles
        if all(abs(circles[s.text.strip()].y - row) > 40 for row in rows)
    ]
    assert len(offs) >= 4 and max(offs) - min(offs) < 3.0


def test_on_a_sheet_without_room_the_search_for_places_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    """70 cables 12 mm apart with four screws each: 280 labels, 8 mm high at the least, beside 840 mm of post, so some find no
    place. After ``CROWDED`` of those no place is looked for, and every mark has its name all the same."""
    searched: list[bool] = []

    def counted(*given: Any) -> Any:
        chosen = _chosen(*given)
        searched.append(chosen is not None and _free(given[1][0], chosen[1]))
        return chosen

    monkeypatch.setattr(labels, "_chosen", counted)
    posts: Keys = {"slim": {"width": 60, "wall": 3, "material": "steel"}}
    made = job(
        run([700], count=70, spacing=12, height=1000, start="lug", finish="lug"),
        fitting={"lug": {**LUG, "screws": [[-8, 13], [8, 13], [-8, -13], [8, -13]]}},
        post=posts,
    )
    (one,) = survey(made, Options(draft=True, only=("S1",))).sheets
    assert searched.count(False) == labels.CROWDED  # and none was looked for behind the last of them
    names = [shape.text for shape in one.sheet.drawing.shapes if isinstance(shape, Text) and shape.ink is Ink.STRONG]
    wanted = {f"{number}{screw}" for number in range(1, 71) for screw in "abcd"}
    assert wanted <= set(names) and len(searched) < len(wanted)
