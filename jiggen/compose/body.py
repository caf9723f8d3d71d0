"""A face turned into the part of its sheet that is taped on: datum, edges, flaps, holes, outlines, lettering."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise, product
from math import atan2, cos, hypot, pi, sin

from jiggen.compose.across import across
from jiggen.compose.bench import Bench, Strip
from jiggen.compose.clear import raised, start
from jiggen.compose.columns import column_heads
from jiggen.compose.flaps import edge_scales, flaps
from jiggen.compose.labels import labels
from jiggen.compose.space import Box, Space
from jiggen.compose.stands import area, drawn
from jiggen.compose.titles import round_lines, titles
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Data, Ink, Pen
from jiggen.drawing.scene import Line as Straight
from jiggen.geometry import Line, Point
from jiggen.plan.faces import AWAY
from jiggen.plan.model import Mark, Outline
from jiggen.plan.words import capitals, fine

BESIDE = 9.0  # what words along a line keep from the middle of a hole
READABLE = 2.0  # least height of the names of several posts' fittings on their outline
READABLE_STILL = 1.6  # the same of a single name
BESIDE_JOIN = 1.0  # what a name in an outline keeps from a join
OUT = "COMES OUT"
CREASE = 0.5  # what any words keep from a fold of an eased corner
GUTTER = 2.6  # what a word beside a join on a fold keeps from it
ARM = 3.0  # of a cross beyond the drill's circle


def body(strip: Strip, pen: Pen, bottom: float, top: float | None, joins: Sequence[Box]) -> None:
    """Draw the faces of a strip from ``bottom`` up to each one's datum (or ``top``); no lettering over ``joins``."""
    space = Space()
    for box in joins:
        space.take(box)
    tops = [top if top is not None else bench.seat_y for bench in strip.benches]
    rows = [(box.bottom + box.top) / 2.0 for box in joins if box.right - box.left > box.top - box.bottom]
    _folds(strip, pen, space, (bottom, top), rows)
    for bench, high in zip(strip.benches, tops, strict=True):
        _frame(bench, pen, strip, bottom, high)
        crosses = _crosses(bench)
        for outline in bench.outlines:
            _outline(bench, pen, (space, crosses), outline, rows)
        for mark in bench.marks:
            _mark(bench, pen, space, mark)
        for notch in bench.notches:
            _notch(bench, pen, space, notch, bottom, high)
        space.take(Box(bench.left, high - 2.0, bench.right, high + 50.0))
    if len(strip.benches) > 1:
        _sides(strip, pen)
    titles(strip, pen, space, tops)
    _fold_words(strip, pen, space, (bottom, min(tops)), rows)
    if strip.girth:  # no label across the line of another face
        for x in round_lines(strip):
            space.take(Box(x - 0.5, bottom, x + 0.5, max(tops)))
    _corner(strip, pen, space, tops[-1])
    space.take(Box(0.0, bottom - 50.0, strip.width, bottom + 2.0))
    for bench in strip.benches:
        labels(bench, pen, space, joins)
    for bench in strip.benches:
        _comes_out(bench, pen, space)
    for bench in strip.benches:
        across(bench, pen, space)
    column_heads(strip, pen, space)
    low_top = min(tops)
    if not strip.girth:
        edge_scales(strip, pen, space, bottom, low_top)
    flaps(strip, pen, space, bottom, low_top, joins)


