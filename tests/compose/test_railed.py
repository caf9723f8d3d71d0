"""The rail over a sheet's datum: on its cables' line, as wide as it meets the face, cut off at the face's edges."""

from __future__ import annotations

from math import asin, radians, tan
from typing import Any

import pytest
from jobs_made import Keys, job, plan, ramp, run

from jiggen.build import Options, Survey, survey
from jiggen.drawing.scene import Ink, Path
from jiggen.plan.beside import rail_on

A = radians(22.5)
MIDDLE = 69.85 * tan(A)  # 28.93 mm: half of a post of 139.7 mm, times tan 22.5
GROUND: dict[str, Keys] = {"level": {}, "raked": {"ramp": ramp(9.5)}}


def turned(wide: float, kind: Keys | None = None, sheet: str = "face", **keys: Any) -> Survey:
    """Three posts of 139.7 mm, each turned by 22.5 degrees on its axis, and what lies between them."""
    post = kind or {"width": 139.7, "material": "douglas fir", "rotate": "22.5 deg"}
    rail = {"depth": 38, "width": wide}
    runs = run([900, 900], count=4, height=900, rail=rail, **keys)
    return survey(job(runs, post={"timber": post}, sheet={"kind": sheet}), Options(posts=("2",)))


def sections(found: Survey) -> list[tuple[str, float, float, float, float]]:
    """Of each rail drawn over a datum: the face, its sides left and right of the face's centre line, its feet over the
    datum there, mm."""
    seen = []
    for drawn in found.sheets:
        for face, x, y in drawn.sheet.seats:
            for shape in drawn.sheet.drawing.shapes:
                if isinstance(shape, Path) and shape.ink is Ink.EDGE and not shape.closed:
                    (left, foot), (right, other) = shape.points[0], shape.points[-1]
                    if abs((left + right) / 2 - x) < 50 and abs(foot - y) < 20:  # of this face of a strip
                        seen.append((face, left - x, right - x, foot - y, other - y))
    return seen


@pytest.mark.parametrize("sheet", ["face", "wrap"])
@pytest.mark.parametrize("ground", GROUND)
def test_a_rail_on_a_turned_post_stands_where_its_cables_do(ground: str, sheet: str) -> None:
    found = turned(50, sheet=sheet, **GROUND[ground])
    seen = sections(found)
    both = {"2/toward 1", "2/toward 3"}  # which are alike on the level and share a sheet
    assert {name for name, *_ in seen} == ({"2/toward 1"} if (ground, sheet) == ("level", "face") else both)
    for name, left, right, foot, other in seen:
        face = found.plan.face_by_id[name]
        (u,) = {round(mark.u, 6) for mark in face.marks if mark.purpose == "cable"}
        assert abs(u) == pytest.approx(MIDDLE, abs=1e-5)
        assert (left + right) / 2 == pytest.approx(u, abs=1e-5)
        assert right - left == pytest.approx(54.12, abs=0.005)  # 50 / cos 22.5
        # a mm across the face is sin 22.5 = 0.38268 mm along the run, which climbs tan 9.5
        climb = 0.0 if ground == "level" else tan(radians(9.5)) * 0.3826834
        assert abs(foot - climb * left) < 1e-5 or abs(foot + climb * left) < 1e-5
        assert abs(other - foot) == pytest.approx(climb * 54.12, abs=0.005)


def test_a_rail_wider_than_its_place_is_cut_off_at_the_edge_and_the_plan_says_by_how_much() -> None:
    """90 / cos 22.5 = 97.42 on the face, from 28.93 - 48.71 to 28.93 + 48.71 = 77.64, 7.79 over the edge at 69.85."""
    found = turned(90)
    for name, left, right, _, _ in (seen := sections(found)):
        u = next(mark.u for mark in found.plan.face_by_id[name].marks)
        near, far = sorted((left, right), key=abs)
        assert far * u > 0.0 > near * u
        assert (abs(near), abs(far)) == pytest.approx((19.77, 69.85), abs=0.005)
    assert len(seen) == 1  # the faces toward 1 and toward 3 are alike
    notes = {p.where: p.found for p in found.plan.problems if p.level == "note" and "over the post's edge" in p.found}
    assert set(notes) == {f"{at}/toward {other}" for at, other in ("12", "21", "23", "32")}
    assert "meets this face 28.9 mm to the" in notes["2/toward 1"] and "stands 7.8 mm over" in notes["2/toward 1"]


def test_a_rail_that_its_face_carries_whole_is_not_told() -> None:
    """50 wide: 28.93 + 27.06 = 55.99 of 69.85. Square to the cables a rail may be as wide as somebody wrote it."""
    square = {"width": 89, "material": "douglas fir"}
    for made in (turned(50).plan, turned(140, square).plan):
        assert not [p for p in made.problems if "over the post's edge" in p.found]


def test_a_rail_on_a_round_post_is_as_wide_as_its_arc() -> None:
    """40 wide on a pipe of 60.3: 2 x 30.15 x asin(20 / 30.15) = 43.73 mm of its skin, in the middle."""
    pipe = {"shape": "round", "diameter": 60.3, "wall": 3.6, "material": "stainless steel"}
    runs = run([900, 900], count=4, height=900, rail={"depth": 38, "width": 40})
    made = plan(runs, post={"timber": pipe})
    middle, half = rail_on(made.face_by_id["2/toward 3"], made.runs[0], 40.0)
    assert (middle, half) == pytest.approx((0.0, 30.15 * asin(20 / 30.15)), abs=1e-9)
    assert 2 * half == pytest.approx(43.73, abs=0.005)
