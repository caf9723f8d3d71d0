"""The text of a job file turned into a Job, or into every problem that it has."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from typing import Any

from jiggen.handbook.fittings import generic_brackets, generic_fittings
from jiggen.job import built, guards, hardware, led, own, posts, runs, settings, usual, whole
from jiggen.job.model import AsBuilt, Bracket, Fitting, Job, PostKind, Run, Stair
from jiggen.job.ranges import Unit
from jiggen.job.tables import Table
from jiggen.problems import JobError, Problem

LARGEST = 4 * 1024 * 1024  # characters or bytes of a job file
LONGEST_SAID = 80  # characters of what the reader of TOML says
DEEPEST = 40  # dots in one key; the reader of TOML takes the square of their number in time
NOT_KEYS = re.compile(r'"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|(#[^\n]*)')
NOT_IN_KEYS = re.compile(r"[^A-Za-z0-9_.\- \t]+")
PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


def decode(data: bytes, name: str = "job.toml") -> str:
    """The text of a job file's bytes: UTF-8, with or without a byte order mark.

    Raises JobError that names the first byte that is not UTF-8, counted from 0, or a file over 4 MB.
    """
    if len(data) > LARGEST:
        raise _too_long(name)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        marked = len(data) - len(data.removeprefix(b"\xef\xbb\xbf"))
        at = error.start + marked
        found = f"found byte 0x{data[at]:02x}, which is not UTF-8"
        raise JobError([Problem("stop", f"{name}, byte {at}", found, "save the file as UTF-8")]) from None


def read_job(text: str, name: str = "job.toml") -> Job:
    """The job that ``text``, a TOML file, describes: checked, defaults filled in, in mm, N, radians and K.

    ``name``: what to call the file where a problem is with all of it. Raises JobError with every problem
    at once, each with its path (``run[1].spans[0]``; items count from 0), what was found and the remedy.
    Geometry that only the whole plan shows is not judged here.
    """
    data = _parsed(text, name)
    large = whole.too_large(data)
    if large:
        raise JobError([Problem("stop", "run", *large)])
    log: list[Problem] = []
    job = _job(Table(data, "", log, settings.units_of(data)), text)
    if job is None:
        raise JobError(dict.fromkeys(log))
    return job


def _parsed(text: str, name: str) -> dict[str, Any]:
    """The tables of ``text``. Raises JobError for what is not TOML or cannot be written down."""
    if len(text) > LARGEST:
        raise _too_long(name)
    plain = text.removeprefix("\ufeff")
    if _deep_keys(plain):
        raise JobError([_too_deep(name)])
    try:
        plain.encode("utf-8")
        return tomllib.loads(plain)
    except UnicodeEncodeError as error:
        where, found = _line_column(plain, error.start), "found half a surrogate pair"
        problem = Problem("stop", where, found, "save the file as UTF-8")
    except tomllib.TOMLDecodeError as error:
        problem = _not_toml(plain, str(error))
    except RecursionError:
        problem = _too_deep(name)
    except (ValueError, OverflowError, MemoryError):
        problem = Problem("stop", name, "found a number or date too large to read", "write shorter numbers")
    raise JobError([problem])


def _deep_keys(text: str) -> bool:
    """Whether some key has more than ``DEEPEST`` dots; texts and comments do not count."""
    bare = NOT_KEYS.sub(lambda found: "" if found[1] else "x", text)
    return any(key.count(".") > DEEPEST for key in NOT_IN_KEYS.split(bare))


def _too_deep(name: str) -> Problem:
    return Problem("stop", name, "found tables or lists nested too deep", "write at most three levels")


def _not_toml(text: str, message: str) -> Problem:
    place = PLACE.search(message)
    at_end = place is None or place[1] is None
    where = _line_column(text, len(text)) if at_end or place is None else f"line {place[1]}, column {place[2]}"
    said = PLACE.sub("", message)
    line = "".join(character if character.isprintable() else "?" for character in said)
    line = line if len(line) <= LONGEST_SAID else line[: LONGEST_SAID - 3] + "..."
    found = f"found what TOML does not allow: {line[:1].lower()}{line[1:]}"
    return Problem("stop", where, found, "mend the line there: texts in quotes, a key once, brackets closed")


def _line_column(text: str, at: int) -> str:
    before = text[:at]
    return f"line {before.count(chr(10)) + 1}, column {at - before.rfind(chr(10))}"


def _too_long(name: str) -> JobError:
    return JobError([Problem("stop", name, "found a file over 4 MB", "write a job of fewer runs")])


def _job(root: Table, text: str) -> Job | None:
    """The job in ``root``, None where there is a problem; problems go to the table's log."""
    head = settings.read_head(root.settings("job"), own.read_codes(root))
    cable = settings.read_cable(root.settings("cable"), own.read_strands(root))
    kinds = posts.read_kinds(root, own.read_woods(root))
    fittings, brackets = _fittings(root), _brackets(root)
    guard = root.settings("guard")
    around = runs.Around(tuple(kinds), tuple(fittings), guards.Known(cable.diameter, tuple(brackets)))
    guards.read_guard(guard, around.guard, whole=False)
    guard.done()
    found = runs.read_runs(root, guard, around)
    stands = posts.read_stands(root.settings("posts"), tuple(kinds), _spacer_kinds(found))
    as_built, measured = built.read_as_built(root)
    sheet, limits = settings.read_sheet(root.settings("sheet")), settings.read_limits(root.settings("limits"))
    jig = settings.read_jig(root.table("jig"))
    root.done()
    _check_whole(root, kinds, found, (*stands.only,), as_built, (*measured,))
    found = led.led(root, found)
    if head.rules is None or root.log:
        return None
    found, usual_notes = usual.by_material(found, *_ends_said(root, found, fittings), stands, kinds)
    return Job(
        name=head.name,
        units=root.unit,
        rules=head.rules,
        fall=head.fall,
        round_to=head.round_to,
        drills=head.drills,
        alike=head.alike,
        cable=cable,
        stands=stands,
        kinds=kinds,
        fittings=fittings,
        brackets=brackets,
        runs=found,
        sheet=sheet,
        min_web=limits[0],
        min_edge=limits[1],
        jig=jig,
        as_built=as_built,
        measured_spans=measured,
        text=text,
        data=root.data,
        notes=(*_defaults_to_say(found, root), *whole.apart(root, found), *usual_notes),
    )


