"""The head of a sheet: lines of words that do not touch each other, whatever a post is called."""

from __future__ import annotations

import pytest
from jobs_made import job, runs_alike

from jiggen.build import survey
from jiggen.compose.band import HEIGHT, _named
from jiggen.drawing.lettering import strokes
from jiggen.drawing.scene import Ink, Text


@pytest.mark.parametrize("names", [["1", "2", "3"], ["gypsy", "quay", "jetty"], ["g,j", "p;q", "(y)"]])
def test_lines_of_the_band_stand_clear_of_each_other(names: list[str]) -> None:
    """Under the lowest stroke of each line 1 mm of paper at least, down to the highest of the next and to the band's foot."""
    found = survey(job({"posts": names, "spans": [900, 900], "count": 5, "height": 900}))
    seen = 0
    for one in found.sheets:
        size = one.sheet.drawing
        lines = [
            s
            for s in size.shapes
            if isinstance(s, Text)
            and s.ink is Ink.STRONG
            and not s.angle
            and s.at.y > size.height - HEIGHT
            and s.at.x == 14.0
        ]
        reach = []
        for text in lines:
            ys = [y for stroke in strokes(text.text, text.height) for _, y in stroke]
            reach.append((text.at.y + min(ys), text.at.y + max(ys)))
        reach.sort(reverse=True)
        for (low, _), (_, high) in zip(reach, [*reach[1:], (0.0, size.height - HEIGHT)], strict=True):
            assert low - high > 1.0
            seen += 1
    assert seen == 4  # two sheets of two lines each


def test_posts_that_share_a_sheet_are_told_apart() -> None:
    """Ends 1 and 5 are alike: POSTS 1 + 5 in head, foot and contents, which nobody reads as post 15."""
    found = survey(job({"posts": ["1", "2", "5"], "spans": [900, 900], "count": 5, "height": 900}))
    names = [one.sheet.name for one in found.sheets]
    assert [name for name in names if name.startswith("POSTS")] == ["POSTS 1 + 5"]
    (shared,) = [one for one in found.sheets if one.sheet.name == "POSTS 1 + 5"]
    assert "POSTS 1 + 5" in [s.text for s in shared.sheet.drawing.shapes if isinstance(s, Text)]


def test_of_many_posts_whole_names_are_told_and_how_many_more() -> None:
    """Forty ends alike: two lines of two names each, none broken off, then 40 - 4 = 36 more."""
    found = survey(job(runs_alike(20)))
    (shared,) = [one for one in found.sheets if one.sheet.name == "40 POSTS"]
    size = shared.sheet.drawing
    head = [s for s in size.shapes if isinstance(s, Text) and s.at.x == 14.0 and s.at.y > size.height - HEIGHT]
    assert [s.text for s in head][1:] == [
        "40 POSTS",
        "0-0 TOWARD 0-1; 0-2 TOWARD 0-1;",
        "1-0 TOWARD 1-1; 1-2 TOWARD 1-1;",
        "and 36 more, see the last page",
    ]


def test_names_are_broken_only_where_one_alone_is_too_long() -> None:
    # capitals 4 mm high of this lettering take about 3 mm each: 9 letters 27 mm, two of them and a blank 60 mm
    assert _named(["AAAAAAAAA", "BBBBBBBBB", "C"], 4.0, 70.0) == [("AAAAAAAAA; BBBBBBBBB;", 2), ("C", 1)]
    assert _named(["AAAAAAAAA AAAAAAAAA AAAAAAAAA", "C"], 4.0, 70.0) == [
        ("AAAAAAAAA AAAAAAAAA", 0),
        ("AAAAAAAAA;", 1),
        ("C", 1),
    ]
