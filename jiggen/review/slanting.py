"""Round holes that stand for slots turned into a note on each run: what they are, and its openings with either."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from jiggen.plan.loads import load, strung
from jiggen.plan.model import Mark, Plan, RunLine
from jiggen.plan.words import length, nominal
from jiggen.problems import Problem
from jiggen.units import degrees_text


def in_place_of_slots(plan: Plan) -> dict[str, Mark]:
    """The first round hole of each run that stands for a slot, by the run."""
    found: dict[str, Mark] = {}
    for post in plan.posts:
        for face in post.faces:
            for mark in face.marks:
                if any(mark.replaces):
                    found.setdefault(mark.run, mark)
    return found


def slanting(plan: Plan, line: RunLine, mark: Mark) -> Iterator[Problem]:
    """A note where cables of the run pass a post by round holes in the place of slots, with the loaded openings of both.

    ``mark``: the first of them.
    """
    job = plan.job
    kind = plan.post_by_id[mark.post].kind.name
    round_one, slot = max(plan.loads[line.id].worst), max(_as_slots(plan, line))
    yield Problem(
        "note",
        f"run {line.id}",
        f"its cables slant {degrees_text(abs(line.rake))} degrees through {_through(plan, mark)}: one round hole of"
        f" {mark.drill.name} instead of a slot {nominal(job, mark.replaces[0])} x"
        f" {length(job, mark.replaces[1])}; its largest opening under load is {length(job, round_one)} so,"
        f" {length(job, slot)} with slots",
        f'file slots instead with slot = "file" in [post.{kind}], if the larger holes are not wanted',
        "a second end hole that overlaps the first makes a drill walk: common practice, no source",
    )


def _through(plan: Plan, mark: Mark) -> str:
    """The wall, or the solid post that the hole goes through."""
    return f"a wall of {nominal(plan.job, mark.wall or mark.depth)}"


def _as_slots(plan: Plan, line: RunLine) -> tuple[float, ...]:
    """The run's openings under load at the slackest with slots in the place of the round holes, mm."""
    kinds = {name: replace(kind, slot="file") for name, kind in plan.job.kinds.items()}
    job = replace(plan.job, kinds=kinds)
    run = next(run for run in job.runs if run.id == line.id)
    posts = [plan.post_by_id[post] for post in line.posts]
    of_posts = {post.id: kinds[post.kind.name] for post in posts}
    return load(job, line, strung(job, run, line, of_posts, {post.id: post.prism for post in posts})).worst
