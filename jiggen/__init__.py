"""Drilling templates, jigs and schedules for stainless cable guards, from one job file.

The public names, each imported when it is first asked for: ``read_job`` (text to Job), ``make_plan`` (Job to
Plan), ``review`` (Plan to Problems), ``build`` (Job to the packet's files), ``measure`` (a file to how far its
marks are from their plan), ``JobError``, ``Problem``.
"""

from __future__ import annotations

from typing import Any

_HOMES = {
    "read_job": "jiggen.job.read",
    "make_plan": "jiggen.plan.make",
    "review": "jiggen.review",
    "build": "jiggen.build",
    "measure": "jiggen.build",
    "JobError": "jiggen.problems",
    "Problem": "jiggen.problems",
}

__all__ = ["JobError", "Problem", "build", "make_plan", "measure", "read_job", "review"]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(name)
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
