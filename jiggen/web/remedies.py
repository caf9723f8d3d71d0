"""The words of a remedy turned into changes of the job: which key gets which figure. Nothing here is sure to help."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from math import ceil, floor
from typing import Any

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.units import tape
from jiggen.web import fastenings
from jiggen.web.changes import LENGTH, Case, Change, Path, at_path, texts_of, told_mm, way_to
from jiggen.web.places import place

BAR = {
    "in": {"shape": "rectangular", "along": "1/4 in", "across": "1 in"},
    "mm": {"shape": "rectangular", "along": "6 mm", "across": "25 mm"},
}
JOINT = re.compile(r"[^,;()]{0,40},? and ")
Maker = Callable[[Case, re.Match[str]], Iterator[Change]]


def changes(problem: Problem, plan: Plan | None, data: dict[str, Any]) -> Iterator[Change]:
    """Every change that a problem's remedy names, in the order of its words. ``plan`` None: the job could not be read."""
    if plan is None:
        yield from _misspelt(problem, data)
        return
    found = place(problem, plan)
    names = [line.id for line in plan.runs]
    runs = [names.index(run) for run in found.runs]
    if not runs and problem.where in plan.face_by_id:
        runs = [names.index(plan.face_by_id[problem.where].run)]
    case = Case(problem, plan, data, tuple(runs))
    yield from _together(case, _matches(problem.remedy))


def _matches(remedy: str) -> list[tuple[re.Match[str], Maker]]:
    """Every rule's match in a remedy, in the order of the words."""
    found = [(match, make) for pattern, make in RULES for match in pattern.finditer(remedy)]
    return sorted(found, key=lambda one: one[0].start())


def _together(case: Case, found: list[tuple[re.Match[str], Maker]]) -> Iterator[Change]:
    """Each match alone, or with those that an "and" joins to it: they only help together."""
    while found:
        (match, make), *found = found
        options = list(make(case, match))
        while found and JOINT.fullmatch(case.problem.remedy[match.end() : found[0][0].start()]):
            (match, make), *found = found
            options = [_joined(first, second) for first in options for second in make(case, match)]
        yield from options


def _joined(first: Change, second: Change) -> Change:
    """Two changes as one; what one sets the other does not take away."""
    sets: dict[Path, Any] = dict(first.sets)
    sets |= {path: value for path, value in second.sets if sets.get(path) is None}
    words = (
        first.words if first.words == second.words else f"{first.words}, {second.words[:1].lower()}{second.words[1:]}"
    )
    return Change(words, tuple(sets.items()), first.aim)


def _misspelt(problem: Problem, data: dict[str, Any]) -> Iterator[Change]:
    """A key or word that the file has wrong, and the nearest that is known."""
    meant = re.fullmatch(r'write "([^"]+)"', problem.remedy)
    way = way_to(problem.where, data)
    if not meant or not way:
        return
    word = meant[1]
    if problem.found.startswith("unknown key"):
        value = at_path(data, way)
        yield Change(f'Write "{word}"', (((*way[:-1], word), value), (way, None)))
    elif problem.found.startswith('found "'):
        yield Change(f'Write "{word}"', ((way, word),))


def _pull(case: Case, match: re.Match[str]) -> Iterator[Change]:
    force = f"{match['force']} {match['unit']}"
    yield Change(f"Pull {force}", ((("cable", "tension"), force),))


def _space(case: Case, match: re.Match[str]) -> Iterator[Change]:
    count = int(match["of"]) if match["of"] else None
    for index in case.runs:
        for text in texts_of(match):
            sets = ((case.run_key(index, "spacing"), text), (case.run_key(index, "count"), count))
            words = f"Space the cables {text}" + (f", {count} of them" if count else "")
            yield Change(words, sets, f"spacing {index}")


def _wider(case: Case, match: re.Match[str]) -> Iterator[Change]:
    for index in case.runs:
        wider = case.plan.runs[index].spacing + told_mm(match)
        step = case.plan.job.round_to
        up = ceil(wider / step - 1e-6) * step
        text = f"{tape(up, step).text} in" if case.units == "in" else f"{up:g} mm"
        sets = ((case.run_key(index, "spacing"), text), (case.run_key(index, "count"), None))
        yield Change(f"Space the cables {text}", sets)


