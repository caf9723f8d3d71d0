"""A Plan turned into the lists of the packet as CSV: drills, cable cuts, hardware."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from io import StringIO
from math import ceil

from jiggen.compose.lettering import reading
from jiggen.plan.model import Plan
from jiggen.units import feet, mm_text

RISKY = ("=", "+", "-", "@", "\t", "\r")


def drill_list(plan: Plan) -> bytes:
    """One row a mark: where it is, what drills it, how deep, which table said so."""
    sheet_of = {face: group.id for group in plan.groups for face in group.faces}
    unit = plan.job.units
    head = [
        "mark",
        "post",
        "face",
        "sheet",
        "purpose",
        "cable",
        f"drop {unit}",
        "drop mm",
        "across mm",
        "over the walking surface mm",
        "drill",
        "drill mm",
        "depth mm",
        "through",
        "what",
        "why",
    ]
    rows = [
        [
            mark.id,
            mark.post,
            mark.face,
            sheet_of.get(face.id, ""),
            mark.purpose,
            str(mark.cable or ""),
            reading(plan.job, mark.drop).text,
            mm_text(mark.drop, 2),
            mm_text(mark.u, 2),
            mm_text(mark.above_tread, 2),
            mark.drill.name,
            mm_text(mark.diameter, 3),
            mm_text(mark.depth, 1),
            "yes" if mark.through else "no",
            mark.what,
            mark.why,
        ]
        for post in plan.posts
        for face in post.faces
        for mark in face.marks
    ]
    return _csv(head, rows)


def cut_list(plan: Plan) -> bytes:
    """One row a cable, its length rounded up to the job's step."""
    step = plan.job.round_to
    rows = []
    for cut in plan.takeoff.cables:
        up = ceil(cut.length / step - 1e-6) * step
        words = feet(up, step) if plan.job.units == "in" else f"{mm_text(up)} mm"
        rows.append([f"{cut.run}{cut.cable}", cut.run, str(cut.cable), words, mm_text(up, 1)])
    return _csv(["label", "run", "cable", "cut to", "cut to mm"], rows)


def hardware_list(plan: Plan) -> bytes:
    """One row an item."""
    return _csv(["item", "count"], [[item, str(count)] for item, count in plan.takeoff.hardware])


def _csv(head: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """UTF-8 with a byte order mark and CRLF, as spreadsheets read it; no cell starts a formula."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([_safe(cell) for cell in row] for row in rows)
    return b"\xef\xbb\xbf" + out.getvalue().encode()


def _safe(cell: str) -> str:
    """A cell that a spreadsheet takes as text; plain numbers stay numbers."""
    if not cell.startswith(RISKY):
        return cell
    try:
        float(cell)
    except ValueError:
        return "'" + cell
    return cell
