"""Marks as planned and circles as read back turned into problems: off, missing, or one too many."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from math import atan2, cos, hypot, pi, sin
from typing import Any

from jiggen.plan.alike import seat_height
from jiggen.plan.model import Group, PostFace
from jiggen.problems import Problem
from jiggen.readback.model import Circle, Found, Segment

TOLERANCE = 0.02


@dataclass(frozen=True, slots=True)
class Target:
    """Where a mark must lie on its sheet: ``u`` right of its face's centre line, ``v`` above the datum at
    the centre line; half axes in mm, the long one at ``angle`` radians from +u."""

    id: str
    face: str
    u: float
    v: float
    rx: float
    ry: float
    angle: float


@dataclass(frozen=True, slots=True)
class Placed:
    """One page of a file: the sheet on it, page = sheet + shift, and each face's seat on the sheet."""

    sheet: str
    shift: tuple[float, float]
    seats: Mapping[str, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Deviation:
    """How far one mark is from its plan, mm; ``off`` None: it was not found."""

    id: str
    sheet: str
    off: float | None


def targets(group: Group, faces: Sequence[PostFace]) -> tuple[Target, ...]:
    """What a sheet must show, straight from the plan; a slot is its two end holes."""
    found = []
    for face in faces:
        seat, longer = seat_height(face, group.datum, 0.0), rolled(face)
        for mark in face.marks:
            if not group.shows(mark):
                continue
            short, long = mark.oval
            angle = atan2(mark.axis.y, mark.axis.x) if long > short + 1e-9 else 0.0
            dx, dy = mark.slot
            for sign in (1.0, -1.0) if any(mark.slot) else (0.0,):
                at = (mark.u + sign * dx) * longer, mark.v - seat + sign * dy
                found.append(Target(mark.id, face.id, *at, long / 2.0, short / 2.0, angle))
    return tuple(found)


def rolled(face: PostFace) -> float:
    """Length on paper of one mm across the face: paper 0.1 mm thick, rolled round a post, is measured outside it."""
    across = 2.0 * face.frame.radius
    return (across + 0.1) / across if across else 1.0


def as_data(wanted: Iterable[Target]) -> list[dict[str, Any]]:
    """Targets as plain data, for the file that they ride in."""
    return [
        {key: round(value, 6) if isinstance(value, float) else value for key, value in asdict(t).items()}
        for t in wanted
    ]


def from_data(rows: Iterable[Mapping[str, Any]]) -> tuple[Target, ...]:
    """Targets from what ``as_data`` gave. Raises ValueError where a row is not of that form."""
    try:
        numbers = ("u", "v", "rx", "ry", "angle")
        return tuple(Target(str(row["id"]), str(row["face"]), *(float(row[key]) for key in numbers)) for row in rows)
    except (KeyError, TypeError) as error:
        raise ValueError(f"the list of marks in the file is damaged ({error})") from None


def check_svg(sheet: str, wanted: Sequence[Target], found: Found) -> tuple[list[Deviation], list[Problem]]:
    """A sheet's SVG against its targets: u from the face's centre line, v from its datum line, as the file has them."""
    seats: dict[str, tuple[float, float]] = {}
    for face in {target.face for target in wanted}:
        centre, datum = _line(found, "centre", face), _line(found, "datum", face)
        if centre is None or datum is None:
            return [], [Problem("stop", sheet, f"no datum or centre line of {face} in the file", "make it again")]
        x = (centre.x1 + centre.x2) / 2.0
        seats[face] = (x, -_y_at(datum, x))
    circles = [(circle.x, -circle.y, circle) for circle in found.circles]
    return _match(sheet, wanted, circles, seats)


def check_pdf(
    wanted: Mapping[str, Sequence[Target]], pages: Sequence[Placed | None], found: Found
) -> tuple[list[Deviation], list[Problem]]:
    """Every page of a PDF against the targets of the sheets on them; a page without sheet must show no circle."""
    deviations: list[Deviation] = []
    problems: list[Problem] = []
    by_sheet: dict[str, list[tuple[float, float, Circle]]] = {}
    seats: dict[str, Mapping[str, tuple[float, float]]] = {}
    if len(pages) != len(found.pages):
        problems.append(Problem("stop", "file", f"{len(found.pages)} pages, {len(pages)} were made", "make it again"))
        return deviations, problems
    for circle in found.circles:
        page = pages[circle.page]
        if page is None:
            problems.append(
                Problem("stop", f"page {circle.page + 1}", "a circle where no mark belongs", "make it again")
            )
        else:
            by_sheet.setdefault(page.sheet, []).append((circle.x - page.shift[0], circle.y - page.shift[1], circle))
    for page in pages:
        if page is not None:
            seats[page.sheet] = page.seats
    for sheet in seats:
        more, wrong = _match(sheet, wanted[sheet], by_sheet.get(sheet, []), seats[sheet])
        deviations.extend(more)
        problems.extend(wrong)
    return deviations, problems


def _match(
    sheet: str,
    wanted: Sequence[Target],
    circles: Sequence[tuple[float, float, Circle]],
    seats: Mapping[str, tuple[float, float]],
) -> tuple[list[Deviation], list[Problem]]:
    """Each target with the circle nearest to it; a circle cut by a join may be there twice."""
    deviations: list[Deviation] = []
    problems: list[Problem] = []
    used: set[int] = set()
    for target in wanted:
        x, y = target.u + seats[target.face][0], target.v + seats[target.face][1]
        near = [
            (hypot(cx - x, cy - y), index)
            for index, (cx, cy, _) in enumerate(circles)
            if abs(cx - x) < 1.0 and abs(cy - y) < 1.0
        ]
        if not near:
            deviations.append(Deviation(target.id, sheet, None))
            problems.append(Problem("stop", target.id, f"not found on {sheet}", "do not drill; make it again"))
            continue
        for distance, index in sorted(near):
            circle = circles[index][2]
            name = circle.data.get("mark", "")
            if name != target.id:
                found = f'its circle is called "{name}" on {sheet}'
                problems.append(Problem("stop", target.id, found, "do not drill; make it again"))
            off = max(distance, _size_off(target, circle))
            first = index == min(near)[1]
            elsewhere = circle.page != circles[min(near)[1]][2].page and distance <= TOLERANCE
            if first or elsewhere or "clipped" in circle.data:
                used.add(index)
                deviations.append(Deviation(target.id, sheet, off))
                if off > TOLERANCE:
                    problems.append(
                        Problem(
                            "stop",
                            target.id,
                            f"{off:.3f} mm from its plan on {sheet}",
                            "do not drill; make it again",
                        )
                    )
    for index in sorted(set(range(len(circles))) - used):
        name = circles[index][2].data.get("mark", "no name")
        found = f"a circle too many on {sheet}, called {name}"
        problems.append(Problem("stop", name, found, "do not drill; make it again"))
    return deviations, problems


def _size_off(target: Target, circle: Circle) -> float:
    """How far the rim of an ellipse is from the planned one, mm: sizes, and the long axis' turn at its end."""
    sizes = max(abs(circle.rx - target.rx), abs(circle.ry - target.ry))
    if target.rx - target.ry < 1e-6:
        return sizes
    turn = (circle.angle - target.angle + pi / 2.0) % pi - pi / 2.0
    return max(sizes, (target.rx - target.ry) * abs(sin(turn)) * abs(cos(turn)))


def _line(found: Found, what: str, face: str) -> Segment | None:
    return next((s for s in found.segments if s.data.get("line") == what and s.data.get("face") == face), None)


def _y_at(segment: Segment, x: float) -> float:
    """y of a line at ``x``; of one that is upright its middle."""
    if abs(segment.x2 - segment.x1) < 1e-9:
        return (segment.y1 + segment.y2) / 2.0
    return segment.y1 + (segment.y2 - segment.y1) * (x - segment.x1) / (segment.x2 - segment.x1)
