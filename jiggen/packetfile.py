"""The bytes of a packet turned back into the text of the job that it was made from, and how it was made."""

from __future__ import annotations

import json
from typing import Any

JOB = "job.toml"
MARKS = "marks.json"


def is_pdf(data: bytes) -> bool:
    """Whether ``data`` begins as a PDF does, within its first 1024 bytes (ISO 32000-1, annex H, note 13)."""
    return b"%PDF-" in data[:1024]


def job_text(data: bytes) -> str | None:
    """The job file that rides in a packet or sheet PDF of ours; None where ``data`` is no PDF.

    Building that text with the options of ``made_with`` gives the same bytes again.
    Raises ValueError, its text the reason, for a PDF that carries no job or cannot be read.
    """
    if not is_pdf(data):
        return None
    from jiggen.readback.pdf import read_attachments

    attached = read_attachments(data)
    if JOB not in attached:
        raise ValueError("this PDF carries no job, it is none of ours")
    try:
        return attached[JOB].decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError("the job in this PDF is damaged (it is not UTF-8)") from None


def made_with(data: bytes) -> dict[str, Any]:
    """The options that a packet or sheet PDF of ours was made with, as plain data; {} where there are none in it.

    Raises ValueError, its text the reason, where they cannot be read.
    """
    from jiggen.readback.pdf import read_attachments

    marks = read_attachments(data).get(MARKS)
    if marks is None:
        return {}
    try:
        made = json.loads(marks).get("made", {})
    except (ValueError, RecursionError, AttributeError):
        made = None
    if not isinstance(made, dict):
        raise ValueError("what the packet was made with is damaged in the file")
    return made


def is_dxf(data: bytes) -> bool:
    """Whether ``data`` is a DXF file: its first pair of lines opens a section (comments, code 999, left out)."""
    lines = [line.strip() for line in data[:2000].splitlines()]
    pairs = [(code, value) for code, value in zip(lines[::2], lines[1::2], strict=False) if code != b"999"]
    return bool(pairs) and pairs[0] == (b"0", b"SECTION")
