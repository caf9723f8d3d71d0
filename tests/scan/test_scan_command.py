"""The command scan-check: what it tells, what it keeps, how it refuses."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from packets import packet

pytest.importorskip("cv2", reason='opencv is not on this machine: pip install "jiggen[scan]"')

from scans_made import Printer, Scanner, scan

from jiggen import printers
from jiggen.build import scale_file
from jiggen.cli_scan import scan_check
from jiggen.readback.pdf import read_pdf

COARSE = Scanner(dpi=200)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Scans of a scale page, of a sheet's page, of nothing; and the packet."""
    place = tmp_path_factory.mktemp("scans")
    pdf = packet("smallest").files["packet.pdf"]
    (place / "scale.jpg").write_bytes(scan(scale_file("letter", 12.7), 0, Printer(turn=1.0), COARSE))
    page = next(i for i, d in enumerate(labels(pdf)) if d == "S1-3")
    (place / "page.jpg").write_bytes(scan(pdf, page, Printer(), COARSE))
    (place / "empty.jpg").write_bytes(b"")
    (place / "packet.pdf").write_bytes(pdf)
    return place


def labels(pdf: bytes) -> list[str]:
    from io import BytesIO

    from pypdf import PdfReader

    return list(PdfReader(BytesIO(pdf)).page_labels)


@pytest.fixture
def config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr("jiggen.printers.folder", lambda: tmp_path / "printers")
    return tmp_path / "printers"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(scan_check, [str(argument) for argument in arguments])


def test_scale_page_told_and_kept(folder: Path, config: Path) -> None:
    ran = run(folder / "scale.jpg", "--save", "office-2")
    assert ran.exit_code == 0, ran.output
    assert "the scale page, paper 215.9 x 279.4 mm" in ran.stdout
    assert "across 100.70" in ran.stdout or "across 100.69" in ran.stdout
    assert "office-2 kept for letter: prints 100.70 % across, 99.60 % along, leans 0.30 degrees right" in ran.stdout
    assert "jiggen make JOB --printer office-2" in ran.stdout
    kept = printers.load("office-2", "letter")
    assert kept.correction.across == pytest.approx(1.007, abs=2e-4)
    assert kept.read.startswith("scan of 1 scale page at 200 dpi") and 0.0 < kept.doubt < 0.0006


def test_a_sheets_page_with_its_packet(folder: Path, config: Path) -> None:
    ran = run(folder / "page.jpg", "--packet", folder / "packet.pdf")
    assert ran.exit_code == 0, ran.output
    assert "page 3 of sheet S1, packet" in ran.stdout
    told = [line.split()[:2] for line in ran.stdout.splitlines() if "mm off +-" in line]
    pdf = (folder / "packet.pdf").read_bytes()
    page = labels(pdf).index("S1-3")
    circles = [hole for hole in read_pdf(pdf, unnamed=False).circles if hole.page == page and "mark" in hole.data]
    drawn = sorted(circles, key=lambda hole: -hole.y)
    assert [name for _, name in told] == [hole.data["mark"].split("/", 1)[1].removeprefix("toward ") for hole in drawn]
    assert len(drawn) > 3


def test_a_sheets_page_is_not_kept(folder: Path, config: Path) -> None:
    ran = run(folder / "page.jpg", "--save", "office-2")
    assert ran.exit_code == 2
    assert "scale pages only" in " ".join(ran.stderr.split())
    assert not config.exists()


def test_one_bad_scan_keeps_nothing_and_the_good_one_is_told(folder: Path, config: Path) -> None:
    ran = run(folder / "scale.jpg", folder / "empty.jpg", folder / "nowhere.jpg", "--save", "office-2")
    assert ran.exit_code == 2
    assert "nowhere.jpg: cannot be read" in " ".join(ran.stderr.split())
    ran = run(folder / "scale.jpg", folder / "empty.jpg", "--save", "office-2")
    assert ran.exit_code == 2
    assert "across" in ran.stdout and "no image that can be read" in " ".join(ran.stderr.split())
    assert not config.exists()


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (("--save", "../x"), "cannot name a printer"),
        (("--save", "office-2", "--paper", "a4"), "not a4"),
        (("--paper", "a4"), "without --save"),
        (("--dpi", "20"), "20 dpi"),
        (("--packet", "scale.jpg"), "cannot be read"),
        (("--dpi", "400"), "say the dpi"),
    ],
)
def test_refused(folder: Path, config: Path, arguments: tuple[str, ...], word: str) -> None:
    given = [str(folder / one) if one.endswith(".jpg") else one for one in arguments]
    ran = run(folder / "scale.jpg", *given)
    assert ran.exit_code == 2, ran.output
    assert word in " ".join(ran.stderr.split())
    assert not config.exists()


def test_another_pdf_is_no_packet(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "scale.pdf").write_bytes(scale_file("letter", 12.7))
    ran = run(folder / "page.jpg", "--packet", tmp_path / "scale.pdf")
    assert ran.exit_code == 2 and "none of ours" in " ".join(ran.stderr.split())


def test_without_opencv_it_says_what_to_install(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [name for name in sys.modules if name.startswith("jiggen.scan")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "cv2", None)
    ran = run(folder / "scale.jpg")
    assert ran.exit_code == 2
    assert "jiggen[scan]" in ran.stderr
