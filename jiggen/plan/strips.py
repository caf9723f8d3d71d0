"""The marked faces of a post turned into one strip that is wrapped round it, from left to right."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, pi

from jiggen.geometry import Vector
from jiggen.plan.faces import bare_face
from jiggen.plan.lines import Stand, side_direction
from jiggen.plan.model import PostFace, RunLine
from jiggen.plan.prism import Face


def strip(
    stand: Stand, line: RunLine, faces: Sequence[PostFace], wrapped: bool
) -> tuple[list[PostFace], tuple[str, ...]]:
    """The faces of a post, bare ones added where a strip needs them, and the strip's face ids from left to right.

    A round post is always one strip, from the middle of its open side round the deck side and back. A flat-sided
    post is one where the job wants it and two of its sides carry marks: the shortest way round that has them all,
    by the deck side where two are as short. Else the strip is empty and every face has a sheet of its own.
    """
    marked = [face for face in faces if face.marks]
    deck = side_direction(line, line.guard.deck)
    if stand.prism.round:
        order = sorted(marked, key=lambda face: _turn(deck, face.frame.normal))
        return list(faces), tuple(face.id for face in order) if wrapped or len(marked) > 1 else ()
    beyond = any(abs(mark.u) > face.frame.width / 2.0 for face in marked for mark in face.marks)
    on_side: dict[int, list[PostFace]] = {}
    for face in marked:
        on_side.setdefault(_index(stand, face.frame), []).append(face)
    if not wrapped or beyond or len(on_side) < 2:
        return list(faces), ()
    names = _names(stand, deck)
    every = list(faces)
    ids: list[str] = []
    for side in _way_round(stand, set(on_side), deck):
        here = on_side.get(side)
        if here is None:
            frame = stand.prism.faces()[side]
            here = [bare_face(stand, names[side], frame, line, frame.normal)]
            every.extend(here)
        ids.extend(face.id for face in here)
    return every, tuple(ids)


def _index(stand: Stand, frame: Face) -> int:
    """Which flat side of the prism a face is: 0 ahead, then counter-clockwise from above, to the right on paper."""
    sides = stand.prism.faces()
    return max(range(len(sides)), key=lambda index: sides[index].normal.dot(frame.normal))


def _names(stand: Stand, deck: Vector) -> list[str]:
    """What each flat side is called where no cable does it: the deck side, the open side, and sides between them."""
    sides = stand.prism.faces()
    people, drop = (_index(stand, stand.prism.face_toward(way, way)) for way in (deck, deck.times(-1.0)))
    between = [index for index in range(len(sides)) if index not in (people, drop)]
    told = {index: "side" if number == 1 else f"side {number}" for number, index in enumerate(between, 1)}
    return [told.get(index, "deck side" if index == people else "open side") for index in range(len(sides))]


def _way_round(stand: Stand, wanted: set[int], deck: Vector) -> list[int]:
    sides = stand.prism.faces()
    n = len(sides)
    ways = ([[(start + step) % n for step in range(count)] for start in range(n)] for count in range(2, n + 1))
    shortest = next(fitting for some in ways if (fitting := [way for way in some if wanted <= set(way)]))
    return max(shortest, key=lambda way: sum(sides[index].normal.dot(deck) for index in way))


def _turn(start: Vector, end: Vector) -> float:
    """Turn from ``start`` to ``end`` seen from above, radians in (-pi, pi], + to the right on paper."""
    turn = atan2(start.x * end.y - start.y * end.x, start.x * end.x + start.y * end.y)
    return turn if turn > -pi + 1e-9 else pi


def turn_from_deck(deck: Vector, face: PostFace) -> float:
    """Where a face of a round post lies, as a turn from the middle of its deck side, radians."""
    return _turn(deck, face.frame.normal)
