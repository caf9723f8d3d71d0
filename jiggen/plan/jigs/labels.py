"""Parts turned into parts with words on them: posts served, up, face, a drill at each hole, fingerprint."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import pi

from jiggen.geometry import Point
from jiggen.plan.jigs.model import Hole, Label, Part, Piece
from jiggen.plan.jigs.pieces import MARGIN, plate_half
from jiggen.plan.jigs.site import Guide, Site
from jiggen.plan.words import capitals

LETTER = 0.86  # width of a letter and the gap after it, in heights of a capital, at most: for room, not for looks
SMALL, LARGE = 2.2, 4.0


def room_for(text: str, room: float, most: float = LARGE, least: float = SMALL) -> float:
    """The height of lettering that keeps ``text`` within ``room`` mm; 0 where even the smallest does not."""
    high = min(most, room / (LETTER * max(len(text), 1)))
    return high if high >= least else 0.0


def line(at: Point, text: str, room: float, most: float = LARGE, angle: float = 0.0) -> tuple[Label, ...]:
    """One label in the middle of its room, nothing where it does not fit."""
    high = room_for(text, room, most)
    return (Label(at, text, high, "middle", angle),) if high else ()


def plate_words(at: Site, piece: Piece, count: int, part: Part, jig: str) -> Part:
    """The plate: UP and which face in its upper corners, the rest along its margins, a drill at each hole."""
    half = plate_half(at)
    low, high = piece.bottom, piece.top
    tilt = abs(at.underside[0]) * half
    room = high - low - 44.0
    middle = (low + high - 24.0 - tilt) / 2.0
    left = -half + MARGIN / 2.0 + LARGE / 2.0
    right = half - MARGIN / 2.0 + LARGE / 2.0
    turn = pi / 2.0
    words = [
        *line(Point(left, middle), served(at, room * 0.9), room * 0.95, angle=turn),
        *line(Point(right, middle), facts(at, piece, count, jig), room * 0.95, angle=turn),
        Label(Point(-half + MARGIN / 2.0, high - tilt - 18.0), "UP", LARGE, "middle"),
    ]
    arrow = -half + MARGIN / 2.0
    tip = high - tilt - 3.0
    strokes = (
        (Point(arrow, tip - 9.0), Point(arrow, tip)),
        (Point(arrow - 2.0, tip - 3.5), Point(arrow, tip), Point(arrow + 2.0, tip - 3.5)),
    )
    return replace(part, labels=(*part.labels, *words), strokes=(*part.strokes, *strokes))


def served(at: Site, room: float) -> str:
    """POSTS 1 + 4 TOWARD 2; where that is too long for ``room``, how many they are."""
    posts = at.group.posts
    head = "POST" if len(posts) == 1 else "POSTS"
    whole = f"{head} {' + '.join(posts)} {capitals(face_words(at))}"
    if room_for(whole, room):
        return whole
    return f"{len(posts)} POSTS, {at.group.id}  {capitals(face_words(at))}"


def face_words(at: Site) -> str:
    """The faces that the jig serves, or where they are told if they are many."""
    served = at.group.faces if at.group.kind == "face" else at.faces
    names = list(dict.fromkeys(face.partition("/")[2] for face in served))
    return " / ".join(names) if len(names) <= 3 else "faces as on the sheet"


def facts(at: Site, piece: Piece, count: int, jig: str) -> str:
    """Jig, piece, board, bushing, fingerprint."""
    words = [jig, at.plan.fingerprint]
    if count > 1:
        words.insert(1, f"PIECE {piece.number} OF {count}")
    if at.wish.bushing:
        words.append(f"BUSHINGS {at.wish.bushing:.2f} MM")
    return "  ".join(words)


def hole_words(part: Part, guides: Sequence[Guide], limit: float) -> Part:
    """A number and a drill beside each guide of the part that is in front; PIN at those that a pin goes through."""
    named = {g.id: g for g in guides}
    words: list[Label] = []
    for hole in part.holes:
        guide = named.get(hole.mark)
        if guide is None or hole.use not in ("guide", "index"):
            continue
        pin = "PIN " if hole.use == "index" else ""
        text = f"{pin}{guide.label} {guide.drill_name}"
        words.extend(_beside(hole, text, part, limit))
    return replace(part, labels=(*part.labels, *words))


def _beside(hole: Hole, text: str, part: Part, limit: float) -> tuple[Label, ...]:
    """The label on the side of the hole where there is more room, on one line or on two."""
    high, low = hole.at.y + 4.0, hole.at.y - 4.0
    spans = [
        (h.at.x - _half_across(h), h.at.x + _half_across(h)) for h in part.holes if h is not hole and _meets(h, hole)
    ]
    for slot in part.slots:
        if min(p.y for p in slot) < high and max(p.y for p in slot) > low:
            spans.append((min(p.x for p in slot), max(p.x for p in slot)))
    half = _half_across(hole)
    right = min([limit, *(a for a, _ in spans if a > hole.at.x)]) - hole.at.x - half - 3.0
    left = hole.at.x - max([-limit, *(b for _, b in spans if b < hole.at.x)]) - half - 3.0
    room, side = (right, 1.0) if right >= left - 1e-6 else (left, -1.0)
    x = hole.at.x + side * (half + 1.8)
    align = "left" if side > 0 else "right"
    one = room_for(text, room, 3.5)
    if one:
        return (Label(Point(x, hole.at.y - one / 2.0), text, one, align),)  # type: ignore[arg-type]
    first, _, second = text.partition(" ")
    high = max(1.8, min(room_for(first, room, 3.0, 0.1), room_for(second, room, 3.0, 0.1)))
    return (
        Label(Point(x, hole.at.y + 0.4), first, high, align),  # type: ignore[arg-type]
        Label(Point(x, hole.at.y - high - 0.4), second, high, align),  # type: ignore[arg-type]
    )


def _meets(other: Hole, hole: Hole) -> bool:
    return abs(other.at.y - hole.at.y) < other.reach + 3.0


def _half_across(hole: Hole) -> float:
    """Half of what the hole takes of x."""
    return hole.diameter / 2.0 + abs(hole.trace.x) * (hole.length - hole.diameter) / 2.0


def small_words(at: Site, part: Part, piece: Piece, count: int, jig: str) -> Part:
    """Cheeks, ribs, layers: number, name, jig, which way up, along their longer side."""
    left, bottom, right, top = part.box()
    number = part.id.rpartition("/")[2]
    tail = f" P{piece.number}" if count > 1 else ""
    text = f"{number} {part.name.upper()} {jig}{tail}"
    upright = top - bottom > right - left
    if part.name.startswith("stop"):
        return replace(part, labels=(*part.labels, *_rib_words(part, number, jig)))
    if part.name.startswith("layer"):
        return replace(part, labels=(*part.labels, *_column(part, f"{text}  UP >", left + 5.0)))
    if part.name == "saddle rib":
        y = (0.0 + at.lead) / 2.0 + 0.2
        words = line(Point(0.0, y), text, 1.5 * right * 0.6, min(3.0, at.lead * 0.45))
        return replace(part, labels=(*part.labels, *words))
    if upright:
        inner = _body_across(part)
        middle, room = (inner[0] + inner[1]) / 2.0, inner[1] - inner[0]
        size = min(LARGE, 0.45 * room)
        spot = Point(middle + size / 2.0, (bottom + top) / 2.0 - 12.0)
        up = Point(middle if part.name != "base" else left + 6.0, top - 8.0 - size)
        words = (*line(spot, text, 0.7 * (top - bottom), size, pi / 2.0), *line(up, "UP", 0.5 * room, size))
        return replace(part, labels=(*part.labels, *words))
    size = min(LARGE, 0.45 * (top - bottom))
    middle_of = Point((left + right) / 2.0, (bottom + top) / 2.0 - size / 2.0)
    return replace(part, labels=(*part.labels, *line(middle_of, text, 0.8 * (right - left), size)))


def _body_across(part: Part) -> tuple[float, float]:
    """x from and to of the part between its tabs: of its corners, those at its upper end."""
    top = max(p.y for p in part.outline)
    ends = [p.x for p in part.outline if p.y > top - 1e-6]
    return min(ends), max(ends)


def _rib_words(part: Part, number: str, jig: str) -> tuple[Label, ...]:
    """A stop's rib: its number and hand, and the jig, about the middle of its area."""
    hand = "L" if part.name.endswith("left") else "R"
    middle = _centroid(part.outline)
    return (
        Label(Point(middle.x, middle.y + 0.8), f"{number} {hand} UP", 2.6, "middle"),
        Label(Point(middle.x, middle.y - 3.6), jig, 2.6, "middle"),
    )


def _centroid(points: Sequence[Point]) -> Point:
    """The middle of a polygon's area."""
    area = x = y = 0.0
    for a, b in zip(points, (*points[1:], points[0]), strict=True):
        cross = a.x * b.y - b.x * a.y
        area, x, y = area + cross, x + (a.x + b.x) * cross, y + (a.y + b.y) * cross
    return Point(x / (3.0 * area), y / (3.0 * area))


def _column(part: Part, text: str, x: float) -> tuple[Label, ...]:
    """Words upwards along the left edge, where no hole is in the way."""
    _, bottom, _, top = part.box()
    high = 3.0
    half = LETTER * high * len(text) / 2.0
    holes = [h for h in part.holes if h.at.x - _half_across(h) < x + 1.5]
    middle = (bottom + top) / 2.0
    for step in sorted(range(-400, 401, 2), key=abs):
        y = middle + step
        if y - half < bottom + 3.0 or y + half > top - 12.0:
            continue
        if all(abs(h.at.y - y) > half + h.reach + 1.0 for h in holes):
            return (Label(Point(x, y), text, high, "middle", pi / 2.0),)
    return ()
