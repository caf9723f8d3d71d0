"""Spools to buy against an exhaustive search, and what is told where the shortest set does not do."""

from __future__ import annotations

import csv
import random
from io import StringIO
from itertools import combinations_with_replacement, product
from time import process_time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_made import Keys, plan, run
from keys_written import planned, written

from jiggen.compose.lists import cut_list
from jiggen.plan import spools
from jiggen.plan.document import document
from jiggen.plan.model import Plan
from jiggen.plan.spools import Buying, buy
from jiggen.review import review


def fits(lengths: list[float], spools: tuple[float, ...]) -> bool:
    """Whether the cuts can be shared out among the spools, by trying every way: for a handful of cuts only."""
    for shares in product(range(len(spools)), repeat=len(lengths)):
        used = [0.0] * len(spools)
        for length, share in zip(lengths, shares, strict=True):
            used[share] += length
        if all(have <= size + 1e-9 for have, size in zip(used, spools, strict=True)):
            return True
    return False


def shortest(lengths: list[float], sizes: list[float]) -> float:
    """The least total of spools that gives every cut: all sets of up to one spool a cut, all ways of sharing."""
    sets = [s for n in range(1, len(lengths) + 1) for s in combinations_with_replacement(sizes, n)]
    return next(sum(s) for s in sorted(sets, key=sum) if sum(s) >= sum(lengths) - 1e-9 and fits(lengths, s))


