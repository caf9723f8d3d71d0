"""A Plan turned into lines of text for a terminal 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import degrees
from textwrap import wrap

from jiggen.job.model import Job
from jiggen.plan.drilling import holes_words
from jiggen.plan.loads import Load
from jiggen.plan.model import Mark, Plan, PostFace, RunLine
from jiggen.plan.rails import end_words
from jiggen.plan.takeoff import DAYS, rounded_up
from jiggen.plan.words import cut_label, end_holes, how_deep, length, long_length, worked
from jiggen.units import N_PER_LBF, feet, mm_text, tape

WIDTH = 80


def report(plan: Plan, sheets: Sequence[str]) -> list[str]:
    """The plan, readable: runs, posts, drill list, cables. ``sheets``: a line a sheet."""
    lines = [plan.job.name, f"{plan.job.rules.title}   fingerprint {plan.fingerprint}", ""]
    for run in plan.runs:
        lines.extend(_run(plan, run))
    lines.extend(
        [
            "SHEETS",
            *(
                part
                for words in sheets
                for part in wrap(words, WIDTH - 2, initial_indent="  ", subsequent_indent="      ")
            ),
            "",
        ]
    )
    for group in plan.groups:
        lines.extend(_face(plan, group.id, plan.face_by_id[group.faces[0]]))
    lines.extend(_cables(plan))
    lines.extend(_pulling(plan))
    lines.extend(["HARDWARE", *(f"  {count:5d}  {item}" for item, count in plan.takeoff.hardware), ""])
    packed = [f"  {d.drill:<10} {holes_words(d)}" for d in plan.takeoff.drills]
    packed += [f"  tap {name:<6} {holes} holes" for name, holes in plan.takeoff.taps]
    packed += [f"  slots: {holes} of {size} mm, by drill {name}" for size, name, holes in plan.takeoff.slots]
    lines.extend(["DRILLS TO PACK", *packed, ""])
    return [*lines, "RAILS, along the underside; plumb and mitre: off square", *_rails(plan)]


def _rails(plan: Plan) -> Iterator[str]:
    """Every rail with its two cuts; both are told once where they are the same."""
    for rail in plan.takeoff.rails:
        yield f"  {rail.run}: {rail.place}: {length(plan.job, rail.length)}"
        first, last = (end_words(plan.job, end) for end in (rail.start, rail.finish))
        if first == last:
            told = [] if first == "square" else [f"both ends {first}"]
        else:
            told = [f"at {rail.start.post} {first}", f"at {rail.finish.post} {last}"]
        for words in told:
            yield from wrap(words, WIDTH, initial_indent="      ", subsequent_indent="        ")


def _run(plan: Plan, run: RunLine) -> Iterator[str]:
    job = plan.job
    slope = "level" if not run.rake else f"rake {degrees(run.rake):+.2f} deg"
    yield f"RUN {run.id}   posts {' '.join(run.posts)}   {slope}"
    yield f"  guard {length(job, run.height)} high, underside {length(job, run.height - run.rail_drop)} up"
    yield f"  {len(run.drops)} cables every {length(job, run.spacing)}, square to them"
    for words in _openings(job, run):
        yield f"  {words}"
    if run.id in plan.loads:
        yield from _load(job, plan.loads[run.id])
    yield ""


def _load(job: Job, load: Load) -> Iterator[str]:
    """Pull, what opens the run and the hang test, two lines."""
    held = load.strung
    low, high = (force(job, value) for value in (held.slackest, held.tightest))
    yield f"  pull {force(job, held.tension)}, {low} to {high} in cold, heat and after loss"
    opens = [force(job, min(v)) if min(v) < 1e12 else "never" for v in (load.opens, load.opens_worst)]
    yield f"  opens at {opens[0]} on a cable, at its slackest at {opens[1]}"
    go = " to ".join(mm_text(value) for value in load.go)
    hung = f"  hang {force(job, job.cable.hang_weight)} on the middle of {length(job, held.bay)}:"
    yield hung
    yield f"    it sags {mm_text(load.sag)} mm, good from {go} mm"


def force(job: Job, newtons: float) -> str:
    """A force in the job's units."""
    if newtons > 1e9:
        return "no force"
    return f"{mm_text(newtons, 0)} N" if job.units == "mm" else f"{mm_text(newtons / N_PER_LBF, 0)} lbf"


def _openings(job: Job, run: RunLine) -> list[str]:
    parts = [mm_text(opening) for opening in run.openings]
    text = f"openings, top first, mm: {' '.join(parts)}"
    closes = {"deck": "the walking surface", "bottom rail": "the bottom rail", "cable": "the lowest cable"}
    found = wrap(text, WIDTH - 4, subsequent_indent="  ")
    if run.closes == "deck":
        return [*found, f"closed at the bottom by {closes[run.closes]}"]
    return [*found, f"under {closes[run.closes]}: {length(job, run.gap)}, vertical"]


