"""Hypothesis as the tests use it: the same examples at every run, no clock."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile(
    "same", deadline=None, derandomize=True, database=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("same")
