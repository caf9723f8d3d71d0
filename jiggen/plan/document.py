"""A Plan turned into plan.json: lengths in mm, forces in N, angles in degrees, drops and openings top first."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from math import degrees
from typing import Any

from jiggen.job.model import Stair
from jiggen.plan.loads import push_at
from jiggen.plan.model import Group, Mark, Plan, Post, RunLine
from jiggen.plan.pulls import PASSES, RAIL_FIRST, RECHECKS, STRENGTH, bends, bound_words, turn_words
from jiggen.plan.shop import Pulling, RailCut
from jiggen.plan.takeoff import spares
from jiggen.plan.words import cut_label
from jiggen.problems import Problem

VERSION = 1
LISTS = ("loaded_openings_mm", "worst_openings_mm", "tension_range_n")
LOG = dict.fromkeys(("half_n", "full_n", "sag_mm", "kelvin", "thread_left_mm", "by"))  # to fill in, one row a cable
FIGURES = (
    "side_force_n",
    "opens_at_n",
    "opens_at_worst_n",
    "push_through_n",
    "free_length_mm",
    "cable_length_mm",
    "hang_test",
)


@dataclass(frozen=True, slots=True)
class SheetSize:
    """What cutting a sheet into pages found: size in mm and number of pages."""

    id: str
    width: float
    height: float
    pages: int


def document(plan: Plan, sizes: Iterable[SheetSize] = (), problems: Iterable[Problem] = ()) -> dict[str, Any]:
    """The plan as plain data, every number rounded to 0.0001. ``problems``: the plan's and the review's together."""
    sheets_of: dict[str, list[str]] = {}
    for group in plan.groups:
        for post in group.posts:
            sheets_of.setdefault(post, []).append(group.id)
    by_id = {size.id: size for size in sizes}
    return {
        "version": VERSION,
        "fingerprint": plan.fingerprint,
        "name": plan.job.name,
        "runs": [_run(plan, line) for line in plan.runs],
        "posts": [_post(post, sheets_of.get(post.id, [])) for post in plan.posts],
        "sheets": [
            {
                "id": group.id,
                "posts": list(group.posts),
                "faces": list(group.faces),
                "kind": group.kind,
                "datum": group.datum,
                **_size(by_id.get(group.id)),
            }
            for group in plan.groups
        ],
        "takeoff": {
            "cables": [
                {
                    "run": cut.run,
                    "cable": cut.cable,
                    "label": cut_label(cut.run, cut.cable),
                    "length_mm": _n(cut.length),
                }
                for cut in plan.takeoff.cables
            ],
            "spools": _spools(plan),
            "spools_told": bound_words(plan),
            "drills": [{"drill": d.drill, "holes": d.holes, "from_both_faces": d.both} for d in plan.takeoff.drills],
            "taps": [{"thread": thread, "holes": holes} for thread, holes in plan.takeoff.taps],
            "slots": [{"mm": size, "drill": drill, "slots": holes} for size, drill, holes in plan.takeoff.slots],
            "rails": [_rail(rail) for rail in plan.takeoff.rails],
            "pulling": [_pulling(plan, pulling) for pulling in plan.takeoff.pulling],
            "hardware": [
                {"item": item, "count": count, "spare": spares(count)} for item, count in plan.takeoff.hardware
            ],
            "before_pulling": [STRENGTH, RAIL_FIRST],
            "passes": [{"pass": one.number, "share": one.share, "what": one.what} for one in PASSES],
            "check_again": list(RECHECKS),
            "bends": [
                {"post": post, "degrees": _n(degrees(turn)), "left_share": _n(share)}
                for post, turn, share in bends(plan)
            ],
            "log": {
                run: [dict(cable=cable, label=cut_label(run, cable), **LOG) for cable in order]
                for run, order in plan.takeoff.tension_order
            },
            "tension_order": {run: list(order) for run, order in plan.takeoff.tension_order},
        },
        "problems": [_problem(problem) for problem in problems],
    }


def _problem(problem: Problem) -> dict[str, Any]:
    """A problem; its cures, where it has any, with the keys of the job and what is written there, "" where a key goes."""
    found = asdict(problem)
    del found["cures"]
    if problem.cures:
        found["cures"] = [{"words": cure.words, "keys": dict(cure.keys)} for cure in problem.cures]
    return found


def part_of(plan: Plan, data: Mapping[str, Any], group: Group) -> dict[str, Any]:
    """What of ``data``, the document of ``plan``, one sheet is made from: its posts and their runs, no lists to buy by."""
    served = set(group.posts)
    runs = {line.id for line in plan.runs if not served.isdisjoint(line.posts)}
    whole = ("version", "fingerprint", "name")
    return {
        **{key: data[key] for key in whole},
        "runs": [run for run in data["runs"] if run["id"] in runs],
        "posts": [post for post in data["posts"] if post["id"] in served],
        "sheets": [sheet for sheet in data["sheets"] if sheet["id"] == group.id],
    }


def _spools(plan: Plan) -> list[dict[str, Any]]:
    bought = plan.takeoff.buying
    if bought is None:
        return []
    return [
        {"length_mm": _n(spool.length), "cuts": list(spool.cuts), "left_mm": _n(spool.left)} for spool in bought.spools
    ]


def _rail(rail: RailCut) -> dict[str, Any]:
    ends = {"start": rail.start, "finish": rail.finish}
    return {"run": rail.run, "place": rail.place, "length_mm": _n(rail.length)} | {
        name: {
            "post": end.post,
            "plumb_degrees": _n(degrees(end.plumb)),
            "mitre_degrees": _n(degrees(end.mitre)),
            "longer_side": end.longer,
            "round_mm": _n(end.round),
            "longer_edge": end.leaning,
        }
        for name, end in ends.items()
    }


def _pulling(plan: Plan, pulling: Pulling) -> dict[str, Any]:
    return {
        "run": pulling.run,
        "end_posts_pull_n": _n(_ends(plan, pulling)),
        "adjustable_at": list(pulling.adjustable),
        "fixed_at": list(pulling.fixed),
        "spool_at": pulling.spool,
        "feed_toward": pulling.feed,
        "turn": turn_words(pulling),
        "quarter_turn_n": None if pulling.quarter_turn is None else _n(pulling.quarter_turn),
        "turns": None if pulling.turns is None else _n(pulling.turns),
        "travel_needed_mm": _n(pulling.travel_asked),
        "travel_mm": _n(pulling.travel_has),
        "travel_left_mm": _n(pulling.travel_has - pulling.travel_asked),
        "by_temperature": [
            {"kelvin": _n(day), "tension_n": _n(pull), "sag_mm": _n(sag), "go_mm": [_n(low), _n(high)]}
            for day, pull, sag, low, high in pulling.columns
        ],
    }


def _ends(plan: Plan, pulling: Pulling) -> float:
    """What the cables of a run pull on each of its end posts at their tightest, N."""
    line = next(line for line in plan.runs if line.id == pulling.run)
    return len(line.drops) * plan.loads[line.id].strung.tightest


def to_json(data: Mapping[str, Any], lines: bool = True) -> str:
    """The document as text, one line end at the end; ``lines``: a line for each figure, for people, else all on one."""
    return json.dumps(data, indent=1 if lines else None, ensure_ascii=False) + "\n"


def _size(size: SheetSize | None) -> dict[str, Any]:
    if size is None:
        return {"width_mm": None, "height_mm": None, "pages": None}
    return {"width_mm": _n(size.width), "height_mm": _n(size.height), "pages": size.pages}


def _run(plan: Plan, line: RunLine) -> dict[str, Any]:
    return {
        "id": line.id,
        "rake_degrees": _n(degrees(line.rake)),
        "spacing_mm": _n(line.spacing),
        "cable_count": len(line.drops),
        "drops_mm": [_n(drop) for drop in line.drops],
        "openings_mm": [_n(opening) for opening in line.openings],
        "bottom_gap_mm": _n(line.gap),
        "tension_n": _n(plan.loads[line.id].strung.tension if line.id in plan.loads else plan.job.cable.tension),
        **_led(line),
        **_load(plan, line),
    }


def _led(line: RunLine) -> dict[str, Any]:
    """What only a run has whose cables are led on: the runs that they go through, the posts that they turn at."""
    if line.led is None:
        return {}
    bends = [{"post": bend.post, "degrees": _n(degrees(bend.angle))} for bend in line.led.bends]
    return {"cables_of": line.head, "led_through": list(line.led.runs), "bends": bends, "pull_left": _n(line.led.share)}


def _load(plan: Plan, line: RunLine) -> dict[str, Any]:
    """What the run does under its side force; a force that no push reaches is null, all is of a run without cables."""
    found = plan.loads.get(line.id)
    if found is None:
        return {key: [] for key in LISTS} | dict.fromkeys(FIGURES)
    held = found.strung
    sphere, _ = plan.job.rules.sphere_at(0.0, isinstance(line.ground, Stair))
    return {
        "side_force_n": _n(found.force),
        "loaded_openings_mm": [_n(opening) for opening in found.loaded],
        "worst_openings_mm": [_n(opening) for opening in found.worst],
        "opens_at_n": _finite(min(found.opens)),
        "opens_at_worst_n": _finite(min(found.opens_worst)),
        "tension_range_n": [_n(held.slackest), _n(held.tightest)],
        "push_through_n": _finite(push_at(plan.job, line, held, sphere, held.tension)),
        "free_length_mm": _n(held.bay),
        "cable_length_mm": _n(held.total),
        "hang_test": {
            "weight_n": _n(plan.job.cable.hang_weight),
            "bay_mm": _n(held.bay),
            "sag_mm": _n(found.sag),
            "go_mm": [_n(value) for value in found.go],
        },
    }


def _finite(force: float) -> float | None:
    return _n(force) if force < 1e12 else None


def _post(post: Post, sheets: list[str]) -> dict[str, Any]:
    return {
        "id": post.id,
        "kind": post.kind.name,
        "role": post.role,
        "sheets": sheets,
        "x_mm": _n(post.prism.base.x),
        "y_mm": _n(post.prism.base.y),
        "z_mm": _n(post.prism.base.z),
        "heading_degrees": _n(degrees(post.heading)),
        "marks": [_mark(mark) for face in post.faces for mark in face.marks],
    }


def _mark(mark: Mark) -> dict[str, Any]:
    return {
        "id": mark.id,
        "face": mark.face,
        "purpose": mark.purpose,
        "run": mark.run,
        "cable": mark.cable,
        "u_mm": _n(mark.u),
        "drop_mm": _n(mark.drop),
        "height_mm": _n(mark.height),
        "above_tread_mm": _n(mark.above_tread),
        "diameter_mm": _n(mark.diameter),
        "drill": mark.drill.name,
        "depth_mm": _n(mark.depth),
        **_worked(mark),
        "axis": [_n(part, 8) for part in mark.axis],
    }


def _worked(mark: Mark) -> dict[str, Any]:
    """What only some holes have: a mark at their other end, a thread, a wall that they go through, a slot's end holes."""
    found: dict[str, Any] = {}
    if mark.meets:
        found["meets"] = mark.meets
    if mark.other:
        found["other_end"] = mark.other
    if mark.wall:
        found["wall_mm"] = _n(mark.wall)
    if mark.tap:
        found["tap"] = mark.tap
    if mark.clears:
        found["clearance_for"] = mark.clears
    if mark.slotted:
        found["slot_mm"] = [_n(mark.diameter), _n(mark.slotted)]
        found["slot_end_mm"] = [_n(part) for part in mark.slot]
    return found


def _n(number: float, places: int = 4) -> float:
    """The number rounded, never minus nought."""
    return round(number, places) + 0.0
