"""A face turned into the part of its sheet that is taped on: datum, edges, flaps, holes, outlines, lettering."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, cos, pi, sin

from jiggen.compose.bench import Bench
from jiggen.compose.labels import labels
from jiggen.compose.space import Box, Space
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Data, Ink, Pen
from jiggen.plan.model import Mark, Outline

ARM = 3.0  # of a cross beyond the drill's circle
SCALE = 5  # edge scales read to +-5 mm
UPRIGHT = 5.0  # height of the lettering along the flaps
ZONE = 26.0  # length of a place for tape


def body(bench: Bench, pen: Pen, bottom: float, top: float) -> list[Box]:
    """Draw the face between ``bottom`` and ``top`` (y on the sheet); returns where its upright lettering lies."""
    space = Space()
    data: Data = (("face", bench.face.id),)
    _frame(bench, pen, bottom, top, data)
    for outline in bench.outlines:
        _outline(bench, pen, space, outline)
    for mark in bench.marks:
        _mark(bench, pen, space, mark)
    for notch in bench.notches:
        _notch(bench, pen, space, notch, bottom, top)
    _corner(bench, pen, space, top)
    space.take(Box(0.0, top - 2.0, bench.width, top + 50.0))
    space.take(Box(0.0, bottom - 50.0, bench.width, bottom + 2.0))
    labels(bench, pen, space)
    _edge_scales(bench, pen, space, bottom, top)
    return _flaps(bench, pen, space, bottom, top)


def drill_words(bench: Bench) -> list[tuple[str, str]]:
    """Two short lines a group of marks with one drill: ("CABLE HOLES 1 TO 11", "DRILL 7/32 in, THROUGH")."""
    groups: dict[tuple[str, str, bool, float], list[Mark]] = {}
    for mark in bench.marks:
        depth = 0.0 if mark.through else round(mark.depth, 1)
        groups.setdefault((mark.purpose, mark.drill.name, mark.through, depth), []).append(mark)
    words = []
    for (purpose, drill, through, depth), marks in groups.items():
        how = "THROUGH" if through else f"{depth:.0f} mm DEEP"
        which = f"{marks[0].label} TO {marks[-1].label}" if len(marks) > 1 else marks[0].label
        words.append((f"{purpose.upper()} HOLES {which}", f"DRILL {drill}, {how}"))
    return words


def _frame(bench: Bench, pen: Pen, bottom: float, top: float, data: Data) -> None:
    """Datum, both edges of the face, its centre line."""
    left, right = bench.centre - bench.half, bench.centre + bench.half
    pen.line(left, bottom, left, top, Ink.FOLD, (("line", "edge"), *data))
    pen.line(right, bottom, right, top, Ink.FOLD, (("line", "edge"), *data))
    pen.line(bench.centre, bottom, bench.centre, top, Ink.CENTRE, (("line", "centre"), *data))
    rise = bench.climb * bench.width / 2.0
    pen.line(0.0, bench.seat_y - rise, bench.width, bench.seat_y + rise, Ink.DATUM, (("line", "datum"), *data))


def _mark(bench: Bench, pen: Pen, space: Space, mark: Mark) -> None:
    """The hole as it lies in the face, true to the drill, with the cross to punch."""
    at = bench.place(mark.u, mark.v)
    short, long = mark.oval
    angle = atan2(mark.axis.y, mark.axis.x) if long > short + 1e-9 else 0.0
    data: Data = (("mark", mark.id), ("face", bench.face.id), ("drill", mark.drill.name))
    pen.oval(at.x, at.y, long / 2.0, short / 2.0, Ink.DRILL, angle, data)
    arm = long / 2.0 + ARM
    pen.line(at.x - arm, at.y, at.x + arm, at.y, Ink.CROSS)
    pen.line(at.x, at.y - arm, at.x, at.y + arm, Ink.CROSS)
    space.take(Box(at.x - arm - 0.4, at.y - arm - 0.4, at.x + arm + 0.4, at.y + arm + 0.4))


def _outline(bench: Bench, pen: Pen, space: Space, outline: Outline) -> None:
    at = bench.place(outline.u, outline.v)
    box = Box(
        at.x - outline.across / 2.0,
        at.y - outline.up / 2.0,
        at.x + outline.across / 2.0,
        at.y + outline.up / 2.0,
    )
    pen.box(*box, Ink.FITTING)
    words = outline.what.upper()
    size = fitted(words, 2.5, outline.up - 4.0, 1.6)
    if width(words, size) < outline.up - 2.0:
        pen.text(box.right - 1.2, at.y - width(words, size) / 2.0, words, size, angle=pi / 2.0)
    space.take(box.grown(0.3))


def _notch(bench: Bench, pen: Pen, space: Space, outline: Outline, bottom: float, top: float) -> None:
    """What a bracket that is in place takes of the paper: cut out."""
    at = bench.place(outline.u, outline.v)
    low, high = at.y - outline.up / 2.0 - 1.0, at.y + outline.up / 2.0 + 1.0
    low, high = max(low, bottom), min(high, top)
    if high - low < 1.5:
        return
    left, right = at.x - outline.across / 2.0 - 1.0, at.x + outline.across / 2.0 + 1.0
    pen.path(((left, high), (left, low), (right, low), (right, high)), Ink.CUT)
    words = "CUT OUT: BRACKET"
    size = fitted(words, 3.0, right - left - 2.0, 1.5)
    if high - low > size + 2.0:
        pen.text((left + right) / 2.0, low + 1.5, words, size, "middle")
    space.take(Box(left - 1.0, low - 1.0, right + 1.0, high))


def _corner(bench: Bench, pen: Pen, space: Space, top: float) -> None:
    """The upper right corner is cut off on every sheet, so that a flipped one shows."""
    size = min(10.0, bench.centre - bench.half - 2.0)
    pen.line(bench.width - size, top, bench.width, top - size, Ink.CUT)
    space.take(Box(bench.width - size - 1.0, top - size - 1.0, bench.width, top))


def _edge_scales(bench: Bench, pen: Pen, space: Space, bottom: float, top: float) -> None:
    """Scales of +-5 mm across both edges: equal readings left and right centre the sheet."""
    left, right = bench.centre - bench.half, bench.centre + bench.half
    count = max(2, min(6, int((top - bottom) // 130.0) + 1))
    for index in range(count):
        wanted = top - 9.0 - index * (top - bottom - 20.0) / (count - 1)
        heights = [wanted + step for step in (0, -4, 4, -8, 8, -12, 12, -16, 16, -22, 22)]
        fits = [
            y
            for y in heights
            if bottom + 4.0 < y < top - 5.0
            and all(space.free(Box(x - 6.0, y - 3.4, x + 6.0, y + 2.5)) for x in (left, right))
        ]
        if fits:
            for x, outward in ((left, -1), (right, 1)):
                _edge_scale(pen, x, fits[0], outward)
                space.take(Box(x - 6.0, fits[0] - 3.6, x + 6.0, fits[0] + 2.7))


def _edge_scale(pen: Pen, x: float, y: float, outward: int) -> None:
    pen.line(x - SCALE, y, x + SCALE, y, Ink.TICK)
    for step in range(-SCALE, SCALE + 1):
        size = 2.2 if step % 5 == 0 else 1.2
        pen.line(x + step, y, x + step, y + size, Ink.TICK)
    pen.text(x - SCALE, y - 2.8, "5", 2.0, "middle")
    pen.text(x + SCALE, y - 2.8, "5", 2.0, "middle")


def _flaps(bench: Bench, pen: Pen, space: Space, bottom: float, top: float) -> list[Box]:
    """Drill names and the sheet's name along the flaps, where to fold and where to tape."""
    left, right = bench.centre - bench.half, bench.centre + bench.half
    sides = [f"{_name(bench)}  {bench.group.id}", "FOLD BACK AT BOTH EDGES"]
    drills = [line for pair in drill_words(bench) for line in pair]
    boxes = [_upright(pen, space, bench.width, left, -1, line, bottom, top) for line in reversed(drills)]
    boxes += [_upright(pen, space, bench.width, right, 1, line, bottom, top) for line in sides]
    for x1, x2 in ((2.0, left - 3.0), (right + 3.0, bench.width - 2.0)):
        _tape_zones(pen, space, x1, x2, bottom, top)
    return [box for box in boxes if box is not None]


