"""A length and the places on it that must stay whole turned into the joins between pages."""

from __future__ import annotations

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
    way = _Way(length, full, overlap, trim, spans)
    found: list[Join] = []
    start, left = 0.0, way.pages(0.0)
    while left > 1:
        left -= 1
        room = way.room(start) - trim
        places = [*_wanted(start, room, spans, prefer, share), *_quiet(start, room, spans)]
        at = next((at for at in places if way.pages(at) <= left), _best(start, room, spans))
        found.append(Join(at, tuple(i for i in _near(at, spans, CLEAR) if spans[i].weight > 0)))
        start = at
    return tuple(found)


class _Way(NamedTuple):
    """What is to be cut, and how much of it a page shows."""

    length: float
    full: float
    overlap: float
    trim: float
    spans: Sequence[Span]

    def room(self, start: float) -> float:
        """What a page that begins at ``start`` shows of the sheet."""
        return self.full - (self.overlap if start else 0.0)

    def pages(self, start: float) -> int:
        """How many pages it takes from ``start`` on, each reaching as far as it may."""
        count = 1
        while self.length - start > self.room(start) + _TINY:
            start, count = _best(start, self.room(start) - self.trim, self.spans), count + 1
        return count


def _wanted(start: float, room: float, spans: Sequence[Span], prefer: Sequence[float], share: float) -> list[float]:
    """Preferred places near the end of the page, the farthest first."""
    last = start + room
    return sorted(
        (at for at in prefer if last - room * share <= at <= last + _TINY and not _near(at, spans, CLEAR)), reverse=True
    )


def _best(start: float, room: float, spans: Sequence[Span]) -> float:
    """The place that comes near the fewest holes, then the fewest outlines; of such places the farthest."""
    for clearance in (CLEAR, CLEAR / 2.0, 1.0, 0.0):
        places = _places(start, room, spans, clearance)
        best = min(places, key=lambda at: (*_count(at, spans, clearance)[:2], -at))
        if _count(best, spans, clearance)[0] == 0:
            break
    return best


def _quiet(start: float, room: float, spans: Sequence[Span]) -> list[float]:
    """The best place and those a little before it that are as good, what cuts the least lettering first."""
    best = _best(start, room, spans)
    clearance = next((c for c in (CLEAR, CLEAR / 2.0, 1.0) if _count(best, spans, c)[0] == 0), 0.0)
    near = [at for at in _places(start, room, spans, clearance) if at >= best - room * LETTERING]
    return sorted(near, key=lambda at: (*_count(at, spans, clearance), -at))


def _places(start: float, room: float, spans: Sequence[Span], clearance: float) -> set[float]:
    last = start + room
    before = (span.start - _clearance(span, clearance) for span in spans)
    return {last, *(at for at in before if last - room * REACH <= at <= last)}


def _near(at: float, spans: Sequence[Span], clearance: float) -> list[int]:
    reaches = (_clearance(span, clearance) - _TINY for span in spans)
    return [i for i, (s, reach) in enumerate(zip(spans, reaches, strict=True)) if s.start - reach < at < s.end + reach]


def _clearance(span: Span, clearance: float) -> float:
    """What a join keeps from a span: lettering needs no more than not to be cut."""
    return clearance if span.weight > 0 else min(clearance, BESIDE)


def _count(at: float, spans: Sequence[Span], clearance: float) -> tuple[int, int, int]:
    near = [spans[i].weight for i in _near(at, spans, clearance)]
    return (sum(w >= 2 for w in near), sum(w == 1 for w in near), sum(w <= 0 for w in near))
