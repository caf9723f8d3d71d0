"""Cures that a tap applies: each is planned again here, and the finding is gone."""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest

from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.problems import JobError, Problem
from jiggen.review import review
from jiggen.web import cures
from jiggen.web.changes import Change
from jiggen.web.state import from_state, to_state
from jiggen.web.toml import write

# what is done to the deck: old text, new text; and a word that the cure's button must have
CASES = {
    "under load": ("", "", "Pull "),
    "bars": ("", "", "spacer bar"),
    "spacing under load": ("", "", "Space the cables"),
    "spacing": ('spacing = "3 in"', 'spacing = "5 in"', "Space the cables"),
    "left to the plan": ('spacing = "3 in"', 'spacing = "5 in"', "to the plan"),
    "count": ('spacing = "3 in"', "count = 3", "cables"),
    "height": ('height = "36 in"', 'height = "30 in"', "Raise the guard to 36 in"),
    "triangle": ('bottom_gap = "3/4 in"', 'bottom_gap = "4 in"', "Lower it to"),
    "two keys together": ('bottom_rail = { depth = "1 1/2 in" }\nbottom_gap = "3/4 in"\n', "", "Lower it to"),
    "short screws": ('"#14 x 2 1/2 in"', '"#14 x 1 in"', "Use screws"),
    "long screws": ('"#14 x 2 1/2 in"', '"#14 x 6 in"', "Use screws"),
    "too tight": ('tension = "250 lbf"', 'tension = "1500 lbf"', "Pull "),
    "slack": ('tension = "250 lbf"', 'tension = "20 lbf"', "Pull "),
    "unknown key": ("spacing =", "spacng =", 'Write "spacing"'),
    "unknown wood": ('"redwood"', '"redwod"', 'Write "redwood"'),
    "first cable": ('spacing = "3 in"', 'spacing = "3 in"\nfirst = "5 in"', "First cable"),
}


def found_in(text: str) -> list[Problem]:
    try:
        plan = make_plan(read_job(text))
    except JobError as error:
        return list(error.problems)
    return [*plan.problems, *review(plan)]


def kind_of(problem: Problem) -> tuple[str, str]:
    """Place and finding without figures."""
    return problem.where, re.sub(r"[0-9][0-9 /.+-]*", "#", problem.found)


def with_cure(text: str, sets: list[Any]) -> str:
    data = from_state(to_state(tomllib.loads(text)))
    changed = cures.applied(data, Change("", tuple((tuple(path), value) for path, value in sets)))
    assert changed is not None
    return write(changed)


@pytest.mark.parametrize("name", CASES)
def test_a_cure_is_offered_and_cures(name: str, deck: str) -> None:
    old, new, word = CASES[name]
    text = deck.replace(old, new) if old else deck
    problems = cures.in_order(found_in(text))
    offered = [one for one in cures.for_job(text) if word in one["words"]]
    assert offered
    for one in offered:
        problem = problems[one["problem"]]
        after = found_in(with_cure(text, one["set"]))
        assert kind_of(problem) not in [kind_of(other) for other in after]
        if "unknown key" not in name:
            stops = {kind_of(p) for p in problems if p.level == "stop"}
            assert {kind_of(p) for p in after if p.level == "stop"} <= stops


def test_a_cure_that_does_not_hold_is_not_offered(deck: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The words name a spacing; planned again with a wider one the finding stays, and no button comes."""
    wide = Change("Space the cables 6 in", ((("run", 0, "spacing"), "6 in"),))
    monkeypatch.setattr(cures.remedies, "changes", lambda problem, plan, data: iter([wide]))
    text = deck.replace('spacing = "3 in"', 'spacing = "5 in"')
    assert [one for one in cures.for_job(text) if one["problem"] == 0] == []


def test_no_cure_where_there_is_nothing_to_cure() -> None:
    assert cures.for_job("no TOML at all [") == []


def test_time_is_bounded(deck: str) -> None:
    """A clock that is past the budget at once: nothing is tried."""
    ticks = iter([0.0] + [cures.BUDGET + 1.0] * 10000)
    assert cures.for_job(deck, lambda: next(ticks)) == []


def test_a_change_on_the_way_to_nowhere_is_none() -> None:
    assert cures.applied({"run": []}, Change("", ((("run", 3, "spacing"), "3 in"),))) is None
    assert cures.applied({"guard": 7}, Change("", ((("guard", "spacing"), "3 in"),))) is None
