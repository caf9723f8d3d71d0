"""The pages of a Survey turned into a PDF, one after another, with what the file says of the sheets on them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, BinaryIO

from jiggen.build.marks import marks_data
from jiggen.build.model import Drawn, Made, Survey, sheet_words
from jiggen.compose.contents import contents
from jiggen.compose.section import SCALE, Section
from jiggen.drawing.scene import Drawing
from jiggen.plan.words import capitals
from jiggen.sheets.model import Page
from jiggen.sheets.paper import bare
from jiggen.sheets.tiling import Tiled, single
from jiggen.verify import Placed

if TYPE_CHECKING:
    from jiggen.render.pdf import Written

DRAFT = "DRAFT"
Part = tuple[str, "list[Written]"]
"""A part of the packet: its name and its pages."""


class Binding:
    """A PDF of a packet on its way to ``out``: its pages in their order, and where each page's sheet lies.

    ``total``: how many pages a packet will have, each page says so; 0 for the file of one sheet.
    """

    def __init__(self, found: Survey, out: BinaryIO, total: int = 0) -> None:
        from jiggen.render.pdf import Book

        self._found, self._total = found, total
        self._book = Book(out)
        self._outline: dict[str, int] = {}
        self.placed: list[Placed | None] = []
        self.drawn: list[Drawn] = []

    def part(self, name: str, pages: Iterable[Written]) -> None:
        """Pages without a sheet on them."""
        self._outline.setdefault(name, self._book.count)
        for page in pages:
            self._add(page, None)

    def sheet(self, one: Drawn, tiled: Tiled, pages: Iterable[Written]) -> None:
        """The pages of a sheet."""
        self._outline.setdefault(sheet_name(one), self._book.count)
        seats = {face: (x, y) for face, x, y in tiled.sheet.seats}
        for page in pages:
            self._add(page, Placed(one.group.id, page.shift, seats))
        self.drawn.append(one)

    def close(self, text: str) -> None:
        """The end of the file. ``text``: plan.json, or the sheet's part of it."""
        plan = self._found.plan
        self._book.close(
            title=plan.job.name,
            subject=f"Drilling templates, fingerprint {plan.fingerprint}",
            keywords=" ".join(one.group.id for one in self.drawn),
            outline=tuple(self._outline.items()),
            attachments=[
                ("job.toml", plan.job.text.encode()),
                ("marks.json", json.dumps(marks_data(self._found, self.drawn, self.placed)).encode()),
                ("plan.json", text.encode()),
            ],
        )

    def _add(self, page: Written, placed: Placed | None) -> None:
        self.placed.append(placed)
        self._book.add(page, f"packet page {len(self.placed)} of {self._total}" if self._total else "")


def front(found: Survey) -> tuple[list[Part], Drawing]:
    """What stands before the sheets, with the contents where the packet is whole, and the cover as it was drawn; each
    part is drawn and packed before the next one is."""
    plan, size = found.plan, bare(found.paper)
    words = [sheet_words(one) for one in found.sheets]
    if found.options.whole:
        from jiggen.compose.front import front as chosen
    else:
        from jiggen.compose.short import short_front as chosen
    first, *rest = chosen(plan, found.problems, size, words)
    (cover,) = first.drawings
    parts = _packed(found, [Section(first.name, lambda: (cover,)), *rest])
    if not found.options.whole:
        return parts, cover
    listed = [(name, len(pages)) for name, pages in parts]
    listed += [(sheet_name(one), one.count) for one in (*found.samples, *found.sheets)]
    listed += [(jig_name(made), 1) for made in found.jigs]
    told = Section("Contents", lambda: contents(plan, found.problems, size, listed))
    return [parts[0], *_packed(found, [told]), *parts[1:]], cover


def assemblies(found: Survey) -> Iterator[Part]:
    """A page for each jig: how it goes together."""
    if not found.jigs:
        return
    from jiggen.compose.assembly import assembly

    size = bare(found.paper)
    for made in found.jigs:
        drawing = assembly(found.plan, made.jig, size, made.layout.words(found.plan.job))
        yield from _packed(found, [Section(jig_name(made), lambda drawing=drawing: (drawing,))])  # type: ignore[misc]


def written_pages(found: Survey, tiled: Tiled) -> list[Written]:
    """The pages of a sheet as they stand in its own file and in the packet."""
    return [_written(found, page) for page in tiled.pages]


def sheet_name(one: Drawn) -> str:
    return f"{one.group.id} {one.name}"


def jig_name(made: Made) -> str:
    return f"Jig {made.jig.title}"


def _packed(found: Survey, sections: Sequence[Section]) -> list[Part]:
    """Sections that have pages, as they stand in the packet."""
    parts = [(one.name, [_written(found, page, one.name == SCALE) for page in _pages(found, one)]) for one in sections]
    return [(name, pages) for name, pages in parts if pages]


def _pages(found: Survey, section: Section) -> Iterator[Page]:
    drawings = iter(section.draw())
    ahead = next(drawings, None)
    plain = f"{found.plan.job.name}   {found.plan.fingerprint}"
    foot = plain if section.name == SCALE else found.foot
    number = 0
    while ahead is not None:
        number, drawing, ahead = number + 1, ahead, next(drawings, None)
        label = section.name.partition(":")[0].lower() + (f" {number}" if number > 1 or ahead else "")
        yield single(found.paper, drawing, label=label, title=_title(section.name), foot=foot)


def _title(name: str) -> str:
    """The name of a part in capitals, those of posts as they are."""
    return capitals(name.replace("Jig", "JIG", 1)) if ":" in name else name.upper()


def _written(found: Survey, page: Page, uncorrected: bool = False) -> Written:
    from jiggen.render.pdf import written

    word = DRAFT if found.options.draft else ""
    return written(page, word, None if uncorrected else found.options.correction)
