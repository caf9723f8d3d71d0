"""Openings that a sphere passes turned into what shuts them: each figure worked out, laid out again and only then told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import ceil, cos, fsum, isfinite
from typing import Any

from jiggen.job.model import Stair
from jiggen.mechanics.cable import tension_for
from jiggen.mechanics.opening import largest_spacing
from jiggen.plan.holes import cable_hole, passing
from jiggen.plan.loads import Strung, bent
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.spacing import highest_member
from jiggen.problems import Cure
from jiggen.review.behind import led_at_rest, nearer_the_pull
from jiggen.review.hold import overloads
from jiggen.review.nearer import with_posts
from jiggen.review.openings import Opening, opened, openings, pull_for, triangle
from jiggen.review.trial import Change, What, builds, each_with, shut, shut_at_rest, tried
from jiggen.review.words import EPSILON, at_least, both, finely_down, stepped_down, stepped_up, told_up, well_under
from jiggen.review.written import UNTOLD, Remedy, cure, moderate, remedy

MOST_BARS = 5
MOST_CLASHES = 2  # spacings that shut it but clash, and are planned again
WIDER = 2  # spacings that are tried, each a step of the readings over the last
STEPS = 40  # spacings that are tried, each a step of the readings under the last
MOST_CABLES = 300
LEAST_FREE = 300.0  # mm between posts, free; common practice, no source
LEAST_OUT = 6.35  # mm; the least that a job can say, 1/4 in
LEAST_SPACING = 25.0  # mm; common practice, no source: nobody strings cables nearer


def cure_at_rest(plan: Plan, line: RunLine, over: Sequence[Opening]) -> Remedy:
    """What closes the openings ``over`` that a sphere passes at rest."""
    if plan.trial:
        return UNTOLD
    if any(opening.limit <= 0.0 for opening in over):
        return remedy([_beside(plan, line, min(opening.sphere for opening in over))])
    found = [one for one in (_respaced(plan, line, over), _recounted(plan, line, over)) if one]
    if not found:
        found = [one for one in (lowered(plan, line, over),) if one]
    given = [name for name in ("first", "count", "spacing") if getattr(line.guard, name) is not None]
    out = Change(dict.fromkeys(given))
    left = checked(plan, line, left_out(given), out) if given and shut_at_rest(plan, line, out) else None
    found += [*([left] if left else []), *led_at_rest(plan, line, over)]
    found += _held_too(plan, line, over) if found else []
    most = well_under(plan, min(opening.limit for opening in over) - EPSILON)
    otherwise = f"leave {both(plan, most)} open at most, by first, spacing or count"
    if not found and shut_at_rest(plan, line, Change(dict.fromkeys(("first", "count", "spacing")))):
        otherwise += ", with end fittings that do not run into each other then"
    return remedy(found, otherwise)


def _held_too(plan: Plan, line: RunLine, over: Sequence[Opening]) -> list[Cure]:
    """The spacing that keeps the run shut under its side force too, in a list; empty where none does or a table decides."""
    closer = None if plan.job.rules.tension_table or line.guard.spacing is None else _closer(plan, line, over)
    return [replace(closer, words=f"{closer.words}, shut under load too")] if closer else []


def _beside(plan: Plan, line: RunLine, sphere: float) -> Cure | str:
    """How far beyond the deck's edge the cables may stand: the most of some shares of ``sphere`` that shuts all at rest."""
    for tenths in range(9, 0, -1):
        change = Change({"out": finely_down(plan, sphere * tenths / 10.0)})
        if change.guard["out"] > LEAST_OUT and shut_at_rest(plan, line, change):
            words = f"stand the cables {both(plan, change.guard['out'])} beyond the deck's edge at most"
            return checked(plan, line, words, change) or words
    return f"stand the cables less than {both(plan, sphere)} beyond the deck's edge"


