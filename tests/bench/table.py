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
from itertools import chain
from math import log
from pathlib import Path

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from bench import works
from bench.jobs_bench import different, few_kinds

SIZES = (50, 100, 200, 500)  # sheets, for how time grows
PACKETS = 3  # times that a large packet is made: the machine's own speed swings by a tenth
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
        elif name in ("plan of the demo", "make of one sheet, not read back"):
            yield row(name, told, "500 ms", seconds < 0.5)
        else:
            yield row(name, told)
    pages = works.further_pages()
    for read in ("", ", not read back"):
        each = (found[f"all of {works.MANY} sheets{read}"] - found[f"1 of {works.MANY} sheets{read}"]) / pages
        limit = 0.010 if read else None
        yield row(
            f"a further page{read}",
            f"{1000.0 * each:.1f} ms",
            "10 ms" if limit else "",
            each <= limit if limit else None,
        )


def warm_rows(rounds: int, few: int) -> Iterator[str]:
    for name, work in works.warm(few).items():
        work()
        yield row(name, f"{works.timed(work, rounds):.2f} s")


def packet_row(posts: int, rounds: int) -> Iterator[str]:
    """A packet of a usual job, of six kinds of posts, into a folder."""
    found = works.apart_in_turn({posts: few_kinds(posts)}, rounds)[posts]
    limit = 5.0 if posts == 60 else None
    told = f"{found.seconds:.2f} s; {found.megabytes:.0f} MB at most"
    yield row(
        f"packet of {posts} posts of 6 kinds", told, "5 s" if limit else "", found.seconds < limit if limit else None
    )


def alike_rows(posts: int, rounds: int) -> Iterator[str]:
    """Many posts of few kinds: only what lists every post may take longer than for a tenth of them."""
    small, large = works.apart_in_turn({n: few_kinds(n) for n in (posts // 10, posts)}, rounds).values()
    yield row(f"{posts // 10} posts of 6 kinds", f"{small.seconds:.2f} s")
    most = 1.5 * small.seconds + large.lists
    wanted = f"1.5 x {small.seconds:.2f} s and {large.lists:.2f} s for schedules and lists = {most:.2f} s"
    yield row(f"{posts} posts of 6 kinds", f"{large.seconds:.2f} s", wanted, large.seconds < most)


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


def growth_rows(sizes: tuple[int, ...], rounds: int) -> Iterator[str]:
    """Sheets all different, each packet in a process of its own."""
    times = {}
    for size, found in works.apart_in_turn({size: different(size) for size in sizes}, rounds).items():
        times[size] = found.seconds
        told = (
            f"{found.seconds:.2f} s, {1000.0 * found.seconds / size:.1f} ms a sheet; {found.megabytes:.0f} MB at most"
        )
        last = size == sizes[-1]
        yield row(f"{size} sheets", told, "250 MB" if last else "", found.megabytes < 250.0 if last else None)
    power = exponent(times)
    yield row(f"exponent of time from {sizes[0]} to {sizes[-1]} sheets", f"{power:.3f}", "1.05", power <= 1.05)


def table(rounds: int, quick: bool) -> Iterator[str]:
    load = os.getloadavg()[0]
    yield f"Python {platform.python_version()}, {os.cpu_count()} cores, medians of {rounds} (of packets in a process of their own {PACKETS}), load {load:.2f} at the start."
    if load > BUSY:
        yield f"The machine is busy (load {load:.2f}): do not trust these times, only what they are to one another."
    yield ""
    yield "| what | takes | should be at most | reached |"
    yield "| --- | --- | --- | --- |"
    packets = 1 if quick else PACKETS
    rows = (
        cold_rows(rounds),
        warm_rows(rounds, 4 if quick else 60),
        stage_rows(rounds),
        drawing_rows(rounds if quick else max(rounds, 15)),
        packet_row(30 if quick else 60, packets),
        alike_rows(300 if quick else 2000, packets),
        growth_rows((2, 4) if quick else SIZES, packets),
    )
    missed = []
    for line in chain.from_iterable(rows):
        yield line
        if line.endswith(" NO |"):
            missed.append(line.split(" | ")[0].removeprefix("| "))
    yield ""
    yield f"Not reached: {'; '.join(missed)}." if missed else "Everything is reached."


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
