"""A piece of a jig turned into its plate, the cheeks or saddle that centre it, and the stop under the rail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin

from jiggen.geometry import Point, Vector
from jiggen.plan.jigs.model import FIT, HUG, WEB, Hole, Part, Piece, Place, Score
from jiggen.plan.jigs.pieces import FLANK, GUSSET, MARGIN, OUT, bar_stop, plate_half
from jiggen.plan.jigs.shapes import (
    Span,
    arc,
    clear_of,
    edge,
    level_slot,
    mirrored,
    rectangle,
    spans,
    upright_slot,
)
from jiggen.plan.jigs.site import CROWN, WRAP, Guide, Site
from jiggen.problems import Problem

U, V, W = Vector(1.0, 0.0, 0.0), Vector(0.0, 1.0, 0.0), Vector(0.0, 0.0, 1.0)
CUT_OFF = 8.0  # the plate's upper right corner, so that a flipped one shows, mm
CHEEK = 40.0  # how far a cheek reaches along the post's side, mm
FLANGE = 1.0  # round a bracket that is in place, mm


@dataclass(frozen=True)
class Around:
    """What goes with one plate: parts, and the slots that they ask for in it."""

    parts: tuple[Part, ...] = ()
    slots: tuple[tuple[Point, ...], ...] = ()
    problems: tuple[Problem, ...] = ()
    inner: float = 0.0


def wall(at: Site) -> float:
    """u of the inner face of the right cheek."""
    return at.half + HUG


def cheek_depth(at: Site) -> float:
    """How far cheeks reach behind the face: round a bar's whole depth, else part of the post's."""
    return at.depth + HUG if at.bar else min(CHEEK, 0.6 * at.depth)


def cheeks(at: Site, piece: Piece) -> Around:
    """The two cheeks of a flat face. The right one's tabs are shorter, so that neither fits in the other's slots."""
    low, high = piece.bottom + 4.0, _under(at, piece, wall(at) + at.q) - 4.0
    if piece.number == 1 and at.stops:  # behind the face too they stay under the rail's plane
        high = min(high, _under(at, piece, wall(at) + at.q) - at.underside[1] * cheek_depth(at) - 4.0)
    count = max(2, round((high - low) / 140.0))
    size = min(24.0, (high - low) / (3.0 * count))
    parts: list[Part] = []
    slots: list[tuple[Point, ...]] = []
    for name, side, tab in (("left cheek", -1.0, size), ("right cheek", 1.0, 0.75 * size)):
        tabs = spans(low, high, count, tab)
        left = _cheek_outline(at, low, high, tabs)
        outline = left if side < 0 else mirrored(left)
        place = Place(U.times(side * wall(at)), W.times(-side), V)
        parts.append(Part("", name, outline, at.q, place=place))
        middle = side * (wall(at) + at.q / 2.0)
        slots.extend(upright_slot(middle, tab_span, at.q) for tab_span in tabs)
    return Around(tuple(parts), tuple(slots))


def _cheek_outline(at: Site, low: float, high: float, tabs: Sequence[Span]) -> tuple[Point, ...]:
    """x out of the face, y up: tabs through the plate, and through the base board of a channel."""
    deep = cheek_depth(at)
    front = [(a - low, b - low) for a, b in tabs]
    back = [(high - b, high - a) for a, b in reversed(tabs)] if at.bar else []
    return (
        *edge(Point(0.0, low), Point(0.0, high), front, at.q),
        *edge(Point(0.0, high), Point(-deep, high), (), 0.0),
        *edge(Point(-deep, high), Point(-deep, low), back, at.q),
        Point(-deep, low),
    )


def channel(at: Site, piece: Piece) -> Around:
    """What closes a channel: the base board under the bar and, on the first piece, the end stop."""
    sides = cheeks(at, piece)
    deep, half = cheek_depth(at), plate_half(at)
    slots = [mirrored(slot) for slot in sides.slots]
    parts = list(sides.parts)
    top = piece.top
    extra = []
    if piece.number == 1:
        v = bar_stop(at)
        tab = (-0.3 * at.half, 0.3 * at.half)
        reach = wall(at) + at.q
        span = [(reach + tab[0], reach + tab[1])]
        outline = (
            *edge(Point(-reach, 0.0), Point(reach, 0.0), span, at.q),
            *edge(Point(reach, 0.0), Point(reach, deep), (), 0.0),
            *edge(Point(reach, deep), Point(-reach, deep), span, at.q),
            Point(-reach, deep),
        )
        place = Place(Vector(0.0, v, 0.0), U, W.times(-1.0))
        parts.append(Part("", "end stop", outline, at.q, place=place))
        extra.append(level_slot(v + at.q / 2.0, tab, at.q))
    base = rectangle(-half, piece.bottom, half, top)
    place = Place(Vector(0.0, 0.0, -deep), U.times(-1.0), V)
    parts.append(Part("", "base", base, at.q, tuple(slots) + tuple(mirrored(s) for s in extra), place=place))
    return Around(tuple(parts), sides.slots + tuple(extra), sides.problems)


def saddle(at: Site, piece: Piece) -> Around:
    """Ribs with the post's radius, level, between the rows of guides."""
    radius = at.radius + HUG
    half = radius * sin(WRAP) + FLANK
    deep = at.radius - radius * cos(WRAP)
    tab = 0.3 * half
    tabs = [(half - 0.75 * half, half - 0.75 * half + tab), (half + 0.75 * half - tab, half + 0.75 * half)]
    back = arc(Point(0.0, -at.radius), radius, pi / 2.0 + WRAP, pi / 2.0 - WRAP)
    # counter-clockwise with y out of the face: left flank down, arc, right flank up, front edge with its tabs
    outline = (
        *edge(Point(half, CROWN), Point(-half, CROWN), tabs, at.q),
        Point(-half, CROWN),
        Point(-half, -deep),
        *back,
        Point(half, -deep),
    )
    heights = _rib_heights(at, piece)
    parts: list[Part] = []
    slots: list[tuple[Point, ...]] = []
    for v in heights:
        # its front is its upper side: x to the left, y out of the face, so x cross y points up
        place = Place(Vector(0.0, v - at.q / 2.0, 0.0), U.times(-1.0), W)
        parts.append(Part("", "saddle rib", mirrored(outline), at.q, place=place))
        slots.extend(level_slot(v, (a - half, b - half), at.q) for a, b in tabs)
    problems = []
    if len(heights) < 2:
        problems.append(
            Problem(
                "check",
                at.group.id,
                f"room for {len(heights)} saddle ribs between the holes of piece {piece.number}",
                "use a thinner board, so that two ribs hold the plate",
            )
        )
    return Around(tuple(parts), tuple(slots), tuple(problems))