def _folds(strip: Strip, pen: Pen, space: Space, heights: tuple[float, float | None], rows: Sequence[float]) -> None:
    """Fold lines with the arc of an eased corner told; on a round post its quarter lines and meeting edges.

    ``rows``: y of the joins, which cut none of the words.
    """
    bottom, top = heights
    high = top if top is not None else max(bench.seat_y for bench in strip.benches)
    busy = [bench.place(mark.u, mark.v) for bench in strip.benches for mark in bench.marks]

    def upward(x: float, y: float, words: str, size: float) -> None:
        """Words that read from below, as low as neither a join nor a hole cuts them."""
        long, holes = width(words, size), [at.y for at in busy if abs(at.x - x) < BESIDE]
        spots = [raised(rows, y + step, long, high) for step in range(0, max(int(high - y - long), 1), 4)]
        free = (at for at in spots if all(hole < at - BESIDE or hole > at + long + BESIDE for hole in holes))
        at = next(free, spots[0])
        pen.text(x, at, words, size, angle=pi / 2.0)
        space.take(Box(x - size - 0.3, at - 0.5, x + 0.3, at + long + 0.5))

    if strip.girth:
        under = min(bench.seat_y - abs(bench.line.slope) * bench.face.frame.radius for bench in strip.benches)
        for x in (strip.left, strip.right):
            pen.line(x, bottom, x, high, Ink.EDGE)
            upward(x - 1.5, under - 46.0, "MEETING EDGE", 3.0)
        for part in (0.25, 0.5, 0.75):
            x = strip.left + strip.girth * part
            pen.line(x, bottom, x, high, Ink.HIDDEN)
            if all(abs(bench.centre - x) > BESIDE for bench in strip.benches):  # else the face's own name stands there
                upward(x - 1.0, under - 40.0, "QUARTER LINE", 2.5)
    for begins, ends in strip.arcs:
        for x in (begins, ends):
            pen.line(x, bottom, x, high, Ink.FOLD)
            space.take(Box(x - CREASE, bottom, x + CREASE, high))
        words = f"ROUND THE CORNER {fine(strip.first.job, ends - begins, 1)}"
        upward((begins + ends) / 2.0 + 1.0, bottom + 8.0, words, 2.2)


def _fold_words(strip: Strip, pen: Pen, space: Space, heights: tuple[float, float], rows: Sequence[float]) -> None:
    """FOLD on every page beside both lines of an eased corner, on the flat side of each, clear of what crosses there."""
    bores = [s for s in pen.shapes if isinstance(s, Straight) and s.ink is Ink.CENTRE and s.start.x != s.end.x]
    size, (bottom, top) = 2.5, heights
    long = width("FOLD", size)
    pages = list(pairwise([bottom, *sorted(row for row in rows if bottom < row < top), top]))
    for begins, ends in strip.arcs:
        lines = [(begins - off, ends + off + size) for off in (1.0, GUTTER)]  # farther where a join lies on the fold
        for ways, (low, high) in product(zip(*lines, strict=True), pages):
            tries = range(int(high - 18.0 - long), int(low + 3.0), -3)
            for x, y in product(ways, tries):
                box = Box(x - size - 0.3, y - 0.5, x + 0.3, y + long + 0.5)
                if space.free(box) and not any(_crosses_box(bore, box) for bore in bores):
                    pen.text(x, float(y), "FOLD", size, angle=pi / 2.0, ink=Ink.STRONG)
                    space.take(box)
                    break


def _crosses_box(line: Straight, box: Box) -> bool:
    """Whether a line across the sheet may run through a box: its own box does."""
    xs, ys = sorted((line.start.x, line.end.x)), sorted((line.start.y, line.end.y))
    return xs[0] < box.right and xs[1] > box.left and ys[0] < box.top and ys[1] > box.bottom


def _sides(strip: Strip, pen: Pen) -> None:
    """On the bare sides between two marked faces the slope of every bore, from where it enters to where it leaves."""
    for first, last in () if strip.girth else combinations(range(len(strip.benches)), 2):
        before, after = strip.benches[first], strip.benches[last]
        bares = [bench for bench in strip.benches[first + 1 : last] if not bench.marks]
        for mark, other in _both_ends(before, after) if bares else ():
            ends = before.place(mark.u, mark.v).y, after.place(other.u, other.v).y
            for bare in bares:
                rises = (_inside(before, after, bare, side * bare.half) for side in (-1.0, 1.0))
                ys = [ends[0] + share * (ends[1] - ends[0]) for share in rises]
                pen.line(bare.centre - bare.half, ys[0], bare.centre + bare.half, ys[1], Ink.CENTRE)


