"""Pages turned into one PDF at true scale, with outline, page labels, attachments and hidden words."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from hashlib import md5
from io import BytesIO
from math import atan2, hypot

from pypdf import PdfWriter
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
    pages: Sequence[Page | Written],
    *,
    title: str,
    subject: str = "",
    keywords: str = "",
    outline: Sequence[tuple[str, int]] = (),
    attachments: Sequence[tuple[str, bytes]] = (),
    watermark: str = "",
    correction: Correction | None = None,
    uncorrected: Collection[int] = (),
    stamps: Sequence[str] = (),
) -> bytes:
    """``pages`` as a PDF file: each page box is exactly its paper, nothing is scaled when printed.

    ``outline``: names and the index of the page that each leads to. ``attachments``: file names and bytes.
    ``watermark``: a word in large light letters under everything on every page. ``correction``: undoes what a
    printer is known to do, about the middle of every page but those whose index is in ``uncorrected``. A page that
    was ``written`` already keeps what it was written with. ``stamps``: words for each page's ``stamp``, () for none.
    The same input gives the same bytes. Raises ValueError without pages, IndexError for an outline that leads
    nowhere.
    """
    if not pages:
        raise ValueError("a PDF needs at least one page")
    writer = PdfWriter()
    writer.pdf_header = "%PDF-1.7"
    ready = [
        page if isinstance(page, Written) else written(page, watermark, None if index in uncorrected else correction)
        for index, page in enumerate(pages)
    ]
    _add_pages(writer, ready, stamps)
    root = writer._root_object
    root[NameObject("/PageLabels")] = _labels(ready)
    root[NameObject("/ViewerPreferences")] = _dictionary(
        PrintScaling=NameObject("/None"),
        Duplex=NameObject("/Simplex"),
        PickTrayByPDFSize=BooleanObject(True),
        DisplayDocTitle=BooleanObject(True),
    )
    for name, index in outline:
        if not 0 <= index < len(pages):
            raise IndexError(f"outline {name!r} leads to page {index} of {len(pages)}")
        writer.add_outline_item(title=name, page_number=index)
    if attachments:
        names = root.setdefault(NameObject("/Names"), DictionaryObject())
        names.get_object()[NameObject("/EmbeddedFiles")] = _attached(writer, attachments)
    said = {"/Title": title, "/Subject": subject, "/Keywords": keywords, "/Producer": "jiggen"}
    writer.add_metadata({key: value for key, value in said.items() if value})
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _add_pages(writer: PdfWriter, ready: Sequence[Written], stamps: Sequence[str]) -> None:
    """The pages with all that they draw with, shared."""
    stamped = [_stamped(page, stamps[index] if stamps else "") for index, page in enumerate(ready)]
    used = frozenset[str]().union(*(one.letters for one in ready), *(letters_in(data) for data in stamped))
    resources = writer._add_object(_resources(writer, ready, used))
    for page, stamp in zip(ready, stamped, strict=True):
        made = writer.add_blank_page(page.paper.width * POINTS_PER_MM, page.paper.height * POINTS_PER_MM)
        box = ArrayObject([FloatObject(0), FloatObject(0), *map(_points, (page.paper.width, page.paper.height))])
        made[NameObject("/MediaBox")] = box
        made[NameObject("/CropBox")] = box
        made[NameObject("/Resources")] = resources
        packed = writer._add_object(page.packed)
        parts = ArrayObject([packed, writer._add_object(_stream(stamp))]) if stamp else packed
        made[NameObject("/Contents")] = parts


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
    canvas.add((Text(Point(*page.stamp), 1.8, words, "right"),), WHOLE)
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


def _resources(writer: PdfWriter, written: Sequence[Written], used: frozenset[str]) -> DictionaryObject:
    """What the pages draw with: the font of the hidden words, a form for each character, one for what is common."""
    font = _dictionary(
        Type=NameObject("/Font"),
        Subtype=NameObject("/Type1"),
        BaseFont=NameObject("/Helvetica"),
        Encoding=NameObject("/WinAnsiEncoding"),
    )
    fonts = _dictionary(F=writer._add_object(font))
    rulers = {paper: _rulers(paper) for paper in dict.fromkeys(one.paper for one in written if one.rulers)}
    used = used.union(*(more for _, _, more in rulers.values()))
    letters = {
        letter_name(character): writer._add_object(_form(letter(character).encode(), _LETTER_BOX, DictionaryObject()))
        for character in sorted(used)
    }
    shared = _dictionary(Font=fonts, XObject=_dictionary(**letters))
    forms = {
        name: writer._add_object(_form(data, (-_ANY, -_ANY, _ANY, _ANY), shared)) for name, data, _ in rulers.values()
    }
    return _dictionary(Font=fonts, XObject=_dictionary(**letters, **forms))


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


def _labels(pages: Iterable[Written]) -> DictionaryObject:
    numbers = ArrayObject()
    for index, page in enumerate(pages):
        numbers += [NumberObject(index), _dictionary(P=TextStringObject(page.label))]
    return _dictionary(Nums=numbers)


def _attached(writer: PdfWriter, attachments: Sequence[tuple[str, bytes]]) -> IndirectObject:
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
            EF=_dictionary(F=writer._add_object(stream)),
        )
        names += [TextStringObject(name), writer._add_object(spec)]
    return writer._add_object(_dictionary(Names=names))
