"""A stop of a piece at a post turned into another piece, another length of its screws, or its first cable lower."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from jiggen.handbook.screw_lengths import Sold, at_least, at_most, sold_lengths
from jiggen.handbook.screws import Screw, parse_screw
from jiggen.job.model import Bracket, Fitting, Job
from jiggen.job.usual import FOR_METAL
from jiggen.plan.checks import LEAST_EDGE
from jiggen.plan.clashes import bodies, shortened, web_of
from jiggen.plan.holes import hollow_wall
from jiggen.plan.model import Mark, Plan
from jiggen.plan.rigid import ASKEW, UNHELD
from jiggen.plan.words import length
from jiggen.problems import Problem
from jiggen.review.again import Near, with_end, with_run
from jiggen.review.rebored import rebored
from jiggen.review.signs import faces_of
from jiggen.review.trial import Change
from jiggen.review.ways import Trial, end_key
from jiggen.review.words import stepped_up
from jiggen.review.written import cure, piece_keys

ROOM = 6.0  # mm that a screw which came out of a post ends before its far side; our choice
LENGTHS = 3  # of shorter screws that are tried
OTHERS = ("stud", "plate", "swivel")  # kinds of generic end fittings, that of the fewest holes first
SHORTEST = 0.5  # of a screw that it may lose: common practice, no source


def marks_named(plan: Plan, problem: Problem) -> list[str]:
    """The ids of the one or two marks that a problem is told of; [] where it is told of none."""
    faces = faces_of(plan, problem)
    where = problem.where
    for mark in plan.face_by_id[faces[0]].marks if faces else ():
        if where == mark.id:
            return [mark.id]
        if where.startswith(f"{mark.id} and "):
            return [mark.id, where.removeprefix(f"{mark.id} and ")]
    return []


def mark_named(plan: Plan, name: str) -> Mark:
    """The mark with that id."""
    face = plan.face_by_id[name.rpartition("/")[0]]
    return next(mark for mark in face.marks if mark.id == name)


def in_place(plan: Plan, part: Near, problem: Problem) -> Iterator[Trial]:
    """What else may be put in the place of what is stopped, each to be planned again."""
    marks = [mark_named(plan, name) for name in marks_named(plan, problem)]
    if " is held by " in problem.found:
        yield from _for_metal(plan, part, problem)
    elif ASKEW in problem.found or UNHELD in problem.found:
        yield from rebored(plan, part, problem)
    elif len(marks) == 2:
        yield from _shorter(plan, part, marks)
    elif not marks:
        return
    elif "the far wall is" in problem.found or "into a post of" in problem.found:
        yield from _ends_inside(plan, part, marks[0])
    elif "too short for flange" in problem.found:
        yield from _long_enough(plan, part, marks[0])
    elif "from the post's top" in problem.found:
        yield from _lower(plan, part, marks[0])


def _for_metal(plan: Plan, part: Near, problem: Problem) -> Iterator[Trial]:
    """The twin for metal of a piece that is held by wood screws."""
    name = problem.found.partition(" is held by ")[0]
    twin, job, keys = name + FOR_METAL, part.job, dict[str, str]()
    if twin in job.fittings:
        for run in job.runs:
            ends = {"start": run.posts[0], "finish": run.posts[-1]}
            for end in (end for end, post in ends.items() if post == part.post and getattr(run, end) == name):
                job = with_end(job, run.id, end, twin)
                keys |= end_key(plan, run.id, end, twin)
    elif twin in job.brackets:
        for line in (line for line in plan.runs if part.post in line.posts):
            held = {key: twin for key in ("bracket", "bottom_bracket") if getattr(line.guard, key) == name}
            job = with_run(job, line.id, held)
            for key in held:
                keys |= end_key(plan, line.id, key, twin)
    if keys:
        yield Trial(job, words=f'use "{twin}"', keys=keys)


def other_fittings(plan: Plan, part: Near, problem: Problem) -> Iterator[Trial]:
    """Generic end fittings of another kind at the post in the place of those whose holes stop it, a trial each kind."""
    runs = {mark_named(plan, name).run for name in marks_named(plan, problem)}
    metal = FOR_METAL if plan.post_by_id[part.post].kind.material.kind == "metal" else ""
    for noun in OTHERS:
        job, words, keys = part.job, list[str](), dict[str, str]()
        for run in (run for run in part.job.runs if run.id in runs):
            for end, post in (("start", run.posts[0]), ("finish", run.posts[-1])):
                old = job.fittings.get(getattr(run, end))
                new = f"{'take-up' if old and old.travel > 0.0 else 'fixed'} {noun}{metal}"
                if post != part.post or old is None or old.name == new or new not in job.fittings:
                    continue
                job = with_end(job, run.id, end, new)
                keys |= end_key(plan, run.id, end, new)
                words.append(f'"{new}" at the {end} of run {run.id}')
        if words:
            yield Trial(job, words=f"use {' and '.join(words)} (measure the one you get)", keys=keys)


def _pieces(job: Job, mark: Mark) -> tuple[str, str, Fitting | Bracket] | None:
    """What the screw of a mark holds: "fitting" or "bracket", its name and itself."""
    name = mark.what.rpartition(", ")[0]
    if name in job.fittings and mark.purpose == "screw":
        return "fitting", name, job.fittings[name]
    if name in job.brackets and mark.purpose == "bracket":
        return "bracket", name, job.brackets[name]
    return None


def screw_text(screw: Screw, sold: Sold) -> str:
    """A screw of the same size in a length that is sold, as a job writes it."""
    size = f"lag {screw.size}" if screw.kind == "lag" else f"bolt {screw.size}" if screw.bolt else screw.size
    return f"{size} x {sold.text}"


def _with_screws(plan: Plan, part: Near, marks: Sequence[Mark], long: Callable[[Screw], Sold | None]) -> Trial | None:
    """The pieces of the marks with screws of another length, None where one has no such screws."""
    job, words, keys = part.job, list[str](), dict[str, str]()
    for what, name, piece in dict.fromkeys(filter(None, (_pieces(job, mark) for mark in marks))):
        new = long(piece.screw) if piece.screw else None
        if piece.screw is None or new is None or new.mm <= piece.flange:
            return None
        text = screw_text(piece.screw, new)
        made = replace(piece, screw=parse_screw(text))
        if isinstance(made, Fitting):
            job = replace(job, fittings={**job.fittings, name: made})
        else:
            job = replace(job, brackets={**job.brackets, name: made})
        words.append(f"{'bolts' if piece.screw.bolt else 'screws'} {new.told} long in {name}")
        keys |= piece_keys(plan, what, name, {"screw": text})
    return Trial(job, words="use " + " and ".join(words), keys=keys) if words else None


def _shorter(plan: Plan, part: Near, marks: Sequence[Mark]) -> Iterator[Trial]:
    """Shorter screws, as they are sold, in the pieces that the marks belong to: the longest that clear, and two less."""
    moved = [mark for mark in marks if mark.purpose in ("screw", "bracket")]
    held = [one[2].screw for one in (_pieces(part.job, mark) for mark in moved) if one]
    if not moved or len(held) < len(moved) or any(screw is None or screw.bolt for screw in held):
        return
    every = bodies(plan.post_by_id[marks[0].post])
    one, other = ([body for body in every if body.mark.id == mark.id] for mark in marks)

    def web(by: float) -> float:
        cut = [[shortened(b.capsule, by) if b.mark in moved else b.capsule for b in found] for found in (one, other)]
        return min(web_of(a, b) for a in cut[0] for b in cut[1])

    most, found = SHORTEST * min(mark.reach for mark in moved), 0
    for by in sorted({s.length - one.mm for s in held if s for one in sold_lengths(s, part.job.units)}):
        if not 0.1 < by <= most or web(by) < part.job.min_web:
            continue
        trial = _with_screws(plan, part, moved, _less(part.job, by))
        if trial and found < LENGTHS:
            found += 1
            yield trial


def _less(job: Job, by: float) -> Callable[[Screw], Sold | None]:
    """The longest screw that is sold and shorter by ``by`` mm at least."""
    return lambda screw: at_most(screw, job.units, screw.length - by)


def _ends_inside(plan: Plan, part: Near, mark: Mark) -> Iterator[Trial]:
    """A screw that ends before the far side of the post, or before the far wall of a hollow one."""
    post = plan.post_by_id[mark.post]
    deep = post.prism.depth(plan.face_by_id[mark.id.rpartition("/")[0]].frame.normal) - hollow_wall(post.kind)
    trial = _with_screws(plan, part, [mark], _less(part.job, mark.reach - deep + ROOM))
    if trial:
        yield trial


def _long_enough(plan: Plan, part: Near, mark: Mark) -> Iterator[Trial]:
    """A bolt that comes out far enough for its nut."""
    held = _pieces(part.job, mark)
    if held is None or held[2].screw is None:
        return
    piece, screw = held[2], held[2].screw
    least = piece.flange + mark.depth + screw.shank + 2.0 * (screw.pitch or 0.0)
    trial = _with_screws(plan, part, [mark], lambda bolt: at_least(bolt, part.job.units, least))
    if trial:
        yield trial


def _lower(plan: Plan, part: Near, mark: Mark) -> Iterator[Trial]:
    """The first cable further down from a post's top that is too near."""
    line = next(one for one in plan.runs if one.id == mark.run)
    edge = 4.0 * mark.body if mark.purpose == "screw" else plan.job.min_edge or LEAST_EDGE
    moved = line.guard.stagger if isinstance(line.guard.stagger, float) else 0.0
    first = stepped_up(plan, (line.drops[0] - moved + edge - mark.drop) * line.cosine)
    words = f"bring the first cable down to {length(plan.job, first)} under the rail"
    made = cure(plan, line, words, Change({"first": first}))
    yield Trial(with_run(part.job, line.head, {"first": first}), words=words, keys=dict(made.keys))
