"""[fitting.NAME] and [bracket.NAME] turned into end fittings and rail brackets."""

from __future__ import annotations

import re
from math import dist
from typing import Literal, cast

from jiggen.handbook.screws import Screw, parse_screw
from jiggen.job import ranges
from jiggen.job.model import Bracket, Fitting
from jiggen.job.tables import Table
from jiggen.job.wording import shown, size
from jiggen.problems import nth

Places = tuple[tuple[float, float], ...]
MOST_SCREWS = 24
SCREW_REMEDY = 'write a screw such as "#10 x 1 1/2 in", "5 x 60 mm", "lag 5/16 x 3 in", "1/4-20 x 1 in" or "M6 x 40 mm"'
NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?")
INCHES = re.compile(r".*(?:[0-9]|in\.?|inch|inches|[\"\u2033])")  # a length in inches, or without a unit


def read_fittings(tables: dict[str, Table], measure_yours: bool = False) -> dict[str, Fitting]:
    """Each table as an end fitting, by name. ``measure_yours``: they are generic ones."""
    return {name: _fitting(name, table, measure_yours) for name, table in tables.items()}


def read_brackets(tables: dict[str, Table], measure_yours: bool = False) -> dict[str, Bracket]:
    """Each table as a rail bracket, by name. ``measure_yours``: they are generic ones."""
    return {name: _bracket(name, table, measure_yours) for name, table in tables.items()}


def _fitting(name: str, table: Table, measure_yours: bool) -> Fitting:
    places = _places(table) if table.raw("screws") is not None else ()
    value = Fitting(
        name=name,
        outline=table.pair("outline", ranges.OUTLINE, "across and up,"),
        flange=table.maybe("flange", ranges.FLANGE) or 0.0,
        screws=places,
        screw=_screw(table, needed=bool(places)),
        pivot=_pivot(table),
        swivels=cast(Literal["up-down", "any"], table.choice("swivels", ("up-down", "any"), "up-down")),
        setback=table.amount("setback", ranges.SETBACK),
        travel=table.amount("travel", ranges.TRAVEL),
        takes_up=table.maybe("takes_up", ranges.TAKES_UP),
        bore=table.maybe("bore", ranges.BORE),
        bore_depth=table.maybe("bore_depth", ranges.BORE_DEPTH),
        washer=table.maybe("washer", ranges.WASHER),
        at_rake=table.flag("at_rake"),
        passes_through=table.maybe("passes_through", ranges.BORE),
        measure_yours=measure_yours,
    )
    _check_fitting(table, value)
    _check_thick(table, value.screw, value.screws)
    _check_length(table, value.screw, value.flange)
    table.done()
    return value


def _check_fitting(table: Table, fitting: Fitting) -> None:
    """What one fitting's own table shows to be impossible."""
    if table.fine("outline", "screws"):
        _check_places(table, fitting.outline, fitting.screws)
    if not table.has("screws") and not table.has("bore"):
        table.problem("", "found a fitting without screws and without bore", "write one of the two")
    if not table.has("bore") and table.has("bore_depth"):
        table.problem("bore_depth", "found a depth without a bore", "write the bore's diameter too")
    if table.has("washer") and (not table.has("bore") or table.has("bore_depth")):
        table.problem("washer", "found it on a fitting without a bore through the post", "leave it or bore_depth out")
    if table.fine("bore", "washer") and fitting.bore and fitting.washer is not None and fitting.washer < fitting.bore:
        found = f"found {shown(table.raw('washer'))}, less than the bore"
        table.problem("washer", found, "write the outside of the nut and washer behind the post")
    if table.fine("pivot", "setback") and fitting.pivot is not None and fitting.setback < fitting.pivot[0]:
        found = f"found {shown(table.raw('setback'))}, nearer to the face than the pivot"
        table.problem("setback", found, "write where the cable ends, from the face, fitting opened out")
    if not table.has("pivot") and table.has("swivels"):
        table.problem("swivels", "found it on a rigid fitting", "write its pivot too, or leave it out")
    if fitting.pivot is not None and fitting.at_rake:
        table.problem("at_rake", "found it on a fitting with a pivot", "leave one of the two out")
    if table.fine("takes_up", "travel") and fitting.takes_up is not None and fitting.takes_up > fitting.travel:
        found = f"found {shown(table.raw('takes_up'))}, more than the travel"
        table.problem("takes_up", found, "write what one turn takes up")


def _bracket(name: str, table: Table, measure_yours: bool) -> Bracket:
    value = Bracket(
        name=name,
        outline=table.pair("outline", ranges.OUTLINE, "across and up,"),
        screws=_places(table),
        screw=cast(Screw, _screw(table, needed=True)),
        flange=table.maybe("flange", ranges.FLANGE) or 0.0,
        measure_yours=measure_yours,
    )
    if table.fine("outline", "screws"):
        _check_spread(table, value.outline, value.screws)
    _check_thick(table, value.screw, value.screws)
    _check_length(table, value.screw, value.flange)
    table.done()
    return value