def _rib_heights(at: Site, piece: Piece) -> list[float]:
    """Heights for ribs: near both ends and between, where their slots miss the holes by a web."""
    holes = [at.hole(g, 0) for g in guides_of(at, piece)]
    low, high = piece.bottom + at.q + 2.0, _under(at, piece, 0.0) - at.q - 4.0
    if piece.number == 1 and at.stops and at.ribs:  # below the slots of the stop
        near, far = at.layer(0)[1], at.layer(0)[1] + OUT
        high = min(rib_top(at, 0.0, near), rib_top(at, 0.0, far)) - GUSSET - need_below(at)
    need = need_below(at)
    count = max(2, round((high - low) / 150.0) + 1)
    found: list[float] = []
    for i in range(count):
        target = low + (high - low) * i / (count - 1)
        steps = sorted((s * 1.0 for s in range(-60, 61)), key=abs)
        for step in steps:
            v = target + step
            free = all(abs(v - h.at.y) > h.reach + need for h in holes)
            if low <= v <= high and free and all(abs(v - other) > 4.0 * at.q for other in found):
                found.append(v)
                break
    return found


def need_below(at: Site) -> float:
    """Half a slot and a web."""
    return at.q / 2.0 + FIT / 2.0 + WEB


def guides_of(at: Site, piece: Piece) -> tuple[Guide, ...]:
    """The guides of a piece, those for its pins included."""
    wanted = {*piece.marks, *piece.index}
    return tuple(g for g in at.guides if g.id in wanted)


