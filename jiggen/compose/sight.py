"""A run of a Plan turned into what is seen of it from the side: outlines in (level distance, height), mm on site."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from jiggen.geometry import Vector
from jiggen.job.model import Stair
from jiggen.plan.loads import spheres
from jiggen.plan.model import Plan, Post, RunLine
from jiggen.plan.prism import Prism

Place = tuple[float, float]
BOARD = 25.0  # thickness of a tread as drawn (our choice)
DOWN = 150.0  # how much of a side-mounted post is drawn below the walking surface
AHEAD = 0.1  # of a level run that goes on past a stair's foot, as a share of its way
BEYOND = 1500.0  # walking surface beyond the end posts


@dataclass(frozen=True, slots=True)
class Upright:
    """A post or bar seen from the side. ``axis``: its place at the walking surface; ``left``, ``right``: where a cable
    at mid-height meets its rims; ``outline``: corners from the lower left, clockwise. ``open_below``: it goes on down."""

    id: str
    axis: Place
    left: float
    right: float
    bottom: float
    top: float
    outline: tuple[Place, ...]
    open_below: bool = False


@dataclass(frozen=True, slots=True)
class Sight:
    """A run from the side. ``ground``: the walking surface from left to right; ``nosings``: on a stair, from left to
    right; ``rails``: place ("over", "top", "bottom") and corners; ``cables``: of each its height at 0 and its climb a mm."""

    posts: tuple[Upright, ...]
    bars: tuple[Upright, ...]
    ground: tuple[Place, ...]
    nosings: tuple[Place, ...]
    rails: tuple[tuple[str, tuple[Place, ...]], ...]
    cables: tuple[tuple[float, float], ...]

    def cable(self, number: int, x: float) -> float:
        """Height of cable ``number``'s centre at level distance ``x``."""
        start, climb = self.cables[number - 1]
        return start + x * climb


@dataclass(frozen=True, slots=True)
class Worst:
    """The opening that comes nearest to its sphere: its number from the top, clear at rest and loaded, its sphere, and
    the middle of its longest bay."""

    number: int
    rest: float
    loaded: float | None
    sphere: float
    x: float
    z: float


def sight(plan: Plan, line: RunLine) -> Sight:
    """The run from the side, x the level distance from its first post."""
    posts = tuple(_upright(line, plan.post_by_id[name], index) for index, name in enumerate(line.posts))
    cables = []
    for drop in line.drops:
        ray = line.line(drop)
        climb = ray.direction.z / ray.direction.dot(line.level)
        cables.append((ray.point.z - line.along(ray.point) * climb, climb))
    nosings = tuple(sorted(_nosings(plan, line)))
    bars = tuple(_bar(line, post) for post in bars_of(plan, line))
    return Sight(posts, bars, _ground(line, nosings), nosings, tuple(_rails(line, posts)), tuple(cables))


def bars_of(plan: Plan, line: RunLine) -> list[Post]:
    """The spacer bars of a run in their order."""
    if plan.job.run_by_id[line.id].spacers is None:
        return []
    own = [p for p in plan.posts if p.role == "spacer" and any(face.run == line.id for face in p.faces)]
    return sorted(own, key=lambda post: line.along(post.prism.base))


def worst(plan: Plan, line: RunLine, seen: Sight) -> Worst | None:
    """The opening that, loaded at the slackest (at rest without loads), comes nearest to its sphere or is furthest over it."""
    if not line.openings or not line.drops:
        return None
    found = plan.loads.get(line.id)
    given = found.worst if found else line.openings
    limits = [sphere for sphere, _ in spheres(plan.job, line)]
    index = max(range(len(given)), key=lambda i: (given[i] - limits[i], i))
    x = _bay(seen)
    over, under = _edges(line, seen, index, x)
    return Worst(
        index + 1, line.openings[index], given[index] if found else None, limits[index], x, (over + under) / 2.0
    )


def _bay(seen: Sight) -> float:
    """The middle of the longest clear length between posts and bars."""
    held = sorted((*seen.posts, *seen.bars), key=lambda one: one.axis[0])
    clear = [(b.left - a.right, (a.right + b.left) / 2.0) for a, b in pairwise(held)]
    return max(clear, key=lambda pair: (round(pair[0], 3), -pair[1]))[1]


def _edges(line: RunLine, seen: Sight, index: int, x: float) -> Place:
    """Heights of the upper and the lower edge of an opening at ``x``."""
    half = line.cable / 2.0 / line.cosine
    over = line.underside(x) if index == 0 else seen.cable(index, x) - half
    if index < len(line.drops):
        return over, seen.cable(index + 1, x) + half
    if line.closes == "bottom rail" and line.guard.bottom_rail:
        return over, line.reference(x) + line.gap + line.guard.bottom_rail.depth / line.cosine
    return over, line.reference(x)


def _silhouette(prism: Prism, level: Vector) -> float:
    """Half of the width of a post as seen square to ``level``."""
    return prism.depth(level) / 2.0


