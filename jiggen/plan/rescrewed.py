"""A wooden post whose end fitting gets other wood screws turned into the post with them, and into what then stops it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from jiggen.handbook.screws import Screw
from jiggen.job.model import Fitting, Job
from jiggen.plan.checks import depth_problems, edge_problems
from jiggen.plan.clashes import clash_problems
from jiggen.plan.holes import screw_hole
from jiggen.plan.model import Mark, Plan, Post
from jiggen.problems import Problem


def rescrewed(job: Job, post: Post, fitting: Fitting, screw: Screw) -> Post:
    """The post with every screw of ``fitting`` another wood or lag screw: as long, as thick, in its own lead hole."""
    hole, reach = screw_hole(job, post.kind, screw), screw.length - fitting.flange

    def new(mark: Mark) -> Mark:
        if mark.purpose != "screw" or mark.what.rpartition(", ")[0] != fitting.name:
            return mark
        return replace(
            mark,
            diameter=hole.diameter,
            drill=hole.drill,
            why=hole.why,
            depth=reach,
            reach=reach,
            body=max(screw.shank, hole.diameter),
            what=f"{fitting.name}, {screw.text}",
        )

    faces = tuple(replace(face, marks=tuple(new(mark) for mark in face.marks)) for face in post.faces)
    return replace(post, faces=faces)


def screw_stops(plan: Plan, post: Post) -> Iterator[Problem]:
    """What stops the holes of a post that screws can be to blame for."""
    lines = {line.id: line for line in plan.runs}
    shared = sum(post.id in line.posts for line in plan.runs) > 1
    yield from clash_problems(plan.job, post)
    yield from depth_problems(plan.job, [post])
    for face in post.faces:
        over = lines[face.run].guard.rail.sits == "over"
        yield from (one for one in edge_problems(plan.job, face, shared, over) if one.level == "stop")