def left_out(given: Sequence[str]) -> str:
    """Words for keys of the job that are better not given."""
    *most, last = given
    return f"leave {', '.join(most)} and {last} out" if most else f"leave {last} out"


def _cables(count: int) -> str:
    return f"use {count} cable{'s' * (count > 1)}"


def _first(plan: Plan, line: RunLine, over: Sequence[Opening], give: float = 0.0) -> dict[str, Any]:
    """``first`` where the job gives one that leaves the first opening too large."""
    top = next((opening for opening in over if opening.number == 1), None)
    if top is None or line.guard.first is None:
        return {}
    beyond = top.upright - line.guard.first  # what else the opening has: half a cable less, and a stagger
    return {"first": stepped_down(plan, top.limit - EPSILON - give - beyond)}


def _first_words(plan: Plan, changed: dict[str, Any]) -> list[str]:
    return [f"bring the first cable up to {both(plan, changed['first'])} under the rail"] if "first" in changed else []


def _hangs_on_spacing(line: RunLine, opening: Opening) -> bool:
    """Whether the spacing decides how large it is: the pairs, and the first opening that is one spacing."""
    if opening.number == 1:
        return line.guard.first is None
    return 1 < opening.number <= len(line.drops)


def _respaced(plan: Plan, line: RunLine, over: Sequence[Opening]) -> Cure | None:
    """A first cable, a spacing and a count that close all of ``over``, in a run whose job gives a spacing."""
    guard = line.guard
    if guard.spacing is None:
        return None
    changed = _first(plan, line, over)
    parts = _first_words(plan, changed)
    wide = [opening for opening in over if _hangs_on_spacing(line, opening)]
    most = guard.spacing
    if wide:
        most = min(opening.limit - EPSILON + guard.spacing - opening.upright for opening in wide)
    else:
        change = Change({**changed, "count": None})
        new = shut_at_rest(plan, line, change)
        found = checked(plan, line, " and ".join([*parts, *_counted(line, new)]), change) if new else None
        if found:
            return found
    tries = 0
    for spacing in _spacings(plan, line, most):
        change = Change({**changed, "spacing": spacing, "count": None})
        new = shut_at_rest(plan, line, change)
        if new:
            words = [*parts, f"use a spacing of {both(plan, spacing)} at most", *_counted(line, new)]
            found = checked(plan, line, " and ".join(words), change)
            tries += 1
            if found or tries == MOST_CLASHES:
                return found
    return None


def _counted(line: RunLine, new: RunLine) -> list[str]:
    """How many cables the run has now, where the job gives their count."""
    return [_cables(len(new.drops))] if line.guard.count is not None else []


def _spacings(plan: Plan, line: RunLine, most: float) -> Iterator[float]:
    """Spacings worth a trial: whole steps of the readings, the largest first."""
    start = stepped_down(plan, most)
    every = (round(start - step * plan.job.round_to, 6) for step in range(STEPS))
    yield from (spacing for spacing in every if spacing >= max(LEAST_SPACING, 2.0 * line.cable))


def _recounted(plan: Plan, line: RunLine, over: Sequence[Opening]) -> Cure | None:
    """The fewest cables, equally spaced, that close all of ``over``, in a run whose job gives no spacing."""
    if line.guard.spacing is not None:
        return None
    changed = _first(plan, line, over)
    for count in _counts(plan, line, [0.0] * (len(line.openings) + 1)):
        change = Change({**changed, "count": count})
        words = " and ".join([*_first_words(plan, changed), _cables(count)])
        found = checked(plan, line, words, change) if shut_at_rest(plan, line, change) else None
        if found:
            return found
    return None


def _counts(plan: Plan, line: RunLine, gives: Sequence[float]) -> Iterator[int]:
    """Counts worth a trial: the first whose equal openings leave room for the least of what each may be, and two more."""
    every = [opening for opening in openings(plan, line) if opening.number]
    most = min(opening.limit - give for opening, give in zip(every, gives, strict=False))
    total, more = fsum(line.openings) + len(line.drops) * line.cable, len(line.openings) - len(line.drops)
    for count in range(len(line.drops) + 1, MOST_CABLES):
        if (total - count * line.cable) / (count + more) < most:
            yield from (count, count + 1, count + 2)
            return