def _screw(table: Table, needed: bool) -> Screw | None:
    written = table.raw("screw")
    if written is not None:
        return table.parsed("screw", written, lambda text: _parse_screw(text, table.unit))
    if needed:
        table.need("screw", SCREW_REMEDY)
    return None


def _parse_screw(text: str, unit: ranges.Unit) -> Screw:
    """The screw. A bare number as its size is of the job's units, and so is the length then: "10 x 2" is #10 x 2 in in
    an inch job. A size that tells its own units ("#10", "M6", "1/4-20") tells those of a bare length too.
    """
    size, times, long = (
        part.strip() for part in text.casefold().replace("\N{MULTIPLICATION SIGN}", "x").partition("x")
    )
    if times and NUMBER.fullmatch(size) and INCHES.fullmatch(long):
        bare = long[-1].isdigit()
        if unit == "in":
            text = f"#{size} x {long}" + (" in" if bare else "")
        elif bare:
            text = f"{size} x {long} mm"
        else:
            raise ValueError(f"write #{size} x {long}, or the length in mm")
    screw = parse_screw(text)
    low, high = ranges.SCREW_LENGTH.bounds(unit)
    if not low <= screw.length <= high:
        raise ValueError(f"write its length with its unit, {ranges.SCREW_LENGTH.words(unit)}")
    return screw


def _check_length(table: Table, screw: Screw | None, flange: float) -> None:
    """A screw goes further than its own flange."""
    if screw is not None and table.fine("screw", "flange") and screw.length <= flange:
        found = f"found {shown(table.raw('screw'))}, no longer than the flange is thick"
        table.problem("screw", found, "write the screw's length from under its head")


def _pivot(table: Table) -> tuple[float, float] | None:
    """How far out and up the pivot lies; a length alone is how far out."""
    value = table.raw("pivot")
    if not isinstance(value, list):
        out = table.maybe("pivot", ranges.PIVOT_OUT)
        return None if out is None else (out, 0.0)
    if len(value) != 2:
        table.problem("pivot", f"found {shown(value)}", "write how far out, or a list of 2: out, up")
        return None
    out = table.checked("pivot[0]", value[0], ranges.PIVOT_OUT)
    return out, table.checked("pivot[1]", value[1], ranges.PIVOT_UP)


def _places(table: Table) -> Places:
    """Where the screws sit: across, up."""
    values = table.items("screws", 1, MOST_SCREWS, 'each a pair such as ["0 in", "7/8 in"]')
    return tuple(_place(table, f"screws[{i}]", value) for i, value in enumerate(values))


def _place(table: Table, key: str, value: object) -> tuple[float, float]:
    if isinstance(value, list) and len(value) == 2:
        across = table.checked(f"{key}[0]", value[0], ranges.SCREW_PLACE)
        return across, table.checked(f"{key}[1]", value[1], ranges.SCREW_PLACE)
    table.problem(key, f"found {shown(value)}", 'write a pair such as ["0 in", "7/8 in"]: across, up')
    return 0.0, 0.0


def _check_places(table: Table, outline: tuple[float, float], places: Places) -> None:
    """Screws measured from the outline's centre lie inside it, each in its own place."""
    for index, (across, up) in enumerate(places):
        if abs(across) > outline[0] / 2 + 1e-6 or abs(up) > outline[1] / 2 + 1e-6:
            table.problem(f"screws[{index}]", "found a screw outside the outline", "measure from the flange's centre")
    _check_apart(table, places)


def _check_spread(table: Table, outline: tuple[float, float], places: Places) -> None:
    """A bracket's outline is centred on its screws, so the pattern is no larger than it."""
    for axis, word in ((0, "wide"), (1, "high")):
        spread = max(place[axis] for place in places) - min(place[axis] for place in places)
        if spread > outline[axis] + 1e-6:
            found = (
                f"found screws {size(spread, table.unit)} apart on an outline {size(outline[axis], table.unit)} {word}"
            )
            table.problem("outline", found, "write the flange's outside size")
    _check_apart(table, places)


def _check_thick(table: Table, screw: Screw | None, places: Places) -> None:
    """Screws of one pattern do not go through each other."""
    if screw is None or not table.fine("screws", "screw"):
        return
    for index, place in enumerate(places):
        for other in range(index):
            apart = dist(place, places[other])
            if 1e-3 < apart < screw.shank - 1e-6:
                found = f"found it {size(apart, table.unit)} from the {nth(other + 1)} screw, the screw is {size(screw.shank, table.unit)} thick"
                table.problem(f"screws[{index}]", found, "measure from the flange's centre to each hole's")


def _check_apart(table: Table, places: Places) -> None:
    seen: dict[tuple[float, float], int] = {}
    for index, (across, up) in enumerate(places):
        first = seen.setdefault((round(across, 3), round(up, 3)), index)
        if first != index:
            table.problem(
                f"screws[{index}]", f"found it where the {nth(first + 1)} screw is", "give each screw its own place"
            )
