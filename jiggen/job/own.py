"""[strand.NAME], [wood.NAME] and [code.NAME], what the job brings of its own, turned into handbook values."""

from __future__ import annotations

from dataclasses import replace

from jiggen.handbook import rules
from jiggen.handbook.strands import Strand
from jiggen.handbook.woods import HARD_ABOVE, Material
from jiggen.job import ranges
from jiggen.job.tables import LONGEST_LIST, Table
from jiggen.job.wording import shown, size

OWN = "the job's own"
ALONG_GRAIN = 4e-6  # per K; from memory


def read_strands(job: Table) -> dict[str, Strand]:
    """Each [strand.NAME] by name."""
    return {name: _strand(name, table) for name, table in job.named("strand").items()}


def _strand(name: str, table: Table) -> Strand:
    value = Strand(
        name=name,
        fill=table.amount("fill", ranges.FILL),
        modulus=table.amount("modulus", ranges.MODULUS),
        expansion=table.amount("expansion", ranges.EXPANSION),
        stretch=table.amount("stretch", ranges.STRETCH),
        breaking=_breaking(table),
        source=OWN,
        breaking_source=OWN if table.has("breaking") else "",
    )
    table.done()
    return value


def _breaking(table: Table) -> dict[float, float]:
    """Pairs of diameter and breaking load."""
    if table.raw("breaking") is None:
        return {}
    words = 'each a diameter and a load, such as ["1/8 in", "2100 lbf"]'
    found: dict[float, float] = {}
    for index, pair in enumerate(table.items("breaking", 1, 20, words)):
        key = f"breaking[{index}]"
        if not isinstance(pair, list) or len(pair) != 2:
            table.problem(key, f"found {shown(pair)}", 'write a pair such as ["1/8 in", "2100 lbf"]')
            continue
        found[table.checked(key, pair[0], ranges.DIAMETER)] = table.checked(key, pair[1], ranges.BREAKING)
    return found


def read_woods(job: Table) -> dict[str, Material]:
    """Each [wood.NAME] by name in small letters."""
    return {name.casefold(): _wood(name, table) for name, table in job.named("wood").items()}


def _wood(name: str, table: Table) -> Material:
    gravity = table.amount("gravity", ranges.GRAVITY)
    hard = table.flag("hard") if table.has("hard") else gravity > HARD_ABOVE
    table.done()
    return Material(name, "wood", gravity, hard, True, OWN, ALONG_GRAIN)


def read_codes(job: Table) -> dict[str, rules.RuleSet | None]:
    """Each [code.NAME] by name, read by the handbook; None where it has a problem, told at its key."""
    found: dict[str, rules.RuleSet | None] = {}
    for name, table in job.named("code").items():
        for key in rules.OWN_KEYS:
            table.raw(key)
        table.text("title")
        table.text("source", longest=200)
        climbs, tensions = _climbs(name, table), _tensions(table)
        table.done()
        own = _code(name, table) if table.fine() else None
        clause = own.source if own and tensions else ""
        found[name] = own and replace(own, climbs=climbs, tension_table=tensions, tension_clause=clause)
    return found


def _climbs(name: str, code: Table) -> tuple[rules.Climb, ...]:
    """The band in which there is nothing to climb on, none where it is not said."""
    table = code.table("climb")
    if table is None:
        return ()
    fall = table.maybe("fall", ranges.CODE_LENGTH) or 0.0
    above, below = table.amount("above", ranges.CODE_LENGTH), table.amount("below", ranges.CODE_LENGTH)
    if table.fine() and above >= below:
        table.problem("below", f"found {shown(table.raw('below'))}, not over {shown(table.raw('above'))}", "write more")
    table.done()
    source = code.raw("source")
    words = f"nothing to climb on between {size(above, code.unit)} and {size(below, code.unit)} above the floor"
    return (rules.Climb(fall, above, below, source if isinstance(source, str) else name, words),)


def _tensions(code: Table) -> tuple[rules.TensionRow, ...]:
    """A row of the table of tensions for each wire and spacing."""
    return tuple(_tension(table) for table in code.tables("tension"))


def _tension(table: Table) -> rules.TensionRow:
    """Pulls by clear span, "x" where a span is not allowed."""
    diameter, spacing = table.amount("diameter", ranges.DIAMETER), table.amount("spacing", ranges.SPACING)
    if not table.has("diameter"):  # a job's own cable has a usual one, a row of a table has not
        table.need("diameter", f"write {ranges.DIAMETER.words(table.unit)}")
    lay = table.text("strand", "1x19") or ""
    spans = table.amounts("spans", ranges.CLEAR_SPAN)
    if table.fine("spans") and list(spans) != sorted(set(spans)):
        table.problem("spans", f"found {shown(table.raw('spans'))}", "write them from the shortest to the longest")
    words = 'a pull for each span, such as "1000 N", or "x" where it is not allowed'
    values = table.items("pulls", 1, LONGEST_LIST, words)
    if len(values) != len(spans) and table.fine("spans", "pulls"):
        table.problem("pulls", f"found {len(values)} for {len(spans)} spans", f"write {words}")
    pulls = [None if v == "x" else table.checked(f"pulls[{i}]", v, ranges.LISTED_PULL) for i, v in enumerate(values)]
    table.done()
    return rules.TensionRow(diameter, lay, spacing, tuple(zip(spans, pulls, strict=False)), diameter)


def _code(name: str, table: Table) -> rules.RuleSet | None:
    low, high = ranges.CODE_LENGTH.bounds(table.unit)

    def parse(value: object) -> float:
        size = ranges.convert("length", value, table.unit)
        if not low <= size <= high:
            raise ValueError(f"write {ranges.CODE_LENGTH.words(table.unit)}")
        return size

    try:
        plain = {key: value for key, value in table.data.items() if key not in ("climb", "tension")}
        return rules.rules_from_table(name, plain, parse)
    except ValueError as error:
        for line in str(error).splitlines():
            key, _, remedy = line.partition(": ")
            found = f"found {shown(table.data[key])}" if key in table.data else "found nothing"
            table.problem(key, found, remedy.removeprefix("missing; "))
        return None
