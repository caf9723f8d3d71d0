"""A run turned into what its cables feel: free lengths, play, pull in heat and cold, openings under a side force."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import pi, sqrt

from jiggen.geometry import Vector
from jiggen.handbook.woods import frame_expansion
from jiggen.job.model import Job, PostKind, Run, Stair
from jiggen.mechanics.cable import deflection
from jiggen.mechanics.hang import go_band, hang_sag
from jiggen.mechanics.heat import extremes
from jiggen.mechanics.opening import loaded_opening, opens_at, push_through
from jiggen.plan.holes import passing
from jiggen.plan.holes import play as play_in
from jiggen.plan.model import RunLine
from jiggen.plan.prism import Prism

COMMON_SIDE_FORCE = 44.0  # N a cable, 10 lbf (common practice, no source)


@dataclass(frozen=True, slots=True)
class Strung:
    """What a run's cables are held by, mm and N.

    Of cables that are led on round a post: ``share`` is what is left in this run of the pull at their end, ``tension`` and
    ``slackest`` are what that leaves. ``tightest`` is without it, as a bend may leave more than is reckoned with.
    ``total`` is then the length of the whole cable: how far it slides over the bends nobody knows, and the longer it gives,
    the more an opening opens.

    ``pair``, ``top``, ``bottom``: longest free length along the cable between what holds two neighbours apart,
    what holds the top rail's distance, what holds the deck's or bottom rail's (a bar not fixed there does not).
    ``bay``: the longest between anything. ``total``: between the end posts' faces. ``play``: hole less cable,
    0 in a run without line post or bar. ``stiffness``: E times metallic area.
    ``slackest``: worst pull, with loss; ``tightest``: without.
    """

    pair: float
    top: float
    bottom: float
    total: float
    play: float
    stiffness: float
    tension: float
    slackest: float
    tightest: float
    share: float = 1.0

    @property
    def pulled(self) -> float:
        """The pull at the end of the cables that turns, on the day of installing, N."""
        return self.tension / self.share

    @property
    def bay(self) -> float:
        return self.pair


@dataclass(frozen=True, slots=True)
class Load:
    """How the openings of a run stand up, top first. ``rest``, ``loaded``: square openings at rest and at the side
    force with the installed pull; ``worst``: at the slackest; ``opens``: the force on a cable that opens one, N."""

    strung: Strung
    force: float
    loaded: tuple[float, ...]
    worst: tuple[float, ...]
    opens: tuple[float, ...]
    opens_worst: tuple[float, ...]
    sag: float
    go: tuple[float, float]


def stiffness(job: Job) -> float:
    """E times metallic area of the job's cable, N."""
    return job.cable.strand.modulus * job.cable.strand.fill * pi * job.cable.diameter**2 / 4.0


def side_force(job: Job) -> float:
    """The side force on a cable that openings are held against, N."""
    return job.cable.side_force if job.cable.side_force is not None else COMMON_SIDE_FORCE


def strung(job: Job, run: Run, line: RunLine, kinds: Mapping[str, PostKind], prisms: Mapping[str, Prism]) -> Strung:
    """The free lengths of a run and its pulls. ``kinds``, ``prisms``: of its posts by name."""
    bars = job.kinds[run.spacers.kind] if run.spacers else None
    each = run.spacers.each if run.spacers else 0
    halves = [prisms[post].half_extent(line.level) for post in line.posts]
    clear = [
        max(b - a - halves[i] - halves[i + 1], 1.0) / line.cosine for i, (a, b) in enumerate(pairwise(line.stations))
    ]
    wide = bars.along / line.cosine if bars else 0.0
    split = max(1.0, *((length - each * wide) / (each + 1) for length in clear))
    whole = max(clear)
    fixed = bars.fixed if bars else ()
    total = line.led.total if line.led else max(line.stations[-1] - halves[0] - halves[-1], 1.0) / line.cosine
    cable, share = job.cable, line.led.share if line.led else 1.0
    bored = [*line.posts[1:-1], *_turned(line)]
    ways = [(kinds[post], _way(prisms[post], line)) for post in bored]
    ways += [(bars, _straight(line))] if bars else []
    passes = passing(job, *line.fitted)
    play = max((play_in(job, kind, passes, way) for kind, way in ways), default=0.0)
    ea, frame = stiffness(job), frame_expansion(cable.frame) or 0.0
    temperatures = (cable.install_temperature, cable.coldest, cable.hottest)
    left, expansion = cable.tension * share, cable.strand.expansion
    slackest, _ = extremes(left, ea, expansion, frame, *temperatures, cable.loss)
    _, tightest = extremes(cable.tension, ea, expansion, frame, *temperatures, cable.loss)
    top, bottom = (split if not bars or end in fixed else whole for end in ("top", "bottom"))
    return Strung(split, top, bottom, total, max(play, 0.0), ea, left, slackest, tightest, share)


