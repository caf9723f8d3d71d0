"""Lengths in words: a tape's fraction or thousandths in an inch job with mm behind, mm alone in a metric one."""

from __future__ import annotations

from packets import job

from jiggen.plan.words import fine, length, nominal, sides, slot_size


def test_an_inch_job() -> None:
    own = job("example")
    assert fine(own, 0.2) == "0.008 in (0.20 mm)"  # 0.2 / 25.4 = 0.00787
    assert fine(own, 0.1, 1) == "0.004 in (0.1 mm)"  # 0.00394
    assert sides(own, 6.35, 7.4) == "1/4 x just under 5/16 in (6.4 x 7.4 mm)"  # 5/16 in = 7.94 mm
    assert length(own, 9.525) == "3/8 in (9.5 mm)"


def test_what_is_bought_or_drilled_is_told_in_the_fraction_that_it_is() -> None:
    """To 1/64 in, where it is within 0.05 mm of one; else as a tape tells it, to the job's 1/16 in."""
    own = job("example")
    assert nominal(own, 25.4 * 5 / 32) == "5/32 in (4.0 mm)"  # 3.97 mm
    assert nominal(own, 4.0) == "5/32 in (4.0 mm)"  # 4.00 - 3.97 = 0.03
    assert nominal(own, 25.4 * 17 / 64) == "17/64 in (6.7 mm)"
    assert nominal(own, 25.4 * 2.375) == "2 3/8 in (60.3 mm)"
    assert (
        nominal(own, 3.0) == "just under 1/8 in (3.0 mm)"
    )  # 3/32 in 2.38, 7/64 in 2.78, 1/8 in 3.175 mm: none is near
    assert slot_size(own, 25.4 * 17 / 64, 7.4) == "17/64 x just under 5/16 in (6.7 x 7.4 mm)"
    assert length(own, 25.4 * 5 / 32) == "just under 3/16 in (4.0 mm)"  # a tape's reading, as before: 2.5 sixteenths
    assert nominal(job("ramp"), 4.0) == length(job("ramp"), 4.0) == "4.0 mm"


def test_a_metric_job() -> None:
    own = job("ramp")
    assert fine(own, 0.2) == "0.20 mm"
    assert sides(own, 6.4, 7.4) == "6.4 x 7.4 mm"
    assert sides(own, 24.0, 23.8, places=0) == "24 x 24 mm"
