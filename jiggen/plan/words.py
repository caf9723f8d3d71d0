"""Lengths and cables turned into words: the job's tape reading and the millimetres, a cable's label."""

from __future__ import annotations

import re

from jiggen.job.model import Job
from jiggen.units import feet, mm_text, tape

_OURS = re.compile(
    r"(?<![\w-])(?:posts?|bars?|toward|deck|open|side|face|faces|and|as|on|the|sheet|jig|test|comb|spheres|of|offcut)(?![\w-])"
)


def capitals(words: str) -> str:
    """``words`` with our own words in capitals and every name as it is: "3a toward 4b" becomes "3a TOWARD 4b"."""
    return _OURS.sub(lambda found: found[0].upper(), words)


def length(job: Job, mm: float) -> str:
    """A length in the job's tape and in mm: "27 15/16 in (709.6 mm)"."""
    if job.units == "mm":
        return f"{mm_text(mm)} mm"
    return f"{tape(mm, job.round_to).signed} in ({mm_text(mm)} mm)"


def long_length(job: Job, mm: float) -> str:
    """A length to cut or buy, in feet and inches in an inch job: "5 ft 10 in (1778.0 mm)"; "1778.0 mm" in a metric one."""
    return f"{mm_text(mm)} mm" if job.units == "mm" else f"{feet(mm, job.round_to)} ({mm_text(mm)} mm)"


def cut_label(run: str, cable: int) -> str:
    """What a cable is called on its tag: "A11". A run whose name ends in a digit (or a dash) gets a dash, "A1-1", so that
    no two cables of a job share a label."""
    return f"{run}-{cable}" if run[-1:].isdigit() or run.endswith("-") else f"{run}{cable}"
