"""Every run of a Plan turned into an elevation to a stated scale: posts, rails, cables, steps, dimensions, the worst opening."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import degrees

from jiggen.compose import called, step
from jiggen.compose.lettering import both
from jiggen.compose.part import FLOOR, Part, View, bounds, within
from jiggen.compose.scales import scales
from jiggen.compose.sight import Worst, sight, worst
from jiggen.compose.sizes import (
    BESIDE,
    SLIM,
    clear_under,
    draw_chain,
    draw_heights,
    draw_spans,
    left_room,
    overhang,
    span_depth,
)
from jiggen.compose.tables import cut_words
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Drawing, Ink, Pen
from jiggen.job.model import Ramp, Stair
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.pulls import cables_words
from jiggen.problems import Problem
from jiggen.shapes.outline import Circle

SPANS = 7.0  # from the drawing down to the dimension lines of spans
LINE = 4.0  # from line to line of words
SMALL = 2.5  # height of the words
SIDES = 48  # of the sphere's polygon
FINEST = {"in": 24.0, "mm": 20.0}  # a longer run is told in parts rather than drawn smaller


def elevations(plan: Plan, problems: Sequence[Problem], size: tuple[float, float]) -> tuple[Drawing, ...]:
    """Elevations of all runs on drawings of ``size`` mm, each on the first page with room for it, else on one more.

    Drawn to ISO 5455 scales in a metric job, to inch-foot scales in an inch job. x on paper is the level distance
    along the run, y the height, both over the scale's ratio; a run too long for a page is told in parts that share a post.
    """
    pages: list[Pen] = []
    left: list[float] = []  # y up to which each page is still empty
    for line in plan.runs:
        for part in parts(plan, line, size):
            height = _height(plan, part, size[0])
            at = next((index for index, y in enumerate(left) if y >= height), len(pages))
            if at == len(pages):
                pages.append(Pen())
                left.append(size[1] - _title(pages[-1], size))
            _draw(plan, part, pages[at], left[at], size[0])
            left[at] -= height + 4.0
    return tuple(pen.drawing(*size, "Elevations") for pen in pages)


def parts(plan: Plan, line: RunLine, size: tuple[float, float]) -> list[Part]:
    """The run whole, or in as few parts as can be read: none smaller than the finest scale unless a span is too long for it."""
    seen, most = sight(plan, line), len(line.posts) - 1
    room = size[1] - 11.0
    chosen = list(scales(plan.job.units))
    for scale in chosen:
        whole = Part(line, seen, scale, 0, most, (1, 1))
        if scale.ratio <= FINEST[plan.job.units] and _fits(plan, whole, size[0], room):
            return [whole]
    for scale in chosen:
        if scale.ratio >= FINEST[plan.job.units]:
            found = _cut(plan, Part(line, seen, scale, 0, most, (1, 1)), size[0], room)
            if found:
                return found
    return [Part(line, seen, chosen[-1], 0, most, (1, 1))]


def _cut(plan: Plan, whole: Part, wide: float, room: float) -> list[Part]:
    """The fewest parts, as even as they fit; [] where one span alone does not fit."""
    for count in range(1, whole.last + 1):
        ends = [round(whole.last * number / count) for number in range(count + 1)]
        found = [
            Part(whole.line, whole.sight, whole.scale, a, b, (number, count))
            for number, (a, b) in enumerate(itertools.pairwise(ends), 1)
        ]
        if all(_fits(plan, part, wide, room) for part in found):
            return found
    return []


def _fits(plan: Plan, part: Part, wide: float, room: float) -> bool:
    left, right, _, _ = bounds(part)
    across = part.scale.paper(right - left) + left_room(plan, part, wide) + BESIDE[plan.job.units]
    return across <= wide and _height(plan, part, wide) <= room


def _height(plan: Plan, part: Part, wide: float) -> float:
    _, _, low, high = bounds(part)
    return _above(plan, part, wide) + part.scale.paper(high - low) + _below(plan, part, wide) + _step(plan, part, wide)


def _down(plan: Plan, part: Part) -> float:
    """From the lowest thing drawn down to the dimension lines of spans: past the numbers where those reach further down."""
    return max(SPANS, called.reach(plan, part, None)[0] + 5.0)


def _below(plan: Plan, part: Part, wide: float) -> float:
    """Height of the span dimensions, or of the flags where those reach further down."""
    _, _, low, high = bounds(part)
    flags = overhang(plan, part, wide, low, high)[0]
    return max(_down(plan, part) + span_depth(plan, part) + 4.0, flags + 2.0)


def _step(plan: Plan, part: Part, wide: float) -> float:
    """Height of a step drawn out, under the first part of a stair; none on a narrow drawing."""
    stair = part.line.ground
    if isinstance(stair, Stair) and part.sight.nosings and part.of[0] == 1 and wide >= SLIM:
        return step.room(plan.job, stair)
    return 0.0


def _above(plan: Plan, part: Part, wide: float) -> float:
    """Height of the words and names over the drawing."""
    _, _, low, high = bounds(part)
    words = LINE * (len(_details(plan, part, wide)) + len(_worst_words(plan, part, wide)))
    flags, names = overhang(plan, part, wide, low, high)[1], called.reach(plan, part, _over_sphere(plan, part))[1]
    return 9.0 + words + max(names, flags)


def _title(pen: Pen, size: tuple[float, float]) -> float:
    pen.text(1.0, size[1] - 7.0, "ELEVATIONS", 6.0, ink=Ink.STRONG)
    return 11.0


def _details(plan: Plan, part: Part, wide: float) -> list[str]:
    line, job = part.line, plan.job
    slope = f"rake {degrees(line.rake):+.2f}°" if line.rake else "level"
    if isinstance(line.ground, Ramp):
        slope += ", a ramp"
    side = "people's side" if line.guard.deck == "right" else "open side"
    over = "the nosing line (chain line)" if line.rake and part.sight.nosings else "the walking surface"
    if part.of[0] > 1:
        return [f"Scale {part.scale.name}; all else as in part 1."]
    words = (
        f"Scale {part.scale.name}, seen from the {side}, {slope}; guard {both(job, line.height)} high over {over}, upright. "
        f"{len(line.drops)} cables every {both(job, line.spacing)} square to them; left their numbers and what lies between "
        "centres, upright; right the order to pull them in."
    )
    if line.drops:
        lowest = "the bottom rail" if line.guard.bottom_rail else f"cable {len(line.drops)}"
        words += f" Clear under {lowest}: {both(job, clear_under(part))}."
    if line.led:
        words += f" E{cables_words(line)[1:]}."
    return cut_words(words, SMALL, wide - 2.0)


def _worst_words(plan: Plan, part: Part, wide: float) -> list[str]:
    found = _worst_here(plan, part)
    if found is None:
        return []
    job = plan.job
    given = f", {both(job, found.loaded)} at the slackest under load" if found.loaded is not None else ""
    words = (
        f"S: sphere of {both(job, found.sphere)} at opening {found.number} from the top: {both(job, found.rest)} clear "
        f"at rest{given}."
    )
    return cut_words(words, SMALL, wide - 2.0)


def _worst_here(plan: Plan, part: Part) -> Worst | None:
    """The run's worst opening where its bay is in this part."""
    found = worst(plan, part.line, part.sight)
    if found is None or not part.line.stations[part.first] <= found.x <= part.line.stations[part.last]:
        return None
    return found


