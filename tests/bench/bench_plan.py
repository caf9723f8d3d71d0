"""What loads, take-off and review add to the demo's plan, in ms.

By hand: python tests/bench/bench_plan.py [ROUNDS]
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import resources
from statistics import median
from time import perf_counter

from jiggen.job.model import Job
from jiggen.job.read import read_job
from jiggen.plan import make
from jiggen.plan.make import make_plan
from jiggen.plan.takeoff import take_off
from jiggen.review import review
from jiggen.review.hold import holding
from jiggen.review.load import under_load


def demo(name: str = "demo.toml") -> Job:
    return read_job(resources.files("jiggen.job").joinpath(name).read_text(encoding="utf-8"), name)


def timed(work: Callable[[], object], rounds: int) -> float:
    """Median of ``rounds`` calls, ms."""
    times = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        times.append(1000.0 * (perf_counter() - start))
    return median(times)


def parts(job: Job, rounds: int) -> dict[str, float]:
    """Each part's ms: the whole plan, and within it loads and take-off; review behind it, at rest and the rest."""
    plan = make_plan(job)
    laid = make._laid(job)
    loads = make._loads(job, laid)

    def loaded() -> None:
        for line in plan.runs:
            if line.drops:
                list(under_load(plan, line))
                list(holding(plan, line))

    return {
        "plan": timed(lambda: make_plan(job), rounds),
        "loads": timed(lambda: make._loads(job, laid), rounds),
        "take-off": timed(lambda: take_off(job, laid.layout.runs, laid.ends, laid.posts, loads), rounds),
        "review": timed(lambda: review(plan), rounds),
        "under load and hold": timed(loaded, rounds),
    }


def lines(rounds: int = 15) -> list[str]:
    """The measured times of both demo jobs as words."""
    said = []
    for name in ("demo.toml", "demo_all.toml"):
        found = parts(demo(name), rounds)
        added = found["loads"] + found["take-off"] + found["review"]
        said.append(f"{name}: " + ", ".join(f"{part} {ms:.1f} ms" for part, ms in found.items()))
        said.append(f"{name}: loads, take-off and review come to {added:.1f} ms")
    return said


if __name__ == "__main__":
    print("\n".join(lines(int(sys.argv[1]) if len(sys.argv) > 1 else 15)))
