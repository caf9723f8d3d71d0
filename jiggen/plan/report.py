"""A Plan turned into lines of text for a terminal 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import degrees
from textwrap import wrap

from jiggen.job.model import Job
from jiggen.plan.drilling import holes_words
from jiggen.plan.loads import Load
from jiggen.plan.model import Group, Mark, Plan, PostFace, RunLine
from jiggen.plan.pulls import (
    MEASURED_ROUND,
    STRENGTH,
    WIDTH,
    cables_words,
    pulling_lines,
    set_in,
    share_words,
    spool_lines,
)
from jiggen.plan.rails import end_words
from jiggen.plan.takeoff import rounded_up, spares
from jiggen.plan.words import cut_label, end_holes, force, how_deep, length, long_length, worked
from jiggen.units import GRAVITY, N_PER_LBF, mm_text, tape


def report(plan: Plan, sheets: Sequence[str]) -> list[str]:
    """The plan, readable: runs, posts, drill list, cables. ``sheets``: a line a sheet."""
    lines = [plan.job.name, f"{plan.job.rules.title}   fingerprint {plan.fingerprint}", *wrap(STRENGTH, WIDTH), ""]
    lines.extend(_runs(plan))
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
    if plan.job.units == "in":
        lines.extend(["+ or - after a reading: a little over or under it; the mm are exact", ""])
    for group in plan.groups:
        for place, name in enumerate(group.strip):
            lines.extend(_face(plan, group, group.faces[place :: group.drawn], plan.face_by_id[name]))
    lines.extend(_cables(plan))
    lines.extend(pulling_lines(plan))
    lines.extend(spool_lines(plan))
    bought = [f"  {count:5d} and {spares(count):2d}  {item}" for item, count in plan.takeoff.hardware]
    lines.extend(["HARDWARE, count and spares", *bought, ""])
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


def _runs(plan: Plan) -> Iterator[str]:
    """Every run with its posts, and what it is; that once under all the runs of which the same is said."""
    alike: dict[tuple[str, ...], list[RunLine]] = {}
    for run in plan.runs:
        alike.setdefault(tuple(_run(plan, run)), []).append(run)
    for words, runs in alike.items():
        for run in runs:
            slope = "level" if not run.rake else f"rake {degrees(run.rake):+.2f} deg"
            yield f"RUN {run.id}   posts {', '.join(run.posts)}   {slope}"
        yield from (*words, "")


def _run(plan: Plan, run: RunLine) -> Iterator[str]:
    job = plan.job
    yield f"  guard {length(job, run.height)} high, underside {length(job, run.height - run.rail_drop)} up"
    yield f"  {len(run.drops)} cables every {length(job, run.spacing)}, square to them"
    for words in _openings(job, run):
        yield f"  {words}"
    if run.led:
        yield from set_in(cables_words(run), 2)
    if run.led and run.id in plan.loads:
        yield from set_in(share_words(plan, run), 2)
    if run.id in plan.loads:
        yield from _load(job, plan.loads[run.id])


def _load(job: Job, load: Load) -> Iterator[str]:
    """Pull, what opens the run and the hang test, two lines."""
    held = load.strung
    low, high = (force(job, value) for value in (held.slackest, held.tightest))
    yield f"  pull {force(job, held.tension)}, {low} to {high} in cold, heat and after loss"
    opens = [force(job, min(values)) for values in (load.opens, load.opens_worst)]
    yield f"  opens to the limit under {opens[0]} on each cable, under {opens[1]} at the slackest"
    go = " to ".join(length(job, value) for value in load.go)
    yield f"  hang {_weight(job)} on the middle of {length(job, held.bay)}:"
    yield from set_in(f"it sags {length(job, load.sag)}, good from {go}", 4)


def _weight(job: Job) -> str:
    """What hangs on a cable to test its pull, as it is weighed: "5 kg" or "11 lb"."""
    amount, unit = (
        (job.cable.hang_weight / GRAVITY, "kg") if job.units == "mm" else (job.cable.hang_weight / N_PER_LBF, "lb")
    )
    return f"{mm_text(amount).removesuffix('.0')} {unit}"


def _openings(job: Job, run: RunLine) -> list[str]:
    parts = []
    for words, alike in groupby(length(job, opening) for opening in run.openings):
        count = sum(1 for _ in alike)
        parts.append(f"{count} of {words}" if count > 1 else words)
    text = f"openings, top first: {', '.join(parts)}"
    closes = {"deck": "the walking surface", "bottom rail": "the bottom rail", "cable": "the lowest cable"}
    found = wrap(text, WIDTH - 4, subsequent_indent="  ")
    if run.closes == "deck":
        return [*found, f"closed at the bottom by {closes[run.closes]}"]
    return [*found, f"under {closes[run.closes]}: {length(job, run.gap)}, vertical"]


def _face(plan: Plan, group: Group, alike: Sequence[str], face: PostFace) -> Iterator[str]:
    """The marks of one face of a sheet, with all those that are ``alike``, and which of them the sheet does not show; nothing
    of a face that has none."""
    if not face.marks:
        return
    yield from wrap(f"{group.id}  {', '.join(alike)}", WIDTH, subsequent_indent="    ")
    inch = plan.job.units == "in"
    yield (
        f" {'mark':<4}{'drop':>11}{'mm':>7}{'across':>9}{'mm':>6}{'over floor':>11}{'mm':>7} {'drill':<9}{'depth':>7}{'mm':>6}"
        if inch
        else f"  {'mark':<6}{'drop mm':>9}{'across mm':>11}{'over floor mm':>15}  {'drill':<10}{'depth mm':>9}"
    )
    for mark in face.marks:
        yield _mark(plan.job, mark) if inch else _metric_mark(mark)
    for words in worked_words(plan.job, face.marks):
        yield from wrap(words, WIDTH - 2, initial_indent="  ", subsequent_indent="    ")
    hidden = [mark.label for mark in face.marks if not group.shows(mark)]
    if hidden:
        words = f"{_from_to(hidden)}: on no sheet, drilled through the bracket when its rail is put up"
        yield from wrap(words, WIDTH - 2, initial_indent="  ", subsequent_indent="    ")
    yield ""


def _from_to(labels: Sequence[str]) -> str:
    return f"{labels[0]} to {labels[-1]}" if len(labels) > 1 else labels[0]


def worked_words(job: Job, marks: Sequence[Mark]) -> list[str]:
    """A line each for what is done beyond drilling: "1a to 11b: 5 mm through wall, 3.0 mm; tap M6", slots with their ends."""
    found: dict[str, list[str]] = {}
    for mark in marks:
        told = worked(job, mark)
        ends = f", end holes {end_holes(job, mark)} from the mark" if mark.slotted else ""
        if told or mark.wall:
            words = f"{mark.drill.name} {how_deep(job, mark)}" + (f"; {told}{ends}" if told else "")
            found.setdefault(words, []).append(mark.label)
    return [f"{_from_to(labels)}: {words}" for words, labels in found.items()]


def _mark(job: Job, mark: Mark) -> str:
    def read(mm: float) -> str:
        return tape(mm, job.round_to, job.units).signed

    deep = (_way(mark), "") if mark.wall or mark.through else (read(mark.depth), mm_text(mark.depth))
    return (
        f" {mark.label} {read(mark.drop):>{max(14 - len(mark.label), 0)}}{mm_text(mark.drop):>7}{read(mark.u):>9}{mm_text(mark.u):>6}"
        f"{read(mark.above_tread):>11}{mm_text(mark.above_tread):>7} {mark.drill.name:<9}{deep[0]:>7}{deep[1]:>6}"
    ).rstrip()


def _metric_mark(mark: Mark) -> str:
    deep = _way(mark) if mark.wall or mark.through else mm_text(mark.depth)
    return (
        f"  {mark.label:<6}{mm_text(mark.drop):>9}{mm_text(mark.u):>11}{mm_text(mark.above_tread):>15}"
        f"  {mark.drill.name:<10}{deep:>9}"
    )


def _way(mark: Mark) -> str:
    return "wall" if mark.wall else "through"


def _cables(plan: Plan) -> Iterator[str]:
    yield "CABLES TO CUT"
    if any(run.led for run in plan.runs):
        yield from set_in(MEASURED_ROUND, 2)
    order = dict(plan.takeoff.tension_order)
    for run in (run for run in plan.runs if run.id in order):
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
