"""A job file that somebody wrote, with comments: a field is changed, and all the rest of the text stands as it stood."""

from __future__ import annotations

import copy
import difflib
import random
import time
import tomllib
from pathlib import Path
from typing import Any

import pytest

from jiggen.web import tasks
from jiggen.web.kept import edited
from jiggen.web.lines import parts
from jiggen.web.state import from_state, same, to_state

ROOT = Path(__file__).parents[2]
JOBS = sorted([*(ROOT / "tests" / "jobs").glob("*.toml"), *(ROOT / "jiggen" / "job").glob("*.toml")])
TEXT = """\
# Juniper gate, measured in the rain

[job]
name = "Juniper gate"     # as on the order
code = "irc-2021"
guard.note = 'no "table" of ours'

# ---- posts ----

[post.cedar]              # the old ones
width = "3 1/2 in"
material = "western red cedar"
[guard]
height = "36 in"          # taped twice

# along the hedge
[[run]]
id = "hedge"
posts = ["1", "2", "3"]
spans = [
  "44 in",                # to the gate
  "43 1/2 in",            # past it
]

# down to the garden
[[run]]
id = "garden"
posts = ["3", "4"]
spans = ["40 in"]
[run.stair]               # four steps
rise = "7 in"
going = "11 in"
first_behind_nosing = "5 in"

# the printer in the shed
[sheet]
paper = "a4"
# the end
"""


def changed(text: str, act: Any) -> str:
    """The text after the form's state was changed by ``act``."""
    state = to_state(tomllib.loads(text.removeprefix("\ufeff")))
    act(state)
    found = tasks.text_of({"state": state, "base": text})
    assert same(state, found)
    return found


def lines_changed(old: str, new: str) -> list[str]:
    """The lines that went and came, "-" and "+" before them."""
    found = difflib.ndiff(old.splitlines(), new.splitlines())
    return [line.rstrip() for line in found if line[0] in "+-"]


def test_a_changed_field_changes_its_value_alone() -> None:
    found = changed(TEXT, lambda state: state["guard"].update(height="42 in"))
    assert found == TEXT.replace('"36 in"', '"42 in"')


def test_a_changed_item_of_a_list_leaves_the_others_comments() -> None:
    found = changed(TEXT, lambda state: state["run"][0]["spans"].__setitem__(1, "45 in"))
    assert found == TEXT.replace('"43 1/2 in"', '"45 in"')


def test_a_post_more_and_a_post_less() -> None:
    def more(state: Any) -> None:
        state["run"][0]["posts"].append("9")
        state["run"][0]["spans"].append("30 in")

    def less(state: Any) -> None:
        state["run"][0]["posts"].pop(0)
        state["run"][0]["spans"].pop(0)

    assert lines_changed(TEXT, changed(TEXT, more)) == [
        '- posts = ["1", "2", "3"]',
        '+ posts = ["1", "2", "3", "9"]',
        '-   "43 1/2 in",            # past it',
        '+   "43 1/2 in", "30 in",            # past it',
    ]
    assert lines_changed(TEXT, changed(TEXT, less)) == [
        '- posts = ["1", "2", "3"]',
        '+ posts = ["2", "3"]',
        '-   "44 in",                # to the gate',
    ]


def test_a_new_key_stands_at_the_end_of_its_table() -> None:
    found = changed(TEXT, lambda state: state["guard"].update(spacing="3 in"))
    assert found == TEXT.replace("# taped twice\n", '# taped twice\nspacing = "3 in"\n')


def test_a_key_that_goes_takes_its_line() -> None:
    found = changed(TEXT, lambda state: state["run"][1]["stair"].pop("going"))
    assert found == TEXT.replace('going = "11 in"\n', "")


def test_new_tables_stand_beside_their_kin() -> None:
    def act(state: Any) -> None:
        state["post"]["spacer bar"] = {"shape": "rectangular"}
        state["as_built"] = {"2": {"underside": "34 in"}}
        state["job"]["guard"]["more"] = 1

    found = changed(TEXT, act)
    assert found == (
        TEXT.replace('western red cedar"\n', 'western red cedar"\n\n[post."spacer bar"]\nshape = "rectangular"\n')
        .replace("of ours'\n", "of ours'\nguard.more = 1\n")
        .replace('"a4"\n', '"a4"\n\n[as_built.2]\nunderside = "34 in"\n')
    )


