"""A Job turned into a Plan: the steps in their order."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from jiggen.job.model import Job
from jiggen.plan.alike import groups
from jiggen.plan.beside import over_the_edge, rail_problems
from jiggen.plan.built import built_problems, transition_problems, underside_problems
from jiggen.plan.checks import (
    datum_problems,
    edge_problems,
    fitting_problems,
    kind_problems,
    missed_problems,
    spool_problems,
    stair_problems,
    unique,
)
from jiggen.plan.clashes import Body, bodies, clash_problems, outline_problems, stagger_for
from jiggen.plan.exits import with_exits
from jiggen.plan.faces import AWAY, View, views
from jiggen.plan.filled import shifted
from jiggen.plan.lines import Stand, lay_out
from jiggen.plan.loads import Load, load, strung
from jiggen.plan.marks import marked_face, side_faces
from jiggen.plan.model import Plan, Post, RunLine
from jiggen.plan.named import named_by_run
from jiggen.plan.rigid import coming_out
from jiggen.plan.roomy import Laid, roomy
from jiggen.plan.samples import samples
from jiggen.plan.seats import low_problems, seat_problems
from jiggen.plan.strips import strip
from jiggen.plan.takeoff import take_off
from jiggen.plan.tries import Tries
from jiggen.plan.turns import turning_problems
from jiggen.problems import Problem

PAIRS = 16  # holes held against one another that take as long as a mark
FORMAT = 5  # goes into the fingerprint: raise it when the same job gives other marks


def make_plan(job: Job, buying: bool = True) -> Plan:
    """The finished plan of a job: frames as the world's (z up, first run along +x), mm. ``buying``: spools are looked for.

    Geometry that cannot be built comes back as problems of level ``stop``; nothing is raised for it.
    """
    laying = _Laying()
    asked, job = job, _staggered(job, laying)
    job, laid = roomy(job, laying)
    posts = laid.posts
    problems = [*job.notes, *shifted(asked, job), *laid.problems]
    by_id = {line.id: line for line in laid.layout.runs}
    for post in posts:
        problems.extend(clash_problems(job, post))
        problems.extend(outline_problems(job, post))
        problems.extend(rail_problems(job, post, by_id))
        problems.extend(over_the_edge(job, post, by_id))
    problems.extend(kind_problems(job, posts))
    problems.extend(seat_problems(job, laid.layout.runs, posts))
    problems.extend(low_problems(job, posts))
    problems.extend(stair_problems(job, laid.layout))
    problems.extend(turning_problems(job, laid.layout.runs, posts))
    problems.extend(datum_problems(job))
    problems.extend(underside_problems(job, laid.layout))
    problems.extend(transition_problems(job, laid.layout))
    shared = groups(job, posts)
    loads = _loads(job, laid)
    if job.as_built or job.measured_spans:
        plain = replace(job, as_built={}, measured_spans={})
        planned = laying(plain, None).posts
        problems.extend(built_problems(job, posts, planned, shared, groups(plain, planned)))
    cut = take_off(job, laid.layout.runs, laid.ends, posts, loads, buying)
    problems.extend(spool_problems(job, cut.cables))
    return Plan(
        job,
        fingerprint(job),
        laid.layout.runs,
        posts,
        shared,
        cut,
        unique(problems),
        samples(job, posts),
        loads,
        {face.id: face for post in posts for face in post.faces},
        {post.id: post for post in posts},
        laid=laying.marks,
    )


def plan_again(job: Job, tries: Tries) -> Plan:
    """The plan of a changed job without its spools, its marks taken off what ``tries`` still has; it and what is made of it
    share them."""
    plan = make_plan(job, buying=False)
    tries.marks -= plan.laid
    return replace(plan, tries=tries)


class _Laying:
    """Lays jobs out and counts their ``marks``; holes that are held against others count too, ``PAIRS`` pairs as a mark."""

    def __init__(self) -> None:
        self.marks = 0

    def __call__(self, job: Job, only: Collection[str] | None) -> Laid:
        found = _laid(job, only)
        self.marks += sum(len(face.marks) for post in found.posts for face in post.faces)
        return found

    def stagger(self, job: Job, fixed: Sequence[Body], moving: Sequence[Body]) -> float:
        self.marks += len(fixed) * len(moving) // PAIRS
        return stagger_for(job, fixed, moving)


def _laid(job: Job, only: Collection[str] | None) -> Laid:
    """Every post of the job (those that are in ``only``) in place with its faces marked."""
    layout = lay_out(job)
    lines = {line.id: line for line in layout.runs}
    problems: list[Problem] = list(layout.problems)
    posts: list[Post] = []
    ends: dict[str, list[View]] = {line.id: [] for line in layout.runs}
    for stand in layout.stands.values():
        if only is not None and stand.id not in only:
            continue
        seen = views(stand, lines)
        for view in seen:
            if not stand.between and view.index in (0, len(view.line.posts) - 1):
                ends[view.line.id].append(view)
        posts.append(_post(job, stand, seen, lines, problems))
    pairs = {run: _in_order(found) for run, found in ends.items() if len(found) > 1}
    return Laid(layout, tuple(posts), pairs, tuple(problems))


def _loads(job: Job, laid: Laid) -> dict[str, Load]:
    """How every run with cables stands up to its side force."""
    kinds = {post.id: post.kind for post in laid.posts}
    prisms = {post.id: post.prism for post in laid.posts}
    return {
        line.id: load(job, line, strung(job, run, line, kinds, prisms))
        for run, line in zip(job.runs, laid.layout.runs, strict=True)
        if line.drops
    }


def _in_order(found: list[View]) -> tuple[View, View]:
    """The view at a run's first post, then the one at its last."""
    first, last = sorted(found, key=lambda view: view.index)[:2]
    return first, last


