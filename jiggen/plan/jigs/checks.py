"""The parts of a jig turned into problems: webs, bushings, holes too small to cut."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist

from jiggen.job.model import JigWish
from jiggen.plan.jigs.model import RUN, SMALLEST, WEB, Hole, Part
from jiggen.plan.jigs.shapes import apart, clear_of
from jiggen.plan.jigs.site import Site
from jiggen.plan.words import fine
from jiggen.problems import Problem


def check(at: Site, parts: Sequence[Part]) -> list[Problem]:
    """Too little board between holes, or a hole and an edge or slot; each place once, with its remedy."""
    found: dict[tuple[str, str], tuple[float, Problem]] = {}
    for part in parts:
        for where, other, left in _webs(part):
            if left < WEB - 1e-6:
                key = (where, other)
                problem = _thin(at, part, where, other, left)
                if key not in found or left < found[key][0]:
                    found[key] = (left, problem)
    return [problem for _, problem in found.values()]


def _webs(part: Part) -> list[tuple[str, str, float]]:
    """(hole, what it is near, board between them) for everything in a part but holes that are well apart."""
    rows = []
    for i, hole in enumerate(part.holes):
        near = (
            other for other in part.holes[i + 1 :] if dist(hole.at, other.at) < (hole.length + other.length) / 2 + WEB
        )
        rows += [(_name(hole), _name(other), apart(hole, other)) for other in near]
        rows.append((_name(hole), "the edge", clear_of(hole, part.outline)))
        rows += [(_name(hole), "a slot", clear_of(hole, slot)) for slot in part.slots]
    return rows


def _name(hole: Hole) -> str:
    return hole.mark or hole.use


def _thin(at: Site, part: Part, where: str, other: str, left: float) -> Problem:
    job = at.plan.job
    words = (
        f"{fine(job, max(left, 0.0), 1)} of board between it and {other} in the {part.name}, wanted {fine(job, WEB, 1)}"
    )
    if at.wish.bushing and not where.startswith("dowel"):
        fits = at.wish.bushing - (WEB - left) * (1.0 if other in ("the edge", "a slot") else 0.5) * 2.0
        least = max(g.drill for g in at.guides) + 2.0
        cure = (
            f"use bushings of at most {fine(job, fits)} outside (jig.bushing), or none"
            if fits > least
            else "leave jig.bushing out: no bushing fits here"
        )
        return Problem("stop", where, words, cure)
    cure = "drill every other hole with this jig and the rest by the sheet, or move the fitting"
    return Problem("stop" if left < 0.5 else "check", where, words, cure)


def small_holes(at: Site, parts: Sequence[Part]) -> list[Problem]:
    """Holes that no cut leaves room for: they are engraved as a cross instead."""
    small = {h.mark: h for part in parts for h in part.holes if too_small(h, at.wish)}
    return [
        Problem(
            "check",
            mark,
            f"a hole of {fine(at.plan.job, hole.diameter)} is too small for a cut of {fine(at.plan.job, at.wish.kerf)}, so a cross is engraved",
            f"drill it in the board with a drill of {fine(at.plan.job, hole.drill + RUN)}",
        )
        for mark, hole in small.items()
    ]


def too_small(hole: Hole, wish: JigWish) -> bool:
    """Whether what is left to draw is no wider than the cut or than the smallest hole."""
    return hole.diameter - wish.kerf < max(SMALLEST, wish.kerf)