def _face(plan: Plan, sheet: str, face: PostFace) -> Iterator[str]:
    group = next(group for group in plan.groups if group.id == sheet)
    served = ", ".join(group.faces)
    yield from wrap(f"{sheet}  {served}", WIDTH, subsequent_indent="    ")
    yield f"  {'mark':<6}{'drop':>12}{'mm':>9}{'across':>9}{'over floor':>12}  {'drill':<10}{'depth mm':>9}"
    for mark in face.marks:
        yield _mark(plan.job, mark)
    for words in worked_words(plan.job, face.marks):
        yield from wrap(words, WIDTH - 2, initial_indent="  ", subsequent_indent="    ")
    yield ""


def worked_words(job: Job, marks: Sequence[Mark]) -> list[str]:
    """A line each for what is done beyond drilling: "1a to 11b: 5 mm through wall, 3.0 mm; tap M6", slots with their ends."""
    found: dict[str, list[str]] = {}
    for mark in marks:
        told = worked(mark)
        ends = f", end holes {end_holes(mark)} from the mark" if mark.slotted else ""
        if told or mark.wall:
            words = f"{mark.drill.name} {how_deep(job, mark)}" + (f"; {told}{ends}" if told else "")
            found.setdefault(words, []).append(mark.label)
    return [
        f"{labels[0]} to {labels[-1]}: {words}" if len(labels) > 1 else f"{labels[0]}: {words}"
        for words, labels in found.items()
    ]


def _mark(job: Job, mark: Mark) -> str:
    words = tape(mark.drop, job.round_to, job.units).signed
    deep = "wall" if mark.wall else "through" if mark.through else mm_text(mark.depth)
    return (
        f"  {mark.label:<6}{words:>12}{mm_text(mark.drop):>9}{mm_text(mark.u):>9}"
        f"{mm_text(mark.above_tread):>12}  {mark.drill.name:<10}{deep:>9}"
    )


def _pulling(plan: Plan) -> Iterator[str]:
    """How each run is fed and pulled, and the spools to buy."""
    yield "PULLING (rail fixed at both ends first; half, full, then check again)"
    for pulling in plan.takeoff.pulling:
        yield f"  {pulling.run}: spool at post {pulling.spool}, feed toward post {pulling.feed}"
        if pulling.quarter_turn:
            yield f"     a quarter turn adds about {force(plan.job, pulling.quarter_turn)}; the hang test decides"
        for day, pull, sag, low, high in pulling.columns:
            degrees_c = day - 273.15
            told = f"{degrees_c * 1.8 + 32.0:4.0f} degF" if plan.job.units == "in" else f"{degrees_c:4.0f} degC"
            yield f"     at {told}: {force(plan.job, pull)}, sag {mm_text(sag)}, good {mm_text(low)} to {mm_text(high)} mm"
        if len(pulling.columns) < DAYS:
            yield "     on the other days from the coldest to the hottest it hangs slack: no hang test"
    yield ""
    bought = plan.takeoff.buying
    if bought is None:
        return
    yield "SPOOLS"
    for spool in bought.spools:
        size = feet(spool.length, plan.job.round_to) if plan.job.units == "in" else f"{mm_text(spool.length, 0)} mm"
        yield from wrap(
            f"{size}: {' '.join(spool.cuts)}; {mm_text(spool.left, 0)} mm left",
            WIDTH - 2,
            initial_indent="  ",
            subsequent_indent="    ",
        )
    if not bought.met:
        yield f"  {mm_text(sum(s.length for s in bought.spools) - bought.bound, 0)} mm more than the shortest set for that total"
    yield ""


def _cables(plan: Plan) -> Iterator[str]:
    yield "CABLES TO CUT"
    order = dict(plan.takeoff.tension_order)
    for run in plan.runs:
        cuts = [cut for cut in plan.takeoff.cables if cut.run == run.id]
        lengths = {round(cut.length, 1) for cut in cuts}
        if len(lengths) == 1:
            words = long_length(plan.job, rounded_up(plan.job, cuts[0].length))
            yield f"  {cut_label(run.id, 1)} to {cut_label(run.id, len(cuts))}: cut to {words} each"
        else:
            for cut in cuts:
                words = long_length(plan.job, rounded_up(plan.job, cut.length))
                yield f"  {cut_label(cut.run, cut.cable)}: cut to {words}"
        yield from wrap(
            f"tension from the middle outwards: {' '.join(cut_label(run.id, cable) for cable in order[run.id])}",
            WIDTH - 2,
            initial_indent="  ",
            subsequent_indent="    ",
        )
    yield ""
