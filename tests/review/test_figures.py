"""Figures of the review against sums by hand: what gets a sphere through, strength, the table's cures, a job's own data."""

from __future__ import annotations

import re
from math import ceil, hypot, pi, sqrt
from typing import Any

import numpy as np
import pytest
from jobs_made import INCH, TIMBER, Keys, plan, run, stair
from reviewed import CABLE, EA, STEADY, number, table_stops, told

from jiggen.handbook.rules import rule_names, rule_set
from jiggen.plan.model import Plan
from jiggen.plan.spacing import triangle_circle
from jiggen.problems import Problem
from jiggen.review import review

RAIL: Keys = {"bottom_rail": {"depth": 38}, "bottom_gap": 20}
BAR: Keys = {"shape": "rectangular", "along": 8, "across": 25, "material": "316 stainless"}
STANDS: Keys = {"line": "timber", "end": "timber"}


# told of every run


def test_the_push_that_takes_a_sphere_through() -> None:
    """By the growth of the energy that both cables store as the sphere's centre nears their plane (virtual work)."""
    made = plan(
        run([1000, 1000], height=1000, spacing=80, count=9), cable={**STEADY, "tension": 900}, job={"fall": 3000}
    )
    held = made.loads["A"].strung
    (note,) = told(made, "a push of", "note")
    radius, start = (101.6 + CABLE) / 2, (80 + held.play) / 2
    away = np.linspace(sqrt(radius**2 - start**2), 0.0, 100_001)
    y = np.sqrt(radius**2 - away**2) - start
    stretch = 2 * np.hypot(911 / 2, y) - 911  # 1000 less two halves of a post of 89
    energy = 2 * (900 * stretch + EA * stretch**2 / (2 * 1911))
    push = float(np.max(np.gradient(energy, -away)))
    assert number(r"a push of ([\d.]+) N", note.found) == pytest.approx(push, abs=0.6)
    assert number(r"([\d.]+) N at the slackest", note.found) == pytest.approx(push, abs=0.6)  # steady, without loss


def test_a_sphere_that_passes_at_rest_asks_for_no_push() -> None:
    """Cables of 3.2 mm every 130 mm leave 126.8, over the sphere's 101.6 mm; every 80 mm 76.8. Told of run A alone."""
    wide, narrow = ({**run([1000, 1000], height=1000, spacing=s, id=name)} for s, name in ((130, "A"), (80, "B")))
    narrow |= {"posts": ["4", "5", "6"], "at": [0, 4000, 0]}
    (note,) = told(plan([wide, narrow], cable=STEADY, job={"fall": 3000}), "passes between two cables", "note")
    assert (
        "a smooth sphere of 101.6 mm passes between two cables half-way between their supports without a push (run A)"
        in note.found
    )
    assert "0 N" not in re.findall(r"a push of ([^,]*, [^,]*)", note.found)[0].split(", ")


def test_how_far_from_breaking() -> None:
    """2100 lbf (MIL-DTL-87161, from memory) = 9341.3 N over 1000 + 357.6 in the cold: 6.88; own weight: w L^2 / (8 T)
    with 6.112 mm2 x 8e-6 kg x 9.80665 = 4.795e-4 N/mm, 911 mm and 542.1 N: 0.092 mm."""
    (note,) = told(plan(run([1000], height=1000, count=9), cable={"tension": 1000}), "the breaking strength is", "note")
    assert number(r"is ([\d.]+) times", note.found) == pytest.approx(9341.3 / 1357.6, abs=0.051)
    assert number(r"sags ([\d.]+) mm", note.found) == pytest.approx(0.092, abs=0.051)
    assert "a push of" not in told(plan(run([1000], height=300, count=1)), "the breaking strength is")[0].found


