"""A kind of guard turned into a job to begin from: a deck, a deck with a stair, a ramp; in inches or millimetres."""

from __future__ import annotations

import tomllib
from typing import Any

from jiggen.job.start import start

# name in the page: the words on its button
STARTS = {
    "deck": "Deck with a corner",
    "stair": "Deck with a stair",
    "ramp": "Ramp",
}
CLIMB = ("46 in", "1170 mm")


def first_job(kind: str, metric: bool) -> dict[str, Any]:
    """The parsed job of a start. Raises KeyError for a kind that is not in ``STARTS``.

    ``metric``: millimetres and newtons. It reads and plans without a stop.
    """
    STARTS[kind]
    job = tomllib.loads(start(metric))
    runs = job["run"]
    if kind == "deck":
        job["job"]["name"] = "Heron Cottage deck"
        job["run"] = runs[:2]
    elif kind == "ramp":
        job["job"]["name"] = "Heron Cottage ramp"
        job["run"] = [_ramp(metric)]
    return job


def _ramp(metric: bool) -> dict[str, Any]:
    return {
        "id": "ramp",
        "posts": ["1", "2", "3", "4"],
        "spans": [CLIMB[metric]] * 3,
        "ramp": {"slope": "1 in 12", "goes": "up"},
        "start": "fixed plate",
        "finish": "tensioner",
    }
