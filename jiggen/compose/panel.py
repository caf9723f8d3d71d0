"""The foot of a sheet, to read and to keep: check squares, how to drill, posts served, angle gauge, cautions."""

from __future__ import annotations

from collections.abc import Sequence

from jiggen.compose.band import WIDTH, as_built_words, end_words
from jiggen.compose.bench import Bench, Strip
from jiggen.compose.clear import windows
from jiggen.compose.flaps import drill_words
from jiggen.compose.gauge import gauges, gauges_height
from jiggen.compose.lettering import both, draw_reading, paragraph, reading, reading_width, wrapped
from jiggen.compose.titles import bore_words
from jiggen.drawing.lettering import fitted, width
from jiggen.drawing.scene import Ink, Pen
from jiggen.plan.drilling import SLANT, passes
from jiggen.plan.faces import AWAY
from jiggen.plan.model import Mark
from jiggen.plan.words import capitals, overlapping
from jiggen.units import MM_PER_INCH

SQUARE = 4.0 * MM_PER_INCH
TEXT = 3.0
ROW = 6.5
COLUMN = 49.0  # width of the right column where there are several pages side by side
TOWARD = "toward "  # begins the name of a face that looks at a neighbour
STRINGS = 3  # of the posts that a sheet serves are told with their neighbours

WOOD = "Treated wood: dust mask and gloves, never burn the waste."
METAL = "Metal: clamp the post, slow speed, cutting oil. Chips are sharp and hot: brush them off, deburr both rims."
CAUTIONS = (
    "Eye protection (ANSI/ISEA Z87.1, or your country's standard) when drilling and cutting.",
    WOOD,
    "Strand springs open and its cut ends are sharp: gloves, tape the cut.",
    "Posts, anchorage and rails carry what the cables pull: a licensed designer decides, the local code holds.",
)


def panel_height(strip: Strip) -> float:
    """Height of the panel, mm."""
    served = 0.0 if _served_inside(strip) else _served_height(strip)
    return 21.0 + max(SQUARE + 5.0, _column_height(strip)) + served + gauges_height(strip)


def panel(strip: Strip, pen: Pen, top: float) -> list[tuple[float, float]]:
    """Draw the panel with its upper edge at ``top``; returns from where to where each of its parts reaches."""
    pen.text(2.0, top - 11.5, "KEEP THIS PART TO READ", 4.0, ink=Ink.STRONG)
    y = top - 15.0
    _squares(strip, pen, y)
    _column(strip, pen, _column_place(strip), y)
    y -= max(SQUARE + 5.0, _column_height(strip))
    squares = y
    if _served_inside(strip):
        _served(strip, pen, top - 15.0 - SQUARE - 1.0 + 5.0 + _served_height(strip, True))
    else:
        y = _served(strip, pen, y)
    parts = [(y if squares - y < 40.0 else squares, top)]
    parts += gauges(strip, pen, y)
    return parts


def _squares(strip: Strip, pen: Pen, top: float) -> None:
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
    high = text_height(strip)
    for number, step in enumerate(steps(strip), 1):
        y = paragraph(pen, left + 2.0, y, f"{number}  {step}", high, 96.0, 4.5) - 0.6


def text_height(strip: Strip) -> float:
    """Height of the steps' lettering: as large as fits the squares, with the boxes to tick where those fit too."""
    served, found = _served_height(strip, True), steps(strip)
    for high in (3.0, 2.8, 2.6, 2.5) if served else ():
        if _steps_height(found, high) + served < 86.0:
            return high
    return next((high for high in (3.0, 2.8, 2.6, 2.5, 2.3, 2.1) if _steps_height(found, high) < 86.0), 2.0)


def _steps_height(found: Sequence[str], high: float) -> float:
    """How much of the squares' height the steps take at a height of lettering, mm."""
    lines = sum(len(wrapped(f"0  {step}", high, 91.5)) for step in found)
    return lines * high * 1.55 + 0.6 * len(found)


