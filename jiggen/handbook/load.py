"""The handbook's own data files turned into tables: TOML to mappings, CSV to rows of texts."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any


@cache
def table(name: str) -> Mapping[str, Any]:
    """The parsed TOML file ``name`` of this package ("rules/irc-2021.toml")."""
    return tomllib.loads(_text(name))


@cache
def rows(name: str) -> tuple[Mapping[str, str], ...]:
    """The rows of the CSV file ``name`` of this package, lines that begin with # left out."""
    lines = [line for line in _text(name).splitlines() if line and not line.startswith("#")]
    return tuple(csv.DictReader(lines))


def _text(name: str) -> str:
    return (Path(__file__).parent / name).read_text(encoding="utf-8")
