"""A rule set's name, or a job's own [code.NAME] table, turned into limits in mm and N."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from jiggen.handbook.load import rows, table
from jiggen.units import length

Where = Literal["level", "stair", "any"]

_NAMES = ("irc-2021", "ibc-2021", "abcb-2022", "adk-2013", "nbc-2020")
_EQUAL = 0.05  # mm; a size this near a listed one of the tension table is that one
OWN_KEYS = (
    *("title", "opening", "stair_opening", "triangle", "height", "stair_height", "fall", "source"),
    *("rise", "going", "spread", "riser_opening", "climb", "tension"),
)
APART = ("title", "source", "climb", "tension")  # keys of its own that are no lengths


@dataclass(frozen=True, slots=True)
class Zone:
    """From ``above`` up to ``below`` mm over the reference line no sphere of ``sphere`` mm passes."""

    where: Where
    above: float
    below: float
    sphere: float
    clause: str


@dataclass(frozen=True, slots=True)
class Climb:
    """Over a fall of ``fall_over`` mm horizontal members between ``above`` and ``below`` mm are doubted."""

    fall_over: float
    above: float
    below: float
    clause: str
    words: str


@dataclass(frozen=True, slots=True)
class Height:
    """Over a fall of ``fall_over`` mm the guard's top is ``least`` to ``most`` mm over the reference line."""

    where: Literal["level", "stair"]
    least: float
    most: float | None
    fall_over: float
    clause: str


@dataclass(frozen=True, slots=True)
class StairRule:
    """Limits of a stair's steps, mm; ``spread_most``: largest less smallest of one flight."""

    riser_most: float
    tread_least: float
    spread_most: float
    clause: str


@dataclass(frozen=True, slots=True)
class OpenRiser:
    """No sphere of ``sphere`` mm passes between two treads, where the fall is over ``over`` mm."""

    sphere: float
    over: float
    clause: str


@dataclass(frozen=True, slots=True)
class TensionRow:
    """Required tension by clear span for one wire and spacing: (span mm, N), None where it is not allowed.

    ``most``: the thickest wire that reads this row, mm.
    """

    diameter: float
    lay: str
    spacing: float
    tensions: tuple[tuple[float, float | None], ...]
    most: float


@dataclass(frozen=True, slots=True)
class RuleSet:
    """One rule set as data.

    ``guard_over``: the fall in mm above which a guard is needed. ``triangle``: sphere in mm that must not
    pass the triangle of tread, riser and lowest member, None: the opening's sphere holds there too.
    ``tension_clause``: of the table of tensions, "" where there is none, ``tension_cone``: made with the cone of
    ``mechanics.opening``. ``load_published``: the code gives the force under which an opening is judged. ``stair_notes``: told of stairs alone.
    """

    name: str
    title: str
    zones: tuple[Zone, ...]
    triangle: float | None
    triangle_clause: str
    heights: tuple[Height, ...]
    guard_over: float
    climbs: tuple[Climb, ...]
    stair: StairRule | None
    tension_table: tuple[TensionRow, ...]
    load_published: bool
    notes: tuple[str, ...]
    source: str
    open_riser: OpenRiser | None = None
    tension_clause: str = ""
    tension_cone: bool = False
    stair_notes: tuple[str, ...] = ()

    def sphere_at(self, height: float, stair: bool) -> tuple[float, str]:
        """Sphere in mm and clause for an opening ``height`` mm over the reference line.

        Above the highest zone and below the lowest the nearest one holds.
        """
        own = ("stair", "any") if stair else ("level", "any")
        zones = [zone for zone in self.zones if zone.where in own] or list(self.zones)
        nearest = min(
            zones, key=lambda zone: (max(zone.above - height, height - zone.below, 0.0), height >= zone.below)
        )
        return nearest.sphere, nearest.clause

    def height_for(self, fall: float | None, stair: bool) -> Height | None:
        """The height rule that binds at a fall of ``fall`` mm (None: the highest), None where none does."""
        where = "stair" if stair else "level"
        binding = [rule for rule in self.heights if rule.where == where and (fall is None or fall > rule.fall_over)]
        return max(binding, key=lambda rule: rule.least, default=None)

    def required_tension(self, diameter: float, lay: str, spacing: float, clear: float) -> float | None:
        """Tension in N that the table asks of a wire, None where it allows none or lists no such wire.

        Reads the next listed spacing and clear span upwards; within 0.05 mm counts as equal, and wire up to a row's
        ``most`` reads that row.
        """
        candidates = [
            row
            for row in self.tension_table
            if row.diameter - _EQUAL <= diameter <= row.most + _EQUAL
            and row.lay == lay
            and row.spacing >= spacing - _EQUAL
        ]
        row = min(candidates, key=lambda row: row.spacing, default=None)
        spans = row.tensions if row else ()
        return next((tension for span, tension in spans if span >= clear - _EQUAL), None)


def rule_names() -> tuple[str, ...]:
    """The names of the rule sets that ship."""
    return _NAMES


HIGHEST = 2500.0  # mm that a rule set may ask of a guard: no more than a job may give one


@cache
def rule_set(name: str) -> RuleSet | None:
    """The rule set called ``name`` (see ``rule_names``), None for any other name."""
    return _shipped(name, table(f"rules/{name}.toml")) if name in _NAMES else None