def test_runs_take_their_comments_along() -> None:
    def turned(state: Any) -> None:
        state["run"].reverse()
        state["run"][1]["spans"][0] = "46 in"

    hedge, garden = TEXT.index("\n# along the hedge"), TEXT.index("\n# down to the garden")
    after = TEXT.index("\n# the printer")
    wanted = TEXT[:hedge] + TEXT[garden:after] + TEXT[hedge:garden].replace('"44 in"', '"46 in"') + TEXT[after:]
    assert changed(TEXT, turned) == wanted
    without = changed(TEXT, lambda state: state["run"].pop(0))
    assert without == TEXT[:hedge] + TEXT[garden:]
    more = changed(TEXT, lambda state: state["run"].append({"posts": ["4", "5"], "spans": ["30 in"]}))
    assert more == TEXT[:after] + '\n[[run]]\nposts = ["4", "5"]\nspans = ["30 in"]\n' + TEXT[after:]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (
            "[run]  # one\nposts = ['1']\n[run.stair]\nrise = '7 in'",
            "[run]  # one\nposts = ['1']\nheight = \"3 in\"\n[run.stair]\nrise = '7 in'\n",
        ),
        ("x = 1\r\n\r\n[[run]] # a\r\nposts = []\r\n", 'x = 1\r\n\r\n[[run]] # a\r\nposts = []\r\nheight = "3 in"\r\n'),
        ("\ufeff[[run]]\nheight='2 in'#a\n", '\ufeff[[run]]\nheight="3 in"#a\n'),
        ("[[run]]\n'height' = '''\n2 in''' # a\n", "[[run]]\n'height' = \"3 in\" # a\n"),
        ("run = [{ height = '2 in' }] # a\n", 'run = [{ height = "3 in" }] # a\n'),
        (
            "[[run]]\na = [1, 2 # ]\n]\n[run.'b # \"']\nc = {d = ']'} # '\n",
            "[[run]]\na = [1, 2 # ]\n]\nheight = \"3 in\"\n[run.'b # \"']\nc = {d = ']'} # '\n",
        ),
    ],
)
def test_each_way_to_write_is_read(text: str, wanted: str) -> None:
    assert changed(text, lambda state: state["run"][0].update(height="3 in")) == wanted


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_every_job_is_cut_into_tables_and_back(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    found, rest = parts(text)
    assert "".join(part.text for part in found) + rest == text


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_whatever_is_changed_reads_back(path: Path) -> None:
    """Six changes of a job at random, one on the other: the text says what the form says, no comment of what stayed is lost."""
    text = path.read_text(encoding="utf-8")
    chance = random.Random(path.stem)
    data = from_state(to_state(tomllib.loads(text)))
    for _ in range(6):
        _bent(data, chance)
        found = edited(text, data)
        assert found is not None and from_state(to_state(tomllib.loads(found))) == data


def _bent(data: Any, chance: random.Random) -> None:
    """One value of ``data`` changed, one taken out, or one put in."""
    while True:
        keys = list(data) if isinstance(data, dict) else list(range(len(data)))
        key = chance.choice(keys)
        if isinstance(data[key], dict | list) and data[key] and chance.random() < 0.8:
            data = data[key]
            continue
        what = chance.random()
        if what < 0.5:
            data[key] = (
                copy.deepcopy(data[key])
                if isinstance(data[key], dict | list)
                else chance.choice(["7 in", 7, 1.5, True])
            )
        elif isinstance(data, list):
            data.insert(key, copy.deepcopy(data[key]))
        elif what < 0.75 and len(keys) > 1:
            del data[key]
        else:
            data[f"new {len(keys)}"] = chance.choice(["7 in", {"a": 1}, [1, 2]])
        return


@pytest.mark.parametrize(
    "text",
    [
        "a" + " " * 150000 + ".b = 1\n",
        "a = [" + "[" * 90 + "]" * 90 + "]\n",
        "a = '" + "x" * 250000 + "'\n",
        ".".join(["a"] * 5000) + " = 1\n",
        "[[run]]\n" * 20000,
        "a = [" + "1," * 100000 + "]\n",
        "#" * 200000 + "\n",
        "\n" * 200000,
    ],
    ids=["blanks", "deep", "string", "dotted", "tables", "list", "comment", "lines"],
)
def test_texts_made_to_harm_are_gone_through_or_given_up(text: str) -> None:
    """Each ends, with the job's values; 20 s is a hundred times what a slow machine takes."""
    began = time.process_time()
    state = {"job": {"name": "x"}}
    assert same(state, tasks.text_of({"state": state, "base": text}))
    assert time.process_time() - began < 20.0
