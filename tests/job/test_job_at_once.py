"""Mistakes of every kind in one job come in one go, and what joins nothing is told."""

from __future__ import annotations

import pytest

from jiggen.job.read import read_job
from jiggen.problems import JobError, Problem

TWENTY = """
[job]
name = "Alder landing"
code = "irc-2024"
round_to = "1/12 in"
drills = ["fractions"]
[cable]
diameter = "2 inchs"
strand = "1x91"
frame = "timber"
[guard]
height = "36 in"
deck = "leftt"
bracket = "side plates"
[post.slim]
width = "89 in"
material = "cedr"
[post.stout]
size = "4x5"
material = "Duglas fir"
[posts]
line = "slimm"
only = { 9 = "stout" }
[fitting.lug]
outline = ["2 in", "3 in"]
screws = [["0 in", "1 in"], ["0 in", "-1 in"]]
screw = "10 by 2"
setback = "2 in"
[[run]]
posts = ["1", "2", "3"]
spans = ["44 in"]
start = "lugg"
[[run]]
posts = ["7", "8"]
spans = ["44 in"]
turn = "left 90 deg"
[run.stair]
rise = "7 in"
goes = "down"
[sheet]
paper = "leter"
"""

WRONG = {
    "job.code": 'write "irc-2021"; there are also "ibc-2021", "abcb-2022", "adk-2013" and "nbc-2020"',
    "job.round_to": "1/16 in",
    "job.drills[0]": 'write "fraction"; there are also "number", "letter" and "metric"',
    "cable.diameter": "write a length",
    "cable.strand": 'write "1x19"; there are also "7x7" and "7x19"; or bring its fill and modulus in a table [strand.1x91]',
    "cable.frame": '"aluminium"',
    "guard.deck": 'write "left"; there is also "right"',
    "guard.bracket": 'write "side plate"',
    "post.slim.width": '"24 in"',
    "post.slim.material": 'write "cedar", or the specific gravity of yours in [wood.cedr]',
    "post.stout.size": 'write "4x6" or "4x4" (README lists all)',
    "post.stout.material": 'write "douglas fir", or the specific gravity of yours in [wood."Duglas fir"]',
    "posts.line": 'write "slim"; there is also "stout"',
    "posts.only.9": "write",
    "fitting.lug.screw": "#10 x 1 1/2 in",
    "run[0].spans": "write 2",
    "run[0].start": 'write "lug"',
    "run[1].turn": "let it begin or end at a post of an earlier run",
    "run[1].stair.going": "write a length",
    "sheet.paper": 'write "letter"; there are also "legal", "tabloid", "a4" and "a3"',
}


def problems(text: str) -> list[Problem]:
    with pytest.raises(JobError) as caught:
        read_job(text)
    return list(caught.value.problems)


def test_twenty_mistakes_in_one_go() -> None:
    found = {problem.where: problem for problem in problems(TWENTY)}
    assert len(WRONG) == 20
    assert set(found) == set(WRONG)
    for where, remedy in WRONG.items():
        assert remedy in found[where].remedy, where


PLAIN = """
job = { name = "Alder landing", code = "irc-2021" }
post.slim = { width = "3 1/2 in", material = "MATERIAL" }
[[run]]
posts = ["1", "2"]
spans = ["44 in"]
"""


@pytest.mark.parametrize(
    ("written", "near"),
    [("cedr", "cedar"), ("Western Red Ceder", "western red cedar"), ("aluminum alloy", None), ("mahogany", None)],
)
def test_a_slip_is_a_problem_and_an_unknown_wood_is_not(written: str, near: str | None) -> None:
    text = PLAIN.replace("MATERIAL", written)
    if near is None:
        assert not read_job(text).kinds["slim"].material.known
        return
    (problem,) = problems(text)
    assert (problem.where, problem.found) == ("post.slim.material", f'found "{written}"')
    assert problem.remedy.startswith(f'write "{near}", or ')


def test_the_jobs_own_wood_is_known_and_is_near() -> None:
    own = PLAIN + "[wood.iroko]\ngravity = 0.57\n"
    assert read_job(own.replace("MATERIAL", "Iroko")).kinds["slim"].material.gravity == 0.57
    (problem,) = problems(own.replace("MATERIAL", "iroco"))
    assert problem.remedy.startswith('write "iroko", or ')


def test_a_turn_that_turns_from_nothing() -> None:
    alone = PLAIN.replace("MATERIAL", "cedar") + '[[run]]\nposts = ["3", "4"]\nspans = ["44 in"]\n'
    (problem,) = problems(alone + 'turn = "left 90 deg"\n')
    assert problem.where == "run[1].turn"
    assert problem.found == 'found "left 90 deg" in a run that shares no post with an earlier run'
    assert problem.remedy == "let it begin or end at a post of an earlier run, or write at and heading instead"
    read_job(alone.replace('"3", "4"', '"2", "4"') + 'turn = "left 90 deg"\n')


def test_a_run_that_lies_on_the_first_is_stopped() -> None:
    alone = PLAIN.replace("MATERIAL", "cedar") + '[[run]]\nposts = ["3", "4"]\nspans = ["44 in"]\n'
    (check,) = (note for note in read_job(alone).notes if note.level == "stop")
    assert check.where == "run[1]"
    assert check.found == "it shares no post with an earlier run and has no at: it would lie where run A begins"
    assert read_job(alone + "at = [0, 120, 0]\n").notes == ()
    first = PLAIN.replace("MATERIAL", "cedar") + "at = [0, 120, 0]\n"
    placed = first + '[[run]]\nposts = ["3", "4"]\nspans = ["44 in"]\n'
    assert read_job(placed).notes == ()  # the first one stands elsewhere


def test_long_names_are_cut_short() -> None:
    text = PLAIN.replace("MATERIAL", "cedar") + f"{'k' * 5000} = 1\n[{'t' * 5000}]\na = 1\n"
    for problem in problems(text):
        assert len(str(problem)) < 420, problem.where
        assert "..." in problem.where and "..." in problem.found
