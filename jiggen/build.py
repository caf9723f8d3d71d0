"""A Job turned into the whole packet as names and bytes, all in memory, each file read back before it counts."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from jiggen.compose.bench import Room
from jiggen.compose.cover import cover
from jiggen.compose.fittings import fitting_sheet
from jiggen.compose.front import front, short_front
from jiggen.compose.lists import cut_list, drill_list, hardware_list
from jiggen.compose.pole import pole, pole_runs
from jiggen.compose.scalepage import scale_page
from jiggen.compose.schedules import Section
from jiggen.compose.template import template
from jiggen.drawing.scene import Drawing, Ink, Text
from jiggen.geometry import Point
from jiggen.job.model import Job
from jiggen.plan.document import SheetSize, document, to_json
from jiggen.plan.make import make_plan
from jiggen.plan.model import Group, Plan, PostFace
from jiggen.plan.report import report
from jiggen.problems import JobError, Problem, StopError
from jiggen.review import review
from jiggen.sheets.model import Page, Paper, Sheet
from jiggen.sheets.paper import bare, paper, usable
from jiggen.sheets.tiling import Tiled, pages, single
from jiggen.verify import Deviation, Placed, Target, as_data, check_pdf, check_svg, from_data, targets

Progress = Callable[[str, int, int], None]


class ReadBackError(Exception):
    """Raised when a file just made does not agree with its plan; carries what is wrong."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


@dataclass(frozen=True, slots=True)
class Options:
    """What a packet is asked for beyond its job. ``only``: sheets by id, ``posts``: by name, () for all."""

    paper: str | None = None
    only: tuple[str, ...] = ()
    posts: tuple[str, ...] = ()
    draft: bool = False


@dataclass(frozen=True)
class Drawn:
    """One sheet drawn and cut into pages, with what it must show."""

    group: Group
    sheet: Sheet
    tiled: Tiled
    targets: tuple[Target, ...]


@dataclass(frozen=True)
class Survey:
    """A plan with everything that was found in it and its sheets drawn; nothing rendered yet."""

    plan: Plan
    problems: tuple[Problem, ...]
    paper: Paper
    sheets: tuple[Drawn, ...]
    samples: tuple[Drawn, ...]
    whole: bool = True

    @property
    def document(self) -> dict[str, Any]:
        """plan.json as plain data."""
        sizes = [
            SheetSize(d.group.id, d.sheet.drawing.width, d.sheet.drawing.height, len(d.tiled.pages))
            for d in self.sheets
        ]
        return document(self.plan, sizes, self.problems)

    @property
    def stops(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.level == "stop")

    def text(self) -> list[str]:
        """The plan as lines for a terminal."""
        return report(self.plan, [sheet_words(drawn) for drawn in self.sheets])


@dataclass(frozen=True)
class Packet:
    """A finished packet: file names (with folders, "/") and bytes, in a fixed order."""

    survey: Survey
    files: Mapping[str, bytes]
    deviations: tuple[Deviation, ...]
    notes: tuple[str, ...] = field(default=())


def survey(job: Job, options: Options | None = None) -> Survey:
    """The plan of a job, reviewed, with its sheets drawn and cut into pages.

    Raises JobError for an unknown sheet, post or paper among the options.
    """
    options = options or Options()
    plan = make_plan(job)
    chosen = _paper(job, options)
    groups = _chosen(plan, options)
    foot = f"{job.name}   {plan.fingerprint}"
    room = Room(*usable(chosen), job.sheet.overlap)
    sheets = tuple(
        _drawn(job, group, [plan.face_by_id[f] for f in group.strip], template(plan, group, room), chosen, foot)
        for group in groups
    )
    samples: list[Drawn] = []
    if not (options.only or options.posts):
        for sample in plan.samples:
            made = (
                fitting_sheet(plan, sample, room.width)
                if sample.group.kind == "fitting"
                else template(plan, sample.group, room, sample.face)
            )
            samples.append(_drawn(job, sample.group, [sample.face], made, chosen, foot))
        for number, line in enumerate(pole_runs(plan), 1):
            group = Group(f"R{number}", (), line.posts, "pole", job.sheet.datum)
            samples.append(_drawn(job, group, [], pole(plan, line, group.id), chosen, foot))
    warnings = [_joins_note(drawn) for drawn in (*samples, *sheets) if drawn.tiled.warnings]
    return Survey(
        plan,
        (*plan.problems, *review(plan), *warnings),
        chosen,
        sheets,
        tuple(samples),
        not (options.only or options.posts),
    )


