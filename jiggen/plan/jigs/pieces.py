"""The length of a jig turned into pieces that fit the bed, each pinned through the last holes of the one before."""

from __future__ import annotations

from math import sin

from jiggen.job.model import JigWish, Job
from jiggen.plan.jigs.model import EDGE, FIT, HUG, RUN, Piece
from jiggen.plan.jigs.site import WRAP, Guide, Site
from jiggen.plan.words import fine, length, sides
from jiggen.problems import Problem

MARGIN = 12.0  # board outside the slots of the cheeks: room for the lettering, mm
FLANK = 12.0  # of a saddle rib beside its arc, mm
BAR = 10.0  # more board beside a slim bar, for the lettering at its holes, mm
TAIL = 12.0  # plate beyond the last hole, mm
TAB = 6.0  # the smallest tab, mm
BELOW = 1.0  # the plate stays clear of the underside by this, so that the stop alone seats, mm
GUSSET = 45.0  # height of a stop's rib under its lower end, mm
OUT = 40.0  # how far a stop stands out of the plate, mm


def panel(wish: JigWish) -> tuple[float, float]:
    """The piece of stock that is cut at one go: the long side and the short side, mm."""
    bed, stock = sorted(wish.bed, reverse=True), sorted(wish.stock, reverse=True)
    return min(bed[0], stock[0]), min(bed[1], stock[1])


def room(wish: JigWish) -> tuple[float, float]:
    """The largest part that fits, long and short side: the panel less its free edge and a cut on each side."""
    long, short = panel(wish)
    return long - 2.0 * EDGE - wish.kerf, short - 2.0 * EDGE - wish.kerf


def plate_half(at: Site) -> float:
    """Half the plate's width: to beyond the cheeks' slots, or the saddle's flanks."""
    if at.radius:
        return (at.radius + HUG) * sin(WRAP) + FLANK + MARGIN
    return at.half + HUG + at.q + FIT / 2.0 + MARGIN + (BAR if at.bar else 0.0)


def wrong(job: Job, wish: JigWish) -> tuple[Problem, ...]:
    """What makes any jig impossible: the board, the kerf or the bed."""
    found = []
    slot = wish.thickness + FIT
    if not wish.thickness > 0.0:
        words = f"found a board of {fine(job, wish.thickness)}"
        found.append(Problem("stop", "jig.thickness", words, f"measure the board and write it, {_board(job)}"))
    elif wish.kerf > slot / 2.0:
        words = f"found a kerf of {fine(job, wish.kerf)}, over half of the smallest slot, {fine(job, slot)}"
        found.append(Problem("stop", "jig.kerf", words, "take a thinner cutter or a board of more than twice its cut"))
    if wish.kerf < 0.0:
        found.append(
            Problem("stop", "jig.kerf", f"found {fine(job, wish.kerf)}", "write the full width of a cut, 0 or more")
        )
    long, short = room(wish)
    if short < TAB + 2.0 * MARGIN or long < TAB + 2.0 * MARGIN:
        where = "jig.bed" if min(wish.bed) <= min(wish.stock) else "jig.stock"
        words = (
            f"found room for {sides(job, max(short, 0.0), max(long, 0.0), places=0)}, less than one tab with its board"
        )
        need = TAB + 2.0 * MARGIN + 2.0 * EDGE + wish.kerf
        found.append(Problem("stop", where, words, f"use one of at least {sides(job, need, need, places=0)}"))
    return tuple(found)


def _board(job: Job) -> str:
    return '"6 mm"' if job.units == "mm" else '"1/4 in"'


def longest(at: Site) -> float:
    """The greatest length of a plate on this bed, 0 where its width does not fit.

    ``BELOW`` is kept back, by which the upper edge goes up where it must be the stop itself.
    """
    long, short = room(at.wish)
    long, short = long - BELOW, short - BELOW
    wide = 2.0 * plate_half(at)
    if wide <= short + BELOW:
        return long
    return short if wide <= long + BELOW else 0.0


def rows(at: Site) -> list[tuple[Guide, ...]]:
    """Guides by height, the highest first; those that overlap in height are one row."""
    found: list[list[Guide]] = []
    for guide in sorted(at.guides, key=lambda g: (-g.point.y, g.point.x)):
        if found and at.extent(found[-1][-1], 1)[0] < at.extent(guide, 1)[1]:
            found[-1].append(guide)
        else:
            found.append([guide])
    return [tuple(row) for row in found]


