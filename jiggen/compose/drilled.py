"""The holes on each page of a sheet turned into the names of their drills there, so that none is looked for elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, pairwise, product
from math import pi

from jiggen.compose.bench import Strip
from jiggen.compose.clear import JOINED
from jiggen.compose.space import Box, Space
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.model import Mark

SIZES = (4.0, 3.2, 2.6, 2.2)
FROM = 3.0  # what the words keep from a fold and from a join
STEP = 4.0  # from one place that is tried to the next
ENDLESS = 1e6


def on_every_page(strip: Strip, pen: Pen, space: Space, joins: Sequence[Box], told: Sequence[tuple[str, Box]]) -> None:
    """Name on every page between ``joins`` the drills of its holes that no words there name yet; ``told``: drills with
    the boxes of their words. Where a sheet has several drills, with the holes: "CABLE HOLES 4 TO 6: DRILL 7/32 in"."""
    marks = [(bench, mark) for bench in strip.benches for mark in bench.marks]
    several = len({mark.drill.name for _, mark in marks}) > 1
    places = [(mark, bench.place(mark.u, mark.v)) for bench, mark in marks]
    lines = _lines(strip)
    for page in _pages(joins):
        own: dict[str, list[tuple[Mark, float]]] = {}
        for mark, at in places:
            if _holds(page, *at):
                own.setdefault(mark.drill.name, []).append((mark, at.y))
        here = {
            drill for drill, box in told if _holds(page, (box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0)
        }
        for drill, holes in own.items():
            if drill not in here:
                heights = [y for _, y in holes]
                words = f"{_which([mark for mark, _ in holes])}: DRILL {drill}" if several else f"DRILL {drill}"
                within = Box(max(page.left, 0.0), page.bottom, min(page.right, strip.width), page.top)
                room = Box(
                    within.left, max(page.bottom, min(heights) - 30.0), within.right, min(page.top, max(heights) + 30.0)
                )
                _write(strip, pen, space, room, words, lines)


def from_to(labels: Sequence[str]) -> str:
    """1 TO 10; where some are called by their run too 1 TO 10, C1 TO C10."""
    found: dict[str, list[str]] = {}
    for label in labels:
        found.setdefault(label.rstrip("abcdefghijklmnopqrstuvwxyz").rstrip("0123456789"), []).append(label)
    return ", ".join(f"{own[0]} TO {own[-1]}" if len(own) > 1 else own[0] for own in found.values())


def _which(holes: Sequence[Mark]) -> str:
    """CABLE HOLES 4 TO 6; SCREW HOLES 4a TO 6b; STUD HOLES 1 TO 3."""
    labels: dict[str, dict[str, None]] = {}
    for mark in holes:
        labels.setdefault(holes_of(mark), {})[mark.label] = None
    return ", ".join(f"{what} {from_to(list(own))}" for what, own in labels.items())


def holes_of(mark: Mark) -> str:
    """What a mark's hole and its like are called on a sheet: CABLE HOLES, SCREW HOLES; of an end fitting's bore STUD HOLES."""
    stud = mark.purpose == "cable" and mark.what != "cable"
    return "STUD HOLES" if stud else f"{mark.purpose.upper()} HOLES"


def _pages(joins: Sequence[Box]) -> Iterator[Box]:
    """What each page shows of the sheet, up to the middle of its joins."""
    level = [(join.bottom + join.top) / 2.0 for join in joins if join.right - join.left > join.top - join.bottom]
    upright = [(join.left + join.right) / 2.0 for join in joins if join.right - join.left <= join.top - join.bottom]
    for bottom, top in pairwise([-ENDLESS, *sorted(level), ENDLESS]):
        for left, right in pairwise([-ENDLESS, *sorted(upright), ENDLESS]):
            yield Box(left, bottom, right, top)


def _holds(page: Box, x: float, y: float) -> bool:
    return page.left <= x < page.right and page.bottom <= y < page.top


def _lines(strip: Strip) -> list[float]:
    """x of all that runs down the sheet: folds, edges and centre lines of faces."""
    faces = [bench.centre + way * bench.half for bench in strip.benches for way in (-1.0, 0.0, 1.0)]
    return sorted({*strip.folds, *faces})


def _write(strip: Strip, pen: Pen, space: Space, room: Box, words: str, lines: Sequence[float]) -> None:
    """The words upright in a flap beside the holes, else across wherever there is room between the lines, as large as
    fits; clear of the marks along joins or, where no size fits so, of the joins alone."""
    for (ends, sides), size in product(((JOINED, JOINED), (FROM, 1.0)), SIZES):
        long = width(words, size)
        up = Box(room.left + sides, room.bottom + ends, room.right - sides, room.top - ends)
        for box in chain(_upright(strip, up, size, long, lines), _across(room.grown(-ends), size, long, lines)):
            if space.free(box.grown(0.8)):
                if box.right - box.left < box.top - box.bottom:
                    pen.text(box.right, box.bottom, words, size, angle=pi / 2.0, ink=Ink.STRONG)
                else:
                    pen.text(box.left, box.bottom, words, size, ink=Ink.STRONG)
                space.take(box.grown(1.5))
                return


def _upright(strip: Strip, room: Box, size: float, long: float, lines: Sequence[float]) -> Iterator[Box]:
    """Places in the flaps between the lines, near the fold first, the highest first."""
    for away in range(3):
        by = FROM + away * (size + 2.0)
        for left in (strip.left - by - size, strip.right + by):
            if room.left < left and left + size < room.right and _between(lines, left, size):
                top = room.top
                while top - long > room.bottom:
                    yield Box(left, top - long, left + size, top)
                    top -= STEP


def _across(room: Box, size: float, long: float, lines: Sequence[float]) -> Iterator[Box]:
    """Places that read across between the lines, the highest first."""
    lefts: list[float] = []
    left, top = room.left, room.top
    while left + long < room.right:
        if _between(lines, left, long):
            lefts.append(left)
        left += STEP
    while lefts and top - size > room.bottom:
        yield from (Box(left, top - size, left + long, top) for left in lefts)
        top -= STEP


def _between(lines: Sequence[float], left: float, wide: float) -> bool:
    """Whether what is ``wide`` keeps off all that runs down the sheet."""
    return not any(left - 0.8 < x < left + wide + 0.8 for x in lines)
