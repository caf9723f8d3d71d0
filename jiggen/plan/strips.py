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
    if not wrapped or beyond or len({_index(stand, face.frame) for face in marked}) < 2:
        return list(faces), ()
    sides = _way_round(stand, {_index(stand, face.frame) for face in marked}, deck)
    every = list(faces)
    ids: list[str] = []
    for side in sides:
        here = [face for face in marked if _index(stand, face.frame) == side]
        if not here:
            frame = stand.prism.faces()[side]
            name = (
                "deck side"
                if frame.normal.dot(deck) > 0.5
                else "open side"
                if frame.normal.dot(deck) < -0.5
                else "side"
            )
            bare = next((face for face in faces if face.name == name), None)
            if bare is None:
                bare = bare_face(stand, name, frame, line, frame.normal)
                every.append(bare)
            here = [bare]
        ids.extend(face.id for face in here)
    return every, tuple(ids)


def _index(stand: Stand, frame: Face) -> int:
    """Which flat side of the prism a face is: 0 ahead, then counter-clockwise from above, to the right on paper."""
    sides = stand.prism.faces()
    return max(range(4), key=lambda index: sides[index].normal.dot(frame.normal))


def _way_round(stand: Stand, wanted: set[int], deck: Vector) -> list[int]:
    ways = [[(start + step) % 4 for step in range(count)] for count in range(2, 5) for start in range(4)]
    fitting = [way for way in ways if wanted <= set(way)]
    sides = stand.prism.faces()
    return min(fitting, key=lambda way: (len(way), -sum(sides[index].normal.dot(deck) for index in way)))


def _turn(start: Vector, end: Vector) -> float:
    """Turn from ``start`` to ``end`` seen from above, radians in (-pi, pi], + to the right on paper."""
    turn = atan2(start.x * end.y - start.y * end.x, start.x * end.x + start.y * end.y)
    return turn if turn > -pi + 1e-9 else pi


def turn_from_deck(deck: Vector, face: PostFace) -> float:
    """Where a face of a round post lies, as a turn from the middle of its deck side, radians."""
    return _turn(deck, face.frame.normal)
