"""The placed guard turned into what to cut, buy and pull: cable lengths, hardware, tension order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from jiggen.job.model import Job
from jiggen.plan.faces import View
from jiggen.plan.marks import pivot_point
from jiggen.plan.model import CableCut, Post, RunLine, Takeoff


def take_off(
    job: Job, lines: Sequence[RunLine], ends: Mapping[str, tuple[View, View]], posts: Sequence[Post]
) -> Takeoff:
    """Cables to cut, hardware counted, order to tension in. ``ends``: the two end views of each run."""
    cables = tuple(
        CableCut(line.id, number, cut_length(job, *ends[line.id], drop))
        for line in lines
        for number, drop in enumerate(line.drops, 1)
    )
    order = tuple((line.id, tension_order(len(line.drops))) for line in lines)
    return Takeoff(cables, _hardware(job, lines, posts), order)


def cut_length(job: Job, start: View, finish: View, drop: float) -> float:
    """Length of one cable: between the pivots (or faces) in 3D, less setback - pivot at each end, plus trim, mm."""
    total = pivot_point(start, job.fittings[start.fitting], drop).minus(
        pivot_point(finish, job.fittings[finish.fitting], drop)
    )
    length = total.length() + job.cable.trim
    for view in (start, finish):
        fitting = job.fittings[view.fitting]
        length -= fitting.setback - (fitting.pivot[0] if fitting.pivot else 0.0)
    return length


def tension_order(count: int) -> tuple[int, ...]:
    """Cable numbers from the middle outwards (common practice, no source)."""
    middle = (count + 1) / 2.0
    return tuple(sorted(range(1, count + 1), key=lambda number: (abs(number - middle), number)))


def _hardware(job: Job, lines: Sequence[RunLine], posts: Sequence[Post]) -> tuple[tuple[str, int], ...]:
    items: Counter[str] = Counter()
    for line in lines:
        for name in (line.start, line.finish):
            items[name] += len(line.drops)
    for post in posts:
        for face in post.faces:
            for outline in face.outlines:
                if outline.purpose == "bracket":
                    items[outline.what] += 1
            for mark in face.marks:
                if mark.purpose in ("screw", "bracket"):
                    items[mark.what.rpartition(", ")[2]] += 1
        if post.kind.grommet is not None:
            items["grommet"] += sum(mark.purpose == "cable" for face in post.faces for mark in face.marks)
    return tuple(sorted(items.items()))
