"""A Plan turned into a view of the whole guard from above, to a stated scale: posts, runs, people's side, steps."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, ceil, cos, hypot, pi, sin

from jiggen.compose.islands import AROUND, Island, Laid, Place, corners_of, islands, lay, posts_of
from jiggen.compose.scales import Scale, scales
from jiggen.compose.sight import bars_of, sight
from jiggen.compose.space import Box, Space
from jiggen.compose.spans import Along, dots, draw_spans, draw_turn, draw_up, fits, listed, name_turn, turns
from jiggen.compose.tables import cut_words
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Drawing, Ink, Pen
from jiggen.geometry import Vector
from jiggen.job.model import Stair
from jiggen.plan.lines import side_direction
from jiggen.plan.model import Plan, Post, RunLine
from jiggen.problems import Problem

WIDER = 16.0  # where there is room for figures too
BAND = 6.0  # of the people's side, on paper; less where runs are many
NAME = 3.0
SMALL = 2.5
SIDES = 48  # of a round post's polygon
MOST_LINES = 9  # of spans listed under the view
MOST_NAMES = 90  # of posts on one view
ABOUT = 60.0  # farther from a post than this no other could be meant by its name, mm
CLEARLY = 0.8  # of the way from a name to any other post, its way to its own at the most
APART = 2.0  # between two names beside each other: more than between the figures of one, mm


def plan_view(plan: Plan, problems: Sequence[Problem], size: tuple[float, float]) -> Drawing:
    """The whole guard from above on one drawing of ``size`` mm, its scale stated."""
    pen = Pen()
    pen.text(1.0, size[1] - 7.0, "PLAN VIEW", 6.0, ink=Ink.STRONG)
    draw_plan(plan, pen, Box(0.0, 0.0, size[0], size[1] - 10.0), list_spans=True)
    return pen.drawing(*size, "Plan view")


def draw_plan(plan: Plan, pen: Pen, box: Box, list_spans: bool = False) -> None:
    """Draw the plan view into ``box``, as large as the job's scales allow, with its scale at the foot.

    ``list_spans``: spans that have no room in the view are told under it.
    """
    wide = box.right - box.left
    found, longest = islands(plan), _legend(plan, wide, True, None, True)  # as many lines as the longest legend has
    around = WIDER if list_spans else AROUND
    lines: list[str] = []
    drawn, laid, undone = _drawn(plan, found, box, len(longest), around)
    if list_spans and undone:
        lines = cut_words(listed(plan, plan.runs[:MOST_NAMES]), SMALL, wide - 2.0)[:MOST_LINES]
        drawn, laid, undone = _drawn(plan, found, box, len(longest) + len(lines), around)
        lines = cut_words(listed(plan, undone[:MOST_NAMES]), SMALL, wide - 2.0) if undone else []
        if len(lines) > MOST_LINES:
            lines = [*lines[: MOST_LINES - 1], "and more: every span stands on the elevation of its run"]
    pen.shapes += drawn.shapes
    some = len(_named(plan, laid.scale)) < len({name for line in plan.runs for name in line.posts})
    told = _legend(plan, wide, not laid.true, laid.scale, some or len(plan.runs) > MOST_NAMES)
    y = box.bottom + 4.0 * (len(longest) + len(lines))
    for words in (*told, *lines):
        pen.text(box.left + 1.0, y - SMALL, words, SMALL)
        y -= 4.0


def _drawn(plan: Plan, found: Sequence[Island], box: Box, lines: int, around: float) -> tuple[Pen, Laid, list[RunLine]]:
    """The view over so many lines of words, and the runs whose spans had no room in it."""
    pen, taken = Pen(), Space()
    room = Box(box.left, box.bottom + 4.0 * lines + 1.0, box.right, box.top)
    laid = lay(plan, found, room, around)
    told, crowded = _named(plan, laid.scale), len(plan.runs) > MOST_NAMES
    band = min(BAND, laid.about)
    views = [
        (island, View(island.box.left, island.box.bottom, laid.scale.ratio, *at, band)) for island, at in laid.islands
    ]
    for island, view in views:
        for line in island.runs:
            _people(pen, line, view)
        for line in island.runs:
            _run(plan, pen, line, view, taken)
    posts = [(plan.post_by_id[name], view) for island, view in views for name in posts_of(island.runs)]
    for post, view in posts:
        _post(pen, post, view, taken)
    view_of = {line.id: view for island, view in views for line in island.runs}
    corners = _corners(plan, pen, view_of, taken)
    every = ceil(len(plan.runs) / MOST_NAMES)
    for line, view in [(line, view) for island, view in views for line in island.runs][::every]:
        _side_words(pen, line, view, taken, room, crowded)
    figures = Pen()  # written last, so that a reader of the file's text takes no figure and name for one word
    undone = _spans(plan, figures, view_of, taken, room)
    for corner in corners:
        name_turn(figures, *corner, taken, room)
    lines_of = {name: line for line in reversed(plan.runs) for name in line.posts}  # the first that has it
    stands = [view.at(post.prism.base.x, post.prism.base.y) for post, view in posts]
    for post, view in posts:
        if post.id in told:
            _name(lines_of[post.id], pen, post, view, (taken, stands), room, crowded)
    pen.shapes += figures.shapes
    return pen, laid, undone


def _corners(plan: Plan, pen: Pen, view_of: Mapping[str, View], taken: Space) -> list[tuple[Place, float, float]]:
    """The arcs of all corners, drawn: place, heading of the earlier run, turn."""
    corners = []
    for earlier, _, post, turn in turns(plan) if len(plan.runs) <= MOST_NAMES else ():
        base = plan.post_by_id[post].prism.base
        corners.append((view_of[earlier.id].at(base.x, base.y), earlier.heading, turn))
        draw_turn(pen, *corners[-1], taken)
    return corners


def _spans(plan: Plan, pen: Pen, view_of: Mapping[str, View], taken: Space, room: Box) -> list[RunLine]:
    """The spans of all runs; the runs whose spans had no room."""
    if len(plan.runs) > MOST_NAMES:
        return list(plan.runs)
    undone = []
    for line in plan.runs:
        along = _paper(line, view_of[line.id])
        if not fits(plan.job, line, view_of[line.id].ratio) or not draw_spans(plan.job, line, along, pen, taken, room):
            undone.append(line)
    return undone


def _paper(line: RunLine, view: View) -> Along:
    off = side_direction(line, line.guard.deck)
    a, b = (view.at(*_along(line, x, off, 0.0)) for x in (0.0, line.stations[-1]))
    return Along(line, a, b)


def _legend(plan: Plan, wide: float, apart: bool, scale: Scale | None, some: bool) -> list[str]:
    words = f"Scale {scale.name if scale else scales(plan.job.units)[-1].name}. Grey: where people are. Spans: level, post centres."
    if apart:
        words += " Runs that do not meet are drawn side by side, not at their true distance."
    if any(isinstance(line.ground, Stair) for line in plan.runs):
        words += " Cross lines: nosings; the arrow points up."
    if some:
        words += " Where posts stand close, not all are named."
    return cut_words(words, SMALL, wide - 2.0)


def _named(plan: Plan, scale: Scale) -> set[str]:
    """The posts whose names are drawn: more than a page can hold are thinned out run by run."""
    names = list(dict.fromkeys(name for line in plan.runs for name in _told(line, scale)))
    if len(names) > MOST_NAMES:
        names = list(dict.fromkeys(line.posts[0] for line in plan.runs))
    return set(names[:: ceil(len(names) / MOST_NAMES)])


def _told(line: RunLine, scale: Scale) -> list[str]:
    """The posts of a run that are named: all, or where their names would crowd the ends and as many between as go well."""
    pitch = min(scale.paper(b - a) for a, b in pairwise(line.stations))
    longest = max(width(name, fitted(name, NAME, 14.0, 2.3)) for name in line.posts)
    every = max(1, ceil((longest + APART + 0.4) / max(pitch, 0.1)))
    last = len(line.posts) - 1
    return [name for k, name in enumerate(line.posts) if k in (0, last) or (k % every == 0 and k + every <= last)]


@dataclass(frozen=True, slots=True)
class View:
    """From the world's x and y to paper. ``band``: how wide that of the people's side is there, mm."""

    left: float
    bottom: float
    ratio: float
    x0: float
    y0: float
    band: float

    def at(self, x: float, y: float) -> Place:
        return self.x0 + (x - self.left) / self.ratio, self.y0 + (y - self.bottom) / self.ratio


def _along(line: RunLine, x: float, off: Vector, out: float) -> Place:
    """The world's x and y at level distance ``x`` and ``out`` to the side."""
    at = line.origin.plus(line.level.times(x)).plus(off.times(out))
    return at.x, at.y


