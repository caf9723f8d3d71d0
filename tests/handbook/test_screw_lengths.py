"""Screws as they are sold: every length by hand from the table's rows, in inch and in metric jobs."""

from __future__ import annotations

from itertools import pairwise

import pytest

from jiggen.handbook.load import rows
from jiggen.handbook.screw_lengths import at_least, at_most, is_sold, sold_lengths
from jiggen.handbook.screws import parse_screw


def texts(screw: str, market: str) -> list[str]:
    return [one.text for one in sold_lengths(parse_screw(screw), market)]  # type: ignore[arg-type]


def test_numbered_wood_screws_by_the_market() -> None:
    inch = texts("#14 x 2 in", "in")
    assert inch[:5] == ["1/2 in", "5/8 in", "3/4 in", "7/8 in", "1 in"]
    assert inch[5:13] == ["1 1/4 in", "1 1/2 in", "1 3/4 in", "2 in", "2 1/4 in", "2 1/2 in", "2 3/4 in", "3 in"]
    assert inch[13:] == ["3 1/2 in", "4 in", "5 in", "6 in"]
    metric = texts("#14 x 2 in", "mm")
    assert metric == [f"{n} mm" for n in (20, 25, 30, 35, 40, 45, 50, 65, 75, 100, 125, 150)]


@pytest.mark.parametrize("market", ["in", "mm"])
def test_the_size_decides_for_all_others(market: str) -> None:
    assert texts("5 x 60 mm", market)[:8] == [f"{n} mm" for n in (20, 25, 30, 35, 40, 45, 50, 60)]
    assert texts("lag 5/16 x 3 in", market) == [
        *("1 in", "1 1/2 in", "2 in", "2 1/2 in", "3 in", "4 in", "5 in", "6 in", "7 in", "8 in")
    ]
    assert texts("lag 8 mm x 60 mm", market)[:4] == ["30 mm", "40 mm", "50 mm", "60 mm"]
    assert texts("M6 x 40 mm", market)[:6] == ["10 mm", "12 mm", "16 mm", "20 mm", "25 mm", "30 mm"]
    assert texts("1/4-20 x 1 in", market)[:5] == ["1/2 in", "5/8 in", "3/4 in", "7/8 in", "1 in"]
    assert texts("10-24 x 1 in", market)[0] == "3/8 in"


def test_the_next_up_and_down() -> None:
    screw = parse_screw("#14 x 2 1/2 in")
    assert [one.told for one in (at_most(screw, "in", 70.0), at_least(screw, "in", 70.0)) if one] == [
        *("2 3/4 in (69.9 mm)", "3 in (76.2 mm)")
    ]
    assert at_most(screw, "in", 10.0) is None and at_least(screw, "in", 200.0) is None
    assert [one.told for one in (at_most(screw, "mm", 75.0), at_least(screw, "mm", 75.0)) if one] == ["75 mm", "75 mm"]


def test_what_is_sold_anywhere_is_sold() -> None:
    assert is_sold(parse_screw("#10 x 1 1/2 in")) and is_sold(parse_screw("#10 x 75 mm"))
    assert not is_sold(parse_screw("#10 x 61.3 mm")) and not is_sold(parse_screw("lag 1/4 x 2 3/16 in"))


def test_rows_rise_and_the_file_says_whence() -> None:
    for row in rows("screw_lengths.csv"):
        assert row["kind"] in ("wood", "lag", "machine") and row["market"] in ("in", "mm")
    for kind in ("#8 x 1 in", "6 x 60 mm", "lag 1/4 x 3 in", "M8 x 20 mm", "8-32 x 1 in"):
        for market in ("in", "mm"):
            every = sold_lengths(parse_screw(kind), market)  # type: ignore[arg-type]
            assert every and all(a.mm < b.mm for a, b in pairwise(every))
