"""Cures that a tap applies: what the page is told to set is set in its form, looked at again, and the finding is gone."""

from __future__ import annotations

import copy
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from jiggen.job.start import start
from jiggen.web import tasks
from jiggen.web.forms import FORMS
from jiggen.web.state import to_state

# what is done to the deck: old text, new text; the keys that some cure must set or take out
CASES = {
    "under load": ("", "", {"tension", "spacing", "count", "spacers", "spacer bar"}),
    "left to the plan": ('spacing = "3 in"', 'spacing = "5 in"', {"spacing"}),
    "height": ('height = "36 in"', 'height = "30 in"', {"height"}),
    "triangle": ('bottom_rail = { depth = "1 1/2 in" }\nbottom_gap = "3/4 in"\n', "", {"bottom_gap"}),
    "short screws": ('"#14 x 2 1/2 in"', '"#14 x 1 in"', {"screw"}),
}


def applied(state: Any, sets: list[Any]) -> Any:
    """The form's state after a tap: each path set, or taken out where the value is None."""
    fresh = copy.deepcopy(state)
    for path, value in sets:
        place = fresh
        for step in path[:-1]:
            place = place[step] if isinstance(step, int) else place.setdefault(step, {})
        if value is None:
            del place[path[-1]]
        else:
            place[path[-1]] = value
    return fresh


def kind_of(problem: dict[str, Any]) -> tuple[str, str]:
    """Place and finding without figures."""
    return problem["where"], re.sub(r"[0-9][0-9 /.+-]*", "#", problem["found"])


@pytest.mark.parametrize("name", CASES)
def test_a_cure_is_offered_and_cures(name: str, deck: str) -> None:
    old, new, keys = CASES[name]
    state = to_state(tomllib.loads(deck.replace(old, new) if old else deck))
    found = tasks.look({"state": state})["problems"]
    stops = {kind_of(problem) for problem in found if problem["level"] == "stop"}
    seen: set[str] = set()
    for problem in found:
        for cure in problem["cures"]:
            seen |= {path[-1] for path, _ in cure["set"]}
            after = tasks.look({"state": applied(state, cure["set"])})
            assert after["planned"]
            assert kind_of(problem) not in [kind_of(other) for other in after["problems"]], cure["words"]
            fresh = {kind_of(p) for p in after["problems"] if p["level"] == "stop"} - stops
            assert all("overlap" in found for _, found in fresh)  # where cables come to lie is the plan's; it is told
    assert seen >= keys


def test_the_one_run_of_a_job_is_the_forms_first() -> None:
    """[run] instead of [[run]]: the form has a list of one, and the cure's path leads into it."""
    head = '[job]\nname = "Juniper gate"\ncode = "irc-2021"\n[post.cedar]\nwidth = "3 1/2 in"\nmaterial = "redwood"\n'
    text = f'{head}[run]\nposts = ["1", "2"]\nspans = ["40 in"]\nheight = "30 in"\n'
    state = to_state(tomllib.loads(text))
    problems = tasks.look({"state": state, "base": text})["problems"]
    cure = next(cure for problem in problems for cure in problem["cures"] if "raise" in cure["words"])
    assert cure["set"] == [[["run", 0, "height"], "36 in"]]  # irc-2021: 36 in
    assert applied(state, cure["set"])["run"][0]["height"] == "36 in"


def test_the_form_asks_a_post_for_all_that_its_table_may_have() -> None:
    """Every key of [post.NAME] in README's table but ``wire``, which has a form of its own."""
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    table = readme.partition("| **[post.NAME]** | | |")[2].partition("| **[")[0]
    keys = {key for row in table.splitlines() if row for key in re.findall(r"`(\w+)`", row.split("|")[1])}
    assert {field["key"] for field in FORMS["post"]} == keys - {"wire"}
    (slot,) = [field for field in FORMS["post"] if field["key"] == "slot"]
    assert slot["choices"] == ["round", "file"] or slot["choices"] == ("round", "file")


def test_first_cures_one_after_the_other_end_the_stops() -> None:
    # cables 5 in apart let 4 in through and stand over the bottom rail's plates: what is wrong with the runs comes first,
    # and one tap for each of the three runs leaves nothing to stop it
    state = to_state(tomllib.loads(start(False).replace('spacing = "3 in"', 'spacing = "5 in"')))
    for left in (3, 2, 1):
        stops = [problem for problem in tasks.look({"state": state})["problems"] if problem["level"] == "stop"]
        assert [one["where"].startswith("run ") for one in stops][: left + 1] == [True] * left + [False] * (
            len(stops) > left
        )
        state = applied(state, stops[0]["cures"][0]["set"])
    assert not [problem for problem in tasks.look({"state": state})["problems"] if problem["level"] == "stop"]


def test_a_plate_over_the_bottom_rail_is_told_the_spacing_that_shuts_the_openings() -> None:
    # 4 in less 1/8 in of cable is 3 7/8 in clear: the widest whole reading under the sphere
    state = to_state(tomllib.loads(start(False).replace('spacing = "3 in"', 'spacing = "5 in"')))
    over = [one for one in tasks.look({"state": state})["problems"] if "the bottom rail overlap" in one["found"]]
    assert over
    assert all(one["cures"][0]["words"] == "space the cables 4 in (101.6 mm)" for one in over)


def test_an_opening_is_told_the_spacing_that_stays_shut_under_load_too() -> None:
    # spans of 30 in: 4 in between cables lets nothing through at rest, the load needs less; both are keys to tap
    text = (
        start(False)
        .replace('spacing = "3 in"', 'spacing = "5 in"')
        .replace('"44 in"', '"30 in"')
        .replace('"38 1/2 in"', '"25 in"')
    )
    state = to_state(tomllib.loads(text))
    (front,) = [
        p for p in tasks.look({"state": state})["problems"] if p["where"] == "run front" and p["level"] == "stop"
    ]
    held = next(cure for cure in front["cures"] if cure["words"].endswith(", shut under load too"))
    after = tasks.look({"state": applied(state, held["set"])})["problems"]
    assert not [p for p in after if p["where"] == "run front" and p["level"] == "stop"]
    assert not [p for p in after if p["where"] == "run front" and "under load" in p["found"] and p["level"] == "check"]
    most = tasks.look({"state": applied(state, front["cures"][0]["set"])})["problems"]
    assert [p for p in most if p["where"] == "run front" and p["level"] == "check"]  # at rest alone it is not enough


def test_a_large_gap_over_the_bottom_rail_is_spread_over_the_cables() -> None:
    # opening 10 gives to 116.8 and 101.6 is the limit: 15.2 mm over 8 spaces are 1.9 each, over one sixteenth of 1.5875, so
    # 3 1/8 in; the pairs then ask for more pull, which is told with it
    state = to_state(tomllib.loads(start(False)))
    (front,) = [
        p for p in tasks.look({"state": state})["problems"] if p["where"] == "run front" and "opening" in p["found"]
    ]
    cure = front["cures"][0]
    assert cure["words"].startswith("space the cables 3 1/8 in (79.4 mm), 9 of them and pull ")
    after = tasks.look({"state": applied(state, cure["set"])})["problems"]
    assert not [p for p in after if p["where"] == "run front" and "opening" in p["found"]]
    assert not [p for p in after if p["level"] == "stop"]
