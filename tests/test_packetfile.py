"""A packet taken as a job: the job that rides in it, and the same packet made from that again."""

from __future__ import annotations

from io import BytesIO

import packets
import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from jiggen.build import build
from jiggen.drawing.scene import Pen
from jiggen.job.read import read_job
from jiggen.packetfile import is_pdf, job_text
from jiggen.render.pdf import pdf
from jiggen.sheets.paper import paper
from jiggen.sheets.tiling import single


@pytest.mark.slow
def test_the_same_packet_again() -> None:
    made = packets.packet("smallest").files
    text = job_text(made["packet.pdf"])
    assert text is not None
    assert text.encode() == made["job.toml"] == PdfReader(BytesIO(made["packet.pdf"])).attachments["job.toml"][0]
    assert dict(build(read_job(text, "packet.pdf")).files) == dict(made)


def test_a_single_sheet_carries_the_job_too() -> None:
    made = packets.packet("smallest").files
    assert job_text(made["sheets/S1.pdf"]) == made["job.toml"].decode()


def carrying(*attachments: tuple[str, bytes]) -> bytes:
    page = single(paper("letter"), Pen().drawing(50.0, 50.0), label="1", title="T", foot="f")
    return pdf([page], title="t", attachments=attachments)


@pytest.mark.parametrize("text", ['name = "Büro"\n', "a = 1\r\nb = 2\r\n", "", "\n\n"])
def test_the_text_comes_back_as_it_was(text: str) -> None:
    assert job_text(carrying(("job.toml", text.encode()), ("plan.json", b"{}"))) == text


def test_what_is_no_pdf_is_a_job_to_be_read() -> None:
    assert job_text(b'job = { name = "Garden" }\n') is None
    assert job_text(b"") is None
    assert not is_pdf(b"%PD")
    assert is_pdf(b"\xef\xbb\xbf junk \n%PDF-1.7")


def test_pdfs_that_carry_no_job() -> None:
    strange = BytesIO()
    canvas = Canvas(strange)
    canvas.drawString(50, 50, "not ours")
    canvas.save()
    with pytest.raises(ValueError, match="carries no job"):
        job_text(strange.getvalue())
    with pytest.raises(ValueError, match="carries no job"):
        job_text(carrying(("plan.json", b"{}")))
    with pytest.raises(ValueError, match="not UTF-8"):
        job_text(carrying(("job.toml", b"\xff\xfe")))
    with pytest.raises(ValueError, match="damaged"):
        job_text(carrying(("job.toml", b"a = 1"))[:400])
