"""Rectangles turned into places on sheets of stock: margin, gap, quarter turns, as few sheets as can be found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, fsum


@dataclass(frozen=True, slots=True)
class Block:
    """What a part takes: width and height, mm. ``turns``: may be turned by 90 degrees (no grain to keep)."""

    id: str
    width: float
    height: float
    turns: bool = True


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a block lies: its sheet from 0, lower left corner, turned by 90 degrees or not, size as it lies."""

    id: str
    sheet: int
    x: float
    y: float
    turned: bool
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Nest:
    """Spots in the order of the blocks. ``bound``: sheets that the blocks' area asks for at least."""

    spots: tuple[Spot, ...]
    sheets: int
    bound: int


class NoRoom(ValueError):
    """A block does not fit on a sheet either way; ``id`` names it."""

    def __init__(self, block: Block) -> None:
        self.id = block.id
        super().__init__(f"{block.id} is {block.width:.1f} x {block.height:.1f} mm, which fits no sheet")


@dataclass(slots=True)
class _Free:
    x: float
    y: float
    w: float
    h: float


Order = Callable[[Block], tuple[float, ...]]
_ORDERS: tuple[Order, ...] = (
    lambda b: (-b.width * b.height,),
    lambda b: (-max(b.width, b.height), -min(b.width, b.height)),
    lambda b: (-min(b.width, b.height), -max(b.width, b.height)),
    lambda b: (-b.width - b.height,),
)


def nest(blocks: Sequence[Block], width: float, height: float, margin: float, gap: float) -> Nest:
    """Places for all blocks on sheets of ``width`` x ``height`` mm.

    ``margin``: free edge of a sheet; ``gap``: least distance of two blocks. Free rectangles are kept at their largest;
    each block goes where its shorter side leaves least; four orders and two rules are tried, the fewest
    sheets win, then the emptiest last one. Raises NoRoom for a block that fits no sheet.
    """
    wide, high = width - 2.0 * margin, height - 2.0 * margin
    for block in blocks:
        if not (
            _fits(block.width, block.height, wide, high)
            or (block.turns and _fits(block.height, block.width, wide, high))
        ):
            raise NoRoom(block)
    bound = max(1, ceil(fsum(b.width * b.height for b in blocks) / (wide * high) - 1e-9)) if blocks else 0
    tries = []
    for order in _ORDERS:
        for rule in (_short_side, _bottom_left):
            spots = _pack(sorted(blocks, key=lambda b, o=order: (*o(b), b.id)), wide, high, gap, rule)  # type: ignore[misc]
            count = max((spot.sheet for spot in spots), default=-1) + 1
            rest = fsum(s.width * s.height for s in spots if s.sheet == count - 1)
            tries.append((count, rest, spots))
    count, _, best = min(tries, key=lambda t: (t[0], t[1]), default=(0, 0.0, []))
    by_id = {spot.id: spot for spot in best}
    placed = tuple(
        Spot(s.id, s.sheet, s.x + margin, s.y + margin, s.turned, s.width, s.height)
        for s in (by_id[block.id] for block in blocks)
    )
    return Nest(placed, count, bound)


Rule = Callable[[_Free, float, float], tuple[float, ...]]


def _short_side(free: _Free, w: float, h: float) -> tuple[float, ...]:
    rest = sorted((free.w - w, free.h - h))
    return rest[0], rest[1], free.y, free.x


def _bottom_left(free: _Free, w: float, h: float) -> tuple[float, ...]:
    return free.y + h, free.x


def _fits(w: float, h: float, wide: float, high: float) -> bool:
    return w <= wide + 1e-9 and h <= high + 1e-9


def _pack(blocks: Sequence[Block], wide: float, high: float, gap: float, rule: Rule) -> list[Spot]:
    """Blocks in this order, each on the first sheet with room. A gap is kept right of and above every block."""
    sheets: list[list[_Free]] = []
    spots: list[Spot] = []
    for block in blocks:
        ways = [(block.width, block.height, False)]
        if block.turns and abs(block.width - block.height) > 1e-9:
            ways.append((block.height, block.width, True))
        for number in range(len(sheets) + 1):
            if number == len(sheets):
                sheets.append([_Free(0.0, 0.0, wide + gap, high + gap)])
            choices = [
                (rule(free, w + gap, h + gap), turned, free.x, free.y, w, h)
                for free in sheets[number]
                for w, h, turned in ways
                if _fits(w + gap, h + gap, free.w, free.h)
            ]
            if choices:
                _, turned, x, y, w, h = min(choices)
                spots.append(Spot(block.id, number, x, y, turned, w, h))
                sheets[number] = _taken(sheets[number], x, y, w + gap, h + gap)
                break
    return spots


def _taken(free: Sequence[_Free], x: float, y: float, w: float, h: float) -> list[_Free]:
    """The largest free rectangles once a block is laid down."""
    parts: list[_Free] = []
    for f in free:
        if x >= f.x + f.w - 1e-9 or x + w <= f.x + 1e-9 or y >= f.y + f.h - 1e-9 or y + h <= f.y + 1e-9:
            parts.append(f)
            continue
        parts += [
            _Free(f.x, f.y, x - f.x, f.h),
            _Free(x + w, f.y, f.x + f.w - x - w, f.h),
            _Free(f.x, f.y, f.w, y - f.y),
            _Free(f.x, y + h, f.w, f.y + f.h - y - h),
        ]
    big = [p for p in parts if p.w > 1e-6 and p.h > 1e-6]
    return [p for i, p in enumerate(big) if not any(_within(p, o, i, j) for j, o in enumerate(big))]


def _within(p: _Free, other: _Free, i: int, j: int) -> bool:
    """Whether ``p`` lies in ``other``; of two equal ones the first stays."""
    if i == j:
        return False
    lies = (
        p.x >= other.x - 1e-9
        and p.y >= other.y - 1e-9
        and p.x + p.w <= other.x + other.w + 1e-9
        and p.y + p.h <= other.y + other.h + 1e-9
    )
    same = (
        abs(p.w - other.w) < 1e-9
        and abs(p.h - other.h) < 1e-9
        and abs(p.x - other.x) < 1e-9
        and abs(p.y - other.y) < 1e-9
    )
    return lies and not (same and i < j)
