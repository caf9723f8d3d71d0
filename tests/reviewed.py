"""A plan reviewed, and what is told picked out of its problems."""

from __future__ import annotations

import re
from math import pi

from jobs_made import Keys

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import review

CABLE = 3.2  # the default of a metric job
EA = 130_000.0 * 0.760 * pi * CABLE**2 / 4.0
STEADY: Keys = {"coldest": "18 degC", "hottest": "18 degC", "loss": 0}  # the pull stays what it was pulled to


def told(made: Plan, words: str, level: str = "") -> list[Problem]:
    """The problems, of one ``level`` or of any, that have ``words`` in what was found."""
    return [p for p in review(made) if words in p.found and level in ("", p.level)]


def table_stops(made: Plan) -> list[Problem]:
    """The stops by the table of tensions."""
    return [p for p in review(made) if "11.3.6a" in p.source and p.level == "stop"]


def number(pattern: str, text: str) -> float:
    """The one number that ``pattern`` finds in ``text``."""
    hit = re.search(pattern, text)
    assert hit, text
    return float(hit[1])
