"""A Survey turned into the files of its packet, one after another, each one read back before it counts."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from io import BytesIO
from typing import BinaryIO

from jiggen.build.binding import DRAFT, Binding, Part, assemblies, front, written_pages
from jiggen.build.jigfiles import jig_files
from jiggen.build.marks import marks_data
from jiggen.build.model import Drawn, Memory, Options, Packet, Progress, ReadBackError, Store, Survey
from jiggen.build.survey import survey
from jiggen.compose.cover import picture
from jiggen.compose.lists import cut_list, drill_list, hardware_list
from jiggen.drawing.scene import Drawing, Ink, Text
from jiggen.geometry import Point
from jiggen.job.model import Job
from jiggen.plan.document import part_of, to_json
from jiggen.problems import Problem, StopError
from jiggen.sheets.model import Sheet
from jiggen.verify import Deviation, check_pdf, check_svg

PACKET = "packet.pdf"


def build(job: Job, options: Options | None = None, progress: Progress | None = None) -> Packet:
    """The whole packet of a job, its files in memory. Raises as ``write`` does."""
    store = Memory()
    made = write(job, store, options, progress)
    return replace(made, files=store.files)


def write(job: Job, store: Store, options: Options | None = None, progress: Progress | None = None) -> Packet:
    """The whole packet of a job, its files put into ``store`` one after another; none of them is kept.

    Every file was read back when this returns; where it raises, what lies in the store is half a packet. Nothing is
    put there before the plan has been looked through. Raises StopError for a stop (unless draft), JobError for an
    option that does not fit, and ReadBackError where a file is off.
    """
    options = options or Options()
    found = survey(job, options)
    if found.stops and not options.draft:
        raise StopError(found.problems)
    made = _Packing(found, store, progress or (lambda stage, done, total: None))
    parts, _ = front(found)
    made.packet(parts)
    for name, data in (
        ("drill-list.csv", drill_list(found.plan)),
        ("cut-list.csv", cut_list(found.plan)),
        ("hardware.csv", hardware_list(found.plan)),
        ("plan.json", made.text.encode()),
        ("job.toml", job.text.encode()),
    ):
        made.put(name, data)
    shown, notes = _preview(picture(found.plan)) if options.whole and found.sheets else (None, ())
    if shown is not None:
        made.put("preview.png", shown)
    made.tell("done")
    return Packet(found, tuple(made.names), {}, tuple(made.deviations), notes, made.pages)


class _Packing:
    """Files on their way to ``store``: their names, and what reading them back gave, so far."""

    def __init__(self, found: Survey, store: Store, progress: Progress) -> None:
        self.found, self.store, self.progress = found, store, progress
        self.document = found.document
        self.text = to_json(self.document)
        self.names: list[str] = []
        self.deviations: list[Deviation] = []
        self.done = self.pages = 0

    def tell(self, stage: str) -> None:
        """One more step begins."""
        steps = len(self.found.sheets) + len(self.found.jigs) + 1
        self.progress(stage, min(self.done, steps), steps)
        self.done += 1

    def put(self, name: str, data: bytes) -> None:
        self.store.put(name, data)
        self.names.append(name)

    def packet(self, parts: Sequence[Part]) -> None:
        """packet.pdf, and the files of each sheet and jig when their turn in it comes."""
        found = self.found
        pages = sum(len(pages) for _, pages in parts) + len(found.jigs)
        pages += sum(one.count for one in (*found.samples, *found.sheets))
        out = self.store.begin(PACKET)
        self.names.append(PACKET)
        whole = Binding(found, out, pages)
        for name, made in parts:
            whole.part(name, made)
        for one in found.samples:
            tiled = one.tiled
            whole.sheet(one, tiled, written_pages(found, tiled))
        for one in found.sheets:
            self.tell("sheets")
            self.sheet(one, whole)
        for jig in found.jigs:
            self.tell("jigs")
            files, off = jig_files(found, jig)
            for name, data in files.items():
                self.put(name, data)
            self.deviations += off
        self.tell("packet")
        for name, made in assemblies(found):
            whole.part(name, made)
        whole.close(self.text)
        self.pages = len(whole.placed)
        self.deviations += _checked_pdf(found, whole, out)

    def sheet(self, one: Drawn, whole: Binding) -> None:
        """The SVG and the PDF of one sheet, and its pages in the packet."""
        found, tiled = self.found, one.tiled
        pages = written_pages(found, tiled)
        data = _svg(found, one, tiled.sheet)
        self.deviations += _checked_svg(one, data)
        self.put(f"sheets/{one.group.id}.svg", data)
        out = BytesIO()
        alone = Binding(found, out)
        alone.sheet(one, tiled, pages)
        alone.close(to_json(part_of(found.plan, self.document, one.group), lines=False))
        self.deviations += _checked_pdf(found, alone, out)
        self.put(f"sheets/{one.group.id}.pdf", out.getvalue())
        whole.sheet(one, tiled, pages)


def _svg(found: Survey, one: Drawn, sheet: Sheet) -> bytes:
    from jiggen.render.svg import svg

    drawing = sheet.drawing
    if found.options.draft:
        word = Text(Point(drawing.width / 2.0, drawing.height / 2.0), 40.0, DRAFT, "middle", 0.6, Ink.DRAFT)
        drawing = Drawing(drawing.width, drawing.height, (word, *drawing.shapes), drawing.title)
    return svg(drawing, title=drawing.title, metadata=json.dumps(marks_data(found, [one], []), ensure_ascii=True))


def _checked_svg(one: Drawn, data: bytes) -> list[Deviation]:
    from jiggen.readback.svg import read_svg

    deviations, problems = check_svg(one.group.id, one.targets, read_svg(data))
    if problems:
        raise ReadBackError(problems)
    return deviations


def _checked_pdf(found: Survey, bound: Binding, file: BinaryIO) -> list[Deviation]:
    """As the printer that the file is corrected for prints it."""
    from jiggen.readback.pdf import read_pdf

    wanted = {one.group.id: one.targets for one in bound.drawn}
    try:
        read = read_pdf(file, unnamed=False)
    except ValueError as error:
        raise ReadBackError(
            [Problem("stop", "PDF", f"cannot be read back: {error}", "make fewer sheets: --posts")]
        ) from None
    if found.options.correction:
        from jiggen.verify.printed import printed

        read = printed(read, found.options.correction)
    deviations, problems = check_pdf(wanted, bound.placed, read)
    if problems:
        raise ReadBackError(problems)
    return deviations


def _preview(shown: Drawing) -> tuple[bytes | None, tuple[str, ...]]:
    """The picture for a message as one PNG where libcairo is, else None and the line that says what to install."""
    from jiggen.render.svg import svg

    try:
        import cairosvg
    except (OSError, ImportError):
        return None, ("no preview.png: libcairo is not on this machine (Debian: apt install libcairo2)",)
    made: bytes = cairosvg.svg2png(bytestring=svg(shown, fused=True), output_width=1080, background_color="white")
    return made, ()