def lowered(plan: Plan, line: RunLine, over: Sequence[Opening], give: float = 0.0) -> Cure | None:
    """How far down a lowest member has to come on the level, where the job says how high it stands.

    ``give``: what it lifts under load, square to the cables, mm.
    """
    gap = next((opening for opening in over if opening.number == 0), None)
    if gap is None:
        return None
    most = well_under(plan, (gap.limit - EPSILON - give) / cos(line.rake))
    test = shut if give else shut_at_rest
    change = Change({"bottom_gap": most})
    words = f"bring the lowest cable down to {both(plan, most)} over the walking surface"
    found = checked(plan, line, words, change) if most > 0.0 and test(plan, line, change) else None
    if found:
        return found
    change = Change({"count": len(line.drops) + 1})
    if line.guard.spacing is not None and test(plan, line, change):
        return checked(plan, line, _cables(len(line.drops) + 1), change)
    return None


def cures_under_load(plan: Plan, line: RunLine, over: Sequence[Opening]) -> Remedy:
    """What keeps every opening of the run shut under its side force: a pull, a count, a spacing, bars or a span."""
    if plan.trial:
        return UNTOLD
    force, held = plan.loads[line.id].force, plan.loads[line.id].strung
    give, more = max(opening.give(held, force) for opening in over), len(line.drops) + 1
    found = [
        pulled(plan, line),
        *nearer_the_pull(plan, line),
        lowered(plan, line, over, give)
        or _more(plan, line, over)
        or _pulled_at(plan, line, _cables(more), {"count": more}),
        _wider(plan, line, over),
        _closer(plan, line, over),
        barred(plan, line),
    ]
    return remedy(moderate(plan, found) or [_nearer(plan, line)])


def _bars_for(plan: Plan, line: RunLine, held: Strung, free: float, guard: dict[str, Any], words: str) -> Cure | None:
    """A spacing, told in ``words``, with as many bars as leave ``free`` mm at most; None where that does not hold."""
    bars = ceil(held.pair / free - EPSILON) - 1
    change = Change(guard, bars=bars)
    if not 1 <= bars <= MOST_BARS or not shut(plan, line, change):
        return None
    return checked(plan, line, f"{words}, with {bars} spacer bar{'s' * (bars > 1)} put into each free length", change)


def pulled(plan: Plan, line: RunLine, what: What = "openings") -> Cure | None:
    """The pull that keeps every opening of the run and its triangle shut and is safe at its tightest, None for none."""
    loaded = plan.loads[line.id]
    held = loaded.strung
    needed = [opening.pull_needed(held, loaded.force) for opening in opened(plan, line)]
    step = triangle(plan, line)
    if step and step.opened:
        assert isinstance(line.ground, Stair)
        room = (highest_member(line.ground, step.sphere) - line.gap) * cos(line.rake) - held.play / 2.0
        needed.append(tension_for(loaded.force, room, held.bottom, held.stiffness, held.total))
    pull = pull_for(plan, held, max(needed)) + 1.0
    if not isfinite(pull) or pull > 1e9:
        return None
    change = Change(pull=told_up(plan, pull))
    return checked(plan, line, f"pull {at_least(plan, pull)}", change) if shut(plan, line, change, what) else None


