"""A length and the places on it that must stay whole turned into the joins between pages."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import NamedTuple

CLEAR = 6.0  # least distance of a join from a hole or an outline, mm
REACH = 0.45  # how far a join may be moved back, as a part of what the page holds
PREFER = 1.0 / 3.0  # in this last part of the page a preferred place is taken
BESIDE = 0.4  # least distance of a join from lettering, mm
LETTERING = 0.15  # for lettering's sake alone a join is moved back by no more than this part of the page
_TINY = 1e-6


class Span(NamedTuple):
    """From ``start`` to ``end`` along the way that pages follow each other, mm; ``weight`` as for a Keep."""

    start: float
    end: float
    weight: int


class Join(NamedTuple):
    """A join at ``at``; ``near``: the spans that it comes nearer to than 6 mm, by their index."""

    at: float
    near: tuple[int, ...] = ()


def joins(
    length: float,
    full: float,
    overlap: float,
    trim: float,
    spans: Sequence[Span],
    prefer: Sequence[float] = (),
    share: float = PREFER,
) -> tuple[Join, ...]:
    """The joins along ``length``, in order; none where all fits one page.

    Each page shows ``full`` mm; all but the first lose ``overlap`` of it to the strip that goes under
    the page before, all but the last lose ``trim``, the edge that is cut off. A join lies as far on as the
    page reaches and is moved back, by up to 45 % of the page, until nothing in ``spans`` is within 6 mm;
    where that cannot be, it misses the holes (weight 2), then as many outlines (1) as it can; where that cannot be
    either, it comes near the fewest holes and cuts none if it can. As long as that takes no page more, a place in
    ``prefer`` in the last third (``share``) of the page is taken where it is clear, else one that cuts the least
    lettering (0, for which 0.4 mm are enough). All in mm. Raises ValueError where overlap and trim eat the page up.
    """
    if full - overlap - trim < full / 3.0:
        raise ValueError(f"an overlap of {overlap:g} mm is too much for pages that show {full:g} mm")
    way = _Way(length, full, overlap, trim, _Cuts(spans))
    found: list[Join] = []
    start, left = 0.0, way.pages(0.0)
    while left > 1:
        left -= 1
        room = way.room(start) - trim
        places = [*_wanted(start, room, way.cuts, prefer, share), *_quiet(start, room, way.cuts)]
        at = next((at for at in places if way.pages(at) <= left), way.cuts.best(start, room))
        found.append(Join(at, way.cuts.named(at)))
        start = at
    return tuple(found)


class _Way(NamedTuple):
    """What is to be cut, and how much of it a page shows."""

    length: float
    full: float
    overlap: float
    trim: float
    cuts: _Cuts

    def room(self, start: float) -> float:
        """What a page that begins at ``start`` shows of the sheet."""
        return self.full - (self.overlap if start else 0.0)

    def pages(self, start: float) -> int:
        """How many pages it takes from ``start`` on, each reaching as far as it may."""
        count = 1
        while self.length - start > self.room(start) + _TINY:
            start, count = self.cuts.best(start, self.room(start) - self.trim), count + 1
        return count


class _Cuts:
    """What a join at any place comes near: holes, outlines and lettering."""

    def __init__(self, spans: Sequence[Span]) -> None:
        self.spans = spans
        self._tables: dict[float, tuple[_Near, _Near, _Near]] = {}
        self._before: dict[float, list[float]] = {}
        self._found: dict[tuple[float, float], float] = {}

    def near(self, at: float, clearance: float) -> tuple[int, int, int]:
        """How many holes, outlines and lines of lettering a join at ``at`` comes nearer to than ``clearance``."""
        holes, outlines, words = self._table(clearance)
        return holes.count(at), outlines.count(at), words.count(at)

    def named(self, at: float) -> tuple[int, ...]:
        """The holes and outlines that a join at ``at`` comes nearer to than 6 mm, by their index."""
        near = CLEAR - _TINY
        return tuple(i for i, s in enumerate(self.spans) if s.weight > 0 and s.start - near < at < s.end + near)

    def places(self, start: float, room: float, clearance: float) -> set[float]:
        """The end of the page, and just before each span in that part of it in which a join may lie."""
        if clearance not in self._before:
            self._before[clearance] = sorted(span.start - _clearance(span, clearance) for span in self.spans)
        before, last = self._before[clearance], start + room
        return {last, *before[bisect_left(before, last - room * REACH) : bisect_right(before, last)]}

    def best(self, start: float, room: float) -> float:
        """The place that comes near the fewest holes, then the fewest outlines; of such places the farthest."""
        if (start, room) not in self._found:
            for clearance in (CLEAR, CLEAR / 2.0, 1.0, 0.0):
                holes, _, at = self._least(start, room, clearance)
                if holes == 0:
                    break
            self._found[start, room] = -at
        return self._found[start, room]

    def _least(self, start: float, room: float, clearance: float) -> tuple[int, int, float]:
        return min((*self.near(at, clearance)[:2], -at) for at in self.places(start, room, clearance))

    def _table(self, clearance: float) -> tuple[_Near, _Near, _Near]:
        if clearance not in self._tables:
            holes = _Near(clearance, [span for span in self.spans if span.weight >= 2])
            outlines = _Near(clearance, [span for span in self.spans if span.weight == 1])
            words = _Near(min(clearance, BESIDE), [span for span in self.spans if span.weight <= 0])
            self._tables[clearance] = holes, outlines, words
        return self._tables[clearance]


class _Near:
    """How many of some spans lie within a distance of a place: as many as begin before it, less those that have ended."""

    def __init__(self, clearance: float, spans: Sequence[Span]) -> None:
        reach = clearance - _TINY
        wide = [(span.start - reach, span.end + reach) for span in spans]
        self.starts = sorted(low for low, high in wide if low < high)
        self.ends = sorted(high for low, high in wide if low < high)

    def count(self, at: float) -> int:
        return bisect_left(self.starts, at) - bisect_right(self.ends, at)


def _wanted(start: float, room: float, cuts: _Cuts, prefer: Sequence[float], share: float) -> list[float]:
    """Preferred places near the end of the page, the farthest first."""
    last = start + room
    inside = [at for at in prefer if last - room * share <= at <= last + _TINY]
    return sorted((at for at in inside if not any(cuts.near(at, CLEAR))), reverse=True)


def _quiet(start: float, room: float, cuts: _Cuts) -> list[float]:
    """The best place and those a little before it that are as good, what cuts the least lettering first."""
    best = cuts.best(start, room)
    clearance = next((c for c in (CLEAR, CLEAR / 2.0, 1.0) if cuts.near(best, c)[0] == 0), 0.0)
    near = [at for at in cuts.places(start, room, clearance) if at >= best - room * LETTERING]
    return sorted(near, key=lambda at: (*cuts.near(at, clearance), -at))


def _clearance(span: Span, clearance: float) -> float:
    """What a join keeps from a span: lettering needs no more than not to be cut."""
    return clearance if span.weight > 0 else min(clearance, BESIDE)
