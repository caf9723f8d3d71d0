"""PDF bytes to circles and lines in the page frame: mm, origin at the MediaBox's lower left, y up."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from io import SEEK_END, BytesIO
from typing import Any, BinaryIO, TypeVar

from pypdf import PdfReader
from pypdf.generic import (
    ArrayObject,
    ByteStringObject,
    DictionaryObject,
    IndirectObject,
    NameObject,
    StreamObject,
    TextStringObject,
    create_string_object,
)

from jiggen.readback.canvas import EVERYWHERE, Canvas, Matrix
from jiggen.readback.model import Circle, Found, PageBox, Segment
from jiggen.readback.tokens import Name, operations
from jiggen.units import MM_PER_INCH

MOST_BYTES = 64 * 1024 * 1024
MOST_CONTENT = 64 * 1024 * 1024  # in all, and A_PAGE more for each page
A_PAGE = 128 * 1024
MOST_PAGES = 10_000
A_LINE = 100  # bytes of content that a line counts as which a known form paints once more
A_LETTER = 4096  # bytes of content: what is drawn by a form no longer than this is kept
MOST_NESTING = 20
MM_PER_POINT = MM_PER_INCH / 72.0  # ISO 32000-1, 8.3.2.3: a unit of user space is 1/72 inch
INHERITED = ("/MediaBox", "/CropBox", "/Resources", "/Rotate")

logging.getLogger("pypdf").addHandler(logging.NullHandler())  # what it has to say of a damaged file is told once, by us

_PASSED = re.compile(
    rb"""BDC.*?EMC
    |(?:(?<=[SQJ]\n)|(?<=f\*\n))(?:
        q[ ](?:[-+.0-9 ]++(?:cm|w)[ ]|/[A-Za-z0-9]++[ ]Do[ ])++Q  # forms, one after another
        |(?:(?:[-+.0-9]++[ ]|\[[-+.0-9 ]*+\][ ])++[wdgGJjM][ \n])*+  # a pen is set, then a path of straight lines
        (?:[-+.0-9]++[ ]){2}m(?:[ \n](?:(?:[-+.0-9]++[ ]){2}[ml]|h))*+[ \n](?:S|f\*?)
    )(?=\n)
    |(?<=\n)(?:(?:[-+.0-9]++[ ]|\[[-+.0-9 ]*+\][ ])++[wdgGJjM][ \n])++  # a pen alone
    |(?<=\n)BT[ \n](?:(?:[-+.0-9]++[ ]|/[A-Za-z0-9]++[ ]|\((?:[^()\\]++|\\.)*+\)[ ])++T[A-Za-z*][ \n])*+ET(?=\n)
    """,
    re.DOTALL | re.VERBOSE,
)
"""What paints nothing that is asked for where lines without data are not, and marked content, which is kept."""
_PLACED = re.compile(rb"/([A-Za-z0-9]++) Do")

Attributes = Mapping[str, Any]
T = TypeVar("T")


class Refused(ValueError):
    """A PDF that cannot be measured; the text is one plain sentence."""


def read_pdf(data: bytes | BinaryIO, unnamed: bool = True) -> Found:
    """Every circle, ellipse and single straight line that is painted on the pages, and what is attached.

    Frame: mm, origin at the lower left corner of each page's MediaBox, y up. A circle is a closed subpath
    of four or more Bezier pieces that stay on one ellipse (``ellipse.drawn_by`` has the limits); a segment
    is a stroked subpath of two points. What the clip (upright boxes only, the page's own included) hides
    is left out; what it cuts is whole, with ``clipped`` = ``yes`` in its data. ``data``: the text entries
    of the innermost marked-content property list (ISO 32000-1, 14.6). Form XObjects are followed; text,
    images, patterns and annotations are not. ``unnamed``: False leaves out the segments without data. ``data``: the bytes, or a
    file that is open for reading; of its pages only one at a time is held.

    Raises ValueError with one plain sentence: no PDF, damaged, encrypted, no pages, a turned page, too
    large or nested too deep.
    """
    return _guarded(data, lambda file: _read(file, unnamed))


def read_attachments(data: bytes) -> dict[str, bytes]:
    """What is attached to a PDF, by name; its pages are not looked at. Raises ValueError as ``read_pdf`` does."""
    return _guarded(data, lambda file: _attachments(_opened(file)))


def _guarded(data: bytes | BinaryIO, read: Callable[[BinaryIO], T]) -> T:
    """What ``read`` gives; every failure becomes a ValueError with one plain sentence."""
    file = BytesIO(data) if isinstance(data, bytes) else data
    if file.seek(0, SEEK_END) > MOST_BYTES:
        raise ValueError("this PDF is over 64 MB")
    try:
        return read(file)
    except Refused as refused:
        raise ValueError(str(refused)) from None
    except Exception as error:  # whatever damage does to the parser, the caller gets one kind of error
        detail = " ".join(str(error).split())[:200] or type(error).__name__
        raise ValueError(f"this PDF is damaged and cannot be measured: {detail}") from error


def _opened(file: BinaryIO) -> PdfReader:
    reader = PdfReader(file)
    if reader.is_encrypted:
        raise Refused("this PDF is encrypted and cannot be measured")
    return reader


def _read(file: BinaryIO, unnamed: bool) -> Found:
    reader = _opened(file)
    root = reader.root_object
    budget = _Budget()
    circles: list[Circle] = []
    segments: list[Segment] = []
    boxes: list[PageBox] = []
    for page, attributes in enumerate(_pages(root, {}, 0, [MOST_PAGES])):
        canvas, box = _canvas(attributes, page)
        canvas.unnamed = unnamed
        budget.left += A_PAGE
        boxes.append(box)
        _draw(canvas, _content(attributes), _dictionary(attributes.get("/Resources")), budget, 0)
        circles += canvas.circles
        segments += canvas.segments
    if not boxes:
        raise Refused("this PDF has no pages")
    return Found(tuple(circles), tuple(segments), tuple(boxes), _attachments(reader), _metadata(root))


@dataclass(frozen=True)
class _Form:
    """A form XObject. ``plain``: all that it paints that can be measured, in its own space, where that is straight
    lines alone and its box hides none; None where it paints a curve or clips, and must be followed. ``named``: those
    with data."""

    stream: StreamObject
    resources: DictionaryObject
    matrix: Matrix
    box: tuple[float, float, float, float] | None
    plain: tuple[Segment, ...] | None
    named: tuple[Segment, ...] = ()


class _Budget:
    """How many bytes of content may still be followed: a form may draw a form, many times over. ``forms``: the form
    of each name in the resources of an identity, which are kept with it so that the identity stays theirs; ``blank``: the
    names of those that paint nothing that is asked for where lines without data are not."""

    def __init__(self) -> None:
        self.left = MOST_CONTENT
        self.forms: dict[tuple[int, str], tuple[DictionaryObject, _Form | None]] = {}
        self.blank: dict[int, tuple[DictionaryObject, set[bytes]]] = {}

    def spend(self, count: int) -> None:
        self.left -= count + 20
        if self.left < 0:
            raise Refused("this PDF has over 64 MB of page content, and 128 kB a page")


def _pages(node: Any, above: Attributes, depth: int, left: list[int]) -> Iterator[Attributes]:
    """The attributes of each page in order, those of the nodes above it included. ``left``: how many nodes
    may still be visited."""
    node = _dictionary(_dictionary(node).get("/Pages") if depth == 0 else node)
    left[0] -= 1
    if depth > MOST_NESTING or left[0] < 0:
        raise Refused("this PDF has too many pages, or its page tree has no end")
    here = {**above, **{key: node[key] for key in INHERITED if key in node}}
    if "/Kids" not in node:
        if depth > 0:
            contents = {"/Contents": node.raw_get("/Contents")} if "/Contents" in node else {}
            yield {**here, **contents, **{key: node[key] for key in ("/UserUnit",) if key in node}}
        return
    for kid in node["/Kids"]:
        yield from _pages(kid, here, depth + 1, left)
        _forget(kid)


def _canvas(attributes: Attributes, page: int) -> tuple[Canvas, PageBox]:
    """An empty canvas for a page, and the page's size."""
    if "/MediaBox" not in attributes:
        raise Refused(f"page {page + 1} of this PDF has no MediaBox, so it has no size")
    turn = attributes.get("/Rotate", 0)
    if turn != 0:
        raise Refused(f"page {page + 1} of this PDF is turned by {turn} degrees, which is not read")
    scale = MM_PER_POINT * float(attributes.get("/UserUnit", 1.0))
    left, bottom, right, top = _rectangle(attributes["/MediaBox"])
    box = PageBox((right - left) * scale, (top - bottom) * scale)
    if not (0.0 < box.width < 1e6 and 0.0 < box.height < 1e6):
        raise Refused(f"page {page + 1} of this PDF has no size")
    matrix: Matrix = (scale, 0.0, 0.0, scale, -left * scale, -bottom * scale)
    canvas = Canvas(matrix, (0.0, 0.0, box.width, box.height), page)
    if "/CropBox" in attributes:
        canvas.clip_to(canvas.corners(*_rectangle(attributes["/CropBox"])))
    return canvas, box


def _draw(canvas: Canvas, data: bytes, resources: DictionaryObject, budget: _Budget, depth: int) -> None:
    """Paints one content stream on ``canvas``."""
    budget.spend(len(data))
    if not (canvas.unnamed or canvas.data):
        data = _without_unnamed(data, resources, budget, depth)
    outside = canvas.data
    marked: list[Mapping[str, str]] = []
    acts = canvas.acts
    for operator, operands in operations(data):
        act = acts.get(operator)
        if act is not None:
            act(*operands)
        elif operator == b"BDC" or operator == b"BMC":
            marked.append(canvas.data)
            if operator == b"BDC":
                canvas.data = _properties(operands[1], resources)
            if len(marked) > 1000:
                raise Refused("this PDF has marked content nested too deep")
        elif operator == b"EMC" and marked:
            canvas.data = marked.pop()
        elif operator == b"Do":
            _draw_form(canvas, operands[0], resources, budget, depth + 1)
    canvas.data = outside


def _without_unnamed(data: bytes, resources: DictionaryObject, budget: _Budget, depth: int) -> bytes:
    """The content without what paints no more than straight lines, where those without data are not asked for: paths of
    nothing else, forms placed one after another between a q and its Q that draw nothing else, text. Only outside marked
    content, and where no path is begun; all of it where marked content is nested."""
    nested = False
    blank = budget.blank.setdefault(id(resources), (resources, set()))[1]

    def kept(found: re.Match[bytes]) -> bytes:
        nonlocal nested
        text = found[0]
        if text.startswith(b"BDC"):
            nested = nested or b"BDC" in text[3:] or b"BMC" in text
            return text
        if not text.startswith(b"q "):
            return b""
        names = _PLACED.findall(text)
        budget.spend(20 * len(names))
        for name in set(names) - blank:
            if not _blank(name.decode(), resources, budget, depth):
                return text
            blank.add(name)
        return b""

    shorter = _PASSED.sub(kept, data)
    return data if nested or b"BMC" in data else shorter


def _blank(name: str, resources: DictionaryObject, budget: _Budget, depth: int) -> bool:
    """Whether a form paints nothing that is asked for."""
    key = (id(resources), name)
    form = (budget.forms.get(key) or _known(key, resources, budget, depth + 1))[1]
    return form is None or (form.plain is not None and not form.named)


def _draw_form(canvas: Canvas, name: str, resources: DictionaryObject, budget: _Budget, depth: int) -> None:
    """Paints the form XObject ``name``; images and unknown names paint nothing that can be measured."""
    if depth > MOST_NESTING:
        raise Refused("this PDF has drawings nested too deep")
    budget.spend(0)
    key = (id(resources), name)
    known = budget.forms.get(key) or _known(key, resources, budget, depth)
    form = known[1]
    if form is None:
        return
    if form.plain is not None:
        canvas.clear()
        lines = form.plain if canvas.unnamed or canvas.data else form.named
        budget.spend(A_LINE * len(lines))
        if lines:
            canvas.lines(lines, form.matrix)
        return
    canvas.save()
    outside = canvas.saved
    canvas.saved = []
    canvas.concatenate(*form.matrix)
    if form.box is not None:
        canvas.clip_to(canvas.corners(*form.box))
    canvas.clear()
    _draw(canvas, form.stream.get_data(), form.resources, budget, depth)
    canvas.clear()
    canvas.saved = outside
    canvas.restore()


def _known(
    key: tuple[int, str], resources: DictionaryObject, budget: _Budget, depth: int
) -> tuple[DictionaryObject, _Form | None]:
    """What there is to know of a form, found once; a form that draws itself is followed until it is too deep."""
    stream = _dictionary(_dictionary(resources.get("/XObject")).get(f"/{key[1]}"))
    budget.forms[key] = (resources, None)
    if isinstance(stream, StreamObject) and _entry(stream, "/Subtype", None) == "/Form":
        a, b, c, d, e, f = (float(value) for value in _entry(stream, "/Matrix", (1, 0, 0, 1, 0, 0)))
        box = _rectangle(stream["/BBox"]) if "/BBox" in stream else None
        form = _Form(stream, _dictionary(stream.get("/Resources", resources)), (a, b, c, d, e, f), box, None)
        budget.forms[key] = (resources, form)
        plain = _painted(stream.get_data(), form.resources, budget, depth)
        if plain is not None and (box is None or all(_within(s, box) for s in plain)):
            named = tuple(line for line in plain if line.data)
            budget.forms[key] = (resources, replace(form, plain=plain, named=named))
    return budget.forms[key]


def _painted(data: bytes, resources: DictionaryObject, budget: _Budget, depth: int) -> tuple[Segment, ...] | None:
    """What the content of a form paints in its own space where that is straight lines alone, else None."""
    if len(data) <= A_LETTER and b"/" not in data:
        budget.spend(len(data))
        return _lone(data)
    probe = Canvas((1.0, 0.0, 0.0, 1.0, 0.0, 0.0), EVERYWHERE, 0)
    _draw(probe, data, resources, budget, depth)
    return None if probe.circles or probe.has_clipped else tuple(probe.segments)


@lru_cache(maxsize=512)
def _lone(data: bytes) -> tuple[Segment, ...] | None:
    """As ``_painted`` of content that names nothing: it paints the same in every file, so a letter is followed once."""
    probe = Canvas((1.0, 0.0, 0.0, 1.0, 0.0, 0.0), EVERYWHERE, 0)
    _draw(probe, data, DictionaryObject(), _Budget(), 0)
    return None if probe.circles or probe.has_clipped else tuple(probe.segments)


def _within(line: Segment, box: tuple[float, float, float, float]) -> bool:
    left, bottom, right, top = box
    return all(left < x < right for x in (line.x1, line.x2)) and all(bottom < y < top for y in (line.y1, line.y2))


def _properties(operand: Any, resources: DictionaryObject) -> Mapping[str, str]:
    """The text entries of a property list, given in place or by its name in the resources."""
    if isinstance(operand, Name):
        named = _dictionary(_dictionary(resources.get("/Properties")).get(f"/{operand}"))
        return {
            str(key)[1:]: str(value)
            for key, value in ((key, named[key]) for key in named)
            if isinstance(value, TextStringObject)
        }
    return {key: _text(value) for key, value in operand.items() if isinstance(value, bytes)}


def _text(raw: bytes) -> str:
    """A PDF text string (ISO 32000-1, 7.9.2.2) as text; bytes that are none, one character a byte."""
    text = create_string_object(raw)
    return raw.decode("latin-1") if isinstance(text, ByteStringObject) else str(text)


def _content(attributes: Attributes) -> bytes:
    """The content of a page, its streams put together (ISO 32000-1, 7.8.2); their reader forgets them."""
    named = attributes.get("/Contents")
    found = named.get_object() if named is not None else None
    parts = list(found) if isinstance(found, ArrayObject) else [named]
    streams = [part.get_object() for part in parts if part is not None]
    data = b"\n".join(stream.get_data() for stream in streams if isinstance(stream, StreamObject))
    for part in (named, *parts):
        _forget(part)
    return data


def _forget(value: Any) -> None:
    """Let the reader of a reference drop what it refers to: it keeps all that it ever read, a thousand pages too."""
    if isinstance(value, IndirectObject):
        value.pdf.resolved_objects.pop((value.generation, value.idnum), None)


def _dictionary(value: Any) -> DictionaryObject:
    """``value`` or what it refers to, an empty dictionary where that is none."""
    found = value.get_object() if value is not None else None
    return found if isinstance(found, DictionaryObject) else DictionaryObject()


def _entry(dictionary: DictionaryObject, key: str, otherwise: Any) -> Any:
    """An entry with its reference followed (``get`` of a pypdf dictionary does not follow it)."""
    return dictionary[key] if key in dictionary else otherwise  # noqa: SIM401


def _rectangle(value: Any) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of a PDF rectangle, whichever corners it names."""
    x1, y1, x2, y2 = (float(number.get_object()) for number in value.get_object())
    return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)


def _attachments(reader: PdfReader) -> dict[str, bytes]:
    """The attached files, the first of each name."""
    if NameObject("/Names") not in reader.root_object:
        return {}
    return {str(name): bytes(contents[0]) for name, contents in reader.attachments.items() if contents}


def _metadata(root: DictionaryObject) -> str:
    """The text of the document's metadata stream."""
    stream = _entry(root, "/Metadata", None)
    return stream.get_data().decode("utf-8", "replace").strip() if isinstance(stream, StreamObject) else ""