def _more(plan: Plan, line: RunLine, over: Sequence[Opening]) -> Cure | None:
    """The fewest cables more that keep the run shut: equally spaced, or under the last where only that gives too much."""
    force, held = plan.loads[line.id].force, plan.loads[line.id].strung
    guard = line.guard
    counts: Iterator[int] = iter(())
    if guard.spacing is None:
        counts = _counts(plan, line, [opening.give(held, force) for opening in openings(plan, line)])
    elif guard.spacing is not None and all(opening.number == len(line.drops) + 1 for opening in over):
        (last,) = over
        more = ceil((last.upright + last.give(held, force) - last.limit + EPSILON) / guard.spacing)
        counts = iter((len(line.drops) + max(more, 1), len(line.drops) + max(more, 1) + 1))
    for count in counts:
        if shut(plan, line, Change({"count": count})):
            return checked(plan, line, _cables(count), Change({"count": count}))
    return None


def _pulled_at(plan: Plan, line: RunLine, words: str, guard: dict[str, Any]) -> Cure | None:
    """A count or a spacing, told in ``words``, pulled as its openings then need; None where that does not keep them shut."""
    new = tried(plan, line, Change(guard)) if line.guard.spacing is not None else None
    over = opened(*new) if new else []
    if new is None or not over:
        return None
    loaded = new[0].loads[line.id]
    pull = pull_for(plan, loaded.strung, max(one.pull_needed(loaded.strung, loaded.force) for one in over)) + 1.0
    if not isfinite(pull) or pull > 1e9:
        return None
    change = Change(guard, pull=told_up(plan, pull))
    return checked(plan, line, f"{words} and pull {at_least(plan, pull)}", change) if shut(plan, line, change) else None


def _wider(plan: Plan, line: RunLine, over: Sequence[Opening]) -> Cure | None:
    """As many cables a little further apart, so that the last lies lower, where what is under it gives too much; pulled more
    where the others need that."""
    count, spacing = len(line.drops), line.guard.spacing
    last = next((opening for opening in over if opening.number == count + 1), None)
    if spacing is None or count < 2 or last is None:
        return None
    force, held = plan.loads[line.id].force, plan.loads[line.id].strung
    need = last.upright + last.give(held, force) - last.limit + EPSILON
    least = stepped_up(plan, spacing + need / (count - 1))
    told = {
        least + step * plan.job.round_to: {"spacing": least + step * plan.job.round_to, "count": count}
        for step in range(WIDER)
    }
    words = {wider: f"space the cables {both(plan, wider)}, {count} of them" for wider in told}
    for wider, guard in told.items():
        if shut(plan, line, Change(guard)):
            return checked(plan, line, words[wider], Change(guard))
    return _pulled_at(plan, line, words[least], told[least])


def _closer(plan: Plan, line: RunLine, over: Sequence[Opening]) -> Cure | None:
    """The largest spacing, in steps of the readings, that keeps the run shut, with the cables that it takes."""
    if not any(_hangs_on_spacing(line, opening) or opening.number == 1 for opening in over):
        return None
    force, held = plan.loads[line.id].force, plan.loads[line.id].strung
    sphere = min(opening.sphere for opening in over)
    top = next((opening for opening in over if opening.number == 1), None)
    changed = _first(plan, line, over, top.give(held, force)) if top else {}
    give = held.play + 2.0 * bent(held, held.pair, held.slackest, force)
    for spacing in _spacings(plan, line, sphere - give + line.cable - EPSILON):
        found = _at_spacing(plan, line, {**changed, "spacing": spacing, "count": None}, _first_words(plan, changed))
        if found:
            return checked(plan, line, *found)
    return None


def checked(plan: Plan, line: RunLine, words: str, change: Change) -> Cure | None:
    """A change as a cure where holes and pieces can then be as they stand, None where they can not; a pull that the
    screws of the run's ends do not hold says so. Its words alone where nothing more may be planned again."""
    again = bool(change.guard or change.bars)
    if again and (plan.trial or not plan.tries.left()):
        return Cure(words, ())
    if again and not builds(plan, line, change):
        return None
    if change.pull is not None and overloads(plan, line, change):
        words += " (the screws at its ends then hold less than the pull)"
    return cure(plan, line, words, change)


