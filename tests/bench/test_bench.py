"""The bench runs and measures what it says."""

from __future__ import annotations

import re

from bench.bench_main import lines, made


def test_bench_runs() -> None:
    said = lines(1, 1)
    assert len(said) == 4
    assert all(float(number) > 0.0 for line in said for number in re.findall(r"([\d.]+) s\b", line))
    assert "2 more posts, all different: 4 sheets" in said[2]


def test_every_post_has_its_own_sheet() -> None:
    assert [drawn.group.posts for drawn in made(1).survey.sheets] == [("0a",), ("0b",)]
