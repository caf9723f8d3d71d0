"""Rule sets cell for cell against the codes, and a job's own rule set."""

from __future__ import annotations

import csv
import math
from pathlib import Path
from typing import Any

import pytest
from pytest import approx

from jiggen.handbook.rules import RuleSet, rule_names, rule_set, rules_from_table
from jiggen.units import length

IN = 25.4
TENSION = Path(__file__).parent.parent / "data" / "abcb_11_3_6a.csv"  # ABCB Housing Provisions 2022, 11.3.6


def rules(name: str) -> RuleSet:
    found = rule_set(name)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("name", "height", "stair", "sphere"),
    [
        ("irc-2021", 500, False, 4 * IN),  # R312.1.3
        ("irc-2021", 500, True, 4.375 * IN),  # R312.1.3 exception 2
        ("ibc-2021", 0, False, 4 * IN),  # 1015.4: to 36 in up
        ("ibc-2021", 36 * IN - 0.01, False, 4 * IN),
        ("ibc-2021", 36 * IN, False, 4.375 * IN),  # from there to 42 in
        ("ibc-2021", 41 * IN, False, 4.375 * IN),
        ("ibc-2021", 45 * IN, False, 4.375 * IN),  # beyond the last zone the nearest holds
        ("ibc-2021", -50, False, 4 * IN),
        ("abcb-2022", 500, False, 125),  # 11.3
        ("abcb-2022", 500, True, 125),
        ("adk-2013", 500, False, 100),
        ("adk-2013", 500, True, 100),
        ("nbc-2020", 500, False, 100),  # 9.8.8
        ("nbc-2020", 500, True, 100),
    ],
)
def test_openings(name: str, height: float, stair: bool, sphere: float) -> None:
    size, clause = rules(name).sphere_at(height, stair)
    assert size == approx(sphere)
    assert clause


@pytest.mark.parametrize(
    ("name", "triangle"),
    [("irc-2021", 6 * IN), ("ibc-2021", 6 * IN), ("abcb-2022", None), ("adk-2013", None), ("nbc-2020", 150)],
)
def test_triangles(name: str, triangle: float | None) -> None:
    """R312.1.3 exception 1, 1015.4 exception 2, NBC 9.8.8; the others give none."""
    found = rules(name)
    assert found.triangle == (None if triangle is None else approx(triangle))
    assert bool(found.triangle_clause) == (triangle is not None)


@pytest.mark.parametrize(
    ("name", "fall", "level", "stair"),
    [
        ("irc-2021", 31 * IN, 36 * IN, 34 * IN),  # R312.1.2
        ("irc-2021", 30 * IN, None, None),  # over 30 in, not at it
        ("ibc-2021", 31 * IN, 42 * IN, 42 * IN),  # 1015.3
        ("abcb-2022", 1001, 1000, 865),  # 11.3
        ("abcb-2022", 999, None, None),
        ("adk-2013", 601, 1100, 900),  # balconies; stairs
        ("nbc-2020", 601, 900, 900),  # 9.8.8
        ("nbc-2020", 1801, 1070, 900),  # over 1.8 m
        ("nbc-2020", None, 1070, 900),  # no fall said: the highest
        ("nbc-2020", 600, None, None),
    ],
)
def test_heights(name: str, fall: float | None, level: float | None, stair: float | None) -> None:
    found = [rules(name).height_for(fall, is_stair) for is_stair in (False, True)]
    expected = [None if least is None else approx(least) for least in (level, stair)]
    assert [rule.least if rule else None for rule in found] == expected


@pytest.mark.parametrize(
    ("name", "fall"),
    [
        ("irc-2021", 30 * IN),
        ("ibc-2021", 30 * IN),
        ("abcb-2022", 1000),
        ("adk-2013", 600),  # from memory
        ("nbc-2020", 600),
    ],
)
def test_the_fall_that_asks_for_a_guard(name: str, fall: float) -> None:
    assert rules(name).guard_over == approx(fall)


def test_climbing() -> None:
    found = {name: [(c.fall_over, c.above, c.below) for c in rules(name).climbs] for name in rule_names()}
    assert found == {
        "irc-2021": [],
        "ibc-2021": [],
        "abcb-2022": [(4000.0, 150.0, 760.0)],  # 11.3: over 4 m
        "adk-2013": [(0.0, 0.0, math.inf)],  # horizontal rails to be avoided
        "nbc-2020": [(4200.0, 140.0, 900.0)],  # 9.8.8: over 4.2 m
    }


@pytest.mark.parametrize(
    ("name", "riser", "tread", "spread"),
    [
        ("irc-2021", 7.75 * IN, 10 * IN, 0.375 * IN),  # R311.7.5
        ("ibc-2021", 7 * IN, 11 * IN, 0.375 * IN),  # the rest from memory
        ("abcb-2022", 190, 240, 10),
        ("nbc-2020", 200, 255, 10),
    ],
)
def test_steps(name: str, riser: float, tread: float, spread: float) -> None:
    stair = rules(name).stair
    assert stair is not None
    assert (stair.riser_most, stair.tread_least, stair.spread_most) == approx((riser, tread, spread))
    assert stair.clause


def test_no_code_here_publishes_the_load_on_its_sphere() -> None:
    assert [name for name in rule_names() if rules(name).load_published] == []


