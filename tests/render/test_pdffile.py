"""Objects written one after another, as pypdf reads them."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, NumberObject, TextStringObject

from jiggen.render.pdffile import PdfFile


def test_what_is_put_is_found_in_whatever_order() -> None:
    out = BytesIO()
    file = PdfFile(out)
    pages = file.reserve()
    info = file.add(DictionaryObject({NameObject("/Title"): TextStringObject("Grüße, 3/8")}))
    tree = {
        NameObject("/Type"): NameObject("/Pages"),
        NameObject("/Kids"): ArrayObject(),
        NameObject("/Count"): NumberObject(0),
    }
    root = file.add(DictionaryObject({NameObject("/Type"): NameObject("/Catalog"), NameObject("/Pages"): pages}))
    file.put(pages, DictionaryObject(tree))
    file.close(root, info)
    found = PdfReader(BytesIO(out.getvalue()), strict=True)
    assert found.root_object["/Pages"]["/Count"] == 0
    assert found.metadata is not None
    assert found.metadata.title == "Grüße, 3/8"


def test_an_object_that_was_never_put() -> None:
    file = PdfFile(BytesIO())
    root, info = file.add(DictionaryObject()), file.reserve()
    with pytest.raises(ValueError, match="object 2 of the PDF was never written"):
        file.close(root, info)
