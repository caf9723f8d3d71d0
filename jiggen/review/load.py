"""A run held against its rule set under load: loaded openings, the triangle, required and safe tension, travel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import fsum, isfinite

from jiggen.handbook.strands import breaking_load, metallic_area
from jiggen.handbook.woods import frame_expansion
from jiggen.job.model import Stair
from jiggen.job.wording import joined
from jiggen.mechanics.cable import own_sag, own_weight
from jiggen.mechanics.endpost import SAFE_SHARE, is_safe, margin
from jiggen.mechanics.stretch import travel_needed
from jiggen.plan.loads import Load, Strung, push_at
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.words import nominal
from jiggen.problems import Cure, Level, Problem
from jiggen.review.behind import behind_words
from jiggen.review.cures import cures_under_load
from jiggen.review.once import once
from jiggen.review.openings import Opening, opened, pull_for, triangle
from jiggen.review.table import required
from jiggen.review.trial import Change, safe, tried
from jiggen.review.triangles import triangle_cures
from jiggen.review.words import EPSILON, at_least, at_most, both, finely_up, newtons, temperature, told_down, told_up
from jiggen.review.written import cure, travel_keys
from jiggen.told import listed
from jiggen.units import N_PER_LBF, mm_text

COMMON = "common practice, no source"


def under_load(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """What a run does under its side force, hot and cold, after loss; and whether its cables can take their pull."""
    loaded = plan.loads[line.id]
    if plan.job.rules.tension_table:
        yield from required(plan, line, loaded)
    else:
        yield from _opened(plan, line, loaded)
        yield from _triangle(plan, line, loaded)
    yield from _slack(plan, line, loaded.strung)
    yield from _breaking(plan, line, loaded.strung)
    yield from _travel(plan, line, loaded.strung)


def _level(plan: Plan) -> Level:
    """A loaded opening stops only where the code publishes the load or the job sets its own."""
    return "stop" if plan.job.rules.load_published or plan.job.cable.side_force is not None else "check"


def _opened(plan: Plan, line: RunLine, loaded: Load) -> Iterator[Problem]:
    """The opening that gives most, at the slackest pull of heat, cold and loss."""
    over, held, force = opened(plan, line), loaded.strung, loaded.force
    if not over:
        return
    helps = once(plan, line, lambda: cures_under_load(plan, line, over))
    worst = max(over, key=lambda opening: (opening.worst(held, force) - opening.sphere, opening.number))
    which = f"opening {worst.number} from the top" if worst.number else "the gap under the lowest cable"
    yield Problem(
        _level(plan),
        f"run {line.id}",
        f"{which} gives to {both(plan, worst.worst(held, force))} under {newtons(plan, force)} on each cable at its "
        f"slackest ({newtons(plan, held.slackest)}{behind_words(line, held)}), a sphere of {both(plan, worst.sphere)} passes; "
        f"{_opens(plan, worst, held)}",
        helps.words,
        f"{worst.clause}; side force: {COMMON}" if _level(plan) == "check" else worst.clause,
        helps.cures,
    )


def _opens(plan: Plan, opening: Opening, held: Strung) -> str:
    """The push that opens it at the slackest, or that the least one does."""
    push = opening.opens_at(held)
    if push < (0.5 if plan.job.units == "mm" else 0.5 * N_PER_LBF):
        return "at rest it is all but that, the least push opens it"
    return f"a push of {newtons(plan, push)} on each cable opens it to {both(plan, opening.sphere)}"


def _triangle(plan: Plan, line: RunLine, loaded: Load) -> Iterator[Problem]:
    """The triangle at each step with its lowest cable lifted by the side force."""
    step = triangle(plan, line)
    if step is None or not step.opened:
        return
    helps = triangle_cures(plan, line, step)
    yield Problem(
        _level(plan),
        f"run {line.id}",
        f"the lowest cable lifts by {both(plan, step.lift)} under {newtons(plan, loaded.force)}: the triangle then passes "
        f"a sphere of {both(plan, step.loaded)}, {both(plan, step.sphere)} is the limit",
        helps.words,
        f"{step.clause}; side force: {COMMON}" if _level(plan) == "check" else step.clause,
        helps.cures,
    )


def _slack(plan: Plan, line: RunLine, held: Strung) -> Iterator[Problem]:
    if held.slackest >= EPSILON:
        return
    found = f"the cables hang slack at one end of the temperature range, after loss: {_slack_days(plan, held, held.pulled)}{behind_words(line, held)}"
    pull = pull_for(plan, held, 1.0)
    if isfinite(pull):
        change = Change(pull=told_up(plan, pull))
        new = tried(plan, line, change)
        if new is not None and safe(new[0], line.id):
            words = f"pull {at_least(plan, pull)} at the least"
            cures = (cure(plan, line, words, change),)
            yield Problem("check", f"run {line.id}", found, f"{words}, or check them in that season", "", cures)
            return
    most = told_down(plan, _safe_pull(plan, held))
    if most > held.pulled:
        remedy = f"pull {newtons(plan, most)}, the most that is safe: they then hang slack {_slack_days(plan, held, most)} only"
    else:
        remedy = f"no safe pull helps: check them, and the openings by hand, {_slack_days(plan, held, held.pulled)}"
    yield Problem("check", f"run {line.id}", found, remedy)


def _safe_pull(plan: Plan, held: Strung) -> float:
    """The most that may be pulled on the day of installing, N, half of the breaking strength at the tightest."""
    strength = breaking_load(plan.job.cable.strand, plan.job.cable.diameter)
    return 0.0 if strength is None else strength * SAFE_SHARE - held.tightest + held.pulled


def _slack_days(plan: Plan, held: Strung, pull: float) -> str:
    """The days on which nothing is left of ``pull``, after loss: "above 38.2 degC"."""
    cable = plan.job.cable
    apart = cable.strand.expansion - (frame_expansion(cable.frame) or 0.0)
    left = pull * held.share * (1.0 - cable.loss)
    if left <= 0.0 or apart == 0.0:
        return "on every day"
    day = cable.install_temperature + left / (held.stiffness * apart)
    return f"{'above' if apart > 0.0 else 'below'} {temperature(plan, day)}"


def _breaking(plan: Plan, line: RunLine, held: Strung) -> Iterator[Problem]:
    """The tightest pull against a safe share, half, of the breaking strength."""
    cable = plan.job.cable
    strength = breaking_load(cable.strand, cable.diameter)
    wanted = at_least(plan, held.tightest / SAFE_SHARE)
    if strength is None:
        yield Problem(
            "check",
            "cable",
            f"no breaking strength is listed for {cable.strand.name} of {nominal(plan.job, cable.diameter)}",
            f"write it, from the maker's sheet, as breaking in {_own_strand(plan)}: {wanted} at least is wanted",
        )
        return
    if not is_safe(held.tightest, strength):
        most = _safe_pull(plan, held)
        words = f"pull at most {at_most(plan, most)}"
        change = Change(pull=told_down(plan, most))
        yield Problem(
            "stop",
            f"run {line.id}",
            f"at its tightest a cable pulls {newtons(plan, held.tightest)}, over half of its breaking strength "
            f"({newtons(plan, strength)})",
            words if most > 0.0 else f"use a cable that breaks at {wanted} at least",
            cable.strand.breaking_source,
            (cure(plan, line, words, change),) if change.pull else (),
        )


def _own_strand(plan: Plan) -> str:
    """The strand's table in the job; one that it has not brought yet with what it then must say too."""
    strand = plan.job.cable.strand
    table = f"[{joined('strand', strand.name)}]"
    if strand.name in plan.job.data.get("strand", {}):
        return table
    return f'{table} beside fill = {strand.fill:.3g} and modulus = "{strand.modulus / 1000.0:.4g} GPa"'


