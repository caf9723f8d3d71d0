"""A rail that was built off the plan turned into problems: what it opens, where it is too low, and how far it has to move."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from jiggen.job.model import Stair
from jiggen.job.wording import joined
from jiggen.plan.built import ONE_READING
from jiggen.plan.make import plan_again
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.words import apart
from jiggen.problems import Cure, Problem
from jiggen.review.openings import least_heights, lifted, open_at_rest, triangle
from jiggen.review.signs import Sign, sign
from jiggen.review.words import EPSILON, both, well_over
from jiggen.review.written import length_text, said


def as_built(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """What the site opens or brings too low: under the rail at every post, under the cables at both ends, and the guard's
    height."""
    if line.lifts:
        yield from _under_the_rail(plan, line)
        yield from _under_the_cables(plan, line)
        yield from _low(plan, line)


def _under_the_rail(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """The opening under the rail at every post.

    Not at a post whose own underside was not taped where it is open as planned too: that is told of the run, whose
    spacing it is, and lowering a rail there would cure nothing.
    """
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
                words, cures = _moved(plan, line, post, -well_over(plan, lower))
                yield Problem(
                    "stop",
                    f"{face.id}/1",
                    f"as built {both(plan, opening)} are open under the rail, a sphere of {both(plan, sphere)} passes",
                    f"{words}, or add a cable under it",
                    clause,
                    cures,
                )
                break


def _under_the_cables(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """What is open under the lowest cable where an end post's rail, and with it every cable, was built too high; not what
    is open as planned too, which is told of the run."""
    assert line.ends is not None
    last, before = len(line.openings), {opening.number for opening in open_at_rest(plan, line)}
    step = triangle(plan, line)
    for post, lift in ((line.posts[0], line.ends[0].lift), (line.posts[-1], line.ends[1].lift)):
        if lift <= 0.0:
            continue
        here = lifted(line, lift)
        for opening in open_at_rest(plan, here):
            if opening.number in before or opening.number not in (0, last):
                continue
            over = " over the bottom rail" if line.closes == "bottom rail" else ""
            words, cures = _moved(
                plan, line, post, -well_over(plan, (opening.upright - opening.limit + EPSILON) / line.cosine)
            )
            yield Problem(
                "stop",
                f"post {post}, run {line.id}",
                f"as built {both(plan, opening.rest)} are open under the lowest cable{over}, a sphere of "
                f"{both(plan, opening.sphere)} passes",
                f"{words}, or close the gap there",
                opening.clause,
                cures,
            )
        now = triangle(plan, here)
        if step is not None and now is not None and now.open_at_rest and not step.open_at_rest:
            words, cures = _moved(plan, line, post, -well_over(plan, lift))
            yield Problem(
                "stop",
                f"post {post}, run {line.id}",
                f"as built a sphere of {both(plan, now.rest)} passes the triangle of tread, riser and lowest cable, "
                f"{both(plan, now.sphere)} is the limit",
                words,
                now.clause,
                cures,
            )


def _low(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """Posts where the guard was built lower than the rules ask for, by more than a tape tells: a check, as how far an
    inspector lets it pass is not in the rules. Not where it is as planned too, which is told of the run."""
    for rule in least_heights(plan, line):
        for post, lift in zip(line.posts, line.lifts, strict=True):
            high = line.height + lift
            if line.height < rule.least - EPSILON or high > rule.least - ONE_READING:
                continue
            words, cures = _moved(plan, line, post, well_over(plan, rule.least - high))
            yield Problem(
                "check",
                f"post {post}, run {line.id}",
                "as built the guard is {} high there, {} is the least".format(*apart(plan.job, high, rule.least)),
                words,
                rule.clause,
                cures,
            )


def _moved(plan: Plan, line: RunLine, post: str, by: float) -> tuple[str, tuple[Cure, ...]]:
    """What moves the rail of a run ``by`` mm up at one post (down where it is under 0), in words and as keys if those help."""
    words = f"{'raise' if by > 0.0 else 'lower'} the rail there by {both(plan, abs(by))}"
    cure = _taped(plan, line, post, by, words)
    return words, (cure,) if cure else ()


def _taped(plan: Plan, line: RunLine, post: str, by: float, words: str) -> Cure | None:
    """The rail of a run ``by`` mm higher at one post, as what the tape says then; None where that stops or opens something
    else, or nothing more may be planned again."""
    taped = plan.job.as_built.get(post)
    under = taped.under(line.id) if taped else None
    if plan.trial or taped is None or under is None:
        return None
    path = joined(joined("as_built", post), "underside")
    if line.id in taped.undersides:
        path = joined(path, line.id)
        new = replace(taped, undersides={**taped.undersides, line.id: under + by})
    else:
        new = replace(taped, underside=under + by)
    if not plan.tries.left():
        return None
    job = replace(plan.job, as_built={**plan.job.as_built, post: new}, notes=())
    again = replace(plan_again(job, plan.tries), trial=True)
    if len(_stops(again)) >= len(_stops(plan)) or not _stops(again) <= _stops(plan):
        return None
    return Cure(words, ((path, said(length_text(plan, under + by))),))


def _stops(plan: Plan) -> set[Sign]:
    """What stops a plan, and what it is told of as built, each by what does not change with its figures."""
    own = replace(plan, trial=True)
    stops = (problem for problem in plan.problems if problem.level == "stop")
    every = (*stops, *(problem for line in plan.runs for problem in as_built(own, line)))
    return {sign(plan, problem) for problem in every}
