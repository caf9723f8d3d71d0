"""[job], [cable], [limits], [sheet] and [jig] turned into their values."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import isclose
from typing import Any, Literal, cast

from jiggen.handbook import drills, papers, rules, strands
from jiggen.job import ranges
from jiggen.job.model import Cable, Datum, JigWish, SheetWish
from jiggen.job.ranges import Unit
from jiggen.job.tables import Table
from jiggen.job.wording import joined, listed, nearest_and_all, quoted, shown, size

FRAMES = ("wood", "steel", "aluminium")
DATUMS = ("underside", "height line", "deck")
OPERATIONS = ("cut", "score", "engrave")
METRIC = re.compile(r"[0-9] ?(?:mm|cm|m)$")
INCHES = re.compile(r"[0-9] ?(?:in|ft|\"|')$")
SPOOLS: dict[Unit, tuple[float, ...]] = {
    "in": tuple(ranges.convert("length", text, "in") for text in ("100 ft", "250 ft", "500 ft")),
    "mm": tuple(ranges.convert("length", text, "mm") for text in ("30 m", "75 m", "150 m")),
}
USABLE = (60.0, 80.0)
USABLE_SAID: dict[Unit, str] = {"in": "2 3/8 in by 3 3/16 in", "mm": "60 mm by 80 mm"}
TAPE: dict[Unit, tuple[tuple[float, ...], str]] = {
    "in": (
        tuple(ranges.convert("length", f"1/{2**power} in", "in") for power in range(7)),
        'write a fraction of the tape: "1/2 in", "1/4 in", "1/8 in", "1/16 in", "1/32 in" or "1/64 in"',
    ),
    "mm": (
        tuple(tenths / 10.0 for tenths in range(1, 101)),
        'write whole tenths of a mm, such as "0.5 mm" or "1 mm"',
    ),
}
COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True, slots=True)
class Head:
    """[job]: what holds for the whole file. ``rules`` None: there was a problem with it."""

    name: str
    rules: rules.RuleSet | None
    fall: float | None
    round_to: float
    drills: tuple[str, ...]
    alike: float


def units_of(data: Mapping[str, Any]) -> Unit:
    """The unit of bare numbers: as [job] says, else "in" for an irc- or ibc- code, else "mm".

    Where what it says is neither, that of most lengths in the file: remedies are then told in it.
    """
    job = data.get("job")
    said = job.get("units") if isinstance(job, dict) else None
    if said in ("in", "mm"):
        return cast(Unit, said)
    metric, inches = _written(data) if said is not None else (0, 0)
    if metric != inches:
        return "mm" if metric > inches else "in"
    code = job.get("code") if isinstance(job, dict) else None
    return "in" if isinstance(code, str) and code.startswith(("irc-", "ibc-")) else "mm"


def _written(value: Any) -> tuple[int, int]:
    """How many texts in the tables and lists of ``value`` end in a metric length's unit, and how many in inches or feet."""
    if isinstance(value, str):
        return bool(METRIC.search(value)), bool(INCHES.search(value))
    items = value.values() if isinstance(value, Mapping) else value if isinstance(value, list) else ()
    found = [_written(item) for item in items]
    return sum(metric for metric, _ in found), sum(inches for _, inches in found)


def read_head(job: Table, own: Mapping[str, rules.RuleSet | None]) -> Head:
    """[job]; ``own``: rule sets of the file's own, None for one that has a problem."""
    job.choice("units", ("in", "mm"), job.unit)
    head = Head(
        name=job.text("name", "Boathouse deck") or "",
        rules=_rules(job, own),
        fall=job.maybe("fall", ranges.FALL),
        round_to=_step(job),
        drills=_drill_sets(job),
        alike=job.amount("alike", ranges.ALIKE),
    )
    job.done()
    return head


def _step(job: Table) -> float:
    """What readings are rounded to: a fraction that stands on a tape, or whole tenths of a mm."""
    value = job.amount("round_to", ranges.ROUND_TO)
    steps, remedy = TAPE[job.unit]
    if job.fine("round_to") and not any(isclose(value, step, rel_tol=1e-9) for step in steps):
        job.problem("round_to", f"found {shown(job.raw('round_to'))}, which is on no tape", remedy)
        return ranges.ROUND_TO.fallback(job.unit)
    return value


def _rules(job: Table, own: Mapping[str, rules.RuleSet | None]) -> rules.RuleSet | None:
    names = [*own, *rules.rule_names()]
    name = job.choice("code", names) if "code" in job.data else ""
    if not name:
        job.raw("code")
        job.need("code", f"write {listed(names)}")
        return None
    return own[name] if name in own else rules.rule_set(name)


def _drill_sets(job: Table) -> tuple[str, ...]:
    if job.raw("drills") is None:
        return ("fraction", "number") if job.unit == "in" else ("metric",)
    sets = job.texts("drills", 1, len(drills.SETS), f"each {listed(drills.SETS)}")
    for index, name in enumerate(sets):
        job.one_of(f"drills[{index}]", name, drills.SETS)
    return tuple(dict.fromkeys(sets))


