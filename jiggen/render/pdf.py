"""Pages turned into one PDF at true scale, with outline, page labels, attachments and hidden words."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from hashlib import md5
from io import BytesIO
from math import atan2, hypot
from typing import BinaryIO

from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    ByteStringObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NumberObject,
    PdfObject,
    StreamObject,
    TextStringObject,
)

from jiggen.drawing import lettering
from jiggen.drawing.scene import Ink, Text
from jiggen.geometry import Point
from jiggen.render.operators import WHOLE, Canvas, letter, letter_name, letters_in, number
from jiggen.render.pdffile import PdfFile
from jiggen.render.pdffile import written as as_written
from jiggen.sheets.correction import Correction
from jiggen.sheets.furniture import common
from jiggen.sheets.model import Page, Paper
from jiggen.units import MM_PER_INCH

POINTS_PER_MM = 72.0 / MM_PER_INCH
_ANY = 1e6
_LETTER_BOX = (-1.0, -1.0, 3.0, 3.0)


@dataclass(frozen=True)
class Written:
    """A page as it stands in a file: packed operators, the characters that they draw, and what a file says of it."""

    paper: Paper
    label: str
    stamp: tuple[float, float] | None
    shift: tuple[float, float]
    packed: StreamObject
    letters: frozenset[str]
    rulers: bool
    correction: Correction | None


def pdf(
    pages: Sequence[Page],
    *,
    title: str,
    subject: str = "",
    keywords: str = "",
    outline: Sequence[tuple[str, int]] = (),
    attachments: Sequence[tuple[str, bytes]] = (),
    watermark: str = "",
    correction: Correction | None = None,
    uncorrected: Collection[int] = (),
) -> bytes:
    """``pages`` as a PDF file: each page box is exactly its paper, nothing is scaled when printed.

    ``outline``: names and the index of the page that each leads to. ``attachments``: file names and bytes.
    ``watermark``: a word in large light letters under everything on every page. ``correction``: undoes what a
    printer is known to do, about the middle of every page but those whose index is in ``uncorrected``.
    The same input gives the same bytes. Raises ValueError without pages, IndexError for an outline that leads nowhere.
    """
    out = BytesIO()
    book = Book(out)
    for index, page in enumerate(pages):
        book.add(written(page, watermark, None if index in uncorrected else correction))
    book.close(title=title, subject=subject, keywords=keywords, outline=outline, attachments=attachments)
    return out.getvalue()


class Book:
    """A PDF on its way to ``out``, page by page; of a page that was added only its number is kept."""

    def __init__(self, out: BinaryIO) -> None:
        self._file = PdfFile(out)
        self._tree, self._resources = self._file.reserve(), self._file.reserve()
        self._pages: list[IndirectObject] = []
        self._labels = ArrayObject()
        self._letters: frozenset[str] = frozenset()
        self._rulers: dict[Paper, None] = {}

    @property
    def count(self) -> int:
        """How many pages were added."""
        return len(self._pages)

    def add(self, page: Written, stamp: str = "") -> None:
        """The next page; ``stamp``: words for its stamp."""
        parts = [self._file.add(page.packed)]
        marked = _stamped(page, stamp)
        if marked:
            parts.append(self._file.add(_stream(marked)))
        self._letters |= page.letters | letters_in(marked)
        if page.rulers:
            self._rulers[page.paper] = None
        self._labels += [NumberObject(self.count), _dictionary(P=TextStringObject(page.label))]
        box = ArrayObject([FloatObject(0), FloatObject(0), *map(_points, (page.paper.width, page.paper.height))])
        made = _dictionary(
            Type=NameObject("/Page"),
            Parent=self._tree,
            MediaBox=box,
            CropBox=box,
            Resources=self._resources,
            Contents=ArrayObject(parts) if len(parts) > 1 else parts[0],
        )
        self._pages.append(self._file.add(made))

    def close(
        self,
        *,
        title: str,
        subject: str = "",
        keywords: str = "",
        outline: Sequence[tuple[str, int]] = (),
        attachments: Sequence[tuple[str, bytes]] = (),
    ) -> None:
        """The end of the file, as ``pdf`` has it: all that its pages share and what the file says of itself."""
        if not self._pages:
            raise ValueError("a PDF needs at least one page")
        file = self._file
        kids = ArrayObject(self._pages)
        file.put(self._tree, _dictionary(Type=NameObject("/Pages"), Count=NumberObject(self.count), Kids=kids))
        file.put(self._resources, _resources(file, self._rulers, self._letters))
        root = _dictionary(
            Type=NameObject("/Catalog"),
            Pages=self._tree,
            PageLabels=_dictionary(Nums=self._labels),
            ViewerPreferences=_dictionary(
                PrintScaling=NameObject("/None"),
                Duplex=NameObject("/Simplex"),
                PickTrayByPDFSize=BooleanObject(True),
                DisplayDocTitle=BooleanObject(True),
            ),
        )
        if outline:
            root[NameObject("/Outlines")] = self._outlined(outline)
        if attachments:
            root[NameObject("/Names")] = _dictionary(EmbeddedFiles=_attached(file, attachments))
        said = {"Title": title, "Subject": subject, "Keywords": keywords, "Producer": "jiggen"}
        told = _dictionary(**{key: TextStringObject(value) for key, value in said.items() if value})
        file.close(file.add(root), file.add(told))

    def _outlined(self, outline: Sequence[tuple[str, int]]) -> IndirectObject:
        """The outline, one level deep."""
        for name, index in outline:
            if not 0 <= index < self.count:
                raise IndexError(f"outline {name!r} leads to page {index} of {self.count}")
        top = self._file.reserve()
        items = [self._file.reserve() for _ in outline]
        for place, (name, index) in enumerate(outline):
            made = _dictionary(
                Title=TextStringObject(name),
                Parent=top,
                Dest=ArrayObject([self._pages[index], NameObject("/Fit")]),
            )
            if place:
                made[NameObject("/Prev")] = items[place - 1]
            if place + 1 < len(items):
                made[NameObject("/Next")] = items[place + 1]
            self._file.put(items[place], made)
        count = NumberObject(len(items))
        self._file.put(top, _dictionary(Type=NameObject("/Outlines"), First=items[0], Last=items[-1], Count=count))
        return top


def content(page: Page, watermark: str = "", correction: Correction | None = None) -> bytes:
    """The operators of one page, ASCII: millimetres from the paper's lower left corner under one matrix."""
    canvas = Canvas()
    if watermark:
        canvas.add((_mark(watermark, page.paper),), WHOLE)
    if page.rulers:
        canvas.forms.append(f"/{_rulers(page.paper)[0]} Do")
    canvas.add(page.content, page.window, page.boxes if len(page.boxes) == len(page.content) else ())
    canvas.add(page.shapes, WHOLE)
    matrix = _matrix(page.paper, correction or Correction())
    return f"q\n{matrix} cm\n1 j\n{canvas.operators()}\nQ\n".encode("ascii")


