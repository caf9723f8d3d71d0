"""A job with a change turned into its stops, beside those that it had: whether a stop is gone and none has come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from jiggen.job.led import together
from jiggen.job.model import Job, PostKind, Run, Stands
from jiggen.plan.make import plan_again
from jiggen.plan.model import Plan
from jiggen.plan.tries import Tries
from jiggen.problems import Problem
from jiggen.review.judged import judged
from jiggen.review.signs import Sign, faces_of, sign


@dataclass(frozen=True)
class Near:
    """The part of a job that a post's remedies touch: the runs at the post.

    With them those that their cables are led on into. ``job``: every post of it has the kind, every run the heading that
    it has in the whole job. ``stops``: what stops it as it is; ``known``: what stops it with a change that was tried.
    ``tries``: what may still be planned again.
    """

    post: str
    job: Job
    stops: frozenset[Sign]
    tries: Tries = field(compare=False)
    known: list[tuple[Job, frozenset[Sign]]] = field(default_factory=list, compare=False)


def near(plan: Plan, post: str) -> Near:
    """What is planned again for a remedy at ``post``."""
    job = as_written(plan)
    met = together(job.runs, {run.id for run in job.runs if post in run.posts})
    runs = tuple(
        replace(run, heading=line.heading, turn=None)
        for run, line in zip(job.runs, plan.runs, strict=True)
        if run.id in met
    )
    stands = replace(job.stands, only={p.id: p.kind.name for p in plan.posts if p.role != "spacer"})
    part = replace(job, runs=runs, stands=stands, notes=())
    return Near(post, part, stops(part, plan.tries), plan.tries)


def as_written(plan: Plan) -> Job:
    """The plan's job with a stagger that the file leaves to the plan open again."""
    data = plan.job.data
    tables: Any = data.get("run", [])
    tables = [tables] if isinstance(tables, Mapping) else tables
    usual = data.get("guard", {}).get("stagger")
    runs = [
        replace(run, guard=replace(run.guard, stagger="auto")) if table.get("stagger", usual) == "auto" else run
        for run, table in zip(plan.job.runs, tables, strict=True)
    ]
    return replace(plan.job, runs=tuple(runs))


def stops(job: Job, tries: Tries, among: frozenset[Sign] | None = None) -> frozenset[Sign]:
    """What stops a job, each by what does not change with its figures; where the plan alone has one that is not
    ``among`` those, its own only."""
    plan = replace(plan_again(job, tries), trial=True)
    own = frozenset(sign(plan, problem) for problem in plan.problems if problem.level == "stop")
    if among is not None and not own <= among:
        return own
    return own | {sign(plan, problem) for problem in judged(plan) if problem.level == "stop"}


def clears(part: Near, wanted: frozenset[Sign], changed: Job) -> bool:
    """Whether the part of the job has none of the stops ``wanted`` when changed, and no other than it had.

    False where nothing more may be planned again.
    """
    known = next((after for job, after in part.known if job is changed), None)
    if known is None:
        if not part.tries.left():
            return False
        known = stops(changed, part.tries, part.stops)
        part.known.append((changed, known))
    return not known & wanted and known <= part.stops


def on_kind(job: Job, post: str, kind: PostKind) -> Job:
    """The job with one post on a kind of its own."""
    stands: Stands = replace(job.stands, only={**job.stands.only, post: kind.name})
    return replace(job, kinds={**job.kinds, kind.name: kind}, stands=stands)


def with_run(job: Job, run: str, change: Mapping[str, Any]) -> Job:
    """The job with keys of one run's guard changed."""

    def new(one: Run) -> Run:
        return replace(one, guard=replace(one.guard, **change)) if one.id == run else one

    return replace(job, runs=tuple(new(one) for one in job.runs))


def with_end(job: Job, run: str, end: str, fitting: str) -> Job:
    """The job with another fitting at one ``end`` ("start", "finish") of a run."""

    def new(one: Run) -> Run:
        return replace(one, start=fitting) if end == "start" else replace(one, finish=fitting)

    return replace(job, runs=tuple(new(one) if one.id == run else one for one in job.runs))


def posts_of(plan: Plan, problem: Problem) -> Sequence[str]:
    """The post that a problem is told of, as a list of one; empty where there is none or more than one."""
    found = {plan.face_by_id[face].post for face in faces_of(plan, problem)}
    return tuple(found) if len(found) == 1 else ()
