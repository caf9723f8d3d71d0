"""Runs that are alike but for names and place turned into one remedy, worked out once and told of each with its own keys."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Cure
from jiggen.review.trial import but_for_names
from jiggen.review.written import Remedy, run_path

NAMES = frozenset(("id", "posts", "at", "turn", "heading"))


def once(plan: Plan, line: RunLine, found: Callable[[], Remedy]) -> Remedy:
    """What ``found`` gives for the run, from an earlier run that is alike where there was one.

    A run that shares a post, and a remedy that names posts, is its own.
    """
    alike = _alike(plan, line)
    if alike is None:
        return found()
    index = next(index for index, run in enumerate(plan.job.runs) if run.id == line.id)
    path = run_path(plan, index, "")
    if alike in plan.tries.told:
        before, words, cures = plan.tries.told[alike]
        return Remedy(words, tuple(replace(cure, keys=_moved(cure, before, path)) for cure in cures))
    made = found()
    keys = [key for cure in made.cures for key, _ in cure.keys]
    if not any(key == f"{path}posts" for key in keys) and not plan.tries.short:
        plan.tries.told[alike] = path, made.words, made.cures
    return made


def _moved(cure: Cure, before: str, path: str) -> tuple[tuple[str, str], ...]:
    return tuple(
        (path + key.removeprefix(before) if key.startswith(before) else key, value) for key, value in cure.keys
    )


def _alike(plan: Plan, line: RunLine) -> str | None:
    """All that decides a run and its words: what it is, and which keys it says for itself."""
    own_run = plan.job.run_by_id[line.id]
    if plan.trial or any(len(plan.job.runs_at[post]) > 1 for post in line.posts):
        return None
    alike = but_for_names(plan, line, replace(plan.job, runs=(own_run,)))
    tables: Any = plan.job.data.get("run", [])
    if alike is None or isinstance(tables, Mapping):
        return None
    own = next(table for run, table in zip(plan.job.runs, tables, strict=True) if run.id == line.id)
    return repr((alike, sorted((key, value) for key, value in own.items() if key not in NAMES)))