def _both_ends(before: Bench, after: Bench) -> Iterator[tuple[Mark, Mark]]:
    """Where each bore that is marked on both faces goes in on one and comes out of the other."""
    far = {mark.id: mark for mark in after.marks}
    for mark in before.marks:
        if mark.other in far:
            yield mark, far[mark.other]


def _inside(before: Bench, after: Bench, bare: Bench, u: float) -> float:
    """How far through the post, from one marked face to the other, the place ``u`` on a bare side lies: 0 to 1."""
    start = before.face.frame.origin
    inward = before.face.frame.normal.times(-1.0)
    deep = after.face.frame.origin.minus(start).dot(inward)
    if deep < 1e-6:
        return 0.5
    return max(0.0, min(1.0, bare.face.frame.world(u, 0.0).minus(start).dot(inward) / deep))


def _frame(bench: Bench, pen: Pen, strip: Strip, bottom: float, top: float) -> None:
    """Datum, both edges of the face, its centre line."""
    data: Data = (("face", bench.face.id),)
    if not strip.girth:
        for x in (bench.centre - bench.half, bench.centre + bench.half):
            if any(begins < x < ends for begins, ends in strip.arcs):
                continue  # where an eased corner would be sharp there is nothing to fold
            ends = top + bench.climb * (x - bench.centre)
            pen.line(x, bottom, x, ends, Ink.FOLD, (("line", "edge"), *data))
    pen.line(bench.centre, bottom, bench.centre, top, Ink.CENTRE, (("line", "centre"), *data))
    left, right = (bench.centre - 8.0, bench.centre + 8.0) if strip.girth else (bench.left, bench.right)
    rises = [bench.seat_y + bench.climb * (x - bench.centre) for x in (left, right)]
    pen.line(left, rises[0], right, rises[1], Ink.DATUM, (("line", "datum"), *data))
    if strip.girth:
        _round_datum(bench, pen, strip)


def _round_datum(bench: Bench, pen: Pen, strip: Strip) -> None:
    """The datum of a round post's face as it runs round it."""
    left, right = max(bench.left, strip.left), min(bench.right, strip.right)
    points = []
    for step in range(41):
        x = left + (right - left) * step / 40.0
        turn = (x - bench.centre) / strip.girth * 2.0 * pi
        points.append((x, bench.seat_y + bench.rises(turn)))
    pen.path(points, Ink.DATUM)


def _mark(bench: Bench, pen: Pen, space: Space, mark: Mark) -> None:
    """The hole as it lies in the face, true to the drill, with the cross to punch."""
    at = bench.place(mark.u, mark.v)
    short, long = mark.oval
    angle = atan2(mark.axis.y, mark.axis.x) if long > short + 1e-9 else 0.0
    data: Data = (("mark", mark.id), ("face", bench.face.id), ("drill", mark.drill.name))
    arm = long / 2.0 + ARM
    if any(mark.slot):
        arm += _slot(bench, pen, mark, at)
    else:
        rolled = bench.face.frame.radius > 0.0
        pen.oval(at.x, at.y, long / 2.0, short / 2.0, Ink.CROSS if rolled else Ink.DRILL, angle, data)
        if rolled:
            pen.path(_developed(bench, mark), Ink.DRILL, True)
    pen.line(at.x - arm, at.y, at.x + arm, at.y, Ink.CROSS)
    pen.line(at.x, at.y - arm, at.x, at.y + arm, Ink.CROSS)
    space.take(Box(at.x - arm - 0.4, at.y - arm - 0.4, at.x + arm + 0.4, at.y + arm + 0.4))


