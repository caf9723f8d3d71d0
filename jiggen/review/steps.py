"""The steps under a run held against its rule set: each rise and going, their spread, open risers, the overhang."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, fsum, isinf

from jiggen.handbook.rules import StairRule
from jiggen.job.model import Stair
from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Cure, Problem
from jiggen.review.words import EPSILON, both, well_under
from jiggen.review.written import run_path

MEANT = 3.0  # mm over the whole flight by which a given rise or going may miss what was taped


def steps(plan: Plan, line: RunLine, stair: Stair) -> Iterator[Problem]:
    """Every finding of the steps; the stair is not the guard's, so somebody has to decide: none of them stops."""
    rule = plan.job.rules.stair
    if rule:
        yield from _sizes(plan, line, stair, rule)
        yield from _spread(plan, line, stair, rule)
        yield from _untaped(plan, line, stair, rule)
    yield from _climbed(plan, line, stair)
    yield from _meant(plan, line, stair)
    yield from _open_risers(plan, line, stair)
    if not stair.overhang_given:
        yield Problem(
            "note",
            f"run {line.id}",
            f"the nosing's overhang is taken as {both(plan, stair.overhang)}",
            "measure it and write overhang in the stair's table",
        )


def _sizes(plan: Plan, line: RunLine, stair: Stair, rule: StairRule) -> Iterator[Problem]:
    """The largest rise and the least going; the limit itself passes ("at most", "at least")."""
    where = f"run {line.id}"
    rise, which = _first(stair.rises, max(stair.rises, default=stair.rise), "rise")
    if rise > rule.riser_most + EPSILON:
        more = sum(1 for other in stair.rises if other > rule.riser_most + EPSILON) - 1
        found = f"{which} is {both(plan, rise)}{_and(more)}, {both(plan, rule.riser_most)} is the most"
        yield Problem("check", where, found, _lower_steps(plan, stair, rule), rule.clause)
    going, which = _first(stair.goings, min(stair.goings, default=stair.going), "going")
    if going < rule.tread_least - EPSILON:
        more = sum(1 for other in stair.goings if other < rule.tread_least - EPSILON) - 1
        found = f"{which} is {both(plan, going)}{_and(more)}, {both(plan, rule.tread_least)} is the least"
        yield Problem("check", where, found, _longer_steps(plan, stair, rule), rule.clause)


def _first(taped: Sequence[float], size: float, what: str) -> tuple[float, str]:
    """A size and which of the taped ones has it, "the rise" where none was taped."""
    return size, f"{what} {taped.index(size) + 1} from the bottom" if taped else f"the {what}"


def _and(more: int) -> str:
    return f" (and {more} more)" if more > 0 else ""


def _lower_steps(plan: Plan, stair: Stair, rule: StairRule) -> str:
    """Equal rises that are low enough, of a flight that was taped."""
    if not stair.rises:
        return f"have the steps rebuilt to rise {both(plan, rule.riser_most)} at most before the guard is made"
    total = fsum(stair.rises)
    count = max(len(stair.rises), ceil(total / rule.riser_most - 1e-9))
    return f"have them rebuilt before the guard is made: {count} rises of {both(plan, total / count)}"


def _longer_steps(plan: Plan, stair: Stair, rule: StairRule) -> str:
    """Equal goings that are long enough, of a flight that was taped."""
    if not stair.goings:
        return f"have the treads rebuilt to {both(plan, rule.tread_least)} at least before the guard is made"
    count = len(stair.goings)
    size = max(fsum(stair.goings) / count, rule.tread_least)
    return f"have them rebuilt before the guard is made: {count} goings of {both(plan, size)}"


def _spread(plan: Plan, line: RunLine, stair: Stair, rule: StairRule) -> Iterator[Problem]:
    """Largest less smallest of a flight; the limit itself passes ("not more than")."""
    for taped, what in ((stair.rises, "rise"), (stair.goings, "going")):
        if not taped:
            continue
        low, high = min(taped), max(taped)
        if high - low > rule.spread_most + EPSILON:
            yield Problem(
                "check",
                f"run {line.id}",
                f"{what} {taped.index(high) + 1} from the bottom is {both(plan, high)}, {what} {taped.index(low) + 1} is "
                f"{both(plan, low)}: they differ by {both(plan, high - low)}, {both(plan, rule.spread_most)} is the most",
                f"have them made equal before the guard is made: {both(plan, fsum(taped) / len(taped))} each",
                rule.clause,
            )


