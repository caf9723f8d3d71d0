"""What the page asks of the core, as plain functions of plain data: look at a job, see a sheet, open a file, make."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Mapping
from typing import Any

from jiggen.build import Options, ReadBackError, build, form_file, options_from, scale_file, survey
from jiggen.job.model import Job
from jiggen.job.read import decode, read_job
from jiggen.packetfile import job_text, made_with
from jiggen.plan.make import make_plan
from jiggen.plan.model import Mark, Plan
from jiggen.plan.words import how_deep, length, nominal, worked
from jiggen.problems import JobError, Problem, StopError
from jiggen.render.svg import svg
from jiggen.review import findings
from jiggen.web import kept, pictures, places, toml
from jiggen.web.state import StateError, from_state, same, to_state

TABLES = ("job", "cable", "guard", "posts", "sheet", "jig", "limits")
NAMED = ("post", "fitting", "bracket", "as_built", "code", "strand", "wood")
_TOO_LARGE = Problem("stop", "the file", "found a number too large to read", "write shorter numbers")
Data = dict[str, Any]
Tell = Callable[[str, int, int], None]


def text_of(request: Mapping[str, Any]) -> str:
    """The job file of a request: the text it was opened from with what the form changed of it, or written anew.

    Raises JobError for a state that no job file can hold.
    """
    state, base = request.get("state"), request.get("base")
    try:
        data = from_state(state)
        if isinstance(base, str) and base:
            return _kept(data, base)
        return toml.write(data)
    except (StateError, ValueError, RecursionError) as error:
        found = str(error) if isinstance(error, StateError) else "found what no job file can hold"
        raise JobError([Problem("stop", "the form", found, "open a job file, or begin anew")]) from None


def _kept(data: Data, base: str) -> str:
    """``base`` with the values of ``data``, its comments and order kept, as far as it is a job file at all."""
    state = to_state(data)
    if same(state, base):
        return base
    try:
        text = kept.edited(base, data)
    except (ValueError, RecursionError, OverflowError):
        text = None
    return text if text is not None and same(state, text) else toml.write(data)


def look(request: Mapping[str, Any]) -> Data:
    """The job as text, its problems, its runs and posts in words, and the pictures; quick, no sheet is drawn."""
    text = text_of(request)
    wide = pictures.width_of(request.get("wide"))
    try:
        job = read_job(text)
        plan = make_plan(job)
        problems = findings(plan)
    except JobError as error:
        return {"text": text, "planned": False, "problems": places.every(error.problems, None)}
    return {
        "text": text,
        "planned": True,
        "fingerprint": plan.fingerprint,
        "paper": job.sheet.paper,
        "problems": places.every(problems, plan),
        "runs": _runs(plan, pictures.run_pictures(plan, problems, wide)),
        "posts": _posts(plan),
        "sheets": [{"id": g.id, "posts": list(g.posts), "faces": list(g.faces), "kind": g.kind} for g in plan.groups],
        "plan_view": pictures.plan_picture(plan, problems, wide),
    }


def sheet(request: Mapping[str, Any]) -> Data:
    """One sheet at true scale as SVG text and what every mark on it says. Raises JobError for an unknown sheet."""
    name = request.get("sheet")
    job = read_job(text_of(request))
    found = survey(job, Options(only=(str(name),)))
    one, plan = found.sheets[0], found.plan
    drawing = one.sheet.drawing
    faces = [plan.face_by_id[face] for face in one.group.strip]
    return {
        "id": one.group.id,
        "name": one.sheet.name,
        "posts": list(one.group.posts),
        "faces": list(one.group.faces),
        "pages": one.tiled.count,
        "paper": found.paper.name,
        "width_mm": round(drawing.width, 2),
        "height_mm": round(drawing.height, 2),
        "svg": svg(drawing).decode().partition("\n")[2],
        "marks": [_mark(job, mark) for face in faces for mark in face.marks if one.group.shows(mark)],
    }


def jig(request: Mapping[str, Any]) -> Data:
    """The jigs that a packet would have and one of them: how it goes together, and its panels as they are cut.

    Raises JobError for a job that cannot be planned; ``jig`` of the request is a name of the list, else the first is shown.
    """
    found = survey(read_job(text_of(request)))
    names = [{"id": made.jig.id, "title": made.jig.title} for made in found.jigs]
    problems = places.every([problem for problem in found.problems if problem.where.startswith("jig")], found.plan)
    asked = str(request.get("jig"))
    one = next((made for made in found.jigs if made.jig.id == asked), found.jigs[0] if found.jigs else None)
    return {"jigs": names, "problems": problems, "shown": pictures.jig_pictures(found.plan, one) if one else None}


def measure_up(request: Mapping[str, Any]) -> bytes:
    """The measure-up form of a job as a PDF, the command's bytes. Raises JobError for one that cannot be planned."""
    job = read_job(text_of(request))
    return form_file(job, job.sheet.paper)


