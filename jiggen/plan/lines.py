"""The job's runs turned into posts and cable lines in the world: headings, positions, heights."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan2, cos, fsum, pi

from jiggen.geometry import UP, Vector, angle_between, heading_vector
from jiggen.job.led import TAKEN, joint, led_posts
from jiggen.job.model import AsBuilt, Job, PostKind, Role, Run, Stair
from jiggen.job.roles import kind_at, role_of
from jiggen.plan.filling import Known, filled
from jiggen.plan.led import CableEnd, legs
from jiggen.plan.model import RunLine
from jiggen.plan.prism import Prism
from jiggen.plan.words import length
from jiggen.problems import Problem


@dataclass(frozen=True, slots=True)
class Stand:
    """Where one post stands: ``base`` on its axis at the walking surface, heading in radians.

    ``lift``: how much higher than planned the underside was built there. ``between``: of a spacer bar, the
    posts of its span.
    """

    id: str
    kind: PostKind
    role: Role
    base: Vector
    heading: float
    prism: Prism
    runs: tuple[str, ...]
    lift: float = 0.0
    between: tuple[str, str] | None = None


@dataclass(frozen=True)
class Layout:
    """Runs and posts placed. ``problems``: what did not fit together."""

    runs: tuple[RunLine, ...]
    stands: Mapping[str, Stand]
    problems: tuple[Problem, ...]


def rake(run: Run) -> float:
    """Slope angle of a run in radians, + where it climbs from its first post to its last, 0 on the level."""
    if run.ground is None:
        return 0.0
    angle = atan2(run.ground.rise, run.ground.going) if isinstance(run.ground, Stair) else run.ground.angle
    return angle if run.ground.up else -angle


def lay_out(job: Job) -> Layout:
    """Every run and post of the job in the world: z up, heading 0 = +x, z = 0 at the first post's walking surface."""
    problems: list[Problem] = []
    members = _members(job)
    headings = _headings(job)
    kinds = {post: job.kinds[kind_at(job.stands, post, runs)] for post, runs in members.items()}
    turned = {post: _post_heading(kinds[post], runs, headings) for post, runs in members.items()}
    prisms = {
        post: Prism(
            Vector(0, 0, 0),
            UP,
            heading_vector(turned[post]),
            kinds[post].section.outline,
        )
        for post in members
    }
    bases: dict[str, Vector] = {}
    lines: list[RunLine] = []
    bare = _led_lines(job, [_bare_line(job, run, headings[run.id], prisms) for run in job.runs], prisms)
    known = Known(job, bare, kinds, prisms)
    for index, (run, line) in enumerate(zip(job.runs, bare, strict=True)):
        line = _seat(line, run, bases)
        _place_posts(job, line, bases, f"run[{index}]", problems)
        met = joint(job.runs, index) if run.led_on else None
        before = (lines[met[0]], met[1]) if met else None
        lines.append(filled(known, run, line, before, f"run {run.id}", problems))
    prisms = {post: _leaning(job, post, replace(prisms[post], base=bases[post])) for post in members}
    lines = _as_built(job, lines, prisms)
    stands = {
        post: Stand(
            post,
            kinds[post],
            role_of(post, runs),
            bases[post],
            turned[post],
            prisms[post],
            tuple(run.id for run in runs),
        )
        for post, runs in members.items()
    }
    for run, line in zip(job.runs, lines, strict=True):
        stands.update(_bars(job, run, line, stands))
    return Layout(tuple(lines), stands, tuple(problems))


def _leaning(job: Job, post: str, prism: Prism) -> Prism:
    """The post as it leans: mm per m, along (forward) and across (to the left)."""
    built = job.as_built.get(post)
    if built is None or built.lean is None:
        return prism
    left = UP.cross(prism.along)
    tilt = prism.along.times(built.lean[0] / 1000.0).plus(left.times(built.lean[1] / 1000.0))
    axis = UP.plus(tilt).unit()
    along = prism.along.minus(axis.times(prism.along.dot(axis))).unit()
    return replace(prism, axis=axis, along=along)


def _as_built(job: Job, lines: Sequence[RunLine], prisms: Mapping[str, Prism]) -> list[RunLine]:
    """The runs with what was measured at their posts: undersides and leans move the straight cables.

    Cables that are led on round a post lie there as the earlier run's underside says.
    """
    found: list[RunLine] = []
    led = {(later.id, post): earlier.id for post, earlier, later in led_posts(job.runs)}
    for line in lines:
        built = [job.as_built.get(post) for post in line.posts]
        if not any(built):
            found.append(line)
            continue
        lifts = [_lift(line, post, prisms, one) for post, one in zip(line.posts, built, strict=True)]
        ends = []
        for post, lift in ((line.posts[0], lifts[0]), (line.posts[-1], lifts[-1])):
            before = next((one for one in found if one.id == led.get((line.id, post))), None)
            if before is not None:
                lift = before.lifts[before.posts.index(post)] if before.lifts else 0.0
            ends.append(CableEnd(prisms[post].base, prisms[post].axis, lift))
        found.append(replace(line, lifts=tuple(lifts), ends=(ends[0], ends[1])))
    return found


def _lift(line: RunLine, post: str, prisms: Mapping[str, Prism], built: AsBuilt | None) -> float:
    """How much higher than planned the underside was built at a post."""
    taped = built.under(line.id) if built else None
    planned = line.underside(line.stations[line.posts.index(post)]) - prisms[post].base.z
    return taped - planned if taped is not None else 0.0


