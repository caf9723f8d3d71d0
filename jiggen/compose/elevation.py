"""Every run of a Plan turned into an elevation to a stated scale: posts, rails, cables, steps, dimensions, the worst opening."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, degrees, pi, sin
from typing import NamedTuple

from jiggen.compose import dimension
from jiggen.compose.lettering import both
from jiggen.compose.scales import Scale, scales
from jiggen.compose.sight import Sight, Worst, sight, worst
from jiggen.compose.space import Box, Space
from jiggen.compose.tables import cut_words
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Drawing, Ink, Pen
from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Problem

LEFT, RIGHT = 18.0, 26.0  # beside the drawn posts: cable numbers and spacing; pulling order, underside and height
NAMES = 7.0  # over the highest post
BELOW = 15.0  # span dimensions
LINE = 4.0  # from line to line of words
SMALL = 2.5  # height of the words
NUMBER = 2.3  # height of the cables' numbers
APART = 3.0  # least from number to number
SIDES = 48  # of the sphere's polygon
FLOOR = 2.2  # of the walking surface drawn beyond the end posts
CLEAR = 12.5  # from a post to where extension lines begin, past the pulling order
FINEST = {"in": 24.0, "mm": 20.0}  # a longer run is told in parts rather than drawn smaller


@dataclass(frozen=True, slots=True)
class Part:
    """Some spans of a run, from post ``first`` to post ``last`` (indices), to one scale. ``of``: its number and their count."""

    line: RunLine
    sight: Sight
    scale: Scale
    first: int
    last: int
    of: tuple[int, int]


def elevations(plan: Plan, problems: Sequence[Problem], size: tuple[float, float]) -> tuple[Drawing, ...]:
    """Elevations of all runs on drawings of ``size`` mm, in the job's order; more than one on a page where they fit.

    Drawn to ISO 5455 scales in a metric job, to inch-foot scales in an inch job. x on paper is the level distance
    along the run, y the height, both over the scale's ratio; a run too long for a page is told in parts that share a post.
    """
    pages: list[Pen] = []
    y = 0.0
    for line in plan.runs:
        for part in parts(plan, line, size):
            height = _height(plan, part, size[0])
            if not pages or y < height:
                pages.append(Pen())
                y = size[1] - _title(pages[-1], size)
            _draw(plan, part, pages[-1], y, size[0])
            y -= height + 4.0
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
    left, right, _, _ = _bounds(part)
    across = part.scale.paper(right - left) + LEFT + RIGHT
    return across <= wide and _height(plan, part, wide) <= room


def _bounds(part: Part) -> Bounds:
    """What is drawn of the part in the run's own frame, mm on site: left, right, lowest, highest."""
    posts = part.sight.posts[part.first : part.last + 1]
    left = min(post.left for post in posts)
    right = max(post.right for post in posts)
    floor = FLOOR * part.scale.ratio
    ground = [z for piece in _within(part.sight.ground, left - floor, right + floor) for _, z in piece]
    low = min(*ground, *(post.bottom for post in posts))
    return Bounds(left, right, low, max(post.top for post in posts))


def _height(plan: Plan, part: Part, wide: float) -> float:
    _, _, low, high = _bounds(part)
    return _above(plan, part, wide) + part.scale.paper(high - low) + BELOW


def _above(plan: Plan, part: Part, wide: float) -> float:
    """Height of the words and names over the drawing."""
    return 7.0 + LINE * (len(_details(plan, part, wide)) + len(_worst_words(plan, part, wide))) + NAMES + 1.0


def _title(pen: Pen, size: tuple[float, float]) -> float:
    pen.text(1.0, size[1] - 7.0, "ELEVATIONS", 6.0, ink=Ink.STRONG)
    return 11.0


def _details(plan: Plan, part: Part, wide: float) -> list[str]:
    line, job = part.line, plan.job
    slope = f"rake {degrees(line.rake):+.2f}°" if line.rake else "level"
    side = "people's side" if line.guard.deck == "right" else "open side"
    chain = "; chain line: nosing line" if line.rake and part.sight.nosings else ""
    words = (
        f"Scale {part.scale.name}, seen from the {side}, {slope}; guard {both(job, line.height)} high, {len(line.drops)} cables "
        f"every {both(job, line.spacing)} square to them; left their numbers, right the order to pull them in{chain}."
    )
    return cut_words(words, SMALL, wide - 2.0)


def _worst_words(plan: Plan, part: Part, wide: float) -> list[str]:
    found = _worst_here(plan, part)
    if found is None:
        return []
    job = plan.job
    given = f", {both(job, found.loaded)} at the slackest under load" if found.loaded is not None else ""
    words = (
        f"Sphere of {both(job, found.sphere)} at opening {found.number} from the top: {both(job, found.rest)} clear "
        f"at rest{given}."
    )
    return cut_words(words, SMALL, wide - 2.0)


