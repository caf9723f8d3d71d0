"""A jig's outlines and slots as planned and its files as read back turned into problems: kerf twice, missing, or on the
wrong side.

A cutter takes away half of the kerf on each side of its line: an outline is drawn that much outside of its part, a slot
that much inside of its edge. Every drawn corner is measured from the two planned sides that meet there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from math import fsum, hypot, inf
from typing import Any

from jiggen.plan.jigs.model import Jig
from jiggen.problems import Problem
from jiggen.readback.contour import Contour
from jiggen.readback.model import Found
from jiggen.verify import TOLERANCE

Points = tuple[tuple[float, float], ...]
OUTLINE, SLOT = "outline", "slot"


@dataclass(frozen=True, slots=True)
class EdgeTarget:
    """An outline or a slot of a part: its nominal corners in the part's frame, mm, counter-clockwise; of a disc none, and
    its diameter. ``out``: how far outside of it the line must be drawn, mm, - for inside."""

    part: str
    use: str
    points: Points
    disc: float
    out: float


def targets(jig: Jig) -> tuple[EdgeTarget, ...]:
    """The outlines and slots of every part of a jig, from the parts as they were planned."""
    found = []
    for part in jig.parts:
        half = 0.0 if part.raw else jig.wish.kerf / 2.0
        found.append(EdgeTarget(part.id, OUTLINE, _corners(part.outline), part.disc, half))
        found += [EdgeTarget(part.id, SLOT, _corners(slot), 0.0, -half) for slot in part.slots]
    return tuple(found)


def as_data(wanted: Iterable[EdgeTarget]) -> list[dict[str, Any]]:
    """Targets as plain data, for the file that they ride in."""
    return [{**asdict(one), "points": [[round(x, 6), round(y, 6)] for x, y in one.points]} for one in wanted]


def from_data(rows: Iterable[Mapping[str, Any]]) -> tuple[EdgeTarget, ...]:
    """Targets from what ``as_data`` gave. Raises ValueError where a row is not of that form."""
    try:
        return tuple(
            EdgeTarget(
                str(row["part"]),
                str(row["use"]),
                tuple((float(x), float(y)) for x, y in row["points"]),
                float(row["disc"]),
                float(row["out"]),
            )
            for row in rows
        )
    except (KeyError, TypeError, ValueError) as error:
        raise ValueError(f"the list of edges in the file is damaged ({error})") from None


def check(
    wanted: Sequence[EdgeTarget], files: Sequence[tuple[Found, Sequence[Contour]]], y_down: bool
) -> list[Problem]:
    """The panels of one jig against its outlines and slots. ``y_down``: True for SVG."""
    sign = -1.0 if y_down else 1.0
    problems: list[Problem] = []
    for part in dict.fromkeys(one.part for one in wanted):
        own = [one for one in wanted if one.part == part]
        discs = [c.rx for found, _ in files for c in found.circles if _is(c.data, part, OUTLINE)]
        lines = {
            use: [
                tuple((x, sign * y) for x, y in line.points)
                for _, contours in files
                for line in contours
                if line.closed and _is(line.data, part, use)
            ]
            for use in (OUTLINE, SLOT)
        }
        words = _disc_off(own[0], discs) if own[0].disc else _part_off(own, lines[OUTLINE], lines[SLOT])
        if words:
            problems.append(Problem("stop", part, words, "do not cut it; make it again"))
    return problems


def on_panel(wanted: Sequence[EdgeTarget], found: Found, contours: Sequence[Contour]) -> list[EdgeTarget]:
    """Those of ``wanted`` whose part lies on one panel."""
    drawn = [circle.data for circle in found.circles] + [line.data for line in contours]
    here = {data.get("part") for data in drawn if data.get("use") == OUTLINE}
    return [one for one in wanted if one.part in here]


def _is(data: Mapping[str, str], part: str, use: str) -> bool:
    return data.get("part") == part and data.get("use") == use


def _corners(polygon: Iterable[tuple[float, float]]) -> Points:
    """The corners of a polygon, none twice."""
    found: list[tuple[float, float]] = []
    for x, y in polygon:
        if not found or hypot(x - found[-1][0], y - found[-1][1]) > 1e-6:
            found.append((x, y))
    if len(found) > 1 and hypot(found[0][0] - found[-1][0], found[0][1] - found[-1][1]) <= 1e-6:
        found.pop()
    return tuple(found)


def _disc_off(wanted: EdgeTarget, radii: Sequence[float]) -> str:
    if len(radii) != 1:
        return f"{len(radii)} discs are drawn for it"
    off = abs(radii[0] - wanted.disc / 2.0 - wanted.out)
    return f"its rim is {off:.3f} mm from its plan" if off > TOLERANCE else ""


def _part_off(wanted: Sequence[EdgeTarget], outlines: Sequence[Points], slots: Sequence[Points]) -> str:
    """What is wrong with a part: the outline wherever it lies on its panel, by right angles, and the slots in it."""
    outline, *inner = wanted
    if len(outlines) != 1 or len(slots) != len(inner):
        return f"{len(outlines)} outlines and {len(slots)} slots are drawn for it, 1 and {len(inner)} are planned"
    off, turn, shift = min(_laid(outline, outlines[0], turn) for turn in range(4))
    if off > TOLERANCE:
        return (
            f"its outline is {off:.3f} mm from its plan" if off < inf else "its outline has other corners than planned"
        )
    left = list(slots)
    for slot in inner:
        here = tuple((x + shift[0], y + shift[1]) for x, y in (_turned(p, turn) for p in slot.points))
        nearest = min(left, key=lambda drawn: _apart(here, drawn))
        left.remove(nearest)
        off = _off(here, nearest, slot.out)
        if off > TOLERANCE:
            return f"a slot is {off:.3f} mm from its plan" if off < inf else "a slot has other corners than planned"
    return ""


def _laid(wanted: EdgeTarget, drawn: Points, turn: int) -> tuple[float, int, tuple[float, float]]:
    """How far a drawn outline is off at best where its part is turned by right angles, that turn, and the part's shift:
    the one that brings the corners' distances from their sides nearest to ``out`` (least squares)."""
    points = tuple(_turned(point, turn) for point in wanted.points)
    if len(points) != len(drawn) or len(points) < 3:
        return inf, turn, (0.0, 0.0)
    xx = xy = yy = x = y = 0.0
    for (nx, ny), distance in _distances(points, drawn):
        rest = distance - wanted.out
        xx, xy, yy, x, y = xx + nx * nx, xy + nx * ny, yy + ny * ny, x + nx * rest, y + ny * rest
    whole = xx * yy - xy * xy
    if whole < 1e-9:
        return inf, turn, (0.0, 0.0)
    shift = ((x * yy - y * xy) / whole, (y * xx - x * xy) / whole)
    here = tuple((px + shift[0], py + shift[1]) for px, py in points)
    return _off(here, drawn, wanted.out), turn, shift


