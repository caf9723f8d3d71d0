"""What is said the same of many runs and posts is told once: which findings, in which order, and their places in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import jobs_made
import pytest

from jiggen.build import survey
from jiggen.build.model import Options
from jiggen.job.read import read_job
from jiggen.problems import Cure, Problem
from jiggen.review import findings
from jiggen.told import Told, how_many, listed, told


def check(where: str, found: str = "it gives", remedy: str = "pull more", **own: Any) -> Problem:
    return replace(Problem("check", where, found, remedy), **own)


def places(*wheres: str) -> str:
    (one,) = told([check(where) for where in wheres])
    assert one.places == wheres
    return one.place


# names


@pytest.mark.parametrize(
    ("names", "most", "words"),
    [
        ([], 0, ""),
        (["A"], 0, "A"),
        (["A", "B"], 0, "A and B"),
        (["A", "B", "C"], 0, "A, B and C"),
        (list("ABCDE"), 5, "A, B, C, D and E"),
        (list("ABCDEF"), 5, "A, B, C, D and 2 more"),  # never "and 1 more": that one is named
        (list("ABCDEFGH"), 3, "A, B and 6 more"),
    ],
)
def test_names_as_people_say_them(names: list[str], most: int, words: str) -> None:
    assert listed(names, most) == words


# places


@pytest.mark.parametrize(
    ("wheres", "words"),
    [
        (["run A"], "run A"),
        (["run A", "run B"], "runs A and B, each"),
        (["run A", "runs B and C", "run D"], "runs A, B, C and D, each"),
        (["post 1", "post 2", "post 3"], "posts 1, 2 and 3, each"),
        (["posts 1 and 3, run A"], "posts 1 and 3, run A"),
        # a post that two runs share is told with both
        (["posts 1 and 3, run A", "posts 3 and 5, run B"], "posts 1 and 3, run A; posts 3 and 5, run B; each"),
        (["1, plate", "4, plate"], "1 and 4, plate, each"),
        (["1, left, plate", "4, plate"], "1, left, plate; 4, plate; each"),
        (["1/toward 2/3a", "4/toward 3/3a"], "1/toward 2/3a and 4/toward 3/3a, each"),
        (["1/left/1 and 1/front/2", "2/left/1 and 2/front/2"],
         "1/left/1 and 1/front/2; 2/left/1 and 2/front/2; each"),
        (["run[0].at", "run[2].at"], "run (1st).at and run (3rd).at, each"),
    ],
)  # fmt: skip
def test_places_in_words(wheres: list[str], words: str) -> None:
    assert places(*wheres) == words


@pytest.mark.parametrize("where", ["run a, b", "posts 1 and 2 and 3", "posts 1, 2"])
def test_what_can_be_read_in_two_ways_is_told_as_it_is(where: str) -> None:
    """A name may have a comma or an "and" in it."""
    assert [one.place for one in told([check(where), check("run c"), check("post 9")])] == [where, "run c", "post 9"]


def test_of_many_places_the_first_are_named() -> None:
    """12 names; of 75 runs 11 and 75 - 11 = 64 more; of places that are long 6, that is 5 and 75 - 5 = 70 more."""
    assert places(*(f"run R{n}" for n in range(12))) == (
        "runs R0, R1, R2, R3, R4, R5, R6, R7, R8, R9, R10 and R11, each"
    )
    assert places(*(f"run R{n}" for n in range(75))) == (
        "runs R0, R1, R2, R3, R4, R5, R6, R7, R8, R9, R10 and 64 more, each"
    )
    assert places(*(f"posts {n}a and {n}b, run R{n}" for n in range(75))) == (
        "posts 0a and 0b, run R0; posts 1a and 1b, run R1; posts 2a and 2b, run R2; posts 3a and 3b, run R3; "
        "posts 4a and 4b, run R4; and 70 more; each"
    )


def test_a_place_that_names_many_runs_itself_is_cut_too() -> None:
    names = ", ".join(f"R{n}" for n in range(399))
    assert places(f"runs {names} and R399") == "runs R0, R1, R2, R3, R4, R5, R6, R7, R8, R9, R10 and 389 more"


# findings


def test_only_what_says_the_same_is_told_together() -> None:
    """Each of these differs from the first in one thing: nothing of them is lost, and their order is kept."""
    first = check("run A")
    others = [
        replace(first, where="run B", level="note"),
        replace(first, where="run B", found="it gives more"),
        replace(first, where="run B", remedy="pull less"),
        replace(first, where="run B", source="rule 1"),
        replace(first, where="post B"),
        replace(first, where="guard"),
        replace(first, where="B, plate"),
        replace(first, where="B, other plate"),
    ]
    every = [first, *others, replace(first, where="run C")]
    assert [one.places for one in told(every)] == [("run A", "run C"), *((one.where,) for one in others)]


def test_they_stand_where_the_first_of_them_stands() -> None:
    every = [check("run A", "x"), check("run A", "y"), check("run B", "y"), check("run B", "x"), check("run C", "z")]
    assert [(one.found, one.places) for one in told(every)] == [
        ("x", ("run A", "run B")),
        ("y", ("run A", "run B")),
        ("z", ("run C",)),
    ]


def test_keys_of_each_run_do_not_keep_them_apart() -> None:
    every = [
        check(f"run {run}", cures=(Cure("pull more", ((f"run[{n}].spacing", '"3 in"'),)),))
        for n, run in enumerate("AB")
    ]
    assert [one.place for one in told(every)] == ["runs A and B, each"]


def test_a_finding_alone_reads_as_its_problem() -> None:
    one = check("run[1].spans[0]", source="rule 1")
    assert [str(found) for found in told([one])] == [str(one)]
    assert str(told([one, replace(one, where="run[2].spans[0]")])[0]) == (
        "check: run (2nd).spans (1st) and run (3rd).spans (1st), each: it gives; pull more [rule 1]"
    )


def test_how_many_and_at_how_many_places() -> None:
    """2 findings at 3 + 1 = 4 places."""
    every = [Told("check", ("run A", "run B", "run C"), "x", "y", ""), Told("check", ("run A",), "z", "y", "")]
    assert how_many(every) == "2 at 4 places" and how_many(every, "check") == "2 checks at 4 places"
    assert how_many(every[1:]) == "1" and how_many(every[1:], "check") == "1 check"
    assert how_many([every[1]] * 2, "note") == "2 notes"


# a whole job


def alike(count: int) -> str:
    """As many alike runs of two bays, and one whose spans are longer."""
    runs = [
        f'[[run]]\nid = "R{n}"\nposts = ["{n}a", "{n}b", "{n}c"]\nspans = ["{48 if n < count else 60} in", "48 in"]\n'
        f"at = [0, {n * 60}, 0]\n"
        for n in range(count + 1)
    ]
    head = 'job = { name = "Alike", code = "irc-2021" }\nguard = { spacing = "3 in" }\n'
    return head + 'post.beam = { size = "4x4", material = "douglas fir" }\n' + "".join(runs)


def test_of_alike_runs_the_one_that_differs_stands_out() -> None:
    """20 alike runs, each with an opening that gives and posts that are pulled, and R20, which opens more: 3 lines for 42
    problems, those of the posts together as all runs pull alike."""
    problems = survey(read_job(alike(20)), Options()).problems
    checks = [one for one in problems if one.level == "check" and not one.where.startswith("fitting.")]
    assert len(checks) == 2 * 21
    together = told(checks)
    assert [len(one.places) for one in together] == [20, 21, 1]
    gives, pulled, alone = together
    assert gives.place == "runs R0, R1, R2, R3, R4, R5, R6, R7, R8, R9, R10 and 9 more, each"
    assert pulled.place.startswith("posts 0a and 0c, run R0; posts 1a and 1c, run R1; ")
    assert pulled.place.endswith("run R4; and 16 more; each")
    assert alone.place == "run R20" and gives.found != alone.found
    assert "opening" in gives.found and "opening" in alone.found


def test_nothing_of_it_changes_what_is_known() -> None:
    """Problems stay one to a place, each with its own keys."""
    problems = findings(jobs_made.plan([
        {**jobs_made.run([1500, 1500], id=f"R{n}", spacing=95, count=9, height=1000),
         "posts": [f"{n}a", f"{n}b", f"{n}c"], "at": [0, 4000 * n, 0]}
        for n in range(3)
    ], cable={"tension": "700 N"}))  # fmt: skip
    kept = tuple(problems)
    (gives,) = (one for one in told(problems) if " gives to " in one.found)
    assert gives.places == ("run R0", "run R1", "run R2") and problems == kept
    keys = {
        one.where: {key for cure in one.cures for key, _ in cure.keys} for one in problems if one.where in gives.places
    }
    assert all(any(key.startswith(f"run[{n}].") for key in keys[f"run R{n}"]) for n in range(3))


def test_a_long_list_of_runs_in_a_note_is_cut() -> None:
    """Of 21 runs in one note its place and its finding name all of them as data; told are 11, and 10 more in its place, 9
    more of the 20 alike ones in its finding."""
    problems = survey(read_job(alike(20)), Options()).problems
    (note,) = (one for one in problems if "a push of" in one.found and one.level == "note")
    first = ", ".join(f"R{n}" for n in range(19))
    assert note.where == f"runs {first}, R19 and R20"
    assert f"(runs {first} and R19)" in note.found and "(run R20)" in note.found
    (one,) = told([note])
    assert one.place == "runs R0, R1, R2, R3, R4, R5, R6, R7, R8, R9, R10 and 10 more"
    assert one.found == note.found.replace(
        f"(runs {first} and R19)", "(runs R0, R1, R2, R3, R4, R5, R6, R7, R8, R9, R10 and 9 more)"
    )


@pytest.mark.parametrize(
    "words",
    ["(runs A and B)", "(run A)", "(runs A (east) and B)", "(the worst of 12 such pairs)", f"(runs {'A' * 99})"],
)
def test_what_else_stands_in_brackets_stays(words: str) -> None:
    assert told([check("run A", f"it gives {words}")])[0].found == f"it gives {words}"
