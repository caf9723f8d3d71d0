"""Jobs of every sort with something wrong, by their number, and what is found in them."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from typing import Any

from jobs_made import Keys, plan, run

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import review

JOBS = 110
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