def build(job: Job, options: Options | None = None, progress: Progress | None = None) -> Packet:
    """The whole packet of a job. Raises StopError for a stop (unless draft), JobError for an option that does not fit, and ReadBackError where a file is off."""
    options = options or Options()
    found = survey(job, options)
    if found.stops and not options.draft:
        raise StopError(found.problems)
    tell = progress or (lambda stage, done, total: None)
    files: dict[str, bytes] = {}
    text = to_json(found.document)
    drawn = (*found.samples, *found.sheets)
    deviations: list[Deviation] = []
    files["packet.pdf"] = b""
    for index, one in enumerate(found.sheets):
        tell("sheets", index, len(found.sheets) + 1)
        svg = _svg(found, one, options.draft)
        deviations.extend(_checked_svg(one, svg))
        files[f"sheets/{one.group.id}.svg"] = svg
        data, placed = _pdf(found, [one], [], text, options.draft)
        deviations.extend(_checked_pdf([one], placed, data))
        files[f"sheets/{one.group.id}.pdf"] = data
    tell("packet", len(found.sheets), len(found.sheets) + 1)
    data, placed = _pdf(found, drawn, _front(found, drawn), text, options.draft)
    deviations.extend(_checked_pdf(drawn, placed, data))
    files["packet.pdf"] = data
    files["drill-list.csv"] = drill_list(found.plan)
    files["cut-list.csv"] = cut_list(found.plan)
    files["hardware.csv"] = hardware_list(found.plan)
    files["plan.json"] = text.encode()
    files["job.toml"] = job.text.encode()
    picture, notes = _preview(found, options.draft)
    if picture is not None:
        files["preview.png"] = picture
    tell("done", len(found.sheets) + 1, len(found.sheets) + 1)
    return Packet(found, files, tuple(deviations), notes)


def scale_file(name: str, margin: float) -> bytes:
    """The scale page alone as a PDF, always uncorrected. Raises ValueError for an unknown paper."""
    from jiggen.render.pdf import pdf

    chosen = paper(name, margin)
    page = single(chosen, scale_page(bare(chosen)), label="scale", title="SCALE PAGE", foot="uncorrected")
    return pdf([page], title="Scale page")


def measure(data: bytes) -> tuple[list[Deviation], list[Problem], str]:
    """How far each mark of a packet, sheet PDF or sheet SVG made earlier is from its plan; and the plan's fingerprint.

    Raises ValueError where the file is none of ours or cannot be read.
    """
    if data[:1024].lstrip().startswith(b"%PDF"):
        from jiggen.readback.pdf import read_pdf

        found = read_pdf(data)
        if "marks.json" not in found.attachments:
            raise ValueError("this PDF carries no plan of its marks, it is none of ours")
        wanted, placed, fingerprint = _marks_from(_json(found.attachments["marks.json"]))
        return *check_pdf(wanted, placed, found), fingerprint
    from jiggen.readback.svg import read_svg

    found = read_svg(data)
    if not found.metadata.strip():
        raise ValueError("this SVG carries no plan of its marks, it is none of ours")
    meta = _json(found.metadata.encode())
    wanted, _, fingerprint = _marks_from(meta)
    (sheet, rows), *_ = wanted.items() or [("", ())]
    return *check_svg(sheet, rows, found), fingerprint


def sheet_words(drawn: Drawn) -> str:
    """One line on a sheet: "S1: 3 toward 2, 3 toward 4; 176 x 940 mm, 5 pages"."""
    faces = ", ".join(" ".join(face.rsplit("/", 1)) for face in drawn.group.faces)
    size = drawn.sheet.drawing
    count = len(drawn.tiled.pages)
    return f"{drawn.group.id}: {faces}; {size.width:.0f} x {size.height:.0f} mm, {count} page{'s' * (count > 1)}"


