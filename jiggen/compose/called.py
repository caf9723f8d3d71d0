"""A part of a run turned into the places of its lettering: names over the posts, numbers and pulling order beside the ends."""

from __future__ import annotations

from typing import NamedTuple

from jiggen.compose.part import Part, View, bounds
from jiggen.compose.space import Box, Space
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.model import Plan
from jiggen.plan.words import cut_label

NUMBER = 2.3  # height of the cables' numbers
NAMED = 8.0  # of a cable's label; a wider one is told by its number
APART = 3.0  # least from number to number
OFF = 3.0  # from a post to the numbers
NAME = 4.0
ROOM = 16.0  # that a post's name should keep to
ROW = 5.0  # from row to row of names
ROWS = 24


class Called(NamedTuple):
    """A name: its words and height; ``box``: where they stand; ``foot``: where a leader to them begins, None without one."""

    words: str
    high: float
    box: Box
    foot: tuple[float, float] | None


class Column(NamedTuple):
    """Numbers beside an end post: its rim, -1 on the left or 1, each number's cable height, its own and its words."""

    edge: float
    sign: float
    rows: tuple[tuple[float, float, str], ...]
    title: str

    @property
    def head(self) -> float:
        """The base line of the title."""
        return self.rows[0][1] + NUMBER / 2.0 + 1.4

    @property
    def box(self) -> Box:
        long = max(width(words, NUMBER) for words in (self.title, *(row[2] for row in self.rows)))
        ends = sorted((self.edge, self.edge + self.sign * (OFF + long)))
        return Box(ends[0], self.rows[-1][1] - NUMBER / 2.0, ends[1], self.head + NUMBER).grown(0.5)


def columns(plan: Plan, part: Part, view: View) -> list[Column]:
    """Cable numbers on the left, the order to pull them in on the right, spread where the cables are close."""
    count = len(part.line.drops)
    if not count:
        return []
    order = {cable: place for place, cable in enumerate(dict(plan.takeoff.tension_order).get(part.line.head, ()), 1)}
    posts = part.sight.posts
    found = []

    def name(number: int) -> str:
        label = cut_label(part.line.head, number)
        return label if width(label, NUMBER) < NAMED else str(number)

    for post, edge, sign, title in (
        (posts[part.first], posts[part.first].left, -1.0, "CABLE"),
        (posts[part.last], posts[part.last].right, 1.0, "PULL"),
    ):
        x, _ = view.at(edge, 0.0)
        heights = [view.at(post.axis[0], part.sight.cable(number, post.axis[0]))[1] for number in range(1, count + 1)]
        pitch = (heights[0] - heights[-1]) / (count - 1) if count > 1 else APART
        middle, apart = (heights[0] + heights[-1]) / 2.0, max(pitch, APART)
        rows = tuple(
            (
                y,
                middle + ((count + 1) / 2.0 - number) * apart,
                name(number) if sign < 0 else str(order.get(number, number)),
            )
            for number, y in enumerate(heights, 1)
        )
        found.append(Column(x, sign, rows, title))
    return found


def draw_columns(found: list[Column], pen: Pen) -> None:
    """The numbers, each with a hair line to its cable."""
    for column in found:
        x, sign = column.edge, column.sign
        align = "right" if sign < 0 else "left"
        for y, at, words in column.rows:
            pen.line(x + sign * 0.6, y, x + sign * 2.4, at, Ink.HATCH)
            pen.text(x + sign * OFF, at - NUMBER / 2.0, words, NUMBER, align)  # type: ignore[arg-type]
        pen.text(x + sign * OFF, column.head, column.title, NUMBER, align, ink=Ink.STRONG)  # type: ignore[arg-type]


def names(plan: Plan, part: Part, view: View, sphere: tuple[float, float] | None) -> list[Called]:
    """The posts' names over their posts, higher where they would meet, and with them the letter of the sphere.

    ``sphere``: over which point of the top rail its letter stands, on paper.
    """
    taken = Space()
    for column in columns(plan, part, view):
        taken.take(column.box)
    wanted = [(post.id, *view.at(post.axis[0], post.top)) for post in part.sight.posts[part.first : part.last + 1]]
    if sphere:
        x, y = sphere
        taken.take(Box(x - 0.5, y - 1.0, x + 0.5, y + 0.7))
        wanted.append(("S", x, y))
    return [_name(words, x, y, taken) for words, x, y in sorted(wanted, key=lambda one: (one[0] == "S", one[1]))]


def _name(words: str, x: float, y: float, taken: Space) -> Called:
    """The lowest row in which the name and the leader to it are clear of everything; the last one where there is none."""
    high = 3.5 if words == "S" else fitted(words, NAME, ROOM, 2.3)
    half = width(words, high) / 2.0
    for row in range(ROWS):
        bottom = y + 2.0 + row * ROW
        box = Box(x - half, bottom, x + half, bottom + high)
        strip = Box(x - 0.4, y + 0.5, x + 0.4, bottom)
        if taken.free(box.grown(1.2)) and (row == 0 or taken.free(strip)):
            break
    taken.take(box)
    if row:
        taken.take(strip)
    return Called(words, high, box, (x, y + 0.8) if row else None)


def draw_names(found: list[Called], pen: Pen) -> None:
    for one in found:
        middle = (one.box.left + one.box.right) / 2.0
        if one.foot:
            pen.line(*one.foot, middle, one.box.bottom - 0.6, Ink.TICK)
        pen.text(middle, one.box.bottom, one.words, one.high, "middle", ink=Ink.STRONG)


def reach(plan: Plan, part: Part, sphere: tuple[float, float] | None) -> tuple[float, float]:
    """How far names and numbers stand under the lowest and over the highest thing drawn, mm of paper.

    ``sphere``: over which point of the top rail its letter stands, on site.
    """
    left, _, low, high = bounds(part)
    view = View(left, low, part.scale.ratio, 0.0, 0.0)
    boxes = [column.box for column in columns(plan, part, view)]
    boxes += [one.box for one in names(plan, part, view, view.at(*sphere) if sphere else None)]
    return -min(box.bottom for box in boxes), max(box.top for box in boxes) - part.scale.paper(high - low)
