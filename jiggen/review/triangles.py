"""The triangle of tread, riser and lowest member turned into what closes it, at rest and with its cable lifted."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from jiggen.job.model import Rail, Stair
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.spacing import LEAST_GAP, RAIL_GAP, highest_member, triangle_circle, worst_circle
from jiggen.problems import Cure
from jiggen.review.behind import led_step
from jiggen.review.cures import barred, checked, left_out, pulled
from jiggen.review.openings import Triangle, open_at_rest, opened, triangle
from jiggen.review.trial import Change, tried
from jiggen.review.words import EPSILON, both, finely_down, well_under
from jiggen.review.written import UNTOLD, Remedy, moderate, remedy

RAIL = {"in": 38.1, "mm": 38.0}  # depth of a bottom rail that is named, mm: 1 1/2 in; common practice, no source
KEYS = ("first", "count", "spacing")


def triangle_cures(plan: Plan, line: RunLine, step: Triangle) -> Remedy:
    """What a job can write to close the triangle of ``line``, else which steps would let its lowest member close it."""
    if plan.trial:
        return UNTOLD
    assert isinstance(line.ground, Stair)
    most = highest_member(line.ground, step.sphere) - EPSILON
    parts: list[Cure | str | None] = []
    if line.closes == "cable":
        parts.append(_lower(plan, line, "lowest cable", most - step.lift))
        if step.opened:
            parts += [pulled(plan, line, "triangle"), barred(plan, line, "triangle")]
        parts.append(_railed(plan, line, min(well_under(plan, most), finely_down(plan, RAIL_GAP))))
    else:
        parts.append(_lower(plan, line, "bottom rail", most))
    parts.append(led_step(plan, line))
    named = moderate(plan, parts)
    if not named and well_under(plan, most) > 0.0:
        return remedy([f"bring the lowest member down to {both(plan, well_under(plan, most))} over the nosing line"])
    return remedy(named or [_other_steps(plan, line.ground, step.sphere)])


def _lower(plan: Plan, line: RunLine, what: str, most: float) -> Cure | None:
    """The lowest member at most ``most`` up, with keys left out that fix where it is; None where that does not help.

    A cable nearer to the nosings than ``LEAST_GAP`` is not named: a check would then ask for a bottom rail.
    """
    down = well_under(plan, most)
    if down < (LEAST_GAP if line.closes == "cable" else EPSILON):
        return None
    words = f"bring the {what} down to {both(plan, down)} over the nosing line"
    return _with_less(plan, line, words, {"bottom_gap": down})


def _railed(plan: Plan, line: RunLine, up: float) -> Cure | None:
    """A bottom rail ``up`` mm over the nosing line, which does not lift; None where it does not help."""
    if up <= 0.0:
        return None
    words = f"give this run a bottom rail {both(plan, up)} over the nosing line"
    rail = Rail(RAIL[plan.job.units], line.guard.rail.width)
    return _with_less(plan, line, words, {"bottom_rail": rail, "bottom_gap": up})


def _with_less(plan: Plan, line: RunLine, words: str, guard: dict[str, Any]) -> Cure | None:
    """The change with as few keys left out as it takes to hold."""
    for less in _lists([key for key in KEYS if getattr(line.guard, key) is not None]):
        change = Change({**guard, **dict.fromkeys(less)})
        if _holds(plan, line, change):
            found = checked(plan, line, f"{words}, and {left_out(less)}" if less else words, change)
            if found:
                return found
    return None


def _lists(given: list[str]) -> Iterator[list[str]]:
    yield []
    if "count" in given and len(given) > 1:
        yield ["count"]
    if given:
        yield given


def _holds(plan: Plan, line: RunLine, change: Change) -> bool:
    """Whether the triangle is then shut, under load too where that is judged, and no other opening is newly open."""
    new = tried(plan, line, change)
    step = triangle(*new) if new else None
    if new is None or step is None or step.open_at_rest:
        return False
    if open_at_rest(*new) and not open_at_rest(plan, line):
        return False
    if plan.job.rules.tension_table:
        return True
    return not step.opened and not (opened(*new) and not opened(plan, line))


def _other_steps(plan: Plan, stair: Stair, sphere: float) -> str:
    """Which rise, going or overhang would let a member on the nosing line close the triangle."""
    rise, going = max(stair.extremes(), key=lambda step: triangle_circle(step[0], step[1], stair.overhang, 0.0))
    over = stair.overhang
    would = [
        f"a rise of {both(plan, size)}"
        for size in [_largest(plan, rise, lambda size: triangle_circle(size, going, over, 0.0) < sphere)]
        if size > 0.0
    ]
    size = _largest(plan, going, lambda size: over < size and triangle_circle(rise, size, over, 0.0) < sphere)
    would += [f"a going of {both(plan, size)}"] if size > over else []
    size = _largest(plan, over, lambda size: triangle_circle(rise, going, size, 0.0) < sphere)
    would += [f"an overhang of {both(plan, size)}"] if size > 0.0 else []
    passes = worst_circle(stair, 0.0)
    words = " or ".join([", ".join(would[:-1]), *would[-1:]]) if len(would) > 1 else "".join(would)
    return (
        f"these steps pass a sphere of {both(plan, passes)} even under a member on the nosing line: close each triangle with a "
        f"board or a string that stands up over the treads, or have steps with {words} at most"
    )


def _largest(plan: Plan, high: float, passes: Callable[[float], bool]) -> float:
    """The largest size up to ``high`` that passes, told downwards, mm; 0 where none does."""
    low = 0.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if passes(middle) else (low, middle)
    return well_under(plan, low)
