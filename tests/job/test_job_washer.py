"""The washer of a stud: only where its bore goes through, and no smaller than the bore."""

from __future__ import annotations

import pytest
from jobs_made import Keys, job, run

from jiggen.problems import JobError

STUD: Keys = {"outline": [20, 20], "bore": 8, "setback": 38, "travel": 25}


@pytest.mark.parametrize(
    ("keys", "found"),
    [
        ({"washer": 20, "bore_depth": 60}, "found it on a fitting without a bore through the post"),
        ({"washer": 6}, "found 6, less than the bore"),
        ({"washer": 600}, "found 600"),
    ],
)
def test_a_washer_that_cannot_be(keys: Keys, found: str) -> None:
    with pytest.raises(JobError) as told:
        job(run([900], count=4, start="stud", finish="stud"), fitting={"stud": {**STUD, **keys}})
    assert [p.where for p in told.value.problems] == ["fitting.stud.washer"]
    assert found in told.value.problems[0].found


def test_a_washer_is_kept() -> None:
    made = job(run([900], count=4, start="stud", finish="stud"), fitting={"stud": {**STUD, "washer": 24}})
    assert made.fittings["stud"].washer == 24
