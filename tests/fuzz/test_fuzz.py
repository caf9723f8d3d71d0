"""Job files and packets that are wrong in every way end in a plan or in problems: a share of what run.py does by hand."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
from fuzz.damage import hurt, sound
from fuzz.mutate import mutated, samples, text_of, words
from fuzz.run import Limits, called, judge, main_run, row
from hypothesis import given, settings
from hypothesis import strategies as st

from jiggen.cli import main
from jiggen.job.read import read_job

FOUND = sorted((Path(__file__).parent / "found").glob("*.toml"))
SHARES, SHARE = 20, 50  # test by test, job files in each: 60 seconds of one core, measured at 60 ms each


def test_mutated_jobs_differ_and_are_the_same_again() -> None:
    made = [mutated(3, number) for number in range(60)]
    assert made == [mutated(3, number) for number in range(60)]
    assert len(set(made)) > 55
    assert set(made).isdisjoint(text.encode() for text in samples())
    assert made != [mutated(4, number) for number in range(60)]


def test_text_of_is_toml() -> None:
    for text in samples():
        tree = tomllib.loads(text)
        assert tomllib.loads(text_of(tree)) == tree


@pytest.mark.parametrize("share", range(SHARES))
def test_a_share_of_the_jobs(share: int) -> None:
    tally = row(1, range(share * SHARE, (share + 1) * SHARE), 0)
    assert tally.troubles == []
    assert tally.codes[0] > SHARE // 20  # some of them are planned,
    assert tally.codes[2] > SHARE // 4  # and many refused


def test_a_trace_and_a_number_that_is_none_are_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The judge itself: what a broken program does is a trouble."""
    import jiggen.build

    job = samples()[0].encode()

    def broken(*arguments: object) -> None:
        raise ZeroDivisionError("one over nothing")

    monkeypatch.setattr(jiggen.build, "survey", broken)
    ((number, words_),) = judge(job, 7, tmp_path, False, Limits.beside_others()).troubles
    assert number == 7
    assert words_.startswith("trace: ZeroDivisionError (one over nothing)")
    monkeypatch.setattr(main.commands["plan"], "callback", lambda **named: print("S1: nan mm"))
    ((_, words_),) = judge(job, 7, tmp_path, False, Limits.beside_others()).troubles
    assert words_ == '"nan" in what is told'


@pytest.mark.parametrize("job", FOUND, ids=lambda path: path.stem)
def test_what_once_broke_it(job: Path, tmp_path: Path) -> None:
    assert judge(job.read_bytes(), 0, tmp_path, True, Limits.beside_others()).troubles == []


def test_the_command_line_of_the_run(capsys: pytest.CaptureFixture[str]) -> None:
    assert main_run(["--count", "4", "--seed", "9", "--make", "4"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("4 job files: ")
    assert "0 troubles" in said


NAMES = st.sampled_from(words()) | st.text(max_size=8)
SCALARS = (
    st.sampled_from(["3 in", "1 m", "irc-2021", "mm", "in", "1", "2", "3 1/2 in", "left 90 deg", "225 lbf"])
    | st.booleans()
    | st.integers(-(10**6), 10**6)
    | st.floats()
    | st.text(max_size=12)
)
VALUES = st.recursive(
    SCALARS, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(NAMES, inner, max_size=5), max_leaves=12
)
FILES = st.dictionaries(
    st.sampled_from(
        ["job", "cable", "guard", "posts", "post", "fitting", "bracket", "run", "as_built", "sheet", "jig", "limits"]
    )
    | NAMES,
    VALUES,
    max_size=6,
)
BASE = tomllib.loads(samples()[samples().index(next(text for text in samples() if "Two posts" in text))])


@given(FILES)
@settings(max_examples=60)
def test_tables_of_anything(tree: dict[str, object]) -> None:
    """From nothing, and laid over a job that is sound."""
    for whole in (tree, BASE | tree):
        data = text_of(whole).encode("utf-8", "surrogatepass")
        read_or_refused(data)


@given(st.text(max_size=200) | st.binary(max_size=200))
@settings(max_examples=100)
def test_anything_at_all(text: str | bytes) -> None:
    read_or_refused(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))


def read_or_refused(data: bytes) -> None:
    """Reading alone: the job, or JobError with problems."""
    from jiggen.job.read import decode
    from jiggen.problems import JobError

    try:
        assert read_job(decode(data)).text
    except JobError as error:
        assert error.problems
        assert all(problem.found and problem.remedy for problem in error.problems)


@pytest.mark.parametrize(
    ("name", "times"), [("packet.pdf", 6), ("S1.pdf", 25), ("S1.svg", 25), ("jig.svg", 25), ("jig.dxf", 10)]
)
def test_damaged_files(name: str, times: int, tmp_path: Path) -> None:
    """Damage is told or does no harm; no command breaks on it."""
    done = [hurt(name, 1, number, tmp_path) for number in range(times)]
    assert [words for troubles, _ in done for words in troubles] == []
    assert 2 in {code for _, codes in done for code in codes}


def test_sound_files_are_taken(tmp_path: Path) -> None:
    """So that the damage above begins from files that every command takes."""
    for name, data in sound().items():
        file = tmp_path / name
        file.write_bytes(data)
        result, _ = called(["measure", file])
        assert result is not None
        assert result.exit_code == (2 if name == "jig.dxf" else 0), result.stderr
        if name.endswith(".pdf"):
            planned, _ = called(["plan", file, "--json"])
            assert planned is not None
            assert json.loads(planned.stdout)["name"] == "Two posts"
