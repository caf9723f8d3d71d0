"""A post's stops turned into one remedy for all of its faces: a turn, swivels, a width, planned again together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import floor

from jiggen.job.model import Job
from jiggen.plan.model import Plan, Post
from jiggen.plan.words import length
from jiggen.problems import Cure, Problem
from jiggen.review.again import Near, posts_of, stops
from jiggen.review.signs import Sign, sign
from jiggen.shapes.known import section

STEP = {"mm": 5.0, "in": 6.35}  # of a wider post, mm: 1/4 in; common practice, no source
WIDTHS = 8  # steps that are tried


@dataclass(frozen=True)
class Trial:
    """A cure and the part of the job as it is with it."""

    cure: Cure
    job: Job


def targets(plan: Plan, part: Near) -> frozenset[Sign]:
    """The stops at the post that a turn or a wider post may cure, of all its faces."""
    own = [p for p in plan.problems if p.level == "stop" and posts_of(plan, p) == (part.post,)]
    return frozenset(sign(plan, problem) for problem in own if _turnable(plan, problem)) & part.stops


def _turnable(plan: Plan, problem: Problem) -> bool:
    if "swivels up and down only" in problem.found or " edge" in problem.found:
        return True
    name = sign(plan, problem)
    return name[-1] == "clash" and len(set(name[:-1])) > 1


def clears(part: Near, wanted: frozenset[Sign], changed: Job) -> bool:
    """Whether the part of the job has none of the stops ``wanted`` when changed, and no other than it had."""
    known = next((after for job, after in part.known if job is changed), None)
    if known is None:
        known = stops(changed, part.stops)
        part.known.append((changed, known))
    return not known & wanted and known <= part.stops


def best(plan: Plan, part: Near, post: Post, turns: Sequence[Trial], wanted: frozenset[Sign]) -> list[Trial]:
    """What clears every stop ``wanted`` of a post: a turn; else swivels, by themselves or with a turn; else the least
    width with as little more as it takes. Empty where nothing does."""
    if not wanted:
        return []
    turn = next((trial for trial in turns if clears(part, wanted, trial.job)), None)
    if turn:
        return [turn]
    still = Trial(Cure("", ()), part.job)
    swivel = [_swivelled(part, trial) for trial in (still, *turns[:4])]
    ways = [trial for trial in swivel if trial]
    found = next((trial for trial in ways if clears(part, wanted, trial.job)), None)
    if found:
        return [found]
    for size in _widths(plan, post):
        for trial in (still, *turns[:1], *ways[:2]):
            made = _wider(plan, part, trial, size)
            if clears(part, wanted, made.job):
                return [made]
    return []


def _joined(trial: Trial, words: str, job: Job) -> Trial:
    """A trial with more, in words alone."""
    return Trial(Cure(f"{trial.cure.words}, and {words}" if trial.cure.words else words, ()), job)


def _swivelled(part: Near, trial: Trial) -> Trial | None:
    """The trial with fittings that swivel any way at the post; None where they do already."""
    job, words = trial.job, []
    runs = []
    for run in job.runs:
        for end, at in (("start", run.posts[0]), ("finish", run.posts[-1])):
            old = job.fittings[getattr(run, end)]
            if at != part.post or old.pivot is None or old.swivels == "any":
                continue
            other = old.name.replace("plate", "swivel")
            new = job.fittings[other] if other != old.name and other in job.fittings else replace(old, swivels="any")
            if new.swivels != "any":
                return None
            if new.name == old.name:
                new = replace(new, name=f"{old.name} that swivels any way")
            job = replace(job, fittings={**job.fittings, new.name: new})
            run = replace(run, start=new.name) if end == "start" else replace(run, finish=new.name)
            named = f'"{new.name}"' if new.name == other else "a fitting that swivels any way"
            words.append(f"{named} at the {end} of run {run.id}")
        runs.append(run)
    return _joined(trial, f"use {' and '.join(words)}", replace(job, runs=tuple(runs))) if words else None


def _widths(plan: Plan, post: Post) -> Iterator[float]:
    """Wider squares worth a trial, mm."""
    if post.kind.shape != "square" or post.kind.core is not None:
        return
    step = STEP[plan.job.units]
    first = floor(post.kind.along / step + 1e-6) + 1
    yield from (n * step for n in range(first, first + WIDTHS))


def _wider(plan: Plan, part: Near, trial: Trial, size: float) -> Trial:
    """The trial with the post alone ``size`` mm wide."""
    job = trial.job
    kind = job.kinds[job.stands.only[part.post]]
    wide = replace(kind, name=f"{kind.name}, wider", section=section(kind.shape, size))
    stands = replace(job.stands, only={**job.stands.only, part.post: wide.name})
    new = replace(job, kinds={**job.kinds, wide.name: wide}, stands=stands)
    return _joined(trial, f"make post {part.post} {length(plan.job, size)} wide", new)
