"""Words along the flaps: what to drill stands there as large as there is room, in as many lines as it takes."""

from __future__ import annotations

from jobs_made import LOW_LUG, job, run

from jiggen.build import survey
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Text


def test_a_long_drill_line_is_broken_where_something_else_begins() -> None:
    """A tube of 50 mm on a page: flaps of 67 mm, room for four lines of 5 mm; no line over 105 mm, no size in two."""
    found = survey(
        job(
            run([900], count=5, height=900, start="lug", finish="lug"),
            post={"tube": {"width": 50, "wall": 2, "material": "steel"}},
            fitting={"lug": LOW_LUG},
        )
    )
    (drawn,) = [one for one in found.sheets if one.group.strip[0] == "1/toward 2"]
    upright = [s for s in drawn.sheet.drawing.shapes if isinstance(s, Text) and s.angle and s.height == 5.0]
    words = [s.text for s in upright]
    assert words[:4] == ["SCREW HOLES 1a TO 5b", "DRILL 6.6 mm", "THROUGH WALL 2.0 mm,", "CLEARANCE FOR M6"]
    assert all(width(s.text, 5.0) <= 105.0 for s in upright)
