"""A run laid out again with what a remedy names: whether the finding is then gone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from jiggen.handbook.strands import breaking_load
from jiggen.handbook.woods import material
from jiggen.job.led import TAKEN, together
from jiggen.job.model import Job, PostKind, Run, Spacers
from jiggen.mechanics.endpost import is_safe
from jiggen.plan.lines import lay_out
from jiggen.plan.loads import load, strung
from jiggen.plan.make import plan_again
from jiggen.plan.model import Plan, RunLine
from jiggen.review.openings import open_at_rest, opened, triangle
from jiggen.review.signs import Sign, sign
from jiggen.shapes.known import section

BAR_SIZE = {"in": (6.35, 25.4), "mm": (6.0, 25.0)}  # along and across, mm: of a bar that is named (our choice)
BAR_NAME = "a bar fixed at both ends"


What = Literal["openings", "triangle"]
_OTHER: dict[What, What] = {"openings": "triangle", "triangle": "openings"}


@dataclass(frozen=True, slots=True)
class Change:
    """What a remedy changes: keys of the run's ``guard``; the ``pull``, N; ``bars`` more in each free length;
    ``fix``: the run's bars fixed at top and bottom; ``run``: fields of the run itself, with ``own``, the same as its keys
    and what is written there."""

    guard: Mapping[str, Any] = field(default_factory=dict)
    pull: float | None = None
    bars: int = 0
    fix: bool = False
    run: Mapping[str, Any] = field(default_factory=dict)
    own: tuple[tuple[str, str], ...] = ()


def tried(plan: Plan, line: RunLine, change: Change) -> tuple[Plan, RunLine] | None:
    """The plan and the run with ``change``: runs and its loads alone are new; None where that does not fit together."""
    job = _near(plan, line, change)
    layout = lay_out(job)
    known = {problem.found for problem in plan.problems}
    found = next(run for run in layout.runs if run.id == line.id)
    if not found.drops or any(p.level == "stop" and p.found not in known for p in layout.problems):
        return None
    return _loaded(replace(plan, job=job, runs=layout.runs), found), found


def _loaded(plan: Plan, line: RunLine) -> Plan:
    """The plan with the loads of one run."""
    run = next(run for run in plan.job.runs if run.id == line.id)
    posts = [plan.post_by_id[post] for post in line.posts]
    held = strung(plan.job, run, line, {p.id: p.kind for p in posts}, {p.id: p.prism for p in posts})
    return replace(plan, loads={line.id: load(plan.job, line, held)})


def _near(plan: Plan, line: RunLine, change: Change) -> Job:
    """The runs that share a post with the run, and those of their cables; itself with ``change``; what that moves
    its cables by goes to the run which says where they lie."""
    job, kinds = plan.job, dict(plan.job.kinds)
    ids = together(job.runs, {run.id for run in job.runs if set(run.posts) & set(line.posts)})
    near = [run for run in job.runs if run.id in ids]
    runs = tuple(_changed(job, run, change, kinds) if run.id == line.id else run for run in near)
    if line.head != line.id:
        taken = {key: value for key, value in change.guard.items() if key in TAKEN}
        runs = tuple(replace(run, guard=replace(run.guard, **taken)) if run.id == line.head else run for run in runs)
    cable = replace(job.cable, tension=change.pull) if change.pull is not None else job.cable
    return replace(job, runs=runs, cable=cable, kinds=kinds)


def builds(plan: Plan, line: RunLine, change: Change) -> bool:
    """Whether no hole or piece at the run's posts is stopped with ``change`` that was not before; False where nothing more
    may be planned again."""
    if not plan.tries.left():
        return False
    return stopped(plan, line, change) <= {sign(plan, problem) for problem in plan.problems if problem.level == "stop"}


def stopped(plan: Plan, line: RunLine, change: Change) -> set[Sign]:
    """What stops the holes and pieces at the run's posts with ``change``.

    Where a run that is alike in all but its names and its place was planned so before and nothing stopped it, nothing does.
    """
    job = _near(plan, line, change)
    alike = but_for_names(plan, line, job)
    if alike is not None and alike in plan.tries.clean:
        return set()
    new = _planned(plan, job)
    found = {sign(new, problem) for problem in new.problems if problem.level == "stop"}
    if alike is not None and not found:
        plan.tries.clean.add(alike)
    return found


def but_for_names(plan: Plan, line: RunLine, job: Job) -> str | None:
    """All that decides the plan of a run by itself, its names and place left out; None of one that is not by itself."""
    (run, *others) = job.runs
    if others or set(run.posts) & {*job.as_built, *job.measured_spans}:
        return None
    kinds = tuple(plan.post_by_id[post].kind if post in plan.post_by_id else None for post in run.posts)
    bars = job.kinds[run.spacers.kind] if run.spacers else None
    high = run.at.z if run.at else None
    bare = replace(run, id="", posts=(), at=None, heading=line.heading, turn=None)
    return repr((bare, high, kinds, bars, job.cable))


def replanned(plan: Plan, line: RunLine, change: Change) -> tuple[Plan, RunLine]:
    """The runs that share a post with the run planned anew with ``change``, and the run."""
    new = _planned(plan, _near(plan, line, change))
    return new, next(run for run in new.runs if run.id == line.id)


def anew(plan: Plan, job: Job) -> Plan | None:
    """Some runs of the plan's job as ``job`` has them, planned; None where a hole or piece is stopped that was not before,
    or nothing more may be planned again."""
    if not plan.tries.left():
        return None
    new = _planned(plan, job)
    known = {sign(plan, problem) for problem in plan.problems if problem.level == "stop"}
    return new if {sign(new, problem) for problem in new.problems if problem.level == "stop"} <= known else None


def _planned(plan: Plan, job: Job) -> Plan:
    """Some runs planned, each with the heading and on the posts that it has in the whole job."""
    headings = {one.id: one.heading for one in plan.runs}
    runs = tuple(replace(run, heading=headings[run.id], turn=None) for run in job.runs)
    stands = replace(job.stands, only={p.id: p.kind.name for p in plan.posts if p.role != "spacer"})
    return plan_again(replace(job, runs=runs, stands=stands, notes=()), plan.tries)


def _changed(job: Job, run: Run, change: Change, kinds: dict[str, PostKind]) -> Run:
    guard = replace(run.guard, **change.guard)
    spacers = run.spacers
    if change.bars:
        if spacers is None:
            kinds[BAR_NAME] = _bar(job)
        each = spacers.each if spacers else 0
        spacers = Spacers(spacers.kind if spacers else BAR_NAME, each_with(each, change.bars))
    if change.fix and spacers:
        kinds[spacers.kind] = replace(kinds[spacers.kind], fixed=("top", "bottom"))
    return replace(run, **{"guard": guard, "spacers": spacers, **change.run})


def _bar(job: Job) -> PostKind:
    """The bar that a remedy names where the run has none."""
    size = section("rectangular", *BAR_SIZE[job.units])
    return PostKind(BAR_NAME, size, material("316 stainless"), fixed=("top", "bottom"))


def each_with(each: int, bars: int) -> int:
    """Bars in a span of ``each`` that has ``bars`` more put into each of its free lengths."""
    return (each + 1) * (bars + 1) - 1


def shut_at_rest(plan: Plan, line: RunLine, change: Change, what: What = "openings") -> RunLine | None:
    """The run with ``change`` where ``what`` is then shut at rest, else None.

    Of openings and the triangle at the steps the other one is shut too, unless it was not before.
    """
    new = tried(plan, line, change)
    if new is None or _open(*new, what, False) or _opens_others(plan, *new, False):
        return None
    return None if _open(*new, _OTHER[what], False) and not _open(plan, line, _OTHER[what], False) else new[1]


def shut(plan: Plan, line: RunLine, change: Change, what: What = "openings") -> RunLine | None:
    """The run with ``change`` where ``what`` is shut under load, and a changed pull is safe; else None.

    Of openings and the triangle the other one is shut too, unless it was not before. Where cables move, both are
    shut at rest.
    """
    new = tried(plan, line, change)
    if new is None or _open(*new, what, True) or _opens_others(plan, *new, True):
        return None
    if _open(*new, _OTHER[what], True) and not _open(plan, line, _OTHER[what], True):
        return None
    if change.guard and any(_open(*new, which, False) for which in _OTHER):
        return None
    return new[1] if safe(new[0], line.id) or change.pull is None else None


def _opens_others(plan: Plan, new: Plan, line: RunLine, loaded: bool) -> bool:
    """Whether another run that its cables are led on into has an opening with a change that it had not."""
    before = {one.id: one for one in plan.runs}
    others = (one for one in new.runs if one.head == line.head and one.id != line.id and one.drops)
    return any(
        _open(made, one, which, loaded) and not _open(plan, before[one.id], which, loaded)
        for made, one in ((_loaded(new, one), one) for one in others)
        for which in _OTHER
    )


def _open(plan: Plan, line: RunLine, what: What, loaded: bool) -> bool:
    if what == "openings":
        return bool(opened(plan, line) if loaded else open_at_rest(plan, line))
    step = triangle(plan, line)
    return step is not None and (step.opened if loaded else step.open_at_rest)


def safe(plan: Plan, run: str) -> bool:
    """True where the cables of ``run`` pull at most half of their breaking strength at their tightest, or none is listed."""
    strength = breaking_load(plan.job.cable.strand, plan.job.cable.diameter)
    return strength is None or is_safe(plan.loads[run].strung.tightest, strength)
