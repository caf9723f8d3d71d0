"""One group of alike faces turned into a true-scale sheet: band, datum, body, panel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import pi

from jiggen.compose import band as head
from jiggen.compose import clear
from jiggen.compose.bench import Bench, Room, Strip
from jiggen.compose.bench import strip as strip_of
from jiggen.compose.body import body
from jiggen.compose.hatching import hatch
from jiggen.compose.panel import Panel, drawn_round, panel
from jiggen.compose.railed import rail_height, rail_section, words_inside
from jiggen.compose.space import Box
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Drawing, Ink, Pen, Text
from jiggen.plan.model import Group, Plan, PostFace
from jiggen.sheets.extent import extent, moved
from jiggen.sheets.model import Keep, Sheet
from jiggen.sheets.tiling import level_joins, upright_joins

COLLAR = 60.0  # least height of the paper that goes all the way round a post
TAIL = 10.0  # paper beyond the last mark
BEYOND = 1000.0  # left of every sheet: a keep there is one for joins between rows only
GUTTER = 2.0  # left free of lettering on both sides of a join
TRIES = 4  # how often a foot is drawn anew at most until no join lies on its words
FLOOR = 18.0  # section of the walking surface under a sheet that stands on it


def template(plan: Plan, group: Group, room: Room, face: PostFace | None = None) -> Sheet:
    """The sheet of a group, drawn from its first post. ``room``: what one page shows; ``face``: of a sample.

    Where the pages will be joined is worked out before anything is lettered, so that no word lies across a join: those
    between columns first, then those between rows, and where one of these falls on words of the foot, the foot is drawn
    once more round it.
    """
    seated, pen, bare, level = _clear_foot(_joined(strip_of(plan, group, room.width, face), room), room)
    low, top = bare.breaks[:2]
    on_deck = group.datum == "deck"
    bottom = low + _under(seated)
    body(seated, pen, bottom, top if on_deck else None, _joins(bare.drawing, level, seated.joins))
    return replace(bare, drawing=pen.drawing(bare.drawing.width, bare.drawing.height, bare.drawing.title))


def _clear_foot(strip: Strip, room: Room) -> tuple[Strip, Pen, Sheet, list[float]]:
    """What ``_headed`` gives with the heights of the joins between rows, none of them on words of the foot; with the foot
    as it comes where no way round them is found."""
    rows: tuple[float, ...] = ()
    made = []
    for _ in range(TRIES):
        foot = panel(strip, rows)
        seated, pen, bare = _headed(strip, foot, rows)
        level = [bare.drawing.height - join.at for join in level_joins(bare, room.height, room.overlap)]
        made.append((seated, pen, bare, level))
        found = [y - foot.height for y in level if y < foot.height - 1.0]
        if not foot.crossed(found):
            return made[-1]
        rows = drawn_round(found)
    return made[0]


def _headed(strip: Strip, foot: Panel, rows: Sequence[float]) -> tuple[Strip, Pen, Sheet]:
    """The strip in its place over a foot, what is drawn of the sheet but its body, and the sheet without that. ``rows``:
    the joins that the foot was drawn for, from its upper edge."""
    group, on_deck = strip.first.group, strip.first.datum == "deck"
    low, high = _extent(strip)
    over = 0.0 if on_deck else _over(strip)
    bottom = foot.height + _under(strip)
    strip, top = strip.seated(bottom - low), bottom - low + high
    pen = Pen([moved(shape, 0.0, foot.height) for shape in foot.shapes])
    floor: tuple[Keep, ...] = ()
    if on_deck:
        floor = (
            Keep(-BEYOND, bottom - FLOOR + 2.0, -BEYOND, bottom - 0.5, 0),
        )  # so that no join's marks lie on its words
        _floor(strip, pen, bottom - FLOOR)
        pen.line(0.0, top, strip.width, top, Ink.CUT)
    else:
        pen.line(0.0, foot.height, strip.width, foot.height, Ink.CUT)
        _above(strip, pen, top + over)
    head.band(strip, pen, top + over)
    name = head.names(strip)[0] if len(group.faces) > 1 else " ".join(head.names(strip)[:2])
    parts = [(low + foot.height, high + foot.height) for low, high in foot.parts]
    bare = Sheet(
        group.id,
        name,
        pen.drawing(strip.width, top + over + head.HEIGHT, f"{group.id} {name}"),
        (
            *(keep for bench in strip.benches for keep in _keeps(bench)),
            *(Keep(0.0, low + 5.5, 0.0, high - 6.5, 1) for low, high in parts),  # 0.5 mm past their rims is enough
            *floor,
            *_lettered(pen),
        ),
        (foot.height, top, *(foot.height + row for row in rows)),
        tuple((bench.face.id, bench.centre, bench.seat_y) for bench in strip.benches),
        strip.folds[1:-1],
        _spare(strip, foot.height),
    )
    return strip, pen, bare


def _spare(strip: Strip, foot: float) -> tuple[Box, ...]:
    """What of a round post's paper only leads round it: all beyond the quarter lines on both sides of the faces with
    marks, but for a collar at the datum that squares the paper."""
    marked = [bench for bench in strip.benches if bench.marks]
    if not strip.girth:
        return ()
    high, reach = min(bench.seat_y for bench in marked) - COLLAR, strip.girth / 4.0 - 1.0
    left, right = (pick(bench.centre for bench in marked) for pick in (min, max))
    around = Box(0.0, 0.0, left - reach, high), Box(right + reach, 0.0, strip.width, high)
    return (*around, Box(0.0, 0.0, strip.width, foot + 0.1))  # and the line to cut along at its foot


def _joined(strip: Strip, room: Room) -> Strip:
    """The strip with the joins between its columns of pages, which lie where they do however high the sheet gets."""
    keeps = tuple(keep for bench in strip.benches for keep in _keeps(bench))
    bare = Sheet("", "", Drawing(strip.width, 0.0, ()), keeps, folds=strip.folds[1:-1])
    return replace(strip, joins=tuple(join.at for join in upright_joins(bare, room.width, room.overlap)))


def _lettered(pen: Pen) -> tuple[Keep, ...]:
    """Keeps round all lettering so far, no width to them: joins between columns are told to it, not it to them."""
    boxes = [extent(shape) for shape in pen.shapes if isinstance(shape, Text)]
    return tuple(Keep(-BEYOND, low, -BEYOND, high, 0) for _, low, _, high in boxes)


def _joins(size: Drawing, rows: Sequence[float], columns: Sequence[float]) -> list[Box]:
    """Thin boxes along every join that the sheet will be cut at: no lettering goes there."""
    level = [Box(0.0, y - GUTTER, size.width, y + GUTTER) for y in rows]
    return level + [Box(x - GUTTER, 0.0, x + GUTTER, size.height) for x in columns]


def _extent(strip: Strip) -> tuple[float, float]:
    """From which v to which v the body reaches, over the walking surface at the post, mm."""
    if strip.first.datum == "deck":
        highs = [mark.v for bench in strip.benches for mark in bench.marks]
        highs += [o.v + o.up / 2.0 for bench in strip.benches for o in bench.outlines]
        return min(bench.seat - _slants(bench) for bench in strip.benches), max(highs) + TAIL
    lows = [_low(bench) for bench in strip.benches if bench.marks]
    slants = [bench.seat + abs(bench.climb) * bench.half for bench in strip.benches]
    return min(lows), max(slants)


def _slants(bench: Bench) -> float:
    """How far the datum goes down, at most, from the face's centre line to the edges of its paper."""
    if bench.face.frame.radius:
        return -min(bench.rises(step * pi / 18.0) for step in range(36))
    return abs(bench.climb) * bench.width / 2.0


