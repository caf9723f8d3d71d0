"""The command line: exit codes, what goes to stdout and what to stderr, and what a failure leaves behind."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from commands import run, tree
from packets import JOBS, packet, write_packet
from pypdf import PdfReader

import jiggen.render.pdf
from jiggen.job.read import read_job
from jiggen.sheets.extent import moved
from jiggen.sheets.model import Page

SMALLEST = JOBS / "smallest.toml"
STOPPED = JOBS / "too-wide.toml"
BAD = JOBS / "broken" / "unknown-keys.toml"


def shell(arguments: Sequence[object], cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "jiggen", *map(str, arguments)], cwd=cwd, capture_output=True, text=True, check=False
    )


def test_make(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    result = run("make", SMALLEST, "--to", folder)
    assert result.exit_code == 0
    assert "read back" in result.stdout
    assert tree(folder) == dict(packet("smallest").files)
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_make_from_a_shell_beside_the_job(tmp_path: Path) -> None:
    """Without --to the folder has the job's name; results go to stdout, problems to stderr."""
    (tmp_path / "porch.toml").write_bytes(SMALLEST.read_bytes())
    done = shell(["make", "porch.toml"], tmp_path)
    assert done.returncode == 0
    assert (tmp_path / "porch-packet" / "packet.pdf").is_file()
    assert "porch-packet" in done.stdout
    assert "check:" in done.stderr
    assert "check:" not in done.stdout


@pytest.mark.parametrize("command", ["plan", "make"])
def test_bad_input_is_2_with_nothing_on_stdout(command: str, tmp_path: Path) -> None:
    done = shell([command, BAD], tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "stop:" in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "arguments",
    [
        ["plan", "no-such-file.toml"],
        ["make", "no-such-file.toml"],
        ["make", SMALLEST, "--paper", "a12"],
        ["make", SMALLEST, "--nonsense"],
        ["make"],
        ["measure", "no-such-file.pdf"],
        ["plan", JOBS],
        ["nonsense"],
    ],
)
def test_usage_is_2(arguments: list[object]) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr


@pytest.mark.parametrize("arguments", [["--only", "S99"], ["--posts", "99"], ["--only", "S1,S99"]])
def test_unknown_sheet_or_post_is_usage(arguments: list[str], tmp_path: Path) -> None:
    result = run("make", SMALLEST, "--to", tmp_path / "out", *arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "99" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_stop_is_1_and_nothing_written(tmp_path: Path) -> None:
    result = run("make", STOPPED, "--to", tmp_path / "out")
    assert result.exit_code == 1
    assert "stop:" in result.stderr
    assert list(tmp_path.iterdir()) == []
    told = run("plan", STOPPED)
    assert told.exit_code == 1
    assert told.stdout


def test_draft_says_so_on_every_page(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    result = run("make", STOPPED, "--to", folder, "--draft")
    assert result.exit_code in (0, 1)
    assert "stop:" in result.stderr
    for name in ("packet.pdf", "sheets/S1.pdf"):
        pages = PdfReader(folder / name).pages
        assert len(pages) > 3
        assert all("DRAFT" in page.extract_text() for page in pages), name
    assert 'data-text="DRAFT"' in (folder / "sheets" / "S1.svg").read_text()
    assert b"DRAFT" not in packet("smallest").files["sheets/S1.svg"]


def test_only_posts_and_paper(tmp_path: Path) -> None:
    only = tmp_path / "only"
    assert run("make", JOBS / "ramp.toml", "--to", only, "--only", "S2, S3").exit_code == 0
    assert sorted(p.stem for p in (only / "sheets").glob("*.svg")) == ["S2", "S3"]
    posts = tmp_path / "posts"
    assert run("make", JOBS / "ramp.toml", "--to", posts, "--posts", "2", "--paper", "letter").exit_code == 0
    plan = json.loads((posts / "plan.json").read_text())
    serving = sorted(sheet["id"] for sheet in plan["sheets"] if "2" in sheet["posts"])
    assert sorted(p.stem for p in (posts / "sheets").glob("*.svg")) == serving
    box = PdfReader(posts / "packet.pdf").pages[0].mediabox
    assert [float(box.width), float(box.height)] == pytest.approx([612.0, 792.0], abs=1e-4)


def test_foreign_files_are_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "holiday"
    folder.mkdir()
    (folder / "photo.jpg").write_bytes(b"sea")
    result = run("make", SMALLEST, "--to", folder)
    assert result.exit_code == 2
    assert "photo.jpg" in result.stderr
    assert tree(folder) == {"photo.jpg": b"sea"}
    assert run("make", SMALLEST, "--to", folder / "photo.jpg").exit_code == 2


def test_foreign_files_inside_sheets_are_left_alone(tmp_path: Path) -> None:
    """A folder "sheets" of someone else's is none of a packet's."""
    folder = tmp_path / "out"
    assert run("make", SMALLEST, "--to", folder).exit_code == 0
    (folder / "sheets" / "notes.txt").write_text("mine")
    assert run("make", SMALLEST, "--to", folder).exit_code == 2
    assert (folder / "sheets" / "notes.txt").read_text() == "mine"


def test_a_folder_with_a_job_of_ones_own_is_left_alone(tmp_path: Path) -> None:
    """It has the name of a packet's file, but there is no packet."""
    (tmp_path / "job.toml").write_text("# mine", encoding="utf-8")
    result = run("make", SMALLEST, "--to", tmp_path)
    assert result.exit_code == 2
    assert "job.toml" in result.stderr
    assert tree(tmp_path) == {"job.toml": b"# mine"}


@pytest.mark.parametrize("option", ["--only", "--posts", "--jigs", "--printer"])
@pytest.mark.parametrize("words", ["", " "])
def test_an_option_that_names_nothing_is_refused(option: str, words: str, tmp_path: Path) -> None:
    """As with an empty variable of the shell: not the whole packet in its place, nor one that is not corrected."""
    result = run("make", SMALLEST, "--to", tmp_path / "out", option, words)
    assert result.exit_code == 2
    assert "stop:" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_an_earlier_packet_gives_way(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert run("make", JOBS / "ramp.toml", "--to", folder).exit_code == 0
    assert (folder / "sheets" / "S2.pdf").is_file()
    assert run("make", SMALLEST, "--to", folder).exit_code == 0
    assert tree(folder) == dict(packet("smallest").files)
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_failed_command_leaves_an_earlier_packet(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert run("make", SMALLEST, "--to", folder).exit_code == 0
    for job, code in ((STOPPED, 1), (BAD, 2)):
        assert run("make", job, "--to", folder).exit_code == code
        assert tree(folder) == dict(packet("smallest").files)
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize("earlier", [True, False])
def test_read_back_failure_is_3(earlier: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A renderer that draws 0.05 mm beside: nothing is written, an earlier packet stays."""
    folder = tmp_path / "out"
    if earlier:
        assert run("make", SMALLEST, "--to", folder).exit_code == 0
    true = jiggen.render.pdf.content

    def shifted(page: Page, *rest: Any) -> bytes:
        return true(replace(page, content=tuple(moved(s, 0.0, 0.05) for s in page.content)), *rest)

    monkeypatch.setattr(jiggen.render.pdf, "content", shifted)
    result = run("make", SMALLEST, "--to", folder)
    assert result.exit_code == 3
    assert "1/toward 2/1a" in result.stderr
    assert "0.050 mm" in result.stderr
    assert result.stdout == ""
    assert tree(tmp_path) == ({f"out/{n}": d for n, d in packet("smallest").files.items()} if earlier else {})


def test_unwritable_is_3(tmp_path: Path) -> None:
    """A folder under a file can be written by nobody."""
    (tmp_path / "file").write_text("x")
    for folder in (tmp_path / "file" / "out", tmp_path / "file" / "deep" / "out"):
        done = shell(["make", SMALLEST, "--to", folder], tmp_path)
        assert done.returncode == 3, done.stderr
        assert "Traceback" not in done.stderr
    assert tree(tmp_path) == {"file": b"x"}
    for command in (["start", tmp_path / "file" / "job.toml"], ["scale", "--to", tmp_path / "file" / "scale.pdf"]):
        assert run(*command).exit_code == 3


def test_a_disk_that_fills_up_leaves_the_earlier_packet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "out"
    write_packet(folder, {"packet.pdf": b"one", "sheets/S1.svg": b"two"})
    true = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if self.name == "plan.json":
            raise OSError(28, "No space left on device")
        return true(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OSError, match="No space"):
        write_packet(folder, {"packet.pdf": b"three", "plan.json": b"four"})
    assert tree(tmp_path) == {"out/packet.pdf": b"one", "out/sheets/S1.svg": b"two"}


@pytest.mark.parametrize("metric", [False, True])
def test_start_plan_make(metric: bool, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    assert run("start", job, *(["--metric"] if metric else [])).exit_code == 0
    assert read_job(job.read_text(), "job.toml").units == ("mm" if metric else "in")
    planned = run("plan", job)
    assert planned.exit_code == 0, planned.stderr
    assert "S1" in planned.stdout
    made = run("make", job, "--to", tmp_path / "out")
    assert made.exit_code == 0, made.stderr
    box = PdfReader(tmp_path / "out" / "packet.pdf").pages[0].mediabox
    assert float(box.width) == pytest.approx(595.2756 if metric else 612.0, abs=1e-3)
    again = run("start", job)
    assert again.exit_code == 2
    assert "already" in again.stderr


def has(found: dict[str, Any], keys: str) -> None:
    assert set(keys.split()) <= set(found)


@pytest.mark.parametrize(("job", "code"), [(SMALLEST, 0), (STOPPED, 1)])
def test_plan_json(job: Path, code: int) -> None:
    result = run("plan", job, "--json")
    assert result.exit_code == code
    plan = json.loads(result.stdout)
    assert {"version", "fingerprint", "name", "runs", "posts", "sheets", "takeoff", "problems"} <= set(plan)
    line = "id rake_degrees spacing_mm cable_count drops_mm openings_mm loaded_openings_mm opens_at_n tension_n"
    has(plan["runs"][0], f"{line} opens_at_worst_n tension_range_n hang_test")
    has(plan["posts"][0], "id kind role sheets x_mm y_mm z_mm heading_degrees marks")
    mark = "id face purpose run cable u_mm drop_mm height_mm above_tread_mm diameter_mm drill depth_mm axis"
    has(plan["posts"][0]["marks"][0], mark)
    has(plan["sheets"][0], "id posts faces kind width_mm height_mm pages")
    has(plan["takeoff"], "cables spools hardware tension_order")
    for problem in plan["problems"]:
        assert set(problem) - {"cures"} == {"level", "where", "found", "remedy", "source"}
    levels = [problem["level"] for problem in plan["problems"]]
    assert ("stop" in levels) == (code == 1)
    assert len(plan["runs"][0]["drops_mm"]) == plan["runs"][0]["cable_count"]


def test_plan_json_is_the_packets(tmp_path: Path) -> None:
    assert run("plan", SMALLEST, "--json").stdout.encode() == packet("smallest").files["plan.json"]


@pytest.mark.parametrize("name", ["packet.pdf", "sheets/S1.pdf", "sheets/S1.svg"])
def test_measure(name: str, tmp_path: Path) -> None:
    file = tmp_path / Path(name).name
    file.write_bytes(packet("smallest").files[name])
    result = run("measure", file)
    assert result.exit_code == 0
    assert packet("smallest").survey.plan.fingerprint in result.stdout
    assert "1/toward 2/1a" in result.stdout
    (sheet,) = packet("smallest").survey.sheets
    assert f"S1: {len(sheet.targets)} marks found" in result.stdout


def test_measure_says_what_is_off(tmp_path: Path) -> None:
    file = tmp_path / "S1.svg"
    text = packet("smallest").files["sheets/S1.svg"].decode()
    file.write_text(text.replace('cx="88.25"', 'cx="88.35"', 1))
    result = run("measure", file)
    assert result.exit_code == 1
    assert "0.100 mm" in result.stderr


def test_measure_the_scale_page(tmp_path: Path) -> None:
    """Letter shows 190.5 x 235.5 mm: rulers of 170 and 220 mm, a square of 130 with diagonals of 130 sqrt 2 = 183.8."""
    file = tmp_path / "scale.pdf"
    assert run("scale", "--to", file).exit_code == 0
    result = run("measure", file)
    assert result.exit_code == 0
    for line in ("across, 170.0 mm", "along, 220.0 mm", "diagonal A to A, 183.8 mm", "diagonal B to B, 183.8 mm"):
        assert any(row.split() == [*line.split(), "0.0000", "mm"] for row in result.stdout.splitlines()), line
    assert "jiggen printer" in result.stdout


def test_measure_a_scale_page_that_is_off(tmp_path: Path) -> None:
    """1 mm in a metre too large: 0.17 mm across, 0.22 along."""
    from pypdf import PdfReader, PdfWriter

    file = tmp_path / "scale.pdf"
    assert run("scale", "--to", file).exit_code == 0
    writer = PdfWriter(clone_from=PdfReader(file))
    writer.pages[0].scale_by(1.001)
    with file.open("wb") as out:
        writer.write(out)
    result = run("measure", file)
    assert result.exit_code == 1
    assert "it is 0.170 mm off its 170.0 mm" in result.stderr and "it is 0.220 mm off its 220.0 mm" in result.stderr


def strange() -> dict[str, bytes]:
    from io import BytesIO

    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out)
    canvas.circle(100, 100, 20)
    canvas.save()
    ours = packet("smallest").files
    return {
        "strange.pdf": out.getvalue(),
        "strange.svg": b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><circle r="2"/></svg>',
        "noise.pdf": bytes((i * 7919 + 13) % 256 for i in range(5000)),
        "noise2.pdf": b"%PDF-1.7\n" + bytes((i * 7919 + 13) % 256 for i in range(5000)),
        "empty.svg": b"",
        "cut.pdf": ours["packet.pdf"][: len(ours["packet.pdf"]) // 2],
        "cut.svg": ours["sheets/S1.svg"][:5000],
        "job.toml": ours["job.toml"],
    }


@pytest.mark.parametrize(
    "name",
    ["strange.pdf", "strange.svg", "noise.pdf", "noise2.pdf", "empty.svg", "cut.pdf", "cut.svg", "job.toml"],
)
def test_measure_what_is_none_of_ours(name: str, tmp_path: Path) -> None:
    file = tmp_path / name
    file.write_bytes(strange()[name])
    result = run("measure", file)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert len(result.stderr.splitlines()) < 8


@pytest.mark.parametrize(("paper", "size"), [("letter", (612.0, 792.0)), ("a4", (595.2756, 841.8898))])
def test_scale(paper: str, size: tuple[float, float], tmp_path: Path) -> None:
    file = tmp_path / "scale.pdf"
    assert run("scale", "--paper", paper, "--to", file).exit_code == 0
    reader = PdfReader(file)
    assert len(reader.pages) == 1
    assert [float(side) for side in reader.pages[0].mediabox[2:]] == pytest.approx(size, abs=1e-3)
    assert "without any correction" in reader.pages[0].extract_text()


def test_help_and_version() -> None:
    listed = run("--help").stdout
    for command in ("start", "plan", "make", "scale", "measure", "demo"):
        assert command in listed
        assert run(command, "--help").exit_code == 0
    assert "0.1.0" in run("--version").stdout


def test_lines_on_stderr_fit_a_terminal() -> None:
    result = run("plan", JOBS / "example.toml")
    assert result.stderr
    assert max(len(line) for line in result.stderr.splitlines()) <= 80


def test_the_working_folder_is_left_alone(tmp_path: Path) -> None:
    before = os.getcwd()
    done = shell(["plan", SMALLEST, "--json"], tmp_path)
    assert done.returncode == 0
    assert json.loads(done.stdout)["name"] == "Two posts"
    assert list(tmp_path.iterdir()) == []
    assert os.getcwd() == before
