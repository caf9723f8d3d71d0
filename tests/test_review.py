"""A plan held against its rules at rest: the limit itself fails, a tenth of a millimetre less passes."""

from __future__ import annotations

from math import cos, hypot
from typing import Any

import pytest
from jobs_made import INCH, Keys, plan, ramp, run, slope_of, stair

from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import review

CABLE = 3.2
BOTTOM: Keys = {"bottom_rail": {"depth": 38}, "bottom_gap": 50}
SLOPES: dict[str, Keys] = {
    "level": {},
    "ramp": {"ramp": ramp(20.0)},
    "stair": {"stair": stair(170, 290, 120, overhang=25), "bottom_gap": 0},
}
# held tight and without a line post, so that the load adds next to nothing
TIGHT: Keys = {"tension": 20000, "side_force": 4, "coldest": "18 degC", "hottest": "18 degC", "loss": 0}


def made(keys: Keys, code: str = "irc-2021", fall: Any = 3000, **tables: Any) -> Plan:
    head = {"code": code} | ({} if fall is None else {"fall": fall})
    return plan(run([400], **keys), job=head, cable=TIGHT, **tables)


def stops(found: Plan, words: str = "") -> list[Problem]:
    return [p for p in review(found) if p.level == "stop" and words in p.found]


def opening_stops(found: Plan) -> list[Problem]:
    """At rest only: what the load makes of an opening has its own words."""
    return [p for p in stops(found, "opening") if "passes" in p.found and "load" not in p.found]


@pytest.mark.parametrize(
    ("code", "where", "limit", "clause"),
    [
        # 4 in below the rail of a level run or a ramp, 4 3/8 in on a stair
        ("irc-2021", "level", 4.0, "IRC R312.1.3"),
        ("irc-2021", "ramp", 4.0, "IRC R312.1.3"),
        ("irc-2021", "stair", 4.375, "IRC R312.1.3 exception 2"),
        # 4 in up to 36 in, whatever is underfoot
        ("ibc-2021", "level", 4.0, "IBC 1015.4"),
        ("ibc-2021", "ramp", 4.0, "IBC 1015.4"),
        ("ibc-2021", "stair", 4.0, "IBC 1015.4"),
    ],
)
@pytest.mark.parametrize("off", [-0.1, 0.0, 0.1])
def test_opening_between_cables(code: str, where: str, limit: float, clause: str, off: float) -> None:
    """Three openings of the limit between four cables, all below 36 in; 60 mm under the rail and over the bottom rail."""
    opening = limit * INCH + off
    ground = SLOPES[where]
    c = cos(slope_of(ground))
    room = 60 + 3 * opening + 4 * CABLE + 60
    # upright: rails of 38 and what lies between them over cos t, and the gap
    height = (38 + room + 38) / c + 20
    assert height < 36 * INCH
    bottom = {"bottom_rail": {"depth": 38}, "bottom_gap": 20}
    found = made(
        {**ground, **bottom, "height": height, "count": 4, "spacing": opening + CABLE, "first": 60 + CABLE / 2}, code
    )
    assert found.runs[0].openings == tuple(pytest.approx(value) for value in (60, opening, opening, opening, 60))
    assert [p.source for p in opening_stops(found)] == [clause] * (off >= 0)


def test_opening_under_the_rail_of_a_high_guard() -> None:
    """IBC 1015.4 exception 1: from 36 to 42 in up, 4 3/8 in. Rail of 1 1/2 in on 42 in: from 40 1/2 in down."""
    for off, wrong in ((-0.1, False), (0.0, True)):
        opening = 4.375 * INCH + off  # its lower edge at 36.125 in, still in the upper zone
        keys = {"height": 42 * INCH, "rail": {"depth": 1.5 * INCH}, "bottom_gap": 0, "bottom_rail": {"depth": 38}}
        found = made({**keys, "count": 10, "spacing": 84, "first": opening + CABLE / 2}, "ibc-2021")
        assert found.runs[0].openings[0] == pytest.approx(opening)
        assert [p.source for p in opening_stops(found) if "opening 1 " in p.found] == ["IBC 1015.4 exception 1"] * wrong