def stop(at: Site, holes: Sequence[Hole], top: float) -> Around:
    """Two ribs that stand out of the plate with their upper edges on the underside, left and right of the bracket."""
    assert at.rail is not None
    found: list[tuple[float, Span, Span]] = []
    for side in (-1.0, 1.0):
        place = _rib_place(at, side, holes, top)
        if place is None:
            words = "no room under the rail for a stop beside bracket and holes"
            cure = 'the plate\'s own upper edge is the stop: press it up; or drill before the rail is up (sheet.datum = "height line")'
            return Around(problems=(Problem("check", at.group.id, words, cure),), inner=wall(at) - WEB)
        found.append(place)
    parts, slots = [], []
    for (u, body, tab), side in zip(found, (-1.0, 1.0), strict=True):
        left = _rib_outline(at, u, body, tab)
        outline = left if side < 0 else mirrored(left)
        stand = Place(U.times(u - side * at.q / 2.0), W.times(-side), V)
        name = "stop, left" if side < 0 else "stop, right"
        parts.append(Part("", name, outline, at.q, place=stand))
        slots.append(upright_slot(u, tab, at.q))
    return Around(tuple(parts), tuple(slots), inner=min(abs(u) for u, _, _ in found) - at.q / 2.0)


def _rib_place(at: Site, side: float, holes: Sequence[Hole], top: float) -> tuple[float, Span, Span] | None:
    """u of a rib's middle, v of its shoulder from and to, v of its tab: as far out as rail and plate allow."""
    assert at.rail is not None
    middle, shift, half = at.rail
    near, far = at.layer(0)[1], at.layer(0)[1] + OUT
    least = min(half, plate_half(at) - MARGIN if at.radius else wall(at) - WEB - FIT) - at.q / 2.0
    steps = [least - 1.0 * i for i in range(int(least) + 1)]
    for off in steps:
        u = side * off
        if any(abs(u - middle - shift * w) > half - at.q / 2.0 for w in (near, far)):
            continue
        if any(abs(u - o.u) < o.across / 2.0 + at.q / 2.0 + FLANGE for o in at.brackets):
            continue
        body, tab = _rib_heights_at(at, u, side, top)
        slot = upright_slot(u, tab, at.q)
        if all(clear_of(hole, slot) >= WEB for hole in holes):
            return u, body, tab
    return None


def rib_top(at: Site, u: float, w: float) -> float:
    """v of a rib's upper edge: the underside over whichever of its two sides is lower."""
    a, b = at.underside
    return a * u - abs(a) * at.q / 2.0 + b * w


def _rib_heights_at(at: Site, u: float, side: float, top: float) -> tuple[Span, Span]:
    near, far = at.layer(0)[1], at.layer(0)[1] + OUT
    low = min(rib_top(at, u, near), rib_top(at, u, far)) - GUSSET
    high = min(rib_top(at, u, near), top) - WEB - 2.0
    size = 0.5 * (high - low) if side < 0 else 0.4 * (high - low)
    middle = (low + high) / 2.0
    return (low, rib_top(at, u, near)), (middle - size / 2.0, middle + size / 2.0)


def _rib_outline(at: Site, u: float, body: Span, tab: Span) -> tuple[Point, ...]:
    """x out of the face, y up: upper edge on the underside, a tab back into the plate that ends short of its back."""
    near, far = at.layer(0)[1], at.layer(0)[1] + OUT
    low, high = body
    tip = rib_top(at, u, far)
    span = [(high - tab[1], high - tab[0])]
    return (
        Point(near, high),
        *edge(Point(near, high), Point(near, low), span, at.q - FIT)[1:],
        Point(near, low),
        Point(near + 10.0, low),
        Point(far, tip - 12.0),
        Point(far, tip),
    )


