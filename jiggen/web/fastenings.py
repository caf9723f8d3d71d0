"""Remedies about screws, end fittings and brackets turned into changes of the job."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from math import ceil, floor
from typing import Any

from jiggen.handbook.fittings import generic_fittings
from jiggen.units import MM_PER_INCH, length, tape
from jiggen.web.changes import Case, Change, Path, told_mm
from jiggen.web.places import place

STEP = {"in": MM_PER_INCH / 4.0, "mm": 5.0}  # screws are sold by; common practice, no source


def longer(case: Case, match: re.Match[str]) -> Iterator[Change]:
    """Screws longer by what is told."""
    yield from _screws(case, lambda now: now + told_mm(match), up=True)


def long(case: Case, match: re.Match[str]) -> Iterator[Change]:
    """Screws as long as is told."""
    yield from _screws(case, lambda now: told_mm(match), up=True)


def shorter(case: Case, match: re.Match[str]) -> Iterator[Change]:
    """Screws shorter by what is told."""
    yield from _screws(case, lambda now: now - told_mm(match), up=False)


def _screws(case: Case, size: Callable[[float], float], up: bool, gauge: str = "") -> Iterator[Change]:
    """The fittings that the problem names with another length of screw, the next that is sold."""
    found = place(case.problem, case.plan)
    names = [n for n in case.plan.job.fittings if case.problem.where.endswith(f", {n}")]
    if not names:
        faces = {mark.rpartition("/")[0] for mark in found.marks}
        names = [n for face in sorted(faces) for n in case.plan.face_by_id[face].fittings]
    sets: list[tuple[Path, Any]] = []
    words = ""
    for name in dict.fromkeys(names):
        table = case.data.get("fitting", {}).get(name) or generic_fittings().get(name)
        if not isinstance(table, dict) or " x " not in str(table.get("screw")):
            continue
        old, _, now = str(table["screw"]).rpartition(" x ")
        try:
            wanted = size(length(now, case.plan.job.units)) / STEP[case.units]
        except ValueError:
            continue
        mm = (ceil(wanted - 1e-6) if up else floor(wanted + 1e-6)) * STEP[case.units]
        if mm <= 0.0:
            continue
        words = f"{tape(mm).text} in" if case.units == "in" else f"{mm:g} mm"
        screw = f"{gauge or old} x {words}"
        own = name in case.data.get("fitting", {})
        sets.append((("fitting", name, "screw"), screw) if own else (("fitting", name), {**table, "screw": screw}))
    if sets:
        yield Change(f"Use {gauge + ' ' if gauge else ''}screws {words} long", tuple(sets))


def lag(case: Case, match: re.Match[str]) -> Iterator[Change]:
    """Lag screws of a size, as long as is told or as they are."""
    told = told_mm(match) if match["mm"] or match["only"] else None
    size = match["size"]
    yield from _screws(case, lambda now: now if told is None else told, up=True, gauge=f"lag {size}")


def twin(case: Case, match: re.Match[str]) -> Iterator[Change]:
    """Another fitting or bracket by its name, at the place that the problem names."""
    post, _, name = case.problem.where.rpartition(", ")
    post = post.partition("/")[0]
    for index, line in enumerate(case.plan.runs):
        ends = (("start", line.start, line.posts[0]), ("finish", line.finish, line.posts[-1]))
        for key, fitting, at in ends:
            if at == post and fitting == name:
                yield Change(f"Use {match['twin']}", (((case.run_key(index, key)), match["twin"]),), f"twin {index}")
    if name in case.plan.job.brackets:
        yield Change(f"Use {match['twin']}", ((("guard", "bracket"), match["twin"]),))