def _low(bench: Bench) -> float:
    """v down to which the body of one face reaches: a tail below its last mark, clear of a bottom rail in place."""
    heights = [mark.v for mark in bench.marks]
    wanted = min([*heights, *(o.v - o.up / 2.0 for o in bench.outlines)]) - TAIL - abs(bench.climb) * bench.half
    return max(wanted, min(bench.seat - _bottom_rail(bench), min(heights) - 6.0))


def _bottom_rail(bench: Bench) -> float:
    """Distance from the datum to what a bottom rail in place takes (its bracket's top), endless without one."""
    if bench.line.closes != "bottom rail" or bench.datum != "underside" or not bench.face.name.startswith("toward"):
        return float("inf")
    line = bench.line
    rail = line.height - line.rail_drop - line.gap
    depth = line.guard.bottom_rail.depth / line.cosine if line.guard.bottom_rail else 0.0
    tops = [bench.seat - o.v - o.up / 2.0 for o in bench.notches if bench.seat - o.v > rail / 2.0]
    return min([rail - depth, *tops]) - 2.0


def _under(strip: Strip) -> float:
    """What stands between the foot and the walking surface that a sheet stands on: the floor, deeper for marks that lie under
    the surface, which a draft shows though they are stops."""
    if strip.first.datum != "deck":
        return 0.0
    under = [
        bench.seat - mark.v + mark.diameter for bench in strip.benches for mark in bench.marks if mark.v < bench.seat
    ]
    return max([FLOOR, *(deep + TAIL for deep in under)])


