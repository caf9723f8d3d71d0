"""A run held against its rule set's table of tensions: what it asks for, and the pull, spacing or span that meets it."""

from __future__ import annotations

from collections.abc import Iterator

from jiggen.handbook.strands import breaking_load
from jiggen.mechanics.endpost import is_safe
from jiggen.mechanics.opening import CONE_FRICTION, CONE_PUSH, CONE_SIZE, cone_push, opens_at
from jiggen.plan.loads import Load, Strung
from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Cure, Problem
from jiggen.review.behind import behind_words
from jiggen.review.cures import checked
from jiggen.review.nearer import with_posts
from jiggen.review.openings import open_at_rest
from jiggen.review.trial import Change, tried
from jiggen.review.words import at_least, both, newtons, stepped_down, told_up
from jiggen.review.written import cure, remedy
from jiggen.units import mm_text


def required(plan: Plan, line: RunLine, loaded: Load) -> Iterator[Problem]:
    """The tension that the table asks for at this spacing and clear span; loaded openings are only told."""
    held, cable = loaded.strung, plan.job.cable
    asked = _asked(plan, line.spacing, held.bay)
    if asked is None:
        helps = remedy(list(_listed(plan, line, held)), _wires(plan))
        yield Problem(
            "stop",
            f"run {line.id}",
            f"the table has no tension for {mm_text(cable.diameter, 1)} mm {cable.strand.name} every "
            f"{both(plan, line.spacing)} between supports {both(plan, held.bay)} apart",
            helps.words,
            plan.job.rules.tension_clause,
            helps.cures,
        )
    elif held.tension < asked - 1e-6:
        left = f" ({words[2:]})" if (words := behind_words(line, held)) else ""
        end = asked / held.share  # before the bends that its cables come round
        words = f"pull {at_least(plan, end)}, measured by strain"
        pull = [cure(plan, line, words, Change(pull=told_up(plan, end)))] if _safe(plan, held, end) else []
        helps = remedy([*pull, *_enough(plan, line, held)], _wires(plan))
        yield Problem(
            "stop",
            f"run {line.id}",
            f"the pull is {newtons(plan, held.tension)}{left}, the table asks for {newtons(plan, asked)}",
            helps.words,
            plan.job.rules.tension_clause,
            helps.cures,
        )
    yield Problem(
        "note",
        f"run {line.id}",
        f"under {newtons(plan, loaded.force)} on each cable its openings give to {both(plan, max(loaded.worst))} at the slackest; "
        f"the table of tensions decides, this is told only{_cone(plan, line, held)}",
        "write side_force in [cable] to be told of another force",
    )


def _cone(plan: Plan, line: RunLine, held: Strung) -> str:
    """The push at which the cone that the table was made with passes between two cables, at the pull on the day."""
    if not plan.job.rules.tension_cone or len(line.drops) < 2:
        return ""
    clear = line.spacing - line.cable
    side = opens_at(clear, CONE_SIZE, held.pair, held.tension, held.stiffness, held.total, held.play)
    push = newtons(plan, cone_push(side, CONE_FRICTION))
    return f"; a steel cone of {both(plan, CONE_SIZE)}, which the table was made with at {newtons(plan, CONE_PUSH)}, passes at {push}"


def _asked(plan: Plan, spacing: float, clear: float) -> float | None:
    cable = plan.job.cable
    return plan.job.rules.required_tension(cable.diameter, cable.strand.name, spacing, clear)


def _spacings(plan: Plan, most: float) -> list[float]:
    """The listed spacings up to ``most`` mm, the largest first."""
    return sorted({row.spacing for row in plan.job.rules.tension_table if row.spacing <= most}, reverse=True)


def _spans(plan: Plan, most: float) -> list[float]:
    """The listed clear spans up to ``most`` mm, the longest first."""
    rows = plan.job.rules.tension_table
    return sorted({span for row in rows for span, _ in row.tensions if span <= most}, reverse=True)


def _safe(plan: Plan, held: Strung, pull: float) -> bool:
    """Whether ``pull`` N on the day of installing is at most half of the breaking strength at its tightest."""
    strength = breaking_load(plan.job.cable.strand, plan.job.cable.diameter)
    return strength is None or is_safe(pull + held.tightest - held.pulled, strength)


def _spaced(plan: Plan, line: RunLine, spacing: float, pull: float | None = None) -> Cure | None:
    """A listed spacing, and a pull where one is given, where the table then asks for no more and nothing opens at rest."""
    down = stepped_down(plan, spacing)
    change = Change({"spacing": down, "count": None}, told_up(plan, pull) if pull is not None else None)
    new = tried(plan, line, change)
    if new is None or (open_at_rest(*new) and not open_at_rest(plan, line)):
        return None
    held = new[0].loads[line.id].strung
    asked = _asked(plan, new[1].spacing, held.bay)
    if asked is None or held.tension < asked - 1e-6:
        return None
    words = f"space the cables {both(plan, down)} at most"
    return checked(plan, line, words if pull is None else f"{words} and pull {at_least(plan, pull)}", change)


def _listed(plan: Plan, line: RunLine, held: Strung) -> Iterator[Cure | str]:
    """The largest spacing at this span, then the longest span at this spacing, that the table lists, with their pulls."""
    for spacing in _spacings(plan, line.spacing):
        asked = _asked(plan, spacing, held.bay)
        if asked is not None and _safe(plan, held, asked / held.share):
            found = _spaced(plan, line, spacing, max(asked / held.share, held.pulled))
            if found:
                yield found
                break
    for span in _spans(plan, held.bay):
        asked = _asked(plan, line.spacing, span)
        if asked is not None and _safe(plan, held, asked / held.share):
            pull = max(asked / held.share, held.pulled)
            words = f"bring supports {both(plan, stepped_down(plan, span))} apart at most, clear, "
            words += f"and pull {at_least(plan, pull)}"
            yield with_posts(plan, line, stepped_down(plan, span), words, _met, told_up(plan, pull))
            break


def _enough(plan: Plan, line: RunLine, held: Strung) -> Iterator[Cure | str]:
    """The largest spacing at this span, then the longest span at this spacing, for which the pull as it is suffices."""
    for spacing in _spacings(plan, line.spacing):
        asked = _asked(plan, spacing, held.bay)
        if asked is not None and asked <= held.tension:
            found = _spaced(plan, line, spacing)
            if found:
                yield found
                break
    for span in _spans(plan, held.bay):
        asked = _asked(plan, line.spacing, span)
        if asked is not None and asked <= held.tension:
            words = f"bring supports {both(plan, stepped_down(plan, span))} apart at most, clear"
            yield with_posts(plan, line, stepped_down(plan, span), words, _met)
            break


def _met(plan: Plan, line: RunLine) -> bool:
    """Whether the pull is what the table asks for."""
    held = plan.loads[line.id].strung
    asked = _asked(plan, line.spacing, held.bay)
    return asked is not None and held.tension >= asked - 1e-6


def _wires(plan: Plan) -> str:
    """The wires that the table lists."""
    lays: dict[str, list[float]] = {}
    for row in plan.job.rules.tension_table:
        lays.setdefault(row.lay, []).append(row.diameter)
    words = (f"{lay} of {', '.join(mm_text(d, 1) for d in sorted(set(found)))} mm" for lay, found in lays.items())
    return f"use a wire, a spacing and a span that the table lists: {'; '.join(words)}"