def ceiling(at: Site) -> float:
    """v of the upper end of the first plate at u = 0."""
    last = rows(at)[0]
    high = max(at.extent(g)[1] for g in last) + TAIL
    if at.bar:
        return bar_stop(at) + at.q + FIT / 2.0 + TAB + 2.0
    if at.on_deck:
        return high
    if not at.stops:
        return 0.0
    return min(b * w for b in (at.underside[1],) for w in at.layer(0)) - BELOW


def bar_stop(at: Site) -> float:
    """v of the end stop's face in a channel: the highest point of the bar's end."""
    b = at.underside[1]
    return max(0.0, -b * at.depth) if at.group.datum == "underside" else 0.0


def pieces(at: Site) -> tuple[tuple[Piece, ...], tuple[Problem, ...]]:
    """The plate cut into pieces, from the datum on."""
    limit, all_rows = longest(at), rows(at)
    if at.on_deck:
        return _from_deck(at, limit, all_rows)
    top, start = ceiling(at), 0
    index: tuple[str, ...] = ()
    found: list[Piece] = []
    while True:
        end = start
        while end < len(all_rows) and top - _low(at, all_rows[end]) <= limit:
            end += 1
        if end == start:
            return (), (_too_small(at, limit, top - _low(at, all_rows[start])),)
        row = all_rows[end - 1]
        served = tuple(g.id for r in all_rows[start:end] for g in r)
        found.append(Piece(len(found) + 1, _low(at, row), top, served, index))
        if end == len(all_rows):
            return tuple(found), ()
        index, top, start = tuple(g.id for g in row), _high(at, row), end


def _from_deck(
    at: Site, limit: float, all_rows: list[tuple[Guide, ...]]
) -> tuple[tuple[Piece, ...], tuple[Problem, ...]]:
    """The same from the walking surface up: the first piece stands on it."""
    upward = all_rows[::-1]
    bottom, start = 0.0, 0
    index: tuple[str, ...] = ()
    found: list[Piece] = []
    while True:
        end = start
        while end < len(upward) and _high(at, upward[end]) - bottom <= limit:
            end += 1
        if end == start:
            return (), (_too_small(at, limit, _high(at, upward[start]) - bottom),)
        row = upward[end - 1]
        served = tuple(g.id for r in upward[start:end] for g in r)
        found.append(Piece(len(found) + 1, bottom, _high(at, row), served, index))
        if end == len(upward):
            return tuple(found), ()
        index, bottom, start = tuple(g.id for g in row), _low(at, row), end


def _low(at: Site, row: tuple[Guide, ...]) -> float:
    return min(at.extent(g)[0] for g in row) - TAIL


def _high(at: Site, row: tuple[Guide, ...]) -> float:
    return max(at.extent(g)[1] for g in row) + TAIL


def _too_small(at: Site, limit: float, needed: float) -> Problem:
    job, wide = at.plan.job, 2.0 * plate_half(at)
    words = (
        f"the plate is {length(job, wide)} wide and its next hole asks for a piece {length(job, needed)} long,"
        f" the bed takes {length(job, limit)}"
        if limit
        else f"the plate is {length(job, wide)} wide, which does not fit the bed"
    )
    remedy = f"use a bed of at least {sides(job, wide + 2 * EDGE + 1, needed + 2 * EDGE + 1, places=0)}"
    return Problem("stop", at.group.id, words, remedy)


def adding_up(count: int) -> float:
    """How far the last of ``count`` pieces may be off because of its pins, mm.

    At every join the pin stands in a hole that was drilled with half the running clearance to one side, in a
    guide that has half of it again: RUN a join.
    """
    return (count - 1) * RUN


def join_words(job: Job, count: int) -> str:
    """The sentence that tells it."""
    return (
        f"{count} pieces: drill the first, then pin each next one through the last holes already drilled. Pins and guides "
        f"have {fine(job, RUN, 1)} of play, so the marks of the last piece are off by up to {fine(job, adding_up(count), 1)} more."
    )
