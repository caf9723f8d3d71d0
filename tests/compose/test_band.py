"""The head of a sheet: lines of words that do not touch each other, whatever a post is called."""

from __future__ import annotations

import pytest
from jobs_made import job

from jiggen.build import survey
from jiggen.compose.band import HEIGHT
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
