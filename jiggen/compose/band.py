"""The head of a sheet: which post, which face, which way to bore, and a plan thumbnail that shows it."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, pi

from jiggen.compose.bench import Bench, Strip
from jiggen.compose.clear import start
from jiggen.compose.flaps import served
from jiggen.compose.lettering import both, wrapped
from jiggen.compose.space import Box
from jiggen.compose.titles import bore_words
from jiggen.drawing.lettering import fitted, strokes, width
from jiggen.drawing.scene import Ink, Pen
from jiggen.geometry import Point, Vector, turned
from jiggen.plan.faces import AWAY
from jiggen.plan.lines import side_direction
from jiggen.plan.model import PostFace
from jiggen.plan.words import capitals
from jiggen.units import mm_text

WIDTH = 158.0  # of the band on a sheet of several columns: the first column of letter or A4
HEIGHT = 52.0  # of the band
THUMB = 42.0
NARROW = 130.0  # a first page that shows less of the band has no room for its thumbnail
THIN = 1.2  # least thickness of a wall in the thumbnail
NAME = 12.0


def band(strip: Strip, pen: Pen, bottom: float) -> None:
    """Draw the band with its lower edge at ``bottom``, over the whole width of the sheet."""
    top, bench = bottom + HEIGHT, strip.first
    wide, picture, ends = _across(strip)
    pen.box(0.3, bottom, wide - 0.3, top - 0.3, Ink.EDGE)
    small = f"{bench.group.id}  {bench.job.name}  {bench.plan.fingerprint}"
    room = ends - 14.0
    pen.text(14.0, top - 5.5, small, fitted(small, 3.0, room, 2.0))
    y = top - 9.0
    for words, high in zip(names(strip), (NAME, NAME, 6.0), strict=True):
        for line, size in _lines(words, high, room):
            low, high = _reach(line, size)
            y -= max(0.0, high - size)
            pen.text(14.0, y - size, line, size, ink=Ink.STRONG)
            y -= size + max(2.6, 2.0 - low)
    for line in as_built_words(bench):
        size = fitted(line, 3.5, room, 1.8)
        if y - size > bottom + 1.0:  # else the foot of the sheet alone says it
            pen.text(14.0, y - size, line, size, ink=Ink.STRONG)
            y -= size + 2.0
    _arrow(pen, 7.0, bottom + 4.0, top - 4.0)
    _thumbnail(strip, pen, picture, bottom + 2.0)


def _reach(line: str, size: float) -> tuple[float, float]:
    """From where to where a line's letters reach, its base line 0, mm: a post's own name may have small letters with tails."""
    ys = [y for stroke in strokes(line, size) for _, y in stroke]
    return min(ys, default=0.0), max(ys, default=size)


def _across(strip: Strip) -> tuple[float, float, float]:
    """How wide the band is, where its thumbnail begins and where its words end, so that no join between pages cuts them:
    all on the first page, or the thumbnail on the second where the first is narrow."""
    most = WIDTH if strip.width > 184.5 else strip.width
    join = next((at for at in strip.joins if at < most), None)
    if join is not None:
        picture = start(strip.joins, join + 1.0, THUMB, join, strip.width - 2.0)
        if join < NARROW and picture is not None:
            return picture + THUMB + 2.0, picture, join - 2.0
        most = join - 1.0
    picture = most - THUMB - 2.0
    return most, picture, picture - 4.0


def _lines(words: str, high: float, room: float) -> list[tuple[str, float]]:
    """The words on one line as high as it fits down to half, else wrapped small between the names that a "; " parts; of
    many names the first whole ones, and how many more there are."""
    size = fitted(words, high, room, high / 2.0)
    if not words or width(words, size) <= room:
        return [(words, size)] if words else []
    small = 4.0 if high > 6.0 else 3.0
    parts = words.split("; ")
    lines = _named(parts, small, room)
    if len(lines) <= 3:
        return [(line, small) for line, _ in lines]
    shown = lines[:2]
    while len(parts) > 1 and shown and not shown[-1][1]:
        shown.pop()  # of a name that ends on neither line
    more = len(parts) - sum(ended for _, ended in shown)
    last = f"and {more} more, see the last page" if shown and len(parts) > 1 else "see the last page"
    return [(line, small) for line in (*(line for line, _ in shown), last)]


def _named(names: Sequence[str], size: float, room: float) -> list[tuple[str, int]]:
    """Lines of names, none broken that fits one line, and how many names end on each."""
    lines: list[list[str]] = []
    for name in names:
        if lines and width("; ".join([*lines[-1], f"{name};"]), size) <= room:
            lines[-1].append(name)
        else:
            lines.append([name])
    found: list[tuple[str, int]] = []
    for index, line in enumerate(lines):
        parts = wrapped("; ".join(line) + ";" * (index < len(lines) - 1), size, room)
        found += [(part, 0) for part in parts[:-1]] + [(parts[-1], len(line))]
    return found


def names(strip: Strip) -> tuple[str, str, str]:
    """Post, face, and what holds of this end: LOW END, BORE UP 33.2 degrees."""
    bench, group = strip.first, strip.first.group
    if group.kind == "practice":
        return bench.face.post.upper(), capitals(bench.face.name), ""
    noun = "BAR" if bench.post.role == "spacer" else "POST"
    if len(group.posts) == 1:
        post = f"{noun} {group.posts[0]}"
    else:
        listed = f"{noun}S {' + '.join(group.posts)}"
        post = listed if width(listed, NAME / 2.0) < 110.0 else f"{len(group.posts)} {noun}S"
    if len(strip.benches) > 1:
        told = [bench.face.name for bench in strip.benches if bench.marks or not bench.face.name.startswith("side")]
        face = capitals(", ".join(told))
        return post, face, "WRAP ROUND THE POST" if strip.girth else "FOLD ROUND THE POST"
    faces = list(dict.fromkeys(face.rpartition("/")[2] for face in group.faces))
    if len(faces) == 1:
        face = capitals(faces[0])
    elif len(group.posts) == 1:
        face = capitals(" + ".join(faces)).replace("+ TOWARD", "+")
    else:
        face = capitals("; ".join(served(group)))
    return post, face, "  ".join(end_words(bench))


def as_built_words(bench: Bench) -> list[str]:
    """A line for every post of the sheet that is drilled as it was built: what was taped, lean in mm a m."""
    found = []
    for post in bench.group.posts:
        taped = bench.job.as_built.get(post)
        under = taped.under(bench.line.id) if taped else None
        parts = [f"UNDERSIDE {both(bench.job, under)}"] if under is not None else []
        if taped and taped.lean and any(taped.lean):
            ways = zip(taped.lean, (("FORWARD", "BACK"), ("LEFT", "RIGHT")), strict=True)
            told = [f"{mm_text(abs(lean)).removesuffix('.0')} {way[lean < 0.0]}" for lean, way in ways if lean]
            parts.append(f"LEAN {', '.join(told)} (MM A M)")
        if parts:
            name = f"POST {post} " if len(bench.group.posts) > 1 else ""
            found.append(f"{name}AS BUILT: {', '.join(parts)}")
    return found


def end_words(bench: Bench) -> list[str]:
    """LOW END or HIGH END (UPHILL or DOWNHILL FACE on a line post), and the way and angle of slanting bores."""
    words = []
    if bench.raked:
        if bench.face.fittings:
            out = bench.face.name.startswith(AWAY)  # which looks the other way
            words.append("LOW END" if (bench.face.slope > 0) is not out else "HIGH END")
        else:
            words.append("UPHILL FACE" if bench.face.slope > 0 else "DOWNHILL FACE")
    words.extend(bore_words(bench))
    return words


def _arrow(pen: Pen, x: float, bottom: float, top: float) -> None:
    """An arrow that points up, with the word."""
    pen.fill(((x, top), (x - 4.0, top - 8.0), (x + 4.0, top - 8.0)))
    pen.fill(((x - 1.2, top - 8.0), (x + 1.2, top - 8.0), (x + 1.2, bottom + 14.0), (x - 1.2, bottom + 14.0)))
    pen.text(x + 2.0, bottom, "UP", 4.0, angle=pi / 2.0, ink=Ink.STRONG)


def _thumbnail(strip: Strip, pen: Pen, left: float, bottom: float) -> None:
    """Plan of the post: black, its cables, an arrow at the face, the people's side told."""
    box = Box(left, bottom, left + THUMB, bottom + HEIGHT - 4.5)
    bench = strip.first
    pen.box(*box, Ink.TICK)
    if bench.group.kind == "practice":
        pen.text((box.left + box.right) / 2.0, bottom + 20.0, "NOT A POST", 3.5, "middle")
        return
    centre = Point(left + THUMB / 2.0, (box.bottom + box.top) / 2.0 + 1.0)
    size = 10.0
    for face in bench.post.faces:
        if face.name.startswith("toward"):
            _cable(pen, bench, centre, face)
    scale = size / max(bench.post.prism.size_along, bench.post.prism.size_across)
    _section(pen, bench, centre, scale)
    if len(bench.group.posts) > 1:
        pen.text(
            box.left + 1.5, box.top - 4.0, f"post {bench.post.id}", fitted(f"post {bench.post.id}", 2.5, 12.0, 1.8)
        )
    for one in strip.benches:
        if one.marks:
            normal = one.face.frame.normal
            _pointer(pen, centre, normal, bench.post.prism.half_extent(normal) * scale)
    _people(bench, pen, centre, box)