def _stamped(page: Written, words: str) -> bytes:
    """The operators of ``words`` at the page's stamp; none where there is no word or no place for it."""
    if not words or page.stamp is None:
        return b""
    canvas = Canvas()
    canvas.add((Text(Point(*page.stamp), 2.5, words, "right"),), WHOLE)
    matrix = _matrix(page.paper, page.correction or Correction())
    return f"q\n{matrix} cm\n1 j\n{canvas.operators()}\nQ\n".encode("ascii")


def written(page: Page, watermark: str = "", correction: Correction | None = None) -> Written:
    """``page`` ready for any number of files; ``watermark`` and ``correction`` as ``pdf`` has them."""
    data = content(page, watermark, correction)
    return Written(
        page.paper, page.label, page.stamp, page.shift, _stream(data), letters_in(data), page.rulers, correction
    )


@lru_cache(maxsize=16)
def _rulers(paper: Paper) -> tuple[str, bytes, frozenset[str]]:
    """The name of the form that draws the rulers of ``paper``, its operators, and the characters in it."""
    canvas = Canvas()
    canvas.add(common(paper), WHOLE)
    data = canvas.operators().encode("ascii")
    return f"R{md5(data, usedforsecurity=False).hexdigest()[:8]}", data, letters_in(data)


def _matrix(paper: Paper, correction: Correction) -> str:
    """The six numbers from millimetres to points: factors to ten places, the shift as every number of a page."""
    parts = [part * POINTS_PER_MM for part in correction.matrix(paper.width, paper.height)]
    return " ".join([f"{part:.10f}" if part else "0" for part in parts[:4]] + [number(part) for part in parts[4:]])


