"""A size turned into the text of a job to be timed: posts all different, or many posts of few kinds."""

from __future__ import annotations

from functools import cache
from importlib import resources

from jiggen.build import Options, Survey, survey
from jiggen.job.model import Job
from jiggen.job.read import read_job

HEAD = """
job = { name = "Bench", code = "irc-2021", units = "in" }
guard = { spacing = "3 in" }
"""
DIFFERENT = """
post.beam = { size = "4x4", material = "douglas fir" }
post.stout = { size = "6x6", material = "douglas fir" }
"""
KINDS = 6
A_RUN = 5  # posts of each run where there are few kinds


def different(posts: int) -> str:
    """A job of ``posts`` posts (even), a sheet for each: two a run, spacings differ, and so do a run's two posts."""
    runs = posts // 2
    stout = ", ".join(f'"{run}b" = "stout"' for run in range(runs))
    parts = [HEAD, DIFFERENT, f'posts = {{ line = "beam", end = "beam", only = {{ {stout} }} }}']
    for run in range(runs):
        parts.append(
            f'[[run]]\nid = "R{run}"\nposts = ["{run}a", "{run}b"]\nspans = ["42 in"]\n'
            f"spacing = {2.5 + run / 512.0}\nat = [0, {run * 60}, 0]\n"
        )
    return "\n".join(parts)


def few_kinds(posts: int) -> str:
    """A job of ``posts`` posts in runs of five, of six kinds that follow one another."""
    runs = posts // A_RUN
    kinds = "".join(
        f'post.k{k} = {{ width = "{3.5 + 0.25 * k} in", material = "douglas fir" }}\n' for k in range(KINDS)
    )
    only = ", ".join(f'"{run}-{i}" = "k{run % KINDS}"' for run in range(runs) for i in range(A_RUN))
    parts = [HEAD, kinds, f'posts = {{ line = "k0", end = "k0", only = {{ {only} }} }}']
    for run in range(runs):
        names = ", ".join(f'"{run}-{i}"' for i in range(A_RUN))
        parts.append(
            f'[[run]]\nid = "R{run}"\nposts = [{names}]\nspans = ["42 in", "42 in", "42 in", "42 in"]\n'
            f"at = [0, {run * 60}, 0]\n"
        )
    return "\n".join(parts)


def demo_text(name: str = "demo.toml") -> str:
    return resources.files("jiggen.job").joinpath(name).read_text(encoding="utf-8")


def demo_job() -> Job:
    return read_job(demo_text(), "demo.toml")


@cache
def demo_survey() -> Survey:
    return survey(demo_job(), Options())