def test_steps_are_taken_as_equal_and_that_is_said() -> None:
    """IRC R311.7.5: 3/8 in within a flight; nothing said where a rule set has no such limit."""
    keys = {"stair": stair(170, 290, 120, overhang=25), **RAIL, "bottom_gap": 0, "height": 1000}
    (note,) = told(plan(run([400], **keys)), "every step", "note")
    assert "9.5 mm at most" in note.found and note.source == "IRC R311.7.5"
    rules = rule_set("adk-2013")
    assert rules is not None
    given = told(plan(run([400], **keys), job={"code": "adk-2013"}), "every step")
    assert bool(given) is (rules.stair is not None)


@pytest.mark.parametrize("code", rule_names())
def test_what_a_rule_set_says_beside_its_limits_is_told(code: str) -> None:
    rules = rule_set(code)
    assert rules is not None
    given = [p.found for p in review(plan(run([400], height=1100), job={"code": code})) if p.source == rules.source]
    assert given == list(rules.notes)  # nothing of stairs where none is
    steps = {"stair": stair(170, 290, 120, overhang=25), **RAIL, "bottom_gap": 0, "height": 1100}
    given = [p.found for p in review(plan(run([400], **steps), job={"code": code})) if p.source == rules.source]
    assert given == [*rules.stair_notes, *rules.notes]


# openings in every zone of every rule set


def edges() -> list[tuple[str, str, float, float, str]]:
    """Rule set, ground, a height just under the top of each of its zones, its sphere and clause."""
    rows = []
    for code in rule_names():
        rules = rule_set(code)
        assert rules is not None
        for zone in rules.zones:
            for where in ("level", "stair") if zone.where == "any" else (zone.where,):
                rows.append((code, where, min(zone.below, 1070.0) - 5.0, zone.sphere, zone.clause))
    return rows


@pytest.mark.parametrize(("code", "where", "top", "limit", "clause"), edges())
def test_the_limit_fails_in_every_zone_and_a_tenth_less_passes(
    code: str, where: str, top: float, limit: float, clause: str
) -> None:
    """The opening under a rail whose underside is ``top`` up, its lower edge still in the zone; below it 60 mm each."""
    steps = {"stair": stair(150, 300, 120, overhang=10)} if where == "stair" else {}
    c = 300 / hypot(300, 150) if steps else 1.0
    for off, wrong in ((-0.1, False), (0.0, True)):
        keys = {**steps, "height": top + 38 / c, "first": limit + off + CABLE / 2, "spacing": 60 + CABLE}
        made = plan(run([400], **keys, **RAIL), job={"code": code, "fall": 3000}, cable={**STEADY, "tension": 4500})
        assert made.runs[0].openings[0] == pytest.approx(limit + off)
        stops = [p for p in told(made, "opening 1 from the top", "stop") if "clear" in p.found]
        assert [p.source for p in stops] == [clause] * wrong


# the triangle


@pytest.mark.parametrize(
    ("rise", "going", "overhang", "height"),
    [
        (7.75 * INCH, 10 * INCH, 0.0, 1.37 * INCH),  # the steepest IRC stair: 6 in
        (7.75 * INCH, 10 * INCH, INCH, 0.595 * INCH),
        (150, 300, 0, 20),
        (180, 250, 25, 0),
    ],
)
def test_the_triangle_against_a_circle_by_brute_force(
    rise: float, going: float, overhang: float, height: float
) -> None:
    """The largest distance of a point to the nearest of tread, riser and the member's line, on finer and finer grids.

    Tread y = 0, riser x = 0 going up from the tread's back edge; the tread's own nosing is ``going`` + ``overhang``
    in front of that riser, and the nosing line climbs from it by rise over going.
    """
    slope = rise / going

    def room(x: Any, y: Any) -> Any:
        line = (height + (going + overhang - x) * slope - y) / hypot(1.0, slope)
        return np.minimum(np.minimum(x, y), line)

    x0, x1, y0, y1 = 0.0, going + overhang + 100.0, 0.0, rise * 2
    for _ in range(40):
        x, y = np.meshgrid(np.linspace(x0, x1, 41), np.linspace(y0, y1, 41))
        best = room(x, y)
        at = np.unravel_index(np.argmax(best), best.shape)
        wide, high = (x1 - x0) / 3, (y1 - y0) / 3
        x0, x1, y0, y1 = x[at] - wide, x[at] + wide, y[at] - high, y[at] + high
    radius = float(np.max(best))
    assert triangle_circle(rise, going, overhang, height) == pytest.approx(2 * radius, abs=1e-3)
    if rise == 7.75 * INCH:
        assert 2 * radius == pytest.approx(6 * INCH, abs=0.2)  # heights to 0.005 in


