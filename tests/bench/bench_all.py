"""The same works under pytest-benchmark, by hand: python -m pytest tests/bench/bench_all.py --benchmark-only -n0

Some take minutes; -k picks: cold, warm, stage, page.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from bench import works
from bench.jobs_bench import different, few_kinds

COLD = (
    "bare Python",
    "jiggen --help",
    "plan of the demo",
    "make of one sheet",
    "make of one sheet, not read back",
    f"1 of {works.MANY} sheets",
    f"1 of {works.MANY} sheets, not read back",
    f"all of {works.MANY} sheets",
    f"all of {works.MANY} sheets, not read back",
    "make of the demo",
)
WARM = tuple(works.warm())


@pytest.fixture(scope="module")
def commands(tmp_path_factory: pytest.TempPathFactory) -> dict[str, works.Work]:
    return works.cold(tmp_path_factory.mktemp("cold"))


@pytest.mark.parametrize("name", COLD)
def test_cold(name: str, commands: dict[str, works.Work], benchmark: Any) -> None:
    benchmark.pedantic(commands[name], rounds=5, warmup_rounds=1)


@pytest.mark.parametrize("name", WARM)
def test_warm(name: str, benchmark: Any) -> None:
    benchmark.pedantic(works.warm()[name], rounds=3)


@pytest.mark.parametrize("posts", [200, 2000])
def test_few_kinds(posts: int, benchmark: Any) -> None:
    benchmark.pedantic(works.built, args=(few_kinds(posts),), rounds=1)


@pytest.mark.parametrize("posts", [50, 100, 200, 500])
def test_different(posts: int, benchmark: Any) -> None:
    benchmark.pedantic(works.built, args=(different(posts),), rounds=1)


@pytest.fixture(scope="module")
def stages() -> Iterator[dict[str, works.Work]]:
    yield works.stages()


STAGES = (
    "read the job", "plan", "review", "compose the sheets", "cut into pages", "targets", "render PDF", "render SVG",
    "read the PDF back", "read the SVG back", "write to disk",
)  # fmt: skip


@pytest.mark.parametrize("name", STAGES)
def test_stage(name: str, stages: dict[str, works.Work], benchmark: Any) -> None:
    benchmark(stages[name])


@pytest.mark.parametrize(
    "name", ["jiggen", "reportlab canvas", "cairocffi, drawn directly", "svgwrite through cairosvg", "matplotlib's PDF"]
)
def test_page(name: str, benchmark: Any) -> None:
    benchmark(works.drawing()[name])


def test_names_are_those_of_the_works(tmp_path: Path) -> None:
    assert tuple(works.cold(tmp_path)) == COLD
    assert tuple(works.stages()) == STAGES
