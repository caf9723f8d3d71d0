"""A run of a Plan cut into parts that fit on a page to a stated scale, and where the run's own frame lies on paper."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from jiggen.compose.scales import Scale
from jiggen.compose.sight import Sight
from jiggen.plan.model import RunLine

FLOOR = 2.2  # of the walking surface drawn beyond the end posts, mm of paper


@dataclass(frozen=True, slots=True)
class Part:
    """Some spans of a run, from post ``first`` to post ``last`` (indices), to one scale. ``of``: its number and their count."""

    line: RunLine
    sight: Sight
    scale: Scale
    first: int
    last: int
    of: tuple[int, int]


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


def bounds(part: Part) -> Bounds:
    """What is drawn of the part in the run's own frame, mm on site: left, right, lowest, highest."""
    posts = part.sight.posts[part.first : part.last + 1]
    left = min(post.left for post in posts)
    right = max(post.right for post in posts)
    floor = FLOOR * part.scale.ratio
    ground = [z for piece in within(part.sight.ground, left - floor, right + floor) for _, z in piece]
    low = min(*ground, *(post.bottom for post in posts))
    return Bounds(left, right, low, max(post.top for post in posts))


def within(points: Sequence[tuple[float, float]], low: float, high: float) -> Iterator[list[tuple[float, float]]]:
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
