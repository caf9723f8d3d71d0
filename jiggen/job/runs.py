"""[[run]] turned into runs: posts and spans, the ground under them, what their ends carry."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from jiggen.geometry import Vector
from jiggen.job import guards, ranges
from jiggen.job.model import Ramp, Run, Spacers, Stair
from jiggen.job.posts import read_wires
from jiggen.job.stairs import read_stair
from jiggen.job.tables import Table
from jiggen.job.wording import printable, quoted, shown

Measured = Literal["spans", "clear", "slope"]
MEASURED: tuple[Measured, ...] = ("spans", "clear", "slope")
START, FINISH = "fixed plate", "take-up plate"
LONGEST_ID = 20
MOST_BARS = 20
MOST_POSTS = 20000
MOST_RUNS = 500


@dataclass(frozen=True, slots=True)
class Around:
    """What a run's keys may name: kinds of post, end fittings; what its guard may."""

    kinds: tuple[str, ...]
    fittings: tuple[str, ...]
    guard: guards.Known


def read_runs(job: Table, guard: Table, around: Around) -> tuple[Run, ...]:
    """All runs in the file's order. ``guard``: the table that they fall back on."""
    tables = job.tables("run", MOST_RUNS)
    if not tables and not job.has("run"):
        job.need("run", 'write a [[run]] with posts = ["1", "2"] and spans = ["48 in"]')
    return tuple(_run(table, index, guard, around) for index, table in enumerate(tables))


def good_id(text: str) -> bool:
    """Whether ``text`` may name a post or a run: 1 to 20 printable characters, no "/", no blank at an end."""
    return printable(text, LONGEST_ID) and "/" not in text and text == text.strip()


def letters(index: int) -> str:
    """A, B, ... Z, AA, AB, ... for 0, 1, ..."""
    high, low = divmod(index, 26)
    return (letters(high - 1) if high else "") + chr(ord("A") + low)


def _run(run: Table, index: int, guard: Table, around: Around) -> Run:
    posts = _posts(run)
    measured, lengths = _lengths(run, posts)
    over = guards.guard_of_run(run, guard)
    value = Run(
        id=_id(run, index),
        posts=posts,
        lengths=lengths,
        measured=measured,
        guard=guards.read_guard(over, around.guard, whole=True),
        start=run.choice("start", around.fittings, START),
        finish=run.choice("finish", around.fittings, FINISH),
        ground=_ground(run),
        turn=run.maybe("turn", ranges.TURN),
        at=_at(run),
        heading=run.maybe("heading", ranges.HEADING),
        spacers=_spacers(run, around.kinds),
        wires=read_wires(run),
        gap_at_start=run.maybe("gap_at_start", ranges.GAP),
        gap_at_finish=run.maybe("gap_at_finish", ranges.GAP),
        led_on=run.flag("led_on"),
    )
    run.done()
    return value


def _id(run: Table, index: int) -> str:
    value = run.raw("id")
    if value is None:
        return letters(index)
    if isinstance(value, str) and good_id(value):
        return value
    _bad_id(run, "id", value)
    return ""


def _bad_id(run: Table, key: str, value: object) -> None:
    hint = ", in quotes" if not isinstance(value, str) else ""
    remedy = f'write 1 to {LONGEST_ID} printable characters without "/"{hint}'
    run.problem(key, f"found {shown(value)}", remedy)


def _posts(run: Table) -> tuple[str, ...]:
    values = run.items("posts", 2, MOST_POSTS, 'such as ["1", "2", "3"]')
    seen: dict[str, int] = {}
    for index, value in enumerate(values):
        key = f"posts[{index}]"
        if not isinstance(value, str) or not good_id(value):
            _bad_id(run, key, value)
        elif value in seen:
            run.problem(key, f"found {quoted(value)} once more", "name each post of a run once")
        else:
            seen[value] = index
    return tuple(value if isinstance(value, str) else "" for value in values)


def _lengths(run: Table, posts: tuple[str, ...]) -> tuple[Measured, tuple[float, ...]]:
    """What the spans were measured as and their lengths: one of the three keys."""
    said = [way for way in MEASURED if run.raw(way) is not None]
    if not said:
        run.need("spans", 'write spans = ["48 in"], or clear or slope: one length for each span')
        return "spans", ()
    for extra in said[1:]:
        run.problem(extra, f"found it beside {said[0]}", "write one of spans, clear and slope")
    way = said[0]
    lengths = run.amounts(way, ranges.SPAN, 1, MOST_POSTS)
    if posts and lengths and len(lengths) != len(posts) - 1:
        found = f"found {len(lengths)} for {len(posts)} posts"
        run.problem(way, found, f"write {len(posts) - 1}: one from each post to the next")
    return way, lengths


def _at(run: Table) -> Vector | None:
    if run.raw("at") is None:
        return None
    place = run.amounts("at", ranges.PLACE, 3, 3)
    return Vector(*place) if len(place) == 3 else None


def _ground(run: Table) -> Stair | Ramp | None:
    stair, ramp = run.table("stair"), run.table("ramp")
    if stair and ramp:
        run.problem("ramp", "found it beside a stair", "write one of the two")
    found = read_stair(stair) if stair else None
    sloped = _ramp(ramp) if ramp else None
    if not stair and not ramp and run.has("slope"):
        run.problem("slope", "found lengths along the rake on a level run", "write spans, or a stair or ramp")
    return found or sloped


def _ramp(ramp: Table) -> Ramp:
    value = Ramp(
        angle=ramp.amount("slope", ranges.RAMP_SLOPE),
        up=ramp.choice("goes", ("up", "down")) == "up",
    )
    ramp.done()
    return value


def _spacers(run: Table, kinds: Collection[str]) -> Spacers | None:
    table = run.table("spacers")
    if table is None:
        return None
    kind = table.choice("kind", kinds) if kinds else str(table.raw("kind"))
    each = table.whole("each", 1, MOST_BARS)
    if table.raw("each") is None:
        each = 1
    table.done()
    return Spacers(kind, each or 1)
