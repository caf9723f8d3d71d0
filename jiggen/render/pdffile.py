"""PDF objects turned into a PDF file, one after another: what is written is not kept, only where it begins.

ISO 32000-1, 7.5 (file structure): header, objects, cross-reference table, trailer.
"""

from __future__ import annotations

from io import BytesIO
from typing import BinaryIO

from pypdf.generic import DictionaryObject, IndirectObject, NameObject, NumberObject, PdfObject

HEADER = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"  # four bytes over 127 say that the file is binary


def written(value: PdfObject) -> bytes:
    """An object as it stands in a file."""
    text = BytesIO()
    value.write_to_stream(text)
    return text.getvalue()


class PdfFile:
    """A PDF on its way to ``out``, from its header on; ``close`` ends it. The same objects give the same bytes."""

    def __init__(self, out: BinaryIO) -> None:
        self._out = out
        self._at = out.write(HEADER)
        self._places: list[int | None] = []

    def reserve(self) -> IndirectObject:
        """A reference to an object that is put later."""
        self._places.append(None)
        return IndirectObject(len(self._places), 0, None)

    def put(self, where: IndirectObject, value: PdfObject | bytes) -> None:
        """Write the object that ``where`` was reserved for, or what ``written`` gave for it."""
        self._places[where.idnum - 1] = self._at
        text = value if isinstance(value, bytes) else written(value)
        self._at += self._out.write(b"%d 0 obj\n%b\nendobj\n" % (where.idnum, text))

    def add(self, value: PdfObject | bytes) -> IndirectObject:
        """Write an object, or what ``written`` gave for it; a reference to it."""
        where = self.reserve()
        self.put(where, value)
        return where

    def close(self, root: IndirectObject, info: IndirectObject) -> None:
        """Write the table of places and the trailer. Raises ValueError where an object was reserved and never put."""
        if None in self._places:
            raise ValueError(f"object {self._places.index(None) + 1} of the PDF was never written")
        table = [f"xref\n0 {len(self._places) + 1}\n0000000000 65535 f \n"]
        table += [f"{place:010d} 00000 n \n" for place in self._places]
        self._out.write("".join(table).encode())
        self._out.write(b"trailer\n")
        size = NumberObject(len(self._places) + 1)
        trailer = {NameObject("/Size"): size, NameObject("/Root"): root, NameObject("/Info"): info}
        DictionaryObject(trailer).write_to_stream(self._out)
        self._out.write(f"\nstartxref\n{self._at}\n%%EOF\n".encode())
