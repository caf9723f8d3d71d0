"""Names that the sheets' lettering has no letters for."""

from __future__ import annotations

import pytest
from jobs_made import job, run

from jiggen.build import survey
from jiggen.drawing.lettering import strokes


def named(posts: list[str], name: str = "Quay") -> list[str]:
    """What is said of the names of a job."""
    made = job({**run([900] * (len(posts) - 1)), "posts": posts}, job={"name": name})
    return [f"{one.level}: {one.found}" for one in survey(made).problems if one.where == "names"]


@pytest.mark.parametrize("posts", [["1", "2"], ["é", "ß"], ["a", "A"]])
def test_names_that_the_font_has_are_not_told(posts: list[str]) -> None:
    assert named(posts, "Ærø, Ñandú") == []


def test_what_is_drawn_as_a_box_is_told() -> None:
    (note,) = named(["1", "Łódź"], "Ağrı 漢")
    assert note == 'note: the lettering of the sheets has no "ğ", "ı", "漢", "Ł" and "ź": it draws a box for each'


def test_posts_that_read_the_same_are_a_check() -> None:
    """They look the same: stroke by stroke."""
    assert strokes("日1", 5.0) == strokes("本1", 5.0)
    note, check = named(["日1", "本1", "日2"])
    assert note.startswith("note:")
    assert check == 'check: posts "日1" and "本1" read the same on the sheets'


def test_one_letter_written_two_ways() -> None:
    """An e with an acute as one character and as two (Unicode 15, 3.11, canonical equivalents)."""
    (check,) = named(["\u00e9", "e\u0301"])
    assert check.startswith("check:") and "read the same" in check