def _count(case: Case, match: re.Match[str]) -> Iterator[Change]:
    count = int(match["count"])
    for index in case.runs:
        own = case.run_key(index, "spacing")
        yield Change(f"Use {count} cables", ((case.run_key(index, "count"), count), (own, None)), "count")
        spacing = at_path(case.data, own) or at_path(case.data, ("guard", "spacing"))
        if spacing is not None:
            yield Change(f"Use {count} cables", ((case.run_key(index, "count"), count), (own, spacing)), "count")


def _free(case: Case, match: re.Match[str]) -> Iterator[Change]:
    names = re.findall(r"first|count|spacing", match["names"])
    for index in case.runs:
        own: list[tuple[Path, Any]] = [(case.run_key(index, name), None) for name in names]
        words = f"Leave {' and '.join(names)} to the plan"
        yield Change(words, tuple(own), "free")
        yield Change(words, (*own, *((("guard", name), None) for name in names)), "free")


def _first(case: Case, match: re.Match[str]) -> Iterator[Change]:
    for index in case.runs:
        for text in texts_of(match):
            yield Change(
                f"First cable {text} under the rail", ((case.run_key(index, "first"), text),), f"first {index}"
            )


def _out(case: Case, match: re.Match[str]) -> Iterator[Change]:
    for index in case.runs:
        text = _under(case, match)
        yield Change(f"Stand them {text} beyond the edge", ((case.run_key(index, "out"), text),))


def _fix(case: Case, match: re.Match[str]) -> Iterator[Change]:
    for index in case.runs:
        kind = at_path(case.data, ("run", index, "spacers", "kind"))
        if isinstance(kind, str):
            yield Change("Fix the bars at top and bottom", ((("post", kind, "fixed"), ["top", "bottom"]),))


def _bars(case: Case, match: re.Match[str]) -> Iterator[Change]:
    more = int(match["bars"])
    for index in case.runs:
        spacers = at_path(case.data, ("run", index, "spacers"))
        old = spacers if isinstance(spacers, dict) else {}
        each = old.get("each", 1) if old else 0
        if not isinstance(each, int):
            continue
        kind = old.get("kind") or next((k.name for k in case.plan.job.kinds.values() if k.fixed), "spacer bar")
        sets: list[tuple[Path, Any]] = []
        if kind not in case.plan.job.kinds:
            bar = {**BAR[case.units], "material": "316 stainless", "fixed": ["top", "bottom"]}
            sets.append((("post", kind), bar))
        total = (each + 1) * (more + 1) - 1  # every free length is cut into more + 1
        sets.append((case.run_key(index, "spacers"), {"kind": kind, "each": total}))
        yield Change(f"Put {total} spacer bar{'s' * (total > 1)} in each span", tuple(sets))


def _raise(case: Case, match: re.Match[str]) -> Iterator[Change]:
    for index in case.runs:
        for text in texts_of(match):
            yield Change(f"Raise the guard to {text}", ((case.run_key(index, "height"), text),), f"height {index}")


def _down(case: Case, match: re.Match[str]) -> Iterator[Change]:
    for index in case.runs:
        for text in (*texts_of(match), _under(case, match)):
            yield Change(f"Lower it to {text}", ((case.run_key(index, "bottom_gap"), text),), f"gap {index}")


def _under(case: Case, match: re.Match[str]) -> str:
    """The next step of the job's readings that is less than what is told."""
    step = case.plan.job.round_to
    below = floor(told_mm(match) / step - 0.01) * step
    return f"{tape(below, step).text} in" if case.units == "in" else f"{below:g} mm"


def _rail(case: Case, match: re.Match[str]) -> Iterator[Change]:
    depth = "1 1/2 in" if case.units == "in" else "38 mm"
    for index in case.runs:
        rail = (case.run_key(index, "bottom_rail"), {"depth": depth})
        for text in texts_of(match) if match["mm"] or match["only"] else ():
            yield Change(
                f"Add a bottom rail {depth} deep", (rail, (case.run_key(index, "bottom_gap"), text)), f"rail {index}"
            )
        yield Change(f"Add a bottom rail {depth} deep", (rail,), f"rail {index}")