def _travel(plan: Plan, line: RunLine, held: Strung) -> Iterator[Problem]:
    """The thread that the fittings of a cable have against the stretch that they must take up."""
    job = plan.job
    if line.head != line.id:
        return
    has = fsum(job.fittings[name].travel for name in line.fitted)
    asked = travel_needed(held.pulled, held.total, held.stiffness, job.cable.strand.stretch)
    if asked > has:
        words = f"fit threads of {both(plan, finely_up(plan, asked))} in all, at one end or both"
        keys = travel_keys(plan, line, finely_up(plan, asked))
        yield Problem(
            "check",
            f"run {line.id}",
            f"each cable takes {both(plan, asked)} of thread to stretch, its fittings have {both(plan, has)}",
            f"{words}, or cut the cable tight",
            "",
            (Cure(words, keys),) if keys else (),
        )


def in_figures(plan: Plan) -> Iterator[Problem]:
    """What it takes to get a sphere through a pair of cables, and how far their pull is from breaking them: of all runs
    in one note, words that hold of several of them said once."""
    lines = [line for line in plan.runs if line.id in plan.loads]
    told: dict[tuple[str, str], dict[str, list[str]]] = {}
    for line in lines:
        for words, figures in _figures(plan, line, plan.loads[line.id]):
            told.setdefault(words, {}).setdefault(figures, []).append(line.id)
    said = []
    for (alone, together), runs in told.items():
        of = [run for ids in runs.values() for run in ids]
        if len(runs) == 1:
            own = "" if len(of) == len(lines) else f" ({_runs(of)})"
            said.append(alone.format(*runs) + own)
        else:
            said.append(f"{together}: " + ", ".join(f"{words} ({_runs(ids)})" for words, ids in runs.items()))
    if lines:
        where = _runs([line.id for line in lines])
        found = "; ".join(said) or "nothing is left of the pull"
        remedy = "no rule gives a limit; write side_force in [cable] to have the openings judged under another force"
        yield Problem("note", where, found, remedy)


