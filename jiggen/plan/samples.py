"""The fittings, brackets and holes of a plan turned into sample faces: a practice piece, patterns to compare."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from jiggen.geometry import Vector
from jiggen.job.led import fitted_of
from jiggen.job.model import Job
from jiggen.plan.drilling import SLANT
from jiggen.plan.model import Group, Mark, Outline, Post, PostFace, Sample
from jiggen.plan.prism import Face

FIRST = 45.0  # from the datum to the first thing of a practice piece, mm
GAP = 22.0  # between one thing and the next
FRONT = 18.0  # half the height that a pattern takes at least, for the words beside it
BETWEEN = 13.0  # between a pattern and its side view: two pages may be joined there
ROWS = {"fitting": 4, "bracket": 2}  # of dimensions under it, one more where a post has walls; a ring has none
ROW = 9.0
SQUARE = Vector(0.0, 0.0, 1.0)


def samples(job: Job, posts: Sequence[Post]) -> tuple[Sample, ...]:
    """The practice piece (every kind of hole, fitting and bracket once) and the sheet of every pattern of the job."""
    faces = [face for post in posts for face in post.faces if face.name.startswith("toward")]
    if not faces:
        return ()
    found = [practice for practice in (_practice(faces),) if practice.face.marks]
    patterns = [*_patterns(faces), *_rings(job, posts)]
    if patterns:
        found.append(_check(job, faces[0], patterns))
    return tuple(found)


def _practice(faces: Sequence[PostFace]) -> Sample:
    """All that the job drills, once each: through holes and slots by size and kind, then fittings, then brackets."""
    ends = next((face for face in faces if face.fittings), faces[0])
    stack = _Stack("practice", "offcut", ends)
    for mark in _bores(faces):
        stack.add((), [mark], mark.v)
    for outline, marks in _patterns(faces, by_drill=True):
        stack.add((outline,), marks, outline.v)
    return stack.sample("P1", "practice", max(2.0 * face.frame.radius or face.frame.width for face in faces))


def _bores(faces: Sequence[PostFace]) -> list[Mark]:
    """One through hole of each drill and each way it is worked, a slot apart from a round one, a bore that climbs or falls
    at its steepest apart from a square one; two of a job's only kind."""
    marks = [mark for face in faces if not face.fittings for mark in face.marks if mark.purpose == "cable"]
    kinds: dict[tuple[str, float, str, bool, bool], list[Mark]] = {}
    for mark in marks:
        key = mark.drill.name, mark.diameter, mark.tap, mark.slotted > 0.0, abs(mark.axis.y) > SLANT
        kinds.setdefault(key, []).append(mark)
    found = [max(own, key=lambda mark: round(abs(mark.axis.y), 6)) for own in kinds.values()]
    tried = found if len(found) > 1 else marks[:2]
    return [replace(mark, axis=mark.axis if abs(mark.axis.y) > SLANT else SQUARE, meets="") for mark in tried]


def _check(job: Job, like: PostFace, patterns: Sequence[tuple[Outline, list[Mark]]]) -> Sample:
    stack = _Stack("fittings", "is this your fitting", like, 8.0)
    for outline, marks in patterns:
        low = front_half(outline) - outline.up / 2.0
        stack.add((outline,), marks, outline.v, low + side_room(job, outline) + 3.0)
    return stack.sample("F1", "fitting", max(outline.across for outline, _ in patterns) + 16.0)


def front_half(outline: Outline) -> float:
    """Half the height that a pattern takes on the sheet to compare."""
    return max(outline.up / 2.0, FRONT)


def side_half(job: Job, outline: Outline) -> float:
    """Half the height of a piece's side view, which stands under its pattern: the flange, or the pivot off its middle."""
    pivot = job.fittings[outline.what].pivot if outline.purpose == "fitting" else None
    return max(outline.up / 2.0, 8.0, abs(pivot[1]) + 6.0 if pivot else 0.0) + 2.0


def side_room(job: Job, outline: Outline) -> float:
    """The height that a piece's side view takes, the gap over it and its dimensions under it, mm."""
    if outline.purpose == "ring":
        return 0.0
    rows = ROWS[outline.purpose] + any(kind.wall or kind.material.kind == "metal" for kind in job.kinds.values())
    return BETWEEN + 2.0 * side_half(job, outline) + rows * ROW