def _section(pen: Pen, bench: Bench, centre: Point, scale: float) -> None:
    """The post cut across, true in its proportions: black, hollow where it is; a wall no thinner than it can be seen."""
    prism, kind = bench.post.prism, bench.post.kind
    spin = atan2(prism.along.y, prism.along.x)

    def placed(corners: Sequence[Point]) -> list[tuple[float, float]]:
        turns = (turned(Point(corner.x * scale, corner.y * scale), spin) for corner in corners)
        return [(centre.x + point.x, centre.y + point.y) for point in turns]

    wall = max(kind.wall, THIN / scale) if kind.wall is not None and kind.core is None else 0.0
    inner = placed(prism.outline.inset(wall)) if wall else []
    outer = placed(prism.outline.drawn())
    if inner:  # a ring in one piece: round the outside, in, back round the inside
        pen.fill([*outer, outer[0], inner[0], *reversed(inner)])
    else:
        pen.fill(outer)


def _cable(pen: Pen, bench: Bench, centre: Point, face: PostFace) -> None:
    """A line towards a neighbour, ending at the edge of the thumbnail, with the neighbour's name."""
    name = face.name.removeprefix("toward ")
    neighbour = bench.plan.post_by_id.get(name)
    if neighbour is None:
        return
    off = neighbour.prism.base.minus(bench.post.prism.base)
    way = Vector(off.x, off.y, 0.0).unit()
    end = Point(centre.x + way.x * 13.0, centre.y + way.y * 13.0)
    pen.line(centre.x, centre.y, end.x, end.y, Ink.EDGE)
    tag = Point(centre.x + way.x * 16.0, centre.y + way.y * 15.5 - 1.5)
    pen.text(tag.x, tag.y, name, fitted(name, 3.0, 7.0, 1.8), "middle")


