"""The demo packet that is shown is the one that the program makes now."""

from __future__ import annotations

from functools import cache
from importlib import resources
from io import BytesIO
from pathlib import Path

import pytest
from packets import PROJECT
from pypdf import PdfReader

from jiggen.build import Packet, build
from jiggen.job.read import read_job

SHOWN = PROJECT / "outputs" / "demo"


@cache
def made() -> Packet:
    text = resources.files("jiggen.job").joinpath("demo.toml").read_text(encoding="utf-8")
    return build(read_job(text, "demo.toml"))


def shown() -> dict[str, Path]:
    return {p.relative_to(SHOWN).as_posix(): p for p in sorted(SHOWN.rglob("*")) if p.is_file()}


def test_no_file_more_or_less() -> None:
    assert set(shown()) | {"preview.png"} == set(made().files) | {"preview.png"}
    assert {"packet.pdf", "plan.json", "sheets/S1.svg", "sheets/S1.pdf", "preview.png"} <= set(shown())


def test_demo_has_no_stop() -> None:
    assert made().survey.stops == ()


def test_text_files_byte_for_byte() -> None:
    names = [name for name in made().files if not name.endswith((".pdf", ".png"))]
    assert len(names) > 5
    different = [n for n in names if n not in shown() or shown()[n].read_bytes() != made().files[n]]
    assert different == []


def contents(data: bytes) -> list[bytes]:
    """Each page's operators and each attachment, unpacked: packed bytes hang on the zlib of the machine."""
    reader = PdfReader(BytesIO(data))
    pages = [page.get_contents() for page in reader.pages]
    attached = [part for name in sorted(reader.attachments) for part in reader.attachments[name]]
    return [*(page.get_data() if page is not None else b"" for page in pages), *attached]


def test_pdfs() -> None:
    names = [name for name in made().files if name.endswith(".pdf")]
    assert len(names) > 1
    different = []
    for name in names:
        there = shown()[name].read_bytes() if name in shown() else b""
        if there != made().files[name] and (not there or contents(there) != contents(made().files[name])):
            different.append(name)
    assert different == []


def test_preview_is_a_png() -> None:
    assert shown()["preview.png"].read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


@pytest.mark.parametrize("name", ["packet.pdf", "sheets/S1.pdf", "sheets/S1.svg"])
def test_what_is_shown_measures_true(name: str) -> None:
    from jiggen.build import measure

    deviations, problems, fingerprint = measure(shown()[name].read_bytes())
    assert problems == []
    assert len(deviations) > 5
    assert fingerprint == made().survey.plan.fingerprint
