"""One group of alike faces turned into a true-scale sheet: band, datum, body, panel."""

from __future__ import annotations

from dataclasses import replace

from jiggen.compose import band as head
from jiggen.compose.bench import Bench, sheet_width
from jiggen.compose.body import body, hatch
from jiggen.compose.panel import panel, panel_height
from jiggen.compose.space import Box
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.model import Group, Plan, PostFace
from jiggen.sheets.model import Keep, Sheet

TAIL = 16.0  # paper beyond the last mark
FLOOR = 18.0  # section of the walking surface under a sheet that stands on it


def template(plan: Plan, group: Group, room: float, face: PostFace | None = None) -> Sheet:
    """The sheet of a group, drawn from its first face. ``room``: width that one page shows, mm."""
    face = face or plan.face_by_id[group.faces[0]]
    post = plan.post_by_id.get(face.post) or plan.posts[0]
    line = next(line for line in plan.runs if line.id == face.run)
    bench = Bench(plan, group, post, face, line, sheet_width(face, room))
    below, above = _extent(bench)
    foot = panel_height(bench)
    on_deck = group.datum == "deck"
    over = 0.0 if on_deck else _over(bench)
    bottom = foot + (FLOOR if on_deck else 0.0)
    bench = replace(bench, seat_y=bottom if on_deck else bottom + below)
    top = bench.seat_y + above if on_deck else bench.seat_y
    height = top + over + head.HEIGHT
    pen = Pen()
    parts = panel(bench, pen, foot)
    if on_deck:
        _floor(bench, pen, foot)
    else:
        pen.line(0.0, foot, bench.width, foot, Ink.CUT)
        _above(bench, pen, over)
    lettered = body(bench, pen, bottom, top)
    if on_deck:
        pen.line(0.0, top, bench.width, top, Ink.CUT)
    head.band(bench, pen, top + over)
    name = " ".join(head.names(bench)[:2])
    return Sheet(
        group.id,
        name,
        pen.drawing(bench.width, height, f"{group.id} {name}"),
        (
            *_keeps(bench),
            *(Keep(*box, 0) for box in lettered),
            *(Keep(0.0, low, 0.0, high - 6.5, 0) for low, high in parts),
        ),
        (foot, top),
        ((face.id, bench.centre, bench.seat_y),),
    )


def _extent(bench: Bench) -> tuple[float, float]:
    """How far the body reaches below and above the datum at the centre line, mm."""
    heights = [mark.v - bench.seat for mark in bench.marks]
    lows = heights + [o.v - o.up / 2.0 - bench.seat for o in bench.outlines]
    highs = heights + [o.v + o.up / 2.0 - bench.seat for o in bench.outlines]
    if bench.datum == "deck":
        return 0.0, max(highs) + TAIL
    slant = abs(bench.climb) * bench.half
    below = -min(lows) + TAIL + slant
    return min(below, max(_bottom_rail(bench), -min(heights) + 6.0)), 0.0


def _bottom_rail(bench: Bench) -> float:
    """Distance from the datum to what a bottom rail in place takes (its bracket's top), endless without one."""
    if bench.line.closes != "bottom rail" or bench.datum != "underside" or bench.group.kind != "face":
        return float("inf")
    line = bench.line
    rail = line.height - line.rail_drop - line.gap
    depth = line.guard.bottom_rail.depth / line.cosine if line.guard.bottom_rail else 0.0
    tops = [bench.seat - o.v - o.up / 2.0 for o in bench.notches if bench.seat - o.v > rail / 2.0]
    return min([rail - depth, *tops]) - 2.0


def _over(bench: Bench) -> float:
    """What stands between the datum and the band: the rail's section where the rail is in place."""
    if bench.datum == "height line" or bench.group.kind != "face":
        return 12.0
    return head.section_height(bench) + 4.0


def _above(bench: Bench, pen: Pen, over: float) -> None:
    """The words on the datum and, where the rail is in place, its section."""
    y = bench.seat_y
    if bench.group.kind != "face":
        pen.text(bench.centre, y + 3.0, "TOP EDGE", 5.0, "middle", ink=Ink.STRONG)
        return
    if bench.datum == "height line":
        pen.text(bench.centre, y + 3.0, "TOP: HOLD ON THE PENCILLED HEIGHT LINE", 5.0, "middle", ink=Ink.STRONG)
        return
    over_post = bench.line.guard.rail.sits == "over"
    words = ["TOP: HOLD LEVEL WITH", "TOP OF POST"] if over_post else ["TOP: HOLD AGAINST", "UNDERSIDE OF RAIL"]
    head.rail_section(bench, pen, y, y + min(bench.face.rail_up, 60.0), words)


def _floor(bench: Bench, pen: Pen, bottom: float) -> None:
    """The walking surface in section, under a sheet that stands on it, and its words."""
    words = "BOTTOM: STAND ON THE WALKING SURFACE AT THIS FACE"
    pen.text(bench.centre, bottom + 9.0, words, 4.0, "middle", ink=Ink.STRONG)
    for box in (
        Box(0.0, bottom, 6.0, bottom + FLOOR),
        Box(bench.width - 6.0, bottom, bench.width, bottom + FLOOR),
    ):
        hatch(pen, box, 2.5)
    pen.line(0.0, bottom, bench.width, bottom, Ink.CUT)


def _keeps(bench: Bench) -> tuple[Keep, ...]:
    keeps = []
    for mark in bench.marks:
        at, r = bench.place(mark.u, mark.v), max(mark.oval) / 2.0
        keeps.append(Keep(at.x - r, at.y - r, at.x + r, at.y + r, 2))
    for outline in bench.outlines:
        at, dx, dy = bench.place(outline.u, outline.v), outline.across / 2.0, outline.up / 2.0
        keeps.append(Keep(at.x - dx, at.y - dy, at.x + dx, at.y + dy, 1))
    return tuple(keeps)