# the table of tensions


def abcb(span: float, tension: float, **keys: Any) -> Plan:
    keys = {"count": 8, "spacing": 80, "height": 1100, **keys}
    return plan(run([span + 89], **keys), job={"code": "abcb-2022", "fall": 3000}, cable={**STEADY, "tension": tension})


def test_the_table_names_a_spacing_or_a_span_and_their_pull() -> None:
    """92 mm apart over 2000 mm: x in the table."""
    (stop,) = table_stops(abcb(2000, 2000, spacing=92))
    assert "no tension" in stop.found
    spacing = number(r"space the cables ([\d.]+) mm", stop.remedy)
    pull = number(r"at most and pull (\d+) N", stop.remedy)
    assert table_stops(abcb(2000, pull, spacing=spacing)) == []
    span = number(r"bring supports ([\d.]+) mm apart", stop.remedy)
    pull = number(r"clear, and pull (\d+) N", stop.remedy)
    assert table_stops(abcb(span, pull, spacing=92)) == []
    assert table_stops(abcb(span + 1, pull, spacing=92))


def test_too_slack_for_the_table_names_a_pull_a_spacing_or_a_span() -> None:
    """At 60 mm: swivels of 1 1/2 in clear each other there, plates of 2 1/2 in would not, so with them it is not told."""
    ends: Keys = {"start": "fixed swivel", "finish": "take-up swivel"}
    (stop,) = table_stops(abcb(1200, 700, **ends))
    assert "space the cables" not in table_stops(abcb(1200, 700))[0].remedy
    assert table_stops(abcb(1200, number(r"pull (\d+) N", stop.remedy))) == []
    assert table_stops(abcb(1200, 700, **ends, spacing=number(r"space the cables ([\d.]+) mm", stop.remedy))) == []
    assert table_stops(abcb(number(r"bring supports ([\d.]+) mm apart", stop.remedy), 700)) == []


def test_a_wire_that_the_table_does_not_list() -> None:
    made = plan(run([1000], height=1100, count=10), job={"code": "abcb-2022", "fall": 3000}, cable={"strand": "7x19"})
    (stop,) = table_stops(made)
    assert "1x19 of 2.5, 3.0, 4.0 mm" in stop.remedy


# cures beyond pull, spacing and count


def test_bars_that_are_fixed_at_neither_end() -> None:
    keys: Keys = {"spacers": {"kind": "bar", "each": 1}, "spacing": 84}

    def opened(fixed: list[str]) -> list[Problem]:
        made = plan(
            run([1400], **{"height": 1000, **RAIL, **keys, "first": 95}),
            cable={**STEADY, "tension": 1200, "side_force": 44},
            post={"timber": TIMBER, "bar": {**BAR, "fixed": fixed}},
            posts=STANDS,
        )
        return told(made, "gives to")

    (problem,) = opened([])
    assert "fix the spacer bars at top and bottom" in problem.remedy
    assert opened(["top", "bottom"]) == []


def test_the_free_length_that_stays_shut() -> None:
    """Nothing but nearer posts helps 900 N; with posts that near, and no more, it stays shut."""
    made = plan(
        run([2500], height=1000, spacing=70, **RAIL),
        cable={**STEADY, "tension": 600, "side_force": 900},
        job={"fall": 3000},
    )
    (problem,) = told(made, "gives to")
    free = number(r"free over more than ([\d.]+) mm", problem.remedy)

    def opened(bays: int) -> list[Problem]:
        """The same 2500 from centre to centre, posts of 89 between."""
        cable = {**STEADY, "tension": 600, "side_force": 900}
        made = plan(run([2500 / bays] * bays, height=1000, spacing=70, **RAIL), cable=cable, job={"fall": 3000})
        return told(made, "gives to")

    bays = ceil(2500 / (free + 89))
    assert opened(bays) == []
    assert opened(bays - 1)


