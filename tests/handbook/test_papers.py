"""Paper sizes against ISO 216 and the inch sizes."""

from __future__ import annotations

import pytest
from pytest import approx

from jiggen.handbook.papers import names, paper


@pytest.mark.parametrize(
    ("name", "width", "height"),
    [
        ("a4", 210, 297),  # ISO 216
        ("a3", 297, 420),  # ISO 216
        ("letter", 8.5 * 25.4, 11 * 25.4),
        ("legal", 8.5 * 25.4, 14 * 25.4),
        ("tabloid", 11 * 25.4, 17 * 25.4),
    ],
)
def test_sizes(name: str, width: float, height: float) -> None:
    assert paper(name) == paper(name.upper()) == approx((width, height))


def test_a4_in_points() -> None:
    assert tuple(side * 72 / 25.4 for side in paper("a4") or ()) == approx((595.276, 841.890), abs=5e-4)


def test_names() -> None:
    assert names() == ("letter", "legal", "tabloid", "a4", "a3")
    assert paper("foolscap") is None
