"""A face of a post and what meets it (cables, fittings, brackets, wires) turned into marks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from jiggen.geometry import Line, Point, Vector
from jiggen.handbook.screws import Screw
from jiggen.job.model import Bracket, Fitting, Job, Ramp, Wire
from jiggen.plan.faces import View, bare_face
from jiggen.plan.holes import (
    TAP_LEAD,
    Hole,
    bored_square,
    cable_hole,
    hollow_wall,
    passing,
    screw_hole,
    slanting,
    square_depth,
    up_to_drill,
)
from jiggen.plan.lines import Stand, side_direction
from jiggen.plan.model import Mark, Outline, PostFace, Purpose, RunLine
from jiggen.plan.prism import Face, arc_place

INTO = Vector(0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Bench:
    """One face being marked: everything that its marks are worked out from. ``lead``: holes of screws, each worked out
    once."""

    job: Job
    stand: Stand
    face: PostFace
    line: RunLine
    lead: dict[Screw, Hole] = field(default_factory=dict, compare=False)

    @property
    def frame(self) -> Face:
        return self.face.frame

    def mark(
        self,
        label: str,
        purpose: Purpose,
        cable: int | None,
        at: Point,
        axis: Vector,
        hole: Hole,
        depth: float,
        through: bool,
        what: str,
        slot: tuple[float, float] = (0.0, 0.0),
        body: float = 0.0,
        reach: float = 0.0,
        wall: float = 0.0,
        meets: str = "",
        other: str = "",
    ) -> Mark:
        """The mark at (u, v) ``at``, its heights told from every line that they are measured from."""
        world = self.frame.world(at.x, at.y)
        x = self.line.along(world)
        drop = self.face.underside[0] + self.face.underside[1] * at.x - at.y
        height = world.z - self.line.reference(x)
        tread = self.line.reference(x) if isinstance(self.line.ground, Ramp) else self.stand.base.z
        return Mark(
            id=f"{self.face.id}/{label}",
            post=self.stand.id,
            face=self.face.name,
            label=label,
            purpose=purpose,
            run=self.line.id,
            cable=cable,
            u=at.x,
            v=at.y,
            drop=drop,
            height=height,
            above_tread=world.z - tread,
            axis=axis,
            diameter=hole.diameter,
            drill=hole.drill,
            depth=depth,
            through=through,
            what=what,
            why=hole.why,
            slot=slot,
            body=max(body, hole.diameter),
            tap=hole.tap,
            clears=hole.clears,
            wall=wall,
            reach=max(reach, depth),
            replaces=hole.replaces,
            meets=meets,
            other=other,
        )


def marked_face(job: Job, stand: Stand, view: View, far: View | None) -> PostFace:
    """The face that ``view`` looks out of, with all its marks. ``far``: the view at the cables' other side, of another run
    where they are led on round the post."""
    face = bare_face(stand, view.name, view.frame, view.line, view.outward)
    bench = Bench(job, stand, face, view.line)
    marks: list[Mark] = []
    outlines: list[Outline] = []
    if view.fitting:
        fitting = job.fittings[view.fitting]
        for number, drop in enumerate(view.line.drops, 1):
            centre = fitting_centre(view, fitting, drop)
            outlines.append(_outline(centre, fitting, number))
            marks.extend(_fitting_marks(bench, view, fitting, number, centre))
    else:
        hole = cable_hole(job, stand.kind, passing(job, *view.line.fitted))
        for number, drop in enumerate(view.line.drops, 1):
            marks.append(_bore(bench, view, far, hole, number, drop))
    for bracket, drop in () if stand.between else _brackets(job, view.line):
        at = _bracket_place(stand, view, drop)
        found, outline = _bracket_marks(bench, bracket, at, 1 + _count(marks, "bracket"))
        marks.extend(found)
        outlines.append(outline)
    marks.extend(_run_wires(bench, view))
    fittings = (view.fitting,) if view.fitting else ()
    return replace(face, marks=tuple(marks), outlines=tuple(outlines), fittings=fittings)


def side_faces(job: Job, stand: Stand, line: RunLine, faces: Iterable[PostFace]) -> Iterator[PostFace]:
    """The deck side and open side of the post where a wire asks for a hole there."""
    other = "right" if line.guard.deck == "left" else "left"
    for name, side in (("deck side", line.guard.deck), ("open side", other)):
        wires = [wire for wire in _wires_of(job, stand, line) if wire.face == name]
        if not wires:
            continue
        direction = side_direction(line, side)
        frame = stand.prism.face_toward(direction, direction)
        bench = Bench(job, stand, bare_face(stand, name, frame, line, direction), line)
        marks = []
        for index, wire in enumerate(wires, 1):
            hole = up_to_drill(wire.diameter, job, "wire hole as asked for")
            at = Point(0.0, bench.face.underside[0] - wire.drop)
            depth = _depth(bench, frame.world(0.0, at.y), frame.normal.times(-1.0))
            marks.append(bench.mark(f"W{index}", "wire", None, at, INTO, hole, depth, True, "wire"))
        yield replace(bench.face, marks=tuple(marks))


def fitting_centre(view: View, fitting: Fitting, drop: float) -> Point:
    """(u, v) of the pattern's centre: the cable's line crossed with the pivot's plane, carried square onto the face.

    A rigid fitting has it where the line meets the face.
    """
    out, up = fitting.pivot or (0.0, 0.0)
    line = view.line.line(drop)
    skin = view.frame.meets(line) if fitting.pivot is None else None
    if skin is not None:
        return view.frame.place(skin)
    point = view.frame.plane(out).meets(line)
    assert point is not None
    off = point.minus(view.frame.origin)
    across = off.dot(view.frame.right)
    if view.frame.radius:
        across = arc_place(across, view.frame.radius)
    return Point(across, off.dot(view.frame.up) - up)


def pivot_point(view: View, fitting: Fitting, drop: float) -> Vector:
    """The pivot in the world (a rigid fitting: where the line meets the face's plane)."""
    out = fitting.pivot[0] if fitting.pivot else 0.0
    point = view.frame.plane(out).meets(view.line.line(drop))
    assert point is not None
    return point


def _outline(centre: Point, fitting: Fitting, number: int) -> Outline:
    across, up = fitting.outline
    return Outline(centre.x, centre.y, across, up, fitting.name, "fitting", number)


def _bore(bench: Bench, view: View, far: View | None, hole: Hole, number: int, drop: float) -> Mark:
    """A cable's hole where it passes: along the cable, or square to the wall and centred in its middle.

    Where it is led on round the post each face has a bore of its own along its leg. In a solid post they meet on the post's
    axis, where the legs' lines do; each goes half a hole further, so that they run into each other.
    """
    kind, cable = bench.stand.kind, view.line.line(drop)
    turns = far is None or far.line is not view.line
    behind = f"{bench.stand.id}/{far.name}/{number}" if far else ""
    meets, other = (behind, "") if turns else ("", behind)
    into = cable.direction if cable.direction.dot(view.outward) < 0.0 else cable.direction.times(-1.0)
    wall = hollow_wall(kind)
    if bored_square(kind) and (wall or not turns):
        return _square_bore(bench, cable, into, hole, number, meets, other)
    point = bench.frame.meets(cable) or bench.frame.plane().meets(cable)  # a line past a round post: told by checks
    assert point is not None
    at = view.frame.place(point)
    axis = view.frame.components(into, at.x if view.frame.radius else 0.0)
    leaves = far.frame.meets(cable) if far else None
    depth = leaves.minus(point).length() if leaves else kind.along
    if turns:
        depth = view.line.at_end(view.index, drop).minus(point).length() + hole.diameter / 2.0
    if wall:
        depth = wall / axis.z
    through = bool(wall) or not turns
    return bench.mark(
        str(number), "cable", number, at, axis, hole, depth, through, "cable", wall=wall, meets=meets, other=other
    )


def _square_bore(bench: Bench, cable: Line, into: Vector, hole: Hole, number: int, meets: str, other: str) -> Mark:
    """A hole square to the face, centred where the cable crosses the wall's middle; where it slants a slot, or the one
    round hole that stands for it."""
    frame, kind = bench.frame, bench.stand.kind
    wall = square_depth(kind)
    point = frame.plane(-wall / 2.0).meets(cable)
    assert point is not None
    off = point.minus(frame.origin)
    across = off.dot(frame.right)
    at = Point(arc_place(across, frame.radius) if frame.radius else across, off.dot(frame.up))
    told = frame.components(into, at.x if frame.radius else 0.0)
    passes = passing(bench.job, *bench.line.fitted)
    hole, slot = slanting(bench.job, kind, hole, told, passes)
    thin = hollow_wall(kind)
    return bench.mark(
        str(number), "cable", number, at, INTO, hole, wall, True, "cable", slot, wall=thin, meets=meets, other=other
    )


def _fitting_marks(bench: Bench, view: View, fitting: Fitting, number: int, centre: Point) -> Iterator[Mark]:
    """The screws of one end fitting, and its own bore where it has one (a stud)."""
    if fitting.bore is not None:
        hole = up_to_drill(fitting.bore, bench.job, f"bore of {fitting.name}")
        direction = _inward(view, number) if fitting.at_rake else view.frame.normal.times(-1.0)
        world = bench.frame.world(centre.x, centre.y)
        deep = _depth(bench, world, direction)
        through = fitting.bore_depth is None or fitting.bore_depth > deep - 1e-9
        depth = deep if through or fitting.bore_depth is None else fitting.bore_depth
        axis = bench.frame.components(direction, centre.x if bench.frame.radius else 0.0)
        yield bench.mark(str(number), "cable", number, centre, axis, hole, depth, through, fitting.name)
    if fitting.screw is None:
        return
    for letter, (across, up) in zip(_letters(len(fitting.screws)), fitting.screws, strict=True):
        at = _on_face(bench.frame, centre, across, up)
        yield _screw_mark(bench, f"{number}{letter}", "screw", number, at, fitting, fitting.screw)


def _inward(view: View, number: int) -> Vector:
    """The way of a cable into the post, straight between the ends of its run as built."""
    way = view.line.line(view.line.drops[number - 1]).direction
    return way if way.dot(view.outward) < 0.0 else way.times(-1.0)


def _screw_mark(
    bench: Bench, label: str, purpose: Purpose, number: int | None, at: Point, piece: Fitting | Bracket, screw: Screw
) -> Mark:
    """One screw of a fitting or bracket at ``at``: into the wood, through a wall, or right through for a bolt."""
    hole = bench.lead.get(screw) or bench.lead.setdefault(screw, screw_hole(bench.job, bench.stand.kind, screw))
    axis, reach = _square_axis(bench.frame, at), screw.length - piece.flange
    depth, through, wall = reach, False, 0.0
    if screw.bolt:
        depth = reach = _square_depth(bench, at)
        through = True
    elif hollow_wall(bench.stand.kind):
        wall = hollow_wall(bench.stand.kind)
        depth, through = wall / axis.z, True
    elif bench.stand.kind.material.kind == "metal" and bench.stand.kind.core is None and screw.kind == "machine":
        drilled, deep = reach + TAP_LEAD * (screw.pitch or 0.0), _square_depth(bench, at)
        through = bool(hole.clears) or drilled > deep - 1.0
        depth = deep if through else drilled
    what = f"{piece.name}, {screw.text}"
    return bench.mark(
        label, purpose, number, at, axis, hole, depth, through, what, body=screw.shank, reach=reach, wall=wall
    )


def _on_face(frame: Face, centre: Point, across: float, up: float) -> Point:
    if frame.radius:
        return Point(arc_place(across, frame.radius) + centre.x, centre.y + up)
    return Point(centre.x + across, centre.y + up)


def _square_axis(frame: Face, at: Point) -> Vector:
    """A screw goes in square to its flange: straight on a flat face, slanting to a round one's surface."""
    return frame.components(frame.normal.times(-1.0), at.x) if frame.radius else INTO


def _letters(count: int) -> list[str]:
    return [chr(ord("a") + index) if index < 26 else f"z{index - 25}" for index in range(count)]


def _square_depth(bench: Bench, at: Point) -> float:
    """Way through the post square to its face at ``at``, mm."""
    return _depth(bench, bench.frame.world(at.x, at.y), bench.frame.normal.times(-1.0))


def _depth(bench: Bench, point: Vector, direction: Vector) -> float:
    """Way through the post from ``point`` along ``direction``, mm."""
    crossing = bench.stand.prism.through(Line(point, direction))
    if crossing is None:
        return bench.stand.kind.along
    return max(point.minus(end).length() for end in crossing)


def _brackets(job: Job, line: RunLine) -> Iterator[tuple[Bracket, float]]:
    """The brackets on each run face, with the vertical drop of their rail's underside."""
    guard = line.guard
    if guard.bracket and guard.rail.sits == "between":
        yield job.brackets[guard.bracket], 0.0
    name = guard.bottom_bracket or guard.bracket
    if guard.bottom_rail and name:
        yield job.brackets[name], line.height - line.rail_drop - line.gap


def _bracket_place(stand: Stand, view: View, drop: float) -> Point:
    """(u, v) where a rail whose underside lies ``drop`` below the top one's meets the face. As built the top rail lies where
    it was taped, also at a post that the straight cables pass elsewhere, and the bottom rail over the walking surface as
    planned."""
    line, frame = view.line, view.frame
    origin = frame.meets(line.line(drop)) or frame.plane().meets(line.line(drop))
    assert origin is not None
    at = frame.place(origin)
    if not line.lifts:
        return at
    lift = line.lifts[line.posts.index(stand.id)] if not drop else 0.0
    over = line.underside(line.along(origin)) - drop + lift - origin.z
    return Point(at.x, at.y + over / (frame.up.z - line.slope * frame.up.dot(line.level)))


def _bracket_marks(bench: Bench, bracket: Bracket, at: Point, number: int) -> tuple[list[Mark], Outline]:
    marks = []
    for index, (across, up) in enumerate(bracket.screws):
        place = _on_face(bench.frame, at, across, up)
        marks.append(_screw_mark(bench, f"B{number + index}", "bracket", None, place, bracket, bracket.screw))
    acrosses, ups = [s[0] for s in bracket.screws], [s[1] for s in bracket.screws]
    middle = (max(acrosses) + min(acrosses)) / 2.0, (max(ups) + min(ups)) / 2.0
    outline = Outline(at.x + middle[0], at.y + middle[1], *bracket.outline, what=bracket.name, purpose="bracket")
    return marks, outline


def _count(marks: Iterable[Mark], purpose: str) -> int:
    return sum(mark.purpose == purpose for mark in marks)


def _wires_of(job: Job, stand: Stand, line: RunLine) -> Iterator[Wire]:
    if stand.between:
        return
    yield from job.run_by_id[line.id].wires
    yield from stand.kind.wires


def _run_wires(bench: Bench, view: View) -> Iterator[Mark]:
    """Wire holes on the face towards a neighbour; they run along the cables, through the post."""
    wires = [wire for wire in _wires_of(bench.job, bench.stand, view.line) if wire.face == view.name]
    for index, wire in enumerate(wires, 1):
        line = view.line.line(wire.drop)
        point = bench.frame.meets(line)
        if point is None:
            continue
        at = view.frame.place(point)
        hole = up_to_drill(wire.diameter, bench.job, "wire hole as asked for")
        direction = view.outward.times(-1.0)
        axis = view.frame.components(direction, at.x if view.frame.radius else 0.0)
        yield bench.mark(f"W{index}", "wire", None, at, axis, hole, _depth(bench, point, direction), True, "wire")


def edge_room(face: PostFace, mark: Mark) -> float:
    """From the mark's centre to the nearest side edge of a flat face, mm; endless on a round post."""
    return float("inf") if face.frame.radius else face.frame.width / 2.0 - abs(mark.u)
