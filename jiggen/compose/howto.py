"""What is marked on a sheet turned into the steps of its work, in order, for its datum, its rake and its drills."""

from __future__ import annotations

from collections.abc import Sequence

from jiggen.compose.bench import Bench, Strip
from jiggen.compose.gauge import gauges_height
from jiggen.compose.lettering import both, reading
from jiggen.compose.titles import bore_words
from jiggen.job.model import Bracket, Fitting
from jiggen.plan.drilling import SLANT, passes
from jiggen.plan.faces import AWAY
from jiggen.plan.model import Mark
from jiggen.plan.words import capitals, nominal, overlapping

TOWARD = "toward "  # begins the name of a face that looks at a neighbour
STRINGS = 3  # of the posts that a sheet serves are told with their neighbours


def steps(strip: Strip) -> list[str]:
    """The work in its order, for this sheet's datum, rake and drills."""
    _bench, marks = strip.first, [mark for one in strip.benches for mark in one.marks]
    found = [
        "Check the print: 0 to 100 on the page's rulers is 100 mm on your tape, both ways.",
        _seat_words(strip),
        _place_words(strip),
    ]
    if marks:
        own, last = last_mark(strip)
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
    found.extend(_lag_steps(strip))
    return found


def _lag_steps(strip: Strip) -> list[str]:
    """The wider hole that a lag screw's shank asks for: as wide as the shank (NDS 2018 12.1.4.2, from memory)."""
    job = strip.first.job
    pieces = {outline.what for bench in strip.benches for outline in bench.outlines}
    every: list[Fitting | Bracket] = [*job.fittings.values(), *job.brackets.values()]
    screws = [piece.screw for piece in every if piece.name in pieces]
    sizes = sorted({screw.shank for screw in screws if screw is not None and screw.kind == "lag"})
    return [
        f"Lag screws: where the shank has no thread, open the hole to {nominal(job, size)}, as deep as that part goes in."
        for size in sizes
    ]


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
            high = both(bench.job, bench.seat - bench.face.tread[0])
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


def last_mark(strip: Strip) -> tuple[Bench, Mark]:
    """The mark farthest from its datum, and its face."""
    every = [(bench, mark) for bench in strip.benches for mark in bench.marks]
    return max(every, key=lambda pair: pair[0].from_datum(pair[1]))
