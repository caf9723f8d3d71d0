"""The steps of a sheet's work: what its holes ask for is among them, and what they do not ask for is not."""

from __future__ import annotations

from jobs_made import LUG, job, run

from jiggen.build import Options, survey
from jiggen.drawing.scene import Text


def words(screw: str) -> dict[str, str]:
    """All words of each sheet of a job whose end fittings hold by ``screw``."""
    fitting = LUG | {"screw": screw}
    made = survey(job(run([1100.0], start="lug", finish="lug"), fitting={"lug": fitting}), Options())
    return {
        one.group.id: " ".join(s.text for s in one.tiled.sheet.drawing.shapes if isinstance(s, Text))
        for one in made.sheets
    }


def test_a_lag_screw_s_shank_has_its_hole() -> None:
    """5/16 in = 7.9375 mm: the shank's own diameter (NDS 2018 12.1.4.2, from memory)."""
    told = words("lag 5/16 x 2 1/2 in")
    assert told
    for sheet in told.values():
        assert (
            "Lag screws: where the shank has no thread, open the hole to 7.9 mm, as deep as that part goes in." in sheet
        )


def test_other_screws_have_none() -> None:
    told = words("5 x 60 mm")
    assert told and all("Lag screws" not in sheet for sheet in told.values())
