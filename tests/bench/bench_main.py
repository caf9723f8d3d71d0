"""How long a packet takes: one sheet from a cold start, each page beyond it, and reading back by itself.

By hand: python tests/bench/bench_main.py [ROUNDS]
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median
from time import perf_counter

from jiggen.build import Packet, build
from jiggen.job.read import read_job
from jiggen.readback.pdf import read_pdf
from jiggen.readback.svg import read_svg

HEAD = """
job = { name = "Bench", code = "irc-2021", units = "in" }
guard = { spacing = "3 in" }
post.beam = { size = "4x4", material = "douglas fir" }
post.stout = { size = "6x6", material = "douglas fir" }
"""


def job_text(runs: int) -> str:
    """A job of ``runs`` runs of two posts, a sheet a post: cable spacings differ, and so do a run's two posts."""
    stout = ", ".join(f'"{run}b" = "stout"' for run in range(runs))
    parts = [HEAD, f'posts = {{ line = "beam", end = "beam", only = {{ {stout} }} }}']
    for run in range(runs):
        parts.append(
            f'[[run]]\nid = "R{run}"\nposts = ["{run}a", "{run}b"]\nspans = ["42 in"]\n'
            f"spacing = {3.0 + run / 64.0}\nat = [0, {run * 60}, 0]\n"
        )
    return "\n".join(parts)


def made(runs: int) -> Packet:
    return build(read_job(job_text(runs), "bench.toml"))


def timed(work: Callable[[], object], rounds: int) -> float:
    """Median of ``rounds`` calls, seconds."""
    times = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return median(times)


def pages(packet: Packet) -> int:
    return sum(len(drawn.tiled.pages) for drawn in (*packet.survey.samples, *packet.survey.sheets))


def cold(rounds: int) -> float:
    """A new process that makes one sheet end to end, written to disk."""
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / "bench.toml"
        job.write_text(job_text(1), encoding="utf-8")
        command = [sys.executable, "-m", "jiggen", "make", str(job), "--to", f"{folder}/out", "--only", "S1"]
        # compiled modules are kept, as they are where jiggen is installed
        kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"} | {
            "PYTHONPYCACHEPREFIX": f"{folder}/compiled"
        }
        once = partial(subprocess.run, command, check=True, capture_output=True, env=kept)
        once()
        return timed(once, rounds)


def read_back(packet: Packet) -> None:
    for name, data in packet.files.items():
        if name.endswith(".pdf"):
            read_pdf(data, unnamed=False)
        elif name.endswith(".svg"):
            read_svg(data)


def lines(rounds: int = 3, more: int = 5) -> list[str]:
    """The measured times as words; ``more`` runs of two posts are added for the cost of a page."""
    one, many = made(1), made(1 + more)
    small, large = timed(lambda: made(1), rounds), timed(lambda: made(1 + more), rounds)
    extra = pages(many) - pages(one)
    back = timed(lambda: read_back(many), rounds)
    return [
        f"cold start, one sheet end to end: {cold(rounds):.2f} s",
        f"warm, {pages(one)} pages: {small:.2f} s",
        f"{2 * more} more posts, all different: {len(many.survey.sheets)} sheets, {extra} pages more, "
        f"{large - small:.2f} s, {1000.0 * (large - small) / extra:.1f} ms a page",
        f"reading back alone: {back:.2f} s for {len(many.deviations)} marks, {100.0 * back / large:.0f} % of the whole",
    ]


if __name__ == "__main__":
    print("\n".join(lines(int(sys.argv[1]) if len(sys.argv) > 1 else 3)))
