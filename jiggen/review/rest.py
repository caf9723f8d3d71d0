"""A run held against its rule set at rest: openings, bottom, heights, stairs, landings."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, hypot, sqrt

from jiggen.job.model import Stair
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.words import apart
from jiggen.problems import Cure, Problem
from jiggen.review.built import as_built
from jiggen.review.cures import cure_at_rest, lowered
from jiggen.review.nearer import last_to_the_nosing, to_the_nosing, to_the_wall
from jiggen.review.openings import Opening, least_heights, open_at_rest, triangle
from jiggen.review.steps import steps
from jiggen.review.trial import Change, tried
from jiggen.review.triangles import triangle_cures
from jiggen.review.words import EPSILON, both, finely_down, finely_up, well_over, well_under
from jiggen.review.written import Remedy, cure, remedy


def at_rest(plan: Plan, line: RunLine) -> Iterator[Problem]:
    yield from _openings(plan, line)
    yield from _bottom(plan, line)
    yield from _height(plan, line)
    yield from _walls(plan, line)
    yield from as_built(plan, line)
    if isinstance(line.ground, Stair):
        yield from steps(plan, line, line.ground)
        yield from _landing(plan, line, line.ground)


def _openings(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """Openings at rest against the sphere of the zone that they reach into; the worst of each clause."""
    over = [opening for opening in open_at_rest(plan, line) if opening.number]
    worst: dict[str, Opening] = {}
    for opening in over:
        if opening.rest > worst.get(opening.clause, opening).rest or opening.clause not in worst:
            worst[opening.clause] = opening
    helps = cure_at_rest(plan, line, over) if over else Remedy("")
    for clause, opening in worst.items():
        yield Problem(
            "stop",
            f"run {line.id}",
            f"opening {opening.number} from the top is {both(plan, opening.rest)} clear, "
            f"a sphere of {both(plan, opening.sphere)} passes",
            helps.words,
            clause,
            helps.cures,
        )


def _bottom(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """The gap under the lowest member: the triangle on a stair, the sphere elsewhere."""
    if line.closes == "deck":
        return
    if isinstance(line.ground, Stair):
        yield from _step(plan, line)
        return
    under = [opening for opening in open_at_rest(plan, line) if not opening.number]
    for opening in under:
        yield _gap(plan, line, "lowest cable", opening.rest, opening.sphere, opening.clause)
    if line.closes == "bottom rail":
        sphere, clause = plan.job.rules.sphere_at(0.0, False)
        out = line.guard.out if line.guard.mount == "side" else 0.0
        gap = hypot(line.gap * cos(line.rake), out)
        if gap > sphere - EPSILON:
            yield _gap(plan, line, "bottom rail", gap, sphere, clause)


def _gap(plan: Plan, line: RunLine, what: str, gap: float, sphere: float, clause: str) -> Problem:
    if what == "lowest cable":
        over = open_at_rest(plan, line)
        down = lowered(plan, line, over)
        helps = remedy([down]) if down else cure_at_rest(plan, line, over)
    else:
        helps = _rail_down(plan, line, sphere)
    found = f"the gap under the {what} is {both(plan, gap)}, a sphere of {both(plan, sphere)} passes"
    return Problem("stop", f"run {line.id}", found, helps.words, clause, helps.cures)


def _rail_down(plan: Plan, line: RunLine, sphere: float) -> Remedy:
    """How far down a bottom rail has to come."""
    out = line.guard.out if line.guard.mount == "side" else 0.0
    most = well_under(plan, (sqrt(max(sphere**2 - out**2, 0.0)) - EPSILON) / cos(line.rake)) if out < sphere else 0.0
    if most <= 0.0:
        return remedy(
            [f"stand the guard less than {both(plan, sphere)} beyond the deck's edge, or close the gap there"]
        )
    return remedy(
        [_down(plan, line, f"bring the bottom rail down to {both(plan, most)} over the walking surface", most)]
    )


def _down(plan: Plan, line: RunLine, words: str, most: float) -> Cure | str:
    """A lowest member ``most`` mm up as a cure, its words alone where another opening then shows."""
    change = Change({"bottom_gap": most})
    new = tried(plan, line, change)
    if new is None or (open_at_rest(*new) and not open_at_rest(plan, line)):
        return words
    return cure(plan, line, words, change)


def _step(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """The triangle of tread, riser and lowest member at rest."""
    found = triangle(plan, line)
    if found is None or not found.open_at_rest:
        return
    what = "bottom rail" if line.closes == "bottom rail" else "lowest cable"
    helps = triangle_cures(plan, line, found)
    yield Problem(
        "stop",
        f"run {line.id}",
        f"a sphere of {both(plan, found.rest)} passes the triangle of tread, riser and {what}, "
        f"{both(plan, found.sphere)} is the limit",
        helps.words,
        found.clause or plan.job.rules.sphere_at(0.0, True)[1],
        helps.cures,
    )


def _height(plan: Plan, line: RunLine) -> Iterator[Problem]:
    for rule in least_heights(plan, line):
        if line.height < rule.least - EPSILON:
            level = "stop" if plan.job.fall is not None else "check"
            change = Change({"height": finely_up(plan, rule.least)})
            words = f"raise it to {both(plan, finely_up(plan, rule.least))}"
            new = tried(plan, line, change)
            keys = new is not None and (not open_at_rest(*new) or open_at_rest(plan, line))
            yield Problem(
                level,  # type: ignore[arg-type]
                f"run {line.id}",
                "the guard is {} high, {} is the least".format(*apart(plan.job, line.height, rule.least)),
                words,
                rule.clause,
                (cure(plan, line, words, change),) if keys else (),
            )
        elif rule.most is not None and line.height > rule.most + EPSILON:
            yield Problem(
                "note",
                f"run {line.id}",
                f"the top is {both(plan, line.height)} high; where it serves as the handrail "
                f"{both(plan, rule.most)} is the most",
                f"fit a separate handrail, or lower the top to {both(plan, finely_down(plan, rule.most))}",
                rule.clause,
            )


def _walls(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """Gaps from an end post to a wall or another post, where the job gives them."""
    run = next(run for run in plan.job.runs if run.id == line.id)
    stair = isinstance(line.ground, Stair)
    sphere, clause = plan.job.rules.sphere_at(0.0, stair)
    for gap, post in ((run.gap_at_start, line.posts[0]), (run.gap_at_finish, line.posts[-1])):
        if gap is not None and gap > sphere - EPSILON:
            by = well_over(plan, gap - sphere + EPSILON)
            words = f"move the post {both(plan, by)} nearer"
            moved = to_the_wall(plan, line, post, gap - by, by, words)
            yield Problem(
                "stop",
                f"post {post}",
                "the gap beside it is {}, a sphere of {} passes".format(*apart(plan.job, gap, sphere)),
                f"{words}, or close the gap",
                clause,
                (moved,) if moved else (),
            )


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
        most = well_under(plan, half + max((sphere - EPSILON) / share - line.gap, 0.0) / slope)
        words = f"stand the post at most {both(plan, most)} behind the nosing"
        by = line.behind(x) - most
        moved = last_to_the_nosing(plan, line, by, words) if index else to_the_nosing(plan, line, most, words)
        yield Problem(
            "stop",
            f"post {post}",
            f"the wedge between the landing, this post and the lowest raked member passes a sphere of "
            f"{both(plan, high * share)}, {both(plan, sphere)} is the limit",
            f"{words}, or close the wedge",
            clause,
            (moved,) if moved else (),
        )


def climbing(plan: Plan) -> Iterator[Problem]:
    """Rules that forbid or doubt what can be climbed, with the cables that lie in their band."""
    for climb in plan.job.rules.climbs:
        fall = plan.job.fall
        if fall is not None and fall <= climb.fall_over:
            continue
        many = sum(climb.above <= height <= climb.below for line in plan.runs for height in _heights(line))
        words = "have them accepted in writing before a hole is drilled, or close that band with a panel"
        if fall is None and climb.fall_over:
            words = f"write fall in [job]: it holds over {both(plan, climb.fall_over)}; where it does {words}"
        yield Problem("check", "guard", f"{climb.words}; {many} cables lie there", words, climb.clause)


def _heights(line: RunLine) -> Iterator[float]:
    """Of the cables' centres over the reference line, mm."""
    yield from (line.height - line.rail_drop - drop for drop in line.drops)


def said_by_the_rules(plan: Plan) -> Iterator[Problem]:
    """What a rule set says that the plan does not judge, or judges by one of several readings."""
    words = "where another limit holds, write the limits in a table [code.NAME] and its name as code in [job]"
    rules, fall = plan.job.rules, plan.job.fall
    if fall is not None and fall < rules.guard_over:
        over, here = both(plan, rules.guard_over), both(plan, fall)
        found = f"these rules ask for a guard over a fall of {over}, here it is {here}; the openings are judged as a guard's"
        yield Problem("note", "job.fall", found, "see that the fall is nowhere more", rules.source)
    on_stairs = rules.stair_notes if any(isinstance(line.ground, Stair) for line in plan.runs) else ()
    for note in (*on_stairs, *rules.notes):
        yield Problem("note", "guard", note, words, rules.source)
