"""Other people's tools open every PDF of a packet without a word of complaint: qpdf, Ghostscript, poppler, pdfium."""

from __future__ import annotations

import shutil
import subprocess
from functools import cache
from pathlib import Path

import pypdfium2
import pytest
from packets import job, packet

from jiggen.build import Options, build, scale_file

INSTALL = {"qpdf": "qpdf", "gs": "ghostscript", "pdftoppm": "poppler-utils", "pdfinfo": "poppler-utils"}


def tool(name: str) -> pytest.MarkDecorator:
    reason = f"{name} is not on this machine (Debian: apt install {INSTALL[name]})"
    return pytest.mark.skipif(shutil.which(name) is None, reason=reason)


@cache
def files() -> dict[str, bytes]:
    """A packet with stair and corner, one in metric, one on small paper, a draft, a sheet's own PDF, the scale page."""
    return {
        "example": packet("example").files["packet.pdf"],
        "metric": packet("metric", "a4").files["packet.pdf"],
        "small-paper": packet("small-paper").files["packet.pdf"],
        "draft": build(job("smallest"), Options(draft=True)).files["packet.pdf"],
        "sheet": packet("example").files["sheets/S2.pdf"],
        "scale": scale_file("letter", 12.7),
    }


NAMES = ("example", "metric", "small-paper", "draft", "sheet", "scale")


@pytest.fixture(params=NAMES)
def file(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    path = tmp_path / f"{request.param}.pdf"
    path.write_bytes(files()[request.param])
    return path


def run(*command: str | Path) -> tuple[int, str, str]:
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True, timeout=120, check=False)
    return done.returncode, done.stdout, done.stderr


@tool("qpdf")
def test_qpdf_finds_no_error(file: Path) -> None:
    code, out, error = run("qpdf", "--check", file)
    assert (code, error) == (0, "")
    assert "No syntax or stream encoding errors found" in out
    assert "WARNING" not in out


@tool("qpdf")
def test_qpdf_would_find_one(tmp_path: Path) -> None:
    path = tmp_path / "cut.pdf"
    path.write_bytes(files()["sheet"][:-200])
    assert run("qpdf", "--check", path)[0] != 0


@tool("gs")
def test_ghostscript_draws_every_page_without_a_warning(file: Path) -> None:
    code, out, error = run(
        "gs",
        "-q",
        "-dNOPAUSE",
        "-dBATCH",
        "-dSAFER",
        "-dPDFSTOPONERROR",
        "-dPDFSTOPONWARNING",
        "-sDEVICE=nullpage",
        file,
    )
    assert (code, out, error) == (0, "", "")


@tool("pdftoppm")
@tool("pdfinfo")
def test_poppler_draws_every_page_without_a_warning(file: Path, tmp_path: Path) -> None:
    code, out, error = run("pdftoppm", "-r", "20", "-gray", file, tmp_path / "page")
    assert (code, out, error) == (0, "", "")
    drawn = sorted(tmp_path.glob("page*.pgm"))
    assert len(drawn) == len(pypdfium2.PdfDocument(file.read_bytes()))
    assert all(min(path.read_bytes()[20:]) < 128 for path in drawn)
    code, out, error = run("pdfinfo", "-box", file)
    assert (code, error) == (0, "") and "Encrypted:       no" in out


def test_pdfium_draws_every_page(file: Path) -> None:
    document = pypdfium2.PdfDocument(file.read_bytes())
    for page in document:
        grey = page.render(scale=0.3, grayscale=True).to_numpy()
        assert grey.min() < 128 < grey.max()
        assert page.get_textpage().count_chars() > 20
