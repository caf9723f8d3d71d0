"""The picture for a message: name, every run, the plan view, in letters that a phone shows."""

from __future__ import annotations

import pytest
from packet_pages import DRAWN, faults, named, planned, texts

from jiggen.compose.cover import MOST_RUNS, picture
from jiggen.sheets.extent import extent

PHONE = 400.0  # pixels across


@pytest.mark.parametrize("name", DRAWN)
def test_it_can_be_read_on_a_phone(name: str) -> None:
    """A capital of 2.3 mm on 110 mm is 8.4 pixels of 400; nothing lies off it, no word on a word of the lines over the view."""
    plan, _ = planned(name)
    drawing = picture(plan)
    assert min(text.height for text in texts(drawing)) * PHONE / drawing.width >= 8.0
    told = " ".join(text.text for text in texts(drawing))
    assert plan.job.name.split()[0] in told and plan.fingerprint in told
    shown = plan.runs if len(plan.runs) <= MOST_RUNS + 1 else plan.runs[:MOST_RUNS]
    for run in shown:
        assert f"{run.id}: {len(run.posts)} posts, {len(run.drops)} cables" in told
    assert {run for run, _ in named(drawing.shapes, "run")} == {run.id for run in plan.runs}
    for shape in drawing.shapes:
        left, bottom, right, top = extent(shape)
        assert left >= 0.0 and bottom >= 0.0 and right <= drawing.width and top <= drawing.height


def test_a_small_job_has_no_word_on_another() -> None:
    plan, _ = planned("demo")
    assert faults(picture(plan)) == []
