"""The bytes of a scan, and of the packet, turned into which page it is, what the printer did, and each mark's deviation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import fsum

from jiggen.handbook import papers
from jiggen.problems import Problem
from jiggen.scan.marks import MarkSeen, marks_seen
from jiggen.scan.packet import Known
from jiggen.scan.page import Seen, seen, words
from jiggen.scan.picture import ScanError, picture
from jiggen.sheets.correction import MOST, Correction
from jiggen.sheets.pagecode import PageCode
from jiggen.units import MM_PER_INCH

NOTED = 0.5  # mm, common practice, no source: what a hole may be off before a cable shows it


@dataclass(frozen=True)
class Checked:
    """One scan: the page in it, the marks on it, what is wrong; ``dpi`` as used; ``label``: the page's name, if known."""

    page: Seen
    dpi: float
    marks: tuple[MarkSeen, ...]
    problems: tuple[Problem, ...]
    label: str = ""

    def lines(self) -> list[str]:
        """All of it in words, mm."""
        said = words(self.page, self.dpi)
        if self.label:
            said[0] = said[0].replace(self.page.code.name, f'"{self.label}"', 1)
        for mark in self.marks:
            if mark.across is None or mark.along is None or mark.off is None:
                said.append(f"    {mark.id:<40} not found")
            else:
                said.append(
                    f"    {mark.id:<40} {mark.across:+.2f} across {mark.along:+.2f} along,"
                    f" {mark.off:.2f} mm off +- {mark.doubt:.2f}"
                )
        return said


def check(where: str, data: bytes, dpi: float | None = None, packet: Known | None = None) -> Checked:
    """A scan checked. ``where``: its name, for problems; ``dpi`` None: as the image tells.

    Raises ScanError for a scan that cannot be used and for a page that is none of ours or of another packet.
    """
    image = picture(data, dpi)
    page = seen(image)
    planned = packet.planned(page.code) if packet and not _loose(page.code) else []
    marks = tuple(marks_seen(image, page, planned))
    label = packet.labels[packet.index(page.code)] if packet and _other(page.code) else ""
    return Checked(page, image.dpi, marks, tuple(_problems(where, page, marks, packet is not None)), label)


def _loose(code: PageCode) -> bool:
    """Whether a page is the same in every packet: a scale page."""
    return code.scale


def _other(code: PageCode) -> bool:
    return not code.scale and not code.sheet


def _problems(where: str, page: Seen, marks: Sequence[MarkSeen], has_packet: bool) -> list[Problem]:
    fit, said = page.fit, []
    if max(abs(fit.across - 1.0), abs(fit.along - 1.0), abs(fit.skew)) > MOST:
        found = f"printed at {fit.across * 100.0:.1f} % across, {fit.along * 100.0:.1f} % along"
        remedy = 'over 3 % is a fit-to-page setting or a wrong --dpi: print at 100 % ("actual size"), tell the true dpi'
        said.append(Problem("stop", where, found, remedy))
    lost = [mark.id for mark in marks if mark.off is None]
    if lost:
        found = f"no circle is found for {', '.join(lost)}"
        said.append(Problem("check", where, found, "look at them on the page; scan it again at 600 dpi"))
    far = [mark for mark in marks if mark.off is not None and mark.off - mark.doubt > NOTED]
    if far:
        worst = max(far, key=lambda mark: mark.off or 0.0)
        found = f"{len(far)} marks are more than {NOTED} mm off, {worst.id} the most, {worst.off:.2f} mm"
        said.append(Problem("check", where, found, "correct the printer: jiggen scale, then scan-check --save NAME"))
    if page.code.sheet and not has_packet:
        said.append(
            Problem("note", where, "its marks are not measured", "give the packet that it is from: --packet packet.pdf")
        )
    return said


def correction(found: Sequence[Checked], paper: str | None = None) -> tuple[Correction, float, str]:
    """What scans of scale pages, one or more of one printer, say together: the correction, its doubt, the paper's name.

    Doubt: how far a corrected length may still be off for its length, from the squares and from how far the pages
    differ; that the scanner is true is taken for granted. ``paper``: its name if told. Raises ScanError where none is
    a scale page, for papers that differ or have no name, and for over 3 % off.
    """
    pages = [one for one in found if one.page.code.scale]
    if not pages or len(pages) < len(found):
        raise ScanError(
            "a correction comes from scale pages only, the one page that is never corrected",
            "print the page of  jiggen scale  and scan that",
        )
    names = {_paper(one.page.code) for one in pages}
    if len(names) > 1:
        raise ScanError(f"scale pages of different papers ({', '.join(sorted(names))})", "save one paper at a time")
    (name,) = names
    if not name:
        raise ScanError("a paper of no usual size", "a correction is kept for letter, legal, tabloid, a4, a3")
    if paper and paper != name:
        raise ScanError(f"the scan is of {name}, not {paper}", f"say --paper {name}, or leave it out")
    fits = [one.page.fit for one in pages]
    count = len(fits)
    mean = [fsum(values) / count for values in zip(*((f.across, f.along, f.skew) for f in fits), strict=True)]
    own = max(max(f.across_doubt, f.along_doubt, f.skew_doubt) for f in fits)
    apart = [max(abs(a.across - b.across), abs(a.along - b.along)) / 2.0 for a, b in combinations(fits, 2)]
    try:
        made = replace(Correction(), across=mean[0], along=mean[1], skew=mean[2])
    except ValueError as error:
        reason, _, remedy = str(error).partition("; ")
        raise ScanError(reason, remedy or "print the page of  jiggen scale  at 100 % and scan it again") from None
    return made, max([own, *apart]), name


def _paper(code: PageCode) -> str:
    """The name of the paper that a code tells the size of, "" where it has none."""
    for name in papers.names():
        size = papers.paper(name)
        if size and abs(size[0] - code.width) < 0.2 and abs(size[1] - code.height) < 0.2:
            return name
    return ""


def said(found: Sequence[Checked]) -> str:
    """How a correction was measured, for the list of printers."""
    dpi = " and ".join(f"{value:g}" for value in sorted({one.dpi for one in found}))
    return f"scan of {len(found)} scale page{'s' * (len(found) > 1)} at {dpi} dpi ({MM_PER_INCH / found[0].dpi:.3f} mm)"
