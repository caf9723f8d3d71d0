"""Parameters turned into the text of a job, so that a test says only what it is about."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from math import atan, pi
from typing import Any

from hypothesis import strategies as st

from jiggen.job.model import Job
from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.plan.model import Mark, Plan, PostFace, RunLine
from jiggen.problems import Problem

Keys = dict[str, Any]

INCH = 25.4
TIMBER: Keys = {"width": 89, "material": "douglas fir"}
PLAIN: Keys = {
    "job": {"name": "Willow landing", "code": "irc-2021", "units": "mm"},
    "post": {"timber": TIMBER},
}
SWIVEL: Keys = {"start": "fixed swivel", "finish": "take-up swivel"}
LUG: Keys = {
    "outline": [30, 40],
    "flange": 3,
    "screws": [[0, 13], [0, -13]],
    "screw": "M6 x 16 mm",
    "pivot": 20,
    "swivels": "any",
    "setback": 50,
    "travel": 25,
}
LOW_LUG: Keys = {
    "outline": [30, 36],
    "flange": 3,
    "screws": [[0, 12], [0, -12]],
    "screw": "M6 x 12 mm",
    "pivot": 19,
    "swivels": "any",
    "setback": 50,
    "travel": 25,
}
BOLT: Keys = {"outline": [20, 20], "flange": 2, "bore": 8, "at_rake": True, "setback": 38, "travel": 25}
TUBE: Keys = {"width": 60, "wall": 3, "material": "steel"}
RIGID: Keys = {"start": "rigid plate", "finish": "rigid plate"}


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers to 0.001, as somebody would write them."""
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda whole: whole / 1000)


def toml(value: Any) -> str:
    """``value`` as TOML on one line."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{json.dumps(key)} = {toml(held)}" for key, held in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml(item) for item in value) + "]"
    if isinstance(value, str | bool):
        return json.dumps(value)
    return repr(value)


def text(runs: Mapping[str, Any] | Iterable[Mapping[str, Any]], **tables: Mapping[str, Any]) -> str:
    """A job's text: ``PLAIN`` with ``tables`` laid over it; a ``post`` table replaces the plain one."""
    merged: Keys = dict(PLAIN)
    for key, held in tables.items():
        merged[key] = dict(held) if key == "post" else {**merged.get(key, {}), **held}
    merged["run"] = [dict(runs)] if isinstance(runs, Mapping) else [dict(run) for run in runs]
    return "".join(f"{key} = {toml(held)}\n" for key, held in merged.items())


def job(runs: Mapping[str, Any] | Iterable[Mapping[str, Any]], **tables: Mapping[str, Any]) -> Job:
    """The job of ``text``, read."""
    return read_job(text(runs, **tables))


def plan(runs: Mapping[str, Any] | Iterable[Mapping[str, Any]], **tables: Mapping[str, Any]) -> Plan:
    """The plan of ``text``."""
    return make_plan(job(runs, **tables))


def run(spans: Sequence[float], number: int = 1, **keys: Any) -> Keys:
    """A run of posts ``number``, ``number`` + 1, ... over ``spans``."""
    return {"posts": [str(number + index) for index in range(len(spans) + 1)], "spans": list(spans), **keys}


def runs_alike(count: int) -> list[Keys]:
    """Runs beside one another, each of three posts (0-0, 0-1, 0-2) and five cables."""
    rest: Keys = {"spans": [900, 900], "count": 5, "height": 900}
    return [
        {"id": f"R{k}", "posts": [f"{k}-{i}" for i in range(3)], "at": [0, 1500 * k, 0]} | rest for k in range(count)
    ]


def stair(rise: float, going: float, behind: float = 120.0, goes: str = "up", **keys: Any) -> Keys:
    return {"rise": rise, "going": going, "goes": goes, "first_behind_nosing": behind, **keys}


def ramp(degrees: float, goes: str = "up") -> Keys:
    return {"slope": f"{degrees!r} deg", "goes": goes}


def slope_of(run_keys: Mapping[str, Any]) -> float:
    """The angle of a run's ground in radians, never negative, worked out from its keys alone."""
    if "stair" in run_keys:
        return atan(run_keys["stair"]["rise"] / run_keys["stair"]["going"])
    if "ramp" in run_keys:
        return float(run_keys["ramp"]["slope"].removesuffix(" deg")) * pi / 180.0
    return 0.0


def only_run(made: Plan) -> RunLine:
    (line,) = made.runs
    return line


def face(made: Plan, post: str, toward: str) -> PostFace:
    """The face of ``post`` that looks toward post ``toward``."""
    return made.face_by_id[f"{post}/toward {toward}"]


def marks(where: PostFace, purpose: str) -> list[Mark]:
    return [mark for mark in where.marks if mark.purpose == purpose]


def centres(where: PostFace) -> list[tuple[float, float, float]]:
    """(u, drop, v) of the middle of each cable's screws, top first."""
    found = []
    for cable in sorted({mark.cable for mark in marks(where, "screw") if mark.cable is not None}):
        own = [mark for mark in marks(where, "screw") if mark.cable == cable]
        mean = [sum(values) / len(own) for values in zip(*((m.u, m.drop, m.v) for m in own), strict=True)]
        found.append((mean[0], mean[1], mean[2]))
    return found


def of_level(problems: Iterable[Problem], level: str) -> list[Problem]:
    return [problem for problem in problems if problem.level == level]
