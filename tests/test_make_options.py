"""What make is asked for beyond the job: jigs, a printer's correction, an earlier packet made again; and the form."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import ezdxf
import pytest
from commands import run, tree
from packets import JOBS, packet
from pypdf import PdfReader

from jiggen.build import Options, build, measure, options_from
from jiggen.job.read import read_job
from jiggen.readback.pdf import read_pdf
from jiggen.sheets.correction import Correction

SMALLEST = JOBS / "smallest.toml"
JIG = '\n[jig]\nthickness = "6 mm"\nkerf = "0.2 mm"\nbed = ["1000 mm", "600 mm"]\n'


@pytest.fixture(autouse=True)
def own_config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Profiles of printers are kept in a folder of the test's own."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


@pytest.fixture
def jigged(tmp_path: Path) -> Path:
    file = tmp_path / "porch.toml"
    file.write_text(SMALLEST.read_text(encoding="utf-8") + JIG, encoding="utf-8")
    return file


def test_jigs_come_with_the_packet(jigged: Path, tmp_path: Path) -> None:
    assert run("make", jigged, "--to", tmp_path / "out").exit_code == 0
    files = tree(tmp_path / "out")
    sheets = {name[7:-4] for name in files if name.startswith("sheets/") and name.endswith(".svg")}
    jigs = {name[5:-4] for name in files if name.startswith("jigs/") and name.endswith(".svg")}
    assert jigs == {*sheets, "comb", "discs"}
    assert {f"jigs/{name}.dxf" for name in jigs} <= set(files)
    titles = [str(entry.title) for entry in PdfReader(BytesIO(files["packet.pdf"])).outline]  # type: ignore[union-attr]
    assert [t.split(":")[0] for t in titles if t.startswith("Jig")][:-2] == [f"Jig {s}" for s in sorted(sheets)]
    for name in jigs:
        found = ezdxf.readfile(tmp_path / "out" / "jigs" / f"{name}.dxf")  # type: ignore[attr-defined]
        assert found.audit().errors == []
        assert {e.dxf.layer for e in found.modelspace()} <= {"cut", "score", "engrave"}


@pytest.mark.parametrize(("asked", "made"), [("none", set()), ("S1", {"S1", "comb", "discs"})])
def test_only_the_jigs_that_are_asked_for(asked: str, made: set[str], jigged: Path, tmp_path: Path) -> None:
    assert run("make", jigged, "--to", tmp_path / "out", "--jigs", asked).exit_code == 0
    assert {name[5:-4] for name in tree(tmp_path / "out") if name.startswith("jigs/")} == made


def test_jigs_of_a_sheet_that_is_not_there(jigged: Path, tmp_path: Path) -> None:
    result = run("make", jigged, "--to", tmp_path / "out", "--jigs", "S77")
    assert result.exit_code == 2
    assert 'found "S77", no such sheet' in " ".join(result.stderr.split())
    assert not (tmp_path / "out").exists()


def test_a_jig_that_cannot_be_made_stops_no_sheet(jigged: Path, tmp_path: Path) -> None:
    """A kerf as wide as a tab's slot: told, left out, and the paper is made all the same."""
    text = jigged.read_text(encoding="utf-8").replace('kerf = "0.2 mm"', 'kerf = "3.1 mm"')
    jigged.write_text(text, encoding="utf-8")
    result = run("make", jigged, "--to", tmp_path / "out")
    assert result.exit_code == 0
    assert "until then this jig is not made" in " ".join(result.stderr.split())
    assert not any(name.startswith("jigs/") for name in tree(tmp_path / "out"))


def test_a_jig_measured_later(jigged: Path, tmp_path: Path) -> None:
    assert run("make", jigged, "--to", tmp_path / "out").exit_code == 0
    file = tmp_path / "out" / "jigs" / "S1.svg"
    result = run("measure", file)
    assert result.exit_code == 0
    assert "marks found, the worst 0.00" in result.stdout
    # the first guide hole 0.1 mm to the right of its place
    deviations, _, _ = measure(file.read_bytes())
    assert len(deviations) > 10
    text = file.read_text(encoding="utf-8")
    at = text.index("<circle", text.index('id="cut"'))
    start = text.index('cx="', at) + 4
    end = text.index('"', start)
    file.write_text(f"{text[:start]}{float(text[start:end]) + 0.1:.4f}{text[end:]}", encoding="utf-8")
    result = run("measure", file)
    assert result.exit_code == 1
    assert "0.100 mm from its plan" in result.stderr


def test_a_packet_made_again(tmp_path: Path) -> None:
    """The options are in it: A4 and two posts' sheets come again without being said again."""
    assert run("make", JOBS / "example.toml", "--to", tmp_path / "a", "--paper", "a4", "--posts", "1,2").exit_code == 0
    assert run("make", tmp_path / "a" / "packet.pdf", "--to", tmp_path / "b").exit_code == 0
    assert tree(tmp_path / "a") == tree(tmp_path / "b")
    result = run("plan", tmp_path / "a" / "packet.pdf")
    assert result.exit_code == 0
    assert result.stdout.startswith(packet("example").survey.plan.job.name)


