"""A packet's bytes turned into the marks that each of its pages should show."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from pypdf import PdfReader, PdfWriter
from pypdf.errors import PyPdfError

from jiggen.readback.pdf import read_pdf
from jiggen.scan.marks import Planned
from jiggen.scan.picture import ScanError
from jiggen.sheets.pagecode import PageCode, tag_of
from jiggen.verify import Placed, Target, from_data

_REMEDY = "give the packet.pdf, or the sheet's PDF, that the page was printed from"


@dataclass(frozen=True)
class Known:
    """What a packet says of its pages. ``labels``: the name of each page, ``placed``: its sheet and place."""

    fingerprint: str
    labels: tuple[str, ...]
    placed: tuple[Placed | None, ...]
    wanted: dict[str, tuple[Target, ...]]
    data: bytes

    def index(self, code: PageCode) -> int:
        """Which page of the file a code names. Raises ScanError where it is of another packet, or not in this file."""
        if code.fingerprint and code.fingerprint != self.fingerprint:
            raise ScanError(f"{code.name} is of packet {code.fingerprint}, the file of {self.fingerprint}", _REMEDY)
        if code.sheet:
            own = [at for at, page in enumerate(self.placed) if page is not None and page.sheet == code.sheet]
            if 0 < code.page <= len(own):
                return own[code.page - 1]
        elif not code.scale:
            for at, label in enumerate(self.labels):
                if self.placed[at] is None and tag_of(label) == code.tag:
                    return at
        raise ScanError(f"{code.name}, which is not in the file", _REMEDY)

    def planned(self, code: PageCode) -> list[Planned]:
        """The marks that a page shows, where they should be on it, mm from its lower left; cut ones too."""
        at = self.index(code)
        page = self.placed[at]
        if page is None:
            return []
        shown = {circle.data.get("mark", "") for circle in read_pdf(_alone(self.data, at)).circles}
        found = []
        for target in self.wanted[page.sheet]:
            seat = page.seats.get(target.face)
            if target.id not in shown or seat is None:
                continue
            x, y = target.u + seat[0] + page.shift[0], target.v + seat[1] + page.shift[1]
            if 0.0 < x < code.width and 0.0 < y < code.height:
                found.append(Planned(target.id, x, y, target.rx, target.ry, target.angle))
        return found


def known(data: bytes) -> Known:
    """What a packet or sheet PDF of ours says of its pages. Raises ScanError for any other file."""
    try:
        reader = PdfReader(BytesIO(data))
        attached = reader.attachments
        marks = json.loads(attached["marks.json"][0]) if "marks.json" in attached else None
        labels = tuple(reader.page_labels)
    except (PyPdfError, ValueError, KeyError, TypeError, RecursionError) as error:
        raise ScanError(f"the packet cannot be read ({error})", _REMEDY) from None
    if marks is None:
        raise ScanError("the PDF carries no plan of its marks, it is none of ours", _REMEDY)
    try:
        wanted = {str(sheet): from_data(rows) for sheet, rows in marks["sheets"].items()}
        placed = tuple(_placed(page) for page in marks["pages"])
        fingerprint = str(marks["fingerprint"])
    except (KeyError, TypeError, AttributeError, IndexError, ValueError) as error:
        raise ScanError(f"the plan in the PDF is damaged ({error})", _REMEDY) from None
    if len(placed) != len(labels) or any(page and page.sheet not in wanted for page in placed):
        raise ScanError("the plan in the PDF is damaged (its pages are not those of the file)", _REMEDY)
    return Known(fingerprint, labels, placed, wanted, data)


def _placed(page: Any) -> Placed | None:
    if page is None:
        return None
    shift: Sequence[Any] = page["shift"]
    seats = {str(face): (float(at[0]), float(at[1])) for face, at in page["seats"].items()}
    return Placed(str(page["sheet"]), (float(shift[0]), float(shift[1])), seats)


def _alone(data: bytes, at: int) -> bytes:
    """One page of a PDF as a file of its own, which is read back in a fraction of the time."""
    writer = PdfWriter()
    writer.add_page(PdfReader(BytesIO(data)).pages[at])
    out = BytesIO()
    writer.write(out)
    return out.getvalue()
