"""Boxes already taken on a drawing, so that lettering finds a place of its own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import product
from math import inf
from typing import NamedTuple


class Box(NamedTuple):
    """An upright rectangle: left, bottom, right, top, mm."""

    left: float
    bottom: float
    right: float
    top: float

    def grown(self, by: float) -> Box:
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def holds(self, other: Box) -> bool:
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.bottom <= other.bottom
            and other.top <= self.top
        )

    def overlap(self, other: Box) -> float:
        """Shared area, mm2, 0 where they only touch."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.top, other.top) - max(self.bottom, other.bottom)
        return wide * high if wide > 0.0 and high > 0.0 else 0.0


@dataclass
class Space:
    """What is taken so far; boxes are kept in square cells of ``cell`` mm for a quick look."""

    cell: float = 9.0
    _cells: defaultdict[tuple[int, int], list[Box]] = field(default_factory=lambda: defaultdict(list))

    def take(self, box: Box) -> None:
        for index in self._indices(box):
            self._cells[index].append(box)

    def clash(self, box: Box, enough: float = inf) -> float:
        """Area of ``box`` that is taken already, mm2 (twice where two boxes overlap there); no more is counted at ``enough``."""
        cell, total = self.cell, 0.0
        left, bottom, right, top = box
        for column, row in self._indices(box):
            for x, y, u, v in self._cells.get((column, row), ()):
                if x >= right or u <= left or y >= top or v <= bottom:
                    continue
                low_x, low_y = (left if left > x else x), (bottom if bottom > y else y)
                wide, high = (right if right < u else u) - low_x, (top if top < v else v) - low_y
                # a box lies in several cells and counts in the one where the shared part begins
                if wide > 0.0 and high > 0.0 and low_x // cell == column and low_y // cell == row:
                    total += wide * high
                    if total >= enough:
                        return total
        return total

    def free(self, box: Box, but: Container[Box] = ()) -> bool:
        """Whether nothing lies in ``box``, ``but`` what is given."""
        left, bottom, right, top = box
        return not any(
            x < right and u > left and y < top and v > bottom and x < u and y < v and (x, y, u, v) not in but
            for index in self._indices(box)
            for x, y, u, v in self._cells.get(index, ())
        )

    def best(self, choices: Iterable[Box]) -> int:
        """Index of the first free choice, else of the one that clashes least."""
        least, found = float("inf"), 0
        for index, box in enumerate(choices):
            area = self.clash(box, least)
            if area == 0.0:
                return index
            if area < least:
                least, found = area, index
        return found

    def _indices(self, box: Box) -> Iterator[tuple[int, int]]:
        cell = self.cell
        columns = range(int(box.left // cell), int(box.right // cell) + 1)
        rows = range(int(box.bottom // cell), int(box.top // cell) + 1)
        return product(columns, rows)
