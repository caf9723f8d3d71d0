"""A Plan turned into the schedules of its packet: posts, drills, cables, hardware, tension, inspection, care."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial

from jiggen.compose.lettering import both, reading
from jiggen.compose.said import NO_SHEET, by_sheet, groups_by_face, labels, short
from jiggen.compose.section import Section
from jiggen.compose.site import care, inspection, tension
from jiggen.compose.tables import Block, Column, Table, Words, flow, flowing
from jiggen.drawing.scene import Drawing
from jiggen.plan.drilling import holes
from jiggen.plan.model import Mark, Plan, Post, RunLine
from jiggen.plan.pulls import MEASURED_ROUND
from jiggen.plan.rails import end_words
from jiggen.plan.takeoff import SPARE, rounded_up, spares
from jiggen.plan.words import cut_label, long_length, nominal, worked
from jiggen.problems import Problem, weighed
from jiggen.told import told
from jiggen.units import mm_text

Size = tuple[float, float]
RAIL_ENDS = (Column("at its first post"), Column("at its last post"))
MOST_NAMED = 8  # faces in the head of a sheet's table


def schedules(plan: Plan, problems: Sequence[Problem], size: Size) -> tuple[Section, ...]:
    """All schedules in the packet's order, on drawings of ``size`` mm."""
    makers: tuple[tuple[str, Callable[[Plan, Sequence[Problem], Size], Iterable[Drawing]]], ...] = (
        ("Posts", post_pages),
        ("Drill list", drill_pages),
        ("Cable cuts and spools", cable_pages),
        ("Hardware, rails and drills", hardware_pages),
        ("Tension", tension),
        ("Inspection", inspection),
        ("Care card", care),
    )
    return tuple(Section(name, partial(make, plan, problems, size)) for name, make in makers)


def findings(plan: Plan, problems: Sequence[Problem], size: Size) -> tuple[Drawing, ...]:
    """Every finding in full, told once of all its places, stops first, with a place to sign for what was decided."""
    every = told(weighed(problems))
    rows = tuple((one.level.upper(), one.place, f"{one.found}. Remedy: {one.remedy}.", one.source, "") for one in every)
    columns = (
        Column("level"),
        Column("where"),
        Column("found, and what helps"),
        Column("clause or source"),
        Column("decided by, date", wide=22.0),
    )
    blocks: list[Block] = [Table("", columns, rows, 9.0)] if rows else [Words(("Nothing was found.",))]
    return flow(blocks, size, "TO DECIDE AND TO KNOW")


def post_pages(plan: Plan, problems: Sequence[Problem], size: Size) -> tuple[Drawing, ...]:
    """The posts with their kind, where they stand, and for each face its sheet and marks."""
    groups = groups_by_face(plan)
    rows: list[tuple[str, ...]] = []
    starts: set[int] = set()
    for post in plan.posts:
        first = len(rows)
        starts.add(first)
        named = (post.id, post.role, _kind(plan, post))
        for face in post.faces:
            group = groups.get(face.id)
            for sheet, marks in (by_sheet(groups, face) or ({group.id: []} if group else {})).items():
                told = named if len(rows) == first else ("", "", "")
                rows.append((*told, face.name, sheet, short(marks) or "none"))
        if len(rows) == first:
            rows.append((*named, "none", "none", "none"))
    columns = (
        Column("post"),
        Column("role"),
        Column("kind"),
        Column("face"),
        Column("sheet"),
        Column("marks (how many)"),
    )
    under = "A face is named by what it looks at. A mark's name is post/face/number; screws of cable 7 are 7a, 7b."
    under += _with_the_rail(row[4] for row in rows)
    return flow([Table("", columns, tuple(rows), 0.0, False, frozenset(starts))], size, "POSTS", under)


def _kind(plan: Plan, post: Post) -> str:
    kind, job = post.kind, plan.job
    size = kind.section.told(lambda mm: nominal(job, mm))
    return f"{kind.name}: {size}, {kind.material.name}"


def drill_pages(plan: Plan, problems: Sequence[Problem], size: Size) -> Iterator[Drawing]:
    """The drill list three times: by drill, by post, and each sheet's marks with their drops."""
    posts = _by_post(plan)
    blocks = [_by_drill(plan), posts, *_by_sheet(plan)]
    under = "The sheet is what you drill by; this list is to pack, to count and to check. Depth of a screw's hole: from the face."
    under += _with_the_rail(row[2] for row in posts.rows)
    return flowing(blocks, size, "DRILL LIST", under)


