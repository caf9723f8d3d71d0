"""What the terminal says: problems by level and counted, files that are not replaced unasked, pages, tape and mm."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from jiggen.build import survey
from jiggen.cli import main
from jiggen.cli_say import counted, not_made, tell
from jiggen.job.read import read_job
from jiggen.problems import Problem
from jiggen.told import told

JOBS = Path(__file__).parent / "jobs"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def problem(level: str, found: str = "found 2", where: str = "post 3") -> Problem:
    return Problem(level, where, found, "write 3")  # type: ignore[arg-type]


def test_findings_are_counted_as_they_are_told() -> None:
    levels = ("note", "stop", "check", "note", "stop", "check", "check")
    every = [problem(level, f"found {number}") for number, level in enumerate(levels)]
    assert counted(told(every)) == "2 stops, 3 checks, 2 notes"
    assert counted(told([problem("check")])) == "1 check"
    assert counted(told([problem("note"), problem("stop")])) == "1 stop, 1 note"
    more = [problem("check", "found 5", where) for where in ("post 7", "post 8")]  # the sixth, of two posts more
    assert counted(told([*every, *more])) == "2 stops, 3 checks at 5 places, 2 notes"


def test_what_is_said_the_same_of_many_is_one_entry(capsys: pytest.CaptureFixture[str]) -> None:
    """In the order of the levels from the bottom up, within a level in that of the first of them; 80 columns."""
    posts = [problem("check", where=f"post {number}") for number in range(40)]
    tell([*posts[:2], problem("check", "found 4"), *posts[2:], problem("stop"), problem("note")])
    said = capsys.readouterr().err.splitlines()
    assert said == [
        "note: post 3: found 2; write 3",
        "check: posts 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10 and 29 more, each: found 2; write",
        "    3",
        "check: post 3: found 4; write 3",
        "stop: post 3: found 2; write 3",
        "1 stop, 2 checks at 41 places, 1 note",
    ]


def test_notes_then_checks_then_stops_then_how_many() -> None:
    told = run("plan", JOBS / "too-wide.toml").stderr.splitlines()
    levels = [line.partition(":")[0] for line in told if re.match(r"(stop|check|note): ", line)]
    assert {"stop", "check", "note"} == set(levels)
    assert levels == sorted(levels, key=["note", "check", "stop"].index)
    count = {level: levels.count(level) for level in ("stop", "check", "note")}
    assert told[-1] == ", ".join(f"{n} {level}{'s' * (n > 1)}" for level, n in count.items())


def test_a_refusal_ends_with_what_to_do(tmp_path: Path) -> None:
    """The last line says so, the stops just above it; the same job as a draft is not refused."""
    refused = run("make", JOBS / "too-wide.toml", "--to", tmp_path / "out")
    told = refused.stderr.splitlines()
    stops = [number for number, line in enumerate(told) if line.startswith("stop: ")]
    many = f"{len(stops)} stop{'s' * (len(stops) > 1)}"
    assert stops and (refused.exit_code, refused.stdout) == (1, "")
    assert told[-1] == f"nothing was made: cure {many} (above), or --draft prints DRAFT across every page"
    assert len(told[-1]) <= 80
    assert not any(re.match("(check|note): ", line) for line in told[stops[0] :])
    assert "nothing was made" not in run("plan", JOBS / "too-wide.toml").stderr


def test_a_refusal_counts_stops_as_they_are_told() -> None:
    stops = [problem("stop", where=f"run R{number}") for number in range(9)]
    assert not_made([*stops, problem("stop", "found 4"), problem("check")]).startswith(
        "nothing was made: cure 2 stops ("
    )


def test_equal_levels_keep_their_order() -> None:
    found = survey(read_job((JOBS / "ramp.toml").read_text())).problems
    told = [line for line in run("plan", JOBS / "ramp.toml").stderr.splitlines() if not line.startswith("    ")]
    for level in ("check", "note"):
        places = [one.where for one in found if one.level == level]
        said = [line for line in told if line.startswith(f"{level}: ")]
        assert len(said) == len(places)
        assert all(line.startswith(f"{level}: {place}"[:60]) for line, place in zip(said, places, strict=True))


@pytest.mark.parametrize("command", [["start"], ["form", "--to"], ["scale", "--to"]], ids=lambda c: c[0])
def test_a_file_is_replaced_only_where_that_is_asked_for(command: list[str], tmp_path: Path) -> None:
    file = tmp_path / "mine.pdf"
    file.write_text("mine")
    refused = run(*command, file)
    assert refused.exit_code == 2
    assert refused.stdout == ""
    assert "already" in refused.stderr and "--force" in refused.stderr
    assert file.read_text() == "mine"
    assert run(*command, file, "--force").exit_code == 0
    assert file.read_bytes() != b"mine"


def test_a_dxf_is_told_as_one(tmp_path: Path) -> None:
    file = tmp_path / "S1.dxf"
    file.write_bytes(b"999\nmade by hand\n  0\nSECTION\n  2\nHEADER\n  0\nENDSEC\n  0\nEOF\n")
    result = run("measure", file)
    assert result.exit_code == 2
    words = " ".join(result.stderr.split())
    assert "a DXF carries no plan of its marks; measure the SVG beside it, S1.svg" in words


def test_make_tells_the_packets_pages(tmp_path: Path) -> None:
    made = run("make", JOBS / "smallest.toml", "--to", tmp_path / "out")
    pages = len(PdfReader(tmp_path / "out" / "packet.pdf").pages)
    assert f"packet.pdf has {pages} pages of letter" in made.stdout
    found = survey(read_job((JOBS / "smallest.toml").read_text()))
    sheets = sum(one.count for one in (*found.samples, *found.sheets))
    assert f"{sheets} of them for the 1 sheet and {len(found.samples)} to compare and practise with" in made.stdout
    assert 0 < sheets < pages


@pytest.mark.parametrize("name", ["smallest", "stair-up", "ramp", "corner-45-bisect", "example", "metric", "overrides"])
def test_the_plan_fits_a_terminal(name: str) -> None:
    told = run("plan", JOBS / f"{name}.toml")
    assert max(map(len, (told.stdout + told.stderr).splitlines())) <= 80


def test_an_inch_job_reads_in_tape_and_mm() -> None:
    lines = run("plan", JOBS / "example.toml").stdout.splitlines()
    head = next(index for index, line in enumerate(lines) if "over floor" in line)
    assert lines[head].split() == ["mark", "drop", "mm", "across", "mm", "over", "floor", "mm", "drill", "depth", "mm"]
    for line in (
        line for line in lines[head + 1 : lines.index("", head)] if ":" not in line
    ):  # what else is said has one
        columns = (line[5:16], line[16:23]), (line[23:32], line[32:38]), (line[38:49], line[49:56])
        for reading, mm in columns:
            whole = reading.rstrip(" +-").strip()
            inches = sum(Fraction(part) for part in whole.lstrip("-").split()) * (-1 if whole.startswith("-") else 1)
            assert float(inches) * 25.4 == pytest.approx(
                float(mm), abs=0.85
            )  # 1/16 in is read to half of it, mm to 0.1
    assert not any(re.search(r"[0-9] [+-] in", line) for line in lines)


def test_sentences_say_just_over_and_just_under() -> None:
    words = run("plan", JOBS / "stair-up.toml")
    every = " ".join((words.stdout + words.stderr).split())
    assert re.search(r"just (over|under) [0-9 /]+ in \([0-9.]+ mm\)", every)
    assert not re.search(r"[0-9] [+-] in\b", every)


def test_what_holds_of_every_run_is_said_once() -> None:
    words = " ".join(run("plan", JOBS / "example.toml").stderr.split())
    assert words.count("the breaking strength is") == 1
    assert words.count("takes a smooth sphere of 4 in") == 1
    assert "note: runs A, B and C: " in words


@pytest.mark.parametrize(
    ("where", "place"),
    [
        ("run[0].spans[2]", "run (1st).spans (3rd)"),
        ("as_built.8.lean[10]", "as_built.8.lean (11th)"),
        ("run[101].posts[111]", "run (102nd).posts (112th)"),
        ('run[21]."a[0]"', 'run (22nd)."a[0]"'),
        ("guard.height", "guard.height"),
    ],
)
def test_places_are_counted_as_people_count(where: str, place: str) -> None:
    """A list's first entry has the index 0 in a path, and is the 1st to whoever wrote it."""
    assert str(Problem("stop", where, "found 0", "write 1")) == f"stop: {place}: found 0; write 1"