def rules_from_table(name: str, table: Mapping[str, Any], parse_length: Callable[[Any], float]) -> RuleSet:
    """The rule set of a job's own [code.NAME] table.

    Keys: ``opening`` (required), ``stair_opening``, ``triangle``, ``height``, ``stair_height``, ``fall``
    (above which a guard is needed), ``title``, ``source``; ``rise`` at most, ``going`` at least, their ``spread`` in a flight
    at most, and the sphere that must not pass between open risers, ``riser_opening``. ``parse_length`` gives mm or raises ValueError.
    ``climb`` and ``tension`` are left to who reads the job.
    Raises ValueError with one line "key: message" for each key that is wrong.
    """
    wrong = [f"{key}: not a key of a rule set" for key in table if key not in OWN_KEYS]
    sizes = {key: _size(key, table, parse_length, wrong) for key in OWN_KEYS if key not in APART}
    texts = {key: table.get(key, name) for key in ("title", "source")}
    wrong += [f"{key}: write a text" for key, value in texts.items() if not isinstance(value, str)]
    if "opening" not in table:
        wrong.append('opening: missing; write the sphere that must not pass, such as "4 in"')
    if wrong:
        raise ValueError("\n".join(wrong))
    return _own(name, texts["title"], texts["source"], sizes)


def _size(key: str, table: Mapping[str, Any], parse: Callable[[Any], float], wrong: list[str]) -> float | None:
    if key not in table:
        return None
    try:
        size = parse(table[key])
    except ValueError as error:
        wrong.append(f"{key}: {error}")
        return None
    if size < 0 or (size == 0 and key != "fall"):
        wrong.append(f"{key}: write a length over 0")
    if key in ("height", "stair_height") and size > HIGHEST:
        wrong.append(f"{key}: write a length up to 2.5 m (98 in), as high as a guard may be here")
    return size


def _own(name: str, title: str, source: str, sizes: Mapping[str, float | None]) -> RuleSet:
    fall = sizes["fall"] or 0.0
    spheres: list[tuple[Where, float | None]] = [
        ("level", sizes["opening"]),
        ("stair", sizes["stair_opening"] or sizes["opening"]),
    ]
    tops: list[tuple[Literal["level", "stair"], float | None]] = [
        ("level", sizes["height"]),
        ("stair", sizes["stair_height"] or sizes["height"]),
    ]
    return RuleSet(
        name=name,
        title=title,
        zones=tuple(Zone(where, 0.0, math.inf, size, source) for where, size in spheres if size),
        triangle=sizes["triangle"],
        triangle_clause=source if sizes["triangle"] else "",
        heights=tuple(Height(where, size, None, fall, source) for where, size in tops if size),
        guard_over=fall,
        climbs=(),
        stair=_own_steps(source, sizes),
        tension_table=(),
        load_published=False,
        notes=(),
        source=source,
        open_riser=OpenRiser(sizes["riser_opening"], 0.0, source) if sizes["riser_opening"] else None,
    )


def _own_steps(source: str, sizes: Mapping[str, float | None]) -> StairRule | None:
    """The limits of steps that are said; one that is not binds nothing."""
    rise, going, spread = (sizes[key] for key in ("rise", "going", "spread"))
    if rise is None and going is None and spread is None:
        return None
    return StairRule(rise or math.inf, going or 0.0, spread or math.inf, source)


def _shipped(name: str, data: Mapping[str, Any]) -> RuleSet:
    return RuleSet(
        name=name,
        title=data["title"],
        zones=tuple(_zone(row) for row in data["zone"]),
        triangle=_optional(data, "triangle"),
        triangle_clause=data.get("triangle_clause", ""),
        heights=tuple(_height(row) for row in data["height"]),
        guard_over=length(data["guard_over"]),
        climbs=tuple(_climb(row) for row in data.get("climb", ())),
        stair=_stair(data["stair"]) if "stair" in data else None,
        tension_table=_tensions(data["tension"], data["tension_reads"]) if "tension" in data else (),
        load_published=data["load_published"],
        notes=tuple(data["notes"]),
        source=data["source"],
        open_riser=_open_riser(data["open_riser"]) if "open_riser" in data else None,
        tension_clause=data.get("tension_clause", ""),
        tension_cone=data.get("tension_cone", False),
        stair_notes=tuple(data.get("stair_notes", ())),
    )


def _open_riser(row: Mapping[str, Any]) -> OpenRiser:
    return OpenRiser(length(row["sphere"]), _optional(row, "over") or 0.0, row["clause"])


def _optional(row: Mapping[str, Any], key: str) -> float | None:
    return length(row[key]) if key in row else None


def _band(row: Mapping[str, Any]) -> tuple[float, float]:
    """``above`` (0 where it is left out) and ``below`` (no end where it is)."""
    above, below = _optional(row, "above"), _optional(row, "below")
    return above or 0.0, math.inf if below is None else below


def _zone(row: Mapping[str, Any]) -> Zone:
    return Zone(row["where"], *_band(row), length(row["sphere"]), row["clause"])


def _climb(row: Mapping[str, Any]) -> Climb:
    return Climb(length(row["fall_over"]), *_band(row), row["clause"], row["words"])


def _height(row: Mapping[str, Any]) -> Height:
    least, most = length(row["least"]), _optional(row, "most")
    return Height(row["where"], least, most, length(row["fall_over"]), row["clause"])


def _stair(row: Mapping[str, Any]) -> StairRule:
    riser, tread, spread = (length(row[key]) for key in ("riser_most", "tread_least", "spread_most"))
    return StairRule(riser, tread, spread, row["clause"])


def _tensions(name: str, reads: Mapping[str, float]) -> tuple[TensionRow, ...]:
    return tuple(_tension_row(row, reads) for row in rows(name))


def _tension_row(row: Mapping[str, str], reads: Mapping[str, float]) -> TensionRow:
    cells = [(float(key), cell) for key, cell in row.items() if key.isdigit()]
    tensions = tuple((span, None if cell == "x" else float(cell)) for span, cell in cells)
    diameter = float(row["diameter_mm"])
    most = reads.get(row["diameter_mm"], diameter)
    return TensionRow(diameter, row["lay"], float(row["wire_spacing_mm"]), tensions, most)
