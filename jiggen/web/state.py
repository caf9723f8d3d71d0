"""Parsed TOML turned into JSON that a browser keeps without loss, and back: dates, whole floats, large numbers tagged."""

from __future__ import annotations

import tomllib
from datetime import date, datetime, time
from math import isfinite
from typing import Any

TAG = "#toml"
EXACT = 2**53  # above it a number of a browser skips whole numbers (ECMAScript, Number.MAX_SAFE_INTEGER is 2^53 - 1)
DEEPEST = 60
LONGEST = 5000  # characters of a tag; Python reads whole numbers of up to 4300 figures
LISTS = ("run",)


class StateError(ValueError):
    """Raised for a state that no job file can hold; its text says what was found."""


def to_state(data: dict[str, Any]) -> dict[str, Any]:
    """``data``, a parsed job file, as plain JSON. One [run] becomes a list of one, as the form has it.

    What JSON cannot hold becomes ``{"#toml": "1.0"}``, its TOML text.
    """
    return {
        key: [_out(value)] if key in LISTS and isinstance(value, dict) else _out(value) for key, value in data.items()
    }


def from_state(state: object) -> dict[str, Any]:
    """The reverse of ``to_state``. Raises StateError for what is no table, nested too deep or tagged without sense."""
    found = _in(state, 0)
    if not isinstance(found, dict):
        raise StateError("found no table of a job")
    return found


def same(state: object, text: str) -> bool:
    """Whether ``text``, a job file, says exactly what ``state`` does; False where it is no TOML."""
    try:
        return to_state(tomllib.loads(text.removeprefix("\ufeff"))) == state
    except (ValueError, RecursionError, OverflowError):
        return False


def _out(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _out(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_out(one) for one in value]
    if isinstance(value, datetime | date | time):
        return {TAG: value.isoformat()}
    if isinstance(value, float) and (not isfinite(value) or value == int(value)):
        return {TAG: repr(value)}
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) >= EXACT:
        return {TAG: str(value)}
    return value


def _in(value: Any, depth: int) -> Any:
    if depth > DEEPEST:
        raise StateError("found tables nested too deep")
    if isinstance(value, dict):
        if set(value) == {TAG}:
            return _tagged(value[TAG])
        return {str(key): _in(one, depth + 1) for key, one in value.items() if one is not None}
    if isinstance(value, list):
        return ["" if one is None else _in(one, depth + 1) for one in value]
    return value


def _tagged(text: object) -> Any:
    """The value of a tag. Raises StateError."""
    try:
        if not isinstance(text, str) or len(text) > LONGEST:
            raise ValueError
        found = tomllib.loads(f"x = {text}")
        if set(found) != {"x"}:
            raise ValueError
        return found["x"]
    except (ValueError, RecursionError, OverflowError):
        raise StateError("found a tag that is no TOML") from None
