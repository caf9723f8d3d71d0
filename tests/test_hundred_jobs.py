"""A hundred jobs made up at random, legal by construction: each becomes a packet that reads back as planned."""

from __future__ import annotations

from math import isfinite
from random import Random

import pytest
from jobs_made import BOLT, LOW_LUG, Keys, stair, text

from jiggen.build import Options, Packet, build
from jiggen.build import packet as building
from jiggen.job.model import Job
from jiggen.job.read import read_job
from jiggen.plan.make import make_plan

JOBS, CHUNKS = 100, 10
WITHIN = 0.02  # mm, what a mark read back may be off
SHAPES = ("square", "eased", "rectangular", "sleeved", "tube", "pipe", "pole", "flat")
METAL = ("tube", "pipe", "flat")
DATUMS = ("underside", "height line", "deck")

FOUR: Keys = {
    "outline": [40, 44],
    "flange": 3,
    "screws": [[12, 14], [-12, 14], [-12, -14], [12, -14]],
    "screw": "#10 x 1 1/2 in",
    "pivot": [19, 3],
    "swivels": "any",
    "setback": 60,
    "travel": 20,
    "passes_through": 7,
}


def kind(dice: Random, shape: str) -> Keys:
    """A post of ``shape``: sizes as they are bought, rounded to 0.1 mm."""
    wood = dice.choice(["douglas fir", "western red cedar", "red oak", "fog wood"])
    size = round(dice.uniform(80, 145), 1)
    made: Keys = {
        "square": {"width": size, "material": wood},
        "eased": {"width": size, "radius": round(dice.uniform(1, 9), 1), "material": wood},
        "rectangular": {
            "shape": "rectangular",
            "along": round(dice.uniform(60, 140), 1),
            "across": round(dice.uniform(60, 140), 1),
            "material": wood,
        },
        "sleeved": {"width": size + 20, "wall": 4, "core": round(size, 1), "material": wood},
        "tube": {"width": round(dice.uniform(40, 80), 1), "wall": dice.choice([2, 3, 5]), "material": "steel"},
        "pipe": {
            "shape": "round",
            "diameter": round(dice.uniform(42, 90), 1),
            "wall": dice.choice([2.5, 4]),
            "material": "316 stainless",
        },
        "pole": {"shape": "round", "diameter": round(dice.uniform(90, 160), 1), "material": wood},
        "flat": {"shape": "rectangular", "along": 12, "across": dice.choice([50, 60]), "material": "steel"},
    }[shape]
    if shape not in ("pipe", "pole") and dice.random() < 0.3:
        made["rotate"] = dice.choice(["bisect", f"{dice.randint(-12, 12)} deg"])
    if dice.random() < 0.2:
        made["bore"] = dice.choice(["along", "square"])
    if shape not in METAL and dice.random() < 0.15:
        made["grommet"] = 12
    return made


def ground(dice: Random) -> Keys:
    """Nothing, a ramp or a stair under a run."""
    goes = dice.choice(["up", "down"])
    found = dice.choice(["level", "level", "ramp", "stair"])
    if found == "ramp":
        return {"ramp": {"slope": f"{round(dice.uniform(1, 15), 2)} deg", "goes": goes}}
    if found == "stair":
        behind = dice.randint(60, 200)
        keys: Keys = {"overhang": 25} if dice.random() < 0.6 else {}
        return {"stair": stair(dice.randint(150, 195), dice.randint(250, 320), behind, goes, **keys), "bottom_gap": 15}
    return {}


def runs(dice: Random, fittings: tuple[str, ...], bars: bool) -> list[Keys]:
    """One run, or two that share a post and turn there; the slope changes where only one of them climbs."""
    found: list[Keys] = []
    number = 1
    for index in range(dice.choice([1, 1, 2])):
        count = dice.choice([1, 2]) if index == 0 else 1
        keys: Keys = {
            "posts": [f"{number + step}" for step in range(count + 1)],
            dice.choice(["spans", "clear"]): [dice.randint(500, 1400) for _ in range(count)],
            "start": dice.choice(fittings),
            "finish": dice.choice(fittings),
            **ground(dice),
        }
        if index:
            keys["turn"] = f"{dice.choice(['left', 'right'])} {dice.choice([0, 20, 45, 90, 117])} deg"
            if dice.random() < 0.5:
                keys["stagger"] = "auto"
        if index and dice.random() < 0.4:  # the cables of the first run go on, where both would have an end fitting
            keys["led_on"] = True
            keys.pop("stagger", None)
            keys.pop("start")
            found[0].pop("finish")
        if bars:
            keys["spacers"] = {"kind": "bar", "each": dice.choice([1, 2])}
        if dice.random() < 0.2:
            face = dice.choice(["deck side", "open side", f"toward {number}"])
            keys["wire"] = {"drop": dice.randint(20, 60), "face": face, "diameter": 6}
        found.append(keys)
        number += count
    return found


def guard(dice: Random) -> Keys:
    made: Keys = {
        "height": dice.randint(300, 380),
        "count": dice.randint(2, 3),
        "deck": dice.choice(["left", "right"]),
        "rail": {"depth": dice.choice([20, 38]), "width": 89, "sits": dice.choice(["between", "between", "over"])},
    }
    if dice.random() < 0.3:
        made["bottom_rail"] = {"depth": 38}
        made["bottom_gap"] = dice.choice([15, 50])
    if dice.random() < 0.3:
        made["bracket"] = "side plate"
    if dice.random() < 0.2:
        made |= {"mount": "side", "out": dice.choice([30, 60])}
    return made