def _people(pen: Pen, line: RunLine, view: View) -> None:
    """A grey band on the side where people are, as wide on every scale; on a stair its nosings."""
    off = side_direction(line, line.guard.deck)
    gap = line.guard.out if line.guard.mount == "side" else 0.0
    deep = gap + view.band * view.ratio
    ends = (0.0, line.stations[-1])
    ring = [_along(line, x, off, out) for x, out in zip((*ends, *ends[::-1]), (gap, gap, deep, deep), strict=True)]
    pen.fill([view.at(*place) for place in ring], Ink.PALE)


def _run(plan: Plan, pen: Pen, line: RunLine, view: View, taken: Space) -> None:
    """The run's centre line, its spacer bars, the edge of a deck that it hangs beside, and on a stair the nosings."""
    off = side_direction(line, line.guard.deck)
    gap = line.guard.out if line.guard.mount == "side" else 0.0
    a, b = (view.at(*_along(line, x, off, 0.0)) for x in (0.0, line.stations[-1]))
    pen.line(*a, *b, Ink.DRILL, (("part", "run"), ("id", line.id)))
    if gap:
        edge = [view.at(*_along(line, x, off, gap)) for x in (0.0, line.stations[-1])]
        pen.line(*edge[0], *edge[1], Ink.HIDDEN, (("part", "deck edge"), ("id", line.id)))
    deep = gap + view.band * view.ratio
    for x, _ in sight(plan, line).nosings:
        if 0.0 <= x <= line.stations[-1]:
            step = [view.at(*_along(line, x, off, out)) for out in (gap, deep)]
            pen.line(*step[0], *step[1], Ink.TICK, (("part", "nosing"), ("id", line.id)))
            for box in dots(*step):
                taken.take(box)
    if line.rake:
        draw_up(line, _paper(line, view), pen, gap / view.ratio + view.band / 2.0)
    for bar in bars_of(plan, line):
        pen.fill([view.at(*corner) for corner in corners_of(bar)])


