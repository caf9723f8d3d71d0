"""The clear height of a run turned into cable positions: drops, openings and what closes the bottom."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, floor, hypot, sqrt

from jiggen.job.model import Guard, Stair
from jiggen.plan.model import Closes

EPSILON = 1e-6
LEAST_GAP = 12.0
TRIANGLE_MARGIN = 3.0
RAIL_GAP = 50.0
NARROW = 40.0


@dataclass(frozen=True, slots=True)
class Filling:
    """Where the cables of a run lie. ``drops``: vertical; ``openings``: square to the cables; ``gap``: vertical."""

    spacing: float
    drops: tuple[float, ...]
    openings: tuple[float, ...]
    closes: Closes
    gap: float


@dataclass(frozen=True, slots=True)
class Frame:
    """What the cables of a run have to fill.

    ``clear``: underside to the reference line, vertical. ``limit``: the smallest sphere of the rule set in
    the run. ``gap``: reference line up to the lowest member's lower edge, vertical, None: no such gap (the
    walking surface closes the bottom). ``bottom_rail``: its depth square to itself, 0 for none. ``out``: deck edge
    to cable plane, level, of a guard on the fascia.
    """

    clear: float
    rake: float
    diameter: float
    limit: float
    gap: float | None
    bottom_rail: float
    round_to: float
    out: float = 0.0

    @property
    def bottom_limit(self) -> float:
        """The limit of the opening over the deck's edge, upright: beside it the cables stand ``out`` away."""
        return sqrt(max(self.limit**2 - self.out**2, 0.0))

    @property
    def room(self) -> float:
        """Square distance from the underside to what closes the bottom."""
        bottom = (self.gap or 0.0) + self.bottom_rail / cos(self.rake)
        return (self.clear - bottom) * cos(self.rake)

    @property
    def last_is_cable(self) -> bool:
        """True where the lowest cable's lower edge closes the bottom: n openings instead of n + 1."""
        return self.gap is not None and not self.bottom_rail


def fill(frame: Frame, guard: Guard, most: float) -> Filling:
    """Where the cables lie, by what the guard says: count, spacing, both or neither.

    Count: equal openings. Spacing: from the underside down, first centre at one spacing unless ``first`` says
    otherwise, the fewest whose bottom opening is under the limit. Neither: the fewest equal openings whose
    spacing is at most ``most`` (what passes at rest and under load, rounded down), nor over the limit at rest.
    """
    if guard.count is not None and guard.spacing is not None:
        return _filling(frame, guard.spacing, guard.first or guard.spacing, guard.count)
    if guard.spacing is not None:
        first = guard.first or guard.spacing
        return _filling(frame, guard.spacing, first, _count_for(frame, guard.spacing, first))
    if guard.count is not None:
        return _equal(frame, guard.count, guard.first)
    if guard.opened is not None:
        first = guard.first or guard.opened
        return _filling(frame, guard.opened, first, _count_for(frame, guard.opened, first))
    at_rest = floor_to(frame.limit + frame.diameter - EPSILON, frame.round_to)
    return automatic(frame, guard, max(min(most, at_rest), 2.0 * frame.diameter))


def floor_to(length: float, step: float) -> float:
    """``length`` rounded down to whole steps; as it is where it is shorter than one."""
    return step * floor(length / step + 1e-9) if length >= step else length


def automatic(frame: Frame, guard: Guard, most: float) -> Filling:
    """Equal openings by the fewest cables whose spacing is at most ``most``.

    Over a deck's edge that they stand ``out`` beyond, the last one is smaller: it gives no more than the others and
    keeps under its own limit. Where that leaves less than ``NARROW`` it is not tried.
    """
    last = most - frame.diameter - (frame.limit - frame.bottom_limit)
    beside = frame.out > 0.0 and frame.gap is None and last >= NARROW
    for count in range(1, 400):
        found = _equal(frame, count, guard.first)
        if found.spacing <= most + EPSILON and not (beside and found.openings[-1] > last + EPSILON):
            return found
    return _equal(frame, 400, guard.first)


