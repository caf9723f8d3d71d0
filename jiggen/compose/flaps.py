"""The paper beyond a strip's outer edges: scales that centre it, what to drill, what it is for, where to tape."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from math import pi

from jiggen.compose.bench import Bench, Strip
from jiggen.compose.drilled import from_to, holes_of, on_every_page
from jiggen.compose.hatching import hatch
from jiggen.compose.lettering import both, wrapped
from jiggen.compose.space import Box, Space
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.job.model import Job
from jiggen.plan.faces import AWAY
from jiggen.plan.model import Group, Mark
from jiggen.plan.words import capitals, nominal, overlapping, slot_size

SCALE = 5  # edge scales read to +-5 mm
LONGEST = 105.0  # of a line along a flap, so that it stays on one page
APART = 4.0  # between blocks of words above one another, so that none is read with the next
ASIDE = 1.0  # between blocks beside one another
ZONE = 26.0  # length of a place for tape


def drill_words(benches: Sequence[Bench]) -> list[tuple[str, str]]:
    """Two short lines a group of marks with one drill: ("CABLE HOLES 1 TO 11", "DRILL 7/32 in, THROUGH"); of a hole in
    metal with what comes then: "DRILL 5 mm THROUGH WALL 3.0 mm, TAP M6"."""
    return [(which, how) for which, how, _ in _drilled(benches)]


def _drilled(benches: Sequence[Bench]) -> Iterator[tuple[str, str, str]]:
    """Both lines of each group and its drill's name."""
    groups: dict[tuple[str, str, str, str], list[Mark]] = {}
    for mark in (mark for bench in benches for mark in bench.marks):
        groups.setdefault(
            (holes_of(mark), mark.drill.name, _how(benches[0].job, mark), _then(benches[0].job, mark)), []
        ).append(mark)
    for (what, drill, how, then), marks in groups.items():
        which = from_to(list(dict.fromkeys(mark.label for mark in marks)))
        yield f"{what} {which}", f"DRILL {drill}{how}{then}", drill


def _how(job: Job, mark: Mark) -> str:
    """How deep, as it stands after the drill's name."""
    if mark.wall:
        return f" THROUGH WALL {nominal(job, mark.wall)}"
    return ", THROUGH" if mark.through else f", {both(job, round(mark.depth, 1))} DEEP"


def _then(job: Job, mark: Mark) -> str:
    """What comes after drilling, in capitals but for a thread's name."""
    if mark.tap:
        return f", TAP {mark.tap}"
    if mark.clears:
        return f", CLEARANCE FOR {mark.clears}"
    if mark.meets and not mark.wall:
        return ", TO MEET THE OTHER FACE'S BORE"
    if any(mark.replaces):
        return ", ROUND HOLE FOR SLANTING CABLE"
    if not mark.slotted:
        return ""
    size = f"SLOT {slot_size(job, mark.diameter, mark.slotted)}"
    return f", {size}: ONE END, FILE TO THE LINE" if overlapping(mark) else f", {size}: BOTH ENDS, FILE BETWEEN"


