"""Bores and screws of a post as capsules in 3D turned into problems: what runs into what, and the shift that cures it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from jiggen.geometry import Capsule, Vector, segment_distance
from jiggen.job.model import Job
from jiggen.plan.model import Mark, Outline, Post, PostFace
from jiggen.problems import Problem
from jiggen.units import mm_text

STEP = 0.5  # of the search for a shift, mm
FAR = 150.0  # no longer shift is proposed, mm


@dataclass(frozen=True, slots=True)
class Body:
    """One bore or screw in a post. ``owner``: what its marks belong to together (a fitting, a bracket, one bore)."""

    mark: Mark
    capsule: Capsule
    owner: tuple[str, ...]


def bodies(post: Post) -> list[Body]:
    """Every bore, screw and wire of a post once; a bore marked on both its faces counts as one."""
    found: list[Body] = []
    seen: set[tuple[str, int]] = set()
    for face in post.faces:
        for mark in face.marks:
            passing = mark.purpose == "cable" and not face.fittings and mark.cable is not None
            if passing:
                key = (mark.run, mark.cable or 0)
                if key in seen and not post.kind.wall:
                    continue
                seen.add(key)
            found.append(Body(mark, capsule(face, mark), _owner(face, mark)))
    return found


def capsule(face: PostFace, mark: Mark) -> Capsule:
    """The hole of a mark in the world: its axis from the face inwards, its drill's radius."""
    start = face.frame.world(mark.u, mark.v)
    across, up, inward = mark.axis
    normal = face.frame.normal_at(mark.u).times(-1.0)
    right = normal.cross(face.frame.up)
    way = right.times(across).plus(face.frame.up.times(up)).plus(normal.times(inward))
    return Capsule(start, start.plus(way.times(mark.depth)), mark.diameter / 2.0)


def _owner(face: PostFace, mark: Mark) -> tuple[str, ...]:
    """Marks of one piece are the maker's business: they are not held against each other."""
    if mark.purpose == "bracket":
        return (face.id, mark.what)
    if mark.purpose == "wire":
        return (mark.id,)
    return (mark.run, str(mark.cable), face.id if face.fittings else "bore")


def web_of(first: Capsule, second: Capsule) -> float:
    """Material left between two holes, mm."""
    return segment_distance(first, second) - first.radius - second.radius


def pairs(found: Sequence[Body], least: float) -> Iterator[tuple[Body, Body, float]]:
    """Every two bodies of different owners nearer than ``least``, with the web left between them."""
    boxes = [_box(body.capsule) for body in found]
    for i, j in combinations(range(len(found)), 2):
        if found[i].owner == found[j].owner or not _near(boxes[i], boxes[j], least):
            continue
        left = web_of(found[i].capsule, found[j].capsule)
        if left < least - 1e-9:
            yield found[i], found[j], left


def least_shift(first: Capsule, second: Capsule, way: Vector, least: float) -> float | None:
    """The least shift of ``second`` along ``way`` (mm, signed) that leaves ``least`` between two holes, None beyond 150."""
    up = _first_clear(lambda by: web_of(first, _moved(second, way, by)) >= least)
    down = _first_clear(lambda by: web_of(first, _moved(second, way, -by)) >= least)
    if up is None or down is None:
        return up if down is None else -down
    return up if up <= down else -down


def _first_clear(clear: Callable[[float], bool]) -> float | None:
    """The smallest shift in steps, refined, at which ``clear`` holds."""
    steps = int(FAR / STEP)
    for index in range(1, steps + 1):
        if clear(index * STEP):
            low, high = (index - 1) * STEP, index * STEP
            for _ in range(40):
                middle = (low + high) / 2.0
                low, high = (low, middle) if clear(middle) else (middle, high)
            return high
    return None