def _with_the_rail(sheets: Iterable[str]) -> str:
    """What is said under a table that has marks on no sheet."""
    return f" Sheet {NO_SHEET}: drilled through the bracket itself when its rail is put up." * (NO_SHEET in sheets)


def _depth(plan: Plan, mark: Mark) -> str:
    deep = f"through wall, {nominal(plan.job, mark.wall)}" if mark.wall else "through"
    told = deep if mark.through else both(plan.job, mark.depth)
    then = worked(plan.job, mark)
    return f"{told}; {then}" if then else told


def _by_drill(plan: Plan) -> Table:
    """One row a drill and depth: what for, how many holes (a bore through a post is one), in which posts."""
    found: dict[tuple[float, str, str, str], dict[str, int]] = {}
    for post in plan.posts:
        for hole in holes(post):
            mark = hole.mark
            depth = _depth(plan, mark) + (", from both faces" if hole.both else "")
            key = (mark.diameter, mark.drill.name, depth, mark.what.rpartition(", ")[2] or mark.purpose)
            where = found.setdefault(key, {})
            where[post.id] = where.get(post.id, 0) + hole.count
    rows = tuple(
        (name, mm_text(diameter, 2), what, depth, str(sum(where.values())), " ".join(where))
        for (diameter, name, depth, what), where in sorted(found.items())
    )
    columns = (
        Column("drill"),
        Column("mm", "right"),
        Column("for"),
        Column("depth"),
        Column("holes", "right"),
        Column("in posts"),
    )
    return Table("BY DRILL", columns, rows)


def _by_post(plan: Plan) -> Table:
    """One row for each drill and depth of a face, every mark named."""
    groups = groups_by_face(plan)
    rows: list[tuple[str, ...]] = []
    starts = set()
    for post in plan.posts:
        starts.add(len(rows))
        for face in post.faces:
            for sheet, own in by_sheet(groups, face).items():
                for (name, depth), marks in _shared(plan, own):
                    rows.append((post.id, face.name, sheet, name, depth, labels(marks), ""))
    columns = (
        Column("post"),
        Column("face"),
        Column("sheet"),
        Column("drill"),
        Column("depth"),
        Column("marks"),
        Column("done", wide=9.0),
    )
    return Table("BY POST", columns, tuple(rows), 0.0, False, frozenset(starts))


def _shared(plan: Plan, marks: Sequence[Mark]) -> Iterator[tuple[tuple[str, str], list[Mark]]]:
    """Marks of one face by drill and depth, in the order in which they come."""
    found: dict[tuple[str, str], list[Mark]] = {}
    for mark in marks:
        found.setdefault((mark.drill.name, _depth(plan, mark)), []).append(mark)
    yield from found.items()


def _some(names: Sequence[str]) -> str:
    """The names, or the first of many and how many more."""
    if len(names) <= MOST_NAMED:
        return ", ".join(names)
    return f"{', '.join(names[: MOST_NAMED - 1])} and {len(names) - MOST_NAMED + 1} more, see BY POST"


def _by_sheet(plan: Plan) -> Iterator[Table]:
    """Each sheet's marks with their drops from the underside, as on the face that it draws first; by themselves those of its
    faces that it does not show."""
    inch = plan.job.units == "in"  # a metric job's tape reads the mm
    columns = (
        Column("mark"),
        *([Column("drop in", "right")] if inch else []),
        Column("drop mm", "right"),
        Column("across mm", "right"),
        Column("over surface mm", "right"),
        Column("drill"),
        Column("depth"),
    )
    for group in plan.groups:
        for number, name in enumerate(group.strip):
            face = plan.face_by_id[name]
            served = group.faces if group.drawn == 1 else (name,)
            more = "" if group.drawn == 1 else f", face {number + 1} of {group.drawn}"
            heads = {True: f"SHEET {group.id}{more}", False: f"NOT ON SHEET {group.id}{more}, WITH THE RAIL"}
            for shown, head in heads.items():
                rows = tuple(
                    (
                        mark.label,
                        *([reading(plan.job, mark.drop).signed] if inch else []),
                        mm_text(mark.drop),
                        mm_text(mark.u),
                        mm_text(mark.above_tread),
                        mark.drill.name,
                        _depth(plan, mark),
                    )
                    for mark in face.marks
                    if group.shows(mark) is shown
                )
                if rows:
                    yield Table(f"{head}: {_some(served)}", columns, rows)


