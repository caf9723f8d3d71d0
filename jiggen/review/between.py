"""What lies between a run's posts turned into problems where it is nothing: posts in each other, cables cut to nothing."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from jiggen.plan.model import Plan, RunLine
from jiggen.plan.words import cut_label
from jiggen.problems import Problem
from jiggen.review.words import EPSILON, both


def nothing_between(plan: Plan) -> Iterator[Problem]:
    """Posts that stand in each other or touch, the worst of each run; else cables whose end fittings leave them nothing."""
    crowded = set()
    for line in plan.runs:
        for problem in _posts(plan, line):
            crowded.add(line.id)
            yield problem
    for run in dict.fromkeys(cut.run for cut in plan.takeoff.cables if cut.run not in crowded):
        yield from _cables(plan, run)


def _posts(plan: Plan, line: RunLine) -> Iterator[Problem]:
    back, bars = line.level.times(-1.0), plan.job.run_by_id[line.id].spacers
    wide = bars.each * plan.job.kinds[bars.kind].along if bars else 0.0
    found = []
    for (a, x), (b, y) in pairwise(zip(line.posts, line.stations, strict=True)):
        taken = plan.post_by_id[a].prism.half_extent(line.level) + plan.post_by_id[b].prism.half_extent(back) + wide
        if y - x - taken < EPSILON:
            found.append((y - x - taken, y - x, taken, a, b))
    if not found:
        yield from _rails(plan, line)
        return
    _, apart, taken, a, b = min(found)
    more = f" (and {len(found) - 1} more)" if len(found) > 1 else ""
    yield Problem(
        "stop",
        f"run {line.id}",
        f"posts {a} and {b} stand {both(plan, apart)} apart, centre to centre, and half of each"
        f"{' with the spacer bars' if bars else ''} takes up {both(plan, taken)} of it: nothing lies between them{more}",
        f"write {'fewer bars, or ' if bars else ''}spans from centre to centre, or clear where it was taped between the"
        " posts' faces",
    )


def _rails(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """Posts apart at the walking surface that were measured to lean into each other: no rail is left between them."""
    rail = min((cut for cut in plan.takeoff.rails if cut.run == line.id), key=lambda cut: cut.length)
    if rail.length < EPSILON:
        yield Problem(
            "stop",
            f"run {line.id}",
            f"as built its posts lean into each other: nothing is left of its rail ({rail.place})",
            "measure lean and span_to_next there again",
        )


def _cables(plan: Plan, run: str) -> Iterator[Problem]:
    """What is left of the shortest cable between its end fittings, without what is added to each that is cut."""
    cut = min((cut for cut in plan.takeoff.cables if cut.run == run), key=lambda cut: cut.length)
    left = cut.length - plan.job.cable.trim
    if left > EPSILON:
        return
    yield Problem(
        "stop",
        f"run {run}",
        f"the end fittings of cable {cut_label(run, cut.cable)} are {both(plan, -left)} longer than what lies between them:"
        " no cable is left",
        "measure setback and pivot of both again, or set the posts farther apart",
    )
