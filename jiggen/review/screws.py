"""An end fitting's screws in a wooden post turned into problems: penetration, pull, and pull and shear together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import atan2, floor, hypot

from jiggen.handbook.screw_lengths import Sold, sold_lengths
from jiggen.handbook.screws import Screw, parse_screw
from jiggen.job.model import Fitting, PostKind
from jiggen.mechanics.hold import (
    Kind,
    held_together,
    hold,
    least_penetration,
    penetration,
    pull_and_shear,
    reach,
    thread_in_wood,
)
from jiggen.mechanics.lateral import lateral
from jiggen.plan.model import Plan, Post, PostFace, RunLine
from jiggen.plan.rescrewed import rescrewed, screw_stops
from jiggen.problems import Cure, Problem
from jiggen.review.signs import sign
from jiggen.review.words import at_least, both, newtons, stepped_up
from jiggen.review.written import piece_keys

NDS = "NDS 12.2, withdrawal; wood screws from memory"
TOGETHER = "NDS 12.2, 12.3 and 12.4; wood screws, shear and the angle from memory"
MOST_SCREWS = 8
LAGS = {"in": ("1/4 in", "5/16 in", "3/8 in"), "mm": ("6 mm", "8 mm", "10 mm")}  # that are named, by the job's units
NOTHING = 1.0  # N; a shear under it is none


@dataclass(frozen=True, slots=True)
class Grip:
    """Screws of one kind in one post: what they pass before the wood, ``flange``, ``sleeve`` and ``gap``, and the most
    that may be in the post behind the flange, ``room``, mm. ``grain``: of the shear, radians to the grain. ``free``:
    whether another such screw is in nobody's way in its post."""

    screw: Screw
    gravity: float
    flange: float
    sleeve: float
    gap: float
    room: float
    grain: float = 0.0
    free: Callable[[Screw], bool] = lambda _: True

    @property
    def kind(self) -> Kind:
        return "lag" if self.screw.kind == "lag" else "wood"

    @property
    def least(self) -> float:
        """Least penetration, mm."""
        return least_penetration(self.kind, self.screw.shank)

    def inside(self, length: float) -> float:
        """Penetration as it is counted of a screw ``length`` mm long, mm."""
        return penetration(self.kind, reach(length, self.flange, self.sleeve, self.gap), self.screw.shank)

    def out(self, count: int, length: float) -> float:
        """Pull straight out of the face, N, that ``count`` screws ``length`` mm long hold for good."""
        shank = self.screw.shank
        thread = thread_in_wood(length, shank, self.flange, self.sleeve, self.gap)
        return hold(self.kind, count, self.gravity, shank, thread)

    def aside(self, count: int, length: float) -> float:
        """Shear along the face, N, that they hold for good; the flange lies on the wood."""
        inside = reach(length, self.flange, self.sleeve, self.gap)
        return count * lateral(self.screw.shank, self.screw.root, inside, self.flange, self.gravity, grain=self.grain)

    def fits(self, length: float) -> bool:
        """Whether a screw of that length ends inside the post."""
        return length - self.flange < self.room - 1e-6

    def holds(self, count: int, length: float, pull: float, shear: float) -> bool:
        """Whether they hold the pull, and pull and shear at once; shear where it can be judged."""
        if self.inside(length) < self.least - 1e-6 or self.out(count, length) < pull:
            return False
        if shear <= NOTHING or not self.judges_shear:
            return True
        return held_together(pull, shear, self.out(count, length), self.aside(count, length))

    @property
    def judges_shear(self) -> bool:
        """The flange's thickness is known and it lies on the wood that the screws are in."""
        return self.flange > 0.0 and self.sleeve + self.gap <= 0.0


Clear = dict[tuple[str, str, float], bool]
"""Whether a screw may take the place of a fitting's own, by the fitting's name, the screw's kind and size, and its length, mm."""


def screwed(plan: Plan, line: RunLine, post: Post, fitting: Fitting, known: Clear | None = None) -> Iterator[Problem]:
    """What is wrong with the hold of one end of a run, the pull at its tightest; nothing for metal and machine screws.

    ``known``: what was worked out for other ends."""
    screw, material = fitting.screw, post.kind.material
    if screw is None or screw.kind == "machine" or material.kind != "wood" or material.gravity is None:
        return
    sleeve, gap = sleeve_and_gap(post.kind)
    face = _face(line, post)
    pull, shear, grain = _pulls(plan.loads[line.id].strung.tightest, line, face)
    grip = Grip(
        screw,
        material.gravity,
        fitting.flange,
        sleeve,
        gap,
        _room(post, face),
        grain,
        in_nobodys_way(plan, fitting, {} if known is None else known),
    )
    where = f"{post.id}, {fitting.name}"
    if grip.inside(screw.length) < grip.least - 1e-6:
        yield _shallow(plan, where, grip, fitting)
        return
    count = len(fitting.screws)
    if not grip.holds(count, screw.length, pull, shear):
        yield _weak(plan, where, grip, fitting, pull, shear)
    elif shear > NOTHING and not grip.judges_shear:
        yield _unjudged(plan, where, grip, shear)