def _way(line: RunLine) -> tuple[str, ...]:
    """The posts from one end of a run's cables to the other, those that they are led round between them."""
    if line.led is None:
        return line.posts[0], line.posts[-1]
    return line.led.posts[0], *(bend.post for bend in line.led.bends), line.led.posts[1]


def cable_pages(plan: Plan, problems: Sequence[Problem], size: Size) -> tuple[Drawing, ...]:
    """Every cable with the length to cut it to and its spool; the spools with what is cut from each."""
    job, buying = plan.job, plan.takeoff.buying
    spools = buying.spools if buying else ()
    spool_of = {label: str(number) for number, spool in enumerate(spools, 1) for label in spool.cuts}
    ends = {line.id: " to ".join(_way(line)) for line in plan.runs}
    rows: list[tuple[str, ...]] = []
    starts: set[int] = set()
    for cut in plan.takeoff.cables:
        label = cut_label(cut.run, cut.cable)
        if cut.cable == 1:
            starts.add(len(rows))
        up = long_length(job, rounded_up(job, cut.length))
        rows.append((label, ends[cut.run], up, spool_of.get(label, "none"), "", ""))
    if SPARE in spool_of:
        longest = max((rounded_up(job, cut.length) for cut in plan.takeoff.cables), default=0.0)
        starts.add(len(rows))
        rows.append((SPARE, "as long as the longest", long_length(job, longest), spool_of[SPARE], "", ""))
    columns = (
        Column("cable"),
        Column("from post to post"),
        Column("cut to"),
        Column("spool", "right"),
        Column("cut", wide=12.0),
        Column("fitted", wide=12.0),
    )
    blocks: list[Block] = [Table("CUTS", columns, tuple(rows), 0.0, False, frozenset(starts))]
    blocks.append(_spools(plan))
    under = "Lengths are rounded up to the tape and hold the trim. Gloves: strand springs. Label each cable before you cut the next."
    if any(line.led for line in plan.runs):
        under += f" {MEASURED_ROUND}"
    return flow(blocks, size, "CABLE CUTS AND SPOOLS", under)


def _spools(plan: Plan) -> Block:
    job, buying = plan.job, plan.takeoff.buying
    if buying is None:
        return Words(("No spool of the job's list is long enough for its longest cable.",), "SPOOLS")
    rows = tuple(
        (str(number), long_length(job, spool.length), " ".join(spool.cuts), long_length(job, spool.left))
        for number, spool in enumerate(buying.spools, 1)
    )
    columns = (Column("spool", "right"), Column("length"), Column("cut from it, in this order"), Column("left over"))
    return Table("SPOOLS", columns, rows)


def hardware_pages(plan: Plan, problems: Sequence[Problem], size: Size) -> tuple[Drawing, ...]:
    """What to buy with spares, rails to cut, drills to pack."""
    job, takeoff = plan.job, plan.takeoff
    items = tuple((item, str(count), str(spares(count)), "") for item, count in takeoff.hardware)
    rails = tuple(
        (r.run, r.place, long_length(job, r.length), end_words(job, r.start), end_words(job, r.finish), "")
        for r in takeoff.rails
    )
    packed = tuple((d.drill, str(d.holes), str(d.both) if d.both else "", "") for d in takeoff.drills)
    packed += tuple((f"tap {name}", str(holes), "", "") for name, holes in takeoff.taps)
    got = Column("got", wide=12.0)
    blocks: list[Block] = [
        Table("HARDWARE", (Column("item"), Column("count", "right"), Column("spare", "right"), got), items),
        Table(
            "RAILS, along the middle of the underside",
            (Column("run"), Column("place"), Column("length"), *RAIL_ENDS, Column("cut", wide=12.0)),
            rails,
        ),
        Table(
            "DRILLS TO PACK",
            (Column("drill"), Column("holes", "right"), Column("from both faces", "right"), got),
            packed,
        ),
    ]
    under = (
        "Spares: one in twenty, at least one (common practice, no source). Cuts are told off square: plumb in the rail's side, "
        "mitre as seen from above."
    )
    return flow(blocks, size, "HARDWARE, RAILS AND DRILLS", under)
