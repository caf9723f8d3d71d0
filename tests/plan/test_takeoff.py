"""What a plan tells the shop: hardware and drills by hand, rails, labels, the order to pull in, both lists, plan.json."""

from __future__ import annotations

import csv
import json
import re
import subprocess
import sys
from importlib import resources
from io import StringIO
from math import ceil, cos, pi, radians
from typing import Any

import pytest
from jobs_made import INCH, Keys, plan, ramp, run

from jiggen.compose.lists import cut_list, hardware_list, spares
from jiggen.plan.document import document, to_json
from jiggen.plan.model import Plan
from jiggen.plan.report import report
from jiggen.plan.takeoff import tension_order
from jiggen.plan.words import cut_label

EA = 130_000.0 * 0.760 * pi * 3.2**2 / 4.0
PLATE: Keys = {
    "outline": [30, 60],
    "flange": 3,
    "screws": [[0, 20], [0, 0], [0, -20]],
    "screw": "#14 x 2 1/2 in",
    "pivot": 25,
    "swivels": "any",
    "setback": 50,
}
TURN: Keys = {**PLATE, "pivot": 20, "setback": 80, "travel": 38, "takes_up": 2.5}
SLIM: Keys = {"width": 89, "material": "douglas fir", "grommet": 9}
STOUT: Keys = {"width": 140, "material": "douglas fir"}
ENDS: Keys = {"start": "hook", "finish": "turn", "bracket": "side plate", "height": 1000}
BOTTOM: Keys = {"bottom_rail": {"depth": 38}, "bottom_gap": 50}


def near(value: float, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def deck(**tables: Any) -> Plan:
    """Three runs: A 1-2-3 level, B 3-4 at a right angle, C 4-5-6 up a ramp of 10 degrees, straight on from B.

    Nine, seven and eight cables; posts 2 and 5 are slim line posts with grommets, the others stout.
    """
    runs = [
        run([1000, 1000], id="A", count=9, **ENDS, **BOTTOM),
        run([1200], 3, id="B", count=7, turn="left 90 deg", **ENDS, **BOTTOM),
        run([900, 900], 4, id="C", count=8, ramp=ramp(10.0), **ENDS, **BOTTOM),
    ]
    stands = {"line": "slim", "end": "stout", "corner": "stout", "transition": "stout"}
    post = {"slim": SLIM, "stout": STOUT}
    return plan(runs, posts=stands, post=post, fitting={"hook": PLATE, "turn": TURN}, **tables)


def rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(data.decode("utf-8-sig"), newline="")))


# hardware and drills


def test_hardware_of_three_runs_by_hand() -> None:
    """9 + 7 + 8 = 24 cables, one fitting of each kind at each, 3 screws a fitting: 144. Run faces: A 4, B 2, C 4, each
    with a bracket for the top and one for the bottom rail: 20, 2 screws each: 40. Grommets: a line post's bore has two
    ends: (9 + 8) x 2 = 34."""
    assert dict(deck().takeoff.hardware) == {
        "hook": 24,
        "turn": 24,
        "#14 x 2 1/2 in": 144,
        "side plate": 20,
        "#10 x 1 1/2 in": 40,
        "grommet": 34,
    }


def test_drills_to_pack_of_three_runs_by_hand() -> None:
    """Softwood, 70 % of the root: #14, 0.7 x 0.196 in = 3.485 mm, down to 3.4 in the metric set: 144; #10, 0.7 x 0.152
    in = 2.703, down to 2.7: 40. Grommet of 9: a 9.0 drill, once a bore though it comes out on both faces: 17."""
    drills = deck().takeoff.drills
    assert [(drill.holes, drill.both) for drill in drills] == [(40, 0), (144, 0), (17, 17)]
    names = [float(re.sub(r" mm$", "", drill.drill)) for drill in drills]
    assert names == [2.7, 3.4, 9.0]


def test_every_hole_is_in_the_drills_to_pack() -> None:
    """Marks on the faces, the far end of each through bore taken off."""
    made = deck()
    marks = [mark for post in made.posts for face in post.faces for mark in face.marks]
    bores = sum(mark.purpose == "cable" for mark in marks) // 2
    assert sum(drill.holes for drill in made.takeoff.drills) == len(marks) - bores