def _led_lines(job: Job, lines: Sequence[RunLine], prisms: Mapping[str, Prism]) -> list[RunLine]:
    """The runs, each told what it has of cables that are led on; where those lie stands in the guard of the run they bear
    the name of."""
    led = legs(job, lines, prisms)
    found = [replace(line, led=led.get(line.id)) for line in lines]
    guards = {line.id: line.guard for line in lines}
    taken = {line.id: {key: getattr(guards[line.head], key) for key in TAKEN} for line in found if line.head != line.id}
    return [replace(line, guard=replace(line.guard, **taken.get(line.id, {}))) for line in found]


def _bars(job: Job, run: Run, line: RunLine, stands: Mapping[str, Stand]) -> dict[str, Stand]:
    """The spacer bars of a run, equal clear gaps between them and the posts of each span."""
    found: dict[str, Stand] = {}
    if run.spacers is None:
        return found
    kind = job.kinds[run.spacers.kind]
    for index, (one, other) in enumerate(pairwise(line.posts)):
        halves = [stands[post].prism.half_extent(line.level) for post in (one, other)]
        start, end = line.stations[index] + halves[0], line.stations[index + 1] - halves[1]
        gap = (end - start - run.spacers.each * kind.along) / (run.spacers.each + 1)
        for number in range(run.spacers.each):
            x = start + gap * (number + 1) + kind.along * (number + 0.5)
            z = line.reference(x) - line.tread_below(x)
            at = line.origin.plus(line.level.times(x))
            base = Vector(at.x, at.y, z)
            name = f"{one}-{other}" + (f"/{number + 1}" if number else "")
            prism = Prism(base, UP, line.level, kind.section.outline)
            found[name] = Stand(name, kind, "spacer", base, line.heading, prism, (line.id,), 0.0, (one, other))
    return found


def _members(job: Job) -> dict[str, list[Run]]:
    members: dict[str, list[Run]] = defaultdict(list)
    for run in job.runs:
        for post in run.posts:
            members[post].append(run)
    return dict(members)


def _headings(job: Job) -> dict[str, float]:
    """Heading of every run: its own, else the heading of the earlier run it meets plus its turn, else 0."""
    found: dict[str, float] = {}
    first_run: dict[str, str] = {}
    for run in job.runs:
        earlier = next((first_run[post] for post in run.posts if post in first_run), None)
        if run.heading is not None:
            found[run.id] = run.heading
        else:
            found[run.id] = (found[earlier] if earlier else 0.0) + (run.turn or 0.0)
        for post in run.posts:
            first_run[post] = run.id
    return found


def _post_heading(kind: PostKind, runs: Sequence[Run], headings: Mapping[str, float]) -> float:
    first = headings[runs[0].id]
    if kind.rotate == "bisect":
        return first + (angle_between(first, headings[runs[1].id]) / 2.0 if len(runs) > 1 else 0.0)
    return first + (kind.rotate or 0.0)


def _bare_line(job: Job, run: Run, heading: float, prisms: Mapping[str, Prism]) -> RunLine:
    """The run with its stations, not yet in its place and without cables."""
    angle, level = rake(run), heading_vector(heading)
    stations = [0.0]
    for index, planned in enumerate(run.lengths):
        length, measured = job.measured_spans.get(run.posts[index], (planned, run.measured))
        if measured == "slope":
            length *= cos(angle)
        elif measured == "clear":
            length += fsum(prisms[post].half_extent(level) for post in run.posts[index : index + 2])
        stations.append(stations[-1] + length)
    height = run.guard.height if run.guard.height is not None else _rule_height(job)
    return RunLine(
        run.id,
        run.posts,
        Vector(0, 0, 0),
        heading,
        angle,
        tuple(stations),
        height,
        run.guard,
        run.ground,
        job.cable.diameter,
        start=run.start,
        finish=run.finish,
    )


def _rule_height(job: Job) -> float:
    """Guard height where the job gives none: the rule set's for a level run, also used on its stairs."""
    heights = [h.least for h in job.rules.heights if h.where == "level" and (job.fall or 0.0) > h.fall_over]
    every = [h.least for h in job.rules.heights]
    return max(heights or every, default=914.4)


def _seat(line: RunLine, run: Run, bases: Mapping[str, Vector]) -> RunLine:
    """The run moved so that the post it shares with an earlier run stands where that run put it."""
    shared = next((post for post in run.posts if post in bases), None)
    if shared is None:
        at = run.at or Vector(0.0, 0.0, 0.0)
        return replace(line, origin=Vector(at.x, at.y, at.z + line.tread_below(0.0)))
    x, base = line.stations[run.posts.index(shared)], bases[shared]
    start = base.minus(line.level.times(x))
    z = base.z + line.tread_below(x) - x * line.slope
    return replace(line, origin=Vector(start.x, start.y, z))


def _place_posts(job: Job, line: RunLine, bases: dict[str, Vector], where: str, problems: list[Problem]) -> None:
    """Every post of the run that has no place yet is put on its walking surface; one that has is compared."""
    for post, x in zip(line.posts, line.stations, strict=True):
        z = line.reference(x) - line.tread_below(x)
        here = Vector(line.origin.x, line.origin.y, 0.0).plus(line.level.times(x)).plus(Vector(0, 0, z))
        if post not in bases:
            bases[post] = here
        elif bases[post].minus(here).length() > 1.0:
            off = bases[post].minus(here).length()
            problems.append(
                Problem(
                    "stop",
                    f"{where}.posts",
                    f"post {post} stands {length(job, off)} away from where an earlier run put it",
                    "measure the spans and turns of the runs that meet there again",
                )
            )


def side_direction(line: RunLine, side: str) -> Vector:
    """Level unit vector square to the run, to its left or right."""
    return heading_vector(line.heading + (pi / 2.0 if side == "left" else -pi / 2.0))
