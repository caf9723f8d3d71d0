"""A face of a post turned into what a jig is built round: guides as lines in the jig's frame, sides, seat."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, cos, hypot, sin

from jiggen.geometry import UP, Point, Vector
from jiggen.job.model import JigWish
from jiggen.plan.alike import seat_height
from jiggen.plan.jigs.model import RUN, WEB, Hole, Use
from jiggen.plan.model import Group, Mark, Outline, Plan, Post, PostFace, RunLine

SQUARE = 1e-3  # slope of an axis against the board's normal below which the bore counts as square
DEEP = 5.0  # a stack guides over so many drill diameters
CROWN = 8.0  # what a saddle keeps between plate and post, mm
WRAP = 1.0471975511965976  # a saddle reaches round the post by 60 degrees on each side


CENTRE = Point(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Guide:
    """A drill's axis in the jig's frame: through ``point`` on the post's skin, along ``axis`` into the post.

    ``slot``: from the middle to each end hole, where both run into one slot.
    """

    id: str
    label: str
    point: Vector
    axis: Vector
    drill: float
    drill_name: str
    hole: float
    purpose: str
    slot: Point = CENTRE

    @property
    def raked(self) -> bool:
        return hypot(self.axis.x, self.axis.y) / abs(self.axis.z) > SQUARE

    def at(self, w: float) -> Point:
        """(u, v) of the axis ``w`` out of the face."""
        step = (w - self.point.z) / self.axis.z
        return Point(self.point.x + self.axis.x * step, self.point.y + self.axis.y * step)

    def hole_in(self, low: float, high: float, index: bool = False) -> Hole:
        """The hole in a board that fills from ``low`` to ``high`` out of the face: the bore swept through it."""
        use: Use = "index" if index else "guide"
        if self.slot != CENTRE:
            half = hypot(*self.slot)
            way = Point(self.slot.x / half, self.slot.y / half)
            return Hole(self.at((low + high) / 2.0), self.hole, use, self.id, 2.0 * half, 1.0, way, self.drill)
        across = hypot(self.axis.x, self.axis.y)
        trace = Point(self.axis.x / across, self.axis.y / across) if self.raked else Point(1.0, 0.0)
        stretch = (high - low) * across / abs(self.axis.z) if self.raked else 0.0
        slant = 1.0 / abs(self.axis.z) if self.raked else 1.0
        at = self.at((low + high) / 2.0)
        return Hole(at, self.hole, use, self.id, stretch, slant, trace, self.drill)


@dataclass(frozen=True)
class Site:
    """What a jig is built round, in its frame (mm).

    ``half``: half the face's width (the radius on a round post). ``depth``: of the post behind the face.
    ``radius``: 0 on a flat face. ``stop``: (a, b) of the underside, None where no rail stands out of the face.
    ``rail``: (middle at w = 0, its shift a mm of w, half its width along u). ``lead``: w of the plate's back. ``faces``: ids of
    the drawn post's faces that it serves. ``ribs``: whether the stop's ribs find room.
    """

    plan: Plan
    group: Group
    face: PostFace
    post: Post
    wish: JigWish
    guides: tuple[Guide, ...]
    half: float
    depth: float
    radius: float
    underside: tuple[float, float]
    rail: tuple[float, float, float] | None
    brackets: tuple[Outline, ...]
    lead: float
    layers: int
    faces: tuple[str, ...] = ()
    ribs: bool = True

    @property
    def q(self) -> float:
        return self.wish.thickness

    @property
    def bar(self) -> bool:
        """A loose spacer bar: it is laid into a channel."""
        return self.post.role == "spacer"

    @property
    def on_deck(self) -> bool:
        return self.group.datum == "deck"

    @property
    def stops(self) -> bool:
        """Whether a stop seats under a rail that is in place."""
        return self.rail is not None and not self.bar

    def layer(self, index: int) -> tuple[float, float]:
        """w of the back and the front of layer ``index``, 0 for the plate."""
        return self.lead + index * self.q, self.lead + (index + 1) * self.q

    def hole(self, guide: Guide, index: int, pinned: bool = False) -> Hole:
        """The hole of ``guide`` in layer ``index``: its middle (index + 1/2) thicknesses along the bore's trace."""
        return guide.hole_in(*self.layer(index), pinned)

    def extent(self, guide: Guide, layers: int | None = None) -> tuple[float, float]:
        """v from and to which the guide's holes reach over the layers."""
        holes = [self.hole(guide, i) for i in range(self.layers if layers is None else layers)]
        return min(h.at.y - h.reach for h in holes), max(h.at.y + h.reach for h in holes)


