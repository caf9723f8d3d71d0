"""Bores and screws of a post as capsules in 3D turned into problems: what runs into what, and the shift that cures it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from jiggen.geometry import Capsule, Line, Vector, segment_distance
from jiggen.job.model import Job
from jiggen.plan.drilling import each_mark
from jiggen.plan.faces import AWAY
from jiggen.plan.holes import hollow_wall
from jiggen.plan.model import Mark, Outline, Post, PostFace
from jiggen.plan.words import apart, length, tenth_up
from jiggen.problems import Problem

STEP = 0.5  # of the search for a shift, mm
FLAT = 1.0 - 1e-9  # cosine of two sides' normals that are one side's
TOUCHING = 1.0  # mm between two pieces under which it is told; common practice, no source
FAR = 150.0  # no longer shift is proposed, mm


@dataclass(frozen=True, slots=True)
class Body:
    """One bore or screw in a post. ``owner``: what its marks belong to together (a fitting, a bracket, one bore)."""

    mark: Mark
    capsule: Capsule
    owner: tuple[str, ...]


def bodies(post: Post) -> list[Body]:
    """Every bore, screw and wire of a post once; a bore marked on both its faces counts as one.

    In a hollow post a cable or stud has a hole in each wall and its way from one to the other, as wide as the hole that it would
    have straight: what else reaches inside must not meet it there.
    """
    hollow = bool(hollow_wall(post.kind))
    by_id = {mark.id: (face, mark) for face in post.faces for mark in face.marks} if hollow else {}
    found: list[Body] = []
    for face, mark, went_in in each_mark(post):
        if went_in is None or hollow:
            found.append(Body(mark, capsule(face, mark), _owner(*(went_in or (face, mark)))))
        if went_in is not None and hollow:
            found.append(Body(went_in[1], _inside(went_in, (face, mark)), _owner(*went_in)))
        if hollow and mark.id < mark.meets and mark.meets in by_id:
            found.append(Body(mark, _inside((face, mark), by_id[mark.meets]), _owner(face, mark)))
    return found


def _inside(one: tuple[PostFace, Mark], other: tuple[PostFace, Mark]) -> Capsule:
    """A cable's or stud's way through a hollow post, from face to face."""
    ends = [face.frame.world(mark.u, mark.v) for face, mark in (one, other)]
    return Capsule(ends[0], ends[1], (one[1].replaces[0] or one[1].diameter) / 2.0)


def capsule(face: PostFace, mark: Mark) -> Capsule:
    """The hole of a mark in the world: its axis from the face inwards, its drill's radius."""
    start = face.frame.world(mark.u, mark.v)
    way = face.frame.direction(mark.axis, mark.u)
    return Capsule(start, Line(start, way).at(mark.reach), mark.body / 2.0)


def _owner(face: PostFace, mark: Mark) -> tuple[str, ...]:
    """Marks of one piece are the maker's business: they are not held against each other."""
    if mark.purpose == "bracket":
        return (face.id, mark.what)
    if mark.purpose == "wire":
        return (mark.id,)
    if mark.meets:  # both bores of one cable, of two runs
        return tuple(sorted((mark.id, mark.meets)))
    return (mark.run, str(mark.cable), face.id if face.fittings else "bore")


def web_of(first: Capsule, second: Capsule) -> float:
    """Material left between two holes, mm."""
    return segment_distance(first, second) - first.radius - second.radius


def pairs(found: Sequence[Body], least: float) -> Iterator[tuple[Body, Body, float]]:
    """Every two bodies of different owners nearer than ``least``, with the web left between them."""
    boxed = sorted(((_box(body.capsule), index) for index, body in enumerate(found)), key=lambda pair: pair[0][2])
    for place, (box, i) in enumerate(boxed):
        for other, j in boxed[place + 1 :]:
            if other[2] > box[5] + least:
                break
            if found[i].owner == found[j].owner or not _near(box, other, least):
                continue
            first, second = sorted((i, j))
            left = web_of(found[first].capsule, found[second].capsule)
            if left < least - 1e-9:
                yield found[first], found[second], left


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
        told, least = apart(job, abs(left), job.min_web)
        state = f"{told} of {_stuff(post)} between them" if left >= 0 else f"they run {told} into each other"
        yield Problem(
            "stop",
            f"{first.mark.id} and {second.mark.id}",
            f"{state}, {least} is the least{more}",
            _remedy(job, first, second),
        )