def _under(at: Site, piece: Piece, u: float) -> float:
    """v of the upper edge of the plate at ``u`` (or -u, whichever is lower)."""
    tilt = abs(at.underside[0] * u) if piece.number == 1 and not (at.on_deck or at.bar) else 0.0
    return piece.top - tilt


def plate_outline(at: Site, piece: Piece) -> tuple[Point, ...]:
    """The plate: its upper edge along the underside or level, notched round a bracket, one corner cut off."""
    half = plate_half(at)
    a = at.underside[0] if piece.number == 1 and not (at.on_deck or at.bar) else 0.0
    upper = [Point(half, piece.top + a * half - CUT_OFF), Point(half - CUT_OFF, piece.top + a * (half - CUT_OFF))]
    if piece.number == 1 and at.stops:
        for o in sorted(at.brackets, key=lambda o: -o.u):
            upper.extend(_notch(piece.top, a, o.u, o.across, o.v - o.up / 2.0, o.v + o.up / 2.0))
    return Point(-half, piece.bottom), Point(half, piece.bottom), *upper, Point(-half, piece.top - a * half)


def _notch(top: float, a: float, u: float, across: float, low: float, high: float) -> list[Point]:
    """Round a bracket whose flange hangs below the plate's upper edge; a bottom rail's is far below and cuts nothing."""
    right, left, floor = u + across / 2.0 + FLANGE, u - across / 2.0 - FLANGE, low - FLANGE
    if floor >= top + min(a * left, a * right) or high < top - 1.0:
        return []
    return [Point(right, top + a * right), Point(right, floor), Point(left, floor), Point(left, top + a * left)]


def plate_holes(at: Site, piece: Piece) -> tuple[Hole, ...]:
    """The holes of a piece's guides in the plate."""
    return tuple(at.hole(g, 0, g.id in piece.index) for g in guides_of(at, piece))


def plate(at: Site, piece: Piece) -> tuple[Part, Around]:
    """The plate of a piece with guide holes, slots and its scored centre line, and what goes with it."""
    holes = plate_holes(at, piece)
    around = saddle(at, piece) if at.radius else channel(at, piece) if at.bar else cheeks(at, piece)
    seat = Around(inner=(plate_half(at) - MARGIN) if at.radius else wall(at) - WEB)
    if piece.number == 1 and at.stops and at.ribs:
        seat = stop(at, holes, piece.top)
    outline = plate_outline(at, piece)
    near = [p.y for p in outline if abs(p.x) < 30.0 and p.y > piece.bottom + 1.0] or [_over_centre(outline, piece)]
    high = min(near) if _notched(outline) else piece.top
    score = Score(Point(0.0, piece.bottom + 2.0), Point(0.0, high - 2.0), "centre")
    place = Place(W.times(at.lead), U, V)
    part = Part("", "face plate", outline, at.q, around.slots + seat.slots, holes, (score,), place=place)
    both = Around(
        around.parts + seat.parts, part.slots, around.problems + seat.problems, seat.inner
    )  # fmt: skip
    return part, both


def _over_centre(outline: Sequence[Point], piece: Piece) -> float:
    """v of the plate's upper edge, or the floor of its notch, over the centre line."""
    for p, q in pairwise(outline):
        if min(p.x, q.x) <= 0.0 <= max(p.x, q.x) and min(p.y, q.y) > piece.bottom + 1.0 and p.x != q.x:
            return p.y + (q.y - p.y) * p.x / (p.x - q.x)
    return piece.top


def _notched(outline: Sequence[Point]) -> bool:
    return len(outline) > 5


def tilt_of_plate(at: Site) -> float:
    """How far a drill may tilt in the plate alone, mm a mm: its running clearance over the plate's thickness."""
    clear = max((g.hole - g.drill for g in at.guides), default=0.0)
    return clear / at.q
