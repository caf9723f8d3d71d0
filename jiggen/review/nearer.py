"""Posts that stand too far apart, or from a wall or a nosing, turned into where they stand, planned again before it is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from math import ceil

from jiggen.job.model import Run, Stair
from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Cure
from jiggen.review.openings import open_at_rest, opened
from jiggen.review.signs import sign
from jiggen.review.trial import Change, replanned
from jiggen.review.words import finely_down
from jiggen.review.written import cure, length_text, said

MOST_PARTS = 6  # of one span


def with_posts(
    plan: Plan,
    line: RunLine,
    free: float,
    words: str,
    holds: Callable[[Plan, RunLine], bool],
    pull: float | None = None,
) -> Cure | str:
    """``words`` as a cure: line posts put between the posts of ``line`` until no cable is free over more than ``free`` mm.

    ``holds``: whether the finding is gone. The words alone where no such posts can stand, or something new stops the run.
    """
    run = next(run for run in plan.job.runs if run.id == line.id)
    if plan.trial or free <= 0.0 or any(post in plan.job.as_built for post in run.posts):
        return words
    before = _stops(plan)
    for more in range(2):
        if not plan.tries.left():
            return words
        change = _split(plan, line, run, free, more, pull)
        if change is None:
            return words
        new, again = replanned(plan, line, change)
        if not _stops(new) <= before:
            continue
        if line.id in new.loads and holds(new, again):
            return cure(plan, line, words, change)
    return words


def to_the_wall(plan: Plan, line: RunLine, post: str, gap: float, by: float, words: str) -> Cure | None:
    """An end post of a level run ``by`` mm nearer to a wall, ``gap`` from it then; None where more than the gap changes."""
    run = next(run for run in plan.job.runs if run.id == line.id)
    shared = sum(post in other.posts for other in plan.job.runs) > 1
    if plan.trial or line.ground is not None or shared or post in plan.job.as_built or gap < 0.0:
        return None
    at, key = (0, "gap_at_start") if post == run.posts[0] else (-1, "gap_at_finish")
    lengths = list(run.lengths)
    lengths[at] = round(lengths[at] + by, 4)
    own = ((key, said(length_text(plan, gap))), (run.measured, said([length_text(plan, long) for long in lengths])))
    change = Change(run={key: gap, "lengths": tuple(lengths)}, own=own)
    return cure(plan, line, words, change) if _opens_nothing(plan, line, change) else None


def to_the_nosing(plan: Plan, line: RunLine, behind: float, words: str) -> Cure | None:
    """The first post of a stair ``behind`` mm from its nosing; None where that stops or opens something else."""
    run = next(run for run in plan.job.runs if run.id == line.id)
    if plan.trial or not isinstance(run.ground, Stair) or behind <= 0.0:
        return None
    ground = replace(run.ground, first_behind=behind)
    change = Change(run={"ground": ground}, own=(("stair.first_behind_nosing", said(length_text(plan, behind))),))
    return cure(plan, line, words, change) if _opens_nothing(plan, line, change) else None


def last_to_the_nosing(plan: Plan, line: RunLine, by: float, words: str) -> Cure | None:
    """The last post of a stair ``by`` mm, level, nearer to its nosing by a shorter last span; None where another run stands on
    that post, or where it stops or opens something else."""
    run = next(run for run in plan.job.runs if run.id == line.id)
    post = run.posts[-1]
    shared = sum(post in other.posts for other in plan.job.runs) > 1
    if plan.trial or shared or post in plan.job.as_built or not isinstance(run.ground, Stair):
        return None
    lengths = (
        *run.lengths[:-1],
        finely_down(plan, run.lengths[-1] - by / (line.cosine if run.measured == "slope" else 1.0)),
    )
    if lengths[-1] <= 100.0:
        return None
    own: list[tuple[str, str]] = [(run.measured, said([length_text(plan, long) for long in lengths]))]
    fields: dict[str, object] = {"lengths": lengths}
    if run.ground.last_behind is not None:
        behind = run.ground.last_behind - (run.lengths[-1] - lengths[-1]) * (
            line.cosine if run.measured == "slope" else 1.0
        )
        fields["ground"] = replace(run.ground, last_behind=behind)
        own.append(("stair.last_behind_nosing", said(length_text(plan, behind))))
    change = Change(run=fields, own=tuple(own))
    return cure(plan, line, words, change) if _opens_nothing(plan, line, change) else None


def _opens_nothing(plan: Plan, line: RunLine, change: Change) -> bool:
    """Whether nothing is stopped, and no opening passes a sphere, at rest or loaded, that did not before."""
    if not plan.tries.left():
        return False
    new, again = replanned(plan, line, change)
    if not _stops(new) <= _stops(plan) or line.id not in new.loads:
        return False
    at_rest = bool(open_at_rest(new, again)) <= bool(open_at_rest(plan, line))
    return at_rest and (bool(plan.job.rules.tension_table) or bool(opened(new, again)) <= bool(opened(plan, line)))


def _stops(plan: Plan) -> set[tuple[str, ...]]:
    """What stops a plan; a face by its post alone, as another post is its neighbour then."""
    every = (sign(plan, problem) for problem in plan.problems if problem.level == "stop")
    return {tuple(part.partition("/toward ")[0] for part in one) for one in every}


def _split(plan: Plan, line: RunLine, run: Run, free: float, more: int, pull: float | None) -> Change | None:
    """Every span that is too long in equal parts, ``more`` than it takes; None where none is or one takes too many."""
    wide = plan.job.kinds[plan.job.stands.line].along
    taken = {post.id for post in plan.posts}
    posts, lengths = [run.posts[0]], []
    for (a, b), (x, y), long in zip(pairwise(run.posts), pairwise(line.stations), run.lengths, strict=True):
        parts = max(ceil((y - x) / line.cosine / (free + wide / line.cosine) - 1e-6), 1)
        parts += more if parts > 1 else 0
        if parts > MOST_PARTS:
            return None
        names = _names(a, taken)
        posts += [next(names) for _ in range(parts - 1)] + [b]
        between = (parts - 1) * wide if run.measured == "clear" else 0.0
        lengths += [round((long - between) / parts, 4)] * parts
    if len(posts) == len(run.posts) or min(lengths) <= 100.0:
        return None
    own = (("posts", said(posts)), (run.measured, said([length_text(plan, long) for long in lengths])))
    return Change(pull=pull, run={"posts": tuple(posts), "lengths": tuple(lengths)}, own=own)


def _names(post: str, taken: set[str]) -> Iterator[str]:
    """Names for posts behind ``post`` that no post has, and remembers them: "2b", "2c", ..."""
    for letter in "bcdefghijklmnopqrstuvwxyz":
        name = f"{post}{letter}"
        if name not in taken and len(name) <= 20:
            taken.add(name)
            yield name
