"""The bytes of a packet turned back into the text of the job that it was made from."""

from __future__ import annotations

from jiggen.readback.pdf import read_pdf

JOB = "job.toml"


def is_pdf(data: bytes) -> bool:
    """Whether ``data`` begins as a PDF does, within its first 1024 bytes (ISO 32000-1, annex H, note 13)."""
    return b"%PDF-" in data[:1024]


def job_text(data: bytes) -> str | None:
    """The job file that rides in a packet or sheet PDF of ours; None where ``data`` is no PDF.

    Building that text gives the same bytes again where the packet was made with no option but its job's.
    Raises ValueError, its text the reason, for a PDF that carries no job or cannot be read.
    """
    if not is_pdf(data):
        return None
    attached = read_pdf(data).attachments
    if JOB not in attached:
        raise ValueError("this PDF carries no job, it is none of ours")
    try:
        return attached[JOB].decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError("the job in this PDF is damaged (it is not UTF-8)") from None
