"""A length and the places on it that must stay whole turned into the joins between pages."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

CLEAR = 6.0  # least distance of a join from a hole or an outline, mm
REACH = 0.45  # how far a join may be moved back, as a part of what the page holds
PREFER = 1.0 / 3.0  # in this last part of the page a preferred place is taken
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
    where that cannot be, it misses the holes (weight 2), then as many outlines (1), then as much lettering (0) as
    it can; where that cannot be
    either, it comes near the fewest holes and cuts none if it can. A place in ``prefer`` in the last
    third (``share``) of the page is taken where it is clear. All in mm. Raises ValueError where overlap and trim eat the page up.
    """
    if full - overlap - trim < full / 3.0:
        raise ValueError(f"an overlap of {overlap:g} mm is too much for pages that show {full:g} mm")
    found: list[Join] = []
    start = 0.0
    while True:
        room = full - (overlap if found else 0.0)
        if length - start <= room + _TINY:
            return tuple(found)
        found.append(_join(start, room - trim, spans, prefer, share))
        start = found[-1].at


def _join(start: float, room: float, spans: Sequence[Span], prefer: Sequence[float], share: float) -> Join:
    last = start + room
    wanted = [at for at in prefer if last - room * share <= at <= last and not _near(at, spans, CLEAR)]
    if wanted:
        return Join(max(wanted))
    first = last - room * REACH
    for clearance in (CLEAR, CLEAR / 2.0, 1.0, 0.0):
        places = {last, *(s.start - clearance for s in spans if first <= s.start - clearance <= last)}
        best = min(places, key=lambda at: (*_count(at, spans, clearance)[:2], -at))
        near = [at for at in places if at >= best - room * LETTERING]
        best = min(near, key=lambda at: (*_count(at, spans, clearance), -at))
        if _count(best, spans, clearance)[0] == 0:
            break
    return Join(best, tuple(i for i in _near(best, spans, CLEAR) if spans[i].weight > 0))


def _near(at: float, spans: Sequence[Span], clearance: float) -> list[int]:
    reach = clearance - _TINY
    return [i for i, span in enumerate(spans) if span.start - reach < at < span.end + reach]


def _count(at: float, spans: Sequence[Span], clearance: float) -> tuple[int, int, int]:
    near = [spans[i].weight for i in _near(at, spans, clearance)]
    return (sum(w >= 2 for w in near), sum(w == 1 for w in near), sum(w <= 0 for w in near))
