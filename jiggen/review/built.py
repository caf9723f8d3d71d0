"""Openings under a rail that was built off the plan turned into problems, with how far it has to come down."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from jiggen.job.model import Stair
from jiggen.job.wording import joined
from jiggen.plan.make import plan_again
from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Cure, Problem
from jiggen.review.signs import Sign, sign
from jiggen.review.words import EPSILON, both, well_over
from jiggen.review.written import length_text, said


def as_built(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """The opening under the rail at every post, where the site opens it.

    Not at a post whose own underside was not taped where it is open as planned too: that is told of the run, whose
    spacing it is, and lowering a rail there would cure nothing.
    """
    if not line.lifts:
        return
    stair = isinstance(line.ground, Stair)
    sphere, clause = plan.job.rules.sphere_at(line.height - line.rail_drop, stair)
    planned_open = line.openings[0] > sphere - EPSILON
    for post in line.posts:
        taped = plan.job.as_built.get(post)
        if planned_open and (taped is None or taped.under(line.id) is None):
            continue
        for face in plan.post_by_id[post].faces:
            first = next((m for m in face.marks if m.purpose == "cable" and m.cable == 1 and m.run == line.id), None)
            if first is None or face.fittings:
                continue
            opening = first.drop * line.cosine - line.cable / 2.0
            lower = (opening - sphere + EPSILON) / line.cosine
            if lower > 0.0:
                by = well_over(plan, lower)
                words = f"lower the rail there by {both(plan, by)}"
                lowered = _lowered(plan, line, post, by, words)
                yield Problem(
                    "stop",
                    f"{face.id}/1",
                    f"as built {both(plan, opening)} are open under the rail, a sphere of {both(plan, sphere)} passes",
                    f"{words}, or add a cable under it",
                    clause,
                    (lowered,) if lowered else (),
                )
                break


def _lowered(plan: Plan, line: RunLine, post: str, by: float, words: str) -> Cure | None:
    """The rail of a run ``by`` mm lower at one post, as what the tape says then; None where that stops or opens something else, or nothing
    more may be planned again."""
    taped = plan.job.as_built.get(post)
    under = taped.under(line.id) if taped else None
    if plan.trial or taped is None or under is None:
        return None
    path = joined(joined("as_built", post), "underside")
    if line.id in taped.undersides:
        path = joined(path, line.id)
        new = replace(taped, undersides={**taped.undersides, line.id: under - by})
    else:
        new = replace(taped, underside=under - by)
    if not plan.tries.left():
        return None
    job = replace(plan.job, as_built={**plan.job.as_built, post: new}, notes=())
    again = replace(plan_again(job, plan.tries), trial=True)
    if len(_stops(again)) >= len(_stops(plan)) or not _stops(again) <= _stops(plan):
        return None
    return Cure(words, ((path, said(length_text(plan, under - by))),))


def _stops(plan: Plan) -> set[Sign]:
    """What stops a plan, openings as built among it, each by what does not change with its figures."""
    own = replace(plan, trial=True)
    every = (*plan.problems, *(problem for line in plan.runs for problem in as_built(own, line)))
    return {sign(plan, problem) for problem in every if problem.level == "stop"}