def _staggered(job: Job, laying: _Laying) -> Job:
    """The job with every ``stagger = "auto"`` worked out: the least shift down that clears a shared post.

    Over half a spacing it is left out: the clash then stays and is told.
    """
    for index, run in enumerate(job.runs):
        if run.guard.stagger != "auto" or run.led_on:
            continue
        job = _with_stagger(job, index, 0.0)
        earlier = {other.id for other in job.runs[:index]}
        shift = 0.0
        for post in laying(job, None).posts:
            every = bodies(post)
            fixed = [body for body in every if body.mark.run in earlier]
            moving = [b for b in every if b.mark.run == run.id and b.mark.purpose in ("cable", "screw")]
            if fixed and moving:
                shift = max(shift, laying.stagger(job, fixed, moving))
        most = lay_out(job).runs[index].spacing / 2.0
        job = _with_stagger(job, index, shift if shift <= most else 0.0)
    return job


def _with_stagger(job: Job, index: int, shift: float) -> Job:
    runs = list(job.runs)
    runs[index] = replace(runs[index], guard=replace(runs[index].guard, stagger=shift))
    return replace(job, runs=tuple(runs))


def _post(
    job: Job, stand: Stand, seen: tuple[View, ...], lines: Mapping[str, RunLine], problems: list[Problem]
) -> Post:
    """The post with its marked faces; what cannot be drilled is added to ``problems``."""
    faces = []
    for view in seen:
        far = _far(view, seen)
        face = marked_face(job, stand, view, far)
        problems.extend(fitting_problems(job, stand, view))
        problems.extend(missed_problems(stand, view))
        faces.append(face)
    faces = with_exits(job, stand, seen, faces)
    over = {view.line.id for view in seen if view.line.guard.rail.sits == "over"}
    marked = len(faces)
    for run_id in stand.runs:
        names = {face.name for face in faces}
        faces.extend(f for f in side_faces(job, stand, lines[run_id], faces) if f.name not in names)
    every, order = strip(stand, seen[0].line, faces, job.sheet.kind == "wrap" and not stand.between)
    every = named_by_run(every, order, lines)
    for face in every[:marked]:
        out = coming_out(job, face) if not face.name.startswith(AWAY) else None
        problems.extend([out] if out else [])
        problems.extend(edge_problems(job, face, len(stand.runs) > 1, face.run in over))
    return Post(stand.id, stand.kind, stand.role, stand.prism, stand.heading, tuple(every), order)


def _far(view: View, seen: Sequence[View]) -> View | None:
    """The view at the cables' other side: of the same run, or of that which they are led on into."""
    others = [one for one in seen if one is not view]
    same = next((one for one in others if one.line is view.line), None)
    return same or (None if view.fitting else next((one for one in others if not one.fitting), None))


def fingerprint(job: Job) -> str:
    """Eight letters and digits that tell one job's data from another's, the same on any machine."""
    text = json.dumps({"format": FORMAT, "job": job.data}, sort_keys=True, default=str)
    digest = hashlib.sha256(text.encode()).hexdigest().upper()
    return f"{digest[:4]}-{digest[4:8]}"