def clash_problems(job: Job, post: Post) -> Iterator[Problem]:
    """Holes of a post that come nearer than the minimum web; the worst pair of each two owners, the rest counted."""
    worst: dict[tuple[str, str], tuple[Body, Body, float, int]] = {}
    for first, second, left in pairs(bodies(post), job.min_web):
        key = (first.mark.face + first.mark.purpose, second.mark.face + second.mark.purpose)
        before = worst.get(key)
        count = before[3] + 1 if before else 1
        if before is None or left < before[2]:
            worst[key] = (first, second, left, count)
        else:
            worst[key] = (*before[:3], count)
    for first, second, left, count in worst.values():
        more = f" (and {count - 1} more pairs)" if count > 1 else ""
        state = (
            f"{mm_text(left)} mm of wood between them" if left >= 0 else f"they run {mm_text(-left)} mm into each other"
        )
        yield Problem(
            "stop",
            f"{first.mark.id} and {second.mark.id}",
            f"{state}, {mm_text(job.min_web)} mm is the least{more}",
            _remedy(job, first, second),
        )


def _remedy(job: Job, first: Body, second: Body) -> str:
    up = least_shift(first.capsule, second.capsule, Vector(0.0, 0.0, 1.0), job.min_web)
    way = second.capsule.end.minus(second.capsule.start)
    side = Vector(way.y, -way.x, 0.0)
    sideways = least_shift(first.capsule, second.capsule, side.unit(), job.min_web) if side.length() > 1e-9 else None
    found = []
    if up is not None:
        found.append(f"move {second.mark.label} {mm_text(abs(up))} mm {'up' if up > 0 else 'down'}")
    if sideways is not None:
        found.append(f"{mm_text(abs(sideways))} mm sideways")
    words = " or ".join(found) or "use a wider post"
    if first.mark.run != second.mark.run:
        words += f'; stagger = "auto" in run {second.mark.run} does it'
    return words


def outline_problems(post: Post) -> Iterator[Problem]:
    """Outlines of fittings and brackets that overlap on a face: the pieces cannot both be screwed on."""
    for face in post.faces:
        outlines = sorted(face.outlines, key=lambda outline: -outline.v)
        worst: tuple[float, Outline, Outline] | None = None
        count = 0
        for first, second in combinations(outlines, 2):
            over = min(
                (first.up + second.up) / 2.0 - abs(first.v - second.v),
                (first.across + second.across) / 2.0 - abs(first.u - second.u),
            )
            if over > 1e-6:
                count += 1
                if worst is None or over > worst[0]:
                    worst = (over, first, second)
        if worst:
            over, first, second = worst
            yield Problem(
                "stop",
                face.id,
                f"{_named(first)} and {_named(second)} overlap by {mm_text(over)} mm ({count} such pairs)",
                f"space the cables {mm_text(over)} mm wider, use a smaller piece, or move the first cable down",
            )


def _named(outline: Outline) -> str:
    return outline.what if outline.cable is None else f"{outline.what} of cable {outline.cable}"


def stagger_for(job: Job, fixed: Sequence[Body], moving: Sequence[Body]) -> float:
    """The least shift down (mm, 0 or more) of all ``moving`` bodies that clears them of the ``fixed`` ones."""

    def clear(shift: float) -> bool:
        down = Vector(0.0, 0.0, -shift)
        return all(
            web_of(a.capsule, Capsule(b.capsule.start.plus(down), b.capsule.end.plus(down), b.capsule.radius))
            >= job.min_web - 1e-9
            for a in fixed
            for b in moving
        )

    return 0.0 if clear(0.0) else _first_clear(clear) or 0.0


def _moved(body: Capsule, way: Vector, by: float) -> Capsule:
    shift = way.times(by)
    return Capsule(body.start.plus(shift), body.end.plus(shift), body.radius)


def _box(body: Capsule) -> tuple[float, ...]:
    low = [min(a, b) - body.radius for a, b in zip(body.start, body.end, strict=True)]
    high = [max(a, b) + body.radius for a, b in zip(body.start, body.end, strict=True)]
    return (*low, *high)


def _near(first: tuple[float, ...], second: tuple[float, ...], least: float) -> bool:
    return all(first[i] - least < second[i + 3] and second[i] - least < first[i + 3] for i in range(3))
