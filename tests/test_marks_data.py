"""What rides in a file of its marks, read again: every way in which it does not hold together is told."""

from __future__ import annotations

import re
from copy import deepcopy
from typing import Any

import pytest

from jiggen.build.marks import marks_from

SOUND: dict[str, Any] = {
    "name": "Deck",
    "fingerprint": "AAAA-0001",
    "sheets": {
        "S1": [{"id": "3/toward 4/1", "face": "3/toward 4", "u": 0.0, "v": 700.0, "rx": 4.0, "ry": 4.0, "angle": 0.0}]
    },
    "pages": [None, {"sheet": "S1", "shift": [10.0, 20.0], "seats": {"3/toward 4": [100.0, 900.0]}}],
}


def test_sound_data_are_read() -> None:
    found = marks_from(SOUND)
    assert [target.id for target in found.wanted["S1"]] == ["3/toward 4/1"]
    assert found.placed[0] is None and found.placed[1] is not None
    assert found.placed[1].seats == {"3/toward 4": (100.0, 900.0)}


@pytest.mark.parametrize(
    ("way", "words"),
    [
        (("pages", 1, "sheet", "S2"), "a page of no sheet"),
        (("pages", 1, "seats", {"3/toward 5": [100.0, 900.0]}), "a face without its place on a page"),
        (("pages", 1, "shift", [1.0]), "index out of range"),
        (("sheets", "S1", 0, [1, 2]), "list indices"),
        (("pages", 1, "seats", None), "items"),
    ],
)
def test_what_does_not_hold_together_is_told(way: tuple[Any, ...], words: str) -> None:
    data = deepcopy(SOUND)
    place: Any = data
    *path, key, value = way
    for step in path:
        place = place[step]
    place[key] = value
    with pytest.raises(ValueError, match=f"in the file is damaged.*{re.escape(words)}"):
        marks_from(data)
