"""Spacer bars stand with equal clear gaps between them and the posts of their span."""

from __future__ import annotations

from itertools import pairwise

import pytest
from jobs_made import plan, run

BAR = {"shape": "rectangular", "along": 6, "across": 25, "material": "316 stainless"}
TIMBER = {"width": 89, "material": "douglas fir"}


@pytest.mark.parametrize(("each", "gap"), [(1, 602.5), (2, 399.666667), (3, 298.25)])
def test_gaps_are_equal(each: int, gap: float) -> None:
    """1300 mm between centres of 89 mm posts, bars of 6 mm: (1300 - 89 - n 6) / (n + 1), so 1205/2, 1199/3, 1193/4."""
    made = plan(
        run([1300], spacers={"kind": "bar", "each": each}),
        post={"timber": TIMBER, "bar": BAR},
        posts={"line": "timber", "end": "timber"},
    )
    along = sorted((post.prism.base.x, post.kind.along) for post in made.posts)
    assert len(along) == each + 2
    clear = [b - a - (wide + other) / 2.0 for (a, wide), (b, other) in pairwise(along)]
    assert clear == pytest.approx([gap] * (each + 1), abs=1e-6)
