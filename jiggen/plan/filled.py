"""The filling of a run turned into problems: no room, cables that touch or do not fit, what bound a spacing left open."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, cos

from jiggen.job.model import Guard, Job
from jiggen.plan.spacing import Filling, Frame, floor_to
from jiggen.plan.words import length, nominal
from jiggen.problems import Problem

GIVES_WAY = 10.0  # mm that less may stay open than bottom_gap says without a word; our choice


def no_room(job: Job, where: str, frame: Frame) -> Problem:
    """A run whose rails and gap leave no room for cables."""
    more = _up((job.cable.diameter * 2 - frame.room) / cos(frame.rake))
    return Problem(
        "stop",
        where,
        f"{length(job, max(frame.room, 0.0))} are left for cables under the rail",
        f"raise the guard by {length(job, more)} at least, or lower what closes its bottom by that",
    )


def _up(mm: float) -> float:
    """What is told of a length that is needed: the next 0.1 mm up."""
    return ceil(mm * 10.0 - 1e-6) / 10.0


def crowded(job: Job, where: str, frame: Frame, filling: Filling) -> Iterator[Problem]:
    """Cables that do not fit, or touch each other or the rail."""
    if min(filling.openings) < 0.0 or filling.gap < -1e-9:
        yield Problem(
            "stop",
            where,
            f"{len(filling.drops)} cables every {length(job, filling.spacing)} do not fit in {length(job, frame.room)}",
            f"use at most {max(1, int(frame.room // max(filling.spacing, 1.0)))} cables at that spacing",
        )
    if filling.spacing > job.cable.diameter >= min(filling.drops) * cos(frame.rake):
        yield Problem(
            "stop",
            where,
            f"the first cable is {length(job, job.cable.diameter)} thick and lies {length(job, min(filling.drops))} under the"
            " rail: nothing can be put between them",
            f"write first over {length(job, job.cable.diameter)}, or leave it out",
        )
    elif filling.spacing <= job.cable.diameter:
        yield Problem(
            "stop",
            where,
            f"cables of {nominal(job, job.cable.diameter)} every {length(job, filling.spacing)} touch",
            f"space them more than {nominal(job, job.cable.diameter)}, and use fewer if need be",
        )


def gap_given_way(job: Job, where: str, frame: Frame, filling: Filling, guard: Guard) -> Iterator[Problem]:
    """A given ``bottom_gap`` under cables of a given spacing, which leave less: the gap is the most that may stay open."""
    given = guard.bottom_gap
    if not frame.last_is_cable or guard.spacing is None or guard.count is not None or given is None:
        return
    count, above = len(filling.drops), filling.gap + guard.spacing / cos(frame.rake)
    if given - filling.gap <= GIVES_WAY or filling.gap < 0.0:
        return
    fewer = (
        f"write count = {count - 1} too: {length(job, above)} are open then, or "
        if count > 1 and _shut(frame, above)
        else ""
    )
    yield Problem(
        "check",
        where,
        f"bottom_gap = {length(job, given)} is the most that may stay open under the lowest cable; {count} cables every"
        f" {length(job, guard.spacing)} leave {length(job, filling.gap)} there",
        f"{fewer}write count = {count} in the place of spacing: equal openings then end {length(job, given)} up",
    )


def _shut(frame: Frame, gap: float) -> bool:
    """Whether a gap under the lowest cable, vertical, is under the limit at rest."""
    return gap * cos(frame.rake) < frame.bottom_limit - 1e-6


def led_crowded(job: Job, where: str, frame: Frame, filling: Filling, before: str, post: str) -> Iterator[Problem]:
    """Cables of the run ``before``, led on round ``post``, that do not fit between this run's rail and what closes it."""
    ended = f"leave led_on out: the cables of run {before} then end at post {post}"
    if filling.openings[0] < 0.0:
        high = f"{length(job, _up(-filling.openings[0] / cos(frame.rake)))}"
        found = f"the first cable of run {before} comes {high} above this run's underside at post {post}"
        yield Problem("stop", where, found, f"raise this run's rail (height) by {high} at least, or {ended}")
    elif min(filling.openings) < 0.0 or filling.gap < -1e-9:
        low = -filling.gap if filling.gap < 0.0 else -min(filling.openings) / cos(frame.rake)
        room = frame.clear * cos(frame.rake) if frame.last_is_cable else frame.room
        most = int((room - filling.openings[0] - frame.diameter + 1e-9) // max(filling.spacing, 1.0)) + 1
        found = f"the lowest of the {len(filling.drops)} cables of run {before} lies {length(job, low)} in what closes this run"
        fewer = f"use {most} cables at most in run {before}, or " if most > 0 else ""
        yield Problem("stop", where, found, f"{fewer}{ended}")


def bound(job: Job, where: str, limit: float, most: float, what: str = "", opened: float | None = None) -> Problem:
    """What bound the spacing that the job left open; ``what``: neither an opening under load nor at rest; ``opened``: what was
    taken for the end fittings' sake."""
    at_rest = floor_to(limit + job.cable.diameter - 1e-6, job.round_to)
    if most < 2.0 * job.cable.diameter:
        found = "no spacing stays shut under the side force at the slackest; the openings are judged below"
        return Problem("check", where, found, "do what that finding names: a pull, spacer bars, or shorter spans")
    check = what or ("the opening under load at the slackest" if most < at_rest else "the opening at rest")
    found = f"spacing left open: {check} allows {length(job, most)}"
    if opened is not None:
        found += f"; taken {length(job, opened)}, as equal openings under it leave the end fittings no room"
    return Problem("note", where, found, "write spacing or count to fix it")


def shifted(asked: Job, job: Job) -> Iterator[Problem]:
    """What ``stagger = "auto"`` came to in each run of ``job`` that had it as the job was ``asked``."""
    for run, new in zip(asked.runs, job.runs, strict=True):
        if run.guard.stagger != "auto" or not isinstance(new.guard.stagger, float):
            continue
        by = new.guard.stagger
        if by > 0.0:
            found = f'stagger = "auto" moves its cables {length(job, by)} down, to clear the holes of earlier runs'
        else:
            found = 'stagger = "auto" moves nothing: its holes clear those of earlier runs, or no shift under half a spacing clears them'
        yield Problem("note", f"run {run.id}", found, "write a length as stagger to fix it, 0 for none")
