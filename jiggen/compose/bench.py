"""One face to be drawn and the frame of its sheet: places on the face turned into places on the drawing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from math import acos, cos, fsum, pi, sin, tan

from jiggen.geometry import Point, Vector
from jiggen.job.model import Datum, Job, Ramp
from jiggen.plan.alike import seat_climb, seat_height
from jiggen.plan.lines import side_direction
from jiggen.plan.model import Group, Mark, Outline, Plan, Post, PostFace, RunLine
from jiggen.plan.strips import turn_from_deck

FLAP = 14.0  # paper beyond each edge of the face
LEAST_FLAP = 10.5  # the same where it saves a column of pages: room for the edge scales and two lines of lettering
WIDEST = 184.0  # a sheet is no wider than this unless its face asks for it
NARROWEST = 152.0
PAPER = 0.1  # thickness of paper round a post, mm (common practice, no source)


def within(mark: Mark, outline: Outline) -> bool:
    """Whether a mark's middle lies in an outline of its face."""
    return abs(mark.v - outline.v) < outline.up / 2.0 and abs(mark.u - outline.u) < outline.across / 2.0


@dataclass(frozen=True)
class Bench:
    """What one face of a sheet is drawn from.

    ``centre``: x of its centre line; ``left``, ``right``: what of the sheet is this face's, flaps included;
    ``seat_y``: y of the datum at the centre line. ``stretch``: mm of paper for a mm of the face, across: paper
    rolled round a post lies half its thickness further out.
    """

    plan: Plan
    group: Group
    post: Post
    face: PostFace
    line: RunLine
    centre: float
    left: float
    right: float
    seat_y: float = 0.0
    stretch: float = 1.0

    @cached_property
    def marks(self) -> tuple[Mark, ...]:
        """The marks that this sheet shows."""
        return tuple(mark for mark in self.face.marks if self.group.shows(mark))

    @property
    def job(self) -> Job:
        return self.plan.job

    @property
    def datum(self) -> Datum:
        return self.group.datum

    @property
    def width(self) -> float:
        """Width of this face's part of the sheet."""
        return self.right - self.left

    @property
    def half(self) -> float:
        """Half the width of the face; of a round post's face a quarter of the way round."""
        return self.face.frame.width / 2.0

    @property
    def seat(self) -> float:
        """v of the datum at the face's centre line."""
        return seat_height(self.face, self.datum, 0.0)

    @property
    def climb(self) -> float:
        """Climb of the datum line a mm of u: it slants on a skewed face of a raked run and on a post that leans."""
        return seat_climb(self.face, self.datum)

    def rises(self, turn: float) -> float:
        """How much higher than at the face's centre line the datum runs round a round post, ``turn`` radians to the right on
        paper: nothing, or the cosine that a slanting plane cuts; mm along the post."""
        frame, level = self.face.frame, self.line.level
        slope = 0.0 if self.datum == "deck" and not isinstance(self.line.ground, Ramp) else self.line.slope
        out = frame.normal.times(frame.radius * (cos(turn) - 1.0)).plus(frame.right.times(frame.radius * sin(turn)))
        return (slope * out.dot(level) - out.z) / (frame.up.z - slope * frame.up.dot(level))

    def place(self, u: float, v: float) -> Point:
        """(x, y) on the drawing of (u, v) on the face."""
        return Point(self.centre + u * self.stretch, self.seat_y + v - self.seat)

    def from_datum(self, mark: Mark) -> float:
        """Distance of a mark from the datum line at its own u, vertical, positive."""
        return abs(seat_height(self.face, self.datum, mark.u) - mark.v)

    @cached_property
    def outlines(self) -> tuple[Outline, ...]:
        """The outlines that belong to marks shown."""
        hidden = self.group.hides_brackets
        return tuple(o for o in self.face.outlines if not (hidden and o.purpose == "bracket"))

    @cached_property
    def _around(self) -> dict[str, tuple[Outline, ...]]:
        return {mark.id: tuple(one for one in self.outlines if within(mark, one)) for mark in self.marks}

    def around(self, mark: Mark) -> tuple[Outline, ...]:
        """The outlines that a mark of this sheet lies in."""
        return self._around[mark.id]

    @property
    def notches(self) -> tuple[Outline, ...]:
        """Outlines of brackets that are in place already and that the paper has to clear."""
        hidden = self.group.hides_brackets
        return tuple(o for o in self.face.outlines if hidden and o.purpose == "bracket")

    def named(self, outline: Outline) -> dict[str, tuple[str, ...]]:
        """What the real pieces on an outline of this face are called, each with where it sits: the posts, of one whose
        faces carry different pieces the face too ("4 toward 5")."""
        at, every, own = self.face.outlines.index(outline), self.group, self.face.id
        known = own in self.plan.face_by_id and own in every.strip  # a sample's face is on no post
        alike = every.faces[every.strip.index(own) :: every.drawn] if known else ()
        found: dict[str, list[PostFace]] = {}
        for face in (self.plan.face_by_id[name] for name in alike):
            if at < len(face.outlines):  # alike by its marks, a piece without any is on one of them alone
                found.setdefault(face.outlines[at].what, []).append(face)
        several = Counter(post for faces in found.values() for post in {face.post for face in faces})
        places = {  # whole posts first: what is read after "toward 5," is no other post that it looks toward
            what: tuple(dict.fromkeys(f"{f.post} {f.name}" if twice else f.post for twice, f in ordered))
            for what, faces in found.items()
            if (ordered := sorted(((several[f.post] > 1, f) for f in faces), key=lambda pair: pair[0]))
        }
        return places or {outline.what: (self.post.id,)}

    @property
    def raked(self) -> bool:
        return abs(self.face.slope) > 1e-6


