"""A jig turned into its assembly page: parts numbered, drawn to scale as they go together and onto the post."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin

from jiggen.compose.exploded import Body, flat, seen
from jiggen.compose.lettering import heading, paragraph, reading
from jiggen.compose.loose import loose
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Drawing, Ink, Pen
from jiggen.geometry import Point, Vector
from jiggen.job.model import Job
from jiggen.plan.jigs.make import CAUTIONS
from jiggen.plan.jigs.model import Hole, Jig, Part
from jiggen.plan.model import Plan, PostFace
from jiggen.plan.words import capitals

SCALES = (2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 12.5, 16.0, 20.0, 25.0)  # 1 to this
APART = 55.0  # between what is put on in two steps, mm at full size
RAIL = 90.0  # how much of the rail is drawn, mm
POST = 30.0  # how much post is drawn beyond the jig, mm
COLUMN = 62.0  # of the list of parts, mm on the page
GAP = 35.0  # between two pieces of a jig, mm at full size
TEXT = 2.8
UNDER_ARROW = 23.0  # from the top of the picture to the first number below the arrow that points up, mm
LARGEST = 0.5  # share of the page that notes may take


@dataclass(frozen=True)
class _Picture:
    """Pieces that are seen, in mm at full size, and where each number points."""

    lines: tuple[tuple[str, Point, Point], ...]
    anchors: tuple[tuple[str, Point], ...]
    box: tuple[float, float, float, float]


def assembly(plan: Plan, jig: Jig, size: tuple[float, float], stock: str = "") -> Drawing:
    """The assembly page, ``size`` mm. ``stock``: a sentence about the panels (``Layout.words``)."""
    wide, high = size
    pen = Pen()
    y = high - 2.0
    y -= heading(pen, 2.0, y, capitals(f"jig {jig.title}"), 7.0, wide - 4.0) + 3.0
    y = paragraph(pen, 2.0, y, f"{plan.job.name}   {plan.fingerprint}   {stock}".rstrip(), TEXT, wide - 4.0) - 1.0
    told = [f"{p.level.upper()}: {p.place}: {p.found}; {p.remedy}." for p in jig.problems]
    notes = _fitting([*jig.notes, *CAUTIONS], told, wide, high * LARGEST)
    foot = _notes_height(notes, wide)
    if jig.face:
        _list(plan, pen, jig, wide - COLUMN, y, foot)
        _draw(pen, _picture(plan, jig), (2.0, foot + 6.0, wide - COLUMN - 2.0, y - 2.0))
    else:
        _list(plan, pen, jig, wide - COLUMN, y, foot)
        loose(pen, jig.parts, (2.0, foot + 6.0, wide - COLUMN - 4.0, y - 2.0))
    _notes(pen, notes, wide, foot)
    return pen.drawing(wide, high, f"Jig {jig.title}")


def _fitting(notes: list[str], problems: list[str], wide: float, room: float) -> list[str]:
    """Notes, and as many problems as there is room for; the rest is counted."""
    kept = list(problems)
    while kept and _notes_height([*notes, *kept], wide) > room:
        kept.pop()
    left = len(problems) - len(kept)
    return [*notes, *kept, *([f"And {left} more: jiggen plan tells them."] if left else [])]


def _notes_height(notes: Sequence[str], wide: float) -> float:
    spare = Pen()
    return -_lines(spare, notes, wide, 0.0) + 4.0


def _notes(pen: Pen, notes: Sequence[str], wide: float, top: float) -> None:
    pen.line(2.0, top, wide - 2.0, top, Ink.TICK)
    _lines(pen, notes, wide, top - 2.0)


def _lines(pen: Pen, notes: Sequence[str], wide: float, y: float) -> float:
    for words in notes:
        y = paragraph(pen, 2.0, y, words, TEXT, wide - 4.0, 3.0) - 0.7
    return y


def _list(plan: Plan, pen: Pen, jig: Jig, x: float, y: float, foot: float) -> None:
    """Numbers and names of the parts in the order in which they are put together."""
    pen.text(x, y - 4.0, "PARTS", 4.0, ink=Ink.STRONG)
    y -= 9.0
    pitch = min(5.2, (y - foot - 11.0 * len(jig.pieces)) / max(1, len(jig.parts)))
    for part in jig.parts:
        left, bottom, right, top = part.box()
        number = part.id.rpartition("/")[2]
        sides = sorted((right - left, top - bottom), reverse=True)
        words = f"{number}  {part.name}, {_sides(plan.job, sides)}"
        pen.text(x, y - 3.0, words, fitted(words, min(TEXT, pitch * 0.7), COLUMN - 2.0, 1.8))
        y -= pitch
    if len(jig.pieces) > 1:
        for piece in jig.pieces:
            end = "" if not piece.index else f", pinned in {len(piece.index)} hole{'s' * (len(piece.index) > 1)}"
            y = paragraph(pen, x, y - 1.5, f"Piece {piece.number}: {len(piece.marks)} marks{end}.", TEXT, COLUMN - 4.0)


def _sides(job: Job, sides: Sequence[float]) -> str:
    """The length and width of a part in the job's units; its cutting file is exact."""
    if job.units == "mm":
        return f"{sides[0]:.0f} x {sides[1]:.0f} mm"
    return f"{reading(job, sides[0]).text} x {reading(job, sides[1]).text} in"


