"""The foot of a sheet, to read and to keep: check squares, how to drill, posts served, angle gauge, cautions."""

from __future__ import annotations

from math import asin, degrees, pi, tan

from jiggen.compose.band import bore_words, end_words
from jiggen.compose.bench import Bench
from jiggen.compose.body import drill_words
from jiggen.compose.lettering import both, draw_reading, paragraph, reading, reading_width, wrapped
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Ink, Pen
from jiggen.units import MM_PER_INCH

SQUARE = 4.0 * MM_PER_INCH
TEXT = 3.0
ROW = 6.5
GAUGE = 62.0

CAUTIONS = (
    "Eye protection to ANSI/ISEA Z87.1 when drilling and cutting.",
    "Treated wood: dust mask and gloves, never burn the waste.",
    "Strand springs open and its cut ends are sharp: gloves, tape the cut.",
    "Posts, anchorage and rails carry what the cables pull: a licensed designer decides, the local code holds.",
)


def panel_height(bench: Bench) -> float:
    """Height of the panel, mm."""
    return 21.0 + max(SQUARE + 5.0, _column_height(bench)) + _served_height(bench) + _gauge_height(bench)


def panel(bench: Bench, pen: Pen, top: float) -> list[tuple[float, float]]:
    """Draw the panel with its upper edge at ``top``; returns from where to where each of its parts reaches."""
    pen.text(2.0, top - 11.5, "KEEP THIS PART TO READ", 4.0, ink=Ink.STRONG)
    y = top - 15.0
    _squares(bench, pen, y)
    _column(bench, pen, SQUARE + 6.0, y)
    y -= max(SQUARE + 5.0, _column_height(bench))
    parts = [(y, top)]
    y = _served(bench, pen, y)
    if _gauge_height(bench):
        _gauge(bench, pen, y)
        parts.append((y - _gauge_height(bench), y))
    return parts


def _squares(bench: Bench, pen: Pen, top: float) -> None:
    """A square of 100 mm in one of 4 in, sharing the lower left corner; the steps of the work inside."""
    left, bottom = 1.0, top - SQUARE - 1.0
    pen.box(left, bottom, left + SQUARE, bottom + SQUARE, Ink.TICK)
    pen.box(left, bottom, left + 100.0, bottom + 100.0, Ink.TICK)
    pen.text(left + 99.0, bottom + 1.5, "100 mm", 2.5, "right")
    words = "outer square 4 in, inner 100 mm: measure both ways"
    pen.text(left + 1.5, bottom + 1.5, words, fitted(words, 2.5, 80.0, 1.8))
    y = bottom + 98.5
    pen.text(left + 2.0, y - 4.0, "HOW TO DRILL", 4.0, ink=Ink.STRONG)
    y -= 6.5
    for number, step in enumerate(steps(bench), 1):
        y = paragraph(pen, left + 2.0, y, f"{number}  {step}", text_height(bench), 96.0, 4.5) - 0.6


def text_height(bench: Bench) -> float:
    """Height of the steps' lettering: as large as all of them fit the square."""
    for high in (3.0, 2.8, 2.6, 2.5, 2.3, 2.1):
        lines = sum(len(wrapped(f"0  {step}", high, 91.5)) for step in steps(bench))
        if lines * high * 1.55 + 0.6 * len(steps(bench)) < 86.0:
            return high
    return 2.0


def steps(bench: Bench) -> list[str]:
    """The work in its order, for this sheet's datum, rake and drills."""
    marks = bench.marks
    found = [
        "Check the print: 0 to 100 on the page's rulers is 100 mm on your tape, both ways.",
        _seat_words(bench),
        "Fold both flaps back. Equal readings of the post's edges on the edge scales centre the sheet. Tape.",
    ]
    if marks:
        last = max(marks, key=bench.from_datum)
        found.append(f"MEASURE AFTER TAPING: datum to mark {last.label} is {both(bench.job, bench.from_datum(last))}.")
    found.append("Punch the middle of every cross. Lay the real fitting on its outline first.")
    if any(mark.through for mark in marks):
        found.append("Through holes: drill from both faces to meet in the middle.")
    found.extend(_bore_steps(bench))
    if any(mark.purpose in ("screw", "bracket") for mark in marks):
        found.append("Screw holes go in square to the face; set the drill stop to the depth on the flap.")
    return found