def test_a_hole_through_both_walls_of_a_tube_is_one() -> None:
    """9 cables through the line post, each one hole from both faces; 18 fittings of 3 screws."""
    tube = {"width": 50, "wall": 3, "material": "steel"}
    machine = {**PLATE, "screw": "M6 x 16 mm"}
    keys = {"count": 9, "height": 1000, "start": "hook", "finish": "hook"}
    made = plan(run([1000, 1000], **keys), post={"tube": tube}, fitting={"hook": machine})
    drills = made.takeoff.drills
    assert sum(drill.holes for drill in drills) == 9 + 9 * 2 * 3
    assert sum(drill.both for drill in drills) == 9


def test_a_slot_in_a_thin_wall_is_two_holes() -> None:
    """A raked run through square tube, bored square: each of 9 cables a slot in both walls, drilled at its two ends."""
    tube = {"width": 50, "wall": 3, "material": "steel", "bore": "square", "slot": "file"}
    machine = {**PLATE, "screw": "M6 x 16 mm"}
    keys = {"count": 9, "height": 1000, "start": "hook", "finish": "hook", "ramp": ramp(25.0)}
    made = plan(run([1000, 1000], **keys), post={"tube": tube}, fitting={"hook": machine})
    slots = [m for m in made.post_by_id["2"].faces[0].marks if m.purpose == "cable" and any(m.slot)]
    assert len(slots) == 9
    assert sum(drill.both for drill in made.takeoff.drills) == 18  # 9 x 2


def test_spacer_bars_are_hardware() -> None:
    """Two bars in each of two spans."""
    post = {
        "timber": {"width": 89, "material": "douglas fir"},
        "bar": {"shape": "rectangular", "along": 6, "across": 25, "material": "316 stainless"},
    }
    made = plan(run([1000, 1000], count=9, spacers={"kind": "bar", "each": 2}), post=post)
    assert [count for item, count in made.takeoff.hardware if "bar" in item] == [4]


def test_spares() -> None:
    """One in twenty, at least one (common practice, no source)."""
    assert [spares(count) for count in (1, 20, 21, 40, 41, 144)] == [1, 1, 2, 2, 3, 8]


# rails


def test_rails_between_the_posts() -> None:
    """A: 1000 - 44.5 - 70 = 885.5 from a stout end post to the slim one; B: 1200 - 140 = 1060; C: 785.5 over cos 10."""
    c = cos(radians(10))
    expected = {
        ("A", "top, 1 to 2"): 885.5,
        ("A", "top, 2 to 3"): 885.5,
        ("B", "top, 3 to 4"): 1060,
        ("C", "top, 4 to 5"): 785.5 / c,
        ("C", "top, 5 to 6"): 785.5 / c,
    }
    expected |= {(r, place.replace("top", "bottom")): length for (r, place), length in expected.items()}
    assert {(rail.run, rail.place): rail.length for rail in deck().takeoff.rails} == {
        key: near(length) for key, length in expected.items()
    }


@pytest.mark.parametrize("degrees", [0.0, 15.0])
def test_a_rail_over_the_posts_is_one_piece(degrees: float) -> None:
    """From the outer face of the first post to that of the last: 2000 + 89."""
    ground = {"ramp": ramp(degrees)} if degrees else {}
    made = plan(run([1000, 1000], count=9, height=1000, rail={"depth": 38, "sits": "over"}, **ground))
    (rail,) = made.takeoff.rails
    assert rail.length == near(2089 / cos(radians(degrees)))


# cables


def test_cut_lengths_and_labels() -> None:
    """A: 2000 - 140 between the faces, less both setbacks, 50 and 80: 1730. C: pivots 25 and 20 out: 1800 - 140 - 45 =
    1615 level, over cos 10, less 25 and 60."""
    made = deck()
    lengths = {(cut.run, cut.cable): cut.length for cut in made.takeoff.cables}
    assert list(lengths) == [*(("A", n) for n in range(1, 10)), *(("B", n) for n in range(1, 8))] + [
        ("C", n) for n in range(1, 9)
    ]
    assert lengths["A", 1] == near(1730)
    assert lengths["B", 7] == near(1200 - 140 - 130)
    assert lengths["C", 8] == near(1615 / cos(radians(10)) - 85)