def _stagger(case: Case, match: re.Match[str]) -> Iterator[Change]:
    names = [line.id for line in case.plan.runs]
    if match["run"] in names:
        sets = ((case.run_key(names.index(match["run"]), "stagger"), "auto"),)
        yield Change(f"Shift the cables of run {match['run']}", sets)


def _turn(case: Case, match: re.Match[str]) -> Iterator[Change]:
    for post in place(case.problem, case.plan).posts:
        kind = case.plan.post_by_id[post].kind.name
        yield Change(f"Turn the posts of kind {kind} half way", ((("post", kind, "rotate"), "bisect"),))


def _wood(case: Case, match: re.Match[str]) -> Iterator[Change]:
    way = way_to(case.problem.where, case.data)
    if way and way[-1] == "material":
        yield Change(f'Write "{match["word"]}"', ((way, match["word"]),))


def _datum(case: Case, match: re.Match[str]) -> Iterator[Change]:
    yield Change("Seat the sheets under the rail", ((("sheet", "datum"), "underside"),))


def _nosing(case: Case, match: re.Match[str]) -> Iterator[Change]:
    for post in place(case.problem, case.plan).posts:
        for index, line in enumerate(case.plan.runs):
            if line.posts[0] == post and isinstance(at_path(case.data, ("run", index, "stair")), dict):
                for text in texts_of(match):
                    sets = ((("run", index, "stair", "first_behind_nosing"), text),)
                    yield Change(f"Stand it {text} behind the nosing", sets, f"nosing {index}")


RULES: tuple[tuple[re.Pattern[str], Maker], ...] = (
    (re.compile(r"pull (?:at most |at least )?(?P<force>[0-9]+) (?P<unit>lbf|N)(?: \([0-9]+ N\))?"), _pull),
    (
        re.compile(rf"(?:space the cables|spacing of) {LENGTH}(?! wider)(?: at most)?(?:, (?P<of>[0-9]+) of them)?"),
        _space,
    ),
    (re.compile(rf"space the cables {LENGTH} wider"), _wider),
    (re.compile(r"use (?:at most )?(?P<count>[0-9]+) cables"), _count),
    (re.compile(r"leave (?P<names>(?:first|count|spacing)(?:(?:, | and )(?:first|count|spacing))*) out"), _free),
    (re.compile(rf"first cable up to {LENGTH} under the rail"), _first),
    (re.compile(rf"less than {LENGTH} beyond the deck"), _out),
    (re.compile(r"put (?P<bars>[0-9]+) spacer bars? in each"), _bars),
    (re.compile(r"fix the spacer bars at top and bottom"), _fix),
    (re.compile(rf"raise it to {LENGTH}"), _raise),
    (re.compile(rf"down to (?:less than |at most )?{LENGTH}"), _down),
    (re.compile(rf"give this run a bottom rail(?: {LENGTH})?"), _rail),
    (re.compile(r'stagger = "auto" in run (?P<run>.+?) looks'), _stagger),
    (re.compile(r'or "bisect"'), _turn),
    (re.compile(rf"screws? longer by {LENGTH}"), fastenings.longer),
    (re.compile(rf"(?<!lag )screws {LENGTH} long"), fastenings.long),
    (re.compile(rf"(?P<size>[0-9]/[0-9]+) in lag screws (?:as long|{LENGTH} long)"), fastenings.lag),
    (re.compile(rf"screws? shorter by {LENGTH}"), fastenings.shorter),
    (re.compile(rf"screws {LENGTH} shorter"), fastenings.shorter),
    (re.compile(r'use "(?P<twin>[^"]+)"(?=, or)'), fastenings.twin),
    (re.compile(r'(?:perhaps|write|mean) "(?P<word>[^"]+)"'), _wood),
    (re.compile(r'datum = "underside"'), _datum),
    (re.compile(rf"stand the post at most {LENGTH} behind the nosing"), _nosing),
)
