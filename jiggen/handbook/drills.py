"""Drill sets turned into drills in order of size, and the next one up or down from a size."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from jiggen.handbook.load import rows
from jiggen.units import from_inches, mm_text

SETS = ("fraction", "number", "letter", "metric")
SAME = 0.01  # mm; nearer than this two diameters are one


@dataclass(frozen=True, slots=True)
class Drill:
    """A twist drill: its name in its set ("7/32 in", "#7", "F", "5.6 mm"), diameter in mm, set."""

    name: str
    diameter: float
    set: str


@cache
def drills(sets: tuple[str, ...]) -> tuple[Drill, ...]:
    """The drills of ``sets`` by diameter; equal diameters in the order that the sets are given.

    Sets: "fraction" (n/64 in up to 2 in), "number", "letter" (ASME B94.11M), "metric" (BS 328).
    Raises ValueError for any other.
    """
    for name in sets:
        if name not in SETS:
            raise ValueError(f"write drill sets out of {', '.join(SETS)}")
    found = [drill for name in dict.fromkeys(sets) for drill in _one_set(name)]
    return tuple(sorted(found, key=lambda drill: drill.diameter))


def next_up(size: float, sets: tuple[str, ...]) -> Drill | None:
    """The smallest drill not less than ``size`` mm (0.01 mm counts as equal), None where there is none.

    Of two within 0.01 mm of each other the earlier set wins.
    """
    choice = drills(sets)
    start = bisect_left(choice, size - SAME - 1e-9, key=lambda drill: drill.diameter)
    if start == len(choice):
        return None
    most = choice[start].diameter + SAME + 1e-9
    end = next((index for index in range(start, len(choice)) if choice[index].diameter > most), len(choice))
    return _preferred(choice[start:end], choice[start], sets)


def next_down(size: float, sets: tuple[str, ...]) -> Drill | None:
    """The largest drill not greater than ``size`` mm (0.01 mm counts as equal), None where there is none.

    Of two within 0.01 mm of each other the earlier set wins.
    """
    choice = drills(sets)
    end = bisect_right(choice, size + SAME + 1e-9, key=lambda drill: drill.diameter)
    if end == 0:
        return None
    least = choice[end - 1].diameter - SAME - 1e-9
    start = next((index + 1 for index in range(end - 1, -1, -1) if choice[index].diameter < least), 0)
    return _preferred(choice[start:end], choice[end - 1], sets)


def _preferred(choice: Sequence[Drill], best: Drill, sets: tuple[str, ...]) -> Drill:
    """Among the drills of ``choice``, all as large as ``best``, the one of the earliest set, then the nearest."""
    return min(choice, key=lambda drill: (sets.index(drill.set), abs(drill.diameter - best.diameter)))


def _one_set(name: str) -> list[Drill]:
    if name == "fraction":
        inches = [Fraction(n, 64) for n in range(1, 129)]
        return [Drill(f"{_mixed(size)} in", from_inches(size), name) for size in inches]
    if name == "metric":
        sizes = [size / 100 for size in _metric_hundredths()]
        return [Drill(f"{mm_text(size, 2).rstrip('0').rstrip('.')} mm", size, name) for size in sizes]
    listed = [row for row in rows("drills.csv") if row["set"] == name]
    return [Drill(row["name"], from_inches(Fraction(row["diameter_in"])), name) for row in listed]


def _mixed(inches: Fraction) -> str:
    """ "65/64" as "1 1/64"."""
    whole, part = divmod(inches, 1)
    return " ".join(str(value) for value in (whole, part) if value)


def _metric_hundredths() -> list[int]:
    """Diameters in 0.01 mm as BS 328 steps them."""
    steps = rows("drills_metric.csv")
    return [size for row in steps for size in range(int(row["from"]), int(row["to"]) + 1, int(row["step"]))]
