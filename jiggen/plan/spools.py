"""Cable lengths turned into spools to buy and how to cut them."""

from __future__ import annotations

import heapq
from bisect import bisect_left, insort
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import factorial, fsum, prod

TRIES = 4000  # sets of spools looked at, shortest first
PLACINGS = 2000  # placings that such a search may take
FILLS = 20000  # steps that ways of filling spools may take, in all sets together
EXACT = 14  # up to so many cuts every way of sharing them out is tried


@dataclass(frozen=True, slots=True)
class Spool:
    """One spool: its length, the labels of what is cut from it in their order, what is left over, mm."""

    length: float
    cuts: tuple[str, ...]
    left: float


@dataclass(frozen=True, slots=True)
class Buying:
    """Spools to buy. ``needed``: the cables' total. ``bound``: the shortest set of spools that holds that total;
    ``met``: whether what is bought is that short."""

    spools: tuple[Spool, ...]
    needed: float
    bound: float
    met: bool


def buy(cuts: Mapping[str, float], sizes: Sequence[float]) -> Buying | None:
    """The shortest set of spools found that gives every cut, None where a cut is longer than any spool.

    ``cuts``: length by label, mm. Sets are looked at by their total, shortest first; each is filled longest cut
    first into the spool that it fits best, then, cuts of one length taken together, in every way that leaves no more over
    than there is, and, for a few cuts, one by one.
    """
    if not cuts:
        return Buying((), 0.0, 0.0, True)
    if not sizes or max(cuts.values()) > max(sizes):
        return None
    place = {label: index for index, label in enumerate(cuts)}
    order = sorted(cuts, key=lambda label: (-cuts[label], place[label]))
    lengths, total = [cuts[label] for label in order], fsum(cuts.values())
    bound, fills = 0.0, [FILLS]
    for spools in _sets(sorted(set(sizes)), total):
        bound = bound or fsum(spools)
        if sum(int(spool / lengths[-1] + 1e-9) for spool in spools) < len(lengths):
            continue
        shares = _best_fit(lengths, spools) or _together(lengths, spools, fills)
        if shares is None and len(lengths) <= EXACT:
            shares = _every_way(lengths, spools)
        if shares is not None:
            return Buying(_filled(order, lengths, spools, shares), total, bound, fsum(spools) <= bound + 1e-6)
    spools = _one_by_one(lengths, sorted(set(sizes)))
    shares = _best_fit(lengths, spools)
    assert shares is not None
    return Buying(_filled(order, lengths, spools, shares), total, bound, False)


def _sets(sizes: Sequence[float], total: float) -> Iterator[tuple[float, ...]]:
    """Sets of spools that hold ``total``, the shortest first, then the fewest; the longest spool of each first.

    None where more sets are too short than may be looked at: their number is at least the volume of the corner that
    the plane of sets of length ``total`` cuts off.
    """
    if prod(total / size for size in sizes) / factorial(len(sizes)) > 40 * TRIES:
        return
    heap: list[tuple[float, int, tuple[float, ...]]] = [(0.0, 0, ())]
    seen: set[tuple[float, ...]] = set()
    given = 0
    while heap and given < TRIES and len(seen) < 40 * TRIES:
        length, count, spools = heapq.heappop(heap)
        if length >= total - 1e-9:
            given += 1
            yield spools
        for size in sizes:
            if spools and size > spools[-1]:
                continue
            more = (*spools, size)
            if more not in seen and length < total + max(sizes):
                seen.add(more)
                heapq.heappush(heap, (length + size, count + 1, more))


def _best_fit(lengths: Sequence[float], spools: Sequence[float]) -> list[int] | None:
    """Longest cut first into the spool that has the least left over for it; None where one finds no place."""
    left = sorted((size, index) for index, size in enumerate(spools))
    shares = []
    for length in lengths:
        place = bisect_left(left, (length - 1e-9, -1))
        if place == len(left):
            return None
        size, index = left.pop(place)
        insort(left, (size - length, index))
        shares.append(index)
    return shares