def _post(pen: Pen, post: Post, view: View, taken: Space) -> None:
    ring = [view.at(*corner) for corner in corners_of(post)]
    pen.fill(ring)
    pen.path(ring, Ink.TICK, True, (("part", "post"), ("id", post.id)))
    xs, ys = zip(*ring, strict=True)
    taken.take(Box(min(xs), min(ys), max(xs), max(ys)).grown(0.6))


def _side_words(pen: Pen, line: RunLine, view: View, taken: Space, room: Box, crowded: bool) -> None:
    """The word RUN with its name on the open side, PEOPLE and the way up in the band, each along the run; where it is
    ``crowded`` only what has a place of its own."""
    off = side_direction(line, line.guard.deck)
    middle = line.stations[-1] / 2.0
    if len(line.posts) % 2:  # a post stands in the middle
        index = len(line.posts) // 2
        middle = (line.stations[index - 1] + line.stations[index]) / 2.0
    spin = atan2(line.level.y, line.level.x)
    if not -pi / 2.0 + 1e-6 < spin <= pi / 2.0 + 1e-6:
        spin -= pi
    gap = (line.guard.out if line.guard.mount == "side" else 0.0) / view.ratio
    long = line.stations[-1] / view.ratio
    told, beside = "PEOPLE", gap + view.band / 2.0
    if line.rake:
        told, beside = "PEOPLE, UP", gap + view.band + 2.4
    short = long / (len(line.posts) - 1) < 24.0  # the posts' names need the room beside the line
    far = -8.0 if short else -3.6
    for words, ways in ((told, (beside,)), (f"RUN {line.id}", (far, far - 4.0, far - 8.0, far - 12.0))):
        size = fitted(words, SMALL, max(long - 2.0, 8.0), 2.3)
        half, up = width(words, size) / 2.0 + 0.6, size / 2.0 + 0.6
        spots = [view.at(*_along(line, middle, off, out * view.ratio)) for out in ways]
        boxes = [_turned_box(*spot, half, up, spin, room) for spot in spots]
        chosen = taken.best(boxes)
        if words == "PEOPLE" and not taken.free(boxes[chosen]):
            continue  # the grey band tells it, the legend says so
        if crowded and not (taken.free(boxes[chosen]) and room.holds(boxes[chosen])):
            continue
        x, y = spots[chosen]
        taken.take(boxes[chosen])
        pen.text(x + sin(spin) * size / 2.0, y - cos(spin) * size / 2.0, words, size, "middle", spin)
    a, b = view.at(*_along(line, 0.0, off, 0.0)), view.at(*_along(line, line.stations[-1], off, 0.0))
    steps = max(1, min(40, ceil(hypot(b[0] - a[0], b[1] - a[1]) / 0.8)))
    for k in range(steps + 1):  # names keep off the line itself
        at = a[0] + (b[0] - a[0]) * k / steps, a[1] + (b[1] - a[1]) * k / steps
        taken.take(Box(at[0] - 0.4, at[1] - 0.4, at[0] + 0.4, at[1] + 0.4))


