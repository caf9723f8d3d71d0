"""A jig's parts nested on stock and turned into drawings for a cutter: engrave, score, inner, outer; kerf put on last."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import pi

from jiggen.drawing.scene import Data, Drawing, Ink, Oval, Path, Pen, Text
from jiggen.geometry import Point
from jiggen.job.model import JigWish, Job
from jiggen.plan.jigs.checks import too_small
from jiggen.plan.jigs.model import EDGE, GAP, Hole, Jig, Part, quarter
from jiggen.plan.jigs.pieces import panel
from jiggen.plan.jigs.shapes import contour
from jiggen.plan.words import length
from jiggen.sheets.kerf import offset
from jiggen.sheets.nesting import Block, Nest, Spot, nest

OPERATIONS: Mapping[Ink, tuple[str, str]] = {
    Ink.ENGRAVE: ("engrave", "#404040"),
    Ink.SCORE: ("score", "#1f6fb2"),
    Ink.CUT: ("cut", "#c4351c"),
}
_KEYS = {Ink.ENGRAVE: "engrave", Ink.SCORE: "score", Ink.CUT: "cut"}
CROSS = 3.0  # half a cross where a hole is too small to cut, mm


@dataclass(frozen=True, slots=True)
class Laid:
    """A part on its sheet: sheet = part turned by ``turned`` right angles (0 or 1), then shifted."""

    part: Part
    sheet: int
    turned: int
    shift: Point

    def at(self, point: Point) -> Point:
        x, y = quarter(point, self.turned)
        return Point(x + self.shift.x, y + self.shift.y)


@dataclass(frozen=True)
class Layout:
    """All parts of a jig on ``count`` panels of ``size`` mm. ``bound``: panels by area alone."""

    jig: Jig
    laid: tuple[Laid, ...]
    size: tuple[float, float]
    count: int
    bound: int

    @cached_property
    def drawings(self) -> tuple[Drawing, ...]:
        """One drawing a panel, inks ENGRAVE, SCORE and CUT in the order of cutting, kerf put on; made when first asked for."""
        return tuple(_drawing(self.jig, self.laid, number, *self.size) for number in range(self.count))

    def words(self, job: Job) -> str:
        """What is said of the stock, in the job's units: panels to cut, and how few would hold the parts' area."""
        count, bound = self.count, self.bound
        size = " by ".join(length(job, side) for side in self.size)
        many = f"Cut it from {count} panel{'s' * (count != 1)} of {size}"
        if count == 1:
            return many
        if bound == count:
            return f"{many}; fewer cannot hold it"
        return f"{many}; the area of its parts would fill {bound}, but they do not lie closer"


def operations(wish: JigWish) -> dict[Ink, tuple[str, str]]:
    """Name and colour of each operation in the order of cutting: the job's own, else ours."""
    return {ink: wish.operations.get(_KEYS[ink], ours) for ink, ours in OPERATIONS.items()}


def layout(jig: Jig) -> Layout:
    """The jig's parts on panels of stock that go on the bed. Raises NoRoom for a part that fits none."""
    wide, high = panel(jig.wish)
    found = _nested(jig, wide, high)
    laid = tuple(_laid(part, spot, jig.wish) for part, spot in zip(jig.parts, found.spots, strict=True))
    return Layout(jig, laid, (wide, high), found.sheets, found.bound)


def _nested(jig: Jig, wide: float, high: float) -> Nest:
    blocks = []
    for part in jig.parts:
        left, bottom, right, top = _drawn_box(part, jig.wish)
        blocks.append(Block(part.id, right - left, top - bottom, part.turns))
    return nest(blocks, wide, high, EDGE, GAP)