def test_opening_that_reaches_under_36_inches_has_the_smaller_sphere() -> None:
    """The same guard with a rail of 2 1/2 in: an opening of 4 1/4 in from 39 1/2 in down to 35 1/4 in."""
    keys = {"height": 42 * INCH, "rail": {"depth": 2.5 * INCH}, "bottom_gap": 0, "bottom_rail": {"depth": 38}}
    found = made({**keys, "count": 10, "spacing": 84, "first": 4.25 * INCH + CABLE / 2}, "ibc-2021")
    assert [p.source for p in opening_stops(found) if "opening 1 " in p.found] == ["IBC 1015.4"]


@pytest.mark.parametrize(("off", "wrong"), [(-0.1, False), (0.0, True)])
def test_opening_down_to_the_deck(off: float, wrong: bool) -> None:
    """Guard 915, rail 38, cables every 80, the tenth at 800: what is left to the deck is 877 - 801.6."""
    height = 38 + 800 + CABLE / 2 + 4 * INCH + off
    found = made({"height": height, "count": 10, "spacing": 80, "first": 80})
    assert found.runs[0].openings[-1] == pytest.approx(4 * INCH + off)
    assert bool(opening_stops(found)) is wrong


@pytest.mark.parametrize("code", ["irc-2021", "ibc-2021", "nbc-2020", "adk-2013", "abcb-2022"])
@pytest.mark.parametrize("where", ["level", "ramp", "stair"])
def test_what_the_rules_chose_passes_at_rest(code: str, where: str) -> None:
    keys = {key: value for key, value in SLOPES[where].items() if key != "bottom_gap"}
    found = made({**keys, "height": 1100}, code)
    assert not opening_stops(found)
    if found.job.rules.triangle:
        assert not stops(found, "triangle")


@pytest.mark.parametrize("code", ["adk-2013", "abcb-2022"])
def test_remedy_never_asks_for_a_height_below_nothing(code: str) -> None:
    """170 on 290: the step alone (170 + 290 - 336.2 = 123.8) lets more than 100 mm through, however low the member."""
    found = made({"stair": stair(170, 290, 120, overhang=25), "height": 1100}, code)
    for problem in stops(found, "triangle"):
        assert "-" not in problem.remedy


def triangle_height(sphere: float, rise: float, going: float, overhang: float) -> float:
    """h at which the inscribed circle of legs g k and r k, k = 1 + h/r + n/g, is ``sphere``: both legs less the
    hypotenuse are its diameter."""
    k = sphere / (going + rise - hypot(going, rise))
    return rise * (k - 1 - overhang / going)


@pytest.mark.parametrize(
    ("overhang", "inches"),
    [(0.0, 1.37), (1.0, 0.595)],  # 6 in sphere, 7 3/4 on 10: 17.75 - 12.6516 = 5.0984; 6 / 5.0984 = 1.17684
)
@pytest.mark.parametrize("code", ["irc-2021", "ibc-2021"])
def test_triangle_of_the_steepest_stair(overhang: float, inches: float, code: str) -> None:
    limit = triangle_height(6 * INCH, 7.75 * INCH, 10 * INCH, overhang * INCH)
    assert limit / INCH == pytest.approx(inches, abs=0.005)
    clause = {"irc-2021": "IRC R312.1.3 exception 1", "ibc-2021": "IBC 1015.4 exception 2"}[code]
    below = triangle_height(6 * INCH - 0.1, 7.75 * INCH, 10 * INCH, overhang * INCH)
    for gap, wrong in ((below, False), (limit + 1e-5, True), (limit + 0.2, True)):
        ground = stair(7.75 * INCH, 10 * INCH, 120, overhang=overhang * INCH)
        found = made({"stair": ground, "bottom_rail": {"depth": 38}, "bottom_gap": gap, "height": 1100}, code)
        assert [p.source for p in stops(found, "triangle")] == [clause] * wrong


def test_triangle_is_judged_under_a_lowest_cable_too() -> None:
    ground = stair(180, 270, 120, overhang=20)
    limit = triangle_height(152.4, 180, 270, 20)
    clear = 1100 - 38 / cos(slope_of({"stair": ground}))
    for off, wrong in ((-0.5, False), (0.5, True)):
        # the lowest of 10 cables so that its lower edge stands at limit + off
        c = cos(slope_of({"stair": ground}))
        first = (clear - limit - off) * c - CABLE / 2 - 9 * 85
        found = made({"stair": ground, "height": 1100, "count": 10, "spacing": 85, "first": first})
        assert found.runs[0].gap == pytest.approx(limit + off)
        assert bool([p for p in stops(found, "triangle") if "load" not in p.found]) is wrong


