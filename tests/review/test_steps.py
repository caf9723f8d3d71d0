"""Steps taped one by one: each rise, each going, their spread, open risers, against the limits of every rule set."""

from __future__ import annotations

from typing import Any

import pytest
from jobs_made import INCH, job, only_run, plan, run
from keys_written import planned, written
from reviewed import told

from jiggen.handbook.rules import rule_names, rule_set
from jiggen.job.model import Stair
from jiggen.plan.model import Plan
from jiggen.problems import JobError

CODES = [name for name in rule_names() if getattr(rule_set(name), "stair", None)]
EVEN = {"goes": "up", "first_behind_nosing": 120, "overhang": 20}


def stepped(code: str, fall: str = "3 m", **stair: Any) -> Plan:
    """A run that climbs three steps at most: 750 mm on goings of 250 and more."""
    head = {"code": code, "units": "mm", "fall": fall}
    keys = {**EVEN, **stair}
    return plan(run([750], stair=keys, count=10, height=1100, bottom_rail={"depth": 38}, bottom_gap=0), job=head)


def limits(code: str) -> tuple[float, float, float, str]:
    rules = rule_set(code)
    assert rules and rules.stair
    return rules.stair.riser_most, rules.stair.tread_least, rules.stair.spread_most, rules.stair.clause


def test_the_rule_sets_that_limit_steps() -> None:
    assert CODES == ["irc-2021", "ibc-2021", "abcb-2022", "nbc-2020"]


@pytest.mark.parametrize("code", CODES)
def test_the_largest_rise(code: str) -> None:
    """The limit itself passes ("not more than"), 0.1 mm more does not; the second of three, by its number."""
    most, _, _, clause = limits(code)
    for size, wrong in ((most - 0.1, False), (most, False), (most + 0.1, True)):
        found = told(stepped(code, rises=[most - 3, size, most - 3], going=300), "is the most")
        assert [p.source for p in found] == [clause] * wrong
        assert all(p.level == "check" and p.found.startswith("rise 2 from the bottom is") for p in found)


@pytest.mark.parametrize("code", CODES)
def test_the_least_going(code: str) -> None:
    _, least, _, clause = limits(code)
    for size, wrong in ((least + 0.1, False), (least, False), (least - 0.1, True)):
        found = told(stepped(code, rise=170, goings=[least + 3, least + 3, size]), "is the least")
        assert [p.source for p in found] == [clause] * wrong
        assert all(p.level == "check" and p.found.startswith("going 3 from the bottom is") for p in found)


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("key", ["rises", "goings"])
def test_the_spread(code: str, key: str) -> None:
    """Largest less smallest of a flight, in any order: the limit passes, 0.1 mm more does not."""
    _, _, spread, clause = limits(code)
    low = 160.0 if key == "rises" else 300.0
    other = {"going": 300} if key == "rises" else {"rise": 170}
    for size, wrong in ((spread - 0.1, False), (spread, False), (spread + 0.1, True)):
        made = stepped(code, **{key: [low + 1, low + size, low, low + 2]}, **other)
        found = told(made, "they differ by")
        assert [p.source for p in found] == [clause] * wrong
        if found:
            mean = low + (1 + spread + 0.1 + 2) / 4  # of low + 1, low + size, low, low + 2
            assert f"{mean:.1f} mm each" in found[0].remedy
            assert f"{key[:-1]} 2 from the bottom is" in found[0].found and f"{key[:-1]} 3 is" in found[0].found


def test_without_a_list_the_note_stays_and_with_both_it_goes() -> None:
    bare = told(stepped("irc-2021", rise=170, going=300), "every step")
    assert [p.level for p in bare] == ["note"] and "write rises and goings" in bare[0].remedy
    (half,) = told(stepped("irc-2021", rises=[170] * 4, going=300), "every step")
    assert "write goings in" in half.remedy and "rise 170" not in half.found
    assert told(stepped("irc-2021", rises=[170] * 4, goings=[300] * 3), "every step") == []


def test_the_mean_makes_the_slope() -> None:
    """Rises of 168, 172, 173 (mean 171), goings of 298 and 302 (mean 300)."""
    ground = only_run(stepped("irc-2021", rises=[168, 172, 173], goings=[298, 302])).ground
    assert isinstance(ground, Stair)
    assert (ground.rise, ground.going) == (pytest.approx(171), pytest.approx(300))


def test_a_rise_beside_its_list_counts_and_is_compared() -> None:
    """4 x 170 = 680 taped, 4 x 171 = 684 by the rise: 4 mm, over 3; at 170.7 it is 2.8 mm. Left out, the mean counts."""
    assert told(stepped("irc-2021", rises=[170] * 4, rise=170.7, going=300), "as taped") == []
    made = stepped("irc-2021", rises=[170] * 4, rise=171, going=300)
    (problem,) = told(made, "as taped")
    ground = only_run(made).ground
    assert isinstance(ground, Stair) and ground.rise == pytest.approx(171)
    again = planned(written(dict(made.job.data), problem.cures[0]))
    mended = only_run(again).ground
    assert isinstance(mended, Stair) and mended.rise == pytest.approx(170)
    assert told(again, "as taped") == []


