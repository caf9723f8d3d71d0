"""A problem's remedy turned into changes of the job that one tap applies, each planned again before it is offered."""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from time import monotonic
from typing import Any

from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.plan.model import Plan
from jiggen.problems import JobError, Problem
from jiggen.review import review
from jiggen.web import remedies, toml
from jiggen.web.changes import Change, Path
from jiggen.web.state import from_state, to_state

MOST = 3  # cures of one problem
BUDGET = 4.0  # seconds for all of a job; what is not tried by then is not offered
FIGURES = re.compile(r"[0-9]+(?: [0-9]+/[0-9]+|/[0-9]+|\.[0-9]+)?(?: [+-](?= in))?")

Sign = tuple[str, str, str]


@dataclass(frozen=True)
class Judged:
    """A job as it stands: its plan (None where it cannot be read) and what was found."""

    plan: Plan | None
    problems: tuple[Problem, ...]


def for_job(text: str, now: Callable[[], float] = monotonic) -> list[dict[str, Any]]:
    """The cures that hold, one entry each: number of the problem in the page's order, words, keys to set or remove.

    A cure holds where the job, planned again with it, no longer has that problem and has no stop that it had not.
    """
    before = judged(text)
    data = _data(text)
    if data is None:
        return []
    end = now() + BUDGET
    found: list[dict[str, Any]] = []
    seen: dict[str, bool] = {}
    for number, problem in enumerate(in_order(before.problems)):
        aims: list[str] = []
        for change in remedies.changes(problem, before.plan, data):
            if len(aims) == MOST or now() > end:
                break
            if change.aim and change.aim in aims:
                continue
            changed = applied(data, change)
            if changed is None:
                continue
            fresh = toml.write(changed)
            key = f"{sign(problem)}{fresh}"
            if key not in seen:
                seen[key] = _holds(before, problem, fresh)
            if seen[key] and not any(one["problem"] == number and one["words"] == change.words for one in found):
                aims.append(change.aim)
                found.append({"problem": number, "words": change.words, "set": [list(pair) for pair in change.sets]})
    return found


def in_order(problems: Sequence[Problem]) -> list[Problem]:
    """Problems as the page lists them: stops first, then in the order in which they were found."""
    order = {"stop": 0, "check": 1, "note": 2}
    return sorted(problems, key=lambda problem: order[problem.level])


def judged(text: str) -> Judged:
    """The job of ``text`` planned and reviewed."""
    try:
        plan = make_plan(read_job(text))
    except JobError as error:
        return Judged(None, error.problems)
    return Judged(plan, (*plan.problems, *review(plan)))


def sign(problem: Problem) -> Sign:
    """What two findings of one kind at one place have in common: all but their figures."""
    return problem.level, problem.where, FIGURES.sub("#", problem.found)


def applied(data: dict[str, Any], change: Change) -> dict[str, Any] | None:
    """``data`` with a change made, None where its path leads nowhere."""
    fresh = copy.deepcopy(data)
    for path, value in change.sets:
        if not _set(fresh, path, value):
            return None
    return fresh


def _holds(before: Judged, problem: Problem, text: str) -> bool:
    after = judged(text)
    if before.plan is not None and after.plan is None:
        return False
    signs = {sign(one) for one in after.problems}
    if sign(problem) in signs or _worse(problem, after):
        return False
    if before.plan is None:
        return True  # what planning finds beyond the mended word was hidden until now
    had = {sign(one) for one in before.problems if one.level == "stop"}
    return {sign(one) for one in after.problems if one.level == "stop"} <= had


def _worse(problem: Problem, after: Judged) -> bool:
    """Whether the same finding is there still, but of another level."""
    _, where, found = sign(problem)
    return any(sign(one)[1:] == (where, found) for one in after.problems)


def _data(text: str) -> dict[str, Any] | None:
    try:
        return from_state(to_state(tomllib.loads(text.removeprefix("\ufeff"))))
    except (ValueError, RecursionError, OverflowError):
        return None


def _set(data: Any, path: Path, value: Any) -> bool:
    """Set or (None) remove what is at ``path``; tables on the way are made. False where it leads nowhere."""
    *way, last = path
    for step in way:
        if isinstance(step, int):
            if not (isinstance(data, list) and 0 <= step < len(data)):
                return False
            data = data[step]
        else:
            if not isinstance(data, dict):
                return False
            data = data.setdefault(step, {})
    if isinstance(data, list) and isinstance(last, int) and 0 <= last < len(data) and value is not None:
        data[last] = copy.deepcopy(value)
        return True
    if not isinstance(data, dict) or not isinstance(last, str):
        return False
    if value is None:
        data.pop(last, None)
    else:
        data[last] = copy.deepcopy(value)
    return True
