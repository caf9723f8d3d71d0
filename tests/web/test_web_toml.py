"""The job's tables as TOML text and as the browser's JSON: what goes in comes out."""

from __future__ import annotations

import json
import math
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.review import review
from jiggen.web.starts import STARTS, first_job
from jiggen.web.state import StateError, from_state, same, to_state
from jiggen.web.toml import write

ROOT = Path(__file__).parents[2]
JOBS = sorted([*(ROOT / "tests" / "jobs").glob("*.toml"), *(ROOT / "jiggen" / "job").glob("*.toml")])

# TOML 1.0: strings of Unicode scalar values, 64-bit integers, floats, booleans, dates and times, arrays, tables
texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
plain = (
    texts
    | st.booleans()
    | st.integers(-(2**63), 2**63 - 1)
    | st.floats(allow_nan=False)
    | st.dates()
    | st.times().map(lambda time: time.replace(fold=0))
    | st.datetimes().map(lambda time: time.replace(fold=0))
)
values = st.recursive(
    plain, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(texts, inner, max_size=3), max_leaves=8
)
tables = st.dictionaries(texts | st.sampled_from(["run", "post", "fitting", "job", "as_built"]), values, max_size=5)


@given(tables)
@settings(max_examples=120)
def test_what_is_written_reads_back(data: dict[str, Any]) -> None:
    assert tomllib.loads(write(data)) == data


@given(tables)
@settings(max_examples=120)
def test_the_browsers_json_loses_nothing(data: dict[str, Any]) -> None:
    """Through JSON text as a browser writes it: whole floats come back without their point (ECMAScript has one number)."""
    as_browser = json.loads(json.dumps(to_state(data)), parse_float=lambda text: _number(float(text)))
    back = from_state(as_browser)
    wanted = {key: [v] if key == "run" and isinstance(v, dict) else v for key, v in data.items()}
    assert back == wanted
    assert repr(back) == repr(wanted)  # 1 and 1.0 are equal, and not the same in TOML


def _number(value: float) -> float | int:
    return int(value) if math.isfinite(value) and value == int(value) else value


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_a_job_written_anew_is_the_same_job(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    fresh = write(from_state(to_state(tomllib.loads(text))))
    assert same(to_state(tomllib.loads(text)), text)
    assert make_plan(read_job(fresh)).posts == make_plan(read_job(text)).posts


def test_keys_that_no_form_knows_survive() -> None:
    text = "[job]\nname = 'x'\ncode = 'irc-2021'\n[mine]\nday = 2026-05-27\nshare = 1.0\nbig = 9007199254740993\n"
    assert tomllib.loads(write(from_state(json.loads(json.dumps(to_state(tomllib.loads(text))))))) == tomllib.loads(
        text
    )


def test_same_tells_a_changed_word() -> None:
    assert not same({"job": {"name": "y"}}, "[job]\nname = 'x'\n")
    assert not same({"job": {"name": "x"}}, "[job\n")


@pytest.mark.parametrize(
    "state",
    [[], "text", None, {"a": {"#toml": "1\nb = 2"}}, {"a": {"#toml": 3}}, {"a": {"#toml": "9" * 6000}}],
    ids=["list", "text", "none", "two lines", "number", "long"],
)
def test_states_without_sense_are_refused(state: object) -> None:
    with pytest.raises(StateError):
        from_state(state)


def test_a_deep_state_is_refused() -> None:
    deep: dict[str, Any] = {}
    for _ in range(200):
        deep = {"a": deep}
    with pytest.raises(StateError):
        from_state(deep)


@pytest.mark.parametrize("metric", [False, True], ids=["inch", "metric"])
@pytest.mark.parametrize("kind", STARTS)
def test_starts_have_no_stop(kind: str, metric: bool) -> None:
    plan = make_plan(read_job(write(first_job(kind, metric))))
    found = [*plan.problems, *review(plan)]
    assert [str(problem) for problem in found if problem.level == "stop"] == []
    assert len(plan.runs) == {"deck": 2, "stair": 3, "ramp": 1}[kind]
