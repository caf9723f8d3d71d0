"""Strand against ideal packing, EN 1993-1-11, AC 43.13-1B and MIL-DTL-87161."""

from __future__ import annotations

import math

import pytest
from pytest import approx

from jiggen.handbook.strands import breaking_load, metallic_area, strand, strand_names

LBF = 4.4482216152605  # N


@pytest.mark.parametrize(
    ("name", "fill", "modulus"),
    [("1x19", 0.760, 130_000), ("7x7", 0.605, 90_000), ("7x19", 0.591, 90_000)],
)
def test_fill_and_modulus(name: str, fill: float, modulus: float) -> None:
    """Fill: ideal packing. Modulus: EN 1993-1-11 Table 3.1, from memory. 316 expands 16 to 17e-6 per K."""
    found = strand(name)
    assert found is not None
    assert (found.name, found.fill, found.modulus) == (name, fill, approx(modulus))
    assert 16e-6 <= found.expansion <= 17e-6
    assert 0.001 <= found.stretch <= 0.01  # constructional, 0.1 to 1 %, from memory
    assert found.source


def test_fill_of_ideally_packed_wires() -> None:
    """Wires of one diameter in hexagonal rings: 7 span 3 of it, 19 span 5; 7 strands span 3 strands."""
    ideal = {"1x19": 19 / 25, "7x7": (7 / 9) ** 2, "7x19": 7 / 9 * 19 / 25}
    for name, share in ideal.items():
        assert strand(name).fill == approx(share, abs=5e-4)  # type: ignore[union-attr]


def test_metallic_area() -> None:
    eighth = strand("1x19")
    assert eighth is not None
    assert metallic_area(eighth, 3.175) == approx(6.02, abs=5e-3)  # 0.760 x pi/4 x 3.175^2
    assert metallic_area(eighth, 4.0) == approx(0.760 * math.pi * 4)


@pytest.mark.parametrize(
    ("name", "inches", "pounds"),
    [
        ("7x19", 1 / 8, 1760),  # FAA AC 43.13-1B Table 7-3
        ("7x19", 5 / 32, 2400),
        ("7x19", 3 / 16, 3700),
        ("1x19", 1 / 8, 2100),  # MIL-DTL-87161, from memory
        ("1x19", 5 / 32, 3300),
        ("1x19", 3 / 16, 4700),
    ],
)
def test_breaking_loads(name: str, inches: float, pounds: float) -> None:
    found = strand(name)
    assert found is not None
    assert breaking_load(found, inches * 25.4) == approx(pounds * LBF)
    assert breaking_load(found, inches * 25.4 + 0.05) == approx(pounds * LBF)
    assert breaking_load(found, inches * 25.4 + 0.06) is None
    assert found.breaking_source


def test_names() -> None:
    assert strand_names() == ("1x19", "7x7", "7x19")
    assert strand("1 × 19") == strand("1X19") == strand("1x19")
    assert strand("6x36") is None
    assert breaking_load(strand("7x7"), 3.175) is None  # type: ignore[arg-type]  # none is listed