def steps(strip: Strip) -> list[str]:
    """The work in its order, for this sheet's datum, rake and drills."""
    _bench, marks = strip.first, [mark for one in strip.benches for mark in one.marks]
    found = [
        "Check the print: 0 to 100 on the page's rulers is 100 mm on your tape, both ways.",
        _seat_words(strip),
        _place_words(strip),
    ]
    if marks:
        own, last = _last(strip)
        told = both(own.job, own.from_datum(last))
        found.append(f"MEASURE AFTER TAPING: datum to mark {last.label} is {told}.")
    if any(
        reading(one.job, one.from_datum(mark)).signed.endswith(("+", "-"))
        for one in strip.benches
        for mark in one.marks
    ):
        found.append("+ or - after a reading: the mark is a little beyond it or short of it; the mm below are exact.")
    outlined = any(one.outlines for one in strip.benches)
    found.append(
        "Punch the middle of every cross." + (" Lay the real fitting on its outline first." if outlined else "")
    )
    found.extend(_through_steps(strip))
    if any(mark.wall for mark in marks):
        several = sum(any(mark.wall for mark in bench.marks) for bench in strip.benches) > 1
        alone = (
            "each face alone, the far wall from its own marks"
            if several
            else "this face alone, the far wall from its own sheet"
        )
        found.append(f"Hollow post: drill through the wall of {alone}. Deburr.")
    found.extend(_turning_steps(strip, marks))
    found.extend(_bore_steps(strip))
    found.extend(_metal_steps(marks))
    if any(_square_on_a_slope(bench, mark) for bench in strip.benches for mark in bench.marks):
        found.append("Drill the cable holes square to the face; they are large enough for the slope.")
    if any(mark.purpose in ("screw", "bracket") and not mark.through for mark in marks):
        found.append("Screw holes go in square to the face; set the drill stop to the depth on the flap.")
    return found


def _through_steps(strip: Strip) -> list[str]:
    """How holes right through a solid post are drilled: from both ends where both are marked, else from this face alone."""
    every = [
        bool(mark.other)
        for bench in strip.benches
        for mark in bench.marks
        if mark.through and not mark.wall and not mark.clears and not mark.tap
    ]
    if every and strip.first.group.kind == "practice":
        return ["Through holes: drill right through, a board clamped behind."]
    found = ["Through holes: drill from both faces to meet in the middle."] if any(every) else []
    if not all(every):
        others = "Other through holes" if found else "Through holes"
        found.append(f"{others}: drill from here alone, the far end is not marked. Clamp a board behind, it splinters.")
    if any(outline.purpose == "ring" for bench in strip.benches for outline in bench.outlines):
        found.append("Round outlines: nut and washer, where the stud comes out.")
    elif any(bench.marks and bench.face.name.startswith(AWAY) for bench in strip.benches):
        found.append("Holes of a face AWAY FROM a post: where the studs come out; no fitting is laid on there.")
    return found


def _turning_steps(strip: Strip, marks: Sequence[Mark]) -> list[str]:
    """What bores ask for whose cables are led on round the post."""
    turning = [mark for mark in marks if mark.meets and strip.first.group.kind != "practice"]
    if not turning:
        return []
    where = "The cables turn in this post" + (
        "." if turning[0].wall else ": set the drill stop to the depth on the flap."
    )
    if turning[0].wall:
        return [f"{where} Round the edge of each hole off where the cable bears on it, on the inside of the turn."]
    return [f"{where} This bore and the other face's run into each other in the middle, where the cable bends."]


def _square_on_a_slope(bench: Bench, mark: Mark) -> bool:
    """Whether a raked cable passes by a plain hole that is drilled square."""
    plain = not mark.slotted and not any(mark.replaces) and bench.post.kind.grommet is None
    return bench.raked and plain and (passes(bench.face, mark) or mark.meets != "") and mark.axis.z > 1.0 - 1e-9


def _metal_steps(marks: Sequence[Mark]) -> list[str]:
    """What a thread, a bolt's hole, a slot or the round hole in its place asks for."""
    found = []
    for thread in dict.fromkeys(mark.tap for mark in marks if mark.tap):
        found.append(f"Tap {thread} square to the face, with cutting oil.")
    for thread, wall in dict.fromkeys((mark.clears, mark.wall) for mark in marks if mark.clears):
        if wall:
            found.append(
                f"Clearance holes: {thread} takes no thread in this wall; set a rivet nut, drilled as its maker says."
            )
        else:
            found.append(f"{thread} holes: drill square right through the post; nut and washer behind.")
    if any(any(mark.replaces) for mark in marks):
        found.append(
            "Cable holes: drill square. They are round and larger than the cable, so that it can slant in the wall."
        )
    slotted = [mark for mark in marks if mark.slotted]
    if any(overlapping(mark) for mark in slotted):
        found.append(
            "Slots: drill square at the upper cross alone, file or mill to the drawn line: a second hole walks."
        )
    elif slotted:
        found.append("Slots: drill square at both end crosses, then file what is between them out.")
    return found


def _seat_words(strip: Strip) -> str:
    bench = strip.first
    if bench.group.kind == "practice":
        return "Tape the sheet on an offcut and drill it like a post."
    if bench.datum == "underside":
        over = bench.line.guard.rail.sits == "over"
        place = "the underside of the rail" + (", level with the post's top" if over else "")
        if not over and not strip.railed:
            high = both(bench.job, bench.seat - bench.face.tread)
            line = f"pencilled {high} over the walking surface here, as high as the underside of the rail"
            return f"Cut along the thick line; what is above it falls off. Hold that edge on a line {line}."
        notch = " and cut the bracket's notch out" if any(one.notches for one in strip.benches) else ""
        return f"Cut along the thick line{notch}; what is above it falls off. Hold that edge tight against {place}."
    if bench.datum == "height line":
        return "Cut along the thick line. Hold that edge on the pencilled height line (top of the rail to be)."
    return "Cut along the thick line. Stand that edge on the walking surface at this face."


