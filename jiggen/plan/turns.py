"""Posts that cables are led round turned into problems: no room inside for the bores to meet, turns that are sharp."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import radians

from jiggen.job.model import Job
from jiggen.plan.holes import cable_hole, hollow_wall, passing
from jiggen.plan.led import turned_posts
from jiggen.plan.model import Post, RunLine
from jiggen.plan.words import length, nominal, tenth_up
from jiggen.problems import Problem
from jiggen.units import degrees_text

SHARP = radians(45.0)  # a turn at one post from which on the cable cuts in and kinks; common practice, no source
STIFF = radians(30.0)  # the same of 1x19 strand, which bends least well; common practice, no source
HOLES = 3.0  # diameters of the hole that a solid post is thick at least for two bores to meet in it; our choice


def turning_problems(job: Job, lines: Sequence[RunLine], posts: Sequence[Post]) -> Iterator[Problem]:
    """What is wrong at the posts that cables are led round."""
    by_id = {post.id: post for post in posts}
    for bend, line in turned_posts(lines):
        post = by_id[bend.post]
        yield from _thin(job, post, line)
        if bend.angle > _sharp_from(job) - 1e-6:
            yield _sharp(job, post, bend.angle)


def _thin(job: Job, post: Post, line: RunLine) -> Iterator[Problem]:
    """A bar that has no inside: the bores cannot meet in it."""
    hole = cable_hole(job, post.kind, passing(job, *line.fitted)).diameter
    least, thick = tenth_up(HOLES * hole), min(post.kind.along, post.kind.across)
    if hollow_wall(post.kind) or thick >= least:
        return
    yield Problem(
        "stop",
        f"post {post.id}",
        f"cables are led round it, and it is {length(job, thick)} thick: two bores of {nominal(job, hole)} do not meet inside it",
        f"use a post {length(job, least)} thick at least, or leave led_on out: the cables then end there",
    )


def _sharp_from(job: Job) -> float:
    """The turn at one post from which on the job's strand is told to be too stiff for it, radians."""
    return STIFF if job.cable.strand.name == "1x19" else SHARP


def _sharp(job: Job, post: Post, angle: float) -> Problem:
    """A turn at one post that is hard on post and cable."""
    edge = "the edge of the wall" if hollow_wall(post.kind) else "the edge of its bore"
    cuts = f"bears on {edge}" if post.kind.material.kind == "metal" else "cuts into the wood"
    sleeve = "" if post.kind.grommet is not None else "line the holes with grommets, "
    return Problem(
        "check",
        f"post {post.id}",
        f"cables turn {degrees_text(angle)} degrees at it; from {degrees_text(_sharp_from(job))} degrees up at one post a cable {cuts},"
        f" and {job.cable.strand.name} strand kinks",
        f"{sleeve}stand two posts that share the turn, or leave led_on out: the cables then end there",
        "common practice, no source",
    )
