"""The ways in which a mark's label can stand beside it, over it or under it: number, tape reading, millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from jiggen.compose.bench import Bench, within
from jiggen.compose.lettering import reading_width
from jiggen.compose.space import Box
from jiggen.drawing.lettering import width
from jiggen.geometry import Point
from jiggen.plan.model import Mark, Outline
from jiggen.units import Tape, mm_text

LARGE, MEDIUM, LEAST = 7.0, 5.0, 4.0  # numbers and readings: large where marks stand far enough apart
SMALL = 0.5  # height of the millimetres against the reading's
GAP = 1.6
FRAME = 1.1  # paper between a number and its frame
BESIDE = 0.9  # paper left and right of a label, and between it and a fold
SIGN = 1.2  # more of it where a reading ends in a sign, which beside another line would read as part of that
NEAR = (0.0, -1.5, 1.5, -3.0, 3.0)  # shifts up or down of a label on both sides of its mark, which reads best
ROW = 8.0  # marks nearer to each other in height than this stand in one row
SHIFTS = (0.0, 5.0, -5.0, 9.0, -9.0, 13.0, -13.0, 18.0, -18.0, 24.0, -24.0)  # of a label up or down from its mark
FINE = tuple(
    sign * 0.5 * step for step in range(27) for sign in (1.0, -1.0)
)  # the same beside a join, where room is scarce
AWAY = tuple(2.0 * step for step in range(1, 18))  # of a label that a leader leads to, from its piece
OWN = 8.0  # what a label in a piece keeps from every other hole
CROSS = 3.4  # of a mark's cross beyond its hole, with paper
APART = 3.6  # between the frame and the reading beside it


@dataclass(frozen=True, slots=True)
class Place:
    """One way to letter a mark: left end and middle of its number's frame and of its reading, boxes taken."""

    number: Point
    reading: Point
    boxes: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class Size:
    """Heights of a label's lettering: ``high`` of number and reading, the rest follows."""

    high: float

    @property
    def small(self) -> float:
        return self.high * SMALL

    @property
    def up(self) -> float:
        """What a label takes above its middle: half a stacked fraction."""
        return self.high * 0.84

    @property
    def down(self) -> float:
        """What it takes below its middle: half a fraction and the millimetres."""
        return self.high * 0.96 + self.small


def over_under(bench: Bench, mark: Mark, at: Point, found: Tape, size: Size, under: bool) -> Iterator[Place]:
    """Places on either side of the line through a mark, ``under`` it and its outline or over them, the nearest first."""
    around = [bench.place(o.u, o.v).y + way * o.up / 2.0 for o in bench.around(mark) for way in (-1, 1)]
    arm = _arm(mark)
    low, high = min([at.y - arm, *around]) - BESIDE, max([at.y + arm, *around]) + BESIDE
    number, wide = number_width(mark, size), told_width(bench, mark, found, size)
    edge, tall = size.high / 2.0 + FRAME, max(number, wide)
    x, total = at.x + 2.0 * BESIDE, number + APART + wide
    for step in range(7):
        y = low - size.up - step if under else high + size.down + step
        top = low - edge - step if under else high + step + edge + 1.0 + size.up + size.down
        for right in (True, False):
            yield _joined(x if right else at.x - 2.0 * BESIDE - total, y, number, wide, size)
            yield stacked(x if right else at.x - 2.0 * BESIDE - tall, top, number, wide, size)


def led(bench: Bench, mark: Mark, at: Point, found: Tape, size: Size) -> Iterator[Place]:
    """Places in a mark's row farther and farther away from its piece, where its leader leads to them: beyond a quarter line,
    say; on its own side of its neighbours."""
    number, wide = number_width(mark, size), told_width(bench, mark, found, size)
    total, tall = number + APART + wide, max(number, wide)
    (left, right), side = clear_of(bench, mark, at), side_of(bench, mark)
    sides = (True,) if side > 0.5 else (False,) if side < -0.5 else (True, False)
    for away, on_right, y in ((a, r, at.y + by) for a in AWAY for by in NEAR[:3] for r in sides):
        ways = (
            _joined(right + away if on_right else left - away - total, y, number, wide, size),
            stacked(right + away if on_right else left - away - tall, y, number, wide, size),
        )
        yield from (way for way in ways if inside(bench, way))