def in_nobodys_way(plan: Plan, fitting: Fitting, known: Clear) -> Callable[[Screw], bool]:
    """Whether a screw in the place of a fitting's own stops nothing that was not stopped before, at any post that has it."""

    def free(screw: Screw) -> bool:
        key = (fitting.name, f"{screw.kind} {screw.size}", screw.length)
        if key not in known:
            known[key] = all(_clear(plan, post, fitting, screw) for post in plan.posts if _carries(post, fitting))
        return known[key]

    return free


def _carries(post: Post, fitting: Fitting) -> bool:
    """Whether screws of the fitting are in a post of wood."""
    own = (mark for face in post.faces for mark in face.marks if mark.purpose == "screw")
    return post.kind.material.kind == "wood" and any(mark.what.rpartition(", ")[0] == fitting.name for mark in own)


def _clear(plan: Plan, post: Post, fitting: Fitting, screw: Screw) -> bool:
    before = {sign(plan, problem) for problem in screw_stops(plan, post)}
    return {sign(plan, problem) for problem in screw_stops(plan, rescrewed(plan.job, post, fitting, screw))} <= before


def sleeve_and_gap(kind: PostKind) -> tuple[float, float]:
    """What a screw goes through before it reaches the wood inside a sleeve: wall and gap, mm."""
    if kind.wall is None or kind.core is None:
        return 0.0, 0.0
    return kind.wall, max((kind.along - kind.core) / 2.0 - kind.wall, 0.0)


def _face(line: RunLine, post: Post) -> PostFace | None:
    """The face that the run's fitting sits on."""
    return next((f for f in post.faces if any(m.run == line.id and m.purpose == "screw" for m in f.marks)), None)


def _pulls(tight: float, line: RunLine, face: PostFace | None) -> tuple[float, float, float]:
    """Pull out of the face and shear along it, N, and the shear's angle to the post's grain, radians."""
    if face is None:
        return (*pull_and_shear(tight, abs(line.rake)), 0.0)
    across, up, inward = face.frame.components(line.direction)
    return tight * abs(inward), tight * hypot(across, up), atan2(abs(across), abs(up))


def _room(post: Post, face: PostFace | None) -> float:
    """Depth of wood, sleeve and gap counted, behind the face, mm."""
    kind = post.kind
    along = face is None or abs(face.frame.normal.dot(post.prism.along)) > 0.5
    deep = kind.along if along else kind.across
    return deep if kind.core is None else (deep + kind.core) / 2.0


def most_screws(fitting: Fitting, screw: Screw) -> int:
    """How many screws of that kind a flange of that size has room for, ``MOST_SCREWS`` at most.

    Along the grain 5 diameters apart and across it 2.5, lag screws 4 and 2, in holes drilled before (NDS commentary, from
    memory), 1.5 diameters from the flange's edge (common practice, no source).
    """
    apart, beside = (4.0, 2.0) if screw.kind == "lag" else (5.0, 2.5)
    across, up = ((size - 3.0 * screw.shank) / screw.shank for size in fitting.outline)
    if across < 0.0 or up < 0.0:
        return 0
    return min(MOST_SCREWS, (floor(across / beside + 1e-9) + 1) * (floor(up / apart + 1e-9) + 1))


def _keys(plan: Plan, fitting: Fitting, screw: Screw, sold: Sold) -> tuple[tuple[str, str], ...]:
    """The fitting with screws of that size and length."""
    size = f"lag {screw.size}" if screw.kind == "lag" else screw.size
    return tuple(piece_keys(plan, "fitting", fitting.name, {"screw": f"{size} x {sold.text}"}).items())


