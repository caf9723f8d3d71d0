"""Damaged job files end in a Job or a JobError, never in anything else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jiggen.job.model import Job
from jiggen.job.read import decode, read_job
from jiggen.problems import JobError

JOBS = Path(__file__).parents[1] / "jobs"
TEXTS = [(JOBS / f"{name}.toml").read_text() for name in ("example", "overrides", "metric")]
NASTY = [
    "1" + "0" * 400,
    "-1",
    "0",
    "1e400",
    "nan",
    "-inf",
    "true",
    "[]",
    "{}",
    "[[]]",
    '[["1 in"]]',
    "1979-05-27T07:32:00Z",
    "07:32:00",
    '""',
    '" "',
    '"\\u0000"',
    '"\\U0010ffff"',
    '"1/0 in"',
    '"9e99 in"',
    '"-1 in"',
    '"1 in 0"',
    '"toward "',
    '"bisect"',
    "false",
    "[1, 2]",
    "{ a = { b = [1] } }",
    '"' + "x" * 5000 + '"',
    "0x" + "f" * 5000,
    "[" * 900 + "]" * 900,
]
VALUE = re.compile(r'"(?:[^"\\\n]|\\.)*"|\[[^\[\]\n]*\]|\{[^{}\n]*\}|true|false|-?\d[\d.]*')


def ends_well(text: str) -> None:
    """A job, or problems that can be printed on one line each."""
    try:
        assert isinstance(read_job(text), Job)
    except JobError as error:
        assert error.problems
        for problem in error.problems:
            assert str(problem).isprintable(), repr(str(problem))
            assert problem.where and problem.found and problem.remedy


@st.composite
def damaged(draw: st.DrawFn) -> str:
    """A job's text with one to four characters, lines or values changed."""
    text = draw(st.sampled_from(TEXTS))
    for _ in range(draw(st.integers(1, 4))):
        ways = (_characters, _line, _value)
        text = draw(st.sampled_from(ways))(draw, text)
    return text


def _characters(draw: st.DrawFn, text: str) -> str:
    at = draw(st.integers(0, len(text)))
    gone = draw(st.integers(0, 3))
    return text[:at] + draw(st.text(max_size=3)) + text[at + gone :]


def _line(draw: st.DrawFn, text: str) -> str:
    lines = text.splitlines(keepends=True) or ["\n"]
    at = draw(st.integers(0, len(lines) - 1))
    other = draw(st.sampled_from(["", lines[at] * 2, draw(st.sampled_from(lines))]))
    return "".join([*lines[:at], other, *lines[at + 1 :]])


def _value(draw: st.DrawFn, text: str) -> str:
    places = list(VALUE.finditer(text))
    if not places:
        return text
    place = draw(st.sampled_from(places))
    return text[: place.start()] + draw(st.sampled_from(NASTY)) + text[place.end() :]


@settings(max_examples=250, deadline=None)
@given(damaged())
def test_damaged_jobs(text: str) -> None:
    ends_well(text)


@pytest.mark.parametrize("nasty", NASTY, ids=range(len(NASTY)))
def test_each_value_of_the_example_made_nasty(nasty: str) -> None:
    for place in VALUE.finditer(TEXTS[0]):
        ends_well(TEXTS[0][: place.start()] + nasty + TEXTS[0][place.end() :])


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes(data: bytes) -> None:
    try:
        text = decode(data)
    except JobError as error:
        assert "byte" in error.problems[0].where
        return
    ends_well(text)


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 100_000,
        "a = " + "{ a = " * 50_000,
        ".".join(["a"] * 50_000) + " = 1",
        "[" + ".".join(["post"] * 5_000) + "]",
        "[guard]\ncount = " + "9" * 100_000,
        "name = '\x00'",
        "\ufeff\ufeff",
        "[run]\nposts = 1\n[run.stair]",
        "run = [1, 'a', []]\npost = [1]\nposts = 3\njob = []",
        "".join(f"[post.p{n}]\nwidth = 3\n" for n in range(3_000)),
        "[guard]\n" + "".join(f"key{n} = {n}\n" for n in range(20_000)),
    ],
    ids=range(11),
)
def test_bombs(text: str) -> None:
    with pytest.raises(JobError):
        read_job(text)
    ends_well(text)