def _name(bench: Bench) -> str:
    """What the sheet is for, short, so that it stays on the post when the band is cut off."""
    posts = bench.group.posts
    if bench.group.kind != "face":
        return bench.group.kind.upper()
    if len(posts) == 1:
        return f"POST {posts[0]} {bench.face.name.upper()}"
    return f"POSTS {posts[0]} AND {len(posts) - 1} MORE"


def _upright(
    pen: Pen, space: Space, room: float, edge: float, side: int, words: str, bottom: float, top: float
) -> Box | None:
    """A line of lettering that reads from below, as high up and as near to the fold as there is room."""
    high = UPRIGHT if (edge if side < 0 else room - edge) > 17.5 else UPRIGHT - 1.0
    long = width(words, high)
    lanes = [edge + side * (3.0 + lane * (high + 1.5)) for lane in range(6)]
    for y in range(int(top - 14.0 - long), int(bottom) + 3, -6):
        for near in lanes:
            left = near if side > 0 else near - high
            box = Box(left, y - 1.0, left + high, y + long + 1.0)
            if 1.0 < left and box.right < room - 1.0 and space.free(box):
                pen.text(box.right, float(y), words, high, angle=pi / 2.0, ink=Ink.STRONG)
                space.take(box.grown(0.5))
                return box
    return None


