"""A part of a run turned into its dimensions: the chain of heights on its left, guard and underside on its right, spans below."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import fsum, pi
from typing import NamedTuple

from jiggen.compose import dimension
from jiggen.compose.dimension import HIGH, Flag
from jiggen.compose.lettering import reading
from jiggen.compose.part import Part, View
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.job.model import Job
from jiggen.plan.model import Plan
from jiggen.units import mm_text

CLEAR = 12.5  # from a post to where extension lines begin, past cable numbers and pulling order
CHAIN = 14.5  # from the first post to the chain of heights
KNEE = 3.0  # from the chain to where flags begin
# From the last post to the dimension of the underside and of the guard; without millimetres beside the tape they stand closer.
HEIGHTS = {"in": (16.8, 26.2), "mm": (16.0, 21.8)}
BESIDE = {"in": 31.0, "mm": 24.0}  # all that stands right of the last post
SLIM = 150.0  # a narrower drawing, as on a phone, has no flags
SLIM_LEFT = 20.0


class Link(NamedTuple):
    """One link of the chain: its ends, z on site, and what it says."""

    top: float
    bottom: float
    told: Flag


def chain(plan: Plan, part: Part) -> list[Link]:
    """What stands one under the other at the first post of the part: underside, first and last cable, bottom rail, the
    reference line. Nothing in the later parts of a run: once is enough."""
    line, job = part.line, plan.job
    if not line.drops or part.of[0] > 1:
        return []
    x = part.sight.posts[part.first].axis[0]
    at = line.stations[part.first]
    under = line.underside(at) + (line.lifts[part.first] if line.lifts else 0.0)
    count = len(line.drops)
    first, last = part.sight.cable(1, x), part.sight.cable(count, x)
    found = [Link(under, first, _flag(job, under - first))]
    if count > 1:
        found.append(Link(first, last, _row(job, count - 1, first - last, line.spacing / line.cosine)))
    base, low = line.reference(at), last
    if line.guard.bottom_rail:
        gap = base + line.gap
        rail = gap + line.guard.bottom_rail.depth / line.cosine
        found += [Link(low, rail, _flag(job, low - rail)), Link(rail, gap, _flag(job, rail - gap, "rail"))]
        low = gap
    if low - base > 0.05:
        found.append(Link(low, base, _flag(job, low - base)))
    return found


def _flag(job: Job, mm: float, name: str = "") -> Flag:
    tape, metric = dimension.words(job, mm)
    above = f"{name} {tape}".lstrip()
    return Flag((above,), (metric,) if metric else ())


def _row(job: Job, count: int, total: float, each: float) -> Flag:
    """So many equal distances and their sum; the sum alone where the rail was built otherwise than planned."""
    tape, metric = dimension.words(job, total)
    if abs(count * each - total) > 0.1:
        return Flag((tape,), (metric,) if metric else ())
    if job.units == "mm":
        return Flag((f"{count} x {mm_text(each)}",), (f"= {tape}",))
    return Flag(
        (f"{count} x {reading(job, each).signed} in", f"= {tape}"), (f"{count} x {mm_text(each)}", f"= {metric}")
    )


def clear_under(part: Part) -> float:
    """Clear, upright, under the lowest member at the first post of the part, down to the reference line, mm on site."""
    line = part.line
    if line.guard.bottom_rail:
        return line.gap
    lowest = part.sight.cable(len(line.drops), part.sight.posts[part.first].axis[0])
    return lowest - line.cable / 2.0 / line.cosine - line.reference(line.stations[part.first])


def left_room(plan: Plan, part: Part, wide: float) -> float:
    """Room beside the first post for cable numbers, chain and flags, mm."""
    if wide < SLIM:
        return SLIM_LEFT
    links = chain(plan, part)
    return CHAIN + KNEE + 1.5 + max((link.told.long for link in links), default=0.0)


def overhang(plan: Plan, part: Part, wide: float, low: float, high: float) -> tuple[float, float]:
    """How far flags reach under ``low`` and over ``high`` (z on site), mm of paper, 0 at least."""
    links = chain(plan, part)
    if wide < SLIM or not links:
        return 0.0, 0.0
    paper = part.scale.paper
    ys = dimension.spread([paper((link.top + link.bottom) / 2.0) for link in links], [link.told for link in links])
    under = paper(low) - (ys[-1] - links[-1].told.down)
    over = ys[0] + links[0].told.up - paper(high)
    return max(under, 0.0), max(over, 0.0)


def draw_chain(plan: Plan, part: Part, pen: Pen, view: View, wide: float) -> None:
    """The chain of heights on the left of the first post; on a narrow drawing the cables' alone."""
    links = chain(plan, part)
    edge, _ = view.at(part.sight.posts[part.first].left, 0.0)
    x = edge - CHAIN
    if wide < SLIM:
        for link in links[1:2]:
            told = link.told.above[0], link.told.below[0] if plan.job.units == "in" else ""
            _links(pen, [link], x, edge - CLEAR, view)
            y = fsum(view.at(0.0, z)[1] for z in (link.top, link.bottom)) / 2.0
            dimension.along(pen, x, y, told)
        return
    if not links:
        return
    _links(pen, links, x, edge - CLEAR, view)
    middles = [view.at(0.0, (link.top + link.bottom) / 2.0)[1] for link in links]
    heights = dimension.spread(middles, [link.told for link in links])
    for link, middle, height in zip(links, middles, heights, strict=True):
        dimension.flag(pen, x, middle, link.told, (x - KNEE, height))