def read_cable(cable: Table, own: Mapping[str, strands.Strand]) -> Cable:
    """[cable]; ``own``: strands of the file's own."""
    value = Cable(
        diameter=cable.amount("diameter", ranges.DIAMETER),
        strand=_strand(cable, own),
        tension=cable.amount("tension", ranges.TENSION),
        install_temperature=cable.amount("install_temperature", ranges.INSTALL),
        coldest=cable.amount("coldest", ranges.COLDEST),
        hottest=cable.amount("hottest", ranges.HOTTEST),
        frame=cable.choice("frame", FRAMES, "wood"),
        loss=cable.amount("loss", ranges.LOSS),
        hang_weight=cable.amount("hang_weight", ranges.HANG_WEIGHT),
        spools=_spools(cable),
        clearance=cable.amount("clearance", ranges.CLEARANCE),
        trim=cable.amount("trim", ranges.TRIM),
        side_force=cable.maybe("side_force", ranges.SIDE_FORCE),
    )
    if cable.fine("coldest", "hottest") and value.coldest > value.hottest:
        coldest, hottest = shown(cable.raw("coldest")), shown(cable.raw("hottest"))
        found = f"found {coldest}, hotter than the hottest"
        if not cable.has("coldest"):
            cable.problem("hottest", f"found {hottest}, colder than the coldest", "write one above the coldest")
        else:
            cable.problem("coldest", found, "write one below the hottest")
    cable.done()
    return value


def _strand(cable: Table, own: Mapping[str, strands.Strand]) -> strands.Strand:
    names = [*own, *strands.strand_names()]
    written = cable.raw("strand")
    known = strands.strand(written) if isinstance(written, str) and written not in own else None
    if isinstance(written, str) and not known and written not in own:
        table = joined("strand", written)
        remedy = f"{nearest_and_all(written, names)}; or bring its fill and modulus in a table [{table}]"
        cable.problem("strand", f"found {quoted(written)}", remedy)
        name = "1x19"
    else:
        name = known.name if known else cable.choice("strand", names, "1x19")
    found = own.get(name) or strands.strand(name)
    assert found is not None  # choice gives a known name
    return found


def _spools(cable: Table) -> tuple[float, ...]:
    if cable.raw("spools") is None:
        return SPOOLS[cable.unit]
    return tuple(sorted(set(cable.amounts("spools", ranges.SPOOL, 1, 12))))


def read_limits(limits: Table) -> tuple[float, float | None]:
    """[limits]: least web and least edge distance, mm; None: the usual ones."""
    value = limits.amount("min_web", ranges.MIN_WEB), limits.maybe("min_edge", ranges.MIN_EDGE)
    limits.done()
    return value


def read_sheet(sheet: Table) -> SheetWish:
    """[sheet]."""
    name, size = _paper(sheet)
    value = SheetWish(
        paper=name,
        size=size,
        margin=sheet.amount("margin", ranges.MARGIN),
        overlap=sheet.amount("overlap", ranges.OVERLAP),
        kind=cast(Literal["face", "wrap"], sheet.choice("kind", ("face", "wrap"), "face")),
        datum=cast(Datum, sheet.choice("datum", DATUMS, "underside")),
    )
    if sheet.fine("paper", "margin", "overlap"):
        _check_usable(sheet, value)
    sheet.done()
    return value


def _paper(sheet: Table) -> tuple[str, tuple[float, float]]:
    value = sheet.raw("paper")
    if isinstance(value, list):
        wide, high = sheet.pair("paper", ranges.PAPER_SIDE, "width and height,")
        return "custom", (min(wide, high), max(wide, high))
    usual = "letter" if sheet.unit == "in" else "a4"
    name = value.casefold().strip() if isinstance(value, str) and papers.paper(value) else None
    name = name or sheet.choice("paper", papers.names(), usual)
    size = papers.paper(name)
    assert size is not None  # choice gives a known name
    return name, size


def _check_usable(sheet: Table, wish: SheetWish) -> None:
    unit = sheet.unit
    wide, high = (side - 2 * wish.margin for side in wish.size)
    remedy = f"leave at least {USABLE_SAID[unit]} inside the margins"
    key = "margin" if sheet.has("margin") else "paper" if sheet.has("paper") else ""
    if wide < USABLE[0] or high < USABLE[1]:
        sheet.problem(
            key,
            f"found a page with {size(max(wide, 0), unit)} by {size(max(high, 0), unit)} inside its margins",
            remedy,
        )
    elif wish.overlap > min(wide, high) / 2:
        sheet.problem("overlap", f"found {size(wish.overlap, unit)}, more than half the page", "write a smaller one")


def read_jig(jig: Table | None) -> JigWish | None:
    """[jig], None where there is none."""
    if jig is None:
        return None
    bed = jig.pair("bed", ranges.BED)
    value = JigWish(
        thickness=jig.amount("thickness", ranges.BOARD),
        kerf=jig.amount("kerf", ranges.KERF),
        bed=bed,
        stock=jig.pair("stock", ranges.BED) if jig.raw("stock") is not None else bed,
        bushing=jig.maybe("bushing", ranges.BUSHING),
        operations=_operations(jig.table("operations")),
    )
    if jig.fine("thickness", "kerf") and value.kerf > value.thickness:
        found = f"found {shown(jig.raw('kerf'))}, more than the board is thick"
        jig.problem("kerf", found, "write the full width of a cut")
    jig.done()
    return value


def _operations(table: Table | None) -> dict[str, tuple[str, str]]:
    if table is None:
        return {}
    found: dict[str, tuple[str, str]] = {}
    for key in OPERATIONS:
        if table.raw(key) is None:
            continue
        pair = table.texts(key, 2, 2, 'a name and a colour such as "#1a1a1a"', 40)
        if len(pair) == 2 and not COLOUR.fullmatch(pair[1]):
            table.problem(f"{key}[1]", f"found {quoted(pair[1])}", 'write a colour such as "#1a1a1a"')
        elif len(pair) == 2 and pair in found.values():
            table.problem(
                key,
                f"found {quoted(pair[0])} once more",
                "write another name or colour: operations are kept apart",
            )
        elif len(pair) == 2:
            found[key] = (pair[0], pair[1])
    table.done()
    return found