def site(plan: Plan, group: Group, face: PostFace, wish: JigWish, faces: tuple[str, ...] = ()) -> Site:
    """The site of one face of a group; ``faces``: all that the jig serves on the drawn post."""
    post, line = plan.post_by_id[face.post], next(run for run in plan.runs if run.id == face.run)
    seat = seat_height(face, group.datum, 0.0)
    hidden = group.datum == "underside"
    marks = [m for m in face.marks if not (hidden and m.purpose == "bracket")]
    guides = tuple(g for m in sorted(marks, key=lambda m: (-m.v, m.u)) for g in _guides(m, face, seat, wish))
    frame, prism = face.frame, post.prism
    radius = frame.radius
    depth = prism.depth(frame.normal)
    facing = face.name.startswith("toward ") and hidden
    brackets = tuple(o for o in face.outlines if o.purpose == "bracket" and hidden)
    raked = [g for g in guides if g.raked]
    layers = max([1, *(ceil(DEEP * g.drill / wish.thickness) for g in raked)])
    return Site(
        plan,
        group,
        face,
        post,
        wish,
        guides,
        prism.half_across(frame.right),
        depth,
        radius,
        _underside(face, line),
        _rail(face, line, depth) if facing else None,
        tuple(_shifted(o, seat) for o in brackets),
        CROWN if radius else 0.0,
        layers,
        faces or (face.id,),
    )


def _guides(mark: Mark, face: PostFace, seat: float, wish: JigWish) -> list[Guide]:
    """The axis of a mark; of a slot the two axes of its end holes, or one slot where they stand too near."""
    ends = [(0.0, 0.0, "")]
    hole = wish.bushing if wish.bushing else mark.drill.diameter + RUN
    if mark.axis.z < 1.0 - 1e-6 and hypot(mark.axis.x, mark.axis.y) / mark.axis.z > SQUARE:
        hole = mark.drill.diameter + RUN
    slot = Point(*mark.slot)
    if hypot(*slot) > 1e-6 and 2.0 * hypot(*slot) >= hole + WEB:
        ends = [(slot.x, slot.y, ":1"), (-slot.x, -slot.y, ":2")]
        slot = CENTRE
    found = []
    for du, dv, tail in ends:
        u, radius = mark.u + du, face.frame.radius
        turn = u / radius if radius else 0.0
        c, s = cos(turn), sin(turn)
        point = Vector(radius * s if radius else u, mark.v + dv - seat, radius * (c - 1.0))
        across, up, inward = mark.axis
        axis = Vector(across * c - inward * s, up, -across * s - inward * c)
        found.append(
            Guide(
                mark.id + tail, mark.label, point, axis, mark.drill.diameter, mark.drill.name, hole, mark.purpose, slot
            )
        )
    return found


def _underside(face: PostFace, line: RunLine) -> tuple[float, float]:
    """(a, b) of the underside v = a u + b w about the datum at the face's centre line."""
    square = UP.minus(line.level.times(line.slope))  # normal of every plane that climbs with the run
    frame = face.frame
    up = square.dot(frame.up)
    return -square.dot(frame.right) / up, -square.dot(frame.normal) / up


def _rail(face: PostFace, line: RunLine, depth: float) -> tuple[float, float, float]:
    """Where the rail leaves the face: its middle at w = 0, its shift a mm of w, half its width along u."""
    frame = face.frame
    way = line.level if line.level.dot(frame.normal) > 0.0 else line.level.times(-1.0)
    out = way.dot(frame.normal)
    shift = way.dot(frame.right) / out
    return depth / 2.0 * shift, shift, line.guard.rail.width / 2.0 / out


def _shifted(o: Outline, seat: float) -> Outline:
    return Outline(o.u, o.v - seat, o.across, o.up, o.what, o.purpose, o.cable)