def _drawn_box(part: Part, wish: JigWish) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of the outline as it is drawn, mitred tips included."""
    half = 0.0 if part.raw else wish.kerf / 2.0
    if part.disc:
        r = part.disc / 2.0 + half
        return -r, -r, r, r
    points = offset(part.outline, half)
    xs, ys = [p.x for p in points], [p.y for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _laid(part: Part, spot: Spot, wish: JigWish) -> Laid:
    left, bottom, right, top = _drawn_box(part, wish)
    turned = 1 if spot.turned else 0
    corners = [quarter(Point(x, y), turned) for x in (left, right) for y in (bottom, top)]
    x, y = min(c.x for c in corners), min(c.y for c in corners)
    return Laid(part, spot.sheet, turned, Point(spot.x - x, spot.y - y))


def _drawing(jig: Jig, laid: tuple[Laid, ...], number: int, wide: float, high: float) -> Drawing:
    here = [one for one in laid if one.sheet == number]
    pen = Pen()
    for one in here:
        _engrave(pen, one, jig.wish)
    for one in here:
        for score in one.part.scores:
            a, b = one.at(score.start), one.at(score.end)
            data: Data = (("line", score.name), ("part", one.part.id)) if score.name else ()
            pen.line(a.x, a.y, b.x, b.y, Ink.SCORE, data)
    for one in here:
        _inner(pen, one, jig.wish)
    for one in here:
        _outer(pen, one, jig.wish)
    count = max(one.sheet for one in laid) + 1
    tail = f", panel {number + 1} of {count}" if count > 1 else ""
    return pen.drawing(wide, high, f"{jig.title}{tail}")


def _engrave(pen: Pen, one: Laid, wish: JigWish) -> None:
    turn = one.turned * pi / 2.0
    for label in one.part.labels:
        at = one.at(label.at)
        pen.shapes.append(Text(at, label.height, label.text, label.align, label.angle + turn, Ink.ENGRAVE))
    for stroke in one.part.strokes:
        pen.path((one.at(p) for p in stroke), Ink.ENGRAVE)
    for hole in one.part.holes:
        if too_small(hole, wish):
            at = one.at(hole.at)
            data: Data = (("mark", hole.mark), ("part", one.part.id), ("use", "cross"))
            pen.line(at.x - CROSS, at.y, at.x + CROSS, at.y, Ink.ENGRAVE, data)
            pen.line(at.x, at.y - CROSS, at.x, at.y + CROSS, Ink.ENGRAVE, data)


def _inner(pen: Pen, one: Laid, wish: JigWish) -> None:
    """Holes and slots, moved inward by half the kerf."""
    half = 0.0 if one.part.raw else wish.kerf / 2.0
    for hole in one.part.holes:
        if too_small(hole, wish):
            continue
        data = _hole_data(hole, one.part)
        if hole.round:
            at = one.at(hole.at)
            r = hole.diameter / 2.0 - half
            pen.shapes.append(Oval(at, r, r, Ink.CUT, 0.0, data))
        else:
            points = tuple(one.at(p) for p in contour(hole, half))
            pen.shapes.append(Path(points, Ink.CUT, True, data))
    for slot in one.part.slots:
        pen.path((one.at(p) for p in offset(slot, -half)), Ink.CUT, True, (("part", one.part.id), ("use", "slot")))


def _outer(pen: Pen, one: Laid, wish: JigWish) -> None:
    """The outline, moved outward by half the kerf."""
    half = 0.0 if one.part.raw else wish.kerf / 2.0
    data: Data = (("part", one.part.id), ("use", "outline"))
    if one.part.disc:
        at, r = one.at(Point(0.0, 0.0)), one.part.disc / 2.0 + half
        pen.shapes.append(Oval(at, r, r, Ink.CUT, 0.0, data))
    else:
        pen.path((one.at(p) for p in offset(one.part.outline, half)), Ink.CUT, True, data)


def _hole_data(hole: Hole, part: Part) -> Data:
    named: Data = (("mark", hole.mark),) if hole.mark else ()
    return (*named, ("part", part.id), ("use", hole.use))
