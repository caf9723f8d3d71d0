"""The keys of a cure written into the parsed job, as a reader of plan.json would write them."""

from __future__ import annotations

import copy
import json
import re
import tomllib
from typing import Any

from jobs_made import toml

from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.plan.model import Plan
from jiggen.problems import Cure

STEP = re.compile(r'"((?:[^"\\]|\\.)*)"|\[(\d+)\]|([^.\[\]"]+)')


def written(data: dict[str, Any], cure: Cure) -> dict[str, Any]:
    """``data`` with every key of ``cure`` set or taken out."""
    fresh = copy.deepcopy(data)
    for path, value in cure.keys:
        steps = [json.loads(f'"{q}"') if q else int(i) if i else bare for q, i, bare in STEP.findall(path)]
        place: Any = fresh
        for step in steps[:-1]:
            place = place[step] if isinstance(step, int) else place.setdefault(step, {})
        if value:
            place[steps[-1]] = tomllib.loads(f"value = {value}")["value"]
        else:
            del place[steps[-1]]  # a key that goes is there
    return fresh


def planned(data: dict[str, Any]) -> Plan:
    """The plan of a parsed job."""
    return make_plan(read_job("".join(f"{json.dumps(key)} = {toml(held)}\n" for key, held in data.items())))