def _check_whole(
    root: Table,
    kinds: Mapping[str, PostKind],
    found: tuple[Run, ...],
    only: tuple[str, ...],
    as_built: Mapping[str, AsBuilt],
    measured: tuple[str, ...],
) -> None:
    """What needs more than one table: see ``whole``."""
    whole.check_runs(root, found)
    whole.check_joining(root, found)
    whole.check_wires_of_kinds(root, {name: kind.wires for name, kind in kinds.items()}, found)
    whole.check_named_posts(root, "posts.only", only, found)
    whole.check_named_posts(root, "as_built", as_built, found)
    whole.check_undersides(root, as_built, found)
    whole.check_measured_spans(root, measured, found)


def _fittings(root: Table) -> dict[str, Fitting]:
    """End fittings by name: the job's own, then the generic ones that it does not replace."""
    mine = hardware.read_fittings(root.named("fitting"))
    generic = hardware.read_fittings(_generic(generic_fittings(), "fitting", root.unit), measure_yours=True)
    generic |= usual.metal_fittings(generic, root.unit)
    return mine | {name: fitting for name, fitting in generic.items() if name not in mine}


def _brackets(root: Table) -> dict[str, Bracket]:
    """Rail brackets by name: the job's own, then the generic ones that it does not replace."""
    mine = hardware.read_brackets(root.named("bracket"))
    generic = hardware.read_brackets(_generic(generic_brackets(), "bracket", root.unit), measure_yours=True)
    generic |= usual.metal_brackets(generic, root.unit)
    return mine | {name: bracket for name, bracket in generic.items() if name not in mine}


def _generic(tables: Mapping[str, Mapping[str, Any]], path: str, unit: Unit) -> dict[str, Table]:
    """Readers of the handbook's tables; what is wrong with those is the handbook's tests' to find."""
    return {name: Table(data, path, [], unit) for name, data in tables.items()}


def _ends_said(
    root: Table, found: tuple[Run, ...], fittings: Mapping[str, Fitting]
) -> tuple[list[tuple[bool, bool]], list[str]]:
    """For each run whether its start and its finish are the job's own words or tables, and the run's path."""
    said = []
    for index, run in enumerate(found):
        table = whole.raw_run(root, index)
        ends = (("start", run.start), ("finish", run.finish))
        own = {key for key, name in ends if not name or not fittings[name].measure_yours}
        said.append(("start" in {*table, *own}, "finish" in {*table, *own}))
    return said, [whole.run_path(root, index, "") for index in range(len(found))]


def _spacer_kinds(found: tuple[Run, ...]) -> set[str]:
    return {run.spacers.kind for run in found if run.spacers}


def _defaults_to_say(found: tuple[Run, ...], root: Table) -> list[Problem]:
    """Notes for defaults that decide where holes go."""
    behind = "4 in" if root.unit == "in" else "100 mm"
    remedy = "measure from the first post's centre to the nosing next downhill"
    raw = root.data["run"]
    many = isinstance(raw, list)
    notes = []
    for index, run in enumerate(found):
        stair = (raw[index] if many else raw).get("stair")
        if isinstance(run.ground, Stair) and "first_behind_nosing" not in stair:
            place = f"run[{index}].stair" if many else "run.stair"
            notes.append(Problem("note", place, f"first_behind_nosing taken as {behind}", remedy))
    return notes
