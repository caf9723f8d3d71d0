"""Faces turned into groups that one sheet serves: alike in profile, datum and every mark."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator

from jiggen.job.model import Datum, Job
from jiggen.plan.faces import AWAY
from jiggen.plan.model import Group, Post, PostFace

AXIS = 1e-4  # difference of two axes' components that still counts as alike


Unit = tuple[Post, tuple[PostFace, ...]]
"""What one sheet shows of one post: a face, or the faces of a strip from left to right."""


def groups(job: Job, posts: Iterable[Post]) -> tuple[Group, ...]:
    """The sheets' groups in the order of the posts, S1, S2, ...; every face with a mark to show is in exactly one."""
    found: list[list[Unit]] = []
    buckets: dict[Hashable, list[int]] = defaultdict(list)
    for unit in (unit for post in posts for unit in _units(post, job.sheet.datum)):
        key = _discrete(*unit)
        index = next((i for i in buckets[key] if _same(found[i][0], unit, job)), None)
        if index is None:
            buckets[key].append(len(found))
            found.append([unit])
        else:
            found[index].append(unit)
    return tuple(_group(job, number, members) for number, members in enumerate(found, 1))


def _units(post: Post, datum: Datum) -> Iterator[Unit]:
    """Strips and faces that have something to show: brackets alone, of a rail in place, are no sheet."""
    by_id = {face.id: face for face in post.faces}
    strip = tuple(by_id[name] for name in post.strip)
    found = [strip, *((face,) for face in post.faces if face.id not in post.strip)]
    for faces in found:
        if any(datum != "underside" or mark.purpose != "bracket" for face in faces for mark in face.marks):
            yield post, faces


def _same(first: Unit, second: Unit, job: Job) -> bool:
    return all(alike(a, b, job.sheet.datum, job.alike) for a, b in zip(first[1], second[1], strict=True))


def _group(job: Job, number: int, members: list[Unit]) -> Group:
    first, strip = members[0]
    kind = "round" if first.prism.round and len(strip) > 1 else "wrap" if len(strip) > 1 else "face"
    faces = tuple(face.id for _, faces in members for face in faces)
    posts = tuple(dict.fromkeys(post.id for post, _ in members))
    return Group(f"S{number}", faces, posts, kind, job.sheet.datum, len(strip))


def _discrete(post: Post, faces: tuple[PostFace, ...]) -> Hashable:
    """What must agree to the letter before numbers are compared."""
    kind = post.kind
    profile = (kind.shape, *(round(size, 1) for size in kind.section.sizes), kind.wall, kind.radius)
    return (profile if len(faces) > 1 else kind.shape, *(_discrete_face(post, faces[0], face) for face in faces))


def _discrete_face(post: Post, first: PostFace, face: PostFace) -> Hashable:
    labels = tuple((mark.label, mark.purpose, mark.drill.name, mark.through, mark.meets != "") for mark in face.marks)
    outlines = tuple((o.purpose, round(o.across, 1), round(o.up, 1)) for o in face.outlines)
    turn = round(first.frame.normal.cross(face.frame.normal).z, 4), round(first.frame.normal.dot(face.frame.normal), 4)
    width, radius = round(face.frame.width, 1), round(face.frame.radius, 3)
    away = face.name.startswith(AWAY)  # where a stud comes out there is no rail to hold a sheet against
    return width, radius, post.kind.wall, round(face.slope, 6), turn, labels, outlines, away


def alike(first: PostFace, second: PostFace, datum: Datum, within: float) -> bool:
    """True where every mark of two faces agrees within ``within`` mm as the sheet shows it, axes too."""
    if abs(seat_climb(first, datum) - seat_climb(second, datum)) > AXIS:
        return False
    if not first.marks:
        return True
    pairs = zip(first.marks, second.marks, strict=True)
    for a, b in pairs:
        if abs(a.u - b.u) > within or abs(a.diameter - b.diameter) > 1e-6:
            return False
        if abs(seat_height(first, datum, a.u) - seat_height(second, datum, b.u) - (a.v - b.v)) > within:
            return False
        if _apart(a.axis, b.axis) > AXIS or _apart(a.slot, b.slot) > within:
            return False
        if abs(a.depth - b.depth) > max(within, 1.0):
            return False
    return True


def _apart(first: tuple[float, ...], second: tuple[float, ...]) -> float:
    """The greatest difference of two lists of numbers, one by one."""
    return 0.0 if first == second else max(abs(p - q) for p, q in zip(first, second, strict=True))


def seat_climb(face: PostFace, datum: Datum) -> float:
    """Climb of that line, a mm of u."""
    return (face.tread if datum == "deck" else face.underside)[1]


def seat_height(face: PostFace, datum: Datum, u: float) -> float:
    """v of the line that the sheet is seated on, at ``u``: underside, height line or walking surface."""
    if datum == "deck":
        return face.tread[0] + face.tread[1] * u
    under = face.underside[0] + face.underside[1] * u
    return under if datum == "underside" else under + face.rail_up
