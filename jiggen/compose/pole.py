"""A run turned into a story pole: a strip of all its heights to glue on a stick, and the distances along its slope."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil, degrees

from jiggen.compose.bench import Room
from jiggen.compose.lettering import both, draw_reading, heading, reading, wrapped
from jiggen.drawing.lettering import fitted
from jiggen.drawing.scene import Ink, Pen
from jiggen.job.model import Job
from jiggen.plan.model import Plan, RunLine
from jiggen.sheets.edges import TRIM
from jiggen.sheets.model import Sheet
from jiggen.sheets.paper import paper, usable

STRIP = 46.0  # width of the strip that is cut out
WIDE = 150.0
HEAD = 6.0  # over the strip's top, and
FOOT = 7.0  # under its end: no more than their words need, so that the strip takes no page more than its length
GUTTER = 1.5  # left free of lettering on both sides of a join
APART = 3.0  # what a join keeps from a cable's line, where the pages have so much to spare
CAUTION = ("MARK HEIGHTS ONLY:", "DRILL BY THE SHEETS")
LABEL = 9.0  # height of a cable's number and reading beside its line


def pole(plan: Plan, line: RunLine, sheet: str, room: Room | None = None) -> Sheet:
    """The story pole of a run: top edge at the underside, every cable, down to what closes the bottom, upright drops.

    ``room``: what one page shows, None: the job's own paper. The pages end where all of them are filled as far as
    the length asks for, beside the cables' lines.
    """
    job, pen = plan.job, Pen()
    reach = line.height - line.rail_drop
    top = reach + FOOT
    high = top + HEAD
    lines = [high - (top - drop) for drop in line.drops]
    joins = [high - at for at in pole_joins(high, room or _room(job), lines)]
    pen.box(0.5, FOOT, STRIP, top, Ink.CUT)
    pen.line(0.5, top, STRIP, top, Ink.DATUM)
    pen.text(2.0, top + 1.5, "TOP: UNDERSIDE OF RAIL", 3.0, ink=Ink.STRONG)
    for number, drop in enumerate(line.drops, 1):
        y = top - drop
        pen.line(0.5, y, STRIP, y, Ink.CROSS)
        base = y if _free(joins, y + 0.5, y + LABEL) else y - LABEL - 1.0
        pen.text(3.0, base + 1.5, f"{number}", 5.0, ink=Ink.STRONG)
        draw_reading(pen, 17.0, base + 5.0, reading(job, drop), 4.0)
    for drop, words in _others(plan, line):
        if 0.0 < drop < reach:
            pen.line(STRIP * 0.7, top - drop, STRIP, top - drop, Ink.CENTRE)
            y = top - drop + (1.0 if _free(joins, top - drop, top - drop + 3.5) else -3.5)
            pen.text(STRIP - 1.0, y, words, fitted(words, 2.5, STRIP * 0.3 - 2.0), "right")
    if line.closes == "bottom rail" and line.guard.bottom_rail:
        low = FOOT + line.gap
        pen.box(0.5, low, STRIP, low + line.guard.bottom_rail.depth / line.cosine, Ink.EDGE)
        pen.text(3.0, next(y for y in (low + 3.0, low + 9.5) if _free(joins, y, y + 3.0)), "BOTTOM RAIL", 3.0)
    _caution(pen, [top, *(top - drop for drop in line.drops), FOOT], joins)
    pen.line(0.5, FOOT, STRIP, FOOT, Ink.EDGE)
    below = "NOSING LINE" if line.rake and line.gap else "WALKING SURFACE"
    pen.text(2.0, FOOT - 4.5, f"BOTTOM: {below}", 3.0, ink=Ink.STRONG)
    _notes(plan, line, pen, sheet, high, joins)
    drawing = pen.drawing(WIDE, high, f"Story pole, run {line.id}")
    return Sheet(sheet, f"STORY POLE RUN {line.id}", drawing, (), tuple(joins))


def _caution(pen: Pen, lines: Sequence[float], joins: Sequence[float]) -> None:
    """What the strip itself says when it is cut out, in the first gap under one of its ``lines`` that has room."""
    for high, low in pairwise(lines):
        if high - 13.0 > low + LABEL + 1.0 and _free(joins, high - 13.0, high - 3.0):
            for index, words in enumerate(CAUTION):
                pen.text(3.0, high - 7.0 - 5.0 * index, words, fitted(words, 3.5, STRIP - 6.0), ink=Ink.STRONG)
            return


def _others(plan: Plan, line: RunLine) -> list[tuple[float, str]]:
    """Drop and name of what else a run's posts are marked for: wires, and the screws of the rails' brackets."""
    found: dict[tuple[float, str], None] = {}
    for post in (plan.post_by_id[name] for name in line.posts):
        for face in (face for face in post.faces if face.run == line.id):
            for mark in (mark for mark in face.marks if mark.purpose in ("wire", "bracket")):
                found[round(mark.drop, 1), "WIRE" if mark.purpose == "wire" else "BRACKET"] = None
    return sorted(found)


def pole_joins(high: float, room: Room, lines: Sequence[float]) -> list[float]:
    """Where a strip ``high`` mm long is joined, from its top: as few joins as its length needs.

    What the pages can show more than that is spent on keeping the joins ``APART`` from ``lines``, from the top too.
    """
    lost = room.overlap + TRIM
    count = max(1, ceil((high - lost - 1e-6) / (room.height - lost)))
    spare = count * room.height - (count - 1) * lost - high
    found: list[float] = []
    at = 0.0
    for index in range(count - 1):
        last = at + room.height - TRIM - (room.overlap if index else 0.0) - 0.01
        steps = [last - step * 0.5 for step in range(int(min(spare, room.height / 4.0) / 0.5) + 1)]
        at = max(steps, key=lambda place: (min([APART, *(abs(place - line) for line in lines)]), place))
        spare -= last - at
        found.append(at)
    return found


def _room(job: Job) -> Room:
    return Room(*usable(paper(job.sheet.size, job.sheet.margin)), job.sheet.overlap)


def _free(joins: Sequence[float], low: float, high: float) -> bool:
    """Whether no join runs through what stands from ``low`` to ``high``."""
    return not any(low - GUTTER < join < high + GUTTER for join in joins)


def _notes(plan: Plan, line: RunLine, pen: Pen, sheet: str, high: float, joins: Sequence[float]) -> None:
    """Its name, how to use it, and on a slope the distances of the posts along a line snapped on it."""
    x, room = STRIP + 6.0, WIDE - STRIP - 8.0
    y = high - 1.0 - heading(pen, x, high - 1.0, f"STORY POLE  RUN {line.id}", 9.0, room) - 3.5
    for words, size, hang in _words(plan, line, sheet):
        for index, part in enumerate(wrapped(words, size, room - hang - 3.0)):
            over = [join for join in joins if y - size - GUTTER < join < y + GUTTER]
            y = min(over) - GUTTER if over else y
            pen.text(x + hang + (3.0 if index else 0.0), y - size, part, size)
            y -= size * 1.55
        y -= 1.5


def _words(plan: Plan, line: RunLine, sheet: str) -> Iterator[tuple[str, float, float]]:
    """What stands beside the strip: words, their height and how far they are set in."""
    yield f"{sheet}  {plan.job.name}  {plan.fingerprint}", 3.0, 0.0
    yield "Cut out, glue on a straight stick, top edge at the stick's end. Hold it plumb.", 3.0, 0.0
    yield "Numbers and readings are drops from the underside of the rail.", 3.0, 0.0
    if any(reading(plan.job, drop).signed.endswith(("+", "-")) for drop in line.drops):
        yield "+ or - after a reading: the line is a little beyond it or short of it.", 3.0, 0.0
    more = [other.id for other in plan.runs if other is not line and _alike(other, line, plan.job.alike)]
    if more:
        yield f"The same heights hold for run{'s' * (len(more) > 1)} {', '.join(more)}.", 3.0, 0.0
    yield "ONLY FOR MARKING HEIGHTS:", 4.0, 0.0
    yield (
        "not for drilling through. It shows no place across a face, no screws of an end fitting and no slope of a bore; "
        "drill by the sheets.",
        3.0,
        0.0,
    )
    if not line.rake:
        return
    yield (
        f"Along a line snapped on the slope ({degrees(abs(line.rake)):.2f} degrees), from post {line.posts[0]}:",
        3.0,
        0.0,
    )
    for post, station in zip(line.posts, line.stations, strict=True):
        half = plan.post_by_id[post].prism.half_extent(line.level)
        near, far = (station - half) / line.cosine, (station + half) / line.cosine
        yield f"post {post}: centre {both(plan.job, station / line.cosine)}", 3.0, 0.0
        yield f"faces {both(plan.job, near)} and {both(plan.job, far)}", 2.6, 3.0


def pole_runs(plan: Plan) -> list[RunLine]:
    """Runs that need a pole of their own: those whose heights no earlier run has."""
    found: list[RunLine] = []
    for line in plan.runs:
        if not any(_alike(line, other, plan.job.alike) for other in found):
            found.append(line)
    return found


def _alike(one: RunLine, other: RunLine, within: float) -> bool:
    if len(one.drops) != len(other.drops) or any(
        abs(a - b) > within for a, b in zip(one.drops, other.drops, strict=True)
    ):
        return False
    same = abs(one.rake - other.rake) < 1e-9 and one.ground == other.ground and one.closes == other.closes
    ends = ((line.height - line.rail_drop, line.gap) for line in (one, other))
    return same and all(abs(a - b) <= within for a, b in zip(*ends, strict=True))
