"""Marks of several runs on one sheet turned into marks that bear the run's name, so that no number stands there twice."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from jiggen.plan.model import Mark, PostFace, RunLine
from jiggen.plan.words import whole_label


def named_by_run(faces: Sequence[PostFace], strip: Collection[str], lines: Mapping[str, RunLine]) -> list[PostFace]:
    """The faces of a post in their order; where those of its ``strip`` carry marks of more than one run, every mark there
    is called by its run too, "C7", and whatever points to it follows.

    ``lines``: the runs by name; two runs with the same cables count as one.
    """
    here = [face for face in faces if face.id in strip]
    if len({lines[mark.run].head for face in here for mark in face.marks}) < 2:
        return list(faces)
    far = {mark.id: mark.label for face in faces for mark in face.marks}
    labels = {
        mark.id: _label(mark, lines[mark.run].head, far.get(mark.other, "")) for face in here for mark in face.marks
    }
    ids = {mark.id: f"{face.id}/{labels[mark.id]}" for face in here for mark in face.marks}

    def named(mark: Mark) -> Mark:
        tied = replace(mark, meets=ids.get(mark.meets, mark.meets), other=ids.get(mark.other, mark.other))
        return replace(tied, id=ids[mark.id], label=labels[mark.id]) if mark.id in ids else tied

    return [replace(face, marks=tuple(named(mark) for mark in face.marks)) for face in faces]


def _label(mark: Mark, head: str, far: str) -> str:
    """The mark's label with its run, which where a bore comes out among other marks it has already; ``far``: the label at
    the bore's other end."""
    return mark.label if far and mark.label == whole_label(head, far) else whole_label(head, mark.label)
