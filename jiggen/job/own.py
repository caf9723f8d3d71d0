"""[strand.NAME], [wood.NAME] and [code.NAME], what the job brings of its own, turned into handbook values."""

from __future__ import annotations

from jiggen.handbook import rules
from jiggen.handbook.strands import Strand
from jiggen.handbook.woods import HARD_ABOVE, Material
from jiggen.job import ranges
from jiggen.job.tables import Table
from jiggen.job.wording import shown

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
        table.done()
        found[name] = _code(name, table) if table.fine() else None
    return found


def _code(name: str, table: Table) -> rules.RuleSet | None:
    low, high = ranges.CODE_LENGTH.bounds(table.unit)

    def parse(value: object) -> float:
        size = ranges.convert("length", value, table.unit)
        if not low <= size <= high:
            raise ValueError(f"write {ranges.CODE_LENGTH.words(table.unit)}")
        return size

    try:
        return rules.rules_from_table(name, table.data, parse)
    except ValueError as error:
        for line in str(error).splitlines():
            key, _, remedy = line.partition(": ")
            found = f"found {shown(table.data[key])}" if key in table.data else "found nothing"
            table.problem(key, found, remedy.removeprefix("missing; "))
        return None
