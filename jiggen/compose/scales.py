"""A job's units turned into the scales that its drawings may have: ISO 5455 in a metric job, inch-foot in an inch job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

# ISO 5455: 1:2, 1:5, 1:10 and ten times these; 1:2 is left out, a guard never comes near it.
METRIC = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0, 20000.0, 50000.0)
# Inches on paper to a foot on site: 12 in / 1 1/2 in = 8, 12 / 1 = 12, 12 / (1/2) = 24, 12 / (1/4) = 48, ... 1 in to 100 ft = 1200.
INCH = (
    ("1 1/2 in = 1 ft", 8.0),
    ("1 in = 1 ft", 12.0),
    ("3/4 in = 1 ft", 16.0),
    ("1/2 in = 1 ft", 24.0),
    ("3/8 in = 1 ft", 32.0),
    ("1/4 in = 1 ft", 48.0),
    ("1/8 in = 1 ft", 96.0),
    ("1/16 in = 1 ft", 192.0),
    ("1/32 in = 1 ft", 384.0),
    ("1 in = 100 ft", 1200.0),
    ("1 in = 500 ft", 6000.0),
    ("1 in = 5000 ft", 60000.0),
)


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale: ``ratio`` mm on site are 1 mm on paper; ``name`` as it is printed."""

    ratio: float
    name: str

    def paper(self, mm: float) -> float:
        """A length on site, drawn: mm of paper."""
        return mm / self.ratio


def scales(units: Literal["in", "mm"]) -> Sequence[Scale]:
    """All scales of a job, the largest drawing first."""
    if units == "mm":
        return [Scale(ratio, f"1:{ratio:.0f}") for ratio in METRIC]
    return [Scale(ratio, f"{name} (1:{ratio:.0f})") for name, ratio in INCH]
