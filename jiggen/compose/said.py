"""Numbers of a Plan turned into the words of its schedules: forces, temperatures, weights, runs of labels."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from jiggen.job.model import Job
from jiggen.plan.model import Group, Mark, Plan, PostFace
from jiggen.units import GRAVITY, N_PER_LBF, mm_text

FREEZING = 273.15  # 0 degrees Celsius in K
NO_SHEET = "none, with the rail"  # shows holes of brackets where the rail is in place


def force(job: Job, newtons: float) -> str:
    """A force: "1001 N", in an inch job "225 lbf (1001 N)"."""
    if newtons > 1e9:
        return "no force"
    if job.units == "mm":
        return f"{mm_text(newtons, 0)} N"
    return f"{mm_text(newtons / N_PER_LBF, 0)} lbf ({mm_text(newtons, 0)} N)"


def temperature(job: Job, kelvin: float) -> str:
    """A temperature: "18 °C", in an inch job "65 °F (18 °C)"."""
    celsius = f"{mm_text(kelvin - FREEZING, 0)} °C"
    return celsius if job.units == "mm" else f"{mm_text((kelvin - FREEZING) * 1.8 + 32.0, 0)} °F ({celsius})"


def weight(job: Job, newtons: float) -> str:
    """What hangs, as a mass: "5.0 kg" or "11.0 lb"."""
    if job.units == "mm":
        return f"{mm_text(newtons / GRAVITY)} kg"
    return f"{mm_text(newtons / N_PER_LBF)} lb"


def groups_by_face(plan: Plan) -> dict[str, Group]:
    """The group of each face by the face's id; a face without one has no sheet."""
    return {face: group for group in plan.groups for face in group.faces}


def sheet_of(groups: Mapping[str, Group], face: str, mark: Mark) -> str:
    """The sheet that shows a mark: "S1", or ``NO_SHEET`` where it is drilled with the rail, by the bracket itself."""
    group = groups.get(face)  # a face that has none has nothing but brackets of a rail in place
    return group.id if group is not None and group.shows(mark) else NO_SHEET


def by_sheet(groups: Mapping[str, Group], face: PostFace) -> dict[str, list[Mark]]:
    """The marks of a face by the words for their sheet, in the order in which they come."""
    found: dict[str, list[Mark]] = {}
    for mark in face.marks:
        found.setdefault(sheet_of(groups, face.id, mark), []).append(mark)
    return found


def labels(marks: Iterable[Mark]) -> str:
    """The labels of marks, each told: "1 2 3 1a 1b"."""
    return " ".join(mark.label for mark in marks)


def short(marks: Sequence[Mark]) -> str:
    """The labels of marks, neighbours in the plan's order drawn together by purpose: "1 to 11, 1a to 11b, B1 to B4"."""
    found = []
    for purpose in ("cable", "screw", "bracket", "wire"):
        own = [mark.label for mark in marks if mark.purpose == purpose]
        if own:
            found.append(own[0] if len(own) == 1 else f"{own[0]} to {own[-1]} ({len(own)})")
    return ", ".join(found)