def slack(loss: str, tension: float) -> list[Problem]:
    """Installed at -40 and 90 degC at the hottest: 130 K take 12.5e-6 E a each K, 1291 N."""
    cable: Keys = {"hottest": "90 degC", "coldest": "-40 degC", "install_temperature": "-40 degC", "loss": loss}
    made = plan(run([1000], height=1000, count=9), cable={**cable, "tension": tension})
    assert told(made, "over half") == []
    return told(made, "hang slack")


def test_slack_names_a_pull_that_is_safe() -> None:
    """(1291 + 1) / (1 - 0.5) = 2585 N."""
    pull = number(r"pull (\d+) N", slack("50 %", 500)[0].remedy)
    assert pull == pytest.approx((EA * 12.5e-6 * 130 + 1) * 2, abs=1.0)
    assert slack("50 %", pull) == []


def test_slack_that_no_safe_pull_takes_away() -> None:
    """With 80 % lost 6460 N would be needed, over half of 9341 N, 4670. Cold by no more than at the install: 4670 N may be
    pulled, a fifth is left, 934 N, and heat takes E a 12.5e-6 = 9.93 N a degree: slack from 94.1 degrees over the install's."""
    (problem,) = slack("80 %", 500)
    pull = number(r"pull (\d+) N, the most that is safe", problem.remedy)
    cold = EA * 12.5e-6
    assert "only" in problem.remedy and problem.cures == ()
    day = number(r"slack above (-?[\d.]+) degC only", problem.remedy)
    install = -40.0
    assert day == pytest.approx(install + pull * 0.2 / cold, abs=0.06)
    above = number(r"above (-?[\d.]+) degC", problem.found)  # of the 500 N that are pulled, 100 are left
    assert above == pytest.approx(install + 100 / cold, abs=0.06)


def test_a_cable_that_the_cold_alone_pulls_too_hard() -> None:
    """The coldest day adds 357.6 N, over half of 600 N, whatever the pull."""
    own = {"thin": {"fill": 0.76, "modulus": "130 kN/mm2", "breaking": [[CABLE, "600 N"]]}}
    made = plan(run([1000], height=1000, count=9), strand=own, cable={"strand": "thin", "tension": 100})
    (stop,) = told(made, "over half", "stop")
    tightest = 100 + EA * 12.5e-6 * 36
    assert number(r"breaks at (\d+) N at least", stop.remedy) == pytest.approx(2 * tightest, abs=1.0)


def test_gaps_beside_end_posts_name_how_far() -> None:
    def beside(gap: float) -> list[Problem]:
        return told(plan(run([400], height=1000, count=9, gap_at_start=gap), job={"fall": 3000}), "beside it")

    (problem,) = beside(130.0)
    by = number(r"move the post ([\d.]+) mm nearer", problem.remedy)
    assert by == 30.0  # 130 - 101.6 = 28.4, 1 mm more at least, in whole mm
    assert beside(130.0 - by + 0.99) == []
    assert beside(130.0 - by + 2.0)


def test_gap_under_a_bottom_rail_beside_a_deck_names_how_far_down() -> None:
    """sqrt(101.6^2 - 60^2) = 81.99."""

    def under(gap: float) -> list[Problem]:
        keys = {"mount": "side", "out": 60, "bottom_rail": {"depth": 38}, "bottom_gap": gap}
        return told(plan(run([400], height=1000, count=9, **keys), job={"fall": 3000}), "gap under")

    (problem,) = under(90.0)
    most = number(r"down to ([\d.]+) mm", problem.remedy)
    assert most == 80.0  # 1 mm under it at least, in whole mm
    assert under(most + 0.99) == []
    assert under(most + 2.0)