def test_cut_list_parses_and_rounds_up() -> None:
    made = deck(cable={"spools": ["30 m"]})
    listed = rows(cut_list(made))
    cables = [row for row in listed if row["cable"]]
    assert [row["label"] for row in cables] == [f"{cut.run}{cut.cable}" for cut in made.takeoff.cables]
    for row, cut in zip(cables, made.takeoff.cables, strict=True):
        up = float(row["cut to mm"])
        assert 0.0 <= up - cut.length + 1e-6 <= 0.5
        assert up % 0.5 == near(0.0)
    bought = made.takeoff.buying
    assert bought is not None
    spools = [row for row in listed if row["label"].startswith("spool")]
    assert len(spools) == len(bought.spools)
    for row, spool in zip(spools, bought.spools, strict=True):
        assert float(row["cut to mm"]) == near(spool.length)
        assert row["spool"] == f"{spool.left:.0f} mm left"
        held = [cable["label"] for cable in cables if cable["spool"] == row["label"].removeprefix("spool ")]
        assert sorted(held) == sorted(label for label in spool.cuts if label != "spare")


def test_cut_list_has_the_spare() -> None:
    """One spare of the longest cable stands on a spool, so somebody must read how long to cut it."""
    listed = rows(cut_list(deck()))
    longest = max(float(row["cut to mm"]) for row in listed if row["cable"])
    (spare,) = [row for row in listed if "spare" in row["label"]]
    assert float(spare["cut to mm"]) == near(longest)
    assert spare["spool"]


def test_no_two_cables_share_a_label() -> None:
    """Runs named with digits and dashes at their ends, every cable of a hundred and twenty of each."""
    names = ["A", "A1", "A-", "A1-", "A--", "1", "11", "-"]
    labels = [cut_label(name, number) for name in names for number in range(1, 121)]
    assert len(set(labels)) == len(labels) == 960
    assert cut_label("A", 11) == "A11" and cut_label("A1", 1) == "A1#1"
    assert cut_label("level-1", 1) == "level-1#1" and cut_label("1", 2) == "1#2"


def test_cut_list_in_inches() -> None:
    post = {"timber": {"size": "4x4", "material": "douglas fir"}}
    made = plan(run([60], count=9, height=36), post=post, job={"units": "in"})
    (row, *_) = rows(cut_list(made))
    sixteenths = made.takeoff.cables[0].length / INCH * 16
    assert float(row["cut to mm"]) == near(ceil(sixteenths - 1e-6) / 16 * INCH, 0.051)
    assert "ft" in row["cut to"] and "in" in row["cut to"]


def test_hardware_list_parses() -> None:
    made = deck()
    listed = rows(hardware_list(made))
    assert list(listed[0]) == ["item", "count", "spare"]
    counts = {row["item"]: (int(row["count"]), row["spare"]) for row in listed}
    for item, count in made.takeoff.hardware:
        assert counts[item] == (count, str(ceil(count / 20)))
    assert sum(item.startswith("rail ") for item in counts) == len(made.takeoff.rails)
    drills = [item for item in counts if item.startswith("drill ")]
    assert [int(re.findall(r"(\d+) holes", item)[0]) for item in drills] == [40, 144, 17]
    assert len(listed) == len(counts)


# pulling


