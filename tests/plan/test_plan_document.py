"""plan.json: its keys and types, its numbers, the same bytes every time, its fingerprint."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from math import isfinite
from typing import Any

import pytest
from hypothesis import given, settings
from jobs_made import SWIVEL, between, job, only_run, plan, ramp, run, stair, text

from jiggen.job.read import read_job
from jiggen.plan.document import SheetSize, document, to_json
from jiggen.plan.make import fingerprint, make_plan
from jiggen.problems import Cure, Problem

NUMBER, WHOLE, TEXT = (int, float), (int,), (str,)
# key: types of its value; a key in brackets in a later table may be missing as long as its part is not made
ROOT: dict[str, tuple[type, ...]] = {
    "version": WHOLE,
    "fingerprint": TEXT,
    "name": TEXT,
    "runs": (list,),
    "posts": (list,),
    "sheets": (list,),
    "takeoff": (dict,),
    "problems": (list,),
}
RUN: dict[str, tuple[type, ...]] = {
    "id": TEXT,
    "rake_degrees": NUMBER,
    "spacing_mm": NUMBER,
    "cable_count": WHOLE,
    "drops_mm": (list,),
    "openings_mm": (list,),
    "tension_n": NUMBER,
}
RUN_LATER: dict[str, tuple[type, ...]] = {
    "loaded_openings_mm": (list,),
    "opens_at_n": NUMBER,
    "opens_at_worst_n": NUMBER,
    "push_through_n": NUMBER,
    "tension_range_n": (list,),
    "hang_test": (dict,),
    "bottom_gap_mm": NUMBER,
    "side_force_n": NUMBER,
    "worst_openings_mm": (list,),
    "free_length_mm": NUMBER,
    "cable_length_mm": NUMBER,
}
POST: dict[str, tuple[type, ...]] = {
    "id": TEXT,
    "kind": TEXT,
    "role": TEXT,
    "sheets": (list,),
    "x_mm": NUMBER,
    "y_mm": NUMBER,
    "z_mm": NUMBER,
    "heading_degrees": NUMBER,
    "marks": (list,),
}
MARK: dict[str, tuple[type, ...]] = {
    "id": TEXT,
    "face": TEXT,
    "purpose": TEXT,
    "run": TEXT,
    "cable": (int, type(None)),
    "u_mm": NUMBER,
    "drop_mm": NUMBER,
    "height_mm": NUMBER,
    "above_tread_mm": NUMBER,
    "diameter_mm": NUMBER,
    "drill": TEXT,
    "depth_mm": NUMBER,
    "axis": (list,),
}
MARK_LATER: dict[str, tuple[type, ...]] = {"other_end": TEXT}  # of a bore that is marked on two faces
SHEET: dict[str, tuple[type, ...]] = {
    "id": TEXT,
    "posts": (list,),
    "faces": (list,),
    "kind": TEXT,
    "width_mm": NUMBER,
    "height_mm": NUMBER,
    "pages": WHOLE,
}
TAKEOFF: dict[str, tuple[type, ...]] = {
    "cables": (list,),
    "spools": (list,),
    "hardware": (list,),
    "tension_order": (dict,),
    "drills": (list,),
    "rails": (list,),
    "pulling": (list,),
    "taps": (list,),
    "slots": (list,),
    "spools_told": TEXT,
    "before_pulling": (list,),
    "passes": (list,),
    "check_again": (list,),
    "bends": (list,),
    "log": (dict,),
}
CUT: dict[str, tuple[type, ...]] = {"run": TEXT, "cable": WHOLE, "label": TEXT, "length_mm": NUMBER}
ITEM: dict[str, tuple[type, ...]] = {"item": TEXT, "count": WHOLE, "spare": WHOLE}
PROBLEM: dict[str, tuple[type, ...]] = dict.fromkeys(("level", "where", "found", "remedy", "source"), TEXT)
PROBLEM["cures"] = (list,)
MORE = {"bottom_gap_mm": NUMBER, "datum": TEXT}  # beyond the list, for the sheets' own use

WHOLE_JOB = [
    run([1000, 1000], count=9, bracket="side plate", wire={"drop": 30, "face": "deck side", "diameter": 9}, **SWIVEL),
    run([900], 3, count=9, turn="left 60 deg", ramp=ramp(5.0), **SWIVEL),
    run([930, 930], 4, count=8, stair=stair(175, 250, 120, "down"), bottom_gap=10, **SWIVEL),
]

CURE = Cure("use 9 cables", (("run[0].count", "9"), ("run[0].spacing", "")))


def whole() -> dict[str, Any]:
    made = plan(WHOLE_JOB)
    sizes = [SheetSize(group.id, 215.9, 1003.5, 4) for group in made.groups]
    return document(made, sizes, [Problem("note", "run A", "something", "nothing", "a table", (CURE,))])


def check(
    data: dict[str, Any], keys: dict[str, tuple[type, ...]], later: dict[str, tuple[type, ...]] | None = None
) -> None:
    allowed = {**keys, **(later or {})}
    assert set(keys) <= set(data)
    assert set(data) <= set(allowed) | set(MORE)
    for key, value in data.items():
        assert isinstance(value, allowed.get(key) or MORE[key]), key
        assert not isinstance(value, bool), key


def test_keys_and_types() -> None:
    data = whole()
    check(data, ROOT)
    for part, keys in (("runs", RUN), ("posts", POST), ("sheets", SHEET), ("problems", PROBLEM)):
        assert data[part]
        for item in data[part]:
            check(item, keys, RUN_LATER if part == "runs" else None)
    for mark in marks_of(data):
        check(mark, MARK, MARK_LATER)
    check(data["takeoff"], TAKEOFF)
    for cut in data["takeoff"]["cables"]:
        check(cut, CUT)
    for item in data["takeoff"]["hardware"]:
        check(item, ITEM)


def marks_of(data: dict[str, Any]) -> list[dict[str, Any]]:
    return [mark for post in data["posts"] for mark in post["marks"]]


def test_what_the_values_are() -> None:
    data = whole()
    assert data["name"] == "Willow landing"
    assert [one["id"] for one in data["runs"]] == ["A", "B", "C"]
    assert [one["rake_degrees"] for one in data["runs"]] == [0, 5, pytest.approx(-34.992, abs=1e-4)]  # atan 175/250
    for one in data["runs"]:
        assert one["cable_count"] == len(one["drops_mm"])
        assert len(one["openings_mm"]) - one["cable_count"] == (0 if one["id"] == "C" else 1)
        assert one["drops_mm"] == sorted(one["drops_mm"])  # top first
    assert {post["role"] for post in data["posts"]} <= {"end", "line", "corner", "transition", "spacer"}
    assert {mark["purpose"] for mark in marks_of(data)} == {"cable", "screw", "bracket", "wire"}
    assert [post["id"] for post in data["posts"]] == ["1", "2", "3", "4", "5", "6"]
    ids = [mark["id"] for mark in marks_of(data)]
    assert len(ids) == len(set(ids))
    for post in data["posts"]:
        for mark in post["marks"]:
            assert mark["id"].startswith(f"{post['id']}/{mark['face']}/")
            assert sum(part * part for part in mark["axis"]) == pytest.approx(1)
            assert mark["axis"][2] > 0  # into the post
            assert (mark["cable"] is None) == (mark["purpose"] in ("bracket", "wire"))
            assert mark["diameter_mm"] > 0 and mark["depth_mm"] > 0
    assert list(data["takeoff"]["tension_order"]) == ["A", "B", "C"]
    faces = [face for sheet in data["sheets"] for face in sheet["faces"]]
    assert sorted(faces) == sorted({f"{post['id']}/{mark['face']}" for post in data["posts"] for mark in post["marks"]})
    for post in data["posts"]:
        assert post["sheets"] == [sheet["id"] for sheet in data["sheets"] if post["id"] in sheet["posts"]]


def test_a_cure_is_its_words_and_its_keys() -> None:
    (problem,) = whole()["problems"]
    assert problem["cures"] == [{"words": "use 9 cables", "keys": {"run[0].count": "9", "run[0].spacing": ""}}]


def test_a_line_post_has_a_cable_mark_on_each_of_its_two_faces() -> None:
    post = whole()["posts"][1]
    for face in ("toward 1", "toward 3"):
        cables = [mark["cable"] for mark in post["marks"] if mark["face"] == face and mark["purpose"] == "cable"]
        assert cables == list(range(1, 10))


def numbers(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [number for held in value.values() for number in numbers(held)]
    if isinstance(value, list):
        return [number for held in value for number in numbers(held)]
    return [value] if isinstance(value, int | float) else []


@settings(max_examples=20)
@given(degrees=between(0.1, 29), span=between(600, 2000), angle=between(-44, 44))
def test_round_trip_and_finite_numbers(degrees: float, span: float, angle: float) -> None:
    hand = "left" if angle > 0 else "right"
    runs = [
        run([span, span], count=8, ramp=ramp(degrees), **SWIVEL),
        run([span], 3, count=8, turn=f"{hand} {abs(angle)} deg", **SWIVEL),
    ]
    data = document(plan(runs))
    assert json.loads(to_json(data)) == data
    assert "-0.0," not in to_json(data) and "-0.0\n" not in to_json(data)
    assert all(isfinite(number) for number in numbers(data))


def test_numbers_are_those_of_the_plan() -> None:
    made = plan(run([1000, 1000], count=8, ramp=ramp(7.0)))
    data = document(made)
    assert data["runs"][0]["drops_mm"] == [pytest.approx(drop, abs=5.01e-5) for drop in only_run(made).drops]
    for found, mark in zip(marks_of(data), (m for p in made.posts for f in p.faces for m in f.marks), strict=True):
        assert found["id"] == mark.id
        for key, value in (
            ("u_mm", mark.u),
            ("drop_mm", mark.drop),
            ("height_mm", mark.height),
            ("depth_mm", mark.depth),
        ):
            assert found[key] == pytest.approx(value, abs=5.01e-5)


def test_same_bytes_in_another_process() -> None:
    """Whatever order sets of texts have there."""
    code = (
        "import sys\n"
        "from jiggen.job.read import read_job\n"
        "from jiggen.plan.make import make_plan\n"
        "from jiggen.plan.document import document, to_json\n"
        "made = make_plan(read_job(sys.stdin.read()))\n"
        "sys.stdout.write(to_json(document(made, problems=made.problems)))\n"
    )
    made = make_plan(read_job(text(WHOLE_JOB)))
    here = to_json(document(made, problems=made.problems))
    for seed in ("1", "4711"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"}
        done = subprocess.run(
            [sys.executable, "-c", code],
            input=text(WHOLE_JOB),
            capture_output=True,
            text=True,
            env=environment,
            check=True,
        )
        assert done.stdout == here


def test_fingerprint_changes_with_a_figure_not_with_a_comment() -> None:
    plain = text(run([1000], count=9))
    first = fingerprint(read_job(plain))
    assert fingerprint(read_job(f"# measured on site\n{plain}\n\n# the end\n")) == first
    assert fingerprint(read_job(plain.replace("1000", "1000.5"))) != first
    assert fingerprint(job(run([1000], count=10))) != first
    assert fingerprint(job(run([1000], count=9), job={"name": "Elm landing"})) != first
    assert make_plan(read_job(plain)).fingerprint == first
    parts = first.split("-")
    assert [len(part) for part in parts] == [4, 4]
    assert all(letter in "0123456789ABCDEF" for part in parts for letter in part)