def _developed(bench: Bench, mark: Mark) -> list[Point]:
    """The rim of a bore on a round post as it lies on the unrolled paper: rays along the bore meet the post's skin."""
    frame, r = bench.face.frame, mark.diameter / 2.0
    inward = frame.normal_at(mark.u).times(-1.0)
    right = inward.cross(frame.up)
    way = right.times(mark.axis.x).plus(frame.up.times(mark.axis.y)).plus(inward.times(mark.axis.z))
    first = way.cross(frame.up).unit()
    second = first.cross(way)
    start, rim = frame.world(mark.u, mark.v), []
    for step in range(48):
        turn = 2.0 * pi * step / 48.0
        off = first.times(r * cos(turn)).plus(second.times(r * sin(turn)))
        point = frame.meets(Line(start.plus(off), way))
        if point is not None:
            rim.append(bench.place(*frame.place(point)))
    return rim


def _slot(bench: Bench, pen: Pen, mark: Mark, at: Point) -> float:
    """A slot as its two end holes, the crosses to punch and its sides; returns half the way between them."""
    dx, dy = mark.slot[0] * bench.stretch, mark.slot[1]
    data: Data = (("mark", mark.id), ("face", bench.face.id), ("drill", mark.drill.name))
    r, half = mark.diameter / 2.0, hypot(dx, dy)
    for sign, end in ((1.0, "upper"), (-1.0, "lower")):
        x, y = at.x + sign * dx, at.y + sign * dy
        pen.oval(x, y, r, r, Ink.DRILL, 0.0, (*data, ("end", end)))
        pen.line(x - r - 1.0, y, x + r + 1.0, y, Ink.CROSS)
        pen.line(x, y - 0.8, x, y + 0.8, Ink.CROSS)
    for sign in (1.0, -1.0):
        ox, oy = -sign * dy / half * r, sign * dx / half * r
        pen.line(at.x - dx + ox, at.y - dy + oy, at.x + dx + ox, at.y + dy + oy, Ink.DRILL)
    return half


def _outline(bench: Bench, pen: Pen, taken: tuple[Space, Space], outline: Outline, rows: Sequence[float]) -> None:
    """An outline with its name where no hole's cross runs through it; ``taken``: on the sheet, and by the crosses."""
    space, at, box = taken[0], bench.place(outline.u, outline.v), drawn(bench, outline)
    if outline.purpose == "ring":
        turns = (2.0 * pi * step / 72.0 for step in range(72))
        across, up = outline.across / 2.0, outline.up / 2.0
        pen.path([(at.x + across * cos(turn), at.y + up * sin(turn)) for turn in turns], Ink.FITTING, True)
        space.take(area(bench, outline))
        return  # too small to name, and only a washer stands round a hole
    if box.top < at.y + outline.up / 2.0:  # what is over the datum is no paper to draw on
        corners = (box.left, box.top), (box.left, box.bottom), (box.right, box.bottom), (box.right, box.top)
        pen.path(corners, Ink.FITTING)
    else:
        pen.box(*box, Ink.FITTING)
    found = _name_of(bench, outline, box, rows)
    if found:
        _inside_it(pen, taken, box, at, found, rows)
    space.take(area(bench, outline))


def _inside_it(
    pen: Pen, taken: tuple[Space, Space], box: Box, at: Point, found: tuple[str, float, float], rows: Sequence[float]
) -> None:
    """An outline's name beside its holes, smaller where that takes it clear of them; left out where nothing does."""
    (space, crosses), (words, high, y) = taken, found
    for size in (high, *(less for less in (2.2, 1.9, READABLE_STILL) if less < high)):
        long = width(words, size)
        ends = (y, box.top - 1.0 - long, box.bottom + 1.0)
        lows = [low for low in ends if not any(low - BESIDE_JOIN < row < low + long + BESIDE_JOIN for row in rows)]
        # on the base line's x: at the right edge, at the left edge, beside the centre line
        spots = (box.right - 1.2, box.left + 1.2 + size, at.x + 1.0 + size, at.x - 1.0)
        for low, x in product(lows or [y], spots):
            own = Box(x - size - 0.2, low, x + 0.2, low + long)
            if own.bottom > box.bottom and own.top < box.top and crosses.free(own):
                pen.text(x, low, words, size, angle=pi / 2.0)
                space.take(own)
                return


