"""The bench runs and measures what it says."""

from __future__ import annotations

import re

from bench.bench_main import lines, made, pages


def test_bench_runs() -> None:
    said = lines(1, 1)
    assert len(said) == 4
    assert all(float(number) > 0.0 for number in re.findall(r"([\d.]+) s\b", said[0]))
    assert "sheets" in said[2]


def test_every_run_has_its_own_sheet() -> None:
    packet = made(3)
    assert len(packet.survey.sheets) >= 3
    assert pages(packet) > 10