def _upright(line: RunLine, post: Post, index: int) -> Upright:
    """A post: up to the top of this run's rail, or under it where the rail lies over the posts."""
    x, prism = line.stations[index], post.prism
    half = _silhouette(prism, line.level)
    lift = line.lifts[index] if line.lifts else 0.0
    over = line.guard.rail.sits == "over"
    rise = 0.0 if over else line.rail_drop

    def top(at: float) -> float:
        return line.underside(at) + lift + rise

    low = prism.base.z - (DOWN if line.guard.mount == "side" else 0.0)
    lean = prism.axis.dot(line.level) / prism.axis.z
    tops = (top(x - half), top(x + half)) if over else (max(top(x - half), top(x + half)),) * 2

    def place(side: float, z: float) -> Place:
        return x + side * half + lean * (z - prism.base.z), z

    outline = (place(-1.0, low), place(-1.0, tops[0]), place(1.0, tops[1]), place(1.0, low))
    middle = lean * (line.underside(x) - prism.base.z) / 2.0
    return Upright(
        post.id,
        (x, prism.base.z),
        x - half + middle,
        x + half + middle,
        low,
        max(tops) + (line.rail_drop if over else 0.0),
        outline,
        line.guard.mount == "side",
    )


def _bar(line: RunLine, post: Post) -> Upright:
    """A spacer bar, from the walking surface to the underside."""
    x, half = line.along(post.prism.base), _silhouette(post.prism, line.level)
    low = post.prism.base.z
    tops = line.underside(x - half), line.underside(x + half)
    outline = ((x - half, low), (x - half, tops[0]), (x + half, tops[1]), (x + half, low))
    return Upright(post.id, (x, low), x - half, x + half, low, max(tops), outline)


def _rails(line: RunLine, posts: tuple[Upright, ...]) -> Iterator[tuple[str, tuple[Place, ...]]]:
    """Rails span by span between the posts' rims, or one over all posts; lower left corner first, against the clock."""

    def z(index: int, x: float) -> float:
        """Underside between posts ``index`` and the next, as built."""
        if not line.lifts:
            return line.underside(x)
        a, b = line.stations[index], line.stations[index + 1]
        share = (x - a) / (b - a)
        return line.underside(x) + line.lifts[index] * (1.0 - share) + line.lifts[index + 1] * share

    deep = line.rail_drop
    last = len(posts) - 2
    if line.guard.rail.sits == "over":
        a, b = posts[0].outline[1][0], posts[-1].outline[2][0]
        low, high = z(0, a), z(last, b)
        yield "over", ((a, low), (b, high), (b, high + deep), (a, low + deep))
    for index, (one, other) in enumerate(pairwise(posts)):
        a, b = one.right, other.left
        if line.guard.rail.sits != "over":
            yield "top", ((a, z(index, a)), (b, z(index, b)), (b, z(index, b) + deep), (a, z(index, a) + deep))
        if line.guard.bottom_rail:
            high = line.guard.bottom_rail.depth / line.cosine
            low, end = line.reference(a) + line.gap, line.reference(b) + line.gap
            yield "bottom", ((a, low), (b, end), (b, end + high), (a, low + high))


def _nosings(plan: Plan, line: RunLine) -> Iterator[Place]:
    """Every nosing from the one that the lowest post stands behind up to the one below the highest post; where that one
    stands on a landing along which another run goes on, none lies beyond it."""
    stair = line.ground
    if not isinstance(stair, Stair):
        return
    way = 1.0 if stair.up else -1.0  # of uphill along the run
    first = 0.0 - way * line.behind(0.0)
    end = line.stations[-1] - way * line.behind(line.stations[-1])
    count = round(abs(end - first) / stair.going)
    step = stair.going if end > first else -stair.going
    places = [first + step * number for number in range(count + 1)]
    landed = count > 0 and _landing(plan, line, stair)
    for x in places:
        if not landed or -1e-6 <= x <= line.stations[-1] + 1e-6:
            yield x, line.reference(x)


def _landing(plan: Plan, line: RunLine, stair: Stair) -> bool:
    """Whether a run that is no stair goes on downhill from a stair's lowest post."""
    foot, down = (line.posts[0], line.level.times(-1.0)) if stair.up else (line.posts[-1], line.level)
    others = (other for other in plan.runs if not isinstance(other.ground, Stair))
    return any(
        post == foot and away.dot(down) > AHEAD
        for other in others
        for post, away in ((other.posts[0], other.level), (other.posts[-1], other.level.times(-1.0)))
    )


def _ground(line: RunLine, nosings: tuple[Place, ...]) -> tuple[Place, ...]:
    """The walking surface from left to right, far enough beyond the posts."""
    low, high = -BEYOND, line.stations[-1] + BEYOND
    stair = line.ground
    if not isinstance(stair, Stair):
        return (low, line.reference(low)), (high, line.reference(high))
    way = 1.0 if stair.up else -1.0
    order = nosings if stair.up else nosings[::-1]  # uphill
    bottom = order[0][1] - stair.rise
    points: list[Place] = [(low if stair.up else high, bottom)]
    board = min(BOARD, stair.rise / 2.0)
    for x, z in order:
        riser = x + way * stair.overhang
        points += [(riser, z - stair.rise), (riser, z - board), (x, z - board), (x, z)]
    points.append((high if stair.up else low, order[-1][1]))
    return tuple(points if stair.up else points[::-1])
