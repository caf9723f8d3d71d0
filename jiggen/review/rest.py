"""A run held against its rule set at rest: openings, bottom, heights, stairs, landings."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, hypot

from jiggen.job.model import Stair
from jiggen.plan.loads import spheres
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.spacing import triangle_circle
from jiggen.plan.words import length
from jiggen.problems import Problem

EPSILON = 1e-6


def at_rest(plan: Plan, line: RunLine) -> Iterator[Problem]:
    yield from _openings(plan, line)
    yield from _bottom(plan, line)
    yield from _height(plan, line)
    yield from _walls(plan, line)
    yield from _as_built(plan, line)
    if isinstance(line.ground, Stair):
        yield from _stair(plan, line, line.ground)
        yield from _landing(plan, line, line.ground)


def _openings(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """Openings at rest, square to the cables, against the sphere of the zone that they reach into."""
    worst: dict[str, tuple[float, int, float]] = {}
    for number, (opening, (sphere, clause)) in enumerate(zip(line.openings, spheres(plan.job, line), strict=True), 1):
        if number == len(line.openings) and line.closes == "deck" and line.guard.mount == "side":
            opening = hypot(opening, line.guard.out)
        if opening > sphere - EPSILON and opening > worst.get(clause, (0.0, 0, 0.0))[0]:
            worst[clause] = (opening, number, sphere)
    for clause, (opening, number, sphere) in worst.items():
        yield Problem(
            "stop",
            f"run {line.id}",
            f"opening {number} from the top is {both(plan, opening)} clear, a sphere of {both(plan, sphere)} passes",
            _cure(plan, line, number, sphere),
            clause,
        )


def _cure(plan: Plan, line: RunLine, number: int, sphere: float) -> str:
    """A spacing or a count that closes the opening at rest."""
    most = sphere - EPSILON + line.cable
    step = plan.job.round_to
    spacing = (most // step) * step
    if number == len(line.openings) and line.closes != "cable":
        return f"use {len(line.drops) + 1} cables, or leave count and spacing out"
    return f"use a spacing of {both(plan, spacing)} at most, or leave count and spacing out"


def _bottom(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """The gap under the lowest member: the triangle on a stair, the sphere elsewhere."""
    if line.closes == "deck":
        return
    stair = line.ground
    rules = plan.job.rules
    what = "bottom rail" if line.closes == "bottom rail" else "lowest cable"
    if isinstance(stair, Stair):
        circle = triangle_circle(stair.rise, stair.going, stair.overhang, line.gap)
        sphere = rules.triangle or rules.sphere_at(0.0, True)[0]
        clause = rules.triangle_clause or rules.sphere_at(0.0, True)[1]
        if circle > sphere - EPSILON:
            most = (
                line.gap
                - (circle - sphere)
                / (circle / (1.0 + line.gap / stair.rise + stair.overhang / stair.going))
                * stair.rise
            )
            yield Problem(
                "stop",
                f"run {line.id}",
                f"a sphere of {both(plan, circle)} passes the triangle of tread, riser and {what}, "
                f"{both(plan, sphere)} is the limit",
                f"bring the {what} down to less than {both(plan, most)} over the nosing line"
                if most > 0.0
                else "close the triangle at each step, with a string, a riser or a rail under the nosing line",
                clause,
            )
        return
    gap = line.gap * cos(line.rake)
    if line.guard.mount == "side":
        gap = hypot(gap, line.guard.out)
    sphere, clause = rules.sphere_at(0.0, False)
    if gap > sphere - EPSILON:
        yield Problem(
            "stop",
            f"run {line.id}",
            f"the gap under the {what} is {both(plan, gap)}, a sphere of {both(plan, sphere)} passes",
            f"bring the {what} down, or add a cable",
            clause,
        )


def _height(plan: Plan, line: RunLine) -> Iterator[Problem]:
    where = "stair" if isinstance(line.ground, Stair) else "level"
    fall = plan.job.fall
    for rule in plan.job.rules.heights:
        if rule.where != where or (fall is not None and fall <= rule.fall_over):
            continue
        if line.height < rule.least - EPSILON:
            level = "stop" if fall is not None else "check"
            yield Problem(
                level,  # type: ignore[arg-type]
                f"run {line.id}",
                f"the guard is {both(plan, line.height)} high, {both(plan, rule.least)} is the least",
                f"raise it to {both(plan, rule.least)}",
                rule.clause,
            )
        elif rule.most is not None and line.height > rule.most + EPSILON:
            yield Problem(
                "note",
                f"run {line.id}",
                f"the top is {both(plan, line.height)} high; where it serves as the handrail "
                f"{both(plan, rule.most)} is the most",
                "fit a separate handrail, or lower the top",
                rule.clause,
            )


def _stair(plan: Plan, line: RunLine, stair: Stair) -> Iterator[Problem]:
    rule = plan.job.rules.stair
    if rule and stair.rise > rule.riser_most + EPSILON:
        yield Problem(
            "check",
            f"run {line.id}",
            f"the rise is {both(plan, stair.rise)}, {both(plan, rule.riser_most)} is the most",
            "have the stair looked at before the guard is made",
            rule.clause,
        )
    if rule and stair.going < rule.tread_least - EPSILON:
        yield Problem(
            "check",
            f"run {line.id}",
            f"the going is {both(plan, stair.going)}, {both(plan, rule.tread_least)} is the least",
            "have the stair looked at before the guard is made",
            rule.clause,
        )
    if not stair.overhang_given:
        yield Problem(
            "note",
            f"run {line.id}",
            f"the nosing's overhang is taken as {both(plan, stair.overhang)}",
            "measure it and write overhang in the stair's table",
        )


def _walls(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """Gaps from an end post to a wall or another post, where the job gives them."""
    run = next(run for run in plan.job.runs if run.id == line.id)
    stair = isinstance(line.ground, Stair)
    sphere, clause = plan.job.rules.sphere_at(0.0, stair)
    for gap, post in ((run.gap_at_start, line.posts[0]), (run.gap_at_finish, line.posts[-1])):
        if gap is not None and gap > sphere - EPSILON:
            yield Problem(
                "stop",
                f"post {post}",
                f"the gap beside it is {both(plan, gap)}, a sphere of {both(plan, sphere)} passes",
                "move the post, or close the gap",
                clause,
            )


def _as_built(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """The opening under the rail at every post whose underside was built off the plan."""
    if not line.lifts:
        return
    stair = isinstance(line.ground, Stair)
    sphere, clause = plan.job.rules.sphere_at(line.height - line.rail_drop, stair)
    for post in line.posts:
        for face in plan.post_by_id[post].faces:
            first = next((m for m in face.marks if m.purpose == "cable" and m.cable == 1 and m.run == line.id), None)
            if first is None or face.fittings:
                continue
            opening = first.drop * line.cosine - line.cable / 2.0
            if opening > sphere - EPSILON:
                yield Problem(
                    "stop",
                    f"{face.id}/1",
                    f"as built {both(plan, opening)} are open under the rail, a sphere of {both(plan, sphere)} passes",
                    "lower the rail there, or add a cable under it",
                    clause,
                )
                break


def _landing(plan: Plan, line: RunLine, stair: Stair) -> Iterator[Problem]:
    """The wedge between a landing, the post on it and the lowest raked member that climbs away from the nosing.

    A circle that touches the post's face, the walking surface and the member: legs h and h / tan t, h the
    member's height over the landing at the face.
    """
    index = 0 if not stair.up else len(line.posts) - 1
    post, x = line.posts[index], line.stations[index]
    half = plan.post_by_id[post].prism.half_extent(line.level)
    level = line.behind(x) - half
    slope = abs(line.slope)
    if level <= 0.0:
        return
    high = line.gap + level * slope
    share = 1.0 + 1.0 / slope - hypot(1.0, slope) / slope
    sphere, clause = plan.job.rules.sphere_at(0.0, True)
    if high * share > sphere - EPSILON:
        most = half + max((sphere - EPSILON) / share - line.gap, 0.0) / slope
        yield Problem(
            "stop",
            f"post {post}",
            f"the wedge between the landing, this post and the lowest raked member passes a sphere of "
            f"{both(plan, high * share)}, {both(plan, sphere)} is the limit",
            f"stand the post at most {both(plan, most)} behind the nosing, or close the wedge",
            clause,
        )


def climbing(plan: Plan) -> Iterator[Problem]:
    for climb in plan.job.rules.climbs:
        if plan.job.fall is None or plan.job.fall > climb.fall_over:
            yield Problem(
                "check",
                "guard",
                climb.words,
                "ask whoever inspects whether horizontal cables are accepted here",
                climb.clause,
            )


def both(plan: Plan, mm: float) -> str:
    """A length in the job's tape and in mm."""
    return length(plan.job, mm)