def _together(lengths: Sequence[float], spools: Sequence[float], fills: list[int]) -> list[int] | None:
    """A way of sharing the cuts out, those of one length taken together; None where none was found.

    Each spool is filled until nothing that is left goes in, and no more is left over in all than the spools have beyond the
    cuts. ``fills``: how many steps may still be taken, counted down.
    """
    kinds = sorted(set(lengths), reverse=True)
    left = [lengths.count(kind) for kind in kinds]
    chosen: list[tuple[int, ...]] = []

    def place(spool: int, spare: float) -> bool:
        if spool == len(spools):
            return not any(left)
        for fill, over in _fills(kinds, tuple(left), spools[spool], spare, fills):
            left[:] = [have - take for have, take in zip(left, fill, strict=True)]
            chosen.append(fill)
            if place(spool + 1, spare - over):
                return True
            chosen.pop()
            left[:] = [have + take for have, take in zip(left, fill, strict=True)]
        return False

    if not place(0, fsum(spools) - fsum(lengths) + 1e-6):
        return None
    waiting = {kind: [i for i, fill in enumerate(chosen) for _ in range(fill[n])] for n, kind in enumerate(kinds)}
    return [waiting[length].pop(0) for length in lengths]


def _fills(
    kinds: Sequence[float], left: Sequence[int], room: float, spare: float, fills: list[int]
) -> Iterator[tuple[tuple[int, ...], float]]:
    """Counts of each kind that fill ``room`` so that nothing left goes in any more, and what is over, ``spare`` at most.

    ``kinds``: the longest first.
    """
    fills[0] -= 1
    if not kinds:
        if room <= spare:
            yield (), max(room, 0.0)
        return
    kind, *others = kinds
    for take in range(min(left[0], int((room + 1e-6) / kind)), -1, -1):
        if fills[0] < 0:
            return
        for rest, over in _fills(others, left[1:], room - take * kind, spare, fills):
            if take == left[0] or over < kind - 1e-6:
                yield (take, *rest), over


def _every_way(lengths: Sequence[float], spools: Sequence[float]) -> list[int] | None:
    """A way of sharing the cuts out, found by trying all, up to ``PLACINGS``; None where none was found."""
    left = list(spools)
    shares: list[int] = []
    placings = 0

    def place(index: int) -> bool:
        nonlocal placings
        placings += 1
        if placings > PLACINGS:
            return False
        if index == len(lengths):
            return True
        tried: set[float] = set()
        for spool in range(len(left)):
            room = round(left[spool], 6)
            if left[spool] < lengths[index] - 1e-9 or room in tried:
                continue
            tried.add(room)
            left[spool] -= lengths[index]
            shares.append(spool)
            if place(index + 1):
                return True
            left[spool] += lengths[index]
            shares.pop()
        return False

    return shares if place(0) else None


def _one_by_one(lengths: Sequence[float], sizes: Sequence[float]) -> tuple[float, ...]:
    """Spools opened one by one as cuts ask for them: always a way, not the shortest."""
    spools: list[float] = []
    left: list[float] = []
    for length in lengths:
        fitting = [index for index in range(len(left)) if left[index] >= length]
        if fitting:
            left[min(fitting, key=lambda index: left[index])] -= length
        else:
            spools.append(max(sizes))
            left.append(max(sizes) - length)
    return tuple(sorted(spools, reverse=True))


def _filled(
    order: Sequence[str], lengths: Sequence[float], spools: Sequence[float], shares: Sequence[int]
) -> tuple[Spool, ...]:
    found = []
    for index, length in enumerate(spools):
        own = [i for i, share in enumerate(shares) if share == index]
        found.append(Spool(length, tuple(order[i] for i in own), length - fsum(lengths[i] for i in own)))
    return tuple(found)