def _turned_box(x: float, y: float, half: float, up: float, spin: float, room: Box) -> Box:
    wide, high = abs(cos(spin)) * half + abs(sin(spin)) * up, abs(sin(spin)) * half + abs(cos(spin)) * up
    return Box(x - wide, y - high, x + wide, y + high)


def _name(
    line: RunLine,
    pen: Pen,
    post: Post,
    view: View,
    stands: tuple[Space, Sequence[Place]],
    room: Box,
    crowded: bool,
) -> None:
    """The post's name on the open side where there is room, clearly nearer to it than to another post where that can be,
    with a hair line where it is not or stands far off; where it is ``crowded`` only if it has a place of its own.
    ``stands``: what is taken, and where posts stand."""
    taken, every = stands
    off = side_direction(line, line.guard.deck).times(-1.0)
    x, y = view.at(post.prism.base.x, post.prism.base.y)
    others = [(px, py) for px, py in every if 0.1 < hypot(px - x, py - y) < ABOUT]
    reach = max(hypot(cx - post.prism.base.x, cy - post.prism.base.y) for cx, cy in corners_of(post)) / view.ratio
    size = fitted(post.id, NAME, 14.0, 2.3)
    half, up = width(post.id, size) / 2.0 + APART / 2.0, size / 2.0 + 0.3
    boxes = [
        Box(cx - half, cy - up, cx + half, cy + up)
        for cx, cy in _places(x, y, atan2(off.y, off.x), reach, half, up)
        if room.left <= cx - half and cx + half <= room.right and room.bottom <= cy - up and cy + up <= room.top
    ]
    if not boxes:
        boxes = [Box(x - half, y + reach, x + half, y + reach + 2.0 * up)]
    boxes.sort(key=lambda box: not _clearly(box, (x, y), others))
    box = boxes[taken.best(boxes)]
    if crowded and not (taken.free(box) and room.holds(box)):
        return
    taken.take(box.grown(0.2))
    cx, cy = (box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0
    far = hypot(cx - x, cy - y) - reach - hypot(half, up)
    if far > 2.0 or not _clearly(box, (x, y), others):
        share = max((far + reach) / hypot(cx - x, cy - y), 0.5)
        pen.line(x, y, x + (cx - x) * share, y + (cy - y) * share, Ink.HATCH)
    pen.text(cx, cy - size / 2.0, post.id, size, "middle", ink=Ink.STRONG)


def _clearly(box: Box, own: Place, others: Sequence[Place]) -> bool:
    """Whether a name is clearly nearer to its own post than to any of the ``others``."""
    x, y = (box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0
    far = hypot(x - own[0], y - own[1])
    return all(far < CLEARLY * hypot(x - px, y - py) for px, py in others)


def _places(x: float, y: float, first: float, reach: float, half: float, up: float) -> Iterator[Place]:
    """Centres to try, near ones first, the open side before the others."""
    for out in (1.0, 2.5, 5.0, 8.0, 12.0, 16.0, 20.0):
        for turn in (0.0, 0.5, -0.5, 0.9, -0.9, 1.57, -1.57, 2.3, -2.3, 3.14):
            c, s = cos(first + turn), sin(first + turn)
            away = reach * 0.75 + out + abs(c) * half + abs(s) * up
            yield x + c * away, y + s * away