@dataclass(frozen=True, slots=True)
class Room:
    """What one page shows of a sheet, mm, and how far pages go under each other."""

    width: float
    height: float
    overlap: float


@dataclass(frozen=True)
class Strip:
    """The faces of one sheet from left to right. ``folds``: x of every fold line between them, outer edges
    included; ``arcs``: where eased corners lie, from x to x. ``girth``: of a round post's strip, 0 else. ``joins``: x
    of the joins between columns of pages."""

    benches: tuple[Bench, ...]
    width: float
    folds: tuple[float, ...]
    arcs: tuple[tuple[float, float], ...] = ()
    girth: float = 0.0
    joins: tuple[float, ...] = ()

    @property
    def first(self) -> Bench:
        return self.benches[0]

    @property
    def railed(self) -> bool:
        """Whether a rail leaves the post by one of the strip's faces."""
        return any(bench.face.name.startswith("toward") for bench in self.benches)

    @property
    def left(self) -> float:
        """x of the strip's outer left edge: the face's edge, or where a round post's paper meets."""
        return self.folds[0]

    @property
    def right(self) -> float:
        return self.folds[-1]

    def seated(self, y: float) -> Strip:
        """The strip with the walking surface (v = 0) at ``y``."""
        benches = tuple(replace(bench, seat_y=y + bench.seat) for bench in self.benches)
        return replace(self, benches=benches)


def strip(plan: Plan, group: Group, room: float, face: PostFace | None = None) -> Strip:
    """The strip of a group's sheet, not yet seated. ``room``: width that one page shows; ``face``: of a sample."""
    faces = [face] if face else [plan.face_by_id[name] for name in group.strip]
    post = plan.post_by_id.get(faces[0].post) or plan.posts[0]
    lines = {line.id: line for line in plan.runs}
    if post.prism.round and not face:
        return _round_strip(plan, group, post, faces, lines, room)
    cells: list[list[PostFace]] = []
    for one in faces:
        if cells and cells[-1][0].frame.normal.dot(one.frame.normal) > 1.0 - 1e-9:
            cells[-1].append(one)
        else:
            cells.append([one])
    corners = [_corner(post.kind.radius, *(cell[0].frame.normal for cell in pair)) for pair in pairwise(cells)]
    long = fsum(cell[0].frame.width for cell in cells) + fsum(arc - 2.0 * short for arc, short in corners)
    reach = max((abs(mark.u) + mark.diameter for one in cells[0] for mark in one.marks), default=0.0)
    width = max(min(room, WIDEST), _flapped(long, room), NARROWEST, 2.0 * (reach + 4.0) if len(cells) == 1 else 0.0)
    x = (width - long) / 2.0
    folds: list[float] = [x]
    arcs: list[tuple[float, float]] = []
    benches: list[Bench] = []
    for index, cell in enumerate(cells):
        wide, last = cell[0].frame.width, index == len(cells) - 1
        before, short = corners[index - 1] if index else (0.0, 0.0)
        start = x - short  # where the face's edge would be if it were sharp
        arc, short = (0.0, 0.0) if last else corners[index]
        end = start + wide - short
        left = 0.0 if index == 0 else x - before / 2.0
        right = width if last else end + arc / 2.0
        benches += [Bench(plan, group, post, one, lines[one.run], start + wide / 2.0, left, right) for one in cell]
        folds.append(end)
        if arc:
            arcs.append((end, end + arc))
            folds.append(end + arc)
        x = end + arc
    return Strip(tuple(benches), width, tuple(folds), tuple(arcs))


def _flapped(long: float, room: float) -> float:
    """The width of a strip ``long`` mm wide with its flaps, which are narrower where that makes one page hold it."""
    return max(room, long + 2.0 * LEAST_FLAP) if long + 2.0 * LEAST_FLAP <= room else long + 2.0 * FLAP


def _corner(radius: float, first: Vector, second: Vector) -> tuple[float, float]:
    """The length of an eased corner's arc between two faces, and by how much it shortens each of them, mm."""
    turn = acos(max(-1.0, min(1.0, first.dot(second))))
    return radius * turn, radius * tan(turn / 2.0)


def _round_strip(
    plan: Plan, group: Group, post: Post, faces: Sequence[PostFace], lines: Mapping[str, RunLine], room: float
) -> Strip:
    """A round post unrolled: the middle of its deck side in the middle, the paper meeting on the open side."""
    line = lines[faces[0].run]
    deck = side_direction(line, line.guard.deck)
    girth = pi * (post.kind.along + PAPER)
    width = max(_flapped(girth, room), NARROWEST)
    middle = width / 2.0
    places = [turn_from_deck(deck, one) / (2.0 * pi) * girth + middle for one in faces]
    edges = [0.0, *((a + b) / 2.0 for a, b in pairwise(places)), width]
    benches = tuple(
        Bench(plan, group, post, one, lines[one.run], x, edges[i], edges[i + 1], stretch=girth / (pi * post.kind.along))
        for i, (one, x) in enumerate(zip(faces, places, strict=True))
    )
    return Strip(benches, width, (middle - girth / 2.0, middle + girth / 2.0), (), girth)
