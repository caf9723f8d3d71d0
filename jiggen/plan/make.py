"""A Job turned into a Plan: the steps in their order."""

from __future__ import annotations

import hashlib
import json

from jiggen.job.model import Job
from jiggen.plan.alike import groups
from jiggen.plan.checks import edge_problems, fitting_problems, kind_problems, stair_problems, unique
from jiggen.plan.faces import View, views
from jiggen.plan.lines import Layout, Stand, lay_out
from jiggen.plan.marks import marked_face, side_faces
from jiggen.plan.model import Plan, Post
from jiggen.plan.samples import samples
from jiggen.plan.strips import strip
from jiggen.plan.takeoff import take_off
from jiggen.problems import Problem

FORMAT = 1  # goes into the fingerprint: raise it when the same job gives other marks


def make_plan(job: Job) -> Plan:
    """The finished plan of a job: frames as the world's (z up, first run along +x), mm.

    Geometry that cannot be built comes back as problems of level ``stop``; nothing is raised for it.
    """
    layout = lay_out(job)
    lines = {line.id: line for line in layout.runs}
    problems: list[Problem] = [*job.notes, *layout.problems]
    posts: list[Post] = []
    ends: dict[str, list[View]] = {line.id: [] for line in layout.runs}
    for stand in layout.stands.values():
        seen = views(stand, lines)
        for view in seen:
            if view.fitting:
                ends[view.line.id].append(view)
        posts.append(_post(job, stand, seen, layout, problems))
    problems.extend(kind_problems(job, posts))
    problems.extend(stair_problems(layout))
    faces = {face.id: face for post in posts for face in post.faces}
    pairs = {run: (found[0], found[-1]) for run, found in ends.items()}
    return Plan(
        job,
        fingerprint(job),
        layout.runs,
        tuple(posts),
        groups(job, posts),
        take_off(job, layout.runs, pairs, posts),
        unique(problems),
        samples(job, posts),
        faces,
        {post.id: post for post in posts},
    )


def _post(job: Job, stand: Stand, seen: tuple[View, ...], layout: Layout, problems: list[Problem]) -> Post:
    """The post with its marked faces; what cannot be drilled is added to ``problems``."""
    faces = []
    for view in seen:
        far = next((v for v in seen if v.line is view.line and v is not view), None)
        face = marked_face(job, stand, view, far)
        problems.extend(fitting_problems(job, stand, view))
        problems.extend(edge_problems(job, stand, view, face))
        faces.append(face)
    for run_id in stand.runs:
        line = next(line for line in layout.runs if line.id == run_id)
        names = {face.name for face in faces}
        faces.extend(f for f in side_faces(job, stand, line, faces) if f.name not in names)
    every, order = strip(stand, seen[0].line, faces, job.sheet.kind == "wrap" and not stand.between)
    return Post(stand.id, stand.kind, stand.role, stand.prism, stand.heading, tuple(every), order)


def fingerprint(job: Job) -> str:
    """Eight letters and digits that tell one job's data from another's, the same on any machine."""
    text = json.dumps({"format": FORMAT, "job": job.data}, sort_keys=True, default=str)
    digest = hashlib.sha256(text.encode()).hexdigest().upper()
    return f"{digest[:4]}-{digest[4:8]}"
