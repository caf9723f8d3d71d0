"""Posts turned into what is drilled in them: each hole once, and whether it is drilled from both of its faces."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from jiggen.plan.model import Mark, Post, PostFace

SLANT = 0.00873  # of a bore off square that a hand drill can follow: half a degree, 1.2 mm in a post of 140 mm; under it none is told


@dataclass(frozen=True, slots=True)
class Drilling:
    """Holes to drill with one drill. A bore is one hole; ``both``: how many are drilled from both faces to meet."""

    drill: str
    holes: int
    both: int = 0


@dataclass(frozen=True, slots=True)
class Hole:
    """One mark's drilling. ``count``: holes, 2 where a slot is drilled at both of its ends; ``both``: from both faces."""

    mark: Mark
    count: int
    both: bool


def passes(face: PostFace, mark: Mark) -> bool:
    """Whether a cable passes the post straight through this mark's hole, and comes out of another face."""
    return mark.purpose == "cable" and not face.fittings and mark.cable is not None and not mark.meets


def each_mark(post: Post) -> Iterator[tuple[PostFace, Mark, tuple[PostFace, Mark] | None]]:
    """Every mark of a post with its face; where a bore comes out that is marked already, also the face and mark where it
    went in."""
    went_in: dict[str, tuple[PostFace, Mark]] = {}
    for face in post.faces:
        for mark in face.marks:
            yield face, mark, went_in.get(mark.other)
            went_in[mark.id] = face, mark


def holes(post: Post) -> Iterator[Hole]:
    """Every hole of a post once: a bore that is marked on two faces is drilled from both, and is one hole."""
    for _, mark, went_in in each_mark(post):
        if went_in is None:
            yield Hole(mark, 2 if any(mark.slot) else 1, bool(mark.other))


def drillings(posts: Iterable[Post]) -> tuple[Drilling, ...]:
    """Every drill with the holes that it makes, the thinnest first."""
    count: dict[tuple[float, str], tuple[int, int]] = {}
    for post in posts:
        for hole in holes(post):
            key = (hole.mark.diameter, hole.mark.drill.name)
            every, both = count.get(key, (0, 0))
            count[key] = (every + hole.count, both + hole.count * hole.both)
    return tuple(Drilling(name, every, both) for (_, name), (every, both) in sorted(count.items()))


def holes_words(drilling: Drilling) -> str:
    """How many holes: "144 holes", "17 holes, from both faces", "40 holes, 12 of them from both faces"."""
    told = f"{drilling.holes} hole{'s' * (drilling.holes != 1)}"
    if not drilling.both:
        return told
    return (
        f"{told}, from both faces"
        if drilling.both == drilling.holes
        else f"{told}, {drilling.both} of them from both faces"
    )