def edge_scales(strip: Strip, pen: Pen, space: Space, bottom: float, top: float) -> None:
    """Scales of +-5 mm across both outer edges: equal readings left and right centre the sheet."""
    left, right = strip.left, strip.right
    count = max(2, min(6, int((top - bottom) // 130.0) + 1))
    for index in range(count):
        wanted = top - 9.0 - index * (top - bottom - 20.0) / (count - 1)
        heights = [wanted + step for step in (0, -4, 4, -8, 8, -12, 12, -16, 16, -22, 22)]
        fits = [
            y
            for y in heights
            if bottom + 4.0 < y < top - 5.0
            and all(space.free(Box(x - 6.0, y - 3.4, x + 6.0, y + 2.5)) for x in (left, right))
        ]
        if fits:
            for x in (left, right):
                _edge_scale(pen, x, fits[0])
                space.take(Box(x - 6.0, fits[0] - 3.6, x + 6.0, fits[0] + 2.7))


def _edge_scale(pen: Pen, x: float, y: float) -> None:
    pen.line(x - SCALE, y, x + SCALE, y, Ink.TICK)
    for step in range(-SCALE, SCALE + 1):
        size = 2.2 if step % 5 == 0 else 1.2
        pen.line(x + step, y, x + step, y + size, Ink.TICK)
    pen.text(x - SCALE, y - 2.8, "5", 2.0, "middle")
    pen.text(x + SCALE, y - 2.8, "5", 2.0, "middle")


def flaps(strip: Strip, pen: Pen, space: Space, bottom: float, top: float, joins: Sequence[Box] = ()) -> None:
    """Drill names and the sheet's name along the flaps, where to fold and where to tape; on every page between ``joins``
    the drills of its holes."""
    left, right, room = strip.left, strip.right, strip.width
    fold = (
        "WRAP, EDGES MEET" if strip.girth else "FOLD AT EVERY EDGE" if len(strip.folds) > 2 else "FOLD BOTH FLAPS BACK"
    )
    told: list[tuple[str, Box]] = []
    for which, how, drill in _drilled(strip.benches):
        box = _upright(pen, space, (0.0, left), (which, how), bottom, top)
        told += [(drill, box)] if box else []
    _upright(pen, space, (right, room), (_name(strip.first), f"{strip.first.group.id}  {fold}"), bottom, top)
    on_every_page(strip, pen, space, joins, told)
    if not strip.girth:
        for x1, x2 in ((2.0, left - 3.0), (right + 3.0, room - 2.0)):
            _tape_zones(pen, space, x1, x2, bottom, top)


def _name(bench: Bench) -> str:
    """What the sheet is for, short, so that it stays on the post when the band is cut off."""
    if bench.group.kind == "practice":
        return "PRACTICE"
    return capitals("; ".join(served(bench.group)))


@lru_cache(maxsize=64)  # a sheet asks some times, of hundreds of posts perhaps
def served(group: Group) -> Sequence[str]:
    """Each post with the neighbours that its faces look at: "3 toward 2 and 4"."""
    found: dict[str, list[str]] = {}
    for face in group.faces:
        post, _, name = face.rpartition("/")
        if not name.startswith("side"):  # a bare side between two faces is named on itself alone
            found.setdefault(post, []).append(name)
    return tuple(f"{post} {_looks(names)}" for post, names in found.items())


def _looks(names: Sequence[str]) -> str:
    """What the faces of a post look at: "toward 2 and 4", and where studs come out "toward 2, away from 2"."""
    seen = " and ".join(name for name in names if not name.startswith(AWAY)).replace("and toward", "and")
    out = " and ".join(name for name in names if name.startswith(AWAY)).replace(f"and {AWAY}", "and ")
    return ", ".join(words for words in (seen, out) if words)


def _upright(
    pen: Pen, space: Space, flap: tuple[float, float], lines: Sequence[str], bottom: float, top: float
) -> Box | None:
    """A block of lines that reads from below, as high up in a flap and as near to the fold as there is room; returns what
    it takes, None where there is no room."""
    inner = flap[1] if flap[0] == 0.0 else flap[0]
    side = -1 if flap[0] == 0.0 else 1
    blocks = [(high, [part for line in lines for part in _broken(line, high)]) for high in (5.0, 4.0, 3.2, 2.6)]
    for high, block in (*blocks, (2.6, list(lines))):
        deep = len(block) * high * 1.35 - high * 0.35
        if deep > flap[1] - flap[0] - 4.0:
            continue
        long = max(width(line, high) for line in block)
        for y in range(int(top - 14.0 - long), int(bottom) + 3, -5):
            for away in (3.0, 3.0 + deep + 2.0, 3.0 + 2.0 * deep + 4.0):
                start = inner + away if side > 0 else inner - away - deep
                box = Box(start, y - 1.0, start + deep, y + long + 1.0)
                if box.left > flap[0] + 0.6 and box.right < flap[1] - 0.6 and space.free(box):
                    for index, line in enumerate(block):
                        x = start + high + index * high * 1.35
                        pen.text(x, float(y), line, high, angle=pi / 2.0, ink=Ink.STRONG)
                    space.take(Box(box.left - ASIDE, box.bottom - APART, box.right + ASIDE, box.top + APART))
                    return box
    return None


def _broken(line: str, high: float) -> list[str]:
    """A line in as many as it takes for each to stay on one page: broken between what is done first and what then, no
    size in two."""
    parts: list[str] = []
    for piece in line.replace(" THROUGH WALL", "\nTHROUGH WALL").replace(", ", ",\n").replace("; ", ";\n").split("\n"):
        if parts and width(f"{parts[-1]} {piece}", high) <= LONGEST:
            parts[-1] = f"{parts[-1]} {piece}"
        else:
            parts.append(piece)
    return [words for part in parts for words in wrapped(part, high, LONGEST)]


def _tape_zones(pen: Pen, space: Space, x1: float, x2: float, bottom: float, top: float) -> None:
    """Hatched places for tape, off the marks: near the top, in the middle, near the bottom."""
    for wanted in (top - 18.0, (top + bottom) / 2.0 + ZONE / 2.0, bottom + 4.0 + ZONE):
        choices = _zone_choices(wanted, x1, x2, bottom, top)
        box = next((choice for choice in choices if space.free(choice)), None)
        if box is not None:
            _tape_zone(pen, box)
            space.take(box.grown(1.0))


def _zone_choices(wanted: float, x1: float, x2: float, bottom: float, top: float) -> Iterator[Box]:
    """Boxes to try, nearest to the wanted top first: the flap's width, then its outer part, then its inner part."""
    narrow = min(12.0, x2 - x1)
    outer, inner = (x1, x2 - narrow) if x1 < 3.0 else (x2 - narrow, x1)
    for step in range(0, 120, 4):
        for y in (wanted - step, wanted + step):
            if bottom + 2.0 < y - ZONE and y < top - 2.0:
                yield Box(x1, y - ZONE, x2, y)
                yield Box(outer, y - ZONE, outer + narrow, y)
                yield Box(inner, y - ZONE, inner + narrow, y)


def _tape_zone(pen: Pen, box: Box) -> None:
    pen.box(*box, Ink.HATCH)
    hatch(pen, box, 4.0)
    middle = (box.left + box.right) / 2.0
    long = width("TAPE", 2.5)
    pen.text(middle + 1.25, (box.bottom + box.top) / 2.0 - long / 2.0, "TAPE", 2.5, angle=pi / 2.0)