def _comes_out(bench: Bench, pen: Pen, space: Space) -> None:
    """The word at the uppermost hole of a face by which studs come out: not all that is drilled there goes in."""
    studs = [mark for mark in bench.marks if mark.purpose == "cable"] if bench.face.name.startswith(AWAY) else []
    edges = bench.centre - bench.half + 1.0, bench.centre + bench.half - 1.0
    for mark in sorted(studs, key=lambda one: -one.v):
        at = bench.place(mark.u, mark.v)
        rings = [o.up / 2.0 for o in bench.outlines if hypot(o.u - mark.u, o.v - mark.v) < o.up / 2.0]
        reach = max([_arm(mark), *rings]) + 0.8
        for size in (3.0, 2.6, 2.2):
            long = width(OUT, size)
            for y in (at.y + reach, at.y - reach - size, at.y + reach + 3.0, at.y - reach - 3.0 - size):
                for x in (at.x + 1.2, at.x - 1.2 - long):
                    box = Box(x - 0.3, y - 0.3, x + long + 0.3, y + size + 0.3)
                    if edges[0] < box.left and box.right < edges[1] and space.free(box):
                        pen.text(x, y, OUT, size, ink=Ink.STRONG)
                        space.take(box)
                        return


def _name_of(bench: Bench, outline: Outline, box: Box, rows: Sequence[float]) -> tuple[str, float, float] | None:
    """What stands in an outline, its height and where it begins: of several fittings all by post where no join cuts that,
    else that the foot of the sheet lists them; None where there is no room."""
    named = bench.named(outline)
    by_post = "; ".join(f"{capitals(', '.join(places))}: {what.upper()}" for what, places in named.items())
    if len(named) > 1:
        ways = [by_post] if width(by_post, READABLE) <= outline.up - 4.0 else []
        ways += ["BY POST: SEE THE FOOT", "SEE THE FOOT"]
    else:
        ways = [outline.what.upper()]
    for words in ways:
        size = fitted(words, 2.5, outline.up - 4.0, 1.6)
        long = width(words, size)
        if long < outline.up - 2.0:
            middle = (box.bottom + box.top - long) / 2.0
            low = start(rows, middle, long, box.bottom + 1.0, box.top - 1.0)
            if low is not None or len(ways) == 1:
                return words, size, middle if low is None else low
    return None


def _crosses(bench: Bench) -> Space:
    """What the holes of a face take, and the lines of their crosses."""
    crosses = Space()
    for mark in bench.marks:
        at, arm, hole = bench.place(mark.u, mark.v), _arm(mark) + 0.3, _arm(mark) - ARM + 0.4
        crosses.take(Box(at.x - hole, at.y - hole, at.x + hole, at.y + hole))
        crosses.take(Box(at.x - arm, at.y - 0.4, at.x + arm, at.y + 0.4))
        crosses.take(Box(at.x - 0.4, at.y - arm, at.x + 0.4, at.y + arm))
    return crosses


def _arm(mark: Mark) -> float:
    """How far a mark's cross reaches from its middle; of a slot's that its end holes are drilled round."""
    return max(mark.oval) / 2.0 + ARM + hypot(*mark.slot)


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


def _corner(strip: Strip, pen: Pen, space: Space, top: float) -> None:
    """The upper right corner is cut off on every sheet, so that a flipped one shows; from the datum, slant as it may."""
    size, last = min(10.0, strip.width - strip.right - 2.0), strip.benches[-1]
    climb = 0.0 if strip.girth or top != last.seat_y else last.climb
    left, right = (top + climb * (x - last.centre) for x in (strip.width - size, strip.width))
    pen.line(strip.width - size, left, strip.width, right - size, Ink.CUT)
    space.take(Box(strip.width - size - 1.0, min(left, right) - size - 1.0, strip.width, max(left, right)))