def _equal(frame: Frame, count: int, first: float | None) -> Filling:
    d, room = frame.diameter, frame.room
    if first is None:
        opening = (room - count * d) / (count if frame.last_is_cable else count + 1)
        return _filling(frame, opening + d, opening + d / 2.0, count)
    below = count - 1 if frame.last_is_cable else count
    rest = room - first - d / 2.0
    opening = (rest - (count - 1) * d) / below if below else first - d / 2.0
    return _filling(frame, opening + d, first, count)


def led_on(frame: Frame, spacing: float, first: float, count: int) -> Filling:
    """The cables of another run that go on in this one: ``spacing`` and ``first`` (underside to the first), square to them."""
    return _filling(frame, spacing, first, count)


def _count_for(frame: Frame, spacing: float, first: float) -> int:
    """The smallest count whose bottom opening at rest is under its limit; no cable below the reference line."""
    d = frame.diameter
    if frame.last_is_cable:
        # what may stay open under the lowest cable is the gap; measured square to the cables, to its lower edge
        most = min((frame.gap or 0.0) * cos(frame.rake), frame.limit - EPSILON)
        room = frame.clear * cos(frame.rake)
        fits = floor((room - d / 2.0 - first + EPSILON) / spacing) + 1
        for count in range(1, max(1, fits) + 1):
            if room - (first + (count - 1) * spacing) - d / 2.0 <= most + EPSILON:
                return count
        return max(1, fits)
    room, limit = frame.room, frame.limit if frame.bottom_rail else frame.bottom_limit
    fits = floor((room - d / 2.0 - first + EPSILON) / spacing) + 1
    for count in range(1, max(1, fits) + 1):
        if room - (first + (count - 1) * spacing) - d / 2.0 < limit - EPSILON:
            return count
    return max(1, fits)


def _filling(frame: Frame, spacing: float, first: float, count: int) -> Filling:
    d, c = frame.diameter, cos(frame.rake)
    centres = [first + k * spacing for k in range(count)]
    openings = [first - d / 2.0, *([spacing - d] * (count - 1))]
    gap = frame.gap
    if frame.last_is_cable:
        gap = frame.clear - (centres[-1] + d / 2.0) / c
        closes: Closes = "cable"
    else:
        openings.append(frame.room - centres[-1] - d / 2.0)
        closes = "bottom rail" if frame.bottom_rail else "deck"
    return Filling(spacing, tuple(x / c for x in centres), tuple(openings), closes, gap or 0.0)


def staggered(filling: Filling, by: float, rake: float) -> Filling:
    """The same cables ``by`` mm further down, vertically: the first opening grows, what is under the last shrinks."""
    openings = list(filling.openings)
    openings[0] += by * cos(rake)
    gap = filling.gap
    if filling.closes == "cable":
        gap -= by
    else:
        openings[-1] -= by * cos(rake)
    drops = tuple(drop + by for drop in filling.drops)
    return replace(filling, drops=drops, openings=tuple(openings), gap=gap)


def triangle_circle(rise: float, going: float, overhang: float, height: float) -> float:
    """Diameter of the largest circle in the triangle of tread, riser and a lowest member, mm.

    ``height``: of the member's lower edge over the nosing line, vertical. Legs going x k and rise x k with
    k = 1 + height/rise + overhang/going; the inscribed circle of a right triangle is the sum of the legs
    less the hypotenuse.
    """
    k = 1.0 + height / rise + overhang / going
    return (going + rise - hypot(going, rise)) * k


def highest_member(stair: Stair, sphere: float) -> float:
    """The height over the nosing line at which the worst step's circle equals ``sphere``, vertical, mm."""
    return min(
        rise * (sphere / (going + rise - hypot(going, rise)) - 1.0 - stair.overhang / going)
        for rise, going in stair.extremes()
    )


def worst_circle(stair: Stair, height: float) -> float:
    """Diameter of the largest circle in the triangle of any step, its lowest member ``height`` over the nosing line, mm."""
    return max(triangle_circle(rise, going, stair.overhang, height) for rise, going in stair.extremes())
