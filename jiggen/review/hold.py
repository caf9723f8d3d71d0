"""What holds the cables of a run turned into problems: screws in the posts, and what the end posts carry."""

from __future__ import annotations

from collections.abc import Iterator

from jiggen.handbook.screws import Screw
from jiggen.job.model import Fitting, PostKind
from jiggen.mechanics.endpost import cantilever_moment, propped_fixed, propped_hinged, total_pull
from jiggen.mechanics.hold import (
    Kind,
    hold,
    least_penetration,
    length_needed,
    penetration,
    pull_and_shear,
    reach,
    screws_needed,
    thread_in_wood,
)
from jiggen.plan.model import Plan, Post, RunLine
from jiggen.plan.takeoff import rounded_up
from jiggen.problems import Problem
from jiggen.review.load import newtons
from jiggen.review.rest import both
from jiggen.units import MM_PER_INCH, N_PER_LBF, mm_text

NDS = "NDS 12.2, withdrawal; wood screws from memory"


def holding(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """The hold of both ends of a run at its tightest, and what its end posts carry."""
    for post_id, name in ((line.posts[0], line.start), (line.posts[-1], line.finish)):
        post = plan.post_by_id[post_id]
        fitting = plan.job.fittings[name]
        yield from _screws(plan, line, post, fitting)
    yield from _end_posts(plan, line)


def _screws(plan: Plan, line: RunLine, post: Post, fitting: Fitting) -> Iterator[Problem]:
    screw, kind = fitting.screw, post.kind
    if screw is None or screw.kind == "machine" or kind.material.kind != "wood" or kind.material.gravity is None:
        return
    sleeve, gap = sleeve_and_gap(kind)
    where = f"{post.id}, {fitting.name}"
    inside = penetration(_of(screw), reach(screw.length, fitting.flange, sleeve, gap), screw.shank)
    least = least_penetration(_of(screw), screw.shank)
    if inside < least - 1e-6:
        times = "4" if screw.kind == "lag" else "6"
        yield Problem(
            "stop",
            where,
            f"{screw.text} goes {both(plan, max(inside, 0.0))} into the wood, {times} diameters ({both(plan, least)}) are the least",
            f"use screws longer by {both(plan, rounded_up(plan.job, least - inside))}",
            "NDS 12.1, least penetration",
        )
        return
    thread = thread_in_wood(screw.length, screw.shank, fitting.flange, sleeve, gap)
    count, gravity = len(fitting.screws), kind.material.gravity
    pull, shear = pull_and_shear(plan.loads[line.id].strung.tightest, abs(line.rake))
    holds = hold(_of(screw), count, gravity, screw.shank, thread)
    if holds < pull:
        more = screws_needed(pull, _of(screw), gravity, screw.shank, thread)
        longer = length_needed(pull, count, _of(screw), gravity, screw.shank, fitting.flange, sleeve, gap)
        cures = [f"{more} such screws"] if more is not None and more <= 8 else []
        cures.append(f"screws {both(plan, rounded_up(plan.job, longer))} long")
        yield Problem(
            "check",
            where,
            f"{count} of {screw.text} hold {newtons(plan, holds)} for good, a cable pulls {newtons(plan, pull)} at its tightest"
            + (f" and {newtons(plan, shear)} sideways" if shear > 1.0 else ""),
            f"use {', '.join(cures)}, lag screws or a through-bolt",
            NDS,
        )


def _of(screw: Screw) -> Kind:
    return "lag" if screw.kind == "lag" else "wood"


def sleeve_and_gap(kind: PostKind) -> tuple[float, float]:
    """What a screw goes through before it reaches the wood inside a sleeve: wall and gap, mm."""
    if kind.wall is None or kind.core is None:
        return 0.0, 0.0
    return kind.wall, max((kind.along - kind.core) / 2.0 - kind.wall, 0.0)


def _end_posts(plan: Plan, line: RunLine) -> Iterator[Problem]:
    """What the cables of a run do to its end posts, at their tightest; the worse of the two."""
    tight = plan.loads[line.id].strung.tightest
    worst: tuple[float, list[tuple[float, float]], float] | None = None
    for post_id in (line.posts[0], line.posts[-1]):
        x, base = line.stations[line.posts.index(post_id)], plan.post_by_id[post_id].prism.base.z
        rail = line.underside(x) - base
        pulls = [(tight, rail - drop) for drop in line.drops]
        if min(height for _, height in pulls) > 0.0 and (worst is None or cantilever_moment(pulls) > worst[0]):
            worst = (cantilever_moment(pulls), pulls, rail)
    if worst is None:
        return
    moment, pulls, rail = worst
    propped = propped_fixed(pulls, rail)
    yield Problem(
        "check",
        f"posts {line.posts[0]} and {line.posts[-1]}, run {line.id}",
        f"the cables pull {newtons(plan, total_pull(pulls))} on each: as a cantilever {_moment(plan, moment)} at its foot; "
        f"propped by the rail {_moment(plan, propped.base_moment)} and {newtons(plan, propped.thrust)} of thrust in the rail "
        f"({newtons(plan, propped_hinged(pulls, rail).thrust)} with a hinged foot)",
        "fix the rail at both ends before any cable is pulled; post, anchorage and rail ends are a licensed designer's",
        "beam theory",
    )


def _moment(plan: Plan, newton_mm: float) -> str:
    """A bending moment in the job's units."""
    metric = f"{mm_text(newton_mm / 1000.0, 0)} N m"
    if plan.job.units == "mm":
        return metric
    return f"{mm_text(newton_mm / N_PER_LBF / MM_PER_INCH / 12.0, 0)} ft lbf ({metric})"
