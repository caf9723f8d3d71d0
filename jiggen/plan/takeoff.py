"""The placed guard turned into what to cut, buy and pull: cable lengths, hardware, tension order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from math import ceil, fsum

from jiggen.handbook.woods import frame_expansion
from jiggen.job.model import Job
from jiggen.mechanics.hang import hang_columns
from jiggen.mechanics.heat import heated
from jiggen.mechanics.stretch import per_quarter_turn, travel_needed
from jiggen.mechanics.stretch import turns as turns_for
from jiggen.plan.drilling import drillings, each_mark, passes
from jiggen.plan.faces import View
from jiggen.plan.holes import hollow_wall
from jiggen.plan.loads import Load, Strung
from jiggen.plan.marks import pivot_point
from jiggen.plan.model import Post, RunLine
from jiggen.plan.pulls import DAYS
from jiggen.plan.rails import rail_cuts
from jiggen.plan.shop import CableCut, Pulling, Takeoff
from jiggen.plan.spools import Buying, buy
from jiggen.plan.words import cut_label
from jiggen.units import mm_text

SPARE = "spare"  # label of the one cable more


def take_off(
    job: Job,
    lines: Sequence[RunLine],
    ends: Mapping[str, tuple[View, View]],
    posts: Sequence[Post],
    loads: Mapping[str, Load],
    buying: bool = True,
) -> Takeoff:
    """What to cut, buy, pack and pull. ``ends``: the two end views of each run; ``loads``: of each run with cables;
    ``buying``: which spools to buy too, which takes longest."""
    by_id = {post.id: post for post in posts}
    heads = [line for line in lines if line.head == line.id]
    cables = tuple(
        CableCut(
            line.id, number, whole_length(job, [(ends[leg.id], leg.drops[number - 1]) for leg in legs_of(line, lines)])
        )
        for line in heads
        for number in range(1, len(line.drops) + 1)
        if all(leg.drops for leg in legs_of(line, lines))
    )
    return Takeoff(
        cables,
        _hardware(lines, posts),
        tuple((line.id, tension_order(len(line.drops))) for line in heads),
        _buying(job, cables) if buying else None,
        drillings(posts),
        tuple(rail for line in lines for rail in rail_cuts(line, lines, by_id)),
        tuple(_pulling(job, line, loads[line.id].strung) for line in lines if line.id in loads),
        _taps(posts),
        _slots(posts),
    )


def rounded_up(job: Job, length: float) -> float:
    """A length to cut: the next whole step of the job's readings, mm."""
    return ceil(length / job.round_to - 1e-6) * job.round_to


def spares(count: int) -> int:
    """How many to buy beyond the count: one in twenty, at least one (common practice, no source)."""
    return max(1, ceil(count / 20.0))


def _buying(job: Job, cables: Sequence[CableCut]) -> Buying | None:
    """Spools for every cable and one spare of the longest, by their labels."""
    cuts = {cut_label(cut.run, cut.cable): rounded_up(job, cut.length) for cut in cables}
    if cuts:
        cuts[SPARE] = max(cuts.values())
    return buy(cuts, job.cable.spools)


def _taps(posts: Sequence[Post]) -> tuple[tuple[str, int], ...]:
    """Every thread to be cut with the holes that it is cut in, the thin ones first."""
    count: Counter[tuple[float, str]] = Counter()
    for post in posts:
        for face in post.faces:
            count.update((mark.body, mark.tap) for mark in face.marks if mark.tap)
    return tuple((thread, holes) for (_, thread), holes in sorted(count.items()))


def _slots(posts: Sequence[Post]) -> tuple[tuple[str, str, int], ...]:
    """Every size of slot with its drill and how many there are; in a tube each wall has its own."""
    count: Counter[tuple[str, str]] = Counter()
    for post in posts:
        for _, mark, went_in in each_mark(post):
            if mark.slotted and (went_in is None or hollow_wall(post.kind)):
                count[(f"{mm_text(mark.diameter)} x {mm_text(mark.slotted)}", mark.drill.name)] += 1
    return tuple((*key, holes) for key, holes in sorted(count.items()))


