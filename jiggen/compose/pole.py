"""A run turned into a story pole: a strip of all its heights to glue on a stick, and the distances along its slope."""

from __future__ import annotations

from math import degrees

from jiggen.compose.lettering import both, draw_reading, heading, paragraph, reading
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.model import Plan, RunLine
from jiggen.sheets.model import Keep, Sheet

STRIP = 46.0  # width of the strip that is cut out
WIDE = 150.0
HEAD = 30.0
FOOT = 16.0


def pole(plan: Plan, line: RunLine, sheet: str) -> Sheet:
    """The story pole of a run: top edge at the underside, every cable, down to what closes the bottom, upright drops."""
    job, pen = plan.job, Pen()
    reach = line.height - line.rail_drop
    top = reach + FOOT
    pen.box(0.5, FOOT, STRIP, top, Ink.CUT)
    heading(pen, 0.5, top + HEAD - 3.0, f"STORY POLE  RUN {line.id}", 9.0, WIDE - 2.0)
    pen.text(0.5, top + HEAD - 19.0, f"{sheet}  {job.name}  {plan.fingerprint}", 3.0)
    pen.line(0.5, top, STRIP, top, Ink.DATUM)
    pen.text(2.0, top + 2.0, "TOP: UNDERSIDE OF RAIL", 3.0, ink=Ink.STRONG)
    keeps = []
    for number, drop in enumerate(line.drops, 1):
        y = top - drop
        pen.line(0.5, y, STRIP, y, Ink.CROSS)
        pen.text(3.0, y + 1.5, f"{number}", 5.0, ink=Ink.STRONG)
        draw_reading(pen, 17.0, y + 5.0, reading(job, drop), 4.0)
        keeps.append(Keep(0.0, y - 2.0, STRIP, y + 10.0, 1))
    if line.closes == "bottom rail" and line.guard.bottom_rail:
        low = FOOT + line.gap
        pen.box(0.5, low, STRIP, low + line.guard.bottom_rail.depth / line.cosine, Ink.EDGE)
        pen.text(3.0, low + 3.0, "BOTTOM RAIL", 3.0)
    pen.line(0.5, FOOT, STRIP, FOOT, Ink.EDGE)
    below = "NOSING LINE" if line.rake and line.gap else "WALKING SURFACE"
    pen.text(2.0, FOOT - 5.0, f"BOTTOM: {below}", 3.0, ink=Ink.STRONG)
    _notes(plan, line, pen, top)
    drawing = pen.drawing(WIDE, top + HEAD, f"Story pole, run {line.id}")
    return Sheet(sheet, f"STORY POLE RUN {line.id}", drawing, tuple(keeps))


def _notes(plan: Plan, line: RunLine, pen: Pen, top: float) -> None:
    """How to use it, and on a slope the distances of the posts along a line snapped on it."""
    x, room = STRIP + 6.0, WIDE - STRIP - 8.0
    y = paragraph(
        pen, x, top, "Cut out, glue on a straight stick, top edge at the stick's end. Hold it plumb.", 3.0, room
    )
    y = paragraph(pen, x, y - 2.0, "Numbers and readings are drops from the underside of the rail.", 3.0, room)
    if line.rake:
        words = f"Along a line snapped on the slope ({degrees(abs(line.rake)):.2f} degrees), from post {line.posts[0]}:"
        y = paragraph(pen, x, y - 4.0, words, 3.0, room)
        for post, station in zip(line.posts, line.stations, strict=True):
            half = plan.post_by_id[post].prism.half_extent(line.level)
            near, far = (station - half) / line.cosine, (station + half) / line.cosine
            told = f"post {post}: centre {both(plan.job, station / line.cosine)}"
            y = paragraph(pen, x, y - 1.0, told, 3.0, room, 3.0)
            y = paragraph(pen, x + 3.0, y, f"faces {both(plan.job, near)} and {both(plan.job, far)}", 2.6, room - 3.0)


def pole_runs(plan: Plan) -> list[RunLine]:
    """Runs that need a pole of their own: those whose heights no earlier run has."""
    found: list[RunLine] = []
    for line in plan.runs:
        if not any(_alike(line, other, plan.job.alike) for other in found):
            found.append(line)
    return found


def _alike(one: RunLine, other: RunLine, within: float) -> bool:
    same = len(one.drops) == len(other.drops) and abs(one.rake - other.rake) < 1e-9 and one.ground == other.ground
    return same and all(abs(a - b) <= within for a, b in zip(one.drops, other.drops, strict=True))