def _worst_here(plan: Plan, part: Part) -> Worst | None:
    """The run's worst opening where its bay is in this part."""
    found = worst(plan, part.line, part.sight)
    if found is None or not part.line.stations[part.first] <= found.x <= part.line.stations[part.last]:
        return None
    return found


class Bounds(NamedTuple):
    """Of what is drawn, in the run's own frame, mm on site."""

    left: float
    right: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class View:
    """From the run's own frame to paper."""

    left: float
    low: float
    ratio: float
    x0: float
    y0: float

    def at(self, x: float, z: float) -> tuple[float, float]:
        return self.x0 + (x - self.left) / self.ratio, self.y0 + (z - self.low) / self.ratio


def _draw(plan: Plan, part: Part, pen: Pen, top: float, wide: float) -> None:
    left, right, low, high = _bounds(part)
    paper = part.scale.paper
    spare = wide - LEFT - RIGHT - paper(right - left)
    bottom = top - _above(plan, part, wide) - paper(high - low)
    view = View(left, low, part.scale.ratio, LEFT + spare / 2.0, bottom)
    _heading(plan, part, pen, top, wide)
    _ground(part, pen, view)
    _posts(plan, part, pen, view)
    _rails(part, pen, view)
    _cables(part, pen, view)
    _numbers(plan, part, pen, view)
    _heights(plan, part, pen, view)
    _spans(plan, part, pen, view)
    _sphere(plan, part, pen, view, top - 7.0 - LINE * len(_details(plan, part, wide)), wide)


def _heading(plan: Plan, part: Part, pen: Pen, top: float, wide: float) -> None:
    number, count = part.of
    share = f", part {number} of {count}" if count > 1 else ""
    names = part.line.posts[part.first : part.last + 1]
    words = f"RUN {part.line.id}{share}: posts {' '.join(names)}"
    if width(words, 4.0) > wide - 2.0:
        words = f"RUN {part.line.id}{share}: posts {names[0]} to {names[-1]}"
    pen.text(1.0, top - 4.0, words, fitted(words, 4.0, wide - 2.0, 2.3), ink=Ink.STRONG)
    y = top - 7.0
    for line in _details(plan, part, wide):
        pen.text(1.0, y - SMALL, line, SMALL)
        y -= LINE


def _ground(part: Part, pen: Pen, view: View) -> None:
    """Deck, ramp or steps, a little beyond the posts; the nosing line as a chain line."""
    left, right, _, _ = _bounds(part)
    floor = FLOOR * part.scale.ratio
    low, high = left - floor, right + floor
    for piece in _within(part.sight.ground, low, high):
        pen.path([view.at(*point) for point in piece], Ink.EDGE, data=(("part", "ground"), ("run", part.line.id)))
    if part.sight.nosings:
        slope = part.line.slope
        data = (("part", "nosing line"), ("run", part.line.id))
        ends = [view.at(x, part.line.reference(0.0) + x * slope) for x in (left, right)]
        pen.line(*ends[0], *ends[1], Ink.CENTRE, data)


def _within(points: Sequence[tuple[float, float]], low: float, high: float) -> Iterator[list[tuple[float, float]]]:
    """The pieces of a polyline between two upright lines, cut at them."""
    piece: list[tuple[float, float]] = []
    for (ax, az), (bx, bz) in itertools.pairwise(points):
        if max(ax, bx) < low or min(ax, bx) > high:
            if len(piece) > 1:
                yield piece
            piece = []
            continue
        ends = []
        for x, z in ((ax, az), (bx, bz)):
            held = min(max(x, low), high)
            ends.append((held, z if held == x else az + (bz - az) * (held - ax) / (bx - ax)))
        if not piece or piece[-1] != ends[0]:
            if len(piece) > 1:
                yield piece
            piece = [ends[0]]
        piece.append(ends[1])
    if len(piece) > 1:
        yield piece


def _posts(plan: Plan, part: Part, pen: Pen, view: View) -> None:
    """Posts and spacer bars with their names over them."""
    taken = Space()
    shown = part.sight.posts[part.first : part.last + 1]
    for post in shown:
        data = (("part", "post"), ("id", post.id))
        pen.path([view.at(*corner) for corner in post.outline], Ink.EDGE, not post.open_below, data)
    low, high = shown[0].left, shown[-1].right
    for bar in part.sight.bars:
        if low < bar.axis[0] < high:
            pen.path([view.at(*corner) for corner in bar.outline], Ink.TICK, True, (("part", "bar"), ("id", bar.id)))
    for post in shown:
        x, y = view.at(post.axis[0], post.top)
        size = fitted(post.id, 4.0, 16.0, 2.3)
        half = width(post.id, size) / 2.0
        rows = [Box(x - half - 1.0, y + 2.0 + up, x + half + 1.0, y + 2.0 + up + size) for up in (0.0, 5.0)]
        box = rows[taken.best(rows)]
        taken.take(box)
        pen.text(x, box.bottom, post.id, size, "middle", ink=Ink.STRONG)


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


