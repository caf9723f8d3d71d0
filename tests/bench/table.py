"""Prints what everything takes, beside what it should: python tests/bench/table.py [--rounds 5] [--quick]

A quarter of an hour on a machine with nothing else to do; --quick does it with small jobs, to see that it runs.
"""

from __future__ import annotations

import argparse
import os
import platform
import sys
import tempfile
from collections.abc import Iterator, Mapping
from math import log
from pathlib import Path

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from bench import works
from bench.jobs_bench import different

SIZES = (50, 100, 200, 500)  # sheets, for how time grows
BUSY = 1.0  # load from which times are not to be trusted


def row(name: str, found: str, wanted: str = "", reached: bool | None = None) -> str:
    """One line of the table; ``reached``: whether the figure is what was wanted, None where nothing was."""
    return f"| {name} | {found} | {wanted} | {'' if reached is None else 'yes' if reached else 'NO'} |"


def exponent(sizes: Mapping[int, float]) -> float:
    """The slope of log time over log size by least squares: 1 where time is in proportion to size."""
    xs, ys = [log(size) for size in sizes], [log(time) for time in sizes.values()]
    x, y = sum(xs) / len(xs), sum(ys) / len(ys)
    return sum((a - x) * (b - y) for a, b in zip(xs, ys, strict=True)) / sum((a - x) ** 2 for a in xs)


def cold_rows(rounds: int) -> Iterator[str]:
    with tempfile.TemporaryDirectory() as folder:
        commands = works.cold(Path(folder))
        works.in_turn(commands, 1)  # modules compiled
        found = works.in_turn(commands, rounds)
    bare = found["bare Python"]
    for name, seconds in found.items():
        told = f"{1000.0 * seconds:.0f} ms"
        if name == "jiggen --help":
            yield row(name, told, f"bare + 120 = {1000.0 * bare + 120.0:.0f} ms", seconds - bare <= 0.120)
        elif name == "plan of the demo":
            yield row(name, told, "500 ms", seconds < 0.5)
        else:
            yield row(name, told)


def warm_rows(rounds: int, few: int, many: int, alike: int) -> Iterator[str]:
    every = works.warm(few, many, alike)
    found = {}
    for name, work in every.items():
        work()
        found[name] = works.timed(work, rounds if name == "the demo" else 1)
    small, large = found[f"{alike // 10} posts of 6 kinds"], found[f"{alike} posts of 6 kinds"]
    for name, seconds in found.items():
        if name.startswith(f"{alike} posts"):
            # the wish leaves out the schedules' own time; this figure has it in
            yield row(name, f"{seconds:.2f} s", f"1.5 x {small:.2f} s and the schedules", large < 1.5 * small)
        else:
            yield row(name, f"{seconds:.2f} s")


def stage_rows(rounds: int) -> Iterator[str]:
    every = works.stages()
    works.in_turn(every, 1)
    found = works.in_turn(every, rounds)
    rendered = found["render PDF"] + found["render SVG"]
    back = found["read the PDF back"] + found["read the SVG back"]
    for name, seconds in found.items():
        yield row(f"demo: {name}", f"{1000.0 * seconds:.1f} ms")
    yield row("demo: read back over render", f"{back / rendered:.2f}", "1", back <= rendered)


def drawing_rows(rounds: int) -> Iterator[str]:
    every = works.drawing()
    works.in_turn(every, 1)
    found = works.in_turn(every, rounds)
    wanted = {"reportlab canvas": 0.35, "matplotlib's PDF": 0.04}
    for name, seconds in found.items():
        share = found["jiggen"] / seconds
        told = f"{1000.0 * seconds:.2f} ms; jiggen takes {share:.3f} of it"
        limit = wanted.get(name)
        yield row(f"one page: {name}", told, f"{limit}" if limit else "", share <= limit if limit else None)


def growth_rows(sizes: tuple[int, ...]) -> Iterator[str]:
    times = {}
    for size in sizes:
        text = different(size)
        times[size] = works.timed(lambda text=text: works.built(text), 1)
        yield row(f"{size} sheets", f"{times[size]:.2f} s, {1000.0 * times[size] / size:.1f} ms each")
    power = exponent(times)
    yield row(f"exponent from {sizes[0]} to {sizes[-1]} sheets", f"{power:.3f}", "1.05", power <= 1.05)
    most = works.peak(different(sizes[-1]))
    yield row(f"memory at {sizes[-1]} sheets", f"{most:.0f} MB", "250 MB", most < 250.0)


def table(rounds: int, quick: bool) -> Iterator[str]:
    load = os.getloadavg()[0]
    yield f"Python {platform.python_version()}, {os.cpu_count()} cores, medians of {rounds}, load {load:.2f} at the start."
    if load > BUSY:
        yield f"The machine is busy (load {load:.2f}): do not trust these times, only what they are to one another."
    yield ""
    yield "| what | takes | should be at most | reached |"
    yield "| --- | --- | --- | --- |"
    yield from cold_rows(rounds)
    yield from warm_rows(rounds, *((4, 6, 60) if quick else (60, 500, 2000)))
    yield from stage_rows(rounds)
    yield from drawing_rows(rounds if quick else max(rounds, 15))
    yield from growth_rows((2, 4) if quick else SIZES)


def main_run(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--quick", action="store_true")
    asked = parser.parse_args(arguments)
    for line in table(asked.rounds, asked.quick):
        print(line, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main_run())
