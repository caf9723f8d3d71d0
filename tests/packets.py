"""The jobs in tests/jobs turned into surveys and packets, each made once a test process."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from jiggen.build import Options, Packet, Survey, build, survey
from jiggen.job.model import Job
from jiggen.job.read import read_job
from jiggen.packetfolder import fresh_packet

JOBS = Path(__file__).resolve().parent / "jobs"
PROJECT = JOBS.parent.parent

# Jobs of the kinds that differ in what is drawn; none of them has a stop.
SOUND = (
    "example",
    "smallest",
    "ramp",
    "stair-up",
    "corner-45-bisect",
    "rail-over-posts",
    "height-line",
    "deck-datum",
    "wide-post",
    "small-paper",
    "led-on-corner",
    "led-on-bay",
    "led-on-ramp",
)


@cache
def job(name: str) -> Job:
    """The job in tests/jobs/NAME.toml."""
    return read_job((JOBS / f"{name}.toml").read_text(encoding="utf-8"), f"{name}.toml")


@cache
def surveyed(name: str, paper: str | None = None) -> Survey:
    """A job's plan with its sheets drawn and cut into pages, nothing rendered."""
    return survey(job(name), Options(paper=paper))


@cache
def packet(name: str, paper: str | None = None) -> Packet:
    """A job's whole packet."""
    return build(job(name), Options(paper=paper))


def plan_json(name: str, paper: str | None = None) -> dict[str, Any]:
    """plan.json of a job's packet, read."""
    found: dict[str, Any] = json.loads(packet(name, paper).files["plan.json"])
    return found


def write_packet(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write every file (names with "/") as ``fresh_packet`` does it."""
    with fresh_packet(folder) as fresh:
        for name, data in files.items():
            fresh.put(name, data)
