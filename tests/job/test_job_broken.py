"""Broken jobs: every problem of each, as the text beside it has them. Run this file to renew the texts."""

from __future__ import annotations

from pathlib import Path

import pytest

from jiggen.job.read import decode, read_job
from jiggen.problems import JobError

BROKEN = sorted((Path(__file__).parents[1] / "jobs" / "broken").glob("*.toml"))


def told(path: Path) -> str:
    """All problems of a job file, one a line."""
    with pytest.raises(JobError) as caught:
        read_job(decode(path.read_bytes()))
    return "".join(f"{problem}\n" for problem in caught.value.problems)


def test_there_are_broken_jobs() -> None:
    assert len(BROKEN) >= 25
    assert {path.stem for path in BROKEN} == {path.stem for path in BROKEN[0].parent.glob("*.txt")}


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_tells_every_problem(path: Path) -> None:
    text = told(path)
    assert text == path.with_suffix(".txt").read_text(encoding="utf-8")
    lines = text.splitlines()
    assert len(set(lines)) == len(lines)
    assert all(line.startswith("stop: ") and line.isprintable() for line in lines)


def test_the_order_is_the_same_each_time() -> None:
    path = next(path for path in BROKEN if path.stem == "wrong-types")
    assert told(path) == told(path)


if __name__ == "__main__":
    for broken in BROKEN:
        broken.with_suffix(".txt").write_text(told(broken), encoding="utf-8")
