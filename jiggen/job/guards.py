"""[guard] and the guard keys of a run turned into the guard of that run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, cast

from jiggen.job import ranges
from jiggen.job.model import Guard, Rail, Side
from jiggen.job.tables import Table
from jiggen.job.wording import shown, size

KEYS = (
    "height",
    "deck",
    "mount",
    "out",
    "rail",
    "bottom_rail",
    "bottom_gap",
    "spacing",
    "count",
    "first",
    "bracket",
    "bottom_bracket",
    "stagger",
)
SIDES = ("left", "right")
MOUNTS = ("deck", "side")
MOST_CABLES = 200


@dataclass(frozen=True, slots=True)
class Known:
    """What a guard is checked against: the cable's diameter in mm, the brackets by name."""

    cable: float
    brackets: tuple[str, ...]


def guard_of_run(run: Table, guard: Table) -> Table:
    """A reader of the run's keys that falls back on [guard], key by key.

    A run that says only one of spacing and count does not inherit the other.
    """
    data = dict(guard.data)
    if run.has("spacing") != run.has("count"):
        data.pop("count" if run.has("spacing") else "spacing", None)
    base = Table(data, guard.path, guard.log, guard.unit)
    own = {key: value for key in KEYS if (value := run.raw(key)) is not None}
    return Table(own, run.path, run.log, run.unit, base)


def read_guard(table: Table, known: Known, whole: bool) -> Guard:
    """The guard that ``table`` says. ``whole``: it is a run's, so what must go together is checked."""
    rail = _rail(table)
    mount = cast(Literal["deck", "side"], table.choice("mount", MOUNTS, "deck"))
    out = table.maybe("out", ranges.OUT) or 0.0
    value = Guard(
        height=table.maybe("height", ranges.HEIGHT),
        deck=cast(Side, table.choice("deck", SIDES, "left")),
        mount=mount,
        out=out if mount == "side" else 0.0,
        rail=rail,
        bottom_rail=_bottom_rail(table, rail),
        bottom_gap=table.maybe("bottom_gap", ranges.BOTTOM_GAP),
        spacing=table.maybe("spacing", ranges.SPACING),
        count=table.whole("count", 1, MOST_CABLES),
        first=table.maybe("first", ranges.FIRST),
        bracket=_bracket(table, "bracket", known),
        bottom_bracket=_bracket(table, "bottom_bracket", known),
        stagger="auto" if table.raw("stagger") == "auto" else table.maybe("stagger", ranges.GAP),
    )
    if whole:
        _check(table, value, known)
    return value


def _rail(table: Table) -> Rail:
    rail = table.settings("rail")
    value = Rail(
        depth=rail.amount("depth", ranges.RAIL_DEPTH),
        width=rail.amount("width", ranges.RAIL_WIDTH),
        sits=cast(Literal["between", "over"], rail.choice("sits", ("between", "over"), "between")),
    )
    rail.done()
    return value


def _bottom_rail(table: Table, top: Rail) -> Rail | None:
    """The bottom rail, as wide as the top rail unless it says otherwise; ``false``: none."""
    if table.raw("bottom_rail") is False:
        return None
    rail = table.table("bottom_rail")
    if rail is None:
        return None
    width = rail.maybe("width", ranges.RAIL_WIDTH)
    value = Rail(rail.amount("depth", ranges.BOTTOM_DEPTH), top.width if width is None else width)
    rail.done()
    return value


def _bracket(table: Table, key: str, known: Known) -> str | None:
    """A bracket's name; a bottom bracket is the top rail's unless said; ``false``: none."""
    value = table.raw(key)
    if value is None and key == "bottom_bracket":
        return _bracket(table, "bracket", known)
    if value is None or value is False:
        return None
    return table.one_of(key, value, known.brackets)


def _check(table: Table, guard: Guard, known: Known) -> None:
    """What one guard's own keys show to be impossible."""
    if table.fine("mount", "out") and guard.mount == "side" and not guard.out:
        place = "out" if table.has("mount") or table.base is None else "mount"
        table.problem(place, 'found mount = "side" without out', "write out, from the deck's edge to the cables")
    if table.fine("mount") and guard.mount == "deck" and table.has("out"):
        table.problem("out", "found it on a guard that stands on the deck", 'write mount = "side", or leave it out')
    if table.fine("spacing") and guard.spacing is not None and guard.spacing <= known.cable:
        found = f"found {shown(table.raw('spacing'))}, no more than the cable's {size(known.cable, table.unit)}"
        table.problem("spacing", found, "write the distance from cable centre to cable centre")
    if table.fine("first") and guard.first is not None and guard.first < known.cable / 2:
        found = f"found {shown(table.raw('first'))}, a cable that touches the rail"
        table.problem("first", found, "write the distance from the underside to the first cable's centre")
    _check_room(table, guard)


def _check_room(table: Table, guard: Guard) -> None:
    """Rails and gap leave some of the height."""
    if guard.height is None or not table.fine("height", "rail", "bottom_rail", "bottom_gap"):
        return
    bottom = guard.bottom_rail.depth if guard.bottom_rail else 0.0
    left = guard.height - guard.rail.depth - bottom - (guard.bottom_gap or 0.0)
    if left <= 0:
        found = f"found {shown(table.raw('height'))}, which the rails and the gap at the bottom fill"
        table.problem("height", found, "write the height of the top of the rail over the reference line")
