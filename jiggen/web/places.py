"""Problems turned into places of a plan and of the form, and their cures into what one tap sets there."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from jiggen.plan.model import Plan
from jiggen.problems import Cure, Problem, weighed
from jiggen.web.state import to_state

STEP = re.compile(r'"((?:[^"\\]|\\.)*)"|\[([0-9]{1,6})\]|([^.\[\]"]+)')
ROOTS = (
    "job", "cable", "guard", "posts", "post", "fitting", "bracket", "run", "sheet", "jig", "limits", "as_built",
    "code", "strand", "wood",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Place:
    """``runs``, ``posts``: by name. ``marks``: ids. ``key``: a path into the job ("run[1].spans[0]"), "" for none."""

    runs: tuple[str, ...] = ()
    posts: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    key: str = ""


def place(problem: Problem, plan: Plan | None) -> Place:
    """Where a problem is, as far as its ``where`` says it; ``plan`` None: the job could not be planned."""
    where = problem.where
    if where.split(".")[0].split("[")[0] in ROOTS and where.split(" ")[0] not in ("run", "post", "posts"):
        return Place(key=where)
    if plan is None:
        return Place()
    marks = tuple(part for part in where.split(" and ") if _is_mark(part, plan))
    runs = tuple(line.id for line in plan.runs if _names(where, "run", line.id))
    posts = [post.id for post in plan.posts if _stands(where, post.id)]
    posts += [mark.rsplit("/", 2)[0] for mark in marks]
    if not posts and not runs:
        posts = [p for group in plan.groups if group.id == where for p in group.posts]
    return Place(runs, tuple(dict.fromkeys(posts)), marks)


def as_data(problem: Problem, plan: Plan | None) -> dict[str, Any]:
    """A problem with its place as plain data."""
    found = place(problem, plan)
    return {
        "level": problem.level,
        "where": problem.where,
        "found": problem.found,
        "remedy": problem.remedy,
        "source": problem.source,
        "runs": list(found.runs),
        "posts": list(found.posts),
        "marks": list(found.marks),
        "path": path_of(found.key),
        "cures": [_cure(cure) for cure in problem.cures],
    }


def every(problems: Iterable[Problem], plan: Plan | None) -> list[dict[str, Any]]:
    """Problems as plain data, stops first, each with its place."""
    return [as_data(problem, plan) for problem in weighed(problems)]


def path_of(key: str) -> list[str | int]:
    """A problem's key as a path into the form's state: ``run[1].spans[0]`` is ["run", 1, "spans", 0]."""
    if key == "run" or key.startswith("run."):
        key = "run[0]" + key[3:]
    path: list[str | int] = []
    for quoted, index, bare in STEP.findall(key):
        path.append(json.loads(f'"{quoted}"') if quoted else int(index) if index else bare)
    return path


def _cure(cure: Cure) -> dict[str, Any]:
    """A cure's words and, for each key of the form's state, its value; None: the key goes."""
    sets = [
        [path_of(path), to_state(tomllib.loads(f"value = {value}"))["value"] if value else None]
        for path, value in cure.keys
    ]
    return {"words": cure.words, "set": sets}


def _is_mark(text: str, plan: Plan) -> bool:
    face = plan.face_by_id.get(text.rpartition("/")[0])
    return face is not None and any(mark.id == text for mark in face.marks)


def _names(where: str, word: str, name: str) -> bool:
    return re.search(rf"(?:^|, ){word} {re.escape(name)}(?:$|, )", where) is not None


def _stands(where: str, post: str) -> bool:
    name = re.escape(post)
    return (
        where.startswith((f"{post}/", f"{post}, "))
        or f" and {post}/" in where
        or re.search(rf"^posts? (?:.+ and )?{name}(?: and |$|, )", where) is not None
    )