def _place_words(strip: Strip) -> str:
    """What brings the sheet into its place sideways: flaps and edge scales, the folds of a strip, a pipe's plumb line."""
    scales = "Equal readings of the post's edges on the edge scales"
    if strip.girth:
        return f"{_plumb_words(strip)} The paper's edges meet on the top pages: else measure the post. Tape."
    if len(strip.folds) > 2:
        corners = "its rounded corners, a fold where each rounding begins and ends" if strip.arcs else "its corners"
        return f"Fold at every fold line. Lay the folds on the post, at {corners}. {scales} are the check. Tape."
    return f"Fold both flaps back. {scales} centre the sheet. Tape."


def _plumb_words(strip: Strip) -> str:
    """How a round post's sheet finds its place: a plumb line where the post faces a neighbour, and which line goes on it."""
    group = strip.first.group
    index, bench = next(
        (pair for pair in enumerate(strip.benches) if pair[1].face.name.startswith(TOWARD)), (0, strip.first)
    )
    ways = [face.partition(f"/{TOWARD}") for face in group.faces[index :: group.drawn]]
    lay = f"{capitals(bench.face.name)} on it."
    if len(ways) == 1:
        post, _, other = ways[0]
        return f"String {post} to {other}; pencil a plumb line down {post} where it faces {other}. Lay the line {lay}"
    strings = "; ".join(f"{post} to {other}" for post, _, other in ways[:STRINGS])
    more = "; ..." if len(ways) > STRINGS else ""
    return f"String {strings}{more}; pencil a plumb line down the first of each two where it faces the other. Lay the line {lay}"


def _bore_steps(strip: Strip) -> list[str]:
    found = []
    for bench in strip.benches:
        words = bore_words(bench)
        if words:
            place = "this face" if len(strip.benches) == 1 else bench.face.name
            gauge = ", by the paper gauge at the foot of this sheet" if gauges_height(strip) else ""
            found.append(f"Slanting holes: {' and '.join(words).lower()} from {place}{gauge}.")
        found += _comes_out(bench) if bench.group.kind == "practice" else []
    return found


def _comes_out(bench: Bench) -> list[str]:
    """Where a slanting hole of the practice piece has to come out of an offcut as thick as its post."""
    found: dict[str, list[str]] = {}
    for mark in bench.marks:
        if mark.purpose == "cable" and mark.through and not mark.wall and abs(mark.axis.y) > SLANT:
            thick, off = both(bench.job, mark.depth * mark.axis.z), both(bench.job, abs(mark.depth * mark.axis.y))
            way = "higher" if mark.axis.y > 0.0 else "lower"
            words = f"out of an offcut {thick} thick it must come {off} {way} than it goes in"
            found.setdefault(words, []).append(mark.label)
    return [f"Measure hole {' and '.join(labels)}: {words}." for words, labels in found.items()]


def _last(strip: Strip) -> tuple[Bench, Mark]:
    """The mark farthest from its datum, and its face."""
    every = [(bench, mark) for bench in strip.benches for mark in bench.marks]
    return max(every, key=lambda pair: pair[0].from_datum(pair[1]))


def _column_place(strip: Strip) -> tuple[float, float]:
    """Where the right column begins and how wide it is: beside the squares, or beyond a join that would narrow it."""
    x, end = SQUARE + 6.0, WIDTH if strip.width > 184.5 else strip.width
    join = next((at for at in strip.joins if SQUARE + 1.0 < at < end), None)
    if join is None:
        return x, end - x - 1.0
    beyond = max(join + 2.0, x)
    after = min((at for at in strip.joins if at > join), default=strip.width)
    here, there = join - x - 2.0, min(after - beyond - 2.0, COLUMN)
    return (x, here) if here >= min(there, COLUMN - 2.0) else (beyond, there)


def _column(strip: Strip, pen: Pen, place: tuple[float, float], top: float) -> float:
    """The right column: this end, measure box, drills, cautions; returns the y under it."""
    (x, room), y = place, top - 1.0
    for words in end_words(strip.first) if len(strip.benches) == 1 else ():
        size = fitted(words, 5.0, room, 3.0)
        pen.text(x, y - size, words, size, ink=Ink.STRONG)
        y -= size + 3.0
    y = _measure_box(strip, pen, x, y, room)
    for which, how in drill_words(strip.benches):
        y = paragraph(pen, x, y, f"{which}: {how}", TEXT, room, 3.0) - 1.0
    y -= 1.0
    for words in _warnings(strip):
        y = paragraph(pen, x, y, words, TEXT, room) - 1.0
    y -= 1.0
    pen.text(x, y - 3.5, "CAUTIONS", 3.5, ink=Ink.STRONG)
    y -= 6.0
    metal = strip.first.post.kind.material.kind == "metal"
    for words in (METAL if metal and caution is WOOD else caution for caution in CAUTIONS):
        y = paragraph(pen, x, y, words, 2.5, room, 2.0) - 0.6
    return y