def _joins_note(drawn: Drawn) -> Problem:
    first, more = drawn.tiled.warnings[0], len(drawn.tiled.warnings) - 1
    words = first + (f" (and {more} more joins)" if more else "")
    return Problem("note", drawn.group.id, words, "mind those places when you tape the pages together")


def _paper(job: Job, options: Options) -> Paper:
    wish = job.sheet
    try:
        if options.paper:
            return paper(options.paper, wish.margin)
        return replace(paper(wish.size, wish.margin), name=wish.paper)
    except ValueError as error:
        raise JobError([Problem("stop", "paper", str(error), "choose letter, a4, legal, tabloid or a3")]) from None


def _chosen(plan: Plan, options: Options) -> list[Group]:
    problems = []
    known = {group.id for group in plan.groups}
    for name in options.only:
        if name not in known:
            words = f"choose from {', '.join(sorted(known, key=lambda s: int(s[1:])))}"
            problems.append(Problem("stop", "--only", f'found "{name}", no such sheet', words))
    for name in options.posts:
        if name not in plan.post_by_id:
            words = f"choose from {', '.join(list(plan.post_by_id)[:40])}"
            problems.append(Problem("stop", "--posts", f'found "{name}", no such post', words))
    if problems:
        raise JobError(problems)
    return [
        group
        for group in plan.groups
        if (not options.only or group.id in options.only)
        and (not options.posts or set(group.posts) & set(options.posts))
    ]


def _drawn(job: Job, group: Group, faces: Sequence[PostFace], sheet: Sheet, chosen: Paper, foot: str) -> Drawn:
    try:
        tiled = pages(sheet, chosen, job.sheet.overlap, foot)
    except ValueError as error:
        raise JobError([Problem("stop", "sheet.overlap", str(error), "use a larger paper or less overlap")]) from None
    return Drawn(group, sheet, tiled, targets(group, faces))


def _svg(found: Survey, one: Drawn, draft: bool) -> bytes:
    from jiggen.render.svg import svg

    drawing = one.sheet.drawing
    if draft:
        word = Text(Point(drawing.width / 2.0, drawing.height / 2.0), 40.0, "DRAFT", "middle", 0.6, Ink.DRAFT)
        drawing = Drawing(drawing.width, drawing.height, (word, *drawing.shapes), drawing.title)
    return svg(drawing, title=drawing.title, metadata=json.dumps(_marks_data(found, [one], []), ensure_ascii=True))


def _front(found: Survey, drawn: Sequence[Drawn]) -> list[tuple[str, Page]]:
    """The pages before the sheets, each with the name of its part; a packet of chosen sheets has cover and scale page."""
    plan, size = found.plan, bare(found.paper)
    words = [sheet_words(one) for one in found.sheets]
    sections: tuple[Section, ...] = short_front(plan, found.problems, size, words)
    if found.whole:
        listed = [(f"{one.group.id} {one.sheet.name}", len(one.tiled.pages)) for one in drawn]
        sections = front(plan, found.problems, size, listed, words)
    foot = f"{plan.job.name}   {plan.fingerprint}"
    pages: list[tuple[str, Page]] = []
    for section in sections:
        count = len(section.drawings)
        for number, drawing in enumerate(section.drawings, 1):
            label = section.name.lower() + (f" {number}" if count > 1 else "")
            pages.append(
                (section.name, single(found.paper, drawing, label=label, title=section.name.upper(), foot=foot))
            )
    return pages


