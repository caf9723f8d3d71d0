"""Hypothesis as the tests use it: the same examples at every run, no clock."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "same", deadline=None, derandomize=True, database=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("same")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Tests of known defects are expected to fail, strictly: one that passes must leave the list."""
    lines = (Path(__file__).parent / "known_defects.txt").read_text(encoding="utf-8").splitlines()
    known = {line for line in lines if line and not line.startswith("#")}
    for item in items:
        if item.nodeid in known:
            item.add_marker(pytest.mark.xfail(reason="known defect, see DEVELOPERS.md", strict=True))
