"""The name of every face and how its bores run turned into lettering at the top of its own part of a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from math import asin, atan2, degrees, hypot, pi, radians

from jiggen.compose.bench import Bench, Strip
from jiggen.compose.space import Box, Space
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.drilling import SLANT
from jiggen.plan.words import capitals, fine

BEYOND = 3.0  # what a title keeps from a join between columns
ASIDE = 3.0  # what a title beside a round post's centre line keeps from it
OFF = 1.5  # what it keeps from any other line along the post
CLEAR = 3.0  # least height of a title on a round post that reads across
AGAIN = 120.0  # from a title down to the first mark: beyond it the face is named once more
ALIKE = radians(0.15)  # of bores that are told as one


def titles(strip: Strip, pen: Pen, space: Space, tops: Sequence[float]) -> None:
    """The name of every face and the way its bores slant, at the top of its own part of the strip; on a round post beside
    the face's centre line, and once more over its first mark where that is far below."""
    for bench, high in zip(strip.benches, tops, strict=True):
        named = [capitals(bench.face.name), *bore_words(bench)] if len(strip.benches) > 1 or strip.girth else []
        if tied(strip, bench):
            named = [f"{bench.line.head}: {words}" for words in named]
        y = high - 13.0 - abs(bench.climb) * bench.half
        lines = [*named, *slot_words(bench)]
        if not strip.girth:
            _title(pen, space, lines, y, _title_places(strip, bench))
            continue
        _beside_its_line(strip, pen, space, bench, lines, y)
        first = max((bench.place(mark.u, mark.v).y for mark in bench.marks), default=y)
        if y - first > AGAIN:
            _beside_its_line(strip, pen, space, bench, lines[:1], first + 20.0)


def tied(strip: Strip, bench: Bench) -> bool:
    """Whether another run's holes lie on the same face of the strip, so that a bore's way must say whose it is."""
    return bool(bench.marks) and any(
        one.marks and one.line.head != bench.line.head and abs(one.centre - bench.centre) < 1e-6
        for one in strip.benches
        if one is not bench
    )


def round_lines(strip: Strip) -> list[float]:
    """x of every line that runs down a round post's paper: centre lines, quarter lines, meeting edges."""
    quarters = [strip.left + strip.girth * part for part in (0.0, 0.25, 0.5, 0.75, 1.0)]
    return sorted([*quarters, *(bench.centre for bench in strip.benches)])


def _beside_its_line(strip: Strip, pen: Pen, space: Space, bench: Bench, lines: Sequence[str], y: float) -> None:
    """Lines beside a face's own centre line, across no other line; one without room there is turned up along its own."""
    others = [x for x in round_lines(strip) if abs(x - bench.centre) > OFF]
    right = min((x for x in others if x > bench.centre), default=strip.width) - OFF
    left = max((x for x in others if x < bench.centre), default=0.0) + OFF
    places = [
        (bench.centre + ASIDE, right - bench.centre - ASIDE, 0.0),
        (bench.centre - ASIDE, bench.centre - ASIDE - left, 1.0),
    ]
    for words in _title(pen, space, lines, y, places, CLEAR):
        _along(pen, space, bench.centre, words, y)


def _along(pen: Pen, space: Space, x: float, words: str, y: float) -> None:
    """Words that read upwards along a line at ``x``, ending as near under ``y`` as there is room."""
    for size in (5.0, 4.2, 3.5, CLEAR):
        long = width(words, size)
        for down in range(0, 60, 3):
            low = y - long - down
            for base in (x - 2.0, x + OFF + size):
                box = Box(base - size, low - 1.0, base + 0.3, low + long + 1.0)
                if space.free(box):
                    pen.text(base, low, words, size, angle=pi / 2.0, ink=Ink.STRONG)
                    space.take(box)
                    return


def _title_places(strip: Strip, bench: Bench) -> list[tuple[float, float, float]]:
    """Where lines over a flat face start, how much room they have, and what share of them lies left of there: from its
    left edge, or beyond a join there."""
    begins, end = max(bench.left, bench.centre - bench.half), min(bench.right, bench.centre + bench.half)
    left = max([begins, *(ends for start, ends in strip.arcs if start < begins < ends)]) + 2.0
    end = min([end, *(start for start, ends in strip.arcs if start < end < ends)]) - 2.0
    left = max([left, *(join + BEYOND for join in strip.joins if join - BEYOND < left < join + BEYOND)])
    return [(left, end - left, 0.0)]


def _title(
    pen: Pen,
    space: Space,
    lines: Sequence[str],
    y: float,
    places: Sequence[tuple[float, float, float]],
    least: float = 2.0,
) -> list[str]:
    """Lines under one another from ``y`` down, each as high up as one of the places is free; returns those that fit none
    at the ``least`` height."""
    left_out = []
    for words in lines:
        fits = [
            (x - share * width(words, size), size)
            for x, room, share in places
            for size in (fitted(words, 5.0, room, least),)
            if width(words, size) <= room
        ]
        for left, at, size in ((left, y - step, size) for step in range(0, 60, 3) for left, size in fits):
            if space.free(Box(left, at - size, left + width(words, size), at)):
                pen.text(left, at - size, words, size, ink=Ink.STRONG)
                space.take(Box(left - 0.5, at - size - 0.5, left + width(words, size) + 0.5, at + 0.5))
                y = at - size - 2.0
                break
        else:
            left_out.append(words)
    return left_out


def bore_words(bench: Bench) -> list[str]:
    """How the slanting bores of a face run: BORE UP 33.2 deg, BORE LEFT 12.0 deg; where they differ, as round a leaning pipe,
    the two that differ most with their marks: BORE RIGHT 5.8 deg AT 1, 0.2 deg AT 12. Empty where all go in square."""
    bores = [mark for mark in bench.marks if mark.purpose in ("cable", "wire")]
    if bench.group.kind == "practice":  # one hole of each kind, with its mark
        found: dict[str, list[str]] = {}
        for mark in bores:
            up, side = asin(mark.axis.y), atan2(mark.axis.x, mark.axis.z)
            for words in (_leaning([(up, "")], "UP", "DOWN"), _leaning([(side, "")], "RIGHT", "LEFT")):
                found.setdefault(words, []).append(mark.label)
        return [f"{words} AT {' AND '.join(labels)}" for words, labels in found.items() if words]
    ups = [(asin(mark.axis.y), mark.label) for mark in bores]
    sides = [(atan2(mark.axis.x, mark.axis.z), mark.label) for mark in bores]
    return [words for words in (_leaning(ups, "UP", "DOWN"), _leaning(sides, "RIGHT", "LEFT")) if words]


def _leaning(angles: Sequence[tuple[float, str]], plus: str, minus: str) -> str:
    """The angle of every bore one way, radians and its mark; "" where all are square enough."""
    if max((abs(angle) for angle, _ in angles), default=0.0) <= SLANT:
        return ""
    ends = sorted((min(angles), max(angles)), key=angles.index)
    told = [(plus if angle > 0.0 else minus, f"{abs(degrees(angle)):.1f}°", label) for angle, label in ends]
    (way, size, label), (other, far, last) = told
    if abs(ends[0][0] - ends[1][0]) < ALIKE:
        return f"BORE {way} {size}"
    return f"BORE {way} {size} AT {label}, {'' if other == way else other + ' '}{far} AT {last}"


def slot_words(bench: Bench) -> list[str]:
    """How far the two end holes of the face's slots lie from the cross between them."""
    halves = [hypot(*mark.slot) for mark in bench.marks if any(mark.slot)]
    return [f"SLOTS: END HOLES ±{fine(bench.job, max(halves), 1)}"] if halves else []
