"""The runs of a plan view turned into its figures: spans between posts, the turn at each corner, the way up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, degrees, hypot, pi, sin

from jiggen.compose import dimension
from jiggen.compose.dimension import ARROW, HIGH, OFF
from jiggen.compose.lettering import both
from jiggen.compose.space import Box, Space
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.job.model import Job
from jiggen.plan.lines import side_direction
from jiggen.plan.model import Plan, RunLine

NEAR = (11.0, 17.0, 23.0)  # from the run out to the open side, paper: where dimension lines may lie
EXTENSION = 2.5  # of an extension line that is drawn before the dimension line
ARC = 7.0  # radius at a corner
Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Group:
    """Equal spans one after the other, from post ``first`` to post ``last`` (indices); ``each`` mm on site."""

    first: int
    last: int
    each: float

    def told(self, job: Job) -> tuple[str, str]:
        tape, metric = dimension.words(job, self.each)
        count = self.last - self.first
        if count == 1:
            return tape, metric
        return f"{count} x {tape}", f"{count} x {metric}" if metric else ""


def groups(line: RunLine) -> list[Group]:
    """The spans of a run, equal neighbours (within 0.05 mm) together."""
    found: list[Group] = []
    for index, (a, b) in enumerate(pairwise(line.stations)):
        if found and abs(found[-1].each - (b - a)) < 0.05:
            found[-1] = Group(found[-1].first, index + 1, found[-1].each)
        else:
            found.append(Group(index, index + 1, b - a))
    return found


def fits(job: Job, line: RunLine, ratio: float) -> bool:
    """Whether the words of every span stand between its ends at this scale."""
    return all(
        dimension.long(group.told(job)) + 1.0 <= (line.stations[group.last] - line.stations[group.first]) / ratio
        for group in groups(line)
    )


def listed(plan: Plan, lines: Sequence[RunLine]) -> str:
    """The spans of runs as words, for those that have no room in the view."""
    said = []
    for line in lines:
        parts = []
        for group in groups(line):
            count = group.last - group.first
            much = f"{count} x " if count > 1 else ""
            parts.append(f"{line.posts[group.first]} to {line.posts[group.last]}: {much}{both(plan.job, group.each)}")
        said.append(f"run {line.id} {'; '.join(parts)}")
    return f"Spans that have no room in the view: {'. '.join(said)}."


class Along:
    """A run on paper: ``at(x, out)`` is the point at level distance ``x`` (mm on site), ``out`` mm of paper to the open side."""

    def __init__(self, line: RunLine, start: Place, end: Place) -> None:
        off = side_direction(line, line.guard.deck).times(-1.0)
        self.start, self.end, self.whole = start, end, line.stations[-1]
        self.off = off.x, off.y
        spin = atan2(end[1] - start[1], end[0] - start[0])
        self.spin = spin if -pi / 2.0 + 1e-6 < spin <= pi / 2.0 + 1e-6 else spin - pi if spin > 0 else spin + pi

    def at(self, x: float, out: float) -> Place:
        share = x / self.whole
        return (
            self.start[0] + (self.end[0] - self.start[0]) * share + self.off[0] * out,
            self.start[1] + (self.end[1] - self.start[1]) * share + self.off[1] * out,
        )


def draw_spans(job: Job, line: RunLine, along: Along, pen: Pen, taken: Space, room: Box) -> bool:
    """Draw the spans of a run on its open side where they are clear of everything; whether they were."""
    told = [(group, group.told(job)) for group in groups(line)]
    for out in NEAR:
        boxes = []
        for group, words in told:
            a, b = line.stations[group.first], line.stations[group.last]
            boxes += [_box(along, (a + b) / 2.0, out + lift, text) for lift, text in _rows(along, words)]
            boxes += list(dots(along.at(a, out), along.at(b, out)))
        inside = all(
            room.left < box.left and box.right < room.right and room.bottom < box.bottom and box.top < room.top
            for box in boxes
        )
        if inside and all(taken.free(box) for box in boxes):
            for box in boxes:
                taken.take(box.grown(0.3))
            _draw(line, along, pen, out, told)
            for group, _ in told:
                for x in (line.stations[group.first], line.stations[group.last]):
                    for box in dots(along.at(x, out - EXTENSION), along.at(x, out + 1.5)):
                        taken.take(box)
            return True
    return False


def _rows(along: Along, words: tuple[str, str]) -> Iterator[tuple[float, str]]:
    """How far off the dimension line (to the open side) the middle of each row of words lies: the tape above the line."""
    up = -sin(along.spin) * along.off[0] + cos(along.spin) * along.off[1]  # +1: above as it is read is the open side
    yield (1.0 if up > 0 else -1.0) * (OFF + HIGH / 2.0), words[0]
    if words[1]:
        yield (-1.0 if up > 0 else 1.0) * (OFF + HIGH / 2.0), words[1]


def _box(along: Along, x: float, out: float, words: str) -> Box:
    cx, cy = along.at(x, out)
    half, up = width(words, HIGH) / 2.0 + 0.5, HIGH / 2.0
    wide = abs(cos(along.spin)) * half + abs(sin(along.spin)) * up
    high = abs(sin(along.spin)) * half + abs(cos(along.spin)) * up
    return Box(cx - wide, cy - high, cx + wide, cy + high)


def dots(a: Place, b: Place) -> Iterator[Box]:
    """Small boxes along a line, so that words keep off it."""
    count = max(1, int(hypot(b[0] - a[0], b[1] - a[1]) / 1.5))
    for k in range(count + 1):
        x, y = a[0] + (b[0] - a[0]) * k / count, a[1] + (b[1] - a[1]) * k / count
        yield Box(x - 0.3, y - 0.3, x + 0.3, y + 0.3)


def _draw(line: RunLine, along: Along, pen: Pen, out: float, told: Sequence[tuple[Group, tuple[str, str]]]) -> None:
    ends = dict.fromkeys(x for group, _ in told for x in (line.stations[group.first], line.stations[group.last]))
    for x in ends:
        pen.line(*along.at(x, out - EXTENSION), *along.at(x, out + 1.5), Ink.TICK)
    for group, words in told:
        a, b = line.stations[group.first], line.stations[group.last]
        start, end = along.at(a, out), along.at(b, out)
        pen.line(*start, *end, Ink.TICK, (("part", "span"), ("id", line.id)))
        _arrow(pen, start, end)
        _arrow(pen, end, start)
        for lift, text in _rows(along, words):
            cx, cy = along.at((a + b) / 2.0, out + lift)
            x, y = cx + sin(along.spin) * HIGH / 2.0, cy - cos(along.spin) * HIGH / 2.0
            pen.text(x, y, text, HIGH, "middle", along.spin)


def _arrow(pen: Pen, tip: Place, back: Place, long: float = ARROW, half: float = 0.35) -> None:
    """A filled arrow head at ``tip``, as seen coming from ``back``."""
    size = hypot(back[0] - tip[0], back[1] - tip[1])
    ux, uy = (back[0] - tip[0]) / size, (back[1] - tip[1]) / size
    x, y = tip[0] + ux * long, tip[1] + uy * long
    pen.fill((tip, (x - uy * half, y + ux * half), (x + uy * half, y - ux * half)))


def draw_up(line: RunLine, along: Along, pen: Pen, beside: float) -> None:
    """An arrow along the middle of the people's band of a raked run, pointing up; ``beside``: mm of paper to that side."""
    low, high = (0.08, 0.92) if line.rake > 0 else (0.92, 0.08)
    a, b = (along.at(line.stations[-1] * share, -beside) for share in (low, high))
    pen.line(*a, *b, Ink.DRILL, (("part", "up"), ("id", line.id)))
    _arrow(pen, b, a, 3.0, 0.9)