def _tape_zones(pen: Pen, space: Space, x1: float, x2: float, bottom: float, top: float) -> None:
    """Hatched places for tape, off the marks: near the top, in the middle, near the bottom."""
    for wanted in (top - 18.0, (top + bottom) / 2.0 + ZONE / 2.0, bottom + 4.0 + ZONE):
        choices = _zone_choices(wanted, x1, x2, bottom, top)
        box = next((choice for choice in choices if space.free(choice)), None)
        if box is not None:
            _tape_zone(pen, box)
            space.take(box.grown(1.0))


def _zone_choices(wanted: float, x1: float, x2: float, bottom: float, top: float) -> Iterator[Box]:
    """Boxes to try, nearest to the wanted top first: the flap's width, then its outer part, then its inner part."""
    narrow = min(12.0, x2 - x1)
    outer, inner = (x1, x2 - narrow) if x1 < 3.0 else (x2 - narrow, x1)
    for step in range(0, 120, 4):
        for y in (wanted - step, wanted + step):
            if bottom + 2.0 < y - ZONE and y < top - 2.0:
                yield Box(x1, y - ZONE, x2, y)
                yield Box(outer, y - ZONE, outer + narrow, y)
                yield Box(inner, y - ZONE, inner + narrow, y)


def _tape_zone(pen: Pen, box: Box) -> None:
    pen.box(*box, Ink.HATCH)
    hatch(pen, box, 4.0)
    middle = (box.left + box.right) / 2.0
    long = width("TAPE", 2.5)
    pen.text(middle + 1.25, (box.bottom + box.top) / 2.0 - long / 2.0, "TAPE", 2.5, angle=pi / 2.0)


def hatch(pen: Pen, box: Box, pitch: float, hole: Box | None = None, angle: float = pi / 4.0) -> None:
    """Section lines across a box at ``pitch`` mm, leaving out ``hole``."""
    c, s = cos(angle), sin(angle)
    corners = [(x, y) for x in (box.left, box.right) for y in (box.bottom, box.top)]
    offsets = [-x * s + y * c for x, y in corners]
    count = int((max(offsets) - min(offsets)) / pitch)
    for index in range(1, count + 1):
        offset = min(offsets) + index * pitch
        whole = _chord(offset, c, s, box)
        if whole is None:
            continue
        gap = _chord(offset, c, s, hole) if hole else None
        parts = [whole] if gap is None else [(whole[0], gap[0]), (gap[1], whole[1])]
        for start, end in parts:
            if end - start > 0.2:
                pen.line(
                    start * c - offset * s,
                    start * s + offset * c,
                    end * c - offset * s,
                    end * s + offset * c,
                    Ink.HATCH,
                )


def _chord(offset: float, c: float, s: float, box: Box) -> tuple[float, float] | None:
    """Where the line at ``offset`` from the origin in direction (c, s) lies in a box, as distances along it."""
    x0, y0 = -offset * s, offset * c
    low = max(min((box.left - x0) / c, (box.right - x0) / c), min((box.bottom - y0) / s, (box.top - y0) / s))
    high = min(max((box.left - x0) / c, (box.right - x0) / c), max((box.bottom - y0) / s, (box.top - y0) / s))
    return (low, high) if low < high else None