def cells() -> list[tuple[float, str, float, float, float | None]]:
    with TENSION.open(encoding="utf-8") as file:
        found = list(csv.DictReader(file))
    return [
        (
            float(row["diameter_mm"]),
            row["lay"],
            float(row["wire_spacing_mm"]),
            float(span),
            _newton(row[span]),
        )
        for row in found
        for span in ("600", "800", "900", "1000", "1200", "1500", "1800", "2000", "2500")
    ]


def _newton(cell: str) -> float | None:
    return None if cell == "x" else float(cell)


@pytest.mark.parametrize(("diameter", "lay", "spacing", "span", "newton"), cells())
def test_each_required_tension(diameter: float, lay: str, spacing: float, span: float, newton: float | None) -> None:
    found = rules("abcb-2022")
    (row,) = [r for r in found.tension_table if (r.diameter, r.lay, r.spacing) == (diameter, lay, spacing)]
    assert dict(row.tensions)[span] == newton
    assert found.required_tension(diameter, lay, spacing, span) == newton


def test_the_table_has_no_row_too_many() -> None:
    assert len(rules("abcb-2022").tension_table) == 21
    assert len(cells()) == 21 * 9
    assert all(not rules(name).tension_table for name in rule_names() if name != "abcb-2022")


def test_tension_never_falls_along_a_row() -> None:
    for row in rules("abcb-2022").tension_table:
        given = [newton for _, newton in row.tensions if newton is not None]
        assert given == sorted(given)


def test_reading_the_table_upwards() -> None:
    """The next listed spacing and span; 0.05 mm is equal; 3.2 mm wire reads the 3.0 rows (its note)."""
    need = rules("abcb-2022").required_tension
    assert need(3.2, "1x19", 80, 1500) == 1330
    assert need(3.175, "1x19", 76.2, 1473.2 - 88.9) == 1330  # 80 mm and 1500 mm are the next
    assert need(3.0, "1x19", 80.05, 1500.05) == 1330
    assert need(3.0, "1x19", 80.06, 900) == 1705  # the 100 mm row
    assert need(3.0, "1x19", 80, 1500.06) == 1725  # 1800 mm
    assert need(2.5, "1x19", 80, 2000) is None  # x
    assert need(3.0, "1x19", 100.1, 600) is None  # beyond the table
    assert need(3.0, "1x19", 80, 2600) is None
    assert need(3.3, "1x19", 80, 600) is None  # no such wire
    assert need(3.0, "7x19", 80, 600) is None  # no such lay


def test_names() -> None:
    assert rule_names() == ("irc-2021", "ibc-2021", "abcb-2022", "adk-2013", "nbc-2020")
    assert rule_set("irc-1066") is None
    assert rule_set("../woods") is None
    for name in rule_names():
        found = rules(name)
        assert found.name == name and found.title and found.source
        assert all(item.clause for group in (found.zones, found.heights, found.climbs) for item in group)


def test_a_job_s_own_rules() -> None:
    table = {
        "title": "Harbour trust",
        "opening": "90 mm",
        "stair_opening": "95 mm",
        "triangle": "140 mm",
        "height": "1 m",
        "stair_height": "0.9 m",
        "fall": "50 cm",
        "source": "letter of the trust",
    }
    own = rules_from_table("harbour", table, length)
    assert (own.name, own.title, own.source) == ("harbour", "Harbour trust", "letter of the trust")
    assert own.sphere_at(10.0, stair=False) == (90.0, "letter of the trust")
    assert own.sphere_at(10.0, stair=True) == (95.0, "letter of the trust")
    assert (own.triangle, own.guard_over) == (140.0, 500.0)
    tops = [own.height_for(600.0, stair) for stair in (False, True)]
    assert [top.least if top else None for top in tops] == [1000.0, 900.0]
    assert own.height_for(500.0, stair=False) is None


def test_a_job_s_shortest_rules() -> None:
    own = rules_from_table("mine", {"opening": 100}, length)
    assert own.sphere_at(0.0, stair=True) == own.sphere_at(0.0, stair=False) == (100.0, "mine")
    assert (own.title, own.triangle, own.heights, own.guard_over, own.load_published) == (
        "mine",
        None,
        (),
        0.0,
        False,
    )


@pytest.mark.parametrize(
    ("table", "starts"),
    [
        ({}, ["opening: missing"]),
        ({"opening": "4 inchs"}, ["opening: write a length"]),
        ({"opening": "-4 in"}, ["opening: write a length over 0"]),
        ({"opening": 0}, ["opening: write a length over 0"]),
        ({"opening": "4 in", "openning": "4 in"}, ["openning: not a key"]),
        ({"opening": "4 in", "title": 3}, ["title: write a text"]),
        ({"height": True, "fall": []}, ["height: ", "fall: ", "opening: missing"]),
    ],
)
def test_every_wrong_key_is_told(table: dict[str, Any], starts: list[str]) -> None:
    with pytest.raises(ValueError) as caught:
        rules_from_table("mine", table, length)
    lines = str(caught.value).splitlines()
    assert len(lines) == len(starts)
    assert all(line.startswith(start) for line, start in zip(lines, starts, strict=True))


@pytest.mark.parametrize("key", ["height", "stair_height"])
def test_own_rules_ask_for_no_guard_that_no_job_may_have(key: str) -> None:
    assert rules_from_table("mine", {"opening": 100, key: 2500}, length).heights
    with pytest.raises(ValueError, match=f"^{key}: write a length up to 2.5 m"):
        rules_from_table("mine", {"opening": 100, key: 2501}, length)
