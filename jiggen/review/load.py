"""A run held against its rule set under load: loaded openings, the triangle, required and safe tension, travel."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import ceil, cos, floor

from jiggen.handbook.strands import breaking_load
from jiggen.handbook.woods import frame_expansion
from jiggen.job.model import Stair
from jiggen.mechanics.endpost import SAFE_SHARE
from jiggen.mechanics.opening import tension_to_stay
from jiggen.mechanics.stretch import travel_needed
from jiggen.plan.loads import Load, Strung, bent, largest_spacing, places_of, spheres
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.spacing import floor_to, triangle_circle
from jiggen.problems import Level, Problem
from jiggen.review.rest import EPSILON, both
from jiggen.units import N_PER_LBF, mm_text

PULL_STEP = N_PER_LBF + 1.0  # what rounding up can add to a pull that is told
COMMON = "common practice, no source"


def under_load(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """What a run does under its side force, hot and cold, after loss; and whether its cables can take their pull."""
    loaded = plan.loads[line.id]
    if plan.job.rules.tension_table:
        yield from _required(plan, line, loaded)
    else:
        yield from _opened(plan, line, loaded)
        yield from _triangle(plan, line, loaded)
    yield from _slack(plan, line, loaded.strung)
    yield from _breaking(plan, line, loaded.strung)
    yield from _travel(plan, line, loaded.strung)


def newtons(plan: Plan, force: float) -> str:
    """A force in the job's units: "225 lbf (1001 N)" or "1001 N"."""
    return _told(plan, force, lambda value: mm_text(value, 0))


def at_least(plan: Plan, force: float) -> str:
    """A force that is needed, rounded up in the unit that is told, so that what is told is enough."""
    return _told(plan, force, lambda value: mm_text(ceil(value - 1e-6), 0))


def at_most(plan: Plan, force: float) -> str:
    """A force that must not be passed, rounded down in the unit that is told."""
    return _told(plan, force, lambda value: mm_text(floor(value + 1e-6), 0))


def _told(plan: Plan, force: float, words: Callable[[float], str]) -> str:
    if plan.job.units == "mm":
        return f"{words(force)} N"
    return f"{words(force / N_PER_LBF)} lbf ({words(force)} N)"


def _level(plan: Plan) -> Level:
    """A loaded opening stops only where the code publishes the load or the job sets its own."""
    return "stop" if plan.job.rules.load_published or plan.job.cable.side_force is not None else "check"


def _opened(plan: Plan, line: RunLine, loaded: Load) -> Iterator[Problem]:
    """The opening that gives most, at the slackest pull of heat, cold and loss."""
    limits = spheres(plan.job, line)
    over = [
        (opening - sphere, index)
        for index, (opening, (sphere, _), rest) in enumerate(zip(loaded.worst, limits, line.openings, strict=True))
        if opening > sphere - EPSILON and rest < sphere - EPSILON
    ]
    if not over:
        return
    _, index = max(over)
    sphere, clause = limits[index]
    yield Problem(
        _level(plan),
        f"run {line.id}",
        f"opening {index + 1} from the top gives to {both(plan, loaded.worst[index])} under {newtons(plan, loaded.force)} "
        f"on each cable at its slackest ({newtons(plan, loaded.strung.slackest)}), a sphere of {both(plan, sphere)} passes; "
        f"it opens at {newtons(plan, loaded.opens_worst[index])}",
        _cure(plan, line, loaded, index, sphere),
        f"{clause}; side force: {COMMON}" if _level(plan) == "check" else clause,
    )


def _cure(plan: Plan, line: RunLine, loaded: Load, index: int, sphere: float) -> str:
    """A pull, a spacing or bars in each span that keep the worst opening shut, each worked out."""
    held = loaded.strung
    free, cables = places_of(line, held)[index]
    args = (held.stiffness, held.total, held.play, cables)
    needed = tension_to_stay(line.openings[index], sphere, loaded.force, free, *args)
    found = []
    strength = breaking_load(plan.job.cable.strand, plan.job.cable.diameter)
    pull = pull_for(plan, held, needed)
    rise = held.tightest - held.tension  # what cold (or heat) adds to any pull
    if pull < 1e9 and (strength is None or pull + PULL_STEP + rise <= strength * SAFE_SHARE):
        found.append(f"pull {at_least(plan, pull + 1.0)}")
    if cables == 1 and index == len(line.openings) - 1 and line.closes != "cable":
        found.append(f"use {len(line.drops) + 1} cables")
    spacing = floor_to(largest_spacing(plan.job, held, sphere) - EPSILON, plan.job.round_to)
    if cables == 2 and spacing > 2.0 * line.cable:
        found.append(f"space the cables {both(plan, spacing)}")
    for bars in range(1, 6):
        y = bent(held, free / (bars + 1), held.slackest, loaded.force)
        if line.openings[index] + held.play * cables / 2.0 + cables * y < sphere - EPSILON:
            found.append(f"put {bars} spacer bar{'s' * (bars > 1)} in each free length")
            break
    return ", or ".join(found) or "shorten the spans"


