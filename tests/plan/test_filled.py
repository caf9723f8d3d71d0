"""What is said of cables that have no room: each other, or the rail over the first of them."""

from __future__ import annotations

from jobs_made import plan, run


def stops(**keys: float) -> list[str]:
    """What the plan of one run says of its cables' places."""
    made = plan(run([1000, 1000], height=900, **keys), cable={"diameter": 4})
    return [one.found for one in made.problems if one.level == "stop" and one.where == "run A"]


def test_a_cable_at_the_rail_is_told_as_such() -> None:
    """Far from each other, the first one 4 mm under the rail and 4 mm thick: the cables do not touch one another."""
    (found,) = stops(first=4, spacing=80)
    assert "the first cable is 4.0 mm thick and lies 4.0 mm under the rail" in found
    assert "every" not in found
    assert stops(first=5, spacing=80) == []
