"""A problem turned into what does not change with its figures: the faces that it is told of, its first words."""

from __future__ import annotations

import re

from jiggen.plan.model import Plan
from jiggen.problems import Problem

Sign = tuple[str, ...]
WORDS = re.compile(r"[a-z-]+")


def sign(plan: Plan, problem: Problem) -> Sign:
    """What two findings of one sort at one place have in common: the faces, and the first words without figures."""
    faces = faces_of(plan, problem)
    if len(faces) > 1 or (" and " in problem.where and faces):
        return (*sorted(faces), "clash")
    place = faces[0] if faces else problem.where
    return (place, *WORDS.findall(problem.found.lower())[:3])


def faces_of(plan: Plan, problem: Problem) -> list[str]:
    """The ids of the faces that a problem is told of, by itself or by one or two of their marks."""
    where = problem.where
    parts = [where]
    for cut in re.finditer(" and ", where):
        one, other = where[: cut.start()], where[cut.end() :]
        if _face(plan, one) and _face(plan, other):
            parts = [one, other]
    return [face for face in (_face(plan, part) for part in parts) if face]


def _face(plan: Plan, name: str) -> str:
    """The id of a face, or of the face that a mark is on; "" for any other name."""
    if name in plan.face_by_id:
        return name
    face = name.rpartition("/")[0]
    return face if face in plan.face_by_id else ""