def _over(strip: Strip) -> float:
    """What stands between the highest datum and the band: rail sections where the rail is in place, and words; marks that
    lie over the datum, which a draft shows though they are stops."""
    if strip.first.group.kind == "practice":
        return 12.0
    words = 9.0 if _words_apart(strip) else 0.0
    rails = strip.first.datum == "underside"
    usual = words + (max(rail_height(bench) for bench in strip.benches) + 4.0 if rails else 3.0)
    over = [
        mark.v - bench.seat + mark.diameter for bench in strip.benches for mark in bench.marks if mark.v > bench.seat
    ]
    return max([usual, *(high + TAIL for high in over)])


def _seat_words(strip: Strip) -> tuple[str, ...]:
    bench = strip.first
    if bench.group.kind == "practice":
        return ("TOP EDGE",)
    if bench.datum == "height line":
        return ("TOP: HOLD ON THE", "PENCILLED HEIGHT LINE")
    if bench.line.guard.rail.sits == "over":
        return ("TOP: HOLD LEVEL WITH", "UNDERSIDE OF RAIL")
    if not strip.railed:
        return ("TOP: HOLD ON LINE AT", "UNDERSIDE OF RAIL")
    return ("TOP: HOLD AGAINST", "UNDERSIDE OF RAIL")


def _words_apart(strip: Strip) -> bool:
    """Whether the datum's words stand over the rail sections instead of in each."""
    words = _seat_words(strip)
    railed = [bench for bench in strip.benches if bench.face.name.startswith("toward")]
    inside = [words_inside(bench, words, strip.joins) is not None for bench in railed]
    return strip.first.datum != "underside" or not railed or not all(inside)


def _above(strip: Strip, pen: Pen, band: float) -> None:
    """The words on the datum and, where the rail is in place, its section over each face; ``band``: the band's foot."""
    words = _seat_words(strip)
    if strip.first.group.kind == "practice" or _words_apart(strip):
        line = " ".join(words)
        _centred(strip, pen, band - 7.5, line, 5.0)
    if strip.first.group.kind == "practice" or strip.first.datum != "underside":
        return
    for bench in strip.benches:
        if bench.face.name.startswith("toward"):
            inside = () if _words_apart(strip) else words
            rail_section(bench, pen, inside, strip.joins)


def _centred(strip: Strip, pen: Pen, y: float, line: str, high: float) -> None:
    """One strong line in the middle of the sheet, or where no join between columns cuts it, smaller if need be."""
    low, end = 2.0, strip.width - 2.0
    marks = [at + side * clear.JOINED for at in strip.joins for side in (-1.0, 1.0)]
    for joins, size in (
        (marks, high),
        (marks, 0.9 * high),
        (strip.joins, high),
    ):  # beyond the joins' marks, if it can be
        long = width(line, size)
        left = clear.start(joins, (strip.width - long) / 2.0, long, low, end)
        if left is not None:
            pen.text(left + long / 2.0, y, line, size, "middle", ink=Ink.STRONG)
            return
    way = clear.widest(strip.joins, low, end)
    pen.text((way[0] + way[1]) / 2.0, y, line, fitted(line, high, way[1] - way[0], 2.0), "middle", ink=Ink.STRONG)


def _floor(strip: Strip, pen: Pen, bottom: float) -> None:
    """The walking surface in section, under a sheet that stands on it, and its words."""
    words = "BOTTOM: STAND ON THE WALKING SURFACE AT THIS FACE"
    _centred(strip, pen, bottom + 9.0, words, 4.0)
    for box in (
        Box(0.0, bottom, 6.0, bottom + FLOOR),
        Box(strip.width - 6.0, bottom, strip.width, bottom + FLOOR),
    ):
        hatch(pen, box, 2.5)
    pen.line(0.0, bottom, strip.width, bottom, Ink.CUT)


def _keeps(bench: Bench) -> tuple[Keep, ...]:
    keeps = []
    for mark in bench.marks:
        at, r = bench.place(mark.u, mark.v), max(mark.oval) / 2.0
        keeps.append(Keep(at.x - r, at.y - r, at.x + r, at.y + r, 2))
    for outline in bench.outlines:
        at, dx, dy = bench.place(outline.u, outline.v), outline.across / 2.0, outline.up / 2.0
        keeps.append(Keep(at.x - dx, at.y - dy, at.x + dx, at.y + dy, 1))
    return tuple(keeps)
