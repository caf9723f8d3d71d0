"""A jig's guides as planned and its files as read back turned into problems: off, missing, or one too many."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from math import atan2, cos, hypot, pi, sin
from typing import Any

from jiggen.plan.alike import seat_height
from jiggen.plan.jigs.checks import too_small
from jiggen.plan.jigs.model import RUN, Jig, Part
from jiggen.plan.model import Mark, Plan, PostFace
from jiggen.problems import Problem
from jiggen.readback.contour import Contour
from jiggen.readback.model import Found
from jiggen.verify import TOLERANCE, Deviation


@dataclass(frozen=True, slots=True)
class GuideTarget:
    """Where a hole must lie on a part: (x, y) in the part's frame, ``width`` across and ``length`` along its trace at
    ``angle`` radians from +x, nominal. ``low``, ``high``: y of the ends of the part's scored centre line (x = 0)."""

    id: str
    part: str
    x: float
    y: float
    width: float
    length: float
    angle: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class _Rim:
    """A hole as it was found: y up, kerf not yet put back."""

    x: float
    y: float
    points: tuple[tuple[float, float], ...]
    radius: float
    mark: str
    part: str


def targets(plan: Plan, jig: Jig) -> tuple[GuideTarget, ...]:
    """What the files of a jig must show: guides straight from the plan's marks, dowels as the jig has
    them. Holes too small to cut are engraved and left out."""
    if not jig.parts or not jig.face:
        return ()
    face = plan.face_by_id[jig.face]
    group = next(g for g in plan.groups if jig.face in g.faces)
    seat = seat_height(face, group.datum, 0.0)
    marks = {mark.id: mark for mark in face.marks}
    found = []
    for part in jig.parts:
        if not part.scores or part.place is None:
            continue
        low, high = part.scores[0].start.y, part.scores[0].end.y
        for hole in part.holes:
            if too_small(hole, jig.wish):
                continue
            name, _, end = hole.mark.partition(":")
            if hole.mark:
                found.append(_guide(marks[name], end, face, seat, part, jig, (low, high)))
            else:
                sizes = (hole.diameter, hole.diameter, 0.0)
                found.append(GuideTarget("", part.id, hole.at.x, hole.at.y, *sizes, low, high))
    return tuple(found)


def _guide(
    mark: Mark, end: str, face: PostFace, seat: float, part: Part, jig: Jig, line: tuple[float, float]
) -> GuideTarget:
    """The bore of a mark swept through a board: d wide, d / cos + thickness x tan long, at the board's middle."""
    assert part.place is not None
    sign = {"": 0.0, "1": 1.0, "2": -1.0}[end]
    u, v = mark.u + sign * mark.slot[0], mark.v + sign * mark.slot[1] - seat
    middle = part.place.origin.z + part.thickness / 2.0
    across, up, into = mark.axis
    radius = face.frame.radius
    turn = u / radius if radius else 0.0
    # the axis in the frame of the face's centre line, out of the post positive
    side, back = across * cos(turn) - into * sin(turn), across * sin(turn) + into * cos(turn)
    start, skin = (radius * sin(turn), radius * (cos(turn) - 1.0)) if radius else (u, 0.0)
    rise = middle - skin
    slope = hypot(side, up) / back
    square = slope < 1e-3
    bushed = jig.wish.bushing is not None and square
    d = jig.wish.bushing if bushed and jig.wish.bushing else mark.drill.diameter + RUN
    x, y = start - side / back * rise, v - up / back * rise
    if not end and hypot(*mark.slot) > 1e-6:
        slot = (d + 2.0 * hypot(*mark.slot), atan2(mark.slot[1], mark.slot[0]))
        return GuideTarget(mark.id, part.id, x, y, d, *slot, *line)
    length = d if square else d / back + part.thickness * slope
    return GuideTarget(
        mark.id + (f":{end}" if end else ""), part.id, x, y, d, length, 0.0 if square else atan2(up, side), *line
    )


def as_data(wanted: Iterable[GuideTarget]) -> list[dict[str, Any]]:
    """Targets as plain data, for the file that they ride in."""
    return [{k: round(v, 6) if isinstance(v, float) else v for k, v in asdict(t).items()} for t in wanted]


def from_data(rows: Iterable[Mapping[str, Any]]) -> tuple[GuideTarget, ...]:
    """Targets from what ``as_data`` gave. Raises ValueError where a row is not of that form."""
    numbers = ("x", "y", "width", "length", "angle", "low", "high")
    try:
        return tuple(GuideTarget(str(row["id"]), str(row["part"]), *(float(row[n]) for n in numbers)) for row in rows)
    except (KeyError, TypeError) as error:
        raise ValueError(f"the list of guides in the file is damaged ({error})") from None