def as_built(dice: Random, made: list[Keys]) -> Keys:
    """What the tape said at some posts."""
    if dice.random() < 0.6:
        return {}
    posts = list(dict.fromkeys(post for keys in made for post in keys["posts"]))
    found: Keys = {}
    for post in dice.sample(posts, dice.choice([1, 2])):
        found[post] = {"lean": [dice.randint(-6, 6), dice.randint(-6, 6)]}
        if dice.random() < 0.5:
            under = dice.randint(270, 340)
            shared = sum(post in keys["posts"] for keys in made) > 1  # a rail of each run there
            found[post] = {"underside": {"A": under, "B": under - 6} if shared else under}
    return {"as_built": found}


def legal(number: int) -> Job:
    """Job ``number`` of the hundred; the same number, the same job. Shape, datum, kind and paper go round in turn."""
    dice = Random(f"heather and slate {number}")
    shape = SHAPES[number % len(SHAPES)]
    other = dice.choice([s for s in SHAPES if (s in METAL) == (shape in METAL)])
    wood = shape not in METAL
    fittings = ("fixed plate", "take-up swivel", "fixed stud", "bolt", "four") if wood else ("lug", "bolt")
    bars = dice.random() < 0.15
    held = guard(dice)
    if not wood:
        held.pop("bracket", None)
    posts: Keys = {"line": "line", "end": "end"}
    kinds: Keys = {"line": kind(dice, shape), "end": kind(dice, other)}
    if bars:
        kinds["bar"] = {"shape": "rectangular", "along": 6, "across": 25, "material": "316 stainless"}
    made = runs(dice, fittings, bars)
    return read_job(
        text(
            made,
            job={"units": "mm", "name": f"Plot {number}", "fall": 900},
            guard=held,
            posts=posts,
            post=kinds,
            fitting={"lug": LOW_LUG, "bolt": BOLT, "four": FOUR},
            sheet={
                "datum": DATUMS[number % 3],
                "kind": ("face", "wrap")[number // 2 % 2],
                "paper": ("letter", "a4")[number // 4 % 2],
            },
            **as_built(dice, made),
        )
    )


def asked(number: int, job: Job) -> Options:
    """Two in nine are made whole, with samples and story poles; of the others one sheet, another each time."""
    if number * 7 % 9 < 2:
        return Options(draft=True)
    count = len(make_plan(job).groups)
    return Options(draft=True, only=(f"S{1 + number % count}",))


def show(packet: Packet) -> set[str]:
    """Ids of all marks that the sheets and samples of a packet must show."""
    plan = packet.survey.plan
    faces = [(drawn.group, plan.face_by_id[face]) for drawn in packet.survey.sheets for face in drawn.group.strip]
    if any(drawn.group.kind == "practice" for drawn in packet.survey.samples):
        faces += [(sample.group, sample.face) for sample in plan.samples]
    return {mark.id for group, face in faces for mark in face.marks if group.shows(mark)}


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_packets_of_random_jobs_read_back(chunk: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(building, "_preview", lambda cover: (None, ()))  # a picture, nothing to read back
    for number in range(chunk, JOBS, CHUNKS):
        job = legal(number)
        packet = build(job, asked(number, job))
        wanted = show(packet)
        assert wanted, number
        found = {deviation.id for deviation in packet.deviations}
        assert wanted <= found, (number, sorted(wanted - found))
        worst = max(packet.deviations, key=lambda deviation: deviation.off if deviation.off is not None else 1e9)
        assert worst.off is not None and worst.off <= WITHIN, (number, worst)
        marks = [mark for post in packet.survey.plan.posts for face in post.faces for mark in face.marks]
        assert all(isfinite(x) for mark in marks for x in (mark.u, mark.v, mark.drop, mark.depth, *mark.axis)), number


def test_the_hundred_have_everything() -> None:
    """Every shape, role, datum, kind of sheet, paper and ground is among them."""
    jobs = [legal(number) for number in range(JOBS)]
    assert {job.sheet.datum for job in jobs} == set(DATUMS)
    assert {job.sheet.kind for job in jobs} == {"face", "wrap"}
    assert {job.sheet.paper for job in jobs} == {"letter", "a4"}
    shapes = {(k.shape, k.wall is not None, k.core is not None) for job in jobs for k in job.kinds.values()}
    assert shapes == {
        ("square", False, False),
        ("square", True, False),
        ("square", True, True),
        ("rectangular", False, False),
        ("round", False, False),
        ("round", True, False),
    }
    grounds = {type(run.ground).__name__ for job in jobs for run in job.runs}
    assert grounds == {"NoneType", "Stair", "Ramp"}
    led = [job for job in jobs if any(run.led_on for run in job.runs)]
    assert len(led) > 5 and {any(kind.wall for kind in job.kinds.values()) for job in led} == {False, True}
    assert any(job.as_built for job in jobs) and any(run.spacers for job in jobs for run in job.runs)
