"""A run in the world turned into the same with its cables: drops, openings, what closes the bottom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from jiggen.job.model import Job, PostKind, Run, Stair
from jiggen.plan.filled import bound, crowded, gap_given_way, led_crowded, no_room
from jiggen.plan.loads import Strung, bent, largest_listed, largest_spacing, side_force, strung
from jiggen.plan.model import RunLine
from jiggen.plan.prism import Prism
from jiggen.plan.spacing import (
    EPSILON,
    LEAST_GAP,
    RAIL_GAP,
    TRIANGLE_MARGIN,
    Filling,
    Frame,
    fill,
    floor_to,
    highest_member,
    led_on,
    staggered,
)
from jiggen.plan.words import length
from jiggen.problems import Problem


@dataclass(frozen=True)
class Known:
    """What filling a run needs to know of the rest: all runs without cables, kinds and outlines of the posts by name."""

    job: Job
    lines: Sequence[RunLine]
    kinds: Mapping[str, PostKind]
    prisms: Mapping[str, Prism]

    @cached_property
    def legs(self) -> Mapping[str, Sequence[tuple[Run, RunLine]]]:
        """The runs that the same cables go through, by the run that those bear the name of."""
        found: dict[str, list[tuple[Run, RunLine]]] = {}
        for run, line in zip(self.job.runs, self.lines, strict=True):
            found.setdefault(line.head, []).append((run, line))
        return found

    def held(self, run: Run, line: RunLine) -> Strung:
        return strung(self.job, run, line, self.kinds, self.prisms)


def filled(
    known: Known, run: Run, line: RunLine, before: tuple[RunLine, str] | None, where: str, problems: list[Problem]
) -> RunLine:
    """The run with its cables. ``before``: the run whose cables are led on into it, and the post that they come round."""
    job, guard = known.job, run.guard
    limit = smallest_sphere(job, line)
    gap = _bottom_gap(known, run, line, where, problems)
    frame = Frame(
        line.height - line.rail_drop,
        line.rake,
        job.cable.diameter,
        limit,
        gap,
        guard.bottom_rail.depth if guard.bottom_rail else 0.0,
        job.round_to,
        guard.out if guard.mount == "side" else 0.0,
    )
    if before is not None and not before[0].drops:
        return line
    if frame.room < job.cable.diameter * 2:
        problems.append(no_room(job, where, frame))
        return line
    filling = _followed(frame, line, *before) if before is not None else _own(known, run, line, frame, where, problems)
    if before is None:
        problems += crowded(job, where, frame, filling)
    else:
        problems += led_crowded(job, where, frame, filling, before[0].id, before[1])
        if filling.openings[0] < 0.0:  # in its rail or over it: no sheet could show that
            return line
    return _with(line, filling)


def _own(known: Known, run: Run, line: RunLine, frame: Frame, where: str, problems: list[Problem]) -> Filling:
    """Where the cables lie by what the run's own guard says."""
    job, guard, limit = known.job, run.guard, frame.limit
    most, listed, whose = most_of_cables(known, run, line, limit)
    filling = fill(frame, guard, most)
    if guard.spacing is None and guard.count is None:
        beside = filling.spacing < fill(replace(frame, out=0.0), guard, most).spacing - EPSILON
        what = "the table of tensions" if listed else "the opening beside the deck's edge" if beside else ""
        if whose != run.id:
            what = f"run {whose}, into which its cables are led on,"
        problems.append(bound(job, where, limit, filling.spacing if beside else most, what, guard.opened))
    problems += gap_given_way(job, where, frame, filling, guard)
    if isinstance(guard.stagger, float):
        filling = staggered(filling, guard.stagger, line.rake)
    return filling


def _followed(frame: Frame, line: RunLine, before: RunLine, post: str) -> Filling:
    """The cables of the run before where they come round the post: each goes on from where it meets the post's axis."""
    here, there = line.posts.index(post), before.posts.index(post)
    first = line.underside(line.stations[here]) - before.underside(before.stations[there]) + before.drops[0]
    return led_on(frame, before.spacing * line.cosine / before.cosine, first * line.cosine, len(before.drops))


def most_of_cables(known: Known, run: Run, line: RunLine, limit: float) -> tuple[float, bool, str]:
    """The largest spacing that passes in the run and in those that its cables are led on into, whether a table of
    tensions says so, and the run that bounds it; a spacing on another slope is told as it is in this run."""
    found = []
    for other, leg in known.legs[line.head]:
        most, listed = most_spacing(
            known.job, known.held(other, leg), limit if leg.id == line.id else smallest_sphere(known.job, leg)
        )
        scale = 1.0 if leg.id == line.id else line.cosine / leg.cosine
        found.append((most * scale, other.id != run.id, listed, other.id))
    most, _, listed, whose = min(found)
    return most, listed, whose


def most_spacing(job: Job, held: Strung, limit: float) -> tuple[float, bool]:
    """The largest spacing that passes under load, or by the table of tensions (True), in whole steps of the readings."""
    listed = largest_listed(job, held) if job.rules.tension_table else None
    return listed or floor_to(largest_spacing(job, held, limit), job.round_to), listed is not None


def _with(line: RunLine, filling: Filling) -> RunLine:
    return replace(
        line,
        spacing=filling.spacing,
        drops=filling.drops,
        openings=filling.openings,
        closes=filling.closes,
        gap=filling.gap,
    )


def smallest_sphere(job: Job, line: RunLine) -> float:
    """The smallest sphere of the rule set anywhere between the reference line and the rail, mm."""
    stair = isinstance(line.ground, Stair)
    heights = [line.height * step / 64.0 for step in range(64)]
    return min(job.rules.sphere_at(height, stair)[0] for height in heights)


def _bottom_gap(known: Known, run: Run, line: RunLine, where: str, problems: list[Problem]) -> float | None:
    """Reference line up to the lowest member, vertical: as given, else what the rules leave; None: none."""
    job, guard = known.job, run.guard
    if guard.bottom_gap is not None:
        return guard.bottom_gap
    stair = run.ground if isinstance(run.ground, Stair) else None
    if stair is None:
        return RAIL_GAP if guard.bottom_rail else None
    sphere = job.rules.triangle or smallest_sphere(job, line)
    most = highest_member(stair, sphere - TRIANGLE_MARGIN)
    if guard.bottom_rail:
        return max(0.0, min(RAIL_GAP, most))
    gap = most - lowest_cable_lift(known, run, line) / line.cosine
    if gap < LEAST_GAP:
        up = floor_to(min(highest_member(stair, sphere) - EPSILON, RAIL_GAP), 0.1)
        rail = (
            f"give this run a bottom rail at most {length(job, up)} over the nosing line: it does not lift under load"
        )
        problems.append(
            Problem(
                "check",
                where,
                f"the triangle at each step leaves the lowest cable {length(job, max(gap, 0.0))} over the nosing line",
                rail if up > 0.0 else "close the triangle with a board or a string at each step: no lowest member does",
                job.rules.triangle_clause,
            )
        )
    return max(gap, 0.0)


def lowest_cable_lift(known: Known, run: Run, line: RunLine) -> float:
    """How far a lowest cable of the run is lifted under the side force at its slackest, square to it, mm."""
    held = known.held(run, line)
    return bent(held, held.bottom, held.slackest, side_force(known.job)) + held.play / 2.0
