"""Trade names of posts against PS 20, ASTM A500 and ASME B36.10M."""

from __future__ import annotations

import pytest
from pytest import approx

from jiggen.handbook.posts import nominal, nominal_names


@pytest.mark.parametrize(
    ("name", "along", "across"),
    [
        ("4x4", 3.5, 3.5),  # PS 20
        ("6x6", 5.5, 5.5),  # PS 20
        ("2x4", 1.5, 3.5),  # the rest PS 20, from memory
        ("2x6", 1.5, 5.5),
        ("4x6", 3.5, 5.5),
        ("8x8", 7.5, 7.5),
    ],
)
def test_timber(name: str, along: float, across: float) -> None:
    post = nominal(name)
    assert post is not None
    assert (post.along, post.across, post.wall) == (approx(along * 25.4), approx(across * 25.4), None)
    assert post.shape == ("square" if along == across else "rectangular")
    assert post.source.startswith("PS 20")


@pytest.mark.parametrize(
    ("size", "outside", "wall"),
    [("1", 1.315, 0.133), ("1-1/4", 1.660, 0.140), ("1-1/2", 1.900, 0.145), ("2", 2.375, 0.154)],
)
def test_pipe_by_nominal_size(size: str, outside: float, wall: float) -> None:
    """ASME B36.10M, schedule 40, from memory."""
    post = nominal(f"{size} pipe")
    assert post is not None
    assert (post.shape, post.along, post.across) == ("round", approx(outside * 25.4), approx(outside * 25.4))
    assert post.wall == approx(wall * 25.4)


@pytest.mark.parametrize("name", [name for name in nominal_names() if name.endswith("tube")])
def test_tube_is_what_its_name_says(name: str) -> None:
    """ASTM A500 and EN 10219: the nominal size is the outside size."""
    post = nominal(name)
    assert post is not None and post.wall is not None
    *sizes, last = name.removesuffix(" tube").split("x")
    scale = 1.0 if last.endswith("mm") else 25.4
    said = [_number(size) * scale for size in [*sizes, last.removesuffix(" mm")]]
    assert [post.along, post.across, post.wall] == approx(said)


def _number(text: str) -> float:
    """ "2-1/2" is 2.5."""
    parts = [part.split("/") for part in text.split("-")]
    return sum(int(part[0]) / (int(part[1]) if len(part) == 2 else 1) for part in parts)


def test_spellings() -> None:
    assert nominal("4 × 4") == nominal("4 X 4") == nominal("nominal 4x4") == nominal("4x4")
    assert nominal("2 x 2 x 1/8 in tube") == nominal("2x2x1/8 tube")
    assert nominal('1 1/2" pipe') == nominal("1-1/2 in pipe") == nominal("1-1/2 pipe")
    assert nominal("50x50x3mm tube") == nominal("50 x 50 x 3 mm tube") is not None
    assert nominal("5x7") is None
    assert nominal("") is None


def test_each_row_has_a_source_and_a_wall_that_fits() -> None:
    for post in map(nominal, nominal_names()):
        assert post is not None and post.source
        assert post.wall is None or 0 < 2 * post.wall < min(post.along, post.across)
