"""Posts that leave nothing between them, and end fittings that leave nothing of a cable."""

from __future__ import annotations

import pytest
from jobs_made import Keys, plan, run
from reviewed import told

BLOCK: Keys = {"timber": {"width": 500, "material": "douglas fir"}}


@pytest.mark.parametrize("span", [499.0, 500.0])
def test_posts_in_each_other_are_a_stop(span: float) -> None:
    """Two halves of 500 mm are 500 mm: at that span the posts touch, and no rail goes between them."""
    (stop,) = told(plan(run([span, 900, 400]), post=BLOCK), "nothing lies between them", "stop")
    assert stop.where == "run A"
    assert "posts 3 and 4 stand 400.0 mm apart" in stop.found  # the worst
    assert "takes up 500.0 mm" in stop.found
    assert "(and 1 more)" in stop.found
    assert not told(plan(run([span, 900]), post=BLOCK), "no cable is left")


def test_posts_that_leave_a_little_are_told_by_their_cables() -> None:
    made = plan(run([510]), post=BLOCK)
    assert not told(made, "nothing lies between them")
    (stop,) = told(made, "no cable is left", "stop")
    assert stop.where == "run A"
    assert min(cut.length for cut in made.takeoff.cables) <= 0.0


def test_what_is_added_to_a_cable_hides_nothing() -> None:
    assert told(plan(run([510]), post=BLOCK, cable={"trim": 300}), "no cable is left", "stop")
    assert not told(plan(run([700]), post=BLOCK, cable={"trim": -100}), "no cable is left")


def test_a_turned_post_takes_up_more() -> None:
    """89 mm on its corner is 125.9 mm from corner to corner."""
    turned: Keys = {"timber": {"width": 89, "material": "douglas fir", "rotate": 45}}
    assert told(plan(run([125]), post=turned), "nothing lies between them", "stop")
    assert not told(plan(run([127]), post=turned), "nothing lies between them", "stop")


def test_bars_take_up_room_too() -> None:
    """911 mm lie between two posts of 89: 18 bars of 50 mm go in, 19 do not."""
    bar: Keys = {"shape": "rectangular", "along": 50, "across": 25, "material": "steel"}
    kinds: Keys = {"timber": {"width": 89, "material": "douglas fir"}, "bar": bar}
    stands: Keys = {"line": "timber", "end": "timber"}
    few, many = (run([1000], spacers={"kind": "bar", "each": each}) for each in (18, 19))
    assert not told(plan(few, post=kinds, posts=stands), "nothing lies between them")
    (stop,) = told(plan(many, post=kinds, posts=stands), "nothing lies between them", "stop")
    assert "with the spacer bars takes up 1039.0 mm" in stop.found


def test_posts_that_lean_into_each_other() -> None:
    """100 mm a metre each, 850 mm high: 170 mm, where 111 lie between them at the walking surface."""
    leaning: Keys = {"1": {"lean": [100, 0]}, "2": {"lean": [-100, 0]}}
    (stop,) = told(plan(run([200, 900]), as_built=leaning), "lean into each other", "stop")
    assert stop.where == "run A" and "top, 1 to 2" in stop.found
    assert not told(plan(run([400, 900]), as_built=leaning), "lean into each other")


def test_a_plain_run_has_neither() -> None:
    made = plan(run([1200, 1200]))
    assert not told(made, "nothing lies between them")
    assert not told(made, "no cable is left")