def _pointer(pen: Pen, centre: Point, normal: Vector, half: float) -> None:
    """A black arrow whose tip touches the face that the sheet is for."""
    tip = Point(half + 0.8, 0.0)
    shape = [tip, Point(half + 6.5, 3.4), Point(half + 6.5, -3.4)]
    spin = atan2(normal.y, normal.x)
    pen.fill([(centre.x + p.x, centre.y + p.y) for p in (turned(c, spin) for c in shape)])


def _people(bench: Bench, pen: Pen, centre: Point, box: Box) -> None:
    """The word PEOPLE on the deck side."""
    side = side_direction(bench.line, bench.line.guard.deck)
    words = "PEOPLE"
    long = width(words, 3.0)
    x = centre.x + side.x * (THUMB / 2.0 - 2.5)
    y = centre.y + side.y * ((box.top - box.bottom) / 2.0 - 3.0)
    if abs(side.x) > abs(side.y):
        base = min(max(x + 1.5, box.left + 4.0), box.right - 1.0)
        foot = min(max(y + 5.0, box.bottom + 1.0), box.top - long - 1.0)  # all of the word inside the frame
        pen.text(base, foot, words, 3.0, angle=pi / 2.0)
    else:
        named = len(bench.group.posts) > 1 and side.y > 0.0  # the post's name stands in the upper left corner
        x = min(max(x, box.left + long / 2.0 + (16.0 if named else 1.0)), box.right - long / 2.0 - 1.0)
        pen.text(x, y - 1.5, words, 3.0, "middle")