def _off(points: Points, drawn: Points, out: float) -> float:
    """The furthest that a drawn corner is from where it belongs, by its distances from the sides that meet there."""
    if len(points) != len(drawn):
        return inf
    return max(abs(distance - out) for _, distance in _distances(points, drawn))


def _distances(points: Points, drawn: Points) -> list[tuple[tuple[float, float], float]]:
    """For each side and each of its ends the side's outward normal, and how far out the drawn corner of that end lies."""
    found = []
    count = len(points)
    for index in range(count):
        (ax, ay), (bx, by) = points[index], points[(index + 1) % count]
        long = hypot(bx - ax, by - ay)
        nx, ny = (by - ay) / long, (ax - bx) / long
        for end in (index, (index + 1) % count):
            found.append(((nx, ny), (drawn[end][0] - ax) * nx + (drawn[end][1] - ay) * ny))
    return found


def _turned(point: tuple[float, float], turns: int) -> tuple[float, float]:
    x, y = point
    for _ in range(turns):
        x, y = -y, x
    return x, y


def _apart(one: Points, other: Points) -> float:
    """How far the middles of two lines' corners are apart."""
    ax, ay = (fsum(p[k] for p in one) / len(one) for k in (0, 1))
    bx, by = (fsum(p[k] for p in other) / len(other) for k in (0, 1))
    return hypot(ax - bx, ay - by)
