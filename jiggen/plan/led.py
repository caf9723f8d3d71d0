"""Runs whose cables are one turned into what each leg has of it: the pull that is left, the whole length, the turns."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import acos, exp, fsum, sin
from typing import TYPE_CHECKING

from jiggen.geometry import Vector
from jiggen.job.led import Chain, chains, fitted
from jiggen.job.model import Job
from jiggen.mechanics.heat import BEND_FRICTION
from jiggen.plan.prism import Prism

if TYPE_CHECKING:
    from jiggen.plan.model import RunLine


@dataclass(frozen=True, slots=True)
class CableEnd:
    """Where the cables of a run end: the end post's ``base`` and ``axis``, and by how much the underside was
    built higher there than planned (``lift``)."""

    base: Vector
    axis: Vector
    lift: float = 0.0

    def at_height(self, z: float) -> Vector:
        """The point of the post's axis at world height ``z``."""
        return self.base.plus(self.axis.times((z - self.base.z) / self.axis.z))


@dataclass(frozen=True, slots=True)
class Bend:
    """A post that cables are led round: its name and the turn in space, radians."""

    post: str
    angle: float


@dataclass(frozen=True, slots=True)
class Led:
    """One leg of cables that are led on from run to run.

    ``runs``: the legs in their order along the cables; ``head``: the run that their numbers and labels bear. ``fitted``,
    ``posts``: end fittings and end posts of the whole cable; ``bends`` between its legs. ``share``: of the pull at the
    cable's end, what is left in this leg. ``behind``: the posts that this leg's pull comes round, () where it is pulled
    itself. ``total``: length of the whole cable between its end posts' faces, mm.
    """

    runs: tuple[str, ...]
    head: str
    fitted: tuple[str, str]
    posts: tuple[str, str]
    bends: tuple[Bend, ...]
    share: float
    behind: tuple[str, ...]
    total: float


def legs(job: Job, lines: Sequence[RunLine], prisms: Mapping[str, Prism]) -> dict[str, Led]:
    """By run what it has of cables that are led on; runs whose cables end at both of its end posts are left out.

    ``lines``: the job's runs, in place or not. A leg has e^(-m a) of the pull for each turn a between it and an end with
    thread; of two such ends the nearer, that leaves more, as both are turned. Where no end has thread nobody knows which is
    pulled, so each leg is told the lesser. Lengths inside a post go to the middle of it; across a hollow one the
    cable goes straighter, so it is never longer than this.
    """
    found: dict[str, Led] = {}
    for chain in chains(job.runs) if any(run.led_on for run in job.runs) else ():
        own = [(lines[index], forward) for index, forward in chain.legs]
        bends = _bends(chain, own)
        ends = fitted(job.runs, chain)
        (first, on), (last, forward) = own[0], own[-1]
        posts = first.posts[0 if on else -1], last.posts[-1 if forward else 0]
        total = fsum(_length(line, prisms, set(chain.posts)) for line, _ in own)
        names = tuple(line.id for line, _ in own)
        for place, (line, _) in enumerate(own):
            share, behind = _left(job, ends, bends, place)
            found[line.id] = Led(names, lines[chain.head].id, ends, posts, bends, share, behind, total)
    return found


def _bends(chain: Chain, own: Sequence[tuple[RunLine, bool]]) -> tuple[Bend, ...]:
    """The turn at each post between two legs."""
    ways = [line.direction if forward else line.direction.times(-1.0) for line, forward in own]
    return tuple(Bend(post, turn_between(ways[i], ways[i + 1])) for i, post in enumerate(chain.posts))


def turn_between(before: Vector, after: Vector) -> float:
    """The angle in space, radians, by which a cable turns from one direction to the next; 0 straight on."""
    return acos(max(-1.0, min(1.0, before.dot(after))))


def _left(job: Job, ends: tuple[str, str], bends: Sequence[Bend], place: int) -> tuple[float, tuple[str, ...]]:
    """The share of the pull that is left in the leg at ``place``, and the posts that it comes round."""
    ways = [(_shared(part), tuple(bend.post for bend in part)) for part in (bends[:place], bends[place:])]
    turning = [way for way, name in zip(ways, ends, strict=True) if name in job.fittings and job.fittings[name].travel]
    return max(turning, key=lambda way: way[0]) if turning else min(ways, key=lambda way: way[0])


def _shared(bends: Sequence[Bend]) -> float:
    return exp(-BEND_FRICTION * fsum(bend.angle for bend in bends))


def _length(line: RunLine, prisms: Mapping[str, Prism], turned: set[str]) -> float:
    """Along the cable from the face of each end post, or from the middle of one that it is led round."""
    free = fsum(
        0.0 if post in turned else prisms[post].half_extent(line.level) for post in (line.posts[0], line.posts[-1])
    )
    return max(line.stations[-1] - free, 1.0) / line.cosine


def side_pull(tension: float, angle: float) -> float:
    """What one cable pulls a post sideways that it is led round by ``angle`` radians, N: 2 T sin(a / 2), towards the inside.

    ``tension``: on both sides of the post; behind it there is less, so this is the most.
    """
    return 2.0 * tension * sin(angle / 2.0)


def turned_posts(lines: Sequence[RunLine]) -> Iterator[tuple[Bend, RunLine]]:
    """Every post that cables are led round, once, with the run that they bear the name of."""
    for line in lines:
        if line.led and line.led.head == line.id:
            yield from ((bend, line) for bend in line.led.bends)