def _seat_words(bench: Bench) -> str:
    if bench.group.kind != "face":
        return "Tape the sheet on an offcut and drill it like a post."
    if bench.datum == "underside":
        over = bench.line.guard.rail.sits == "over"
        place = "the post's top" if over else "the underside of the rail"
        return f"Cut along the thick line (and the notch). Hold that edge tight against {place}."
    if bench.datum == "height line":
        return "Cut along the thick line. Hold that edge on the pencilled height line (top of the rail to be)."
    return "Cut along the thick line. Stand that edge on the walking surface at this face."


def _bore_steps(bench: Bench) -> list[str]:
    words = bore_words(bench)
    if not words:
        return []
    return [f"Slanting holes: {' and '.join(words).lower()} from this face, by the paper gauge below."]


def _column(bench: Bench, pen: Pen, x: float, top: float) -> float:
    """The right column: this end, measure box, drills, cautions; returns the y under it."""
    room = bench.width - x - 1.0
    y = top - 1.0
    for words in end_words(bench):
        size = fitted(words, 5.0, room, 3.0)
        pen.text(x, y - size, words, size, ink=Ink.STRONG)
        y -= size + 3.0
    y = _measure_box(bench, pen, x, y, room)
    for which, how in drill_words(bench):
        y = paragraph(pen, x, y, f"{which}: {how}", TEXT, room, 3.0) - 1.0
    y -= 1.0
    for words in _warnings(bench):
        y = paragraph(pen, x, y, words, TEXT, room) - 1.0
    y -= 1.0
    pen.text(x, y - 3.5, "CAUTIONS", 3.5, ink=Ink.STRONG)
    y -= 6.0
    for words in CAUTIONS:
        y = paragraph(pen, x, y, words, 2.5, room, 2.0) - 0.6
    return y


def _column_height(bench: Bench) -> float:
    scratch = Pen()
    return -_column(bench, scratch, SQUARE + 6.0, 0.0) + 2.0


def _measure_box(bench: Bench, pen: Pen, x: float, y: float, room: float) -> float:
    if not bench.marks:
        return y
    last = max(bench.marks, key=bench.from_datum)
    found = reading(bench.job, bench.from_datum(last))
    y = paragraph(pen, x, y, f"MEASURE AFTER TAPING: datum to mark {last.label}", TEXT, room)
    draw_reading(pen, x, y - 5.0, found, 5.0)
    start = x + reading_width(found, 5.0) + 4.0
    pen.box(start, y - 10.0, x + min(room, start - x + 34.0), y, Ink.TICK)
    pen.text(start + 1.0, y - 3.0, "I read", 2.0)
    return y - 14.0


def _warnings(bench: Bench) -> list[str]:
    """What a raked sheet on another datum says in capitals, and what the rail in place hides."""
    found = []
    if bench.raked and bench.datum != "underside" and bench.group.kind == "face":
        found.append("RAKED: THIS FACE HAS ITS OWN LINE. A LINE SQUARED ROUND THE POST IS WRONG ON THE OTHER FACE.")
        if bench.datum == "height line":
            high = bench.seat - bench.face.tread
            found.append(f"HEIGHT LINE OF THIS FACE: {both(bench.job, high)} OVER THE TREAD AT THE FACE.")
    return found


def _served_rows(bench: Bench) -> list[str]:
    rows: dict[str, list[str]] = {}
    for face in bench.group.faces:
        post, _, name = face.partition("/")
        rows.setdefault(post, []).append(name)
    return [f"{post}  {name}" for post, names in rows.items() for name in names]