def _numbers(plan: Plan, part: Part, pen: Pen, view: View) -> None:
    """Cable numbers on the left, the order to pull them in on the right, with a hair line where they are spread."""
    count = len(part.line.drops)
    if not count:
        return
    order = {cable: place for place, cable in enumerate(dict(plan.takeoff.tension_order).get(part.line.id, ()), 1)}
    posts = part.sight.posts
    for post, edge, sign in (
        (posts[part.first], posts[part.first].left, -1.0),
        (posts[part.last], posts[part.last].right, 1.0),
    ):
        x, _ = view.at(edge, 0.0)
        heights = [view.at(post.axis[0], part.sight.cable(number, post.axis[0]))[1] for number in range(1, count + 1)]
        pitch = (heights[0] - heights[-1]) / (count - 1) if count > 1 else APART
        middle, apart = (heights[0] + heights[-1]) / 2.0, max(pitch, APART)
        for number, y in enumerate(heights, 1):
            at = middle + ((count - 1) / 2.0 - (number - 1)) * apart
            pen.line(x + sign * 0.6, y, x + sign * 2.4, at, Ink.HATCH)
            told = str(number if sign < 0 else order.get(number, number))
            pen.text(x + sign * 3.0, at - NUMBER / 2.0, told, NUMBER, "right" if sign < 0 else "left")
        top = middle + (count - 1) / 2.0 * apart + NUMBER / 2.0 + 1.4
        pen.text(
            x + sign * 3.0,
            top,
            "CABLE" if sign < 0 else "PULL",
            NUMBER,
            "right" if sign < 0 else "left",
            ink=Ink.STRONG,
        )


def _heights(plan: Plan, part: Part, pen: Pen, view: View) -> None:
    """Spacing on the left; underside and guard height on the right, over the reference line there."""
    line, job = part.line, plan.job
    last, first = part.sight.posts[part.last], part.sight.posts[part.first]
    x, at = last.axis[0], line.stations[part.last]
    edge, _ = view.at(last.right, 0.0)
    base = view.at(x, line.reference(at))[1]
    lift = line.lifts[part.last] if line.lifts else 0.0
    under = line.underside(at) + lift
    for off, z in ((14.8, under), (22.4, under + line.rail_drop)):
        y = view.at(x, z)[1]
        dimension.upright(pen, edge + off, base, y, dimension.words(job, z - line.reference(at)))
        pen.line(edge + CLEAR, y, edge + off + 1.0, y, Ink.TICK)
    pen.line(edge + CLEAR, base, edge + 23.0, base, Ink.TICK)
    if len(line.drops) > 1:
        edge, _ = view.at(first.left, 0.0)
        ends = [view.at(0.0, part.sight.cable(number, first.axis[0]))[1] for number in (len(line.drops), 1)]
        upright = line.spacing / line.cosine
        told = dimension.words(job, upright)
        much = f"{len(line.drops) - 1} x {told[0]}"
        dimension.upright(pen, edge - 14.0, ends[0], ends[1], (much, told[1]))
        for y in ends:
            pen.line(edge - 15.0, y, edge - 8.5, y, Ink.HATCH)


def _spans(plan: Plan, part: Part, pen: Pen, view: View) -> None:
    """Spans between post centres, below everything."""
    stations = part.line.stations
    y = view.y0 - 7.0
    for index in range(part.first, part.last + 1):
        x, bottom = view.at(stations[index], part.sight.posts[index].bottom)
        pen.line(x, y - 1.0, x, bottom - 1.0, Ink.TICK)
    for index in range(part.first, part.last):
        a, _ = view.at(stations[index], 0.0)
        b, _ = view.at(stations[index + 1], 0.0)
        dimension.level(pen, a, b, y, dimension.words(plan.job, stations[index + 1] - stations[index]))


def _sphere(plan: Plan, part: Part, pen: Pen, view: View, top: float, wide: float) -> None:
    """The sphere that must not pass, in the opening that comes nearest to letting it; a line from its words to it."""
    found = _worst_here(plan, part)
    if found is None:
        return
    x, y = view.at(found.x, found.z)
    r = found.sphere / 2.0 / view.ratio
    ring = [(x + r * cos(2.0 * pi * k / SIDES), y + r * sin(2.0 * pi * k / SIDES)) for k in range(SIDES)]
    pen.path(ring, Ink.DRILL, True, (("part", "sphere"), ("run", part.line.id)))
    lines = _worst_words(plan, part, wide)
    foot = top
    for words in lines:
        pen.text(1.0, foot - SMALL, words, SMALL)
        foot -= LINE
    long = width(lines[-1], SMALL)
    start = min(max(x, 2.0), 1.0 + long)
    pen.path(
        ((start, foot + LINE - SMALL - 0.8), (x, view.at(0.0, _bounds(part)[3])[1] + NAMES + 0.5), (x, y + r)), Ink.TICK
    )