def in_piece(bench: Bench, mark: Mark, at: Point, found: Tape, size: Size) -> Iterator[Place]:
    """Places right under a mark or over it inside the outline of its piece, nearer to it than to any other hole."""
    wide = max(number_width(mark, size), told_width(bench, mark, found, size))
    tall = size.high + 2.0 * FRAME + 1.0 + size.up + size.down
    others = [bench.place(other.u, other.v) for other in bench.marks if other is not mark]
    arm, edge, around = _arm(mark), size.high / 2.0 + FRAME, pieces(bench, mark)
    for top in (at.y - arm - BESIDE, at.y + arm + BESIDE + tall):
        for x in (at.x - wide / 2.0 + by for by in sorted(range(int(1.0 - wide / 2.0), int(wide / 2.0)), key=abs)):
            own = Box(x, top - tall, x + wide, top)
            held = all(piece.holds(own.grown(BESIDE)) for piece in around)
            if held and not any(own.grown(OWN).holds(Box(*other, *other)) for other in others):
                yield stacked(x, top - edge, number_width(mark, size), wide, size)


def pieces(bench: Bench, mark: Mark) -> list[Box]:
    """What the outlines round a mark take of the sheet."""
    return [area(bench, outline) for outline in bench.around(mark)]


def area(bench: Bench, outline: Outline) -> Box:
    """What an outline takes of the sheet, its line with it."""
    return drawn(bench, outline).grown(0.3)


def drawn(bench: Bench, outline: Outline) -> Box:
    """An outline as far as it lies on the face's paper, which ends at a datum over it."""
    at, across, up = bench.place(outline.u, outline.v), outline.across / 2.0, outline.up / 2.0
    datum = min(bench.seat_y + bench.climb * (outline.u + way * across) for way in (-1.0, 1.0))
    top = datum if bench.datum != "deck" and at.y < datum < at.y + up else at.y + up
    return Box(at.x - across, at.y - up, at.x + across, top)


def shares(bench: Bench, mark: Mark) -> bool:
    """Whether another hole lies in the same piece."""
    return any(within(other, outline) for outline in bench.around(mark) for other in bench.marks if other is not mark)


def _arm(mark: Mark) -> float:
    """What a mark's cross takes from its middle, with paper."""
    return max(mark.oval) / 2.0 + hypot(*mark.slot) + CROSS


def told_width(bench: Bench, mark: Mark, found: Tape, size: Size) -> float:
    """Width of a reading with its sign and what keeps that off other lines, or of the millimetres under it."""
    told = reading_width(found, size.high) + (SIGN if found.signed != found.text else 0.0)
    return max(told, width(exact(bench, mark), size.small))


def number_width(mark: Mark, size: Size) -> float:
    return width(mark.label, size.high) + 2.0 * FRAME


def exact(bench: Bench, mark: Mark) -> str:
    return f"{mm_text(bench.from_datum(mark))} mm"


def beside(
    bench: Bench,
    mark: Mark,
    stands: tuple[Point, bool],
    found: Tape,
    size: Size,
    shifts: Sequence[float] = SHIFTS,
    both: bool = False,
) -> Iterator[Place]:
    """Places to try, the best first, always on the mark's own side of its neighbours: number left and reading right,
    both beside the mark, stacked, beyond the face's edge, then shifted up and down. A mark that stands alone in its row
    may have its label on the other side where its own side has no room at all, or anyhow (``both``). ``stands``: where
    the mark is, and whether alone."""
    at, alone = stands
    left, right = clear_of(bench, mark, at)
    wide = told_width(bench, mark, found, size)
    number = number_width(mark, size)
    total, tall = number + APART + wide, max(number, wide)
    face_left, face_right = bench.centre - bench.half, bench.centre + bench.half
    side = side_of(bench, mark)
    own = (1,) if side > 0.5 else (-1,) if side < -0.5 else (1, -1)
    tried = False
    for sides, shift in ((sides, shift) for sides in (own, tuple(-side for side in own)) for shift in shifts):
        if sides != own and ((tried and not both) or not alone):
            break
        y = at.y + shift
        ways: list[Place] = []
        if len(sides) == 2 and shift == 0.0:
            ways += [_split(left - number, right, y + by, number, wide, size) for by in NEAR]
        ways += [_joined(right if side > 0 else left - total, y, number, wide, size) for side in sides]
        inward = len(sides) == 1 and sides[0] * mark.u < -0.5
        if inward:
            ways += [_parted(bench, right if side > 0 else left - total, y, number, wide, size) for side in sides]
        ways += [stacked(right if side > 0 else left - tall, y, number, wide, size) for side in sides]
        if inward:
            ways += [_beyond(bench, side, (left, right), y, number, wide, size) for side in sides]
        ways += [
            _joined(face_right + 3.0 if side > 0 else face_left - 3.0 - total, y, number, wide, size) for side in sides
        ]
        if inward:  # toward the face's centre line: not across it, if that can be
            ways.sort(key=lambda way: any(box.left < bench.centre < box.right for box in way.boxes))
        for way in ways:
            if inside(bench, way):
                tried = tried or sides == own
                yield way