def _stuff(post: Post) -> str:
    """What is between two holes of a post: wood (of a sleeved post too), metal, or of a hollow one nothing but room."""
    return "room" if hollow_wall(post.kind) else "metal" if post.kind.material.kind == "metal" else "wood"


def _remedy(job: Job, first: Body, second: Body) -> str:
    """How far the second hole has to lie from where it is; shorter screws are tried where remedies are planned again."""
    up = least_shift(first.capsule, second.capsule, Vector(0.0, 0.0, 1.0), job.min_web)
    way = second.capsule.end.minus(second.capsule.start)
    side = Vector(way.y, -way.x, 0.0)
    sideways = least_shift(first.capsule, second.capsule, side.unit(), job.min_web) if side.length() > 1e-9 else None
    ways = [f"{length(job, tenth_up(abs(up)))} {'up' if up > 0 else 'down'}"] if up is not None else []
    ways += [f"{length(job, tenth_up(abs(sideways)))} sideways"] if sideways is not None else []
    if not ways:
        return "use another fitting"
    return f"use another fitting: {second.mark.label} has to lie {' or '.join(ways)}"


def shortened(body: Capsule, by: float) -> Capsule:
    """A screw that is ``by`` mm shorter at its point."""
    way = body.end.minus(body.start)
    return Capsule(body.start, body.start.plus(way.times(1.0 - by / way.length())), body.radius)


def outline_problems(job: Job, post: Post) -> Iterator[Problem]:
    """Outlines of fittings, brackets and washers on one side of a post that overlap, a stop: the pieces cannot both be put
    on; or that touch or nearly do, a check."""
    for face, on_it in _by_side(post):
        outlines = sorted(on_it, key=lambda outline: -outline.v)
        most = max((outline.up for outline in outlines), default=0.0) + TOUCHING
        lapped = [(_lap(first, second), first, second) for first, second in _neighbours(outlines, most)]
        near = [pair for pair in lapped if pair[0] > 1e-6 - TOUCHING]
        if not near:
            continue
        over, first, second = max(near, key=lambda pair: pair[0])
        count = len([pair for pair in near if pair[0] > 1e-6]) if over > 1e-6 else len(near)
        many = f" (the worst of {count} such pairs)" if count > 1 else ""
        if over > 1e-6:
            wider = f"space the cables {length(job, tenth_up(over))} wider"
            found = f"{_named(first)} and {_named(second)} overlap by {length(job, over)}{many}"
            yield Problem("stop", face.id, found, f"{wider}, use a smaller piece, or move the first cable down")
            continue
        touch = "they touch" if over > -0.05 else "they nearly touch"
        yield Problem(
            "check",
            face.id,
            f"{length(job, max(-over, 0.0))} are left between {_named(first)} and {_named(second)}: {touch}{many}",
            f"space the cables {length(job, tenth_up(TOUCHING + over))} wider, use a smaller piece, or try two of yours side by"
            " side: what is cut or cast may be larger than its outline",
            "common practice, no source",
        )


def _lap(first: Outline, second: Outline) -> float:
    """How far two outlines overlap, mm; what is left between them as a negative number."""
    up = (first.up + second.up) / 2.0 - abs(first.v - second.v)
    return min(up, (first.across + second.across) / 2.0 - abs(first.u - second.u))


def _by_side(post: Post) -> Iterator[tuple[PostFace, tuple[Outline, ...]]]:
    """Every face with its outlines; with one that a bore of an end fitting comes out of those of what else is on that
    side, on the same u and v."""
    for face in post.faces:
        away = face.name.startswith(AWAY)
        others = [
            other
            for other in post.faces
            if away and other is not face and not face.frame.radius and other.frame.normal.dot(face.frame.normal) > FLAT
        ]
        yield face, (*face.outlines, *(outline for other in others for outline in other.outlines))


def _neighbours(outlines: Sequence[Outline], most: float) -> Iterator[tuple[Outline, Outline]]:
    """Every two outlines, the upper first, that lie less than ``most`` apart in height."""
    for place, first in enumerate(outlines):
        for second in outlines[place + 1 :]:
            if first.v - second.v > most:
                break
            yield first, second


def _named(outline: Outline) -> str:
    return outline.what if outline.cable is None else f"{outline.what} of cable {outline.cable}"


