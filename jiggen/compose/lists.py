"""A Plan turned into the lists of the packet as CSV: drills, cable cuts, hardware."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from jiggen.compose.lettering import reading
from jiggen.compose.said import groups_by_face, sheet_of
from jiggen.plan.drilling import holes_words
from jiggen.plan.model import Mark, Plan
from jiggen.plan.pulls import bound_words
from jiggen.plan.rails import end_words
from jiggen.plan.shop import RailCut
from jiggen.plan.takeoff import SPARE, rounded_up, spares
from jiggen.plan.words import cut_label, end_holes, how_deep, length, worked
from jiggen.units import feet, mm_text

NO_PULL = ("", "", "", "")  # of what is not pulled
DRILLED = (
    "mark",
    "post",
    "face",
    "sheet",
    "purpose",
    "cable",
    "drop in",
    "drop mm",
    "across mm",
    "over the walking surface mm",
    "drill",
    "drill mm",
    "depth mm",
    "through",
    "what",
    "why",
    "how deep",
    "then",
    "slot mm",
    "slot's end holes",
    "other end",
)  # columns of the drill list
TAPED = DRILLED.index("drop in")  # what a tape reads: a metric one the mm beside it
RISKY = ("=", "+", "-", "@", "\t", "\r")


def drill_list(plan: Plan) -> bytes:
    """One row a mark: where it is, what drills it, how deep, which table said so."""
    groups = groups_by_face(plan)
    rows = [
        [
            mark.id,
            mark.post,
            mark.face,
            sheet_of(groups, face.id, mark),
            mark.purpose,
            str(mark.cable or ""),
            _drop(plan, mark),
            mm_text(mark.drop, 2),
            mm_text(mark.u, 2),
            mm_text(mark.above_tread, 2),
            mark.drill.name,
            mm_text(mark.diameter, 3),
            mm_text(mark.depth, 1),
            "yes" if mark.through else "no",
            mark.what,
            mark.why,
            how_deep(plan.job, mark),
            worked(plan.job, mark),
            f"{mm_text(mark.diameter, 2)} x {mm_text(mark.slotted, 2)}" if mark.slotted else "",
            end_holes(plan.job, mark),
            mark.other,
        ]
        for post in plan.posts
        for face in post.faces
        for mark in face.marks
    ]
    head = list(DRILLED)
    if plan.job.units == "mm":
        for row in (head, *rows):
            del row[TAPED]
    return _csv(head, rows)


def _drop(plan: Plan, mark: Mark) -> str:
    """The tape reading of a drop; over the underside it is said in words, as no cell may start like a formula."""
    text = reading(plan.job, abs(mark.drop)).text
    return text if mark.drop >= 0.0 else f"{text} above"


def cut_list(plan: Plan) -> bytes:
    """One row a cable and one for the spare, lengths rounded up to the job's step; then the spools and how far they are
    from the shortest set. With each cable its place in the order of pulling, where its spool stands, where it is fed to
    and where it is turned."""
    rows = []
    place = {run: {cable: at for at, cable in enumerate(order, 1)} for run, order in plan.takeoff.tension_order}
    pulled = {pulling.run: pulling for pulling in plan.takeoff.pulling}
    spools = plan.takeoff.buying.spools if plan.takeoff.buying else ()
    spool_of = {label: str(number) for number, spool in enumerate(spools, 1) for label in spool.cuts}
    longest = 0.0
    for cut in plan.takeoff.cables:
        up = rounded_up(plan.job, cut.length)
        label = cut_label(cut.run, cut.cable)
        cells = [label, cut.run, str(cut.cable), _to_cut(plan, up), mm_text(up, 1), spool_of.get(label, "")]
        how = pulled.get(cut.run)
        ends = [how.spool, how.feed, " and ".join(how.adjustable) or "none"] if how else ["", "", ""]
        rows.append([*cells, str(place[cut.run][cut.cable]), *ends])
        longest = max(longest, up)
    if SPARE in spool_of:
        rows.append([SPARE, "", "", _to_cut(plan, longest), mm_text(longest, 1), spool_of[SPARE], *NO_PULL])
    for number, spool in enumerate(spools, 1):
        left = f"{mm_text(spool.left, 0)} mm left"
        rows.append([f"spool {number}", "", "", "", mm_text(spool.length, 0), left, *NO_PULL])
    told = bound_words(plan) or "no spool of the job's list is long enough"
    rows.append(["all spools", "", "", "", mm_text(sum(spool.length for spool in spools), 0), told, *NO_PULL])
    head = ["label", "run", "cable", "cut to", "cut to mm", "spool"]
    return _csv([*head, "pulled as number", "spool stands at post", "feed toward post", "turn at post"], rows)


def _to_cut(plan: Plan, mm: float) -> str:
    """A length in feet and inches, or in mm in a metric job; the other column has the mm."""
    return feet(mm, plan.job.round_to) if plan.job.units == "in" else f"{mm_text(mm)} mm"


def hardware_list(plan: Plan) -> bytes:
    """One row an item, with spares (one in twenty, at least one: common practice, no source); rails; drills to pack."""
    rows = [[item, str(count), str(spares(count))] for item, count in plan.takeoff.hardware]
    rows += [[f"rail {_rail(plan, rail)}", "1", ""] for rail in plan.takeoff.rails]
    rows += [[f"drill {d.drill}, {holes_words(d)}", "1", "1"] for d in plan.takeoff.drills]
    rows += [[f"tap {name}, {holes} holes", "1", "1"] for name, holes in plan.takeoff.taps]
    rows += [[f"slots by drill {name}, {size} mm", str(count), ""] for size, name, count in plan.takeoff.slots]
    return _csv(["item", "count", "spare"], rows)


def _rail(plan: Plan, rail: RailCut) -> str:
    """A rail's run, place and length, and how it is cut at its first post and at its last."""
    ends = (f"at {end.post} {end_words(plan.job, end)}" for end in (rail.start, rail.finish))
    return f"{rail.run}, {rail.place}, {length(plan.job, rail.length)}, {', '.join(ends)}"


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