@pytest.mark.parametrize("count", range(1, 16))
def test_order_from_the_middle_outwards(count: int) -> None:
    """Common practice, no source: each further cable lies as far from the middle as the last one or further."""
    order = tension_order(count)
    assert sorted(order) == list(range(1, count + 1))
    away = [abs(number - (count + 1) / 2) for number in order]
    assert away == sorted(away)
    assert order[0] in ((count + 1) // 2, count // 2 + 1)


@pytest.mark.parametrize(
    ("start", "finish", "adjustable", "fixed", "spool", "feed", "travel"),
    [
        ("hook", "turn", ("3",), ("1",), "3", "1", 38.0),
        ("turn", "hook", ("1",), ("3",), "1", "3", 38.0),
        ("turn", "turn", ("1", "3"), (), "3", "1", 76.0),
        ("hook", "hook", (), ("1", "3"), "3", "1", 0.0),
    ],
)
def test_adjustable_end_spool_and_feeding(
    start: str,
    finish: str,
    adjustable: tuple[str, ...],
    fixed: tuple[str, ...],
    spool: str,
    feed: str,
    travel: float,
) -> None:
    keys = {"count": 9, "height": 1000, "start": start, "finish": finish}
    made = plan(run([1000, 1000], **keys), fitting={"hook": PLATE, "turn": TURN})
    (pulling,) = made.takeoff.pulling
    assert (pulling.adjustable, pulling.fixed, pulling.spool, pulling.feed) == (adjustable, fixed, spool, feed)
    assert pulling.travel_has == travel
    assert pulling.spool != pulling.feed
    assert (pulling.quarter_turn is None) is (not adjustable)


def test_quarter_turn_and_travel_by_hand() -> None:
    """2.5 mm a turn on 1911 mm: E a x 0.625 / 1911 = 259.9 N. 1000 N: 1911 x 1000 / E a = 2.405, bedding in 1.911."""
    keys = {"count": 9, "height": 1000, "start": "hook", "finish": "turn"}
    (pulling,) = plan(run([1000, 1000], **keys), fitting={"hook": PLATE, "turn": TURN}).takeoff.pulling
    assert pulling.quarter_turn == near(EA * 0.625 / 1911)
    assert pulling.quarter_turn == near(259.9, 0.1)
    assert pulling.travel_asked == near(1911 * 1000 / EA + 1.911)
    assert pulling.travel_asked == near(4.316, 0.001)


def test_days_are_told_though_the_hottest_leaves_nothing() -> None:
    """300 N: gone at the hottest after loss, but 657.6 N on the coldest day: that day can be hung and read."""
    made = plan(run([1000, 1000], count=9, height=1000), cable={"tension": 300})
    (pulling,) = made.takeoff.pulling
    assert [column[1] for column in pulling.columns][:1] == [near(300 + EA * 12.5e-6 * 36)]
    assert len(pulling.columns) < 4 and all(column[1] > 0 for column in pulling.columns)
    assert "hangs slack" in "\n".join(report(made, ()))
    assert "hangs slack" not in "\n".join(report(plan(run([1000, 1000], count=9, height=1000)), ()))


def test_turns_from_hand_fast() -> None:
    """1000 N stretch 2000 - 140 = 1860 mm by 1860 x 1000 / E a = 2.34 mm, bedding in 0.1 % is 1.86: 4.20 mm. One end that takes up
    1.5 a turn wants 2.80 turns; two of them 1.40 each."""
    stretch = 1860 * 1000 / (130_000 * 0.760 * pi * 3.2**2 / 4) + 1.86

    def turns(**keys: Any) -> list[float | None]:
        turn = {**PLATE, "travel": 38, "takes_up": 1.5}
        ends = {"start": "hook", "finish": "turn", "count": 9, "height": 1000, **keys}
        kinds = {"timber": {"width": 140, "material": "douglas fir"}}
        made = plan(
            run([1000, 1000], **ends), post=kinds, fitting={"hook": PLATE, "turn": turn}, cable={"tension": 1000}
        )
        return [pulling.turns for pulling in made.takeoff.pulling]

    assert turns() == [near(stretch / 1.5, 1e-3)]
    assert turns(start="turn") == [near(stretch / 3.0, 1e-3)]
    assert turns(finish="hook") == [None]


# plan.json


def test_takeoff_in_the_document() -> None:
    made = deck(cable={"spools": ["30 m"]})
    found = json.loads(to_json(document(made)))["takeoff"]
    assert {"cables", "spools", "hardware", "tension_order"} <= set(found)
    assert len(found["cables"]) == 24
    assert found["cables"][0] == {"run": "A", "cable": 1, "label": "A1", "length_mm": near(1730)}
    assert found["cables"][-1]["length_mm"] == near(1615 / cos(radians(10)) - 85, 1e-4)
    assert {row["item"]: row["count"] for row in found["hardware"]} == dict(made.takeoff.hardware)
    assert all(row["spare"] == ceil(row["count"] / 20) for row in found["hardware"])
    assert found["tension_order"] == {
        "A": [5, 4, 6, 3, 7, 2, 8, 1, 9],
        "B": [4, 3, 5, 2, 6, 1, 7],
        "C": [4, 5, 3, 6, 2, 7, 1, 8],
    }
    assert sum(len(spool["cuts"]) for spool in found["spools"]) == 25
    assert {spool["length_mm"] for spool in found["spools"]} == {30000.0}
    assert "shortest set" in found["spools_told"]
    assert sum(row["holes"] for row in found["drills"]) == 40 + 144 + 17


def test_every_run_has_its_keys_in_the_document() -> None:
    keys = {
        *("id", "rake_degrees", "spacing_mm", "cable_count", "drops_mm", "openings_mm", "loaded_openings_mm"),
        *("opens_at_n", "tension_n", "opens_at_worst_n", "tension_range_n", "hang_test"),
    }
    for found in json.loads(to_json(document(deck())))["runs"]:
        assert keys <= set(found)
        assert len(found["loaded_openings_mm"]) == len(found["openings_mm"]) == found["cable_count"] + 1
        low, high = found["tension_range_n"]
        assert low < found["tension_n"] < high
        assert found["opens_at_worst_n"] <= found["opens_at_n"]
        assert found["hang_test"]["go_mm"][0] < found["hang_test"]["sag_mm"] < found["hang_test"]["go_mm"][1]


def test_a_run_that_has_no_room_for_cables_still_has_its_keys() -> None:
    """A stop, and ``plan --json`` prints the plan all the same."""
    made = plan(run([1000], height=200, bottom_gap=160))
    assert [p.level for p in made.problems if "are left for cables" in p.found] == ["stop"]
    (found,) = json.loads(to_json(document(made)))["runs"]
    assert {"loaded_openings_mm", "opens_at_n", "opens_at_worst_n", "tension_range_n", "hang_test"} <= set(found)
    (whole,) = json.loads(to_json(document(plan(run([1000], height=900)))))["runs"]
    assert set(found) == set(whole)


def test_passes_and_log_in_the_document() -> None:
    """Three passes: half, full, full again; a log with a row for each cable in the order in which it is pulled."""
    found = json.loads(to_json(document(deck())))["takeoff"]
    assert [(one["pass"], one["share"]) for one in found["passes"]] == [(1, 0.5), (2, 1.0), (3, 1.0)]
    assert "hang test" in found["passes"][2]["what"]
    assert found["check_again"] == ["after a day", "after a month", "each spring"]
    assert "licensed designer" in found["before_pulling"][0] and "rail" in found["before_pulling"][1]
    for run_id, order in found["tension_order"].items():
        assert [row["cable"] for row in found["log"][run_id]] == order
        assert [row["label"] for row in found["log"][run_id]] == [f"{run_id}{cable}" for cable in order]
        assert all(row[key] is None for row in found["log"][run_id] for key in ("half_n", "full_n", "sag_mm", "by"))


def test_what_the_end_posts_carry_and_what_thread_is_left() -> None:
    made = deck()
    found = json.loads(to_json(document(made)))["takeoff"]["pulling"]
    for row, line in zip(found, made.runs, strict=True):
        tightest = made.loads[line.id].strung.tightest
        assert row["end_posts_pull_n"] == near(len(line.drops) * tightest, 1e-4)
        assert row["travel_left_mm"] == near(row["travel_mm"] - row["travel_needed_mm"], 1e-3)


def test_corners_where_cables_end_are_told_and_are_no_bends() -> None:
    """Runs that meet at 90 degrees, and level with a ramp of 10 degrees straight on; straight on and level is no corner. No
    cable is led round any of these posts, so that none has a share of a pull."""
    runs = [run([1000], count=9), run([1000], 2, count=9, turn="left 90 deg"), run([1000], 3, count=9, ramp=ramp(10.0))]
    made = plan([*runs, run([1000], 8, count=9, at=[9000, 0, 0]), run([1000], 9, count=9)])
    assert json.loads(to_json(document(made)))["takeoff"]["bends"] == []
    text = " ".join(" ".join(report(made, ())).split())
    assert "Two runs end at posts 2, 3: each is pulled by itself." in text and "led_on" not in text
    assert "led on" not in " ".join(report(plan(run([1000], count=9)), ()))


# the plan as text


def test_the_plan_tells_what_to_pull_and_buy() -> None:
    text = "\n".join(report(deck(cable={"spools": ["30 m"]}), ()))
    for words in ("PULLING", "SPOOLS", "HARDWARE", "DRILLS TO PACK", "RAILS", "CABLES TO CUT"):
        assert words in text
    assert "spool at post 3, feed toward post 1" in text
    assert "tension from the middle outwards: A5 A4 A6 A3 A7 A2 A8 A1 A9" in text
    assert re.search(r"144 and +8 +#14 x 2 1/2 in", text)  # 144 / 20 = 7.2: 8
    assert all(len(line) <= 80 for line in text.splitlines())


def test_the_plan_says_first_what_it_does_not_judge_and_has_the_log() -> None:
    made = deck()
    lines = report(made, ())
    assert lines[2].startswith("Post, anchorage, rail and footing strength are a licensed designer's")
    text = " ".join(" ".join(lines).split())
    for words in ("Fix the top rail at both ends", "Pass 1: every cable to half", "Pass 2: every cable to its full"):
        assert words in text
    assert "Pass 3: check each one again" in text and "Check again after a day, after a month, each spring." in text
    whole = 9 * made.loads["A"].strung.tightest
    assert f"A: {whole:.0f} N in all on each of posts 1 and 3" in text
    for line in made.runs:
        order = tension_order(len(line.drops))
        logged = [words.split()[0] for words in lines if re.match(rf"     {line.id}\d+ +_", words)]
        assert logged == [f"{line.id}{cable}" for cable in order]


def test_both_ends_that_turn_are_turned_equally() -> None:
    turn = {**PLATE, "travel": 38, "takes_up": 1.5}
    ends = {"start": "turn", "finish": "turn", "count": 9, "height": 1000}
    made = plan(
        run([1000, 1000], **ends), post={"timber": {"width": 140, "material": "douglas fir"}}, fitting={"turn": turn}
    )
    assert "turn at posts 1 and 3, both ends equally" in " ".join(" ".join(report(made, ())).split())
    (row, *_) = rows(cut_list(made))
    assert (row["turn at post"], row["spool stands at post"], row["feed toward post"]) == ("1 and 3", "3", "1")


def test_the_cut_list_says_when_a_cable_is_pulled_and_how_far_the_spools_are() -> None:
    """9 cables from the middle outwards: 5 4 6 3 7 2 8 1 9, so cable 1 is the eighth."""
    listed = rows(cut_list(deck()))
    assert listed[0]["label"] == "A1" and listed[0]["pulled as number"] == "8"
    (last,) = [row for row in listed if row["label"] == "all spools"]
    bought = deck().takeoff.buying
    assert bought is not None and float(last["cut to mm"]) == near(sum(spool.length for spool in bought.spools))
    assert "shortest set" in last["spool"]


def test_the_plan_says_how_far_from_the_bound_the_spools_are() -> None:
    """Cables of 1.73 m from spools of 3 m: one each, where the total would go into fewer."""
    made = plan(run([1000, 1000], count=5, height=1000), cable={"spools": ["3 m"]})
    bought = made.takeoff.buying
    assert bought is not None and not bought.met
    more = sum(spool.length for spool in bought.spools) - bought.bound
    assert more > 0
    assert f"{more:.1f} mm more than" in "\n".join(report(made, ()))


WATCHED = """
import sys

class Watch:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in ("scipy", "numpy"):
            frame = sys._getframe(1)
            while "importlib" in frame.f_code.co_filename:
                frame = frame.f_back
            asked.add(frame.f_globals["__name__"].split(".")[0])
            raise ImportError(name)

asked = set()
sys.meta_path.insert(0, Watch())
from jiggen.cli import main
try:
    main()
except SystemExit as end:
    assert end.code == 0, end.code
print("ASKED", "jiggen" in asked, sorted(name for name in sys.modules if name.split(".")[0] in ("scipy", "numpy")))
"""


def test_planning_does_without_scipy() -> None:
    """None of ours asks for scipy or numpy (a library may where it finds them), and the plan is the same without."""
    demo = str(resources.files("jiggen.job").joinpath("demo.toml"))
    run_it = {"capture_output": True, "text": True, "check": True}
    without = subprocess.run([sys.executable, "-c", WATCHED, "plan", demo], **run_it).stdout.splitlines()
    plain = subprocess.run([sys.executable, "-m", "jiggen", "plan", demo], **run_it).stdout.splitlines()
    assert without[-1] == "ASKED False []"
    assert without[:-1] == plain
    assert "HARDWARE, count and spares" in plain


def test_what_alike_runs_are_is_told_once_under_all_of_them() -> None:
    """A and C stand apart and are alike; B between them, of one longer bay, hangs another way."""
    stands = {"count": 9, "height": 1000}
    runs = [
        {**run([1000, 1000], id="A", **stands), "at": [0, 0, 0]},
        {**run([1200], 4, id="B", **stands), "at": [0, 4000, 0]},
        {**run([1000, 1000], 6, id="C", **stands), "at": [0, 8000, 0]},
    ]
    lines = report(plan(runs), ())
    at = lines.index("RUN A   posts 1, 2, 3   level")
    assert lines[at + 1] == "RUN C   posts 6, 7, 8   level"
    assert lines[at + 2].startswith("  guard 1000.0 mm high")
    blank = lines.index("", at)
    assert lines[blank + 1] == "RUN B   posts 4, 5   level"
    assert sum(line.startswith("  guard 1000.0 mm high") for line in lines) == 2
    assert [line for line in lines if line.startswith("RUN ")] == [lines[at], lines[at + 1], lines[blank + 1]]
