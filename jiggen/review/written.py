"""A change that was tried turned into keys of the job file: which path gets which value."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jiggen.handbook.fittings import generic_brackets, generic_fittings
from jiggen.job.led import TAKEN
from jiggen.job.model import Rail
from jiggen.job.wording import joined
from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Cure
from jiggen.review.trial import Change, each_with
from jiggen.units import N_PER_LBF, force, length, mm_text, tape

TENSION = "cable.tension"
MOST_TIMES = 2.0  # the job's pull, that a remedy names (our choice: more asks for other posts, screws and end fittings)
MOST_TRAVEL = 300.0  # mm; what a job can say
EXACT = 1e-4  # mm; a reading that is this near says the length
OTHER = {"spacing": "count", "count": "spacing"}  # a run that says one of the two does not take the other from [guard]
BAR = {  # as in trial.BAR_SIZE
    "in": {"shape": "rectangular", "along": "1/4 in", "across": "1 in"},
    "mm": {"shape": "rectangular", "along": "6 mm", "across": "25 mm"},
}
Keys = dict[str, str]


@dataclass(frozen=True, slots=True)
class Remedy:
    """Words of a remedy and those of its parts that are keys of the job."""

    words: str
    cures: tuple[Cure, ...] = ()


UNTOLD = Remedy("")  # of a plan that was made as a trial


def remedy(parts: Sequence[Cure | str], otherwise: str = "") -> Remedy:
    """The parts that there are, joined by "or"; ``otherwise`` where there is none. A text is a part without keys."""
    named = [part for part in parts if part]
    words = ", or ".join(part if isinstance(part, str) else part.words for part in named)
    return Remedy(words or otherwise, tuple(part for part in named if isinstance(part, Cure) and part.keys))


def moderate(plan: Plan, parts: Sequence[Cure | str | None]) -> list[Cure | str]:
    """The parts that there are without a pull of over ``MOST_TIMES`` the job's own; with it where no other part is keys."""
    named = [part for part in parts if part]
    fair = [part for part in named if isinstance(part, str) or _pull(part) <= MOST_TIMES * plan.job.cable.tension]
    return fair if any(isinstance(part, Cure) and part.keys for part in fair) else named


def _pull(part: Cure) -> float:
    """The pull that a cure writes, N; 0 where it leaves that as it is."""
    return next((force(json.loads(value)) for key, value in part.keys if key == TENSION), 0.0)


def cure(plan: Plan, line: RunLine, words: str, change: Change) -> Cure:
    """``change`` of the run ``line`` as keys of the job."""
    index = next(index for index, run in enumerate(plan.job.runs) if run.id == line.id)
    says = next(number for number, run in enumerate(plan.job.runs) if run.id == line.head)
    keys = _guard(plan, says, {key: value for key, value in change.guard.items() if says == index or key in TAKEN})
    if says != index:
        keys |= _guard(plan, index, {key: value for key, value in change.guard.items() if key not in TAKEN})
    if change.pull is not None:
        keys[TENSION] = said(_force(plan, change.pull))
    if change.bars or change.fix:
        keys |= _spacers(plan, index, change)
    keys |= {run_path(plan, index, key): value for key, value in change.own}
    return Cure(words, tuple(keys.items()))


def run_path(plan: Plan, index: int, key: str) -> str:
    """The path of a key of a run, in a job with one [run] or a list of them."""
    return f"run.{key}" if isinstance(plan.job.data.get("run"), dict) else f"run[{index}].{key}"


def length_text(plan: Plan, mm: float) -> str:
    """A length as a job writes it, exact to a ten thousandth of a mm: "3 1/8 in" or "79.4 mm"."""
    if plan.job.units == "in":
        words = f"{tape(mm, plan.job.round_to).text} in"
        if abs(length(words, "in") - mm) < EXACT:
            return words
    return f"{mm_text(mm, 4).rstrip('0').rstrip('.')} mm"


def _force(plan: Plan, newtons: float) -> str:
    """A pull in whole units, as it is told."""
    if plan.job.units == "mm":
        return f"{mm_text(newtons, 0)} N"
    return f"{mm_text(newtons / N_PER_LBF, 0)} lbf"


