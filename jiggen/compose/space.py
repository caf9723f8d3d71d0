"""Boxes already taken on a drawing, so that lettering finds a place of its own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple


class Box(NamedTuple):
    """An upright rectangle: left, bottom, right, top, mm."""

    left: float
    bottom: float
    right: float
    top: float

    def grown(self, by: float) -> Box:
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def overlap(self, other: Box) -> float:
        """Shared area, mm2, 0 where they only touch."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.top, other.top) - max(self.bottom, other.bottom)
        return wide * high if wide > 0.0 and high > 0.0 else 0.0


@dataclass
class Space:
    """What is taken so far; boxes are kept in bands of height for a quick look."""

    band: float = 25.0
    _bands: dict[int, list[Box]] = field(default_factory=dict)

    def take(self, box: Box) -> None:
        for index in self._indices(box):
            self._bands.setdefault(index, []).append(box)

    def clash(self, box: Box) -> float:
        """Area of ``box`` that is taken already, mm2 (twice where two boxes overlap there)."""
        near = {other for index in self._indices(box) for other in self._bands.get(index, ())}
        return sum(box.overlap(other) for other in near)

    def free(self, box: Box) -> bool:
        return self.clash(box) == 0.0

    def best(self, choices: Iterable[Box]) -> int:
        """Index of the first free choice, else of the one that clashes least."""
        least, found = float("inf"), 0
        for index, box in enumerate(choices):
            area = self.clash(box)
            if area == 0.0:
                return index
            if area < least:
                least, found = area, index
        return found

    def _indices(self, box: Box) -> range:
        return range(int(box.bottom // self.band), int(box.top // self.band) + 1)