def _untaped(plan: Plan, line: RunLine, stair: Stair, rule: StairRule) -> Iterator[Problem]:
    """What of the steps is taken to be equal because it was not taped."""
    keys = [key for key, taped in (("rises", stair.rises), ("goings", stair.goings)) if not taped]
    if not keys or isinf(rule.spread_most):
        return
    sizes = {"rises": f"rise {both(plan, stair.rise)}", "goings": f"go {both(plan, stair.going)}"}
    yield Problem(
        "note",
        f"run {line.id}",
        f"every step of the flight is taken to {' and '.join(sizes[key] for key in keys)}; "
        f"they may differ by {both(plan, rule.spread_most)} at most",
        f"tape each of them and write {' and '.join(keys)} in the stair's table, lowest step first",
        rule.clause,
    )


def _climbed(plan: Plan, line: RunLine, stair: Stair) -> Iterator[Problem]:
    """Fewer rises taped than its posts climb."""
    first, last = (plan.post_by_id[post].prism.base.z for post in (line.posts[0], line.posts[-1]))
    climbed = round(abs(last - first) / stair.rise)
    for taped, what, least in ((stair.rises, "rises", climbed), (stair.goings, "goings", climbed - 1)):
        if taped and len(taped) < least:
            yield Problem(
                "check",
                f"run {line.id}",
                f"{len(taped)} {what} are taped, its posts climb {climbed} steps",
                f"tape {least - len(taped)} more, or measure the spans again",
            )


def _meant(plan: Plan, line: RunLine, stair: Stair) -> Iterator[Problem]:
    """A rise or going that is given beside the taped ones and is not their mean."""
    index = next(index for index, run in enumerate(plan.job.runs) if run.id == line.id)
    for key, size, taped in (("rise", stair.rise, stair.rises), ("going", stair.going, stair.goings)):
        if not taped or abs(fsum(taped) - size * len(taped)) <= MEANT:
            continue
        words = f"leave {key} out: the mean of what is taped, {both(plan, fsum(taped) / len(taped))}, then counts"
        yield Problem(
            "check",
            f"run {line.id}",
            f"{len(taped)} {key}s are {both(plan, fsum(taped))} in all as taped, "
            f"{both(plan, size * len(taped))} by the {key} of {both(plan, size)} that is given",
            words,
            "",
            (Cure(words, ((run_path(plan, index, f"stair.{key}"), ""),)),),
        )


def _open_risers(plan: Plan, line: RunLine, stair: Stair) -> Iterator[Problem]:
    """Open risers against the sphere that must not pass between two treads; the limit itself fails."""
    if stair.risers != "open":
        return
    rule, fall = plan.job.rules.open_riser, plan.job.fall
    where = f"run {line.id}"
    if rule is None:
        found = "its risers are open; the rule set as we have it says nothing of them"
        sphere, clause = plan.job.rules.sphere_at(0.0, True)
        yield Problem("note", where, found, f"keep each under the guard's own sphere, {both(plan, sphere)}", clause)
    elif fall is not None and fall <= rule.over:
        return
    elif stair.riser_opening is None:
        found = f"its risers are open, and how far is not given; a sphere of {both(plan, rule.sphere)} must not pass"
        yield Problem("check", where, found, "tape one and write riser_opening in the stair's table", rule.clause)
    elif stair.riser_opening > rule.sphere - EPSILON:
        most = well_under(plan, rule.sphere - EPSILON)
        yield Problem(
            "check",
            where,
            f"its risers are {both(plan, stair.riser_opening)} open, a sphere of {both(plan, rule.sphere)} passes",
            f"close each to {both(plan, most)} at most, with a bar or a board",
            rule.clause,
        )