def test_remedy_of_the_triangle_names_the_height_that_passes() -> None:
    """7 on 11 with 1 in of overhang: 6 / (18 - 13.0384) = 1.209287; 7 x (1.209287 - 1 - 1 / 11) = 0.8287 in."""
    ground = stair(7 * INCH, 11 * INCH, 120, overhang=INCH)
    found = made({"stair": ground, "bottom_rail": {"depth": 38}, "bottom_gap": 60, "height": 1100})
    (problem,) = stops(found, "triangle")
    assert triangle_height(6 * INCH, 7 * INCH, 11 * INCH, INCH) == pytest.approx(0.8287 * INCH, abs=0.01)
    assert "20.0 mm" in problem.remedy  # 0.8287 in = 21.05 mm; 1 mm under it at least, in whole mm


@pytest.mark.parametrize(
    ("code", "where", "least", "clause"),
    [
        ("irc-2021", "level", 36 * INCH, "IRC R312.1.2"),
        ("irc-2021", "stair", 34 * INCH, "IRC R312.1.2 exception 1"),
        ("ibc-2021", "level", 42 * INCH, "IBC 1015.3"),
        ("ibc-2021", "stair", 42 * INCH, "IBC 1015.3"),
        ("nbc-2020", "level", 1070, "NBC 2020 9.8.8"),
        ("abcb-2022", "level", 1000, "ABCB"),
    ],
)
def test_guard_height(code: str, where: str, least: float, clause: str) -> None:
    keys = {**SLOPES[where], **BOTTOM, "bottom_gap": 0}
    assert not stops(made({**keys, "height": least}, code), "high")
    (low,) = stops(made({**keys, "height": least - 0.1}, code), "high")
    assert clause in low.source
    unknown = made({**keys, "height": least - 0.1}, code, fall=None)
    assert not stops(unknown, "high")
    assert [p.level for p in review(unknown) if "is the least" in p.found and "high" in p.found] == ["check"]


def test_guard_is_needed_over_thirty_inches_only() -> None:
    """IRC R312.1.1: a walking surface more than 30 in over what is below; at 30 in itself none is asked for."""
    keys = {**BOTTOM, "height": 700}
    assert stops(made(keys, fall=30 * INCH + 0.1), "high")
    assert not stops(made(keys, fall=30 * INCH - 0.1), "high")
    assert not stops(made(keys, fall=30 * INCH), "high")


@pytest.mark.parametrize(
    ("code", "over"),
    # IRC R312.1.1: over 30 in; ABCB Housing Provisions 11.3: 1 m or more; NBC 9.8.8.1: over 600 mm; clauses from memory
    [("irc-2021", 30 * INCH), ("abcb-2022", 1000.0), ("nbc-2020", 600.0)],
)
def test_a_fall_that_needs_no_guard_is_noted(code: str, over: float) -> None:
    for fall, told in ((over - 1.0, 1), (over, 0), (None, 0)):  # at that very fall one may be asked for
        found = [p for p in review(made({**BOTTOM, "height": 1100}, code, fall=fall)) if p.where == "job.fall"]
        assert [p.level for p in found] == ["note"] * told, fall


def climbing(code: str, fall: float | None) -> list[str]:
    return [
        p.source
        for p in review(made({**BOTTOM, "height": 1100}, code, fall=fall))
        if "accepted in writing" in p.remedy and "cables lie there" in p.found
    ]


@pytest.mark.parametrize(("code", "fall"), [("abcb-2022", 4000), ("nbc-2020", 4200)])
def test_climbing_is_a_check_over_the_fall(code: str, fall: float) -> None:
    assert len(climbing(code, fall + 1)) == 1
    assert climbing(code, fall - 1) == []
    assert len(climbing(code, None)) == 1  # not told: somebody must decide
    assert climbing(code, fall + 1)[0]


def test_climbing_in_other_rule_sets() -> None:
    assert climbing("irc-2021", 9000) == climbing("ibc-2021", 9000) == []
    assert len(climbing("adk-2013", 700)) == 1  # avoid horizontal rails, whatever the fall