def _shallow(plan: Plan, where: str, grip: Grip, fitting: Fitting) -> Problem:
    """Penetration under the least."""
    screw, inside = grip.screw, grip.inside(grip.screw.length)
    times = "4" if grip.kind == "lag" else "6"
    every = sold_lengths(screw, plan.job.units)
    deep = next((one for one in every if grip.inside(one.mm) >= grip.least - 1e-6), None)
    remedy = "use a through-bolt"
    cures: tuple[Cure, ...] = ()
    if deep is not None and not plan.trial and grip.fits(deep.mm) and grip.free(replace(screw, length=deep.mm)):
        by = Cure(f"use screws {deep.told} long", _keys(plan, fitting, screw, deep))
        remedy, cures = by.words, (by,) if by.keys else ()
    elif deep is not None and not grip.fits(deep.mm):
        remedy += f", or a post deeper than {both(plan, stepped_up(plan, deep.mm - grip.flange))}"
    return Problem(
        "stop",
        where,
        f"{screw.text} goes {both(plan, inside)} into the wood, {times} diameters ({both(plan, grip.least)}) are the least",
        remedy,
        "NDS 12.1, least penetration",
        cures,
    )


def _weak(plan: Plan, where: str, grip: Grip, fitting: Fitting, pull: float, shear: float) -> Problem:
    """Screws that the pull, or pull and shear at once, are too much for."""
    count = len(fitting.screws)
    out, aside = grip.out(count, grip.screw.length), grip.aside(count, grip.screw.length)
    bolt = f"a through-bolt for {at_least(plan, hypot(pull, shear))}"
    cures = [] if plan.trial else list(_cures(plan, grip, fitting, pull, shear))
    remedy = f"{', '.join(one.words for one in cures)}, or {bolt}" if cures else bolt
    sideways = f" and {newtons(plan, shear)} sideways" if shear > NOTHING else ""
    if out < pull:
        found = f"hold {newtons(plan, out)} for good, a cable pulls {newtons(plan, pull)} at its tightest{sideways}"
    else:
        whole = hypot(pull, shear)
        most = whole**2 / (pull**2 / out + shear**2 / aside) if aside > 0.0 else 0.0
        found = (
            f"hold {newtons(plan, most)} at this angle for good ({newtons(plan, out)} straight out, {newtons(plan, aside)} "
            f"along the face), a cable pulls {newtons(plan, whole)} at its tightest: {newtons(plan, pull)} out{sideways}"
        )
    source = NDS if out < pull else TOGETHER
    keys = tuple(replace(one, words=f"use {one.words}") for one in cures if one.keys)
    return Problem("check", where, f"{count} of {grip.screw.text} {found}", f"use {remedy}", source, keys)


def _cures(plan: Plan, grip: Grip, fitting: Fitting, pull: float, shear: float) -> Iterator[Cure]:
    """More screws, longer ones, lag screws: each with the figure that holds pull and shear."""
    screw, count = grip.screw, len(fitting.screws)
    most = most_screws(fitting, screw)
    more = next((n for n in range(count + 1, most + 1) if grip.holds(n, screw.length, pull, shear)), None)
    if more:
        yield Cure(f"{more} such screws, in a flange with as many holes", ())
    longer = _shortest(plan, grip, count, pull, shear, screw.length)
    if longer:
        yield Cure(f"screws {longer.told} long", _keys(plan, fitting, screw, longer))
    if grip.kind == "lag":
        return
    for size in LAGS[plan.job.units]:
        lag = replace(grip, screw=parse_screw(f"lag {size} x {screw.length:.4f} mm"))
        found = _shortest(plan, lag, count, pull, shear)
        if found:
            yield Cure(f"{size} lag screws {found.told} long", _keys(plan, fitting, lag.screw, found))
            return


def _shortest(plan: Plan, grip: Grip, count: int, pull: float, shear: float, over: float = 0.0) -> Sold | None:
    """The shortest length over ``over`` mm that such screws are sold in, that holds and ends inside the post."""
    every = (one for one in sold_lengths(grip.screw, plan.job.units) if one.mm > over + 1e-6)
    found = next((one for one in every if grip.fits(one.mm) and grip.holds(count, one.mm, pull, shear)), None)
    return found if found and grip.free(replace(grip.screw, length=found.mm)) else None


def _unjudged(plan: Plan, where: str, grip: Grip, shear: float) -> Problem:
    """Shear on screws whose flange is not known, or that bend in a sleeve's gap."""
    if grip.flange <= 0.0:
        found, remedy = "the flange's thickness is not given, so", "write flange in the fitting's table"
    else:
        found, remedy = "the screws pass a sleeve before the wood, so", "block the sleeve there, or use a through-bolt"
    return Problem(
        "check",
        where,
        f"{found} the {newtons(plan, shear)} along the face at the tightest are not judged",
        remedy,
        TOGETHER,
    )
