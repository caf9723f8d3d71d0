"""Screws by name against the Wood Handbook, the NDS and thread tables."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx

from jiggen.handbook.drills import next_down
from jiggen.handbook.screws import lead_hole, parse_screw
from jiggen.handbook.woods import material

CEDAR, PINE, OAK, STEEL = (material(name) for name in ("cedar", "southern pine", "red oak", "steel"))


@pytest.mark.parametrize(
    ("text", "kind", "size", "length", "shank"),
    [
        ("#14 x 2 1/2 in", "wood", "#14", 63.5, 6.1468),  # 0.060 + 14 x 0.013 = 0.242 in
        ("#10x1-1/2 in", "wood", "#10", 38.1, 4.826),  # 0.190 in
        ("#10 x 1 1/2", "wood", "#10", 38.1, 4.826),
        ("No. 10 x 1½ in", "wood", "#10", 38.1, 4.826),
        ("#8 × 40 mm", "wood", "#8", 40.0, 4.1656),  # 0.164 in
        ("#0 x 1/4 in", "wood", "#0", 6.35, 1.524),  # 0.060 in
        ("#24 x 4 in", "wood", "#24", 101.6, 9.4488),  # 0.372 in
        ("5 x 60 mm", "wood", "5 mm", 60.0, 5.0),
        ("4.5 mm x 45", "wood", "4.5 mm", 45.0, 4.5),
        ("lag 5/16 x 3 in", "lag", "5/16 in", 76.2, 7.9375),
        ("5/16 x 3 in lag", "lag", "5/16 in", 76.2, 7.9375),
        ('5/16" x 3" lag screw', "lag", "5/16 in", 76.2, 7.9375),
        ("lag 8 x 80 mm", "lag", "8 mm", 80.0, 8.0),
        ("M6 x 40 mm", "machine", "M6", 40.0, 6.0),
        ("m6x40", "machine", "M6", 40.0, 6.0),
        ("1/4-20 x 1 in", "machine", "1/4-20", 25.4, 6.35),
        ("#10-24 x 3/4 in", "machine", "10-24", 19.05, 4.826),
        ("10-32 x 3/4 in", "machine", "10-32", 19.05, 4.826),
        ("5/16-18 x 2 in", "machine", "5/16-18", 50.8, 7.9375),
    ],
)
def test_names(text: str, kind: str, size: str, length: float, shank: float) -> None:
    screw = parse_screw(text)
    assert (screw.kind, screw.size, screw.text) == (kind, size, text)
    assert (screw.length, screw.shank) == (approx(length), approx(shank))


@pytest.mark.parametrize(
    "bad",
    [
        "",
        "x",
        "#14",
        "#25 x 2 in",
        "#14 x",
        "#14 x 0 in",
        "#14 x -2 in",
        "#14 x 2 inchs",
        "1/0 x 2 in lag",
        "lag x 3 in",
        "5/16 x 3 in",
        "M0 x 20 mm",
        "1/4-0 x 1 in",
        "99 x 60 mm",
        "0 x 60 mm",
        "a nail",
        "9" * 500,
    ],
)
def test_what_is_no_screw(bad: str) -> None:
    with pytest.raises(ValueError, match=r"^write a "):
        parse_screw(bad)


@settings(max_examples=300, deadline=None)
@given(st.one_of(st.text(max_size=40), st.text('#Mmx× 0123456789/-.inlag"', max_size=20)))
def test_noise_raises_nothing_but_value_error(text: str) -> None:
    try:
        screw = parse_screw(text)
    except ValueError:
        return
    assert 0 < screw.root < screw.shank and screw.length > 0


@pytest.mark.parametrize(("number", "inches"), [(6, 0.113), (8, 0.131), (10, 0.152), (12, 0.171), (14, 0.196)])
def test_listed_roots_of_wood_screws(number: int, inches: float) -> None:
    """NDS App. L3, from memory."""
    screw = parse_screw(f"#{number} x 2 in")
    assert screw.root == approx(inches * 25.4)
    assert screw.root_source == "NDS App. L3, from memory"


def test_other_roots_are_two_thirds_of_the_shank() -> None:
    """Wood Handbook FPL-GTR-190 p. 197."""
    for text in ("#9 x 2 in", "5 x 60 mm", "lag 8 x 80 mm"):
        screw = parse_screw(text)
        assert screw.root == approx(screw.shank * 2 / 3)
        assert "Wood Handbook" in screw.root_source


@pytest.mark.parametrize(
    ("size", "inches"),
    [
        ("1/4", 0.173),
        ("5/16", 0.227),
        ("3/8", 0.265),
        ("7/16", 0.328),
        ("1/2", 0.371),
        ("5/8", 0.471),
        ("3/4", 0.579),
    ],
)
def test_listed_roots_of_lag_screws(size: str, inches: float) -> None:
    """NDS App. L2, from memory."""
    assert parse_screw(f"lag {size} x 4 in").root == approx(inches * 25.4)


def test_roots_of_machine_screws() -> None:
    """Minor diameters of ISO 724 coarse external threads, d3: M6 4.773, M8 6.466, M10 8.160 (from memory)."""
    roots = [parse_screw(f"M{size} x 40 mm").root for size in (6, 8, 10)]
    assert roots == approx([4.773, 6.466, 8.160], abs=1e-3)


def test_lead_holes_of_wood_screws() -> None:
    """70 % of the root in softwood, 90 % in hardwood (NDS commentary 11.1.2.1)."""
    screw = parse_screw("#14 x 2 1/2 in")
    soft, hard = lead_hole(screw, CEDAR), lead_hole(screw, OAK)
    assert (soft.limit, soft.share) == (approx(0.1372 * 25.4), 0.70)  # 0.70 x 0.196
    assert (hard.limit, hard.share) == (approx(0.1764 * 25.4), 0.90)  # 0.90 x 0.196
    assert soft.shank_hole is None and soft.low == 0.0
    assert "11.1.2.1" in soft.source and "App. L3" in soft.source


def test_the_pilot_of_the_trade() -> None:
    """1/8 in for bracket and flange screws in softwood, out of a fraction set; common practice, no source."""
    limit = lead_hole(parse_screw("#14 x 2 1/2 in"), CEDAR).limit  # 3.485 mm
    assert next_down(limit, ("fraction",)).name == "1/8 in"  # type: ignore[union-attr]


@pytest.mark.parametrize(("wood", "low", "high"), [(OAK, 65, 85), (PINE, 60, 75), (CEDAR, 40, 70)])
def test_lead_holes_of_lag_screws(wood, low: float, high: float) -> None:  # type: ignore[no-untyped-def]
    """NDS 2018 12.1.4.2, from memory: by specific gravity, 0.67, 0.55 and 0.36 here."""
    hole = lead_hole(parse_screw("lag 5/16 x 3 in"), wood)
    assert (hole.low, hole.limit) == (approx(7.9375 * low / 100), approx(7.9375 * high / 100))
    assert hole.shank_hole == 7.9375
    assert hole.share == high / 100


def test_half_is_the_lightest_group() -> None:
    """Douglas fir-larch is 0.50, and the group is G <= 0.5 (NDS 2018 12.1.4.2, from memory)."""
    assert lead_hole(parse_screw("lag 3/8 x 4 in"), material("douglas fir")).share == 0.70


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("M5 x 20 mm", 4.2),  # workshop tables
        ("M6 x 20 mm", 5.0),
        ("M8 x 20 mm", 6.8),
        ("8-32 x 1 in", 0.136 * 25.4),  # the rest from memory
        ("10-24 x 1 in", 0.1495 * 25.4),
        ("10-32 x 1 in", 0.159 * 25.4),
        ("1/4-20 x 1 in", 0.201 * 25.4),
        ("5/16-18 x 1 in", 0.257 * 25.4),
    ],
)
def test_tap_drills(text: str, mm: float) -> None:
    hole = lead_hole(parse_screw(text), STEEL)
    assert hole.limit == approx(mm)
    assert hole.low < hole.limit
    assert hole.shank_hole is None


@pytest.mark.parametrize(("size", "fine", "medium"), [(6, 6.4, 6.6), (8, 8.4, 9.0), (10, 10.5, 11.0), (12, 13.0, 13.5)])
def test_clearance_holes(size: int, fine: float, medium: float) -> None:
    """ISO 273, fine and medium series."""
    screw = parse_screw(f"M{size} x 40 mm")
    for hole in (lead_hole(screw, STEEL, clearance=True), lead_hole(screw, PINE)):
        assert (hole.low, hole.limit, hole.source) == (fine, medium, "ISO 273")


def test_what_has_no_published_hole() -> None:
    with pytest.raises(ValueError, match="machine screw"):
        lead_hole(parse_screw("#14 x 2 in"), STEEL)
    with pytest.raises(ValueError, match="listed thread: M4, M5"):
        lead_hole(parse_screw("M7 x 20 mm"), STEEL)
