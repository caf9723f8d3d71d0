"""The tables of a job turned into TOML text: the job's own order of tables, one key a line, always the same bytes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time
from math import isinf, isnan
from typing import Any

# Tables in the order in which a job is read; what is not named here follows in its own order.
ORDER = ("job", "code", "cable", "strand", "guard", "posts", "post", "wood", "fitting", "bracket", "run", "as_built")
LAST = ("sheet", "jig", "limits")
NAMED = ("code", "strand", "post", "wood", "fitting", "bracket", "as_built")  # tables of tables
BARE = re.compile(r"[A-Za-z0-9_-]+")
ESCAPES = {"\\": "\\\\", '"': '\\"', "\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r"}


def write(data: Mapping[str, Any]) -> str:
    """``data`` as TOML 1.0 text that reads back to the same values. Raises ValueError for what TOML has no value for."""
    loose = [key for key, value in data.items() if not is_block(value)]
    blocks = ["".join(f"{as_key(key)} = {as_value(data[key])}\n" for key in loose)] if loose else []
    rest = [key for key in data if key not in loose]
    known = [key for key in ORDER if key in rest]
    last = [key for key in LAST if key in rest]
    others = [key for key in rest if key not in ORDER and key not in LAST]
    for key in (*known, *others, *last):
        blocks.extend(_blocks(key, data[key]))
    return "\n".join(blocks)


def _blocks(key: str, value: Any) -> Iterator[str]:
    """The tables under one key of the file, each with its header."""
    if _is_tables(value):
        for table in value:
            yield f"[[{as_key(key)}]]\n{as_lines(table)}"
        return
    inner = [name for name, one in value.items() if key in NAMED and _is_table(one)]
    own = {name: one for name, one in value.items() if name not in inner}
    if own or not inner:
        yield f"[{as_key(key)}]\n{as_lines(own)}"
    for name in inner:
        yield f"[{as_key(key)}.{as_key(name)}]\n{as_lines(value[name])}"


def as_lines(table: Mapping[str, Any]) -> str:
    """The keys of a table, one a line."""
    return "".join(f"{as_key(key)} = {as_value(value)}\n" for key, value in table.items())


def is_block(value: Any) -> bool:
    """Whether a value of the file's own is written under a header: a table, or a list of tables."""
    return _is_table(value) or _is_tables(value)


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(_is_table(one) for one in value)


def as_key(key: str) -> str:
    """A key, quoted where it must be."""
    return key if BARE.fullmatch(key) else _text(key)


def as_value(value: Any) -> str:
    """A value on one line. Raises ValueError for what TOML has no value for."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return _float(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, Mapping):
        inside = ", ".join(f"{as_key(key)} = {as_value(one)}" for key, one in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(as_value(one) for one in value)}]"
    raise ValueError(f"TOML has no {type(value).__name__}")


def _float(value: float) -> str:
    if isnan(value):
        return "nan"
    if isinf(value):
        return "inf" if value > 0 else "-inf"
    text = repr(value)
    return text if any(mark in text for mark in ".en") else f"{text}.0"


def _text(text: str) -> str:
    """A basic string: quotes, backslashes and control characters escaped (TOML 1.0, String)."""
    return '"' + "".join(ESCAPES.get(c) or (c if _plain(c) else f"\\u{ord(c):04X}") for c in text) + '"'


def _plain(character: str) -> bool:
    return character >= " " and character != "\x7f"
