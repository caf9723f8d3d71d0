"""A stop of a rigid fitting turned into a bore at the cable's angle, a stud through the post, or a plate for metal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from jiggen.handbook.fittings import generic_fittings
from jiggen.job.model import Fitting, Job
from jiggen.job.usual import FOR_METAL
from jiggen.plan.model import Plan
from jiggen.plan.rigid import ASKEW
from jiggen.plan.words import nominal
from jiggen.problems import Problem
from jiggen.review.again import Near, with_end
from jiggen.review.signs import faces_of
from jiggen.review.ways import Trial, end_key
from jiggen.review.words import stepped_up
from jiggen.review.written import Keys, length_text, piece_keys, said

WASHER = 2.0  # diameters of its bore that the washer behind a stud is wide: common practice, no source
MEASURE = " (measure the one you get)"


def rebored(plan: Plan, part: Near, problem: Problem) -> Iterator[Trial]:
    """What may be put in the place of a rigid fitting that its cables leave askew, or of a stud that nothing holds."""
    (name,) = faces_of(plan, problem)
    face = plan.face_by_id[name]
    run = next(one for one in part.job.runs if one.id == face.run)
    for end, post in (("start", run.posts[0]), ("finish", run.posts[-1])):
        old = part.job.fittings.get(getattr(run, end))
        if post != part.post or old is None:
            continue
        if ASKEW in problem.found:
            yield from _at_the_cable_s_angle(plan, part, old)
        else:
            yield from _through(plan, part, old, run.id, end)
            yield from _for_metal(plan, part, old, run.id, end)


def _at_the_cable_s_angle(plan: Plan, part: Near, old: Fitting) -> Iterator[Trial]:
    """A stud bored along its cable, wherever it is used."""
    keys = piece_keys(plan, "fitting", old.name, {"at_rake": True})
    if old.bore is not None and keys:
        words = (
            f"bore at the cable's angle: at_rake = true in [fitting.{said(old.name) if ' ' in old.name else old.name}]"
        )
        yield Trial(_with(part.job, replace(old, at_rake=True)), words=words, keys=keys)


def _with(job: Job, fitting: Fitting) -> Job:
    return replace(job, fittings={**job.fittings, fitting.name: fitting})


def _through(plan: Plan, part: Near, old: Fitting, run: str, end: str) -> Iterator[Trial]:
    """The stud as one that goes through the post, with a nut and washer behind it, under a name of its own."""
    table = plan.job.data.get("fitting", {}).get(old.name) or generic_fittings().get(old.name)
    name = f"{old.name} through the post"
    if old.bore is None or table is None or old.washer is not None:
        return
    wide = stepped_up(plan, WASHER * old.bore)
    made = replace(old, name=name, bore_depth=None, washer=wide)
    own = {key: value for key, value in table.items() if key != "bore_depth"}
    keys: Keys = {f'fitting."{name}"': said({**own, "washer": length_text(plan, wide)})}
    words = (
        f'use "{name}" at the {end} of run {run}, a stud with a nut and a washer of {nominal(plan.job, wide)} behind it'
    )
    job = with_end(_with(part.job, made), run, end, name)
    yield Trial(job, words=words + MEASURE, keys={**keys, **end_key(plan, run, end, name)})


def _for_metal(plan: Plan, part: Near, old: Fitting, run: str, end: str) -> Iterator[Trial]:
    """A generic plate for metal, then a swivel, with machine screws in the wall; none on a post of wood."""
    if plan.post_by_id[part.post].kind.material.kind != "metal":
        return
    for noun in ("plate", "swivel"):
        name = f"{'take-up' if old.travel > 0.0 else 'fixed'} {noun}{FOR_METAL}"
        if name in part.job.fittings:
            job = with_end(part.job, run, end, name)
            yield Trial(
                job, words=f'use "{name}" at the {end} of run {run}{MEASURE}', keys=end_key(plan, run, end, name)
            )