def _pulling(job: Job, line: RunLine, held: Strung) -> Pulling:
    """Where to turn, where the spool stands (common practice, no source), and the hang test by the day's temperature."""
    posts = line.led.posts if line.led else (line.posts[0], line.posts[-1])
    ends = tuple((post, job.fittings[name]) for post, name in zip(posts, line.fitted, strict=True))
    adjustable = tuple(post for post, fitting in ends if fitting.travel > 0.0)
    fixed = tuple(post for post, fitting in ends if fitting.travel <= 0.0)
    spool = adjustable[-1] if adjustable else posts[-1]
    feed = posts[0] if spool == posts[-1] else posts[-1]
    turns = next((fitting.takes_up for _, fitting in ends if fitting.takes_up), None)
    cable = job.cable
    asked = travel_needed(held.pulled, held.total, held.stiffness, cable.strand.stretch)
    together = fsum(fitting.takes_up or 0.0 for _, fitting in ends)
    return Pulling(
        line.id,
        adjustable,
        fixed,
        spool,
        feed,
        per_quarter_turn(turns, held.total, held.stiffness) if turns else None,
        _hung(job, line, held),
        asked,
        fsum(fitting.travel for _, fitting in ends),
        turns_for(asked, together) if together else None,
    )


def _hung(job: Job, line: RunLine, held: Strung) -> tuple[tuple[float, float, float, float, float], ...]:
    """The hang test on four days from the coldest to the hottest; a day that leaves the cable slack is left out."""
    cable, frame = job.cable, frame_expansion(job.cable.frame) or 0.0
    pulled = (held.tension, held.stiffness, cable.strand.expansion, frame)
    days = [cable.coldest + (cable.hottest - cable.coldest) * part / (DAYS - 1) for part in range(DAYS)]
    columns = hang_columns(
        [day for day in days if heated(*pulled, day - cable.install_temperature) > 0.0],
        cable.install_temperature,
        cable.hang_weight,
        held.bay,
        held.tension,
        held.stiffness,
        held.total,
        cable.strand.expansion,
        frame,
        abs(line.rake),
    )
    return tuple((c.temperature, c.tension, c.sag, *c.go) for c in columns)


def whole_length(job: Job, legs: Sequence[tuple[tuple[View, View], float]]) -> float:
    """Length of one cable over all runs that it goes through, each with its two end views and the cable's drop there, mm.

    Between the pivots (or faces) in 3D, less setback - pivot at each end, plus trim; round a post it is measured to where
    the legs meet on the post's axis. Inside a hollow post it goes straight from hole to hole: what is cut is longer by that
    corner, and never short.
    """
    length = job.cable.trim
    for views, drop in legs:
        places = []
        for view in views:
            if not view.fitting:
                places.append(view.line.at_end(view.index, drop))
                continue
            fitting = job.fittings[view.fitting]
            places.append(pivot_point(view, fitting, drop))
            length -= fitting.setback - (fitting.pivot[0] if fitting.pivot else 0.0)
        length += places[0].minus(places[1]).length()
    return length


def legs_of(line: RunLine, lines: Sequence[RunLine]) -> Sequence[RunLine]:
    """The runs that the cables of a run go through, it among them, in their order along the cables."""
    if line.led is None:
        return [line]
    by_id = {one.id: one for one in lines}
    return [by_id[name] for name in line.led.runs]


def tension_order(count: int) -> tuple[int, ...]:
    """Cable numbers from the middle outwards (common practice, no source)."""
    middle = (count + 1) / 2.0
    return tuple(sorted(range(1, count + 1), key=lambda number: (abs(number - middle), number)))


def _hardware(lines: Sequence[RunLine], posts: Sequence[Post]) -> tuple[tuple[str, int], ...]:
    items: Counter[str] = Counter()
    for line in lines:
        for _, name in line.screwed:
            items[name] += len(line.drops)
    for post in posts:
        if post.role == "spacer":
            items[f"spacer bar, {post.kind.name}"] += 1
        for face in post.faces:
            for outline in face.outlines:
                if outline.purpose == "bracket":
                    items[outline.what] += 1
            for mark in face.marks:
                if mark.purpose in ("screw", "bracket"):
                    items[mark.what.rpartition(", ")[2]] += 1
                    if mark.clears and mark.through and not mark.wall:
                        items[f"nut and washer {mark.clears}"] += 1
        if post.kind.grommet is not None:
            items["grommet"] += sum(passes(face, mark) for face in post.faces for mark in face.marks)
    return tuple(sorted(items.items()))
