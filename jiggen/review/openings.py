"""A run turned into its openings that a sphere passes: at rest, and under the side force at the slackest pull."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, hypot, sqrt

from jiggen.handbook.rules import Height
from jiggen.handbook.woods import frame_expansion
from jiggen.job.model import Stair
from jiggen.mechanics.opening import opens_at, tension_to_stay
from jiggen.plan.loads import Strung, bent, places_of, spheres
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.spacing import worst_circle
from jiggen.review.words import EPSILON


@dataclass(frozen=True, slots=True)
class Opening:
    """One opening of a run and the sphere that must not pass it.

    ``number``: from 1 at the top, 0 for the gap under a lowest cable. ``upright``: square to the cables in their own
    plane, mm; ``out``: how far that plane stands beyond what closes it (a deck's edge), so ``rest`` is the clear
    distance. ``sphere``: diameter, mm. ``free``: the length that governs it, ``cables``: how many of its two sides are.
    """

    number: int
    upright: float
    out: float
    sphere: float
    clause: str
    free: float
    cables: int

    @property
    def rest(self) -> float:
        """Clear distance at rest, mm."""
        return hypot(self.upright, self.out)

    @property
    def limit(self) -> float:
        """The size, in the cables' plane, at which the sphere passes, mm."""
        return sqrt(max(self.sphere**2 - self.out**2, 0.0))

    @property
    def open_at_rest(self) -> bool:
        return self.rest > self.sphere - EPSILON

    def give(self, held: Strung, force: float) -> float:
        """By how much it grows in the cables' plane under ``force`` N on each cable at the slackest pull, mm."""
        return self.cables * (held.play / 2.0 + bent(held, self.free, held.slackest, force))

    def worst(self, held: Strung, force: float) -> float:
        """Clear distance under ``force`` N on each cable at the slackest pull, mm."""
        return hypot(self.upright + self.give(held, force), self.out)

    def opens_at(self, held: Strung) -> float:
        """Force in N on each cable that opens it at the slackest pull."""
        pull = max(held.slackest, 1e-3)
        return opens_at(self.upright, self.limit, self.free, pull, held.stiffness, held.total, held.play, self.cables)

    def pull_needed(self, held: Strung, force: float) -> float:
        """Pull in N that must be left on the slackest day to keep it shut under ``force`` N on each cable."""
        args = (self.free, held.stiffness, held.total, held.play, self.cables)
        return tension_to_stay(self.upright, self.limit, force, *args)


def openings(plan: Plan, line: RunLine) -> list[Opening]:
    """The openings of a run, top first, and last the gap under a lowest cable on the level or a ramp."""
    limits = spheres(plan.job, line)
    places = places_of(line, plan.loads[line.id].strung)
    last = len(line.openings)
    beside = line.guard.out if line.guard.mount == "side" else 0.0
    found = []
    for number, (size, (sphere, clause), (free, cables)) in enumerate(
        zip(line.openings, limits, places, strict=True), 1
    ):
        out = beside if number == last and line.closes == "deck" else 0.0
        found.append(Opening(number, size, out, sphere, clause, free, cables))
    if line.closes == "cable" and not isinstance(line.ground, Stair):
        sphere, clause = plan.job.rules.sphere_at(0.0, False)
        free = plan.loads[line.id].strung.bottom
        found.append(Opening(0, line.gap * cos(line.rake), beside, sphere, clause, free, 1))
    return found


def as_it_stands(line: RunLine) -> RunLine:
    """The run with its first and last openings as the largest of them was built: the rail at each post where it was taped,
    the cables straight between their ends, walking surface and bottom rail as planned."""
    if line.ends is None or not line.openings:
        return line
    first, last = (end.lift for end in (line.ends[0], line.ends[-1]))
    whole = line.stations[-1]
    apart = [lift - first - (last - first) * x / whole for lift, x in zip(line.lifts, line.stations, strict=True)]
    more = max(first, last, 0.0)
    under = line.openings[0] + max(*apart, 0.0) * line.cosine
    return lifted(replace(line, openings=(under, *line.openings[1:])), more)


def lifted(line: RunLine, by: float) -> RunLine:
    """The run with its lowest cable ``by`` mm, upright, further from what closes its bottom, its other openings as they are."""
    if line.closes == "cable":
        return replace(line, gap=line.gap + by)
    return replace(line, openings=(*line.openings[:-1], line.openings[-1] + by * line.cosine))


def open_at_rest(plan: Plan, line: RunLine) -> list[Opening]:
    """Those that a sphere passes at rest."""
    return [opening for opening in openings(plan, line) if opening.open_at_rest]


def opened(plan: Plan, line: RunLine) -> list[Opening]:
    """Those that are shut at rest and that a sphere passes under the side force at the slackest pull, as built."""
    loaded = plan.loads[line.id]
    every = openings(plan, as_it_stands(line))
    alike = {(one.free, one.cables): one for one in every}  # these two decide how much it gives
    gives = {key: one.give(loaded.strung, loaded.force) for key, one in alike.items()}
    return [
        one
        for one in every
        if not one.open_at_rest and hypot(one.upright + gives[one.free, one.cables], one.out) > one.sphere - EPSILON
    ]


def pull_for(plan: Plan, held: Strung, left: float) -> float:
    """The pull on the day of installing of which ``left`` N remain after loss at the slackest day.

    Loss takes its share of the pull, heat (or cold) takes E a (k - k of the frame) dT whatever the pull is. In a run that
    cables are led on into it is the pull at their end, before the bends.
    """
    cable = plan.job.cable
    apart = cable.strand.expansion - (frame_expansion(cable.frame) or 0.0)
    days = (cable.coldest - cable.install_temperature, cable.hottest - cable.install_temperature, 0.0)
    taken = max(held.stiffness * apart * day for day in days)
    return (left + taken) / (1.0 - cable.loss) / held.share if cable.loss < 1.0 else float("inf")


def least_heights(plan: Plan, line: RunLine) -> list[Height]:
    """The rules of height that hold for a run under the job's fall."""
    where, fall = "stair" if isinstance(line.ground, Stair) else "level", plan.job.fall
    return [rule for rule in plan.job.rules.heights if rule.where == where and (fall is None or fall > rule.fall_over)]


@dataclass(frozen=True, slots=True)
class Triangle:
    """The triangle of tread, riser and lowest member: circles in it at rest and ``lift`` mm higher, upright, under load."""

    rest: float
    loaded: float
    lift: float
    sphere: float
    clause: str

    @property
    def open_at_rest(self) -> bool:
        return self.rest > self.sphere - EPSILON

    @property
    def opened(self) -> bool:
        return not self.open_at_rest and self.loaded > self.sphere - EPSILON


def triangle(plan: Plan, line: RunLine) -> Triangle | None:
    """The triangle at each step of a stair, None elsewhere; under load as built, and a rail does not lift."""
    stair = line.ground
    if not isinstance(stair, Stair):
        return None
    rules, loaded = plan.job.rules, plan.loads[line.id]
    sphere, clause = rules.sphere_at(0.0, True)
    if rules.triangle:
        sphere, clause = rules.triangle, rules.triangle_clause
    held, lift = loaded.strung, 0.0
    if line.closes == "cable":
        lift = (bent(held, held.bottom, held.slackest, loaded.force) + held.play / 2.0) / cos(line.rake)
    rest, up = (worst_circle(stair, gap) for gap in (line.gap, as_it_stands(line).gap + lift))
    return Triangle(rest, up, lift, sphere, clause)
