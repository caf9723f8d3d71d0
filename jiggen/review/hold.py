"""What holds the cables of a run turned into problems: screws in the posts, and what the end posts carry."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from jiggen.handbook.screw_lengths import SOURCE, at_least, at_most, is_sold
from jiggen.mechanics.endpost import cantilever_moment, propped_fixed, propped_hinged, total_pull
from jiggen.plan.led import side_pull
from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Problem
from jiggen.review.screws import Clear, screwed
from jiggen.review.trial import Change, tried
from jiggen.review.words import newtons
from jiggen.units import MM_PER_INCH, N_PER_LBF, degrees_text, mm_text


def holding(plan: Plan, line: RunLine, known: Clear) -> Iterator[Problem]:
    """The hold of both ends of a run at its tightest, and what its end posts carry. ``known``: which other screws are in nobody's
    way, shared by all runs."""
    for post_id, name in line.screwed:
        yield from screwed(plan, line, plan.post_by_id[post_id], plan.job.fittings[name], known)
    yield from _end_posts(plan, line)


def _end_posts(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """What the cables of a run do to its end posts, at their tightest; the worse of the two."""
    tight = plan.loads[line.id].strung.tightest
    ends = [post for post, _ in line.screwed]
    if ends:
        which = f"post{'s' * (len(ends) > 1)} {' and '.join(ends)}, run {line.id}"
        yield from _carried(plan, line, ends, tight, which, " on each" if len(ends) > 1 else "")
    for bend in line.led.bends if line.led and line.led.head == line.id else ():
        leg = next(one for one in plan.runs if bend.post in (one.posts[0], one.posts[-1]) and one.head == line.head)
        turns = f" towards the inside of its turn of {degrees_text(bend.angle)} degrees, round which they are led"
        yield from _carried(plan, leg, [bend.post], side_pull(tight, bend.angle), f"post {bend.post}", turns)


def _carried(plan: Plan, line: RunLine, posts: Sequence[str], pull: float, where: str, how: str) -> Iterator[Problem]:
    """What cables of a run that pull ``pull`` N each do to the worst of some posts."""
    worst: tuple[float, list[tuple[float, float]], float] | None = None
    for post_id in posts:
        x, base = line.stations[line.posts.index(post_id)], plan.post_by_id[post_id].prism.base.z
        rail = line.underside(x) - base
        pulls = [(pull, rail - drop) for drop in line.drops]
        between = all(0.0 < height <= rail for _, height in pulls)  # what does not fit is told already
        if between and (worst is None or cantilever_moment(pulls) > worst[0]):
            worst = (cantilever_moment(pulls), pulls, rail)
    if worst is None:
        return
    moment, pulls, rail = worst
    propped = propped_fixed(pulls, rail)
    yield Problem(
        "check",
        where,
        f"the cables pull {newtons(plan, total_pull(pulls))}{how}: as a cantilever {_moment(plan, moment)} at its foot; "
        f"propped by the rail {_moment(plan, propped.base_moment)} and {newtons(plan, propped.thrust)} of thrust in the rail "
        f"({newtons(plan, propped_hinged(pulls, rail).thrust)} with a hinged foot)",
        "fix the rail at both ends before any cable is pulled; post, anchorage and rail ends are a licensed designer's",
        "beam theory",
    )


def _moment(plan: Plan, newton_mm: float) -> str:
    """A bending moment in the job's units."""
    metric = f"{mm_text(newton_mm / 1000.0, 0)} N m"
    if plan.job.units == "mm":
        return metric
    return f"{mm_text(newton_mm / N_PER_LBF / MM_PER_INCH / 12.0, 0)} ft lbf ({metric})"


def as_sold(plan: Plan) -> Iterator[Problem]:
    """Screws whose length is on no common list: each piece that is used once, with the lengths beside its own."""
    job = plan.job
    used = {mark.what.rpartition(", ")[0] for post in plan.posts for face in post.faces for mark in face.marks}
    screws = {name: piece.screw for name, piece in job.brackets.items()} | {
        f.name: f.screw for f in job.fittings.values()
    }
    for name, screw in sorted(screws.items()):
        if name not in used or screw is None or is_sold(screw):
            continue
        around = [at_most(screw, job.units, screw.length), at_least(screw, job.units, screw.length)]
        told = " or ".join(one.told for one in around if one) or "another size"
        yield Problem(
            "note",
            f"screws of {name}",
            f"{screw.text} is of no length that is commonly sold",
            f"have them at hand before the sheets are made, or write one of {told} into its table and make the packet again",
            SOURCE,
        )


def overloads(plan: Plan, line: RunLine, change: Change) -> bool:
    """Whether screws at an end of the run do not hold its pull with ``change``."""
    new = tried(plan, line, change)
    if new is None:
        return False
    laid = replace(new[0], trial=True)
    every = [screwed(laid, new[1], plan.post_by_id[post], plan.job.fittings[name]) for post, name in line.screwed]
    return any(" hold " in problem.found for problems in every for problem in problems)