def _patterns(faces: Sequence[PostFace], by_drill: bool = False) -> list[tuple[Outline, list[Mark]]]:
    """Each fitting and bracket once, with the marks of one piece; end fittings first.

    ``by_drill``: once for each way it is drilled, as posts of other stuff ask for other drills.
    """
    found: dict[tuple[str, tuple[tuple[str, str], ...]], tuple[Outline, list[Mark]]] = {}
    for face in faces:
        seen: set[str] = set()
        for outline in face.outlines:
            if outline.what in seen:
                continue
            if outline.purpose == "fitting":
                own = [m for m in face.marks if m.cable == outline.cable and m.purpose in ("cable", "screw")]
            else:
                own = [m for m in face.marks if m.purpose == "bracket" and _inside(m, outline)]
            if own:
                seen.add(outline.what)
                drills = tuple((mark.drill.name, mark.tap) for mark in own) if by_drill else ()
                found.setdefault((outline.what, drills), (outline, own))
    return sorted(found.values(), key=lambda pattern: pattern[0].purpose == "bracket")


def _rings(job: Job, posts: Sequence[Post]) -> list[tuple[Outline, list[Mark]]]:
    """What sits in a hole or must pass through it, as a circle of its own size: grommets, ends that are swaged on."""
    found: dict[tuple[str, float], tuple[Outline, list[Mark]]] = {}
    for post in posts:
        for face in post.faces:
            own = next((mark for mark in face.marks if mark.purpose == "cable" and not face.fittings), None)
            ring = _ring(job, post, face.run) if own else None
            if own and ring:
                name, size = ring
                flat = replace(own, axis=Vector(0.0, 0.0, 1.0), slot=(0.0, 0.0))
                found.setdefault(ring, (Outline(own.u, own.v, size, size, name, "ring"), [flat]))
    return list(found.values())


def _ring(job: Job, post: Post, run_id: str) -> tuple[str, float] | None:
    """Name and outside diameter of what the cable holes of a post hold or let pass, None for the bare cable."""
    if post.kind.grommet is not None:
        return f"grommet, post {post.kind.name}", post.kind.grommet
    run = job.run_by_id[run_id]
    fitted = fitted_of(job.runs, run) if job.leads_on else (run.start, run.finish)
    passes = {name: job.fittings[name].passes_through for name in fitted if name}
    name, size = max(((n, s) for n, s in passes.items() if s is not None), key=lambda pair: pair[1], default=("", 0.0))
    return (f"end of {name}", size) if size > job.cable.diameter + job.cable.clearance else None


def _inside(mark: Mark, outline: Outline) -> bool:
    near_u = abs(mark.u - outline.u) <= outline.across / 2.0
    return near_u and abs(mark.v - outline.v) <= outline.up / 2.0 and mark.what.startswith(outline.what)


class _Stack:
    """Things stacked downwards from a datum at v = 0, each centred on u = 0."""

    def __init__(self, post: str, name: str, like: PostFace, first: float = FIRST) -> None:
        self.post, self.name, self.like = post, name, like
        self.marks: list[Mark] = []
        self.outlines: list[Outline] = []
        self.low = GAP - first

    def add(self, outlines: Sequence[Outline], marks: Sequence[Mark], middle: float, below: float = 0.0) -> None:
        """One thing: its ``middle`` (v where it came from) goes one gap below the last one, ``below`` is left under it."""
        reach = max((outline.up / 2.0 for outline in outlines), default=4.0)
        side = outlines[0].u if outlines else marks[0].u
        at = self.low - GAP - reach
        self.low = at - reach - below
        for outline in outlines:
            self.outlines.append(replace(outline, u=outline.u - side, v=at + outline.v - middle))
        for mark in marks:
            v = at + mark.v - middle
            label = f"{len(self.marks) + 1}"
            self.marks.append(
                replace(
                    mark,
                    id=f"{self.post}/{self.name}/{label}",
                    post=self.post,
                    face=self.name,
                    label=label,
                    u=mark.u - side,
                    v=v,
                    drop=-v,
                )
            )

    def sample(self, sheet: str, kind: str, width: float) -> Sample:
        frame = self.like.frame
        flat = Face(frame.origin, frame.normal, frame.right, frame.up, width)
        face = replace(
            self.like,
            id=f"{self.post}/{self.name}",
            post=self.post,
            name=self.name,
            frame=flat,
            slope=0.0,
            skew=0.0,
            underside=(0.0, 0.0),
            reference=(0.0, 0.0),
            tread=(0.0, 0.0),
            rail_up=0.0,
            marks=tuple(self.marks),
            outlines=tuple(self.outlines),
            fittings=(),
        )
        return Sample(Group(sheet, (face.id,), (), kind, "underside"), face)
