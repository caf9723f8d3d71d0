"""The stair table of a run turned into a Stair: one rise and one going, or every one of them as it was taped."""

from __future__ import annotations

from math import fsum
from typing import Literal, cast

from jiggen.job import ranges
from jiggen.job.model import Stair
from jiggen.job.ranges import Sane
from jiggen.job.tables import Table
from jiggen.job.wording import shown

RISERS = ("closed", "open")
MOST_STEPS = 60


def read_stair(table: Table) -> Stair:
    """The stair; where ``rises`` or ``goings`` are listed and ``rise`` or ``going`` is not said, it is their mean."""
    rises, goings = _listed(table, "rises", ranges.RISE), _listed(table, "goings", ranges.GOING)
    value = Stair(
        rise=_size(table, "rise", rises, ranges.RISE),
        going=_size(table, "going", goings, ranges.GOING),
        overhang=table.amount("overhang", ranges.OVERHANG),
        overhang_given=table.has("overhang"),
        up=table.choice("goes", ("up", "down")) == "up",
        first_behind=table.amount("first_behind_nosing", ranges.FIRST_BEHIND),
        last_behind=table.maybe("last_behind_nosing", ranges.LAST_BEHIND),
        rises=rises,
        goings=goings,
        risers=cast(Literal["closed", "open"], table.choice("risers", RISERS, "closed")),
        riser_opening=table.maybe("riser_opening", ranges.RISER_OPENING),
    )
    _check(table, value)
    table.done()
    return value


def _listed(table: Table, key: str, sane: Sane) -> tuple[float, ...]:
    return table.amounts(key, sane, 1, MOST_STEPS) if table.raw(key) is not None else ()


def _size(table: Table, key: str, taped: tuple[float, ...], sane: Sane) -> float:
    """What is said, else the mean of what was taped."""
    if table.has(f"{key}s") and not table.has(key):
        return fsum(taped) / len(taped) if taped else sane.fallback(table.unit)
    return table.amount(key, sane)


def _check(table: Table, stair: Stair) -> None:
    """What the table's own keys show to be impossible."""
    if table.fine("overhang", "going", "goings") and stair.overhang >= stair.going:
        remedy = "write how far a nosing stands out over the riser below it"
        table.problem("overhang", f"found {shown(table.raw('overhang'))}, the whole going", remedy)
    steps = len(stair.rises)
    if steps and stair.goings and table.fine("rises", "goings") and len(stair.goings) != steps - 1:
        found = f"found {len(stair.goings)} for {steps} rises"
        remedy = f"write {steps - 1}: nosing to nosing, one less than the rises" if steps > 1 else "leave it out"
        table.problem("goings", found, remedy)
    if table.has("riser_opening") and table.fine("risers", "riser_opening") and stair.risers == "closed":
        table.problem("riser_opening", "found it on closed risers", 'write risers = "open" too, or leave it out')
    highest = max(stair.rises, default=stair.rise)
    whole = stair.riser_opening is not None and stair.riser_opening >= highest
    if whole and table.fine("rise", "rises", "riser_opening"):
        found = f"found {shown(table.raw('riser_opening'))}, the whole rise"
        table.problem("riser_opening", found, "write what is clear from a tread up to the next tread's underside")
