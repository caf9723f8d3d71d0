"""Pieces that overlap on a face turned into what parts them: a first cable, a spacing or a pull, each planned again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Problem
from jiggen.review.openings import open_at_rest, opened, triangle
from jiggen.review.signs import Sign, sign
from jiggen.review.trial import Change, safe, stopped, tried
from jiggen.review.words import EPSILON, at_least, both, stepped_down, stepped_up, told_up
from jiggen.review.written import cure

SPACINGS = 4  # steps of the readings that are tried
PULLS = 10  # tenths of the pull that are tried


Seen = dict[str, frozenset[Sign]]
"""What stops a run's posts with a change that was planned again, by run and change as text."""


def parted(plan: Plan, problem: Problem, over: float, seen: Seen) -> Problem:
    """The stop of two pieces of a run that overlap by ``over`` mm with what parts them and opens nothing; without what
    does neither. ``seen``: what was planned again so far."""
    line = next(one for one in plan.runs if one.id == plan.face_by_id[problem.where].run)
    one = problem.found.count(" of cable ") == 1  # the other piece is a bracket's or a rail
    low = problem.found.count(" and the bottom rail overlap ") == 1
    first = _up(plan, line, over) if low else _down(plan, line, over) if one else ()
    for words, change in (*_closer(plan, line), *first, *_ways(plan, line, over)):
        if not _opens_nothing(plan, line, change):
            continue
        if not plan.tries.left():
            return replace(problem, remedy="use a smaller piece, or space the cables wider")
        if _helps(plan, line, problem, change, seen):
            good = cure(plan, line, words, change)
            return replace(problem, remedy=f"{words}, or use a smaller piece", cures=(good,))
    return replace(problem, remedy="use a smaller piece (no spacing that keeps the openings shut parts them)")


def _closer(plan: Plan, line: RunLine) -> Iterator[tuple[str, Change]]:
    """The widest spacings that no sphere passes at rest, in a run with a given one that lets one through: what is told of
    its openings may be all that is the matter at its posts too."""
    wide = [opening for opening in open_at_rest(plan, line) if 1 < opening.number <= len(line.drops)]
    if line.guard.spacing is None or not wide:
        return
    most = stepped_down(plan, min(opening.limit - EPSILON + line.guard.spacing - opening.upright for opening in wide))
    for step in range(SPACINGS):
        spacing = round(most - step * plan.job.round_to, 6)
        if spacing > 2.0 * line.cable:
            yield f"space the cables {both(plan, spacing)}", Change({"spacing": spacing, "count": None})


def _down(plan: Plan, line: RunLine, over: float) -> Iterator[tuple[str, Change]]:
    """The first cable further down from a bracket."""
    moved = line.guard.stagger if isinstance(line.guard.stagger, float) else 0.0
    first = stepped_up(plan, (line.drops[0] - moved) * line.cosine + over)
    yield f"bring the first cable down to {both(plan, first)} under the rail", Change({"first": first})


def _up(plan: Plan, line: RunLine, over: float) -> Iterator[tuple[str, Change]]:
    """The last cable further up from the bottom rail: as many of them closer together, or one fewer."""
    count = len(line.drops)
    if count < 2 or line.guard.spacing is None:
        return
    spacing = stepped_down(plan, line.guard.spacing - over * line.cosine / (count - 1))
    yield f"space the cables {both(plan, spacing)}, {count} of them", Change({"spacing": spacing, "count": count})
    yield f"use {count - 1} cables", Change({"count": count - 1})


def _ways(plan: Plan, line: RunLine, over: float) -> Iterator[tuple[str, Change]]:
    """A wider spacing, else a pull at which the spacing that is left open is wide enough."""
    if len(line.drops) < 2:
        return
    least = stepped_up(plan, min(b - a for a, b in zip(line.drops, line.drops[1:], strict=False)) + over)
    for step in range(SPACINGS):
        spacing = least + step * plan.job.round_to
        change = Change({"spacing": spacing, "count": None})
        yield f"space the cables {both(plan, spacing)}", change
        new = tried(plan, line, change)
        if new:
            more = Change({"spacing": spacing, "count": len(new[1].drops) + 1})
            yield f"space the cables {both(plan, spacing)}, {len(new[1].drops) + 1} of them", more
    given = [key for key in ("spacing", "count") if getattr(line.guard, key) is not None]
    for tenth in range(1, PULLS + 1):
        pull = told_up(plan, plan.job.cable.tension * (1.0 + tenth / 10.0))
        out = f", with {' and '.join(given)} left out" if given else ""
        yield f"pull {at_least(plan, pull)}{out}", Change(dict.fromkeys(given), pull=pull)


def _opens_nothing(plan: Plan, line: RunLine, change: Change) -> bool:
    """Whether no opening of the run is open with ``change`` that was not; where cables move, none is open at rest, and
    where that shuts one that was, what opens under load is left to the checks."""
    new = tried(plan, line, change)
    if new is None or not safe(new[0], line.id):
        return False
    shuts = bool(change.guard and open_at_rest(plan, line) and not open_at_rest(*new))
    if not shuts and len(_open(*new)) > len(_open(plan, line)):
        return False
    return not (change.guard and open_at_rest(*new))


def _helps(plan: Plan, line: RunLine, problem: Problem, change: Change, seen: Seen) -> bool:
    """Whether the stop is gone with ``change`` and none has come."""
    key = f"{line.id} {change}"
    if key not in seen:
        seen[key] = frozenset(stopped(plan, line, change))
    known = {sign(plan, one) for one in plan.problems if one.level == "stop"}
    return seen[key] <= known and sign(plan, problem) not in seen[key]


def _open(plan: Plan, line: RunLine) -> list[object]:
    step = triangle(plan, line)
    loaded = [] if plan.job.rules.tension_table else opened(plan, line)
    return [*open_at_rest(plan, line), *loaded, *([step] if step and (step.open_at_rest or step.opened) else [])]