def _turned(line: RunLine) -> Iterator[str]:
    """The posts at a run's ends that its cables are led round, through bores."""
    yield from (post for post, name in ((line.posts[0], line.start), (line.posts[-1], line.finish)) if not name)


def _way(prism: Prism, line: RunLine) -> Vector:
    """The cables' direction in the face of a post by which they come in: across, up, in."""
    face = prism.face_toward(line.level.times(-1.0), line.level)
    return face.components(line.direction)


def _straight(line: RunLine) -> Vector:
    """The same in the face of a bar that stands square to the run."""
    return Vector(0.0, line.direction.z, line.cosine)


def load(job: Job, line: RunLine, held: Strung) -> Load:
    """The openings of a run at rest held against a side force, each against its own sphere."""
    force = side_force(job)
    places = list(zip(line.openings, places_of(line, held), in_plane(job, line), strict=True))

    def opened(pull: float) -> tuple[float, ...]:
        gives = {free: bent(held, free, pull, force) for free in {free for _, (free, _), _ in places}}
        return tuple(loaded_opening(opening, gives[free], held.play, cables) for opening, (free, cables), _ in places)

    def forces(pull: float) -> tuple[float, ...]:
        left = max(pull, 1e-3)
        known = {
            one: opens_at(one[0], one[2], one[1][0], left, held.stiffness, held.total, held.play, one[1][1])
            for one in set(places)  # most openings are alike
        }
        return tuple(known[one] for one in places)

    weight = job.cable.hang_weight
    hang = (weight, held.bay, held.tension, held.stiffness, held.total, abs(line.rake))
    return Load(
        held,
        force,
        opened(held.tension),
        opened(held.slackest),
        forces(held.tension),
        forces(held.slackest),
        hang_sag(*hang),
        go_band(*hang),
    )


def spheres(job: Job, line: RunLine) -> list[tuple[float, str]]:
    """For each opening, top first, the sphere that must not pass and its clause: the smaller of its two edges' zones."""
    stair, c = isinstance(line.ground, Stair), line.cosine
    edge = line.height - line.rail_drop
    found = []
    for opening in line.openings:
        low = edge - opening / c
        rule = job.rules.sphere_at
        found.append(min(rule(max(low, 0.0), stair), rule(max(edge, 0.0), stair)))
        edge = low - line.cable / c
    return found


def in_plane(job: Job, line: RunLine) -> list[float]:
    """For each opening, top first, the size in the cables' plane at which its sphere passes, mm.

    That is the sphere; over a deck whose edge the cables stand ``out`` beyond it is sqrt(sphere^2 - out^2).
    """
    found = [sphere for sphere, _ in spheres(job, line)]
    if line.closes == "deck" and line.guard.mount == "side":
        found[-1] = sqrt(max(found[-1] ** 2 - line.guard.out**2, 0.0))
    return found


def places_of(line: RunLine, held: Strung) -> list[tuple[float, int]]:
    """For each opening, top first: the free length that governs it and how many cables bound it."""
    count = len(line.openings)
    found = [(held.pair, 2)] * count
    found[0] = (held.top, 1)
    if line.closes != "cable":
        found[-1] = (held.bottom, 1)
    return found


def bent(held: Strung, free: float, pull: float, force: float) -> float:
    """Deflection of a cable under a side force, mm, at a pull that may be nought."""
    return deflection(force, free, max(pull, 1e-3), held.stiffness, held.total)


def push_at(job: Job, line: RunLine, held: Strung, sphere: float, pull: float) -> float:
    """The push, N, square to the guard, that takes a smooth sphere through between two cables of the run at ``pull``."""
    cable = job.cable.diameter
    return push_through(sphere, line.spacing, cable, held.pair, max(pull, 1e-3), held.stiffness, held.total, held.play)


def largest_spacing(job: Job, held: Strung, limit: float) -> float:
    """The largest spacing whose loaded openings stay under ``limit`` at the slackest pull, mm.

    Between two cables, and beside a rail or the deck, where a bar that is not fixed there leaves a longer bay.
    """
    force, d = side_force(job), job.cable.diameter
    pair = limit - held.play - 2.0 * bent(held, held.pair, held.slackest, force) + d
    beside = limit - held.play / 2.0 - bent(held, max(held.top, held.bottom), held.slackest, force) + d
    return min(pair, beside)


def largest_listed(job: Job, held: Strung) -> float | None:
    """The largest spacing of a rule set's tension table that the job's pull is enough for, mm; None for none."""
    rules, cable = job.rules, job.cable
    for spacing in sorted({row.spacing for row in rules.tension_table}, reverse=True):
        asked = rules.required_tension(cable.diameter, cable.strand.name, spacing, held.bay)
        if asked is not None and asked <= cable.tension:
            return spacing
    return None