def _columns(bench: Bench) -> tuple[int, float]:
    rows = _served_rows(bench)
    wide = max(width(row, 3.5) for row in rows) + 12.0
    count = max(1, int(bench.width // wide))
    return count, bench.width / count


def _served_height(bench: Bench) -> float:
    if bench.group.kind != "face":
        return 0.0
    rows, (count, _) = _served_rows(bench), _columns(bench)
    return 10.0 + ROW * -(-len(rows) // count)


def _served(bench: Bench, pen: Pen, top: float) -> float:
    """Every post and face that this sheet serves, each with a box to tick."""
    if bench.group.kind != "face":
        return top
    rows, (count, wide) = _served_rows(bench), _columns(bench)
    pen.text(1.0, top - 5.0, "SERVES (tick when drilled)", 3.5, ink=Ink.STRONG)
    lines = -(-len(rows) // count)
    for index, row in enumerate(rows):
        x, y = 1.0 + wide * (index // lines), top - 8.0 - ROW * (index % lines) - 4.5
        pen.box(x, y, x + 4.0, y + 4.0, Ink.TICK)
        pen.text(x + 6.0, y + 0.3, row, fitted(row, 3.5, wide - 8.0, 2.0))
    return top - _served_height(bench)


def _gauge_height(bench: Bench) -> float:
    return GAUGE + 6.0 if _rake_angle(bench) else 0.0


def _rake_angle(bench: Bench) -> float:
    """Angle of the slanting bores from square, in the vertical, radians; 0 where there are none."""
    slanting = [mark for mark in bench.marks if mark.purpose in ("cable", "wire") and abs(mark.axis.y) > 1e-6]
    if not slanting:
        return 0.0
    axis = slanting[0].axis
    return abs(asin(axis.y))


def _gauge(bench: Bench, pen: Pen, top: float) -> None:
    """A paper triangle with the bore's angle, to cut out, and a sketch of it against the post."""
    angle = _rake_angle(bench)
    y = top - 4.0
    long = min(88.0, (GAUGE - 6.0) / tan(angle))
    foot = y - GAUGE + 2.0
    high = long * tan(angle)
    pen.path(((2.0, foot), (2.0 + long, foot), (2.0, foot + high)), Ink.CUT, True)
    words = f"{degrees(angle):.1f}°"
    pen.text(
        5.0,
        foot + 2.0,
        f"ANGLE GAUGE {words}: CUT OUT",
        fitted(f"ANGLE GAUGE {words}: CUT OUT", 3.0, long * 0.66),
    )
    _sketch(bench, pen, 120.0, foot, angle)


def _sketch(bench: Bench, pen: Pen, x: float, bottom: float, angle: float) -> None:
    """Seen from the side: the post, this face on the left, the drill at its slope."""
    axis = next(m.axis for m in bench.marks if m.purpose in ("cable", "wire") and abs(m.axis.y) > 1e-6)
    up = 1.0 if axis.y > 0 else -1.0
    deep, middle = 18.0, bottom + 28.0
    pen.box(x, bottom + 2.0, x + deep, bottom + 54.0, Ink.EDGE)
    rise = up * tan(angle)
    pen.line(x, middle, x + deep, middle + deep * rise, Ink.HIDDEN)
    pen.line(x - 26.0, middle - 26.0 * rise, x - 1.0, middle - rise, Ink.DATUM)
    pen.line(x - 26.0, middle, x, middle, Ink.CENTRE)
    words = f"{'UP' if up > 0 else 'DOWN'} {degrees(angle):.1f}°"
    pen.text(x - 3.0, middle + (5.0 if up > 0 else -9.0), words, 4.0, "right", ink=Ink.STRONG)
    pen.text(x + deep / 2.0 + 1.2, bottom + 6.0, "POST", 3.0, "left", pi / 2.0)
    pen.text(x - 2.0, bottom + 49.0, "THIS FACE", 3.0, "right")