def _mark(words: str, paper: Paper) -> Text:
    """``words`` from the lower left to the upper right, six tenths of the diagonal long."""
    long = hypot(paper.width, paper.height) * 0.6
    height = min(long / max(lettering.width(words, 1.0), 1.0), paper.width / 3.0)
    angle = atan2(paper.height, paper.width)
    middle = Point(paper.width / 2.0, paper.height / 2.0)
    down = Point(middle.x + height / 2.0 * paper.height / hypot(paper.width, paper.height), middle.y)
    at = Point(down.x, middle.y - height / 2.0 * paper.width / hypot(paper.width, paper.height))
    return Text(at, height, words, "middle", angle, Ink.DRAFT)


def _points(mm: float) -> FloatObject:
    return FloatObject(f"{mm * POINTS_PER_MM:.5f}")


def _dictionary(**entries: PdfObject) -> DictionaryObject:
    return DictionaryObject({NameObject("/" + key): value for key, value in entries.items()})


def _resources(file: PdfFile, papers: Iterable[Paper], used: frozenset[str]) -> DictionaryObject:
    """What the pages draw with: the font of the hidden words, a form for each character, one for what is common."""
    font = _dictionary(
        Type=NameObject("/Font"),
        Subtype=NameObject("/Type1"),
        BaseFont=NameObject("/Helvetica"),
        Encoding=NameObject("/WinAnsiEncoding"),
    )
    fonts = _dictionary(F=file.add(font))
    rulers = {paper: _rulers(paper) for paper in papers}
    used = used.union(*(more for _, _, more in rulers.values()))
    letters = {letter_name(character): file.add(_letter_form(character)) for character in sorted(used)}
    shared = _dictionary(Font=fonts, XObject=_dictionary(**letters))
    forms = {name: file.add(_form(data, (-_ANY, -_ANY, _ANY, _ANY), shared)) for name, data, _ in rulers.values()}
    return _dictionary(Font=fonts, XObject=_dictionary(**letters, **forms))


@cache
def _letter_form(character: str) -> bytes:
    """The form that draws a character as it is written: the same in every file."""
    return as_written(_form(letter(character).encode(), _LETTER_BOX, DictionaryObject()))


def _form(data: bytes, box: Sequence[float], resources: DictionaryObject) -> StreamObject:
    made = _stream(data)
    made[NameObject("/Type")] = NameObject("/XObject")
    made[NameObject("/Subtype")] = NameObject("/Form")
    made[NameObject("/BBox")] = ArrayObject([FloatObject(edge) for edge in box])
    made[NameObject("/Resources")] = resources
    return made


def _stream(data: bytes) -> StreamObject:
    plain = DecodedStreamObject()
    plain.set_data(data)
    return plain.flate_encode()


def _attached(file: PdfFile, attachments: Sequence[tuple[str, bytes]]) -> IndirectObject:
    """The name tree of the attached files, in the order of their names, without dates."""
    names = ArrayObject()
    for name, data in sorted(attachments):
        stream = _stream(data)
        stream[NameObject("/Type")] = NameObject("/EmbeddedFile")
        stream[NameObject("/Params")] = _dictionary(
            Size=NumberObject(len(data)), CheckSum=ByteStringObject(md5(data, usedforsecurity=False).digest())
        )
        spec = _dictionary(
            Type=NameObject("/Filespec"),
            F=TextStringObject(name),
            UF=TextStringObject(name),
            EF=_dictionary(F=file.add(stream)),
        )
        names += [TextStringObject(name), file.add(spec)]
    return file.add(_dictionary(Names=names))
