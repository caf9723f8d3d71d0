"""The job's runs turned into posts and cable lines in the world: headings, positions, heights."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan2, cos, fsum, pi

from jiggen.geometry import UP, Vector, angle_between, heading_vector
from jiggen.job.model import Job, PostKind, Role, Run, Stair
from jiggen.job.roles import kind_at, role_of
from jiggen.plan.filled import bound, crowded, no_room
from jiggen.plan.loads import Strung, bent, largest_listed, largest_spacing, side_force, strung
from jiggen.plan.model import CableEnd, RunLine
from jiggen.plan.prism import Prism
from jiggen.plan.spacing import (
    EPSILON,
    LEAST_GAP,
    RAIL_GAP,
    TRIANGLE_MARGIN,
    Filling,
    Frame,
    fill,
    floor_to,
    highest_member,
    staggered,
)
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
    for index, run in enumerate(job.runs):
        line = _bare_line(job, run, headings[run.id], prisms)
        line = _seat(line, run, bases, f"run[{index}]", problems)
        _place_posts(job, line, bases, f"run[{index}]", problems)
        lines.append(_filled(job, run, line, kinds, prisms, f"run {run.id}", problems))
    prisms = {post: _leaning(job, post, replace(prisms[post], base=bases[post])) for post in members}
    lines = [_as_built(job, line, prisms) for line in lines]
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


def _as_built(job: Job, line: RunLine, prisms: Mapping[str, Prism]) -> RunLine:
    """The run with what was measured at its posts: undersides and leans move its straight cables."""
    built = [job.as_built.get(post) for post in line.posts]
    if not any(built):
        return line
    lifts = []
    for post, x, found in zip(line.posts, line.stations, built, strict=True):
        planned = line.underside(x) - prisms[post].base.z
        taped = found.under(line.id) if found else None
        lifts.append(taped - planned if taped is not None else 0.0)
    first, last = (prisms[post] for post in (line.posts[0], line.posts[-1]))
    ends = (CableEnd(first.base, first.axis, lifts[0]), CableEnd(last.base, last.axis, lifts[-1]))
    return replace(line, lifts=tuple(lifts), ends=ends)


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
    height = run.guard.height if run.guard.height is not None else _rule_height(job, run)
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


def _rule_height(job: Job, run: Run) -> float:
    """Guard height where the job gives none: the rule set's for a level run, also used on its stairs."""
    heights = [h.least for h in job.rules.heights if h.where == "level" and (job.fall or 0.0) > h.fall_over]
    every = [h.least for h in job.rules.heights]
    return max(heights or every, default=914.4)


def _seat(line: RunLine, run: Run, bases: Mapping[str, Vector], where: str, problems: list[Problem]) -> RunLine:
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


def _filled(
    job: Job,
    run: Run,
    line: RunLine,
    kinds: Mapping[str, PostKind],
    prisms: Mapping[str, Prism],
    where: str,
    problems: list[Problem],
) -> RunLine:
    """The run with its cables: drops, openings, what closes the bottom."""
    guard = run.guard
    limit = smallest_sphere(job, line)
    gap = _bottom_gap(job, run, line, kinds, prisms, where, problems)
    frame = Frame(
        line.height - line.rail_drop,
        line.rake,
        job.cable.diameter,
        limit,
        gap,
        guard.bottom_rail.depth if guard.bottom_rail else 0.0,
        job.round_to,
        guard.out if guard.mount == "side" else 0.0,
    )
    if frame.room < job.cable.diameter * 2:
        problems.append(no_room(job, where, frame))
        return line
    most, listed = most_spacing(job, strung(job, run, line, kinds, prisms), limit)
    filling = fill(frame, guard, most)
    if guard.spacing is None and guard.count is None:
        beside = filling.spacing < fill(replace(frame, out=0.0), guard, most).spacing - EPSILON
        what = "the table of tensions" if listed else "the opening beside the deck's edge" if beside else ""
        problems.append(bound(job, where, limit, filling.spacing if beside else most, what, guard.opened))
    if isinstance(guard.stagger, float):
        filling = staggered(filling, guard.stagger, line.rake)
    problems += crowded(job, where, frame, filling)
    return _with(line, filling)


def most_spacing(job: Job, held: Strung, limit: float) -> tuple[float, bool]:
    """The largest spacing that passes under load, or by the table of tensions (True), in whole steps of the readings."""
    listed = largest_listed(job, held) if job.rules.tension_table else None
    return listed or floor_to(largest_spacing(job, held, limit), job.round_to), listed is not None


def _with(line: RunLine, filling: Filling) -> RunLine:
    return replace(
        line,
        spacing=filling.spacing,
        drops=filling.drops,
        openings=filling.openings,
        closes=filling.closes,
        gap=filling.gap,
    )


def smallest_sphere(job: Job, line: RunLine) -> float:
    """The smallest sphere of the rule set anywhere between the reference line and the rail, mm."""
    stair = isinstance(line.ground, Stair)
    heights = [line.height * step / 64.0 for step in range(64)]
    return min(job.rules.sphere_at(height, stair)[0] for height in heights)


def _bottom_gap(
    job: Job,
    run: Run,
    line: RunLine,
    kinds: Mapping[str, PostKind],
    prisms: Mapping[str, Prism],
    where: str,
    problems: list[Problem],
) -> float | None:
    """Reference line up to the lowest member, vertical: as given, else what the rules leave; None: none."""
    guard = run.guard
    if guard.bottom_gap is not None:
        return guard.bottom_gap
    stair = run.ground if isinstance(run.ground, Stair) else None
    if stair is None:
        return RAIL_GAP if guard.bottom_rail else None
    sphere = job.rules.triangle or smallest_sphere(job, line)
    most = highest_member(stair, sphere - TRIANGLE_MARGIN)
    if guard.bottom_rail:
        return max(0.0, min(RAIL_GAP, most))
    gap = most - lowest_cable_lift(job, run, line, kinds, prisms) / line.cosine
    if gap < LEAST_GAP:
        up = floor_to(min(highest_member(stair, sphere) - EPSILON, RAIL_GAP), 0.1)
        rail = (
            f"give this run a bottom rail at most {length(job, up)} over the nosing line: it does not lift under load"
        )
        problems.append(
            Problem(
                "check",
                where,
                f"the triangle at each step leaves the lowest cable {length(job, max(gap, 0.0))} over the nosing line",
                rail if up > 0.0 else "close the triangle with a board or a string at each step: no lowest member does",
                job.rules.triangle_clause,
            )
        )
    return max(gap, 0.0)


def lowest_cable_lift(
    job: Job, run: Run, line: RunLine, kinds: Mapping[str, PostKind], prisms: Mapping[str, Prism]
) -> float:
    """How far a lowest cable of the run is lifted under the side force at its slackest, square to it, mm."""
    held = strung(job, run, line, kinds, prisms)
    return bent(held, held.bottom, held.slackest, side_force(job)) + held.play / 2.0


def side_direction(line: RunLine, side: str) -> Vector:
    """Level unit vector square to the run, to its left or right."""
    return heading_vector(line.heading + (pi / 2.0 if side == "left" else -pi / 2.0))
