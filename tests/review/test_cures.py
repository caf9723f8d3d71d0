"""Jobs of every sort with something wrong: each figure that a remedy names is written into the job, and the finding is gone."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest
from jobs_made import Keys
from wrong_jobs import JOBS, KINDS, Made, made, tellings

SPLIT = r", or |, (?=screws|\d/\d+ in lag|\d+ mm lag)"
LENGTH = r"((?:\d[\d /]*) in|[\d.]+ mm)"


def changes(words: str, was: Made) -> Iterator[Made]:
    """The job with what one part of a remedy names; nothing where it names none of the job's keys."""
    keys: Keys = {}
    for pattern_, key in (
        (rf"bring the first cable up to {LENGTH}", "first"),
        (rf"(?:spacing of|space the cables) {LENGTH}", "spacing"),
        (rf"bring the (?:lowest cable|bottom rail) down to {LENGTH}", "bottom_gap"),
        (rf"raise it to {LENGTH}", "height"),
    ):
        hit = re.search(pattern_, words)
        if hit:
            keys[key] = hit[1]
    cables = re.search(r"use (\d+) cables|, (\d+) of them", words)
    if cables:
        keys["count"] = int(cables[1] or cables[2])
    if "count out" in words or "leave " in words:
        keys |= {name: None for name in ("first", "spacing", "count") if re.search(rf"leave .*\b{name}\b.*out", words)}
    bars = re.search(r"(?:put|with) (\d+) spacer bars? (?:in|put into) each free length", words)
    if bars:
        each = was.run.get("spacers", {}).get("each", 0)
        keys["spacers"] = {"kind": "bar", "each": (each + 1) * (int(bars[1]) + 1) - 1}
    if "bring supports" in words or "stand posts" in words:  # tried in a test of its own
        return
    new = was.with_run(**keys) if keys else None
    pull = re.search(r"pull (?:at most )?(\d+ lbf|\d+ N)", words)
    if pull:
        new = replace(new or was, cable={**was.cable, "tension": pull[1]})
    if new:
        yield new
    yield from screws(words, was)


def screws(words: str, was: Made) -> Iterator[Made]:
    screw = was.fitting["plate"]["screw"]
    size, _, _ = screw.rpartition(" x ")
    more = re.search(r"(\d+) such screws", words)
    if more:
        yield was.with_screw(screw, int(more[1]))
    longer = re.search(rf"screws {LENGTH}(?: \([\d.]+ mm\))? long", words)
    if longer and "lag screws" not in words:
        yield was.with_screw(f"{size} x {longer[1]}")
    lag = re.search(rf"(\d/\d+ in|\d+ mm) lag screws {LENGTH}", words)
    if lag:
        yield was.with_screw(f"lag {lag[1]} x {lag[2]}")


@pytest.mark.parametrize("seed", range(JOBS))
def test_every_figure_of_a_remedy_cures(seed: int) -> None:
    was = made(seed)
    for kind, problem in tellings(was.plan()).items():
        for words in re.split(SPLIT, problem.remedy):
            for new in changes(words, was):
                assert kind not in tellings(new.plan()), f"{problem.found}: {words}"


def test_there_was_something_to_cure() -> None:
    """The jobs above have each sort of finding, and each sort of figure is written into some of them."""
    seen: Counter[str] = Counter()
    figures = 0
    for seed in range(JOBS):
        was = made(seed)
        for kind, problem in tellings(was.plan()).items():
            seen[kind.partition(": ")[2]] += 1
            figures += sum(1 for words in re.split(SPLIT, problem.remedy) for _ in changes(words, was))
    assert figures > 200
    assert set(KINDS) - {"behind the nosing"} <= set(seen), seen


@pytest.mark.parametrize("seed", range(JOBS))
def test_every_remedy_names_a_figure(seed: int) -> None:
    """But those where none can: a step that passes a sphere by itself, and what somebody has to decide."""
    for kind, problem in tellings(made(seed).plan()).items():
        if "close the triangle" not in problem.remedy and not kind.endswith("hang slack"):
            assert re.search(r"\d", problem.remedy), problem