def _at_spacing(plan: Plan, line: RunLine, changed: dict[str, Any], before: Sequence[str]) -> tuple[str, Change] | None:
    """A spacing that keeps the run shut, with one cable more than it takes at rest if need be; ``before``: first words."""
    words = " and ".join([*before, f"space the cables {both(plan, changed['spacing'])}"])
    new = shut(plan, line, Change(changed))
    if new:
        many = "" if line.guard.count is None else f", {len(new.drops)} of them"
        return words + many, Change(changed)
    laid = tried(plan, line, Change(changed))
    if laid is None:
        return None
    count = len(laid[1].drops) + 1
    change = Change({**changed, "count": count})
    return (f"{words}, {count} of them", change) if shut(plan, line, change) else None


def barred(plan: Plan, line: RunLine, what: What = "openings") -> Cure | None:
    """Bars in each free length, or the run's own bars fixed at both ends, that keep it shut; None for none."""
    own = next(run for run in plan.job.runs if run.id == line.id).spacers
    if own and set(plan.job.kinds[own.kind].fixed) < {"top", "bottom"} and shut(plan, line, Change(fix=True), what):
        return cure(plan, line, "fix the spacer bars at top and bottom", Change(fix=True))
    for bars in range(1, MOST_BARS + 1):
        if shut(plan, line, Change(bars=bars), what):
            which = f"each = {each_with(own.each, bars)}" if own else "fixed at top and bottom"
            words = f"put {bars} spacer bar{'s' * (bars > 1)} in each free length ({which})"
            return checked(plan, line, words, Change(bars=bars))
    return None


def _nearer(plan: Plan, line: RunLine) -> Cure | str:
    """The longest free length at which the run stays shut; where none that can be built does by itself a nearer spacing, with
    bars or posts."""
    own = _free_length(plan, line)
    if own is not None and own >= LEAST_FREE:
        return _with_spans(plan, line, own)
    less = {} if line.guard.first is None else {"first": None}
    out = "" if line.guard.first is None else ", leave first out"
    for spacing in _spacings(plan, line, min(opening.limit for opening in openings(plan, line)) + line.cable):
        guard = {**less, "spacing": spacing, "count": None}
        new = tried(plan, line, Change(guard))
        free = _free_length(*new) if new else None
        if new is None or free is None or free < LEAST_FREE:
            continue
        words = f"space the cables {both(plan, spacing)}{out}"
        found = _bars_for(plan, line, new[0].loads[line.id].strung, free, guard, words)
        return found or f"{words}, and {_stand(plan, free)}"
    if own is not None:
        return _with_spans(plan, line, own)
    return "use a thicker cable, or bars in place of the cables: no spacing and no span shuts it"


def _with_spans(plan: Plan, line: RunLine, free: float) -> Cure | str:
    """Posts that leave no cable free over more than ``free`` mm."""
    words = f"shorten the spans: {_stand(plan, free)}"
    return with_posts(plan, line, finely_down(plan, free), words, lambda new, run: not opened(new, run))


def _stand(plan: Plan, free: float) -> str:
    return f"stand posts so that no cable is free over more than {both(plan, finely_down(plan, free))}"


def _free_length(plan: Plan, line: RunLine) -> float | None:
    """The longest free length at which every opening of the run stays shut, by bisection, mm; None for none.

    The cables stay as long as they are, and lie in the holes of the line posts that it takes.
    """
    job, loaded = plan.job, plan.loads[line.id]
    held = loaded.strung
    hole = cable_hole(job, job.kinds[job.stands.line], passing(job, *line.fitted)).diameter
    play = max(held.play, hole - line.cable)
    every = openings(plan, line)

    def over(free: float) -> float:
        give = play / 2.0 + bent(held, free, held.slackest, loaded.force)
        return max(opening.upright + opening.cables * give - opening.limit for opening in every)

    return largest_spacing(over, -EPSILON, 1.0, max(held.pair, held.top, held.bottom))