def _draw(plan: Plan, part: Part, pen: Pen, top: float, wide: float) -> None:
    left, right, low, high = bounds(part)
    paper = part.scale.paper
    beside = left_room(plan, part, wide)
    spare = wide - beside - BESIDE[plan.job.units] - paper(right - left)
    bottom = top - _above(plan, part, wide) - paper(high - low)
    view = View(left, low, part.scale.ratio, beside + spare / 2.0, bottom)
    _heading(plan, part, pen, top, wide)
    _ground(part, pen, view)
    _posts(part, pen, view)
    _rails(part, pen, view)
    _cables(part, pen, view)
    called.draw_columns(called.columns(plan, part, view), pen)
    draw_chain(plan, part, pen, view, wide)
    draw_heights(plan, part, pen, view)
    draw_spans(plan, part, pen, view, _down(plan, part))
    _sphere(plan, part, pen, view)
    if _step(plan, part, wide) and isinstance(part.line.ground, Stair):
        step.draw(plan.job, part.line.ground, pen, bottom - _below(plan, part, wide), part.line.id)


def _heading(plan: Plan, part: Part, pen: Pen, top: float, wide: float) -> None:
    number, count = part.of
    share = f", part {number} of {count}" if count > 1 else ""
    names = part.line.posts[part.first : part.last + 1]
    words = f"RUN {part.line.id}{share}: posts {', '.join(names)}"
    if width(words, 4.0) > wide - 2.0:
        words = f"RUN {part.line.id}{share}: posts {names[0]} to {names[-1]}"
    pen.text(1.0, top - 4.0, words, fitted(words, 4.0, wide - 2.0, 2.3), ink=Ink.STRONG)
    y = top - 7.0
    for line in (*_details(plan, part, wide), *_worst_words(plan, part, wide)):
        pen.text(1.0, y - SMALL, line, SMALL)
        y -= LINE