# spacing left open beside a deck


@pytest.mark.parametrize("out", [0, 20, 40, 60])
def test_spacing_left_open_counts_what_the_deck_lies_behind(out: float) -> None:
    side: Keys = {"mount": "side", "out": out} if out else {}
    made = plan(run([1200, 1200], height=1000, **side), job={"fall": 3000}, cable={"tension": 1200})
    assert [p for p in review(made) if "passes" in p.found and p.level != "note"] == []
    less = plan(
        run([1200, 1200], height=1000, count=len(made.runs[0].drops) - 1, **side),
        job={"fall": 3000},
        cable={"tension": 1200},
    )
    assert less.runs[0].spacing > made.runs[0].spacing


# what a job brings of its own


def test_a_strand_of_the_jobs_own_is_stretched_and_judged() -> None:
    """0.7 of the circle at 110 kN/mm2: E a = 619 260 N for 3.2 mm; 6000 N break it, half is 3000."""
    own = {"odd": {"fill": 0.7, "modulus": "110 kN/mm2", "breaking": [[CABLE, "6000 N"]]}}

    def made(tension: float) -> Plan:
        return plan(
            run([1000], height=1000, count=9), strand=own, cable={**STEADY, "strand": "odd", "tension": tension}
        )

    assert made(500).loads["A"].strung.stiffness == pytest.approx(0.7 * 110_000 * pi * CABLE**2 / 4)
    assert told(made(2999.9), "over half") == []
    (stop,) = told(made(3001), "over half", "stop")
    assert stop.source == "the job's own" and "6000 N" in stop.found


def test_a_wood_of_the_jobs_own_holds_by_its_gravity() -> None:
    """2850 G^2 D (NDS 12.2-2, from memory): from G 0.5 to 0.35 the hold falls to (0.35 / 0.5)^2 = 49 %."""

    def holds(gravity: float) -> float:
        plate = {"outline": [30, 60], "flange": 3, "screws": [[0, 12], [0, -12]], "screw": "#10 x 2 in", "pivot": 25}
        plate |= {"swivels": "any", "setback": 50, "travel": 38}
        made = plan(
            run([1000], height=1000, count=3, start="plate", finish="plate"),
            wood={"plantation fir": {"gravity": gravity}},
            post={"timber": {"width": 89, "material": "plantation fir"}},
            fitting={"plate": plate},
            cable={"tension": 4000},
        )
        return number(r"hold (\d+) N", told(made, "for good")[0].found)

    assert holds(0.5) == pytest.approx(1834, abs=1)
    assert holds(0.35) == pytest.approx(1834 * 0.49, abs=1)


def test_a_rule_set_of_the_jobs_own_is_judged_by() -> None:
    """Openings of 90, the triangle 140, guards of 950 where the fall is over 500."""
    own = {
        "works": {
            "opening": 90,
            "triangle": 140,
            "height": 950,
            "stair_height": 900,
            "fall": 500,
            "source": "site rules 4",
        }
    }

    def stops(**keys: Any) -> list[str]:
        made = plan(run([400], **{"height": 1000, "count": 14, **keys}), job={"code": "works", "fall": 800}, code=own)
        assert all(p.source == "site rules 4" for p in review(made) if p.level == "stop" and "is the " in p.found)
        return [p.found for p in review(made) if p.level == "stop"]

    assert stops() == []
    assert any("90.0 mm passes" in words for words in stops(count=9))
    assert any("950.0 mm is the least" in words for words in stops(height=949))
    unit = 170 + 290 - hypot(170, 290)
    high = 170 * (140 / unit - 1)
    steps = {"stair": stair(170, 290, 120, overhang=0), "bottom_rail": {"depth": 38}, "height": 1000}
    assert not any("triangle" in words for words in stops(**steps, bottom_gap=high - 0.1))
    assert any("triangle" in words for words in stops(**steps, bottom_gap=high + 0.1))