def side_of(bench: Bench, mark: Mark) -> float:
    """How far a mark lies to the right of what it is labelled away from: of the middle of its piece where another hole of
    that stands in its row, so that no leader runs through the other, else of the face's centre line, mm."""
    around = bench.around(mark)
    row = [other for other in bench.marks if abs(other.v - mark.v) < ROW] if around else []
    for outline in around:
        own = (other for other in row if within(other, outline))
        if any((other.u - outline.u) * (mark.u - outline.u) < 0.0 for other in own):
            return mark.u - outline.u
    return mark.u


def _split(number_x: float, reading_x: float, y: float, number: float, wide: float, size: Size) -> Place:
    edge = size.high / 2.0 + FRAME
    boxes = (
        Box(number_x, y - edge, number_x + number, y + edge),
        Box(reading_x, y - size.down, reading_x + wide, y + size.up),
    )
    return Place(Point(number_x, y), Point(reading_x, y), boxes)


def _joined(x: float, y: float, number: float, wide: float, size: Size) -> Place:
    box = Box(x, y - size.down, x + number + APART + wide, y + size.up)
    return Place(Point(x, y), Point(x + number + APART, y), (box,))


def _parted(bench: Bench, x: float, y: float, number: float, wide: float, size: Size) -> Place:
    """Number and reading beside each other, the face's centre line between them."""
    if x + number < bench.centre - BESIDE:
        return _split(x, max(x + number + APART, bench.centre + 2.0 * BESIDE), y, number, wide, size)
    reading_x = x + number + APART
    return _split(min(x, bench.centre - 2.0 * BESIDE - number), reading_x, y, number, wide, size)


def _beyond(
    bench: Bench, side: int, clear: tuple[float, float], y: float, number: float, wide: float, size: Size
) -> Place:
    """Number and reading beside each other, both beyond the face's centre line."""
    left, right = clear
    if side > 0:
        return _joined(max(right, bench.centre + 2.0 * BESIDE), y, number, wide, size)
    return _joined(min(left, bench.centre - 2.0 * BESIDE) - number - APART - wide, y, number, wide, size)


def stacked(x: float, y: float, number: float, wide: float, size: Size) -> Place:
    """The number over its reading, for narrow room."""
    edge = size.high / 2.0 + FRAME
    below = y - edge - 1.0 - size.up
    box = Box(x, below - size.down, x + max(number, wide), y + edge)
    return Place(Point(x, y), Point(x, below), (box,))


def inside(bench: Bench, place: Place) -> bool:
    """On the sheet, and no box across a fold."""
    face_left, face_right = bench.centre - bench.half, bench.centre + bench.half
    for box in place.boxes:
        if box.left < bench.left + 0.5 or box.right > bench.right - 0.5:
            return False
        if any(box.left - BESIDE < fold < box.right + BESIDE for fold in (face_left, face_right)):
            return False
    return True


def clear_of(bench: Bench, mark: Mark, at: Point) -> tuple[float, float]:
    """x of the nearest free paper left and right of a mark: beyond its circle, or its fitting's outline."""
    radius = max(mark.oval) / 2.0 + 2.0
    left, right = at.x - radius - GAP, at.x + radius + GAP
    for outline in bench.around(mark):
        x = bench.centre + outline.u
        left = min(left, x - outline.across / 2.0 - GAP)
        right = max(right, x + outline.across / 2.0 + GAP)
    return left, right