def pull_for(plan: Plan, held: Strung, left: float) -> float:
    """The pull on the day of installing of which ``left`` N remain after loss at the slackest day.

    Loss takes its share of the pull, heat (or cold) takes E a (k - k of the frame) dT whatever the pull is.
    """
    cable = plan.job.cable
    apart = cable.strand.expansion - (frame_expansion(cable.frame) or 0.0)
    days = (cable.coldest - cable.install_temperature, cable.hottest - cable.install_temperature, 0.0)
    taken = max(held.stiffness * apart * day for day in days)
    return (left + taken) / (1.0 - cable.loss) if cable.loss < 1.0 else float("inf")


def _triangle(plan: Plan, line: RunLine, loaded: Load) -> Iterator[Problem]:
    """The triangle at each step with its lowest cable lifted by the side force."""
    stair = line.ground
    if not isinstance(stair, Stair) or line.closes != "cable":
        return
    held = loaded.strung
    lift = (bent(held, held.bottom, held.slackest, loaded.force) + held.play / 2.0) / cos(line.rake)
    sphere = plan.job.rules.triangle or plan.job.rules.sphere_at(0.0, True)[0]
    rest = triangle_circle(stair.rise, stair.going, stair.overhang, line.gap)
    circle = triangle_circle(stair.rise, stair.going, stair.overhang, line.gap + lift)
    if rest < sphere - EPSILON < circle:
        yield Problem(
            _level(plan),
            f"run {line.id}",
            f"the lowest cable lifts by {both(plan, lift)} under {newtons(plan, loaded.force)}: the triangle then passes a "
            f"sphere of {both(plan, circle)}, {both(plan, sphere)} is the limit",
            "give this run a bottom rail, or bring the lowest cable down",
            plan.job.rules.triangle_clause,
        )


def _required(plan: Plan, line: RunLine, loaded: Load) -> Iterator[Problem]:
    """The tension that the rule set's table asks for at this spacing and clear span; loaded openings are only told."""
    job, held = plan.job, loaded.strung
    asked = job.rules.required_tension(job.cable.diameter, job.cable.strand.name, line.spacing, held.bay)
    source = "ABCB 2022 table 11.3.6a"
    if asked is None:
        yield Problem(
            "stop",
            f"run {line.id}",
            f"the table has no tension for {mm_text(job.cable.diameter, 1)} mm {job.cable.strand.name} every "
            f"{mm_text(line.spacing)} mm between supports {mm_text(held.bay, 0)} mm apart",
            "use a wire, a spacing and a span that the table lists",
            source,
        )
    elif held.tension < asked - 1e-6:
        yield Problem(
            "stop",
            f"run {line.id}",
            f"the pull is {mm_text(held.tension, 0)} N, the table asks for {mm_text(asked, 0)} N",
            f"pull {mm_text(asked, 0)} N, measured by strain, or bring supports nearer",
            source,
        )
    yield Problem(
        "note",
        f"run {line.id}",
        f"under {newtons(plan, loaded.force)} on each cable its openings give to {both(plan, max(loaded.worst))} at the slackest",
        "the table of tensions decides, this is told only",
    )


def _slack(plan: Plan, line: RunLine, held: Strung) -> Iterator[Problem]:
    if held.slackest < 1e-6:
        yield Problem(
            "check",
            f"run {line.id}",
            "the cables hang slack at one end of the temperature range, after loss",
            f"pull {at_least(plan, pull_for(plan, held, 1.0))} at the least, or check them in that season",
        )


def _breaking(plan: Plan, line: RunLine, held: Strung) -> Iterator[Problem]:
    """The tightest pull against a safe share, half, of the breaking strength."""
    cable = plan.job.cable
    strength = breaking_load(cable.strand, cable.diameter)
    if strength is None:
        yield Problem(
            "check",
            "cable",
            f"no breaking strength is listed for {mm_text(cable.diameter, 2)} mm {cable.strand.name}",
            "write it in [strand.NAME] breaking, from the maker's sheet",
        )
    elif held.tightest > strength * SAFE_SHARE:
        yield Problem(
            "stop",
            f"run {line.id}",
            f"at its tightest a cable pulls {newtons(plan, held.tightest)}, over half of its breaking strength "
            f"({newtons(plan, strength)})",
            f"pull at most {at_most(plan, max(strength * SAFE_SHARE - held.tightest + held.tension, 0.0))}",
            cable.strand.breaking_source,
        )


def _travel(plan: Plan, line: RunLine, held: Strung) -> Iterator[Problem]:
    """The thread that the fittings of a cable have against the stretch that they must take up."""
    job = plan.job
    has = sum(job.fittings[name].travel for name in (line.start, line.finish))
    asked = travel_needed(held.tension, held.total, held.stiffness, job.cable.strand.stretch)
    if asked > has:
        yield Problem(
            "check",
            f"run {line.id}",
            f"each cable takes {both(plan, asked)} of thread to stretch, its fittings have {both(plan, has)}",
            "fit one with a longer thread, or one at each end, or cut the cable tight",
        )