def test_the_folder_of_a_packet_made_again_has_the_jobs_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert run("make", SMALLEST, "--to", tmp_path / "a").exit_code == 0
    monkeypatch.chdir(tmp_path)
    assert run("make", tmp_path / "a" / "packet.pdf").exit_code == 0
    (made,) = tmp_path.glob("*-packet")
    assert tree(made) == tree(tmp_path / "a")


def test_options_come_back() -> None:
    for options in (
        Options(),
        Options("a4", ("S1", "S3"), (), True, "none"),
        Options(posts=("4",), jigs="S2", printer="office", correction=Correction(0.998, 1.003, 0.001)),
    ):
        assert options_from(json.loads(json.dumps(options.data()))) == options
    with pytest.raises(ValueError, match="damaged"):
        options_from({"only": 3})


def test_a_printer_corrects_every_page_but_the_scale_page(tmp_path: Path) -> None:
    """Printed 0.5 % wide: u = 50 mm is drawn at 50 / 1.005 = 49.751 mm from the page's middle."""
    kept = run("printer", "office", "--across", "191.4525 of 190.5 mm", "--along", "254 of 254 mm")
    assert kept.exit_code == 0
    plain, corrected = tmp_path / "plain", tmp_path / "corrected"
    assert run("make", SMALLEST, "--to", plain).exit_code == 0
    result = run("make", SMALLEST, "--to", corrected, "--printer", "office")
    assert result.exit_code == 0
    before, after = ((folder / "sheets/S1.pdf").read_bytes() for folder in (plain, corrected))
    middle = 8.5 * 25.4 / 2.0
    for one, other in zip(read_pdf(before).circles, read_pdf(after).circles, strict=True):
        assert other.x - middle == pytest.approx((one.x - middle) / 1.005, abs=1e-3)
        assert other.y == pytest.approx(one.y, abs=1e-3)
    reader = PdfReader(BytesIO((corrected / "packet.pdf").read_bytes()))
    outline = {str(e.title): reader.get_destination_page_number(e) for e in reader.outline}  # type: ignore[union-attr,arg-type]
    for index, page in enumerate(reader.pages):
        assert ("office" in page.extract_text()) == (index != outline["Scale page"]), index
    result = run("measure", corrected / "packet.pdf")
    assert result.exit_code == 0
    assert tree(corrected) == dict(
        build(
            read_job(SMALLEST.read_text(encoding="utf-8"), "smallest.toml"),
            Options(printer="office", correction=Correction(191.4525 / 190.5, 1.0, 0.0)),
        ).files
    )


def test_a_printer_that_is_not_kept(tmp_path: Path) -> None:
    result = run("make", SMALLEST, "--to", tmp_path / "out", "--printer", "nobody")
    assert result.exit_code == 2
    assert "nobody" in result.stderr
    assert not (tmp_path / "out").exists()


def test_measure_against_a_job(tmp_path: Path) -> None:
    file = tmp_path / "S1.pdf"
    file.write_bytes(packet("smallest").files["sheets/S1.pdf"])
    assert run("measure", file, "--job", SMALLEST).exit_code == 0
    result = run("measure", file, "--job", JOBS / "ramp.toml")
    assert result.exit_code == 1
    assert "make it again from the job that you build" in " ".join(result.stderr.split())
    assert result.stdout == ""  # how true its marks are to their own job would read as good news


def test_the_form(tmp_path: Path) -> None:
    blank, own = tmp_path / "blank.pdf", tmp_path / "own.pdf"
    assert run("form", "--metric", "--to", blank).exit_code == 0
    assert run("form", JOBS / "example.toml", "--to", own).exit_code == 0
    words = [" ".join(page.extract_text() for page in PdfReader(file).pages) for file in (blank, own)]
    assert "millimetres" in words[0]
    assert "inches" in words[1]
    assert "spans" in words[0]
    assert packet("example").survey.plan.fingerprint in words[1]
    assert abs(float(PdfReader(blank).pages[0].mediabox.width) - 210.0 / 25.4 * 72.0) < 0.01


def test_every_page_says_packet_fingerprint_and_which_page_it_is() -> None:
    made = packet("smallest")
    reader = PdfReader(BytesIO(made.files["packet.pdf"]))
    for number, page in enumerate(reader.pages, 1):
        words = page.extract_text()
        assert f"packet page {number} of {len(reader.pages)}" in words
        assert made.survey.plan.fingerprint in words
        assert made.survey.plan.job.name in words
    assert "packet page" not in PdfReader(BytesIO(made.files["sheets/S1.pdf"])).pages[0].extract_text()


def test_contents_name_the_page_that_the_outline_leads_to() -> None:
    reader = PdfReader(BytesIO(packet("example").files["packet.pdf"]))
    outline = {str(e.title): reader.get_destination_page_number(e) + 1 for e in reader.outline}  # type: ignore[union-attr,arg-type,operator]
    told = " ".join(page.extract_text() for page in reader.pages[1 : outline["Plan view"] - 1]).split()
    assert len(outline) > 25
    for title, number in outline.items():
        if title in ("Cover", "Contents"):
            continue
        words = title.split()
        places = [
            i
            for i in range(len(told))
            if [w.casefold() for w in told[i : i + len(words)]] == [w.casefold() for w in words]
        ]
        assert any(str(number) in told[i + len(words) : i + len(words) + 2] for i in places), title
