"""The generic end fittings and brackets that ship, as raw tables in the words of a job file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from jiggen.handbook.load import table


def generic_fittings() -> Mapping[str, Mapping[str, Any]]:
    """End fittings by name, each as a job's [fitting.NAME] table; sizes made up, to be measured."""
    fittings: Mapping[str, Mapping[str, Any]] = table("fittings.toml")["fitting"]
    return fittings


def generic_brackets() -> Mapping[str, Mapping[str, Any]]:
    """Rail brackets by name, each as a job's [bracket.NAME] table; sizes made up, to be measured."""
    brackets: Mapping[str, Mapping[str, Any]] = table("fittings.toml")["bracket"]
    return brackets