def _runs(names: Sequence[str]) -> str:
    return f"run{'s' * (len(names) > 1)} {listed(names)}"


def _figures(plan: Plan, line: RunLine, loaded: Load) -> Iterator[tuple[tuple[str, str], str]]:
    """What is said of this run alone, with a place for its figures, and ahead of several runs' figures; its figures."""
    sphere, _ = plan.job.rules.sphere_at(0.0, isinstance(line.ground, Stair))
    held = loaded.strung
    strength = breaking_load(plan.job.cable.strand, plan.job.cable.diameter)
    if len(line.drops) > 1:
        yield _pushed(plan, line, held, sphere)
    if strength is not None:
        times = f"{mm_text(margin(strength, held.tightest), 1)} times"
        words = "the breaking strength is {} the tightest pull"
        yield (words, "the breaking strength is that many times the tightest pull"), times
    if held.slackest > 1.0:
        weight = own_weight(metallic_area(plan.job.cable.strand, plan.job.cable.diameter))
        sag = f"{mm_text(own_sag(weight, held.bay, held.slackest))} mm"
        ends = "by its own weight at the slackest"
        yield (f"a cable sags {{}} {ends}", f"a cable sags {ends}"), sag


def _pushed(plan: Plan, line: RunLine, held: Strung, sphere: float) -> tuple[tuple[str, str], str]:
    """The push that takes a sphere through between two cables of the run; where it passes at rest, that it needs none."""
    place = "between two cables half-way between their supports"
    now, worst = (push_at(plan.job, line, held, sphere, pull) for pull in (held.tension, held.slackest))
    if now == 0.0:
        open_already = f"a smooth sphere of {both(plan, sphere)} passes {place} without a push"
        return (open_already, open_already), ""
    through = f"takes a smooth sphere of {both(plan, sphere)} through {place}"
    figures = f"{newtons(plan, now)}, {newtons(plan, worst)} at the slackest"
    return (f"a push of {{}}, {through}", f"a push of this much {through}"), figures