def turns(plan: Plan) -> list[tuple[RunLine, RunLine, str, float]]:
    """Where a run begins on a post of an earlier one at an angle: both runs, the post, the turn, radians, + to the left."""
    found = []
    for index, line in enumerate(plan.runs):
        for other in plan.runs[:index]:
            if line.posts[0] not in other.posts:
                continue
            turn = (line.heading - other.heading + pi) % (2.0 * pi) - pi
            if abs(turn) > 1e-6:
                found.append((other, line, line.posts[0], turn))
            break
    return found


def draw_turn(pen: Pen, at: Place, heading: float, turn: float, taken: Space) -> None:
    """The earlier run carried on past the corner as a thin line, an arc from it to the later one."""
    x, y = at
    ahead = x + (ARC + 2.0) * cos(heading), y + (ARC + 2.0) * sin(heading)
    pen.line(x, y, *ahead, Ink.TICK)
    ring = [heading + turn * k / 24.0 for k in range(25)]
    arc = [(x + ARC * cos(angle), y + ARC * sin(angle)) for angle in ring]
    pen.path(arc, Ink.TICK)
    for place in (*arc, *(((x + (ahead[0] - x) * k / 6.0), (y + (ahead[1] - y) * k / 6.0)) for k in range(7))):
        taken.take(Box(place[0] - 0.4, place[1] - 0.4, place[0] + 0.4, place[1] + 0.4))


def name_turn(pen: Pen, at: Place, heading: float, turn: float, taken: Space, room: Box) -> None:
    """The degrees of a turn and its hand, as near to its arc as there is room."""
    x, y = at
    words = f"{plain_degrees(abs(turn))}° {'left' if turn > 0 else 'right'}"
    half = width(words, HIGH) / 2.0 + 0.5
    angles = [heading + turn / 2.0 + step for step in (0.0, 0.4, -0.4, 0.8, -0.8, 1.6, -1.6, 2.4, -2.4, pi)]
    spots = [
        (x + (out + half * abs(cos(angle))) * cos(angle), y + out * sin(angle))
        for out in (ARC + 2.5, ARC + 6.0, ARC + 11.0, ARC + 16.0, ARC + 22.0)
        for angle in angles
    ]
    boxes = [Box(cx - half, cy - HIGH / 2.0 - 0.4, cx + half, cy + HIGH / 2.0 + 0.4) for cx, cy in spots]
    boxes = [
        b for b in boxes if room.left < b.left and b.right < room.right and room.bottom < b.bottom and b.top < room.top
    ]
    if not boxes:
        return
    box = boxes[taken.best(boxes)]
    taken.take(box)
    pen.text((box.left + box.right) / 2.0, box.bottom + 0.4, words, HIGH, "middle")


def plain_degrees(angle: float) -> str:
    """Degrees with as many decimals as they need, two at most."""
    return f"{degrees(angle):.2f}".rstrip("0").rstrip(".")