def stagger_for(job: Job, fixed: Sequence[Body], moving: Sequence[Body]) -> float:
    """The least shift down (mm, 0 or more) of all ``moving`` bodies that clears them of the ``fixed`` ones.

    Two convex bodies are too near over one unbroken stretch of shifts; the least shift outside of every stretch
    is what is wanted. Stretches repeat from cable to cable, so each is worked out once.
    """
    known: dict[tuple[float, ...], tuple[float, float] | None] = {}
    stretches = []
    for a in fixed:
        for b in moving:
            one, other = _box(a.capsule), _box(b.capsule)
            if other[5] - one[2] + job.min_web <= 0.0 or not _near(_flat(one), _flat(other), job.min_web):
                continue  # under it already, or beside it
            key, z = _relative(a.capsule, b.capsule)
            if key not in known:
                known[key] = _stretch(a.capsule, b.capsule, job.min_web, z)
            found = known[key]
            if found is not None:
                stretches.append((z + found[0], z + found[1]))
    shift = 0.0
    for low, high in sorted(stretches):
        if low < shift - 1e-9 < high or low < shift < high:
            shift = high
    return shift + (1e-6 if shift else 0.0)


def _relative(a: Capsule, b: Capsule) -> tuple[tuple[float, ...], float]:
    """What decides a stretch but for the height between two bodies, and that height."""
    apart = b.start.minus(a.start)
    ways = (*a.end.minus(a.start), *b.end.minus(b.start))
    return tuple(round(x, 6) for x in (apart.x, apart.y, *ways, a.radius, b.radius)), apart.z


def _stretch(a: Capsule, b: Capsule, least: float, z: float) -> tuple[float, float] | None:
    """The shifts down of ``b``, less ``z``, between which it is nearer to ``a`` than ``least``; None for none."""

    (x, y, up), (u, v, on), radius = b

    def left(shift: float) -> float:
        return web_of(a, Capsule(Vector(x, y, up - shift), Vector(u, v, on - shift), radius))

    first, second = _box(a), _box(b)
    low, high = second[2] - first[5] - least, second[5] - first[2] + least
    start, end = low, high
    for _ in range(60):
        third = (end - start) / 3.0
        one, two = start + third, end - third
        nearer, farther = left(one), left(two)
        if min(nearer, farther) - third >= least:
            return None  # the web changes by no more than the shift does, so it is clear all the way
        if min(nearer, farther) < least:
            start = end = one if nearer < farther else two  # inside the stretch: its edges are looked for from there
            break
        start, end = (start, two) if nearer < farther else (one, end)
    middle = (start + end) / 2.0
    if left(middle) >= least:
        return None
    return _edge_of(left, low, middle, least) - z, _edge_of(left, high, middle, least) - z


def _edge_of(left: Callable[[float], float], clear: float, near: float, least: float) -> float:
    """Where the web becomes ``least`` between a shift that is clear and one that is not; to 1e-8 mm, on the clear side.

    The web is a convex function of the shift, so the chord between the two crosses ``least`` at a shift that is not clear,
    and halving what is left on its other side closes in from there.
    """
    over, under = left(clear) - least, left(near) - least
    for _ in range(60):
        if abs(clear - near) < 1e-8:
            break
        chord = near + (clear - near) * under / (under - over)
        for place in (chord, (chord + clear) / 2.0, chord + (clear - near) * 1e-3):
            if not min(clear, near) < place < max(clear, near):
                continue
            web = left(place) - least
            if web >= 0.0:
                clear, over = place, web
            else:
                near, under = place, web
    return clear


def _flat(box: tuple[float, ...]) -> tuple[float, ...]:
    """A box without its height: shifts up and down do not change it."""
    return (box[0], box[1], 0.0, box[3], box[4], 0.0)


def _moved(body: Capsule, way: Vector, by: float) -> Capsule:
    return Capsule(Line(body.start, way).at(by), Line(body.end, way).at(by), body.radius)


def _box(body: Capsule) -> tuple[float, ...]:
    (x, y, z), (u, v, w), radius = body
    low = ((x if x < u else u) - radius, (y if y < v else v) - radius, (z if z < w else w) - radius)
    return (*low, (u if x < u else x) + radius, (v if y < v else y) + radius, (w if z < w else z) + radius)


def _near(first: tuple[float, ...], second: tuple[float, ...], least: float) -> bool:
    return all(first[i] - least < second[i + 3] and second[i] - least < first[i + 3] for i in range(3))
