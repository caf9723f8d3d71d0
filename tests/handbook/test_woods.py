"""Specific gravities against the NDS, and names under which people know their posts."""

from __future__ import annotations

import pytest

from jiggen.handbook.woods import frame_expansion, material, material_names


@pytest.mark.parametrize(
    ("name", "gravity"),
    [
        ("douglas fir-larch", 0.50),
        ("southern pine", 0.55),
        ("hem-fir", 0.43),
        ("spruce-pine-fir", 0.42),
        ("redwood", 0.37),
        ("western cedars", 0.36),
        ("alaska cedar", 0.47),
        ("red oak", 0.67),
    ],
)
def test_specific_gravity(name: str, gravity: float) -> None:
    """NDS Table 12.3.3A."""
    found = material(name)
    assert (found.gravity, found.kind, found.known, found.source) == (
        gravity,
        "wood",
        True,
        "NDS Table 12.3.3A",
    )
    assert found.hard == (gravity > 0.6)


def test_other_names() -> None:
    assert material("Western  Red CEDAR") == material("cedar") == material("western cedars")
    assert material("aluminum") == material("aluminium")
    assert material("Doug fir") == material("douglas fir-larch")


@pytest.mark.parametrize("name", ["316 stainless", "304 stainless", "steel", "aluminium", "aluminum"])
def test_metals(name: str) -> None:
    found = material(name)
    assert (found.kind, found.gravity, found.known) == ("metal", None, True)


def test_hardboard_is_neither() -> None:
    assert (material("hardboard").kind, material("hardboard").gravity) == ("other", None)


def test_an_unknown_wood_counts_as_the_lightest_softwood() -> None:
    found = material("moon oak")
    assert (found.name, found.kind, found.known, found.hard) == ("moon oak", "wood", False, False)
    assert found.gravity == 0.36  # western cedars, the least that is listed
    assert found.gravity == min(wood.gravity for wood in map(material, material_names()) if wood.gravity)


def test_expansion_of_frames() -> None:
    """Per K: wood along the grain 4e-6, steel 12e-6, aluminium 23e-6, from memory."""
    assert [frame_expansion(name) for name in ("wood", "steel", "aluminium")] == [4e-6, 12e-6, 23e-6]
    assert frame_expansion("Aluminum") == 23e-6
    assert frame_expansion("glass") is None


def test_each_row_has_a_source() -> None:
    assert all(material(name).source for name in material_names())
