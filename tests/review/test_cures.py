"""Jobs of every sort with something wrong: each figure that a remedy names is written into the job, and the finding is gone."""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import pytest
from jobs_made import Keys, plan, run

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import review

JOBS = 110
SPLIT = r", or |, (?=screws|\d/\d+ in lag)"
LENGTH = r"((?:\d[\d /]*) in|[\d.]+ mm)"
KINDS = ("clear, a sphere", "gives to", "lifts by", "passes the triangle", "gap under", " high, ", "asks for")
KINDS += ("no tension", "hang slack", "over half", "into the wood", "for good", "behind the nosing")
FIXED: Keys = {"bar": {"shape": "rectangular", "along": "8 mm", "across": "25 mm", "material": "316 stainless"}}
FIXED["bar"]["fixed"] = ["top", "bottom"]


@dataclass(frozen=True)
class Made:
    """A job as keys, to be planned again with some of them changed."""

    head: Keys
    run: Keys
    cable: Keys
    fitting: Keys
    post: Keys

    def plan(self) -> Plan:
        stands = dict.fromkeys(("line", "end", "corner"), "timber")
        tables = {"job": self.head, "cable": self.cable, "post": self.post, "fitting": self.fitting, "posts": stands}
        return plan(self.run, **tables)

    def with_run(self, **keys: Any) -> Made:
        merged = {key: value for key, value in {**self.run, **keys}.items() if value is not None}
        return replace(self, run=merged)

    def with_screw(self, screw: str, places: int | None = None) -> Made:
        plate = {**self.fitting["plate"], "screw": screw}
        if places:
            plate["screws"] = pattern(places)
        return replace(self, fitting={"plate": plate})


def pattern(count: int) -> list[list[str]]:
    return [["0 mm", f"{12 * index - 6 * (count - 1)} mm"] for index in range(count)]


def mm(low: int, high: int, pick: random.Random) -> str:
    return f"{pick.randint(low, high)} mm"


def ground(pick: random.Random) -> Keys:
    kind = pick.choice(["level", "level", "ramp", "stair"])
    if kind == "ramp":
        return {"ramp": {"slope": f"{pick.choice([5, 12, 25])} deg", "goes": pick.choice(["up", "down"])}}
    if kind == "stair":
        sizes = {"rise": mm(150, 190, pick), "going": mm(270, 330, pick), "overhang": mm(0, 25, pick)}
        return {"stair": {**sizes, "goes": "up", "first_behind_nosing": "120 mm"}}
    return {"mount": "side", "out": mm(10, 80, pick)} if pick.random() < 0.3 else {}


def filling(pick: random.Random) -> Keys:
    keys: Keys = {}
    how = pick.choice(["spacing", "spacing", "count", "both", "neither"])
    if how in ("spacing", "both"):
        keys["spacing"] = mm(60, 125, pick)
    if how in ("count", "both"):
        keys["count"] = pick.randint(6, 12)
    if how != "neither" and pick.random() < 0.3:
        keys["first"] = mm(70, 125, pick)
    if pick.random() < 0.5:
        keys["bottom_rail"] = {"depth": "38 mm"}
    if pick.random() < 0.6:
        keys["bottom_gap"] = mm(10, 130, pick)
    if pick.random() < 0.2:
        keys["spacers"] = {"kind": "bar", "each": pick.randint(1, 2)}
    return keys


def made(seed: int) -> Made:
    pick = random.Random(seed)
    code = pick.choice(["irc-2021", "ibc-2021", "nbc-2020", "adk-2013", "abcb-2022"])
    spans = [mm(600, 2200, pick) for _ in range(pick.randint(1, 3))]
    keys = {**ground(pick), **filling(pick), "height": mm(800, 1120, pick)}
    if "stair" in keys and "bottom_gap" in keys:
        keys["bottom_gap"] = mm(0, 40, pick)
    if "stair" in keys and pick.random() < 0.4:  # a lowest cable that lifts
        keys = {key: value for key, value in keys.items() if key not in ("bottom_rail", "spacing", "first")}
        keys |= {"count": 10, "bottom_gap": mm(0, 15, pick)}
    cable: Keys = {
        "tension": f"{pick.choice([250, 600, 900, 1400, 2500, 5000])} N",
        "loss": f"{pick.choice([0, 15])} %",
    }
    cable["frame"] = pick.choice(["wood", "steel", "aluminium"])
    cable["diameter"] = pick.choice(["1/8 in", "3.2 mm"])
    if pick.random() < 0.4:
        cable["side_force"] = f"{pick.choice([30, 60])} N"
    screw = pick.choice(["#10 x 40 mm", "#14 x 35 mm", "#10 x 63 mm", "#14 x 2 1/2 in", "#14 x 3 in", "lag 1/4 x 2 in"])
    plate = {"outline": ["30 mm", "110 mm"], "flange": "3 mm", "screws": pattern(pick.randint(2, 4)), "screw": screw}
    plate |= {"pivot": "25 mm", "swivels": "any", "setback": "50 mm", "travel": "60 mm"}
    posts: Keys = {"timber": {"width": pick.choice(["89 mm", "139 mm"]), "material": "douglas fir"}, **FIXED}
    head = {"code": code, "fall": "3 m", "units": pick.choice(["mm", "in"])}
    return Made(head, run(spans, start="plate", finish="plate", **keys), cable, {"plate": plate}, posts)


def kind_of(problem: Problem) -> str:
    """Which of the findings it is, and where: the post is told with the fitting's."""
    hit = next((words for words in KINDS if words in problem.found), "")
    return f"{problem.where}: {hit}" if hit and problem.level != "note" else ""


def tellings(made_plan: Plan) -> dict[str, Problem]:
    return {kind_of(problem): problem for problem in review(made_plan) if kind_of(problem)}


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
    bars = re.search(r"put (\d+) spacer bars? in each free length", words)
    if bars:
        each = was.run.get("spacers", {}).get("each", 0)
        keys["spacers"] = {"kind": "bar", "each": (each + 1) * (int(bars[1]) + 1) - 1}
    if "bring supports" in words:  # tried in a test of its own
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
    size, _, long = screw.rpartition(" x ")
    more = re.search(r"(\d+) such screws", words)
    if more:
        yield was.with_screw(screw, int(more[1]))
    longer = re.search(rf"screws {LENGTH}(?: \([\d.]+ mm\))? long", words)
    if longer and "lag screws" not in words:
        yield was.with_screw(f"{size} x {longer[1]}")
    by = re.search(r"longer by (?:[\d /]+ in \()?([\d.]+) mm", words)
    if by:
        inches = long.endswith("in")
        now = {"2 1/2 in": 63.5, "3 in": 76.2, "2 in": 50.8}[long] if inches else float(long[:-3])
        yield was.with_screw(f"{size} x {now + float(by[1]) + 0.05} mm")
    lag = re.search(rf"(\d/\d+) in lag screws (?:as long|{LENGTH})", words)
    if lag:
        yield was.with_screw(f"lag {lag[1]} x {lag[2] or long}")


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