def check(
    sheet: str,
    wanted: Sequence[GuideTarget],
    files: Sequence[tuple[Found, Sequence[Contour]]],
    kerf: float,
    y_down: bool,
) -> tuple[list[Deviation], list[Problem]]:
    """The panels of one jig against its targets, kerf put back.

    ``files``: what was read from each panel. ``y_down``: True for SVG.  Each part's frame is found from its scored centre line in the file.
    """
    deviations: list[Deviation] = []
    problems: list[Problem] = []
    seen: set[str] = set()
    sign = -1.0 if y_down else 1.0
    for found, contours in files:
        rims = _rims(found, contours, sign)
        used: set[int] = set()
        frames = {s.data["part"]: s for s in found.segments if s.data.get("line") == "centre" and "part" in s.data}
        for target in wanted:
            line = frames.get(target.part)
            if line is None:
                continue
            seen.add(target.part)
            start = (line.x1, sign * line.y1)
            up = (line.x2 - line.x1, sign * (line.y2 - line.y1))
            near = _nearest(target, start, up, rims)
            if near is None:
                deviations.append(Deviation(target.id or "dowel", sheet, None))
                problems.append(_bad(target, f"not found on {target.part}"))
                continue
            index, off = near
            off = max(off, abs(hypot(*up) - (target.high - target.low)))
            rim = rims[index]
            off = max(off, _size_off(target, rim, up, kerf))
            used.add(index)
            deviations.append(Deviation(target.id or "dowel", sheet, off))
            if rim.mark != target.id:
                problems.append(_bad(target, f"the hole there is named {rim.mark or 'nothing'} on {target.part}"))
            elif off > TOLERANCE:
                problems.append(_bad(target, f"{off:.3f} mm from its plan on {target.part}"))
        for index, rim in enumerate(rims):
            if index not in used:
                words = f"a hole too many at {rim.x:.2f}, {rim.y:.2f} mm"
                problems.append(Problem("stop", sheet, words, "do not cut it; make it again"))
    for part in sorted({t.part for t in wanted} - seen):
        problems.append(Problem("stop", part, "its scored centre line is in no file", "do not cut it; make it again"))
    return deviations, problems


def _bad(target: GuideTarget, words: str) -> Problem:
    return Problem("stop", target.id or target.part, words, "do not cut it; make it again")


def _rims(found: Found, contours: Sequence[Contour], sign: float) -> list[_Rim]:
    """Every hole in a file: circles and closed lines that are none of a slot, an outline or a disc."""
    out = []
    for circle in found.circles:
        if circle.data.get("use") != "outline":
            mark, part = circle.data.get("mark", ""), circle.data.get("part", "")
            out.append(_Rim(circle.x, sign * circle.y, (), (circle.rx + circle.ry) / 2.0, mark, part))
    for line in contours:
        if line.closed and line.data.get("use") in ("guide", "index"):
            points = tuple((x, sign * y) for x, y in line.points)
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            middle = ((min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0)
            out.append(_Rim(*middle, points, 0.0, line.data.get("mark", ""), line.data.get("part", "")))
    return out


def _nearest(
    target: GuideTarget, start: tuple[float, float], up: tuple[float, float], rims: Sequence[_Rim]
) -> tuple[int, float] | None:
    """The hole nearest to where the target lies in the file, within 1 mm, and how far it is off."""
    long = hypot(*up)
    if long < 1e-6:
        return None
    ux, uy = up[0] / long, up[1] / long
    along, out = target.y - target.low, target.x
    x, y = start[0] + ux * along + uy * out, start[1] + uy * along - ux * out
    near = [(hypot(rim.x - x, rim.y - y), i) for i, rim in enumerate(rims)]
    if not near or min(near)[0] > 1.0:
        return None
    return min(near)[1], min(near)[0]


def _size_off(target: GuideTarget, rim: _Rim, up: tuple[float, float], kerf: float) -> float:
    """How far width and length, kerf put back, are from the planned ones: half of the difference is the rim's."""
    if not rim.points:
        return max(abs(2.0 * rim.radius + kerf - target.width), abs(2.0 * rim.radius + kerf - target.length)) / 2.0
    turn = target.angle + atan2(up[1], up[0]) - pi / 2.0
    c, s = cos(turn), sin(turn)
    along = [x * c + y * s for x, y in rim.points]
    across = [y * c - x * s for x, y in rim.points]
    length, width = max(along) - min(along) + kerf, max(across) - min(across) + kerf
    return max(abs(width - target.width), abs(length - target.length)) / 2.0
