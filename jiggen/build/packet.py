"""A Survey turned into the files of its packet, all in memory, each one read back before it counts."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from jiggen.build.marks import guides, jig_data, marks_data
from jiggen.build.model import Drawn, Made, Options, Packet, Progress, ReadBackError, Survey, sheet_words
from jiggen.build.survey import survey
from jiggen.compose.lists import cut_list, drill_list, hardware_list
from jiggen.compose.section import SCALE, Section
from jiggen.drawing.scene import Drawing, Ink, Text
from jiggen.geometry import Point
from jiggen.job.model import Job
from jiggen.plan.document import part_of, to_json
from jiggen.plan.words import capitals
from jiggen.problems import Problem, StopError
from jiggen.sheets.model import Page
from jiggen.sheets.paper import bare
from jiggen.sheets.tiling import single
from jiggen.verify import Deviation, Placed, check_pdf, check_svg

if TYPE_CHECKING:
    from jiggen.render.pdf import Written

DRAFT = "DRAFT"
Parts = Sequence[tuple[str, Page]]
"""Pages, each with the name of the part of the packet that it belongs to."""


def build(job: Job, options: Options | None = None, progress: Progress | None = None) -> Packet:
    """The whole packet of a job. Raises StopError for a stop (unless draft), JobError for an option that does not fit, and ReadBackError where a file is off."""
    options = options or Options()
    found = survey(job, options)
    if found.stops and not options.draft:
        raise StopError(found.problems)
    tell = progress or (lambda stage, done, total: None)
    steps = len(found.sheets) + len(found.jigs) + 1
    files: dict[str, bytes] = {"packet.pdf": b""}
    deviations: list[Deviation] = []
    document = found.document
    text = to_json(document)
    kept: list[tuple[Drawn, list[Written]]] = []
    done = 0
    for one in found.sheets:
        tell("sheets", done, steps)
        done += 1
        svg = _svg(found, one)
        deviations.extend(_checked_svg(one, svg))
        files[f"sheets/{one.group.id}.svg"] = svg
        kept.append((one, _written(found, one)))
        own = to_json(part_of(found.plan, document, one.group))
        data, placed = _pdf(found, kept[-1:], ([], []), own)
        deviations.extend(_checked_pdf(found, [one], placed, data))
        files[f"sheets/{one.group.id}.pdf"] = data
    for made in found.jigs:
        tell("jigs", done, steps)
        done += 1
        more, off = _jig_files(found, made)
        files.update(more)
        deviations.extend(off)
    tell("packet", done, steps)
    kept = [*((one, _written(found, one)) for one in found.samples), *kept]
    drawn = [one for one, _ in kept]
    front = _front(found, drawn)
    before = list(_pages(found, front))
    data, placed = _pdf(found, kept, (before, list(_pages(found, _assemblies(found)))), text)
    deviations.extend(_checked_pdf(found, drawn, placed, data))
    files["packet.pdf"] = data
    files["drill-list.csv"] = drill_list(found.plan)
    files["cut-list.csv"] = cut_list(found.plan)
    files["hardware.csv"] = hardware_list(found.plan)
    files["plan.json"] = text.encode()
    files["job.toml"] = job.text.encode()
    picture, notes = _preview(front[0].drawings[0]) if options.whole and found.sheets else (None, ())
    if picture is not None:
        files["preview.png"] = picture
    tell("done", steps, steps)
    return Packet(found, files, tuple(deviations), notes)


def _svg(found: Survey, one: Drawn) -> bytes:
    from jiggen.render.svg import svg

    drawing = one.sheet.drawing
    if found.options.draft:
        word = Text(Point(drawing.width / 2.0, drawing.height / 2.0), 40.0, DRAFT, "middle", 0.6, Ink.DRAFT)
        drawing = Drawing(drawing.width, drawing.height, (word, *drawing.shapes), drawing.title)
    return svg(drawing, title=drawing.title, metadata=json.dumps(marks_data(found, [one], []), ensure_ascii=True))


def _front(found: Survey, drawn: Sequence[Drawn]) -> Sequence[Section]:
    """What stands before the sheets, the cover first; a packet of chosen sheets has cover, findings and scale page."""
    plan, size = found.plan, bare(found.paper)
    words = [sheet_words(one) for one in found.sheets]
    if found.options.whole:
        from jiggen.compose.front import front

        listed = [(_sheet_name(one), one.tiled.count) for one in drawn]
        listed += [(_jig_name(made), 1) for made in found.jigs]
        return front(plan, found.problems, size, listed, words)
    from jiggen.compose.short import short_front

    return short_front(plan, found.problems, size, words)


def _assemblies(found: Survey) -> Sequence[Section]:
    """A page for each jig: how it goes together."""
    if not found.jigs:
        return []
    from jiggen.compose.assembly import assembly

    size = bare(found.paper)
    return [
        Section(_jig_name(made), (assembly(found.plan, made.jig, size, made.layout.words()),)) for made in found.jigs
    ]


def _sheet_name(one: Drawn) -> str:
    return f"{one.group.id} {one.sheet.name}"


def _title(name: str) -> str:
    """The name of a part in capitals, those of posts as they are."""
    return capitals(name.replace("Jig", "JIG", 1)) if ":" in name else name.upper()


def _jig_name(made: Made) -> str:
    return f"Jig {made.jig.title}"


def _pages(found: Survey, sections: Sequence[Section]) -> Iterator[tuple[str, Page]]:
    plain = f"{found.plan.job.name}   {found.plan.fingerprint}"
    for section in sections:
        count = len(section.drawings)
        foot = plain if section.name == SCALE else found.foot
        for number, drawing in enumerate(section.drawings, 1):
            label = section.name.partition(":")[0].lower() + (f" {number}" if count > 1 else "")
            page = single(found.paper, drawing, label=label, title=_title(section.name), foot=foot)
            yield section.name, page


def _written(found: Survey, one: Drawn) -> list[Written]:
    """The pages of a sheet as they stand in its own file and in the packet."""
    from jiggen.render.pdf import written

    word = DRAFT if found.options.draft else ""
    return [written(page, word, found.options.correction) for page in one.tiled.pages]


def _pdf(
    found: Survey, sheets: Sequence[tuple[Drawn, list[Written]]], around: tuple[Parts, Parts], text: str
) -> tuple[bytes, list[Placed | None]]:
    """A PDF of some sheets between the pages before and after them, and where each page's sheet lies.

    ``text``: plan.json, or the sheet's part of it.
    """
    from jiggen.render.pdf import pdf

    before, after = around
    every: list[Page | Written] = [page for _, page in before]
    outline = _first_pages(before, 0)
    placed: list[Placed | None] = [None] * len(every)
    for one, pages in sheets:
        outline.append((_sheet_name(one), len(every)))
        every.extend(pages)
        seats = {face: (x, y) for face, x, y in one.sheet.seats}
        placed.extend(Placed(one.group.id, page.shift, seats) for page in pages)
    outline += _first_pages(after, len(every))
    every += [page for _, page in after]
    placed += [None] * len(after)
    plan, drawn = found.plan, [one for one, _ in sheets]
    data = pdf(
        every,
        title=plan.job.name,
        subject=f"Drilling templates, fingerprint {plan.fingerprint}",
        keywords=" ".join(one.group.id for one in drawn),
        outline=outline,
        attachments=[
            ("job.toml", plan.job.text.encode()),
            ("marks.json", json.dumps(marks_data(found, drawn, placed)).encode()),
            ("plan.json", text.encode()),
        ],
        watermark=DRAFT if found.options.draft else "",
        correction=found.options.correction,
        uncorrected=[index for index, (name, _) in enumerate(before) if name == SCALE],
        stamps=[f"packet page {number} of {len(every)}" for number in range(1, len(every) + 1)] if before else (),
    )
    return data, placed


def _first_pages(parts: Parts, start: int) -> list[tuple[str, int]]:
    names = [name for name, _ in parts]
    return [(name, start + names.index(name)) for name in dict.fromkeys(names)]


def _jig_files(found: Survey, made: Made) -> tuple[dict[str, bytes], list[Deviation]]:
    """The panels of a jig as SVG and DXF, each read back: guide holes against the plan, kerf put back."""
    from jiggen.compose.jig import operations
    from jiggen.readback.contour import read_svg_contours
    from jiggen.readback.dxf import read_dxf, read_dxf_contours
    from jiggen.readback.svg import read_svg
    from jiggen.render.dxf import dxf
    from jiggen.render.shop import shop_svg
    from jiggen.verify.jig import check as check_jig

    jig, drawings = made.jig, made.layout.drawings
    colours = operations(jig.wish)
    meta = json.dumps(jig_data(found, made), ensure_ascii=True)
    svgs = [shop_svg(drawing, colours, metadata=meta) for drawing in drawings]
    dxfs = [dxf(drawing, colours) for drawing in drawings]
    wanted = guides(found, jig)
    off: list[Deviation] = []
    read = (
        ([(read_svg(data), read_svg_contours(data)) for data in svgs], True),
        ([(read_dxf(data), read_dxf_contours(data)) for data in dxfs], False),
    )
    for files, down in read:
        deviations, problems = check_jig(jig.id, wanted, files, jig.wish.kerf, down)
        if problems:
            raise ReadBackError(problems)
        off += deviations
    named = {}
    for kind, panels in (("svg", svgs), ("dxf", dxfs)):
        for number, data in enumerate(panels, 1):
            named[f"jigs/{jig.id}{f'-{number}' if number > 1 else ''}.{kind}"] = data
    return named, off


def _checked_svg(one: Drawn, data: bytes) -> list[Deviation]:
    from jiggen.readback.svg import read_svg

    deviations, problems = check_svg(one.group.id, one.targets, read_svg(data))
    if problems:
        raise ReadBackError(problems)
    return deviations


def _checked_pdf(
    found: Survey, drawn: Sequence[Drawn], placed: Sequence[Placed | None], data: bytes
) -> list[Deviation]:
    """As the printer that the file is corrected for prints it."""
    from jiggen.readback.pdf import read_pdf

    wanted = {one.group.id: one.targets for one in drawn}
    try:
        read = read_pdf(data, unnamed=False)
    except ValueError as error:
        raise ReadBackError(
            [Problem("stop", "PDF", f"cannot be read back: {error}", "make fewer sheets: --posts")]
        ) from None
    if found.options.correction:
        from jiggen.verify.printed import printed

        read = printed(read, found.options.correction)
    deviations, problems = check_pdf(wanted, placed, read)
    if problems:
        raise ReadBackError(problems)
    return deviations


def _preview(cover: Drawing) -> tuple[bytes | None, tuple[str, ...]]:
    """The cover as one PNG where libcairo is, else None and the line that says what to install."""
    from jiggen.render.svg import svg

    try:
        import cairosvg
    except (OSError, ImportError):
        return None, ("no preview.png: libcairo is not on this machine (Debian: apt install libcairo2)",)
    picture: bytes = cairosvg.svg2png(bytestring=svg(cover), output_width=1080, background_color="white")
    return picture, ()