SIDE: Keys = {"mount": "side", "out": 3 * INCH}


def bottom_stops(found: Plan) -> list[Problem]:
    return [p for p in stops(found) if "is the limit" in p.found or "passes" in p.found]


def test_gap_beside_a_deck() -> None:
    """3 in up and 3 in out is sqrt(18) = 4.24 in; 2 1/2 up and 3 out is sqrt(15.25) = 3.905 in."""
    keys = {**SIDE, "bottom_rail": {"depth": 38}, "height": 915}
    (problem,) = bottom_stops(made({**keys, "bottom_gap": 3 * INCH}))
    assert "107.8" in problem.found  # 4.2426 x 25.4
    assert problem.source == "IRC R312.1.3"
    assert not bottom_stops(made({**keys, "bottom_gap": 2.5 * INCH}))
    assert not bottom_stops(made({"bottom_rail": {"depth": 38}, "height": 915, "bottom_gap": 3 * INCH}))  # on the deck


def test_gap_beside_a_deck_under_a_lowest_cable() -> None:
    """The lowest cable's lower edge 3 in over the deck and 3 in out, with a gap given and without."""
    height = 38 + 9 * 80 + CABLE / 2 + 3 * INCH
    keys = {**SIDE, "height": height, "count": 9, "spacing": 80}
    given = made({**keys, "bottom_gap": 3 * INCH})
    assert given.runs[0].gap == pytest.approx(3 * INCH)
    assert bottom_stops(given)
    silent = made(keys)
    assert silent.runs[0].openings[-1] == pytest.approx(3 * INCH)
    assert bottom_stops(silent)


@pytest.mark.parametrize(("off", "wrong"), [(-0.1, False), (0.0, True)])
def test_gap_under_a_bottom_rail_on_the_level(off: float, wrong: bool) -> None:
    found = made({"bottom_rail": {"depth": 38}, "height": 1000, "bottom_gap": 4 * INCH + off})
    assert bool(bottom_stops(found)) is wrong


def test_steps_beyond_the_code_are_checks() -> None:
    def checks(rise: float, going: float) -> list[str]:
        keys = {"stair": stair(rise * INCH, going * INCH, 120), **BOTTOM, "bottom_gap": 0, "height": 1100}
        return [
            p.found.split(" is ")[0] for p in review(made(keys)) if p.source == "IRC R311.7.5" and p.level == "check"
        ]

    assert checks(7.75, 10) == []
    assert checks(7.8, 10) == ["the rise"]
    assert checks(7.75, 9.9) == ["the going"]


def test_overhang_that_was_not_said_is_a_note() -> None:
    said, silent = stair(170, 290, 120, overhang=25), stair(170, 290, 120)
    for ground, count in ((said, 0), (silent, 1)):
        found = review(made({"stair": ground, **BOTTOM, "bottom_gap": 0, "height": 1000}))
        assert len([p for p in found if p.level == "note" and "overhang" in p.found]) == count


def test_stops_come_first_and_each_is_told_once() -> None:
    found = review(made({"stair": stair(200, 250, 120), **BOTTOM, "height": 700, "spacing": 130}))
    order = [("stop", "check", "note").index(p.level) for p in found]
    assert order == sorted(order)
    assert len(set(found)) == len(found)


def test_play_that_opens_a_pair_before_any_force() -> None:
    """Openings of 90 in holes of 50 round cables of 1.5: the play of 48.5 alone opens them over 101.6, and no pull
    cures it. No breaking load is listed for that cable, so none bounds the pull either."""
    swaged = {"outline": [40, 60], "screws": [[0, 20]], "screw": "#14 x 2 1/2 in", "setback": 50, "passes_through": 50}
    keys = {"count": 9, "spacing": 90 + 1.5, "start": "swaged", "finish": "rigid plate", "height": 1000}
    tables: Keys = {
        "cable": {"diameter": 1.5},
        "fitting": {"swaged": swaged},
        "post": {"timber": {"width": 140, "material": "douglas fir"}},
    }
    found = review(plan(run([1000, 1000], **keys), job={"fall": 3000}, **tables))
    opened = [p for p in found if "gives to" in p.found]
    assert opened
    assert not [p for p in opened if "pull" in p.remedy]