def test_too_few_are_told() -> None:
    """750 mm on goings of 250 from 120 behind a nosing: nosings at 130, 380 and 630 lie between the posts, three steps."""
    (few,) = told(stepped("irc-2021", rises=[170, 170], going=250), "rises are taped")
    assert "2 rises are taped, its posts climb 3 steps" in few.found and "tape 1 more" in few.remedy
    assert told(stepped("irc-2021", rises=[170] * 3, goings=[250] * 2), "taped, its posts") == []


@pytest.mark.parametrize(
    ("keys", "where", "words"),
    [
        ({"rises": [170] * 3, "goings": [300] * 3}, "goings", "write 2:"),
        ({"rises": [170, "7 inchs"], "going": 300}, "rises[1]", "write"),
        ({"rises": [], "going": 300}, "rises", "write a list of 1 to 60"),
        ({"rises": [170, 900], "going": 300}, "rises[1]", '"50 mm" to "300 mm"'),
        ({"rise": 170, "going": 300, "riser_opening": 90}, "riser_opening", 'write risers = "open" too'),
        ({"rise": 170, "going": 300, "risers": "open", "riser_opening": 170}, "riser_opening", "clear from a tread"),
        ({"rise": 170, "going": 300, "risers": "opn"}, "risers", 'write "open"'),
    ],
)
def test_bad_steps_have_their_place(keys: dict[str, Any], where: str, words: str) -> None:
    with pytest.raises(JobError) as caught:
        job(run([750], stair={**EVEN, **keys}))
    (problem,) = caught.value.problems
    assert problem.where == f"run[0].stair.{where}" and words in problem.remedy


OPEN = {"irc-2021": 4 * INCH, "ibc-2021": 4 * INCH, "abcb-2022": 125.0, "adk-2013": 100.0}


@pytest.mark.parametrize("code", OPEN)
def test_open_risers(code: str) -> None:
    """The sphere of the rule set must not pass: limit less 0.1 mm passes the check, the limit fails."""
    for size, wrong in ((OPEN[code] - 0.1, False), (OPEN[code], True)):
        made = stepped(code, rise=170, going=300, risers="open", riser_opening=size)
        found = told(made, "its risers are")
        assert [p.level for p in found] == ["check"] * wrong
        assert all(p.source and "close each to" in p.remedy for p in found)
    assert told(stepped(code, rise=170, going=300), "its risers are") == []


def test_open_risers_near_the_floor_and_without_a_rule() -> None:
    """IRC judges those over 30 in (762 mm) up only; the Canadian set has no such clause here; no opening given is told."""
    low = stepped("irc-2021", "0.7 m", rise=170, going=300, risers="open", riser_opening=150)
    assert told(low, "its risers are") == []
    (note,) = told(stepped("nbc-2020", rise=170, going=300, risers="open", riser_opening=150), "its risers are")
    assert note.level == "note"
    (ask,) = told(stepped("irc-2021", rise=170, going=300, risers="open"), "its risers are")
    assert ask.level == "check" and "riser_opening" in ask.remedy


def own(limits: dict[str, Any], **stair: Any) -> Plan:
    keys = {**EVEN, **stair}
    guard = {"count": 10, "height": 1100, "bottom_rail": {"depth": 38}, "bottom_gap": 0}
    head = {"code": "harbour", "units": "mm", "fall": "3 m"}
    return plan(
        run([750], stair=keys, **guard), job=head, code={"harbour": {"opening": 100, "title": "Harbour", **limits}}
    )


def test_limits_of_a_job_s_own_rule_set() -> None:
    """Rises to 180, goings from 260, 8 mm of spread, 90 between open risers; a limit that is not said binds nothing."""
    steps = {"rises": [172, 180.1, 172], "goings": [259.9, 268.0], "risers": "open", "riser_opening": 90}
    every = own({"rise": 180, "going": 260, "spread": 8, "riser_opening": 90}, **steps)
    assert (
        len(told(every, "is the most")) == 3 and len(told(every, "is the least")) == 1
    )  # a rise, and both spreads of 8.1
    assert len(told(every, "a sphere of 90.0 mm passes")) == 1
    assert all(p.source == "harbour" for p in told(every, "is the most"))
    fine = {"rises": [172, 180, 172], "goings": [260, 268], "risers": "open", "riser_opening": 89.9}
    good = own({"rise": 180, "going": 260, "spread": 8, "riser_opening": 90}, **fine)
    assert told(good, "is the most") + told(good, "is the least") + told(good, "risers are") == []
    loose = own({"rise": 180}, **{**steps, "rises": [172, 180, 150]})
    assert told(loose, "is the most") + told(loose, "is the least") + told(loose, "may differ") == []


def test_the_worst_step_makes_the_triangle() -> None:
    """One rise of 178 among 170: its circle at the nosing line, no overhang, is 300 + 178 - sqrt(300^2 + 178^2) = 129.2."""
    made = stepped("irc-2021", rises=[170, 170, 178, 170], going=300, overhang=0)
    line = only_run(made)
    from jiggen.review.openings import triangle

    found = triangle(made, line)
    assert found and found.rest == pytest.approx(478 - (300**2 + 178**2) ** 0.5, abs=0.01)