def _picture(plan: Plan, jig: Jig) -> _Picture:
    bodies = [*_surroundings(plan, jig), *(_body(part, jig) for part in jig.parts)]
    lines = tuple((name, a, b) for name, (a, b) in seen(bodies))
    anchors = []
    for body in bodies:
        own = [p for name, a, b in lines if name == body.name for p in (a, b)]
        if body.name:
            spots = sorted(own or [flat(p) for p in body.front], key=lambda p: (p.x, p.y))
            anchors.append((body.name, spots[len(spots) // 2]))
    xs = [p.x for _, a, b in lines for p in (a, b)]
    ys = [p.y for _, a, b in lines for p in (a, b)]
    return _Picture(lines, tuple(anchors), (min(xs), min(ys), max(xs), max(ys)))


def _shift(part: Part, jig: Jig) -> Vector:
    """How far a part is drawn from where it belongs: out of the face, step by step."""
    sideways = 0.0
    if part.name == "left cheek":
        sideways = -45.0
    elif part.name == "right cheek":
        sideways = 12.0
    layer = int(part.name.split()[1]) if part.name.startswith("layer") else 0
    out = {
        "face plate": 2.0 * APART,
        "saddle rib": APART,
        "left cheek": APART,
        "right cheek": APART,
        "base": -APART,
    }.get(part.name, 0.0)
    if layer:
        out = 2.0 * APART + 0.45 * APART * layer
    elif part.name.startswith("stop"):
        out = 2.0 * APART + (0.45 * APART * (jig.layers - 1) if jig.layers > 1 else 0.0) + 0.8 * APART
    up = (40.0 if part.name == "end stop" else 0.0) + _lowered(jig, part.piece)
    return Vector(sideways, up, out if part.name != "end stop" else APART)


def _lowered(jig: Jig, number: int) -> float:
    """How far down (up, from the walking surface) a piece is drawn: pieces overlap where the pin goes through both."""
    total = 0.0
    for one, other in pairwise(jig.pieces[:number]):
        total += min(0.0, one.bottom - other.top) if other.top < one.top else max(0.0, one.top - other.bottom)
        total += -GAP if other.top < one.top else GAP
    return total


def _body(part: Part, jig: Jig) -> Body:
    assert part.place is not None
    shift = _shift(part, jig)

    def at(p: Point) -> Vector:
        assert part.place is not None
        return part.place.at(p, part.thickness).plus(shift)

    cuts = [tuple(at(p) for p in slot) for slot in part.slots]
    cuts += [tuple(at(p) for p in _rim(hole)) for hole in part.holes]
    front = tuple(at(p) for p in _thinned(part.outline))
    return Body(front, part.place.out, part.thickness, tuple(cuts), part.id.rpartition("/")[2])


def _rim(hole: Hole) -> list[Point]:
    """A hole in a few straight pieces, for the picture."""
    points = []
    for i in range(12):
        t = 2.0 * pi * i / 12.0
        along, across = hole.length / 2.0 * cos(t), hole.diameter / 2.0 * sin(t)
        tx, ty = hole.trace
        points.append(Point(hole.at.x + along * tx - across * ty, hole.at.y + along * ty + across * tx))
    return points


def _thinned(points: Sequence[Point]) -> list[Point]:
    """The outline without most of an arc's corners."""
    kept = [points[0]]
    for p in points[1:]:
        if (p.x - kept[-1].x) ** 2 + (p.y - kept[-1].y) ** 2 > 4.0:
            kept.append(p)
    return kept


def _surroundings(plan: Plan, jig: Jig) -> list[Body]:
    """The post and, where the stop seats, the rail: in the jig's frame."""
    face = plan.face_by_id[jig.face]
    post, frame = plan.post_by_id[face.post], face.frame
    low = min(piece.bottom + _lowered(jig, piece.number) for piece in jig.pieces) - POST
    line = next(run for run in plan.runs if run.id == face.run)
    under = post.role == "spacer" or (jig.stop is not None and line.guard.rail.sits == "over")
    high = 0.0 if under else max(piece.top for piece in jig.pieces) + 2.0 * POST
    prism = post.prism
    if frame.radius:
        ring = [
            Vector(frame.radius * sin(2 * pi * i / 36), high, frame.radius * (cos(2 * pi * i / 36) - 1.0))
            for i in range(36)
        ]
    else:
        offs = [corner.minus(prism.base).minus(frame.origin.minus(prism.base)) for corner in prism.corners()]
        ring = [Vector(off.dot(frame.right), high, off.dot(frame.normal)) for off in offs]
    bodies = [Body(tuple(ring), Vector(0.0, 1.0, 0.0), high - low, smooth=bool(frame.radius))]
    if jig.stop is not None:
        bodies.append(_rail(plan, jig, face))
    return bodies


def _rail(plan: Plan, jig: Jig, face: PostFace) -> Body:
    """A stub of the rail, its side face in front: along w, depth over the underside."""
    assert jig.stop is not None
    line = next(run for run in plan.runs if run.id == face.run)
    half, b = line.guard.rail.width / 2.0, jig.stop[1]
    up = face.rail_up
    front = (
        Vector(half, 0.0, 0.0),
        Vector(half, up, 0.0),
        Vector(half, up + b * RAIL, RAIL),
        Vector(half, b * RAIL, RAIL),
    )
    return Body(front, Vector(1.0, 0.0, 0.0), 2.0 * half)


def _draw(pen: Pen, picture: _Picture, room: tuple[float, float, float, float]) -> None:
    """The picture in its room, at the largest scale of the list, with numbers in the margins."""
    left, bottom, right, top = picture.box
    margin = 11.0
    wide, high = room[2] - room[0] - 2.0 * margin, room[3] - room[1] - 8.0
    scale = next((s for s in SCALES if (right - left) / s <= wide and (top - bottom) / s <= high), SCALES[-1])
    x = room[0] + margin + (wide - (right - left) / scale) / 2.0 - left / scale
    y = room[1] + 6.0 + (high - (top - bottom) / scale) / 2.0 - bottom / scale

    def at(p: Point) -> Point:
        return Point(x + p.x / scale, y + p.y / scale)

    for name, a, b in picture.lines:
        start, end = at(a), at(b)
        pen.line(start.x, start.y, end.x, end.y, Ink.DRILL if name else Ink.FITTING)
    _numbers(pen, [(name, at(p)) for name, p in picture.anchors], room)
    pen.text(room[0], room[1], f"drawn at 1 : {scale:g}, pulled apart", TEXT)
    _arrow(pen, room[0] + 4.0, room[3] - 14.0)


def _arrow(pen: Pen, x: float, y: float) -> None:
    pen.line(x, y, x, y + 10.0, Ink.EDGE)
    pen.fill(((x - 1.6, y + 9.0), (x + 1.6, y + 9.0), (x, y + 13.5)))
    pen.text(x, y - 4.5, "UP", 3.5, "middle", ink=Ink.STRONG)


def _numbers(pen: Pen, anchors: Sequence[tuple[str, Point]], room: tuple[float, float, float, float]) -> None:
    """Numbers in two columns beside the picture, each with a line to its part, none on another."""
    middle = (room[0] + room[2]) / 2.0
    for side in (-1.0, 1.0):
        own = sorted([(p.y, name, p) for name, p in anchors if (p.x < middle) == (side < 0)], reverse=True)
        x = room[0] + 4.0 if side < 0 else room[2] - 4.0
        step = min(7.0, (room[3] - room[1] - 8.0 - UNDER_ARROW) / max(1, len(own)))
        levels: list[float] = []
        for y, _, _ in own:
            top = room[3] - (4.0 if side > 0 else UNDER_ARROW)
            levels.append(min(y, top if not levels else levels[-1] - step))
        for i in reversed(range(len(levels))):
            levels[i] = max(levels[i], room[1] + 8.0 if i == len(levels) - 1 else levels[i + 1] + step)
        for (_, name, p), y in zip(own, levels, strict=True):
            radius = min(step / 2.0 - 0.1, max(2.6, width(name, TEXT) / 2.0 + 1.0))
            rim = [(x + radius * cos(i * pi / 16.0), y + radius * sin(i * pi / 16.0)) for i in range(32)]
            pen.path(rim, Ink.TICK, closed=True)
            pen.text(x, y - TEXT / 2.0, name, min(TEXT, radius), "middle", ink=Ink.STRONG)
            pen.line(x - side * radius, y, p.x, p.y, Ink.HATCH)
