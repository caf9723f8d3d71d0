"""Bores of end fittings turned into marks where they come out of their post, on the face that looks away."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from jiggen.geometry import Line
from jiggen.job.model import Job
from jiggen.plan.faces import AWAY, View, bare_face
from jiggen.plan.holes import Hole, hollow_wall
from jiggen.plan.lines import Stand
from jiggen.plan.marks import Bench
from jiggen.plan.model import Mark, Outline, PostFace
from jiggen.plan.prism import Face
from jiggen.plan.words import whole_label


def with_exits(job: Job, stand: Stand, seen: Sequence[View], faces: Sequence[PostFace]) -> list[PostFace]:
    """The faces of a post, each through bore of an end fitting tied to the mark where it comes out, and the faces that
    look away from where cables end, with those marks.

    ``faces``: of ``seen``, in its order. A bore comes out where its axis meets the far side of the post; in a hollow post
    each of its two ends is the hole through that wall. Where the far side carries marks of its own, the exits are labelled
    with their cable's whole name. Wires' holes that go through beside studs are marked there too. A washer's outline stands round an exit where the fitting has one.
    """
    entered: list[PostFace] = []
    away: list[PostFace] = []
    for view, face in zip(seen, faces, strict=True):
        bores = [mark for mark in face.marks if mark.purpose == "cable" and mark.through and face.fittings]
        frame = _far_side(stand, face, bores) if bores else None
        if frame is None:
            entered.append(face)
            continue
        shared = any(_same_side(frame, other.frame) for other in (*faces, *away))
        far = bare_face(stand, AWAY + view.neighbour, frame, view.line, frame.normal)
        bench = Bench(job, stand, far, view.line)
        wires = [mark for mark in face.marks if mark.purpose == "wire" and mark.through]
        pairs = dict(_pairs(bench, face, [*bores, *wires], shared))
        marks = tuple(pairs[mark.id][0] if mark.id in pairs else mark for mark in face.marks)
        entered.append(replace(face, marks=marks))
        outs = tuple(out for _, out in pairs.values())
        studs = [mark for mark in outs if mark.purpose == "cable"]
        away.append(replace(far, marks=outs, outlines=_washers(job, view, studs), fittings=face.fittings))
    return [*entered, *away]


def _far_side(stand: Stand, face: PostFace, bores: Sequence[Mark]) -> Face | None:
    """The side of the post by which the middle one of the bores leaves it; of a round one the side along the bore."""
    line = _axis(face, bores[len(bores) // 2])
    crossing = stand.prism.through(line)
    if crossing is None:
        return None  # it passes beside a round post: told by the checks
    if stand.prism.round:
        return stand.prism.face_toward(line.direction, line.direction)
    sides = [side for side in stand.prism.faces() if side.normal.dot(line.direction) > 1e-9]
    return min(sides, key=lambda side: abs(crossing[1].minus(side.origin).dot(side.normal)))


def _same_side(first: Face, second: Face) -> bool:
    return first.normal.dot(second.normal) > 1.0 - 1e-9


def _axis(face: PostFace, mark: Mark) -> Line:
    """A bore's axis in the world, from its mark into the post."""
    return Line(face.frame.world(mark.u, mark.v), face.frame.direction(mark.axis, mark.u))


def _pairs(
    bench: Bench, face: PostFace, bores: Sequence[Mark], shared: bool
) -> Iterator[tuple[str, tuple[Mark, Mark]]]:
    """Every bore's id with its mark as it is entered and the mark where it comes out, each tied to the other."""
    wall = hollow_wall(bench.stand.kind)
    for mark in bores:
        line = _axis(face, mark)
        point = bench.frame.meets(line) or bench.frame.plane().meets(line)
        if point is None:
            continue
        at = bench.frame.place(point)
        back = bench.frame.components(line.direction.times(-1.0), at.x if bench.frame.radius else 0.0)
        label = whole_label(mark.run, mark.label) if shared else mark.label
        hole = Hole(mark.diameter, mark.drill, mark.why)
        deep = point.minus(line.point).length()
        ends = (wall / mark.axis.z, wall / back.z) if wall else (deep, deep)
        out = bench.mark(label, mark.purpose, mark.cable, at, back, hole, ends[1], True, mark.what, wall=wall)
        yield (
            mark.id,
            (replace(mark, depth=ends[0], reach=ends[0], wall=wall, other=out.id), replace(out, other=mark.id)),
        )


def _washers(job: Job, view: View, outs: Sequence[Mark]) -> tuple[Outline, ...]:
    """The outline of what is screwed on behind the post, round every exit, where the fitting says how wide it is."""
    fitting = job.fittings[view.fitting]
    wide = fitting.washer
    if wide is None:
        return ()
    return tuple(Outline(m.u, m.v, wide, wide, f"washer of {fitting.name}", "ring", m.cable) for m in outs)
