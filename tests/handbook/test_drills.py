"""Drill sizes cell for cell against ASME B94.11M and BS 328, and the step up and down from a size."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from pytest import approx

from jiggen.handbook.drills import Drill, drills, next_down, next_up

LISTED = Path(__file__).parent.parent / "data" / "drills_number_letter.csv"  # ASME B94.11M, standard's name from memory


def listed() -> list[tuple[str, float]]:
    with LISTED.open(encoding="utf-8") as file:
        return [(row["size"], float(row["diameter_in"])) for row in csv.DictReader(file)]


@pytest.mark.parametrize(("name", "inches"), listed())
def test_each_number_and_letter_size(name: str, inches: float) -> None:
    kind = "number" if name.startswith("#") else "letter"
    (drill,) = [drill for drill in drills((kind,)) if drill.name == name]
    assert drill.diameter == approx(inches * 25.4, abs=1e-9)


def test_no_number_or_letter_size_too_many() -> None:
    names = {drill.name for drill in drills(("number", "letter"))}
    assert names == {name for name, _ in listed()}
    assert (len(drills(("number",))), len(drills(("letter",)))) == (80, 26)


def test_fractions() -> None:
    found = drills(("fraction",))
    assert len(found) == 128  # 1/64 to 2 in
    assert (found[0].name, found[0].diameter) == ("1/64 in", 0.396875)
    assert (found[13].name, found[13].diameter) == ("7/32 in", 5.55625)  # 14/64, 0.21875 x 25.4
    assert (found[-1].name, found[-1].diameter) == ("2 in", 50.8)
    assert (found[64].name, found[64].diameter) == ("1 1/64 in", approx(65 / 64 * 25.4))


def test_metric_steps() -> None:
    """BS 328: 1.00 to 2.95 by 0.05, 3.0 to 13.9 by 0.1, 14 to 25 by 0.25."""
    found = [drill.diameter for drill in drills(("metric",))]
    stepped = [1 + 0.05 * n for n in range(40)] + [3 + 0.1 * n for n in range(110)]
    assert found == approx(stepped + [14 + 0.25 * n for n in range(45)])
    names = [drill.name for drill in drills(("metric",))]
    assert {"1 mm", "2.95 mm", "5.6 mm", "10 mm", "14.25 mm", "20 mm"} <= set(names)


def test_sorted_with_every_diameter_in_the_order_of_the_sets() -> None:
    both = drills(("letter", "fraction"))
    assert [drill.diameter for drill in both] == sorted(drill.diameter for drill in both)
    quarter = [drill.name for drill in both if drill.diameter == 6.35]  # E is 0.250 in
    assert quarter == ["E", "1/4 in"]
    assert [drill.name for drill in drills(("fraction", "letter")) if drill.diameter == 6.35] == [
        "1/4 in",
        "E",
    ]


def test_the_through_hole_of_the_trade() -> None:
    """1/8 in cable and 3/32 in of clearance: a 7/32 in hole; common practice, no source."""
    assert next_up(3.175 + 2.38125, ("fraction", "number")) == Drill("7/32 in", 5.55625, "fraction")


def test_up_and_down() -> None:
    inch = ("fraction", "number")
    assert next_up(5.0, ("metric",)).name == "5 mm"  # type: ignore[union-attr]
    assert next_up(5.009, ("metric",)).name == "5 mm"  # type: ignore[union-attr]  # within 0.01
    assert next_up(5.011, ("metric",)).name == "5.1 mm"  # type: ignore[union-attr]
    assert next_down(5.0, ("metric",)).name == "5 mm"  # type: ignore[union-attr]
    assert next_down(4.991, ("metric",)).name == "5 mm"  # type: ignore[union-attr]  # within 0.01
    assert next_down(4.989, ("metric",)).name == "4.9 mm"  # type: ignore[union-attr]
    assert next_down(0.196 * 0.7 * 25.4, inch).name == "#29"  # type: ignore[union-attr]  # 0.1372 in: .1360, over 1/8
    assert next_up(60.0, inch) is None
    assert next_down(0.1, inch) is None
    assert next_up(1.0, ()) is None


def test_the_earlier_set_wins_where_two_are_one() -> None:
    assert next_up(6.35, ("letter", "fraction")).name == "E"  # type: ignore[union-attr]
    assert next_up(6.35, ("fraction", "letter")).name == "1/4 in"  # type: ignore[union-attr]
    # #7 is 0.2010 in, 5.1054 mm: 0.0054 from 5.1 mm
    assert next_up(5.08, ("number", "metric")).name == "#7"  # type: ignore[union-attr]
    assert next_up(5.08, ("metric", "number")).name == "5.1 mm"  # type: ignore[union-attr]
    assert next_down(5.106, ("metric", "number")).name == "5.1 mm"  # type: ignore[union-attr]
    # for 5.112 up 5.1 is 0.012 short: no longer equal, so #7 stands
    assert next_up(5.112, ("metric", "number")).name == "#7"  # type: ignore[union-attr]


def test_an_unknown_set() -> None:
    with pytest.raises(ValueError, match="fraction, number, letter, metric"):
        drills(("wire",))
