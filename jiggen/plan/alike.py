"""Faces turned into groups that one sheet serves: alike in profile, datum and every mark."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable

from jiggen.job.model import Datum, Job
from jiggen.plan.model import Group, Post, PostFace

AXIS = 1e-4  # difference of two axes' components that still counts as alike


def groups(job: Job, posts: Iterable[Post]) -> tuple[Group, ...]:
    """The sheets' groups in the order of the posts, S1, S2, ...; every face with marks is in exactly one."""
    found: list[list[tuple[Post, PostFace]]] = []
    buckets: dict[Hashable, list[int]] = defaultdict(list)
    for post in posts:
        for face in post.faces:
            if not face.marks:
                continue
            key = _discrete(post, face)
            index = next((i for i in buckets[key] if alike(found[i][0][1], face, job.sheet.datum, job.alike)), None)
            if index is None:
                buckets[key].append(len(found))
                found.append([(post, face)])
            else:
                found[index].append((post, face))
    return tuple(_group(job, number, members) for number, members in enumerate(found, 1))


def _group(job: Job, number: int, members: list[tuple[Post, PostFace]]) -> Group:
    faces = tuple(face.id for _, face in members)
    posts = tuple(dict.fromkeys(post.id for post, _ in members))
    return Group(f"S{number}", faces, posts, "face", job.sheet.datum)


def _discrete(post: Post, face: PostFace) -> Hashable:
    """What must agree to the letter before numbers are compared."""
    kind = post.kind
    labels = tuple((mark.label, mark.purpose, mark.drill.name, mark.through) for mark in face.marks)
    outlines = tuple((o.purpose, round(o.across, 1), round(o.up, 1)) for o in face.outlines)
    return kind.shape, round(face.frame.width, 1), face.frame.radius, kind.wall, labels, outlines


def alike(first: PostFace, second: PostFace, datum: Datum, within: float) -> bool:
    """True where every mark of two faces agrees within ``within`` mm as the sheet shows it, axes too."""
    if abs(first.underside[1] - second.underside[1]) > AXIS:
        return False
    pairs = zip(first.marks, second.marks, strict=True)
    for a, b in pairs:
        if abs(a.u - b.u) > within or abs(a.diameter - b.diameter) > 1e-6:
            return False
        if abs(seat_height(first, datum, a.u) - seat_height(second, datum, b.u) - (a.v - b.v)) > within:
            return False
        if max(abs(p - q) for p, q in zip(a.axis, b.axis, strict=True)) > AXIS:
            return False
        if abs(a.depth - b.depth) > max(within, 1.0):
            return False
    return True


def seat_height(face: PostFace, datum: Datum, u: float) -> float:
    """v of the line that the sheet is seated on, at ``u``: underside, height line or walking surface."""
    if datum == "deck":
        return face.tread
    under = face.underside[0] + face.underside[1] * u
    return under if datum == "underside" else under + face.rail_up
