"""A run whose spacing is left open spaced wider, where equal openings leave its end fittings no room on their posts."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import islice
from math import floor

from jiggen.job.led import together
from jiggen.job.model import Job
from jiggen.plan.beside import rail_problems
from jiggen.plan.clashes import clash_problems, outline_problems
from jiggen.plan.faces import View
from jiggen.plan.filling import Known, most_of_cables, smallest_sphere
from jiggen.plan.lines import Layout
from jiggen.plan.loads import in_plane, load
from jiggen.plan.model import Post
from jiggen.plan.spacing import EPSILON
from jiggen.problems import Problem

MARKS = 6000  # marks that are laid out again for a spacing with room, all trials together, ...
LEAST_TRIALS = 6  # ... but so many spacings are tried however many marks there are


@dataclass(frozen=True)
class Laid:
    """Posts with their marked faces, and what was found on the way. ``ends``: the two end views of each run."""

    layout: Layout
    posts: tuple[Post, ...]
    ends: Mapping[str, tuple[View, View]]
    problems: tuple[Problem, ...]


def roomy(job: Job, lay: Callable[[Job, Collection[str] | None], Laid]) -> tuple[Job, Laid]:
    """The job and its layout by ``lay`` (of some posts or, None, of all), each open spacing the largest that stays shut and has room for the fittings.

    Equal openings by the fewest cables are kept wherever they have room; else the spacings above theirs are tried from
    the largest down, the remainder left under the last cable. Where none has room the equal ones stay and are told.
    """
    laid = lay(job, None)
    for index, run in enumerate(job.runs):
        left_open = run.guard.spacing is None and run.guard.count is None and not run.led_on
        if not left_open or not laid.layout.runs[index].drops:
            continue
        own = together(job.runs, (run.id,)) if job.leads_on else {run.id}
        if not _crowded(job, laid, own):
            continue
        marks = sum(len(face.marks) for post in laid.posts for face in post.faces) or 1
        for spacing in islice(_wider(job, laid, index), max(MARKS // marks, LEAST_TRIALS)):
            guard = replace(run.guard, opened=spacing)
            trial = replace(job, runs=(*job.runs[:index], replace(run, guard=guard), *job.runs[index + 1 :]))
            ends = [post for one in trial.runs if one.id in own for post in (one.posts[0], one.posts[-1])]
            if not _fits(trial, lay(trial, ends), laid, own):
                continue  # what is wrong at the ends alone is wrong with the whole
            found = lay(trial, None)
            if _stays_shut(trial, found, index) and _fits(trial, found, laid, own):
                job, laid = trial, found
                break
    return job, laid


def _fits(job: Job, found: Laid, laid: Laid, runs: Collection[str]) -> bool:
    """Whether the fittings of the runs have room on the posts of ``found``, and nothing stops there that did not before."""
    return _over_the_floor(found, runs) and not _stops(found) - _stops(laid) and not _crowded(job, found, runs)


def _stops(laid: Laid) -> set[str]:
    return {problem.where for problem in laid.problems if problem.level == "stop"}


def _crowded(job: Job, laid: Laid, runs: Collection[str]) -> bool:
    """Whether holes or outlines on the end posts' faces of the runs, which have their cables in common, are in one another's
    way."""
    lines = {line.id: line for line in laid.layout.runs}
    ends = {post for line in laid.layout.runs if line.id in runs for post in (line.posts[0], line.posts[-1])}
    for post in laid.posts:
        if post.id not in ends:
            continue
        own = [face.id for face in post.faces if face.run in runs]
        lapping = (problem for problem in outline_problems(job, post) if problem.level == "stop")
        found = (*lapping, *clash_problems(job, post), *rail_problems(job, post, lines))
        for problem in found:
            if any(face in problem.where for face in own):
                return True
    return False


def _over_the_floor(laid: Laid, runs: Collection[str]) -> bool:
    """Whether the end fittings of the runs stay over the walking surface at their faces."""
    faces = [face for post in laid.posts for face in post.faces if face.run in runs and face.fittings]
    return all(
        o.v - o.up / 2.0 > face.tread[0] - EPSILON for face in faces for o in face.outlines if o.purpose == "fitting"
    )


def _wider(job: Job, laid: Laid, index: int) -> Iterator[float]:
    """Spacings above the equal one that pass under load between two cables, the largest first, in steps of the readings."""
    line = laid.layout.runs[index]
    limit = smallest_sphere(job, line)
    most, _, _ = most_of_cables(_known(job, laid), job.runs[index], line, limit)
    most = min(most, limit + line.cable - EPSILON)
    least = max(line.spacing, job.cable.diameter)
    for steps in range(floor(most / job.round_to + 1e-9), floor(least / job.round_to), -1):
        yield round(steps * job.round_to, 6)


def _known(job: Job, laid: Laid) -> Known:
    posts = laid.posts
    return Known(job, laid.layout.runs, {p.id: p.kind for p in posts}, {p.id: p.prism for p in posts})


def _stays_shut(job: Job, laid: Laid, index: int) -> bool:
    """Whether no opening of the run, nor of those that its cables are led on into, passes its sphere at rest, nor under the
    side force where no table decides."""
    known = _known(job, laid)
    for run, line in zip(job.runs, laid.layout.runs, strict=True):
        if line.head != job.runs[index].id:
            continue
        found = load(job, line, known.held(run, line))
        sizes = line.openings if job.rules.tension_table else found.worst
        if any(size >= sphere - EPSILON for size, sphere in zip(sizes, in_plane(job, line), strict=True)):
            return False
    return True