def _ground(part: Part, pen: Pen, view: View) -> None:
    """Deck, ramp or steps, a little beyond the posts; the nosing line as a chain line."""
    left, right, _, _ = bounds(part)
    floor = FLOOR * part.scale.ratio
    low, high = left - floor, right + floor
    for piece in within(part.sight.ground, low, high):
        pen.path([view.at(*point) for point in piece], Ink.EDGE, data=(("part", "ground"), ("run", part.line.id)))
    if part.sight.nosings:
        slope = part.line.slope
        data = (("part", "nosing line"), ("run", part.line.id))
        ends = [view.at(x, part.line.reference(0.0) + x * slope) for x in (left, right)]
        pen.line(*ends[0], *ends[1], Ink.CENTRE, data)


def _posts(part: Part, pen: Pen, view: View) -> None:
    """Posts and spacer bars."""
    shown = part.sight.posts[part.first : part.last + 1]
    for post in shown:
        data = (("part", "post"), ("id", post.id))
        pen.path([view.at(*corner) for corner in post.outline], Ink.EDGE, not post.open_below, data)
    low, high = shown[0].left, shown[-1].right
    for bar in part.sight.bars:
        if low < bar.axis[0] < high:
            pen.path([view.at(*corner) for corner in bar.outline], Ink.TICK, True, (("part", "bar"), ("id", bar.id)))


def _rails(part: Part, pen: Pen, view: View) -> None:
    low, high = part.line.stations[part.first], part.line.stations[part.last]
    for place, corners in part.sight.rails:
        if place == "over":
            corners = tuple(_clipped(corners, part.sight.posts[part.first].left, part.sight.posts[part.last].right))
        elif not low - 1e-6 <= (corners[0][0] + corners[1][0]) / 2.0 <= high + 1e-6:
            continue
        pen.path([view.at(*corner) for corner in corners], Ink.EDGE, True, (("part", f"rail {place}"),))


def _clipped(corners: Sequence[tuple[float, float]], low: float, high: float) -> list[tuple[float, float]]:
    """A rail's four corners (lower left, lower right, upper right, upper left) cut to a part of the run."""
    (ax, az), (bx, bz), (_, bt), (_, at) = corners
    left, right = max(ax, low), min(bx, high)

    def height(x: float, start: float, end: float) -> float:
        return start + (end - start) * (x - ax) / (bx - ax)

    return [
        (left, height(left, az, bz)),
        (right, height(right, az, bz)),
        (right, height(right, at, bt)),
        (left, height(left, at, bt)),
    ]


def _cables(part: Part, pen: Pen, view: View) -> None:
    """Each cable from face to face of the end posts, or from rim to rim of the part."""
    posts = part.sight.posts
    start = posts[0].right if part.first == 0 else posts[part.first].left
    end = posts[-1].left if part.last == len(posts) - 1 else posts[part.last].right
    for number in range(1, len(part.line.drops) + 1):
        data = (("part", "cable"), ("id", f"{part.line.id}{number}"))
        a, b = (view.at(x, part.sight.cable(number, x)) for x in (start, end))
        pen.line(*a, *b, Ink.CROSS, data)


def _over_sphere(plan: Plan, part: Part) -> tuple[float, float] | None:
    """The point of the top rail over the sphere, on site."""
    found = _worst_here(plan, part)
    if found is None:
        return None
    lift = max(part.line.lifts) if part.line.lifts else 0.0
    return found.x, part.line.underside(found.x) + part.line.rail_drop + lift


def _sphere(plan: Plan, part: Part, pen: Pen, view: View) -> None:
    """The names, and the sphere that must not pass, in the opening that comes nearest to letting it, with a leader up to
    its letter."""
    found, over = _worst_here(plan, part), _over_sphere(plan, part)
    called.draw_names(called.names(plan, part, view, view.at(*over) if over else None), pen)
    if found is None or over is None:
        return
    x, y = view.at(found.x, found.z)
    r = found.sphere / 2.0 / view.ratio
    ring = [(x + p.x, y + p.y) for p in Circle(r).drawn(SIDES)]
    pen.path(ring, Ink.DRILL, True, (("part", "sphere"), ("run", part.line.id)))
    pen.line(x, y + r, x, view.at(*over)[1] + 1.4, Ink.TICK)
