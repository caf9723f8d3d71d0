"""Lengths in words: a tape's fraction or thousandths in an inch job with mm behind, mm alone in a metric one."""

from __future__ import annotations

from packets import job

from jiggen.plan.words import fine, length, sides


def test_an_inch_job() -> None:
    own = job("example")
    assert fine(own, 0.2) == "0.008 in (0.20 mm)"  # 0.2 / 25.4 = 0.00787
    assert fine(own, 0.1, 1) == "0.004 in (0.1 mm)"  # 0.00394
    assert sides(own, 6.35, 7.4) == "1/4 x just under 5/16 in (6.4 x 7.4 mm)"  # 5/16 in = 7.94 mm
    assert length(own, 9.525) == "3/8 in (9.5 mm)"


def test_a_metric_job() -> None:
    own = job("ramp")
    assert fine(own, 0.2) == "0.20 mm"
    assert sides(own, 6.4, 7.4) == "6.4 x 7.4 mm"
    assert sides(own, 24.0, 23.8, places=0) == "24 x 24 mm"