def _links(pen: Pen, links: Sequence[Link], x: float, end: float, view: View) -> None:
    """The dimension lines of a chain with oblique strokes, and the extension lines to it."""
    for z in dict.fromkeys(z for link in links for z in (link.top, link.bottom)):
        y = view.at(0.0, z)[1]
        pen.line(x - 1.5, y, end, y, Ink.TICK)
    for link in links:
        dimension.bare(pen, view.at(0.0, link.bottom)[1], view.at(0.0, link.top)[1], x, True, strokes=True)


def draw_heights(plan: Plan, part: Part, pen: Pen, view: View) -> None:
    """Underside and guard on the right of the last post, over the reference line there; on a stair over the nosing line."""
    line, job = part.line, plan.job
    last, at = part.sight.posts[part.last], line.stations[part.last]
    x = last.axis[0]
    edge, _ = view.at(last.right, 0.0)
    base = view.at(x, line.reference(at))[1]
    under = line.underside(at) + (line.lifts[part.last] if line.lifts else 0.0)
    near, far = HEIGHTS[job.units]
    over = "over nosing " if part.sight.nosings else ""
    for name, off, z in (("underside ", near, under), ("guard ", far, under + line.rail_drop)):
        y = view.at(x, z)[1]
        tape, metric = dimension.words(job, z - line.reference(at))
        told = (f"{name}{over}{tape}", f"{over}{tape}", tape)
        fits = next((words for words in told if width(words, HIGH) + 1.0 <= y - base), tape)
        dimension.upright(pen, edge + off, base, y, (fits, metric))
        pen.line(edge + CLEAR, y, edge + off + 1.5, y, Ink.TICK)
    pen.line(edge + CLEAR, base, edge + far + 1.5, base, Ink.TICK)


def span_depth(plan: Plan, part: Part) -> float:
    """How far the words of the spans reach under their dimension line, mm."""
    turned = [width(_turned(plan, span), HIGH) + 2.0 for span, fits in _spans(plan, part) if not fits]
    return max(turned, default=dimension.OFF + HIGH + 1.0)


def _spans(plan: Plan, part: Part) -> list[tuple[float, bool]]:
    """Each span of the part, mm on site, and whether its words stand between its ends."""
    found = []
    for a, b in pairwise(part.line.stations[part.first : part.last + 1]):
        long = dimension.long(dimension.words(plan.job, b - a))
        found.append((b - a, long + 1.0 <= part.scale.paper(b - a)))
    return found


def _turned(plan: Plan, span: float) -> str:
    tape, metric = dimension.words(plan.job, span)
    return f"{tape}, {metric}" if metric else tape


def draw_spans(plan: Plan, part: Part, pen: Pen, view: View, down: float) -> None:
    """Spans between post centres, ``down`` under everything; the words of one that is too short for them stand upright."""
    stations = part.line.stations
    y = view.y0 - down
    for index in range(part.first, part.last + 1):
        x, bottom = view.at(stations[index], part.sight.posts[index].bottom)
        pen.line(x, y - 1.5, x, bottom - 1.0, Ink.TICK)
    for index, (span, fits) in enumerate(_spans(plan, part), part.first):
        a, b = (view.at(stations[k], 0.0)[0] for k in (index, index + 1))
        if fits:
            dimension.level(pen, a, b, y, dimension.words(plan.job, span))
            continue
        dimension.bare(pen, a, b, y, False, strokes=True)
        pen.text((a + b + HIGH) / 2.0, y - 1.5, _turned(plan, span), HIGH, "right", pi / 2.0)
