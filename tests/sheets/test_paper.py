"""Papers by name and size, and margins that leave too little."""

from __future__ import annotations

import pytest

from jiggen.sheets.paper import bare, paper, usable


@pytest.mark.parametrize(
    ("name", "width", "height"),
    [
        ("letter", 215.9, 279.4),  # 8.5 x 25.4, 11 x 25.4
        ("A4", 210.0, 297.0),  # ISO 216
        ("a3", 297.0, 420.0),  # ISO 216
        ("legal", 215.9, 355.6),  # 14 x 25.4
        ("tabloid", 279.4, 431.8),  # 11 x 25.4, 17 x 25.4
    ],
)
def test_sizes(name: str, width: float, height: float) -> None:
    sheet = paper(name)
    assert (sheet.width, sheet.height) == (pytest.approx(width), pytest.approx(height))
    assert sheet.margin == 12.7  # half an inch


def test_room_on_letter() -> None:
    sheet = paper("letter")
    assert usable(sheet) == (pytest.approx(176.5), pytest.approx(234.0))  # 215.9-25.4-14, 279.4-25.4-8-12
    assert bare(sheet) == (pytest.approx(190.5), pytest.approx(235.5))  # 215.9-25.4, 279.4-25.4-12-6.5


def test_own_size_is_turned_to_portrait() -> None:
    sheet = paper((300.0, 200.0), 10.0)
    assert (sheet.width, sheet.height, sheet.margin) == (200.0, 300.0, 10.0)


def test_least_window_is_allowed() -> None:
    # 60 + 14 + 20 wide, 80 + 20 + 20 high
    assert usable(paper((94.0, 120.0), 10.0)) == (60.0, 80.0)


@pytest.mark.parametrize(
    ("wanted", "margin"),
    [
        ("foolscap", 10.0),
        ((93.9, 120.0), 10.0),
        ((94.0, 119.9), 10.0),
        ("a4", 110.0),
        ("a4", -1.0),
        ("a4", float("nan")),
        ((float("inf"), 300.0), 10.0),
        ((-200.0, 300.0), 10.0),
    ],
)
def test_refused(wanted: str | tuple[float, float], margin: float) -> None:
    with pytest.raises(ValueError, match="paper"):
        paper(wanted, margin)