def _pdf(
    found: Survey, drawn: Sequence[Drawn], before: Sequence[tuple[str, Page]], text: str, draft: bool
) -> tuple[bytes, list[Placed | None]]:
    """A PDF of some sheets behind some front pages, and where each page's sheet lies."""
    from jiggen.render.pdf import pdf

    every: list[Page] = [page for _, page in before]
    names = [name for name, _ in before]
    outline = [(name, names.index(name)) for name in dict.fromkeys(names)]
    placed: list[Placed | None] = [None] * len(every)
    for one in drawn:
        outline.append((f"{one.group.id} {one.sheet.name}", len(every)))
        every.extend(one.tiled.pages)
        seats = {face: (x, y) for face, x, y in one.sheet.seats}
        placed.extend(Placed(one.group.id, page.shift, seats) for page in one.tiled.pages)
    plan = found.plan
    data = pdf(
        every,
        title=plan.job.name,
        subject=f"Drilling templates, fingerprint {plan.fingerprint}",
        keywords=" ".join(one.group.id for one in drawn),
        outline=outline,
        attachments=[
            ("job.toml", plan.job.text.encode()),
            ("marks.json", json.dumps(_marks_data(found, drawn, placed)).encode()),
            ("plan.json", text.encode()),
        ],
        watermark="DRAFT" if draft else "",
    )
    return data, placed


def _marks_data(found: Survey, drawn: Sequence[Drawn], placed: Sequence[Placed | None]) -> dict[str, Any]:
    """What a file must show, in the form that rides in it."""
    return {
        "name": found.plan.job.name,
        "fingerprint": found.plan.fingerprint,
        "sheets": {one.group.id: as_data(one.targets) for one in drawn},
        "pages": [
            None if p is None else {"sheet": p.sheet, "shift": list(p.shift), "seats": dict(p.seats)} for p in placed
        ],
    }


def _marks_from(data: Any) -> tuple[dict[str, tuple[Target, ...]], list[Placed | None], str]:
    """The reverse of ``_marks_data``. Raises ValueError where it is not of that form."""
    try:
        wanted = {str(sheet): from_data(rows) for sheet, rows in data["sheets"].items()}
        placed = [
            None
            if page is None
            else Placed(
                str(page["sheet"]),
                (float(page["shift"][0]), float(page["shift"][1])),
                {str(face): (float(seat[0]), float(seat[1])) for face, seat in page["seats"].items()},
            )
            for page in data["pages"]
        ]
        if any(page is not None and page.sheet not in wanted for page in placed):
            raise ValueError("the plan in the file is damaged (a page of no sheet)")
        return wanted, placed, str(data["fingerprint"])
    except (KeyError, TypeError, AttributeError, IndexError) as error:
        raise ValueError(f"the plan in the file is damaged ({error})") from None


def _json(data: bytes) -> Any:
    try:
        return json.loads(data)
    except (ValueError, RecursionError) as error:
        raise ValueError(f"the plan in the file is damaged ({error})") from None


def _checked_svg(one: Drawn, data: bytes) -> list[Deviation]:
    from jiggen.readback.svg import read_svg

    deviations, problems = check_svg(one.group.id, one.targets, read_svg(data))
    if problems:
        raise ReadBackError(problems)
    return deviations


def _checked_pdf(drawn: Sequence[Drawn], placed: Sequence[Placed | None], data: bytes) -> list[Deviation]:
    from jiggen.readback.pdf import read_pdf

    wanted = {one.group.id: one.targets for one in drawn}
    deviations, problems = check_pdf(wanted, placed, read_pdf(data))
    if problems:
        raise ReadBackError(problems)
    return deviations


def _preview(found: Survey, draft: bool) -> tuple[bytes | None, tuple[str, ...]]:
    """One picture of the packet as PNG where libcairo is, else None and the line that says what to install."""
    if not found.sheets:
        return None, ()
    from jiggen.render.svg import svg

    try:
        import cairosvg
    except (OSError, ImportError):
        return None, ("no preview.png: libcairo is not on this machine (Debian: apt install libcairo2)",)
    first = cover(found.plan, found.problems, bare(found.paper), [sheet_words(d) for d in found.sheets])
    picture: bytes = cairosvg.svg2png(bytestring=svg(first), output_width=1080, background_color="white")
    return picture, ()


__all__ = ["Options", "Packet", "ReadBackError", "Survey", "build", "measure", "scale_file", "survey"]