def said(value: Any) -> str:
    """``value`` as TOML writes it on one line."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{joined('', key)} = {said(held)}" for key, held in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(said(item) for item in value) + "]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, bool):
        return "true" if value else "false"
    return repr(value)


def _tables(plan: Plan) -> tuple[list[Mapping[str, Any]], Mapping[str, Any]]:
    """The tables of the runs and [guard], as parsed."""
    runs, guard = plan.job.data.get("run", []), plan.job.data.get("guard", {})
    return [runs] if isinstance(runs, Mapping) else list(runs), guard


def _guard(plan: Plan, index: int, wanted: Mapping[str, Any]) -> Keys:
    """Keys that give the run what is ``wanted`` of its guard (None: not given) and leave every other run as it is."""
    runs, guard = _tables(plan)
    own = {key for key in runs[index] if wanted.get(key, "") is not None} | {
        k for k, v in wanted.items() if v is not None
    }
    keys = {run_path(plan, index, key): "" for key, value in wanted.items() if value is None and key in runs[index]}
    for key, value in wanted.items():
        if value is not None:
            keys[run_path(plan, index, key)] = _value(plan, value)
    for key, other in OTHER.items():  # what it took from [guard] and would no longer
        if key in own and other not in own and other not in wanted and _takes(runs[index], guard, other):
            keys[run_path(plan, index, other)] = said(guard[other])
            own.add(other)
    for key, value in wanted.items():
        if value is None and key in guard and OTHER.get(key, "") not in own:
            keys |= _not_for_all(plan, index, key)
    return keys


def _value(plan: Plan, value: float | Rail) -> str:
    """A guard's value as the job has it: a count, a length, a bottom rail."""
    if isinstance(value, Rail):
        return said({"depth": length_text(plan, value.depth)})
    return str(value) if isinstance(value, int) else said(length_text(plan, value))


def _takes(run: Mapping[str, Any], guard: Mapping[str, Any], key: str) -> bool:
    """Whether a run takes ``key`` from [guard]."""
    return key in guard and key not in run and OTHER.get(key, "") not in run


def _not_for_all(plan: Plan, index: int, key: str) -> Keys:
    """[guard] without ``key``, which every run but ``index`` that takes it from there has for itself."""
    runs, guard = _tables(plan)
    keys = {f"guard.{key}": ""}
    for number, run in enumerate(runs):
        if number == index or not _takes(run, guard, key) or run.get("led_on"):  # those have an earlier run's
            continue
        for name in (key, OTHER.get(key, "")):
            if name and _takes(run, guard, name):
                keys[run_path(plan, number, name)] = said(guard[name])
    return keys


def _spacers(plan: Plan, index: int, change: Change) -> Keys:
    """Spacer bars put into a run, or its own kind of bar fixed at both ends."""
    job, run = plan.job, plan.job.runs[index]
    if change.fix and run.spacers:
        return {joined(joined("post", run.spacers.kind), "fixed"): said(["top", "bottom"])}
    each = each_with(run.spacers.each if run.spacers else 0, change.bars)
    keys: Keys = {}
    if run.spacers:
        kind = run.spacers.kind
    else:
        kind = next(_free_names(job.kinds))
        keys[joined("post", kind)] = said({**BAR[job.units], "material": "316 stainless", "fixed": ["top", "bottom"]})
    return {**keys, run_path(plan, index, "spacers"): said({"kind": kind, "each": each})}


def _free_names(taken: Mapping[str, Any]) -> Iterator[str]:
    """Names for a kind of bar that no kind of post has."""
    yield from (name for name in ("spacer bar", *(f"spacer bar {n}" for n in range(2, 200))) if name not in taken)


def travel_keys(plan: Plan, line: RunLine, whole: float) -> tuple[tuple[str, str], ...]:
    """``whole`` mm of thread in all at the ends of a run: more at the last end that has some, or at its last end."""
    fittings = plan.job.fittings
    turning = [name for name in line.fitted if fittings[name].travel > 0.0] or [line.fitted[-1]]
    name = turning[-1]
    other = sum(fittings[end].travel for end in line.fitted if end != name)
    travel = (whole - other) / line.fitted.count(name)
    if travel > MOST_TRAVEL:
        return ()
    return tuple(piece_keys(plan, "fitting", name, {"travel": length_text(plan, travel)}).items())


def piece_keys(plan: Plan, what: str, name: str, change: Mapping[str, Any], new: str = "") -> Keys:
    """Keys of a fitting or bracket (``what``) with a change, as the piece ``new`` where that is another; a piece that
    ships is written whole. Empty where the piece has no table."""
    own = plan.job.data.get(what, {})
    if name in own and not new:
        return {joined(joined(what, name), key): said(value) for key, value in change.items()}
    ships = generic_fittings() if what == "fitting" else generic_brackets()
    table = own.get(name) or ships.get(name)
    return {joined(what, new or name): said({**table, **change})} if table else {}