def opened(data: bytes) -> Data:
    """The form's state and the text of a job file or of the job that rides in a packet or sheet PDF.

    Raises JobError where it is neither. A job with problems opens all the same, as far as it is TOML.
    """
    try:
        text = job_text(data)
        made = made_with(data) if text is not None else {}
    except ValueError as error:
        raise JobError([Problem("stop", "the file", str(error), "open a job.toml or a packet of ours")]) from None
    if text is None:
        text = _decoded(data)
    try:
        read_job(text, "the file")
    except JobError as error:
        if any(problem.where.startswith(("line ", "the file")) for problem in error.problems):
            raise
        broken: JobError | None = error
    else:
        broken = None
    try:
        state = to_state(tomllib.loads(text.removeprefix("\ufeff")))
    except ValueError:  # a whole number of thousands of figures
        raise broken or JobError([_TOO_LARGE]) from None
    if broken and not _fits_the_form(state):
        raise broken
    return {"text": text, "state": state, "made": made}


def _decoded(data: bytes) -> str:
    """The text of a job file. Raises JobError for what is no text at all, such as a picture."""
    if b"\0" in data:
        found, remedy = "found no job in it", "open a job.toml, a packet.pdf or a sheet's PDF"
        raise JobError([Problem("stop", "the file", found, remedy)])
    return decode(data, "the file")


def _fits_the_form(state: Data) -> bool:
    """Whether tables stand where the form looks for tables; what is in them may be wrong and is shown."""
    tables = [state.get(name, {}) for name in (*TABLES, *NAMED)]
    runs = state.get("run", [])
    if not isinstance(runs, list) or not all(isinstance(one, dict) for one in (*tables, *runs)):
        return False
    return all(isinstance(one, dict) for name in NAMED for one in state.get(name, {}).values())


def made(request: Mapping[str, Any], tell: Tell) -> tuple[Data, list[tuple[str, bytes]]]:
    """The packet of a job: what was made and its files, the very bytes of the command's.

    ``tell``: called with the stage and how many of how many steps are done. Raises JobError.
    """
    job = read_job(text_of(request))
    try:
        packet = build(job, _options(request.get("options")), tell)
    except ReadBackError as error:
        return {"problems": places.every(error.problems, None)}, []
    worst = max((d.off for d in packet.deviations if d.off is not None), default=0.0)
    found = packet.survey
    head = {
        "name": job.name,
        "problems": places.every(found.problems, found.plan),
        "notes": list(packet.notes),
        "marks": len(packet.deviations),
        "worst_mm": round(worst, 4),
        "pages": sum(drawn.count for drawn in (*found.samples, *found.sheets)),
        "paper": found.paper.name,
    }
    return head, list(packet.files.items())


def refused(error: JobError) -> Data:
    """A JobError as plain data."""
    return {"planned": False, "stopped": isinstance(error, StopError), "problems": places.every(error.problems, None)}


def scale(request: Mapping[str, Any]) -> bytes:
    """The scale page as a PDF. Raises JobError for an unknown paper."""
    try:
        return scale_file(str(request.get("paper")))
    except ValueError as error:
        raise JobError([Problem("stop", "paper", str(error), "choose letter, legal, tabloid, a4 or a3")]) from None


def _options(asked: object) -> Options:
    """What a browser may ask for of a build. Raises JobError for what makes no sense."""
    try:
        return options_from(asked) if isinstance(asked, Mapping) else Options()
    except (ValueError, OverflowError) as error:
        raise JobError([Problem("stop", "options", str(error), "choose again in the page")]) from None


def _runs(plan: Plan, drawn: list[list[pictures.Picture]]) -> list[Data]:
    found = []
    for line, shown in zip(plan.runs, drawn, strict=True):
        words = f"{len(line.drops)} cables every {length(plan.job, line.spacing)}" if line.drops else "no cables"
        found.append({"id": line.id, "posts": list(line.posts), "words": words, "pictures": shown})
    return found


def _posts(plan: Plan) -> list[Data]:
    sheets: dict[str, list[str]] = {}
    for group in plan.groups:
        for post in group.posts:
            sheets.setdefault(post, []).append(group.id)
    return [{"id": p.id, "kind": p.kind.name, "role": p.role, "sheets": sheets.get(p.id, [])} for p in plan.posts]


def _mark(job: Job, mark: Mark) -> Data:
    """Every number of a mark, as a person reads it."""
    side = "right of" if mark.u > 0 else "left of"
    across = "on the centre line" if abs(mark.u) < 0.005 else f"{length(job, abs(mark.u))} {side} the centre line"
    return {
        "id": mark.id,
        "label": mark.label,
        "face": mark.face,
        "purpose": mark.purpose,
        "cable": mark.cable,
        "rows": [
            ["drop, below the underside", length(job, mark.drop)],
            ["height, over the reference line", length(job, mark.height)],
            ["above the surface underfoot", length(job, mark.above_tread)],
            ["across", across],
            ["drill", mark.drill.name],
            ["hole", nominal(job, mark.diameter)],
            ["depth", "through the post" if mark.through and not mark.wall else how_deep(job, mark)],
            *([["then", worked(job, mark)]] if worked(job, mark) else []),
        ],
        "what": mark.what,
        "why": mark.why,
    }


def to_bytes(data: Data) -> bytes:
    """Plain data as the JSON that goes to the browser."""
    return json.dumps(data, separators=(",", ":")).encode()
