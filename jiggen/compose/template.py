"""One group of alike faces turned into a true-scale sheet: band, datum, body, panel."""

from __future__ import annotations

from dataclasses import replace

from jiggen.compose import band as head
from jiggen.compose.bench import Bench, Room, Strip
from jiggen.compose.bench import strip as strip_of
from jiggen.compose.body import body
from jiggen.compose.hatching import hatch
from jiggen.compose.panel import panel, panel_height
from jiggen.compose.space import Box
from jiggen.drawing.lettering import fitted
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.model import Group, Plan, PostFace
from jiggen.sheets.model import Keep, Sheet
from jiggen.sheets.tiling import level_joins, upright_joins

TAIL = 10.0  # paper beyond the last mark
GUTTER = 2.0  # left free of lettering on both sides of a join
FLOOR = 18.0  # section of the walking surface under a sheet that stands on it


def template(plan: Plan, group: Group, room: Room, face: PostFace | None = None) -> Sheet:
    """The sheet of a group, drawn from its first post. ``room``: what one page shows; ``face``: of a sample.

    Where the pages will be joined is worked out before anything is lettered, so that no word lies across a join.
    """
    strip = strip_of(plan, group, room.width, face)
    foot = panel_height(strip)
    on_deck = group.datum == "deck"
    low, high = _extent(strip)
    over = 0.0 if on_deck else _over(strip)
    bottom = foot + (FLOOR if on_deck else 0.0)
    strip = strip.seated(bottom - low)
    top = bottom - low + high
    pen = Pen()
    parts = panel(strip, pen, foot)
    name = head.names(strip)[0] if len(group.faces) > 1 else " ".join(head.names(strip)[:2])
    bare = Sheet(
        group.id,
        name,
        pen.drawing(strip.width, top + over + head.HEIGHT, f"{group.id} {name}"),
        (
            *(keep for bench in strip.benches for keep in _keeps(bench)),
            *(Keep(0.0, low, 0.0, high - 6.5, 1) for low, high in parts),
        ),
        (foot, top),
        tuple((bench.face.id, bench.centre, bench.seat_y) for bench in strip.benches),
        strip.folds[1:-1],
    )
    if on_deck:
        _floor(strip, pen, foot)
        pen.line(0.0, top, strip.width, top, Ink.CUT)
    else:
        pen.line(0.0, foot, strip.width, foot, Ink.CUT)
        _above(strip, pen, top + over)
    body(strip, pen, bottom, top if on_deck else None, _joins(bare, room))
    head.band(strip, pen, top + over)
    return replace(bare, drawing=pen.drawing(bare.drawing.width, bare.drawing.height, bare.drawing.title))


def _joins(sheet: Sheet, room: Room) -> list[Box]:
    """Thin boxes along every join that the sheet will be cut at: no lettering goes there."""
    size = sheet.drawing
    rows = [size.height - join.at for join in level_joins(sheet, room.height, room.overlap)]
    columns = [join.at for join in upright_joins(sheet, room.width, room.overlap)]
    level = [Box(0.0, y - GUTTER, size.width, y + GUTTER) for y in rows]
    return level + [Box(x - GUTTER, 0.0, x + GUTTER, size.height) for x in columns]


def _extent(strip: Strip) -> tuple[float, float]:
    """From which v to which v the body reaches, over the walking surface at the post, mm."""
    if strip.first.datum == "deck":
        highs = [mark.v for bench in strip.benches for mark in bench.marks]
        highs += [o.v + o.up / 2.0 for bench in strip.benches for o in bench.outlines]
        return min(bench.seat for bench in strip.benches), max(highs) + TAIL
    lows = [_low(bench) for bench in strip.benches if bench.marks]
    slants = [bench.seat + abs(bench.climb) * bench.half for bench in strip.benches]
    return min(lows), max(slants)


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


def _over(strip: Strip) -> float:
    """What stands between the highest datum and the band: rail sections where the rail is in place, and words."""
    if strip.first.group.kind == "practice":
        return 12.0
    words = 9.0 if _words_apart(strip) else 0.0
    rails = strip.first.datum == "underside"
    return words + (max(head.rail_height(bench) for bench in strip.benches) + 4.0 if rails else 3.0)


def _seat_words(strip: Strip) -> tuple[str, ...]:
    bench = strip.first
    if bench.group.kind == "practice":
        return ("TOP EDGE",)
    if bench.datum == "height line":
        return ("TOP: HOLD ON THE", "PENCILLED HEIGHT LINE")
    if bench.line.guard.rail.sits == "over":
        return ("TOP: HOLD LEVEL WITH", "TOP OF POST")
    return ("TOP: HOLD AGAINST", "UNDERSIDE OF RAIL")


def _words_apart(strip: Strip) -> bool:
    """Whether the datum's words stand over the rail sections instead of in each."""
    words = _seat_words(strip)
    railed = [bench for bench in strip.benches if bench.face.name.startswith("toward")]
    return strip.first.datum != "underside" or not all(head.words_inside(bench, words) for bench in railed)


def _above(strip: Strip, pen: Pen, band: float) -> None:
    """The words on the datum and, where the rail is in place, its section over each face; ``band``: the band's foot."""
    words = _seat_words(strip)
    if strip.first.group.kind == "practice" or _words_apart(strip):
        line = " ".join(words)
        size = fitted(line, 5.0, strip.width - 4.0, 2.0)
        pen.text(strip.width / 2.0, band - 7.5, line, size, "middle", ink=Ink.STRONG)
    if strip.first.group.kind == "practice" or strip.first.datum != "underside":
        return
    for bench in strip.benches:
        if bench.face.name.startswith("toward"):
            head.rail_section(bench, pen, bench.seat_y, bench.seat_y + head.rail_height(bench), words)


def _floor(strip: Strip, pen: Pen, bottom: float) -> None:
    """The walking surface in section, under a sheet that stands on it, and its words."""
    words = "BOTTOM: STAND ON THE WALKING SURFACE AT THIS FACE"
    pen.text(strip.width / 2.0, bottom + 9.0, words, 4.0, "middle", ink=Ink.STRONG)
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