def _column_height(strip: Strip) -> float:
    scratch = Pen()
    return -_column(strip, scratch, _column_place(strip), 0.0) + 2.0


def _measure_box(strip: Strip, pen: Pen, x: float, y: float, room: float) -> float:
    if not any(bench.marks for bench in strip.benches):  # a round post's sheet without room for cables
        return y
    bench, last = _last(strip)
    found = reading(bench.job, bench.from_datum(last))
    y = paragraph(pen, x, y, f"MEASURE AFTER TAPING: datum to mark {last.label}", TEXT, room)
    draw_reading(pen, x, y - 5.0, found, 5.0)
    start = x + reading_width(found, 5.0) + 4.0
    pen.box(start, y - 10.0, x + min(room, start - x + 34.0), y, Ink.TICK)
    pen.text(start + 1.0, y - 3.0, "I read", 2.0)
    return y - 14.0


def _warnings(strip: Strip) -> list[str]:
    """What a raked sheet on another datum says in capitals, and what the rail in place hides."""
    found: list[str] = []
    first = strip.first
    if first.group.kind == "practice":
        return found
    found += as_built_words(first)
    if first.raked:
        found.append("RAKED: THIS FACE HAS ITS OWN LINE. A LINE SQUARED ROUND THE POST IS WRONG ON THE OTHER FACE.")
    named = dict.fromkeys(tuple(bench.named(outline).items()) for bench in strip.benches for outline in bench.outlines)
    for pieces in named:
        if len(pieces) > 1:
            told = "; ".join(f"{what} on post{'s' * (len(on) > 1)} {', '.join(on)}" for what, on in pieces)
            found.append(f"THE OUTLINE STANDS FOR: {told}.")
    for bench in strip.benches if first.datum == "height line" else ():
        high = both(bench.job, bench.seat - bench.face.tread)
        found.append(f"HEIGHT LINE {capitals(bench.face.name)}: {high} OVER THE WALKING SURFACE AT THIS FACE.")
    return found


def _served_rows(strip: Strip) -> list[str]:
    rows: dict[str, list[str]] = {}
    for face in strip.first.group.faces:
        post, _, name = face.rpartition("/")
        if not name.startswith("side"):
            rows.setdefault(post, []).append(name)
    return [f"{post}  {name}" for post, names in rows.items() for name in names]  # one box a face


def _columns(strip: Strip, inside: bool) -> tuple[list[float], float]:
    """Where each column of boxes to tick begins, none across a join, and how wide it is: in the squares or below."""
    wide = max(width(row, 3.5) for row in _served_rows(strip)) + 12.0
    found: list[float] = []
    for low, high in ((2.0, 98.0),) if inside else windows(strip.joins, 0.0, strip.width):
        count = int((high - low + 1.0) // wide)
        found += [low + 1.0 + (high - low) / count * index for index in range(count)]
    return (found, wide) if found else ([1.0], strip.width)


def _served_height(strip: Strip, inside: bool = False) -> float:
    if strip.first.group.kind == "practice":
        return 0.0
    rows, (columns, _) = _served_rows(strip), _columns(strip, inside)
    return 10.0 + ROW * -(-len(rows) // len(columns))


def _served_inside(strip: Strip) -> bool:
    """Whether the boxes to tick have room under the steps, inside the squares."""
    if strip.first.group.kind == "practice":
        return False
    high = text_height(strip)
    return _steps_height(steps(strip), high) + _served_height(strip, True) < 86.0


def _served(strip: Strip, pen: Pen, top: float) -> float:
    """Every post and face that this sheet serves, each with a box to tick."""
    if strip.first.group.kind == "practice":
        return top
    inside = _served_inside(strip)
    rows, (columns, wide) = _served_rows(strip), _columns(strip, inside)
    pen.text(3.0 if inside else 1.0, top - 5.0, "SERVES (tick when drilled)", 3.5, ink=Ink.STRONG)
    lines = -(-len(rows) // len(columns))
    for index, row in enumerate(rows):
        x, y = columns[index // lines], top - 8.0 - ROW * (index % lines) - 4.5
        pen.box(x, y, x + 4.0, y + 4.0, Ink.TICK)
        pen.text(x + 6.0, y + 0.3, row, fitted(row, 3.5, wide - 8.0, 2.0))
    return top - _served_height(strip, inside)