def bound(lengths: list[float], sizes: list[float]) -> float:
    """The shortest set that holds the total, however it would be cut: every total that spools can make."""
    most = int(sum(lengths) // min(sizes)) + 2
    sets = (s for n in range(1, most + 1) for s in combinations_with_replacement(sizes, n))
    return min(sum(s) for s in sets if sum(s) >= sum(lengths) - 1e-9)


def checked(cuts: dict[str, float], sizes: list[float]) -> Buying:
    """What is bought, once it is found right: every cut once, none over its spool, leftovers and bound true."""
    made = buy(cuts, sizes)
    assert made is not None
    assert sorted(label for spool in made.spools for label in spool.cuts) == sorted(cuts)
    for spool in made.spools:
        assert spool.length in sizes
        assert spool.cuts
        used = sum(cuts[label] for label in spool.cuts)
        assert spool.left == pytest.approx(spool.length - used, abs=1e-6)
        assert spool.left >= -1e-6
    assert made.needed == pytest.approx(sum(cuts.values()))
    total = sum(spool.length for spool in made.spools)
    assert made.met is (total <= made.bound + 1e-6)
    assert total >= made.bound - 1e-6
    return made


def named(lengths: list[float]) -> dict[str, float]:
    return {f"A{number}": length for number, length in enumerate(lengths, 1)}


@settings(max_examples=60)
@given(
    lengths=st.lists(st.integers(1, 30), min_size=1, max_size=5),
    sizes=st.lists(st.sampled_from([10, 13, 17, 20, 25, 30, 40]), min_size=1, max_size=3, unique=True),
)
def test_against_exhaustive_search(lengths: list[int], sizes: list[int]) -> None:
    floats, given_sizes = [float(n) for n in lengths], [float(n) for n in sizes]
    if max(lengths) > max(sizes):
        assert buy(named(floats), given_sizes) is None
        return
    made = checked(named(floats), given_sizes)
    assert sum(spool.length for spool in made.spools) == pytest.approx(shortest(floats, given_sizes))
    assert made.bound == pytest.approx(bound(floats, given_sizes))


def test_six_random_cuts_against_exhaustive_search() -> None:
    dice = random.Random(20)
    for _ in range(12):
        lengths = [dice.randint(5, 40) / 2.0 for _ in range(6)]
        sizes = sorted({dice.randint(20, 50) / 1.0 for _ in range(2)})
        if len(sizes) == 2 and max(lengths) <= max(sizes):
            made = checked(named(lengths), sizes)
            assert sum(spool.length for spool in made.spools) == pytest.approx(shortest(lengths, sizes))


def test_best_fit_alone_is_not_enough() -> None:
    """7 5 4 4 into 8 and 12: best fit puts 7 into the 8, 5 and 4 into the 12, and has no place for the last 4. 4 + 4
    and 7 + 5 fill both. 6 5 5 4 4 have the total of two twelves and do not go into them: no two or three make 12."""
    assert checked(named([7.0, 5.0, 4.0, 4.0]), [8.0, 12.0]).met
    assert not checked(named([6.0, 5.0, 5.0, 4.0, 4.0]), [12.0]).met


def test_bound_is_told_where_it_is_not_met() -> None:
    """Three cuts of 6 from spools of 10: 18 would go into two, it takes three."""
    made = checked(named([6.0, 6.0, 6.0]), [10.0])
    assert (made.bound, made.met, len(made.spools)) == (20.0, False, 3)


def test_a_cut_that_is_just_a_spool() -> None:
    made = checked(named([10.0, 10.0]), [10.0])
    assert made.met and [spool.left for spool in made.spools] == [0.0, 0.0]
    assert buy(named([10.01]), [10.0]) is None
    assert buy({}, [10.0]) == Buying((), 0.0, 0.0, True)


def test_same_cuts_in_another_order_buy_the_same() -> None:
    lengths = [7.0, 5.0, 4.0, 4.0, 6.5]
    one = checked(named(lengths), [8.0, 12.0])
    other = buy(dict(reversed(named(lengths).items())), [12.0, 8.0, 8.0])
    assert other is not None
    assert [spool.length for spool in one.spools] == [spool.length for spool in other.spools]


@pytest.mark.parametrize(
    ("count", "low", "high", "sizes"),
    [
        (14, 10.1, 14.9, [30.0]),  # two a spool, where the total promises near three
        (14, 10.1, 14.9, [30.0, 75.0]),
        (12, 15.1, 29.0, [30.0, 75.0, 150.0]),
        (14, 27.8, 29.6, [40.0, 60.0, 100.0]),
        (14, 26.8, 28.2, [40.0, 75.0]),
        (13, 25.6, 27.1, [40.0, 60.0, 100.0]),
        (120, 15.1, 15.9, [30.0, 75.0, 150.0]),
        (200, 15.9, 16.1, [30.0, 75.0, 150.0]),
        (200, 3.0, 40.0, [30.0, 50.0, 75.0, 100.0, 150.0, 300.0]),
        (400, 30.5, 37.0, [50.0, 100.0, 250.0]),
    ],
)
def test_it_does_not_take_long(count: int, low: float, high: float, sizes: list[float]) -> None:
    """A second of the processor's time is far over what a job may wait."""
    dice = random.Random(count)
    cuts = named([round(dice.uniform(low, high), 2) for _ in range(count)])
    start = process_time()
    checked(cuts, sizes)
    assert process_time() - start < 1.0


# in a plan


def bought(made: Plan) -> Buying:
    assert made.takeoff.buying is not None
    return made.takeoff.buying


def test_every_cable_and_one_spare_of_the_longest() -> None:
    made = plan([run([1000, 1000], count=9), run([1500], 3, count=7, turn="left 90 deg")], cable={"spools": ["30 m"]})
    labels = sorted(label for spool in bought(made).spools for label in spool.cuts)
    assert labels == sorted([*(f"A{n}" for n in range(1, 10)), *(f"B{n}" for n in range(1, 8)), "spare"])
    lengths = {f"{cut.run}{cut.cable}": cut.length for cut in made.takeoff.cables}
    up = [-(-length // 0.5) * 0.5 for length in lengths.values()]
    assert bought(made).needed == pytest.approx(sum(up) + max(up), abs=0.01)


def test_runs_whose_names_run_together_keep_their_cables() -> None:
    """Cable 11 of run A and cable 1 of run A1 would both be A11."""
    made = plan([run([1000], count=12, id="A"), run([1500], 2, count=9, id="A1", turn="left 90 deg")])
    assert len(made.takeoff.cables) == 21
    cuts = [label for spool in bought(made).spools for label in spool.cuts]
    assert len(cuts) == 22
    assert len(set(cuts)) == 22
    rows = list(csv.reader(StringIO(cut_list(made).decode("utf-8-sig"))))
    labels = [row[0] for row in rows[1:] if row[2]]
    assert len(labels) == len(set(labels)) >= 21


def test_a_spool_shorter_than_the_longest_cable_is_a_stop_with_its_remedy() -> None:
    """2000 - 89 less both setbacks, about 1.8 m, from spools of 1 m."""
    made = plan(run([1000, 1000], count=9), cable={"spools": ["1 m"]})
    (problem,) = [p for p in made.problems if p.where == "cable.spools"]
    assert problem.level == "stop" and problem.remedy
    (cure,) = problem.cures
    assert cure.keys == (("cable.spools", '["1 m", "30000.0 mm"]'),)  # 30 m: the shortest usual one
    assert planned(written(dict(made.job.data), cure)).takeoff.buying is not None
    assert made.takeoff.buying is None
    assert document(made)["takeoff"]["spools"] == []


@pytest.mark.parametrize("off", [-0.6, -0.2, 0.0, 0.2, 0.4, 0.6])
def test_a_spool_between_a_cable_and_its_rounded_length(off: float) -> None:
    """Either the spools are told or a problem says why not."""
    length = plan(run([1000, 1000.3], count=9)).takeoff.cables[0].length
    made = plan(run([1000, 1000.3], count=9), cable={"spools": [round(length + off, 4)]})
    told = [p for p in (*made.problems, *review(made)) if p.where == "cable.spools"]
    assert (made.takeoff.buying is None) is bool(told)


def test_spools_of_a_job_are_read_in_its_units() -> None:
    keys: Keys = {"posts": ["1", "2"], "spans": [60], "height": 36, "count": 9}
    post = {"timber": {"size": "4x4", "material": "douglas fir"}}
    made = plan(keys, post=post, job={"units": "in"}, cable={"spools": ["100 ft"]})
    assert {spool.length for spool in bought(made).spools} == {100 * 304.8}


def test_sets_too_many_to_look_at_are_not_begun() -> None:
    """3 sizes, 400 spools long: at least 400^3 / 3! = 10.7 million sets are too short, over 40 x 4000."""
    assert list(spools._sets([1.0, 1.0, 1.0], 400.0)) == []
    assert next(spools._sets([2.0, 3.0], 7.0)) == (3.0, 2.0, 2.0)  # 7, the shortest that holds 7


def test_cuts_of_few_lengths_are_shared_out_together() -> None:
    """10 of 105.25, 9 of 69.25, 8 of 89.75 in are 2393.75: 4, 6 and 4 of them 1195.5, the others 1198.25: two of 1200."""
    cuts = (
        {f"A{n}": 105.25 for n in range(10)} | {f"B{n}": 69.25 for n in range(9)} | {f"C{n}": 89.75 for n in range(8)}
    )
    found = spools.buy(cuts, [1200.0, 3000.0, 6000.0])
    assert found is not None and found.met
    assert [spool.length for spool in found.spools] == [1200.0, 1200.0]
    assert sorted(label for spool in found.spools for label in spool.cuts) == sorted(cuts)
    for spool in found.spools:
        assert sum(cuts[label] for label in spool.cuts) + spool.left == pytest.approx(1200.0)
        assert spool.left >= 0.0
