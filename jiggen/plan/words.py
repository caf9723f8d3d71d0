"""Lengths turned into words: the job's tape reading and the millimetres."""

from __future__ import annotations

from jiggen.job.model import Job
from jiggen.units import mm_text, tape


def length(job: Job, mm: float) -> str:
    """A length in the job's tape and in mm: "27 15/16 in (709.6 mm)"."""
    if job.units == "mm":
        return f"{mm_text(mm)} mm"
    return f"{tape(mm, job.round_to).signed} in ({mm_text(mm)} mm)"
