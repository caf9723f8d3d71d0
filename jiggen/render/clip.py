"""Shapes cut to a window: a piece of line, a path with the phase of its dashes, a polygon."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import hypot

from jiggen.geometry import Point

Window = tuple[float, float, float, float]
"""Left, bottom, right, top."""

SLACK = 1e-6  # what lies outside by less counts as on the rim, mm

Piece = tuple[tuple[Point, ...], float]
"""The points of what is left of a path, and how far along the path they begin, mm."""


def segment(start: Point, end: Point, window: Window) -> tuple[float, float] | None:
    """From where to where, as parts 0 to 1 of the way, a straight line lies in ``window``; None: nowhere.

    Liang and Barsky, ACM Transactions on Graphics 3 (1984), 1-22.
    """
    left, bottom, right, top = window
    dx, dy = end.x - start.x, end.y - start.y
    enter, leave = 0.0, 1.0
    for toward, room in (
        (-dx, start.x - left + SLACK),
        (dx, right - start.x + SLACK),
        (-dy, start.y - bottom + SLACK),
        (dy, top - start.y + SLACK),
    ):
        if toward == 0.0:
            if room < 0.0:
                return None
        elif toward < 0.0:
            enter = max(enter, room / toward)
        else:
            leave = min(leave, room / toward)
    return (enter, leave) if enter <= leave else None


def polyline(points: Sequence[Point], closed: bool, window: Window) -> list[Piece]:
    """What is left of a path in ``window``, each with the distance along it at which it begins."""
    pieces: list[Piece] = []
    way = [*points, points[0]] if closed else list(points)
    current: list[Point] = []
    begin = gone = 0.0
    for a, b in itertools.pairwise(way):
        long = hypot(b.x - a.x, b.y - a.y)
        part = segment(a, b, window)
        if part is not None:
            if not current or part[0] > 0.0:
                _keep(pieces, current, begin)
                current, begin = [_at(a, b, part[0])], gone + part[0] * long
            current.append(_at(a, b, part[1]))
        if part is None or part[1] < 1.0:
            _keep(pieces, current, begin)
            current = []
        gone += long
    _keep(pieces, current, begin)
    return pieces


def polygon(points: Sequence[Point], window: Window) -> tuple[Point, ...]:
    """What is left of a filled polygon in ``window``, () for nothing; pieces of a hollow one hang together
    by lines of no width along the rim. Sutherland and Hodgman, Communications of the ACM 17 (1974), 32-42.
    """
    left, bottom, right, top = window
    kept = list(points)
    for axis, limit, sign in ((0, left, 1.0), (1, bottom, 1.0), (0, right, -1.0), (1, top, -1.0)):
        kept = _half(kept, axis, limit, sign)
    return tuple(kept)


def inside(box: Window, window: Window) -> bool:
    """Whether ``box`` lies wholly in ``window``."""
    return (
        box[0] >= window[0] - SLACK
        and box[1] >= window[1] - SLACK
        and box[2] <= window[2] + SLACK
        and box[3] <= window[3] + SLACK
    )


def outside(box: Window, window: Window) -> bool:
    """Whether ``box`` has nothing in common with ``window``."""
    return (
        box[2] < window[0] - SLACK
        or box[3] < window[1] - SLACK
        or box[0] > window[2] + SLACK
        or box[1] > window[3] + SLACK
    )


def _half(points: Sequence[Point], axis: int, limit: float, sign: float) -> list[Point]:
    """The part of a polygon on one side of an upright (axis 0) or level (axis 1) line."""
    kept: list[Point] = []
    for i, here in enumerate(points):
        before = points[i - 1]
        was, now = sign * (before[axis] - limit), sign * (here[axis] - limit)
        if (was < 0.0) != (now < 0.0):
            kept.append(_at(before, here, was / (was - now)))
        if now >= 0.0:
            kept.append(here)
    return kept


def _keep(pieces: list[Piece], points: list[Point], begin: float) -> None:
    if len(points) > 1 and any(point != points[0] for point in points):
        pieces.append((tuple(points), begin))


def _at(a: Point, b: Point, part: float) -> Point:
    if part <= 0.0:
        return a
    if part >= 1.0:
        return b
    return Point(a.x + (b.x - a.x) * part, a.y + (b.y - a.y) * part)
