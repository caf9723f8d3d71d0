"""The runs of a plan in sets that meet one another turned into places on paper, to the largest scale that has room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from math import fsum

from jiggen.compose.scales import Scale, scales
from jiggen.compose.space import Box
from jiggen.plan.model import Plan, Post, RunLine

Place = tuple[float, float]
AROUND = 11.0  # clear on paper round what meets, for names and the people's side
FEW = (4.0, 2.0, 1.0, 0.5)  # the same where runs are so many that they have no room else
SHORT = 6.0  # mm of paper that the longest run has, at the least, where it can be


@dataclass(frozen=True, slots=True)
class Island:
    """Runs that meet one another, and the box round their posts in the world: left, bottom, right, top, mm on site."""

    runs: tuple[RunLine, ...]
    box: Box


@dataclass(frozen=True, slots=True)
class Laid:
    """A scale and where each island's lower left corner (in the world) lies on paper. ``true``: at their true distances.
    ``about``: clear on paper about each, mm."""

    scale: Scale
    islands: tuple[tuple[Island, Place], ...]
    true: bool
    about: float


def islands(plan: Plan) -> list[Island]:
    """The runs in sets that share posts, in the job's order."""
    sets: dict[int, list[RunLine]] = {}
    of: dict[str, int] = {}  # the set of each post
    for number, line in enumerate(plan.runs):
        meets = {of[name] for name in line.posts if name in of}
        sets[number] = [*(other for one in sorted(meets) for other in sets.pop(one)), line]
        of.update((name, number) for other in sets[number] for name in other.posts)
    order = {line.id: number for number, line in enumerate(plan.runs)}
    found = sorted(
        (sorted(one, key=lambda line: order[line.id]) for one in sets.values()), key=lambda one: order[one[0].id]
    )
    return [Island(tuple(one), _around(plan, one)) for one in found]


def posts_of(runs: Sequence[RunLine]) -> list[str]:
    return list(dict.fromkeys(name for line in runs for name in line.posts))


def _around(plan: Plan, runs: Sequence[RunLine]) -> Box:
    corners = [corner for name in posts_of(runs) for corner in corners_of(plan.post_by_id[name])]
    xs, ys = zip(*corners, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def corners_of(post: Post) -> list[Place]:
    """The outline of a post from above, mm on site; a round one as a polygon."""
    return [(corner.x, corner.y) for corner in post.prism.corners()]


def lay(plan: Plan, found: Sequence[Island], room: Box, around: float = AROUND) -> Laid:
    """The largest scale at which all islands fit: where they are in the world if they lie clear of one another and it
    costs no scale, else in rows from the top; where they are so many that neither goes, with less and less about them."""
    chosen = scales(plan.job.units)
    longest = max(line.stations[-1] for line in plan.runs)
    for about in (around, *FEW):
        for scale in (one for one in chosen if one.paper(longest) >= SHORT or about == FEW[-1]):
            placed = _as_they_are(found, room, scale, around, about)
            if placed:
                return Laid(scale, placed, True, about)
            placed = _in_rows(found, room, scale, about)
            if placed:
                return Laid(scale, placed, False, about)
    return Laid(chosen[-1], tuple((one, (room.left + around, room.bottom + around)) for one in found), False, FEW[-1])


def _as_they_are(
    found: Sequence[Island], room: Box, scale: Scale, around: float, about: float
) -> tuple[tuple[Island, Place], ...]:
    """Islands at their true distances, ``around`` clear about them all and ``about`` about each; () where they do not go."""
    left, bottom = min(one.box.left for one in found), min(one.box.bottom for one in found)
    right, top = max(one.box.right for one in found), max(one.box.top for one in found)
    spare = (
        room.right - room.left - 2.0 * around - scale.paper(right - left),
        room.top - room.bottom - 2.0 * around - scale.paper(top - bottom),
    )
    if min(spare) < 0.0:
        return ()
    if _lap([one.box.grown(about * scale.ratio) for one in found]):
        return ()
    x, y = room.left + around + spare[0] / 2.0, room.bottom + around + spare[1] / 2.0
    return tuple(
        (one, (x + scale.paper(one.box.left - left), y + scale.paper(one.box.bottom - bottom))) for one in found
    )


def _lap(boxes: Sequence[Box]) -> bool:
    """Whether any two of the boxes overlap."""
    ahead = sorted(boxes)  # from the left
    for index, box in enumerate(ahead):
        for other in islice(ahead, index + 1, None):
            if other.left >= box.right:
                break
            if box.overlap(other) > 0.0:
                return True
    return False


def _in_rows(found: Sequence[Island], room: Box, scale: Scale, around: float) -> tuple[tuple[Island, Place], ...]:
    """Islands from left to right, a new row where one does not fit; () where there is no room."""
    rows: list[list[Island]] = [[]]
    x = room.left
    for one in found:
        wide = scale.paper(one.box.right - one.box.left) + 2.0 * around
        if wide > room.right - room.left:
            return ()
        if x + wide > room.right + 1e-9:
            rows.append([])
            x = room.left
        rows[-1].append(one)
        x += wide
    high = [max(scale.paper(one.box.top - one.box.bottom) for one in row) + 2.0 * around for row in rows]
    spare = room.top - room.bottom - fsum(high)
    if spare < 0.0:
        return ()
    placed = []
    top = room.top
    for row, tall in zip(rows, high, strict=True):
        top -= tall + spare / len(rows)
        x = room.left
        for one in row:
            placed.append((one, (x + around, top + around + spare / len(rows) / 2.0)))
            x += scale.paper(one.box.right - one.box.left) + 2.0 * around
    return tuple(placed)
