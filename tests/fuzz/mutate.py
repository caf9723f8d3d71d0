"""The sample jobs and a number turned into the bytes of a job file that is wrong in some way, the same for the same number.

Most are wrong by their meaning: the tables are read, a few values, keys or units are changed, and the whole is written
as TOML again. The others are wrong as text: cut, doubled, with strange bytes in it.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable, Iterator
from copy import deepcopy
from functools import cache
from math import inf, isfinite, isinf, nan
from pathlib import Path
from random import Random
from typing import Any

PROJECT = Path(__file__).resolve().parents[2]
NUMBER = re.compile(r"\d+(?:\.\d+)?")
UNITS = (
    "in",
    "mm",
    "cm",
    "m",
    "ft",
    "lbf",
    "N",
    "kg",
    "deg",
    "degF",
    "K",
    "%",
    "psi",
    "in 12",
    "yd",
    "furlong",
    '"',
    "'",
    "",
)
NUMBERS = (
    0,
    -1,
    1,
    2,
    7,
    63,
    200,
    201,
    0.0,
    -0.0,
    1e-9,
    -1e-9,
    1e-300,
    1e9,
    1e308,
    -1e308,
    inf,
    -inf,
    nan,
    2**31,
    2**63,
    10**40,
)
WORDS = (
    "", " ", "\t", "\n", "\x00", "\x7f", "\x1b[31m", "é", "Ж", "漢字", "٣ in", "½ in", "3½ in", "𝟛 in", "e\u0301", "\u202etxet",
    "\ufeff", "\u2028", "👩‍🚒", "İ", "ß", "in", "mm", "1/0 in", "1/2", "3 1/8 in", "-3 in", "1e3 mm", "nan", "inf mm", "0 in", "..",
    "../../x", "a/b", "a.b", "a\\b", "%s", "{0}", "<b>", "=1+1", "toward 1", "toward ", "deck side", "open side", "left 90 deg",
    "right 200 deg", "bisect", "auto", "1 in 0", "x" * 41, "x" * 5000, "9" * 400 + " mm",
)  # fmt: skip
STRANGE = (
    b"\x00",
    b"\xff",
    b"\xc3",
    b"\xed\xa0\x80",
    b"\xef\xbb\xbf",
    b"\r",
    b"\x1a",
    b'"""',
    b"'''",
    b"[[",
    b"]]",
    b"{",
    b"#",
    b"=",
)

Slot = tuple[Any, Any, str]
"""A table or list, a key or index in it, and the nearest name over the value."""


def toml(value: Any) -> str:
    """``value`` as TOML on one line."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key_text(key)} = {toml(held)}" for key, held in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return key_text(value)
    if isinstance(value, float) and not isfinite(value):
        return ("-" if value < 0 else "") + ("inf" if isinf(value) else "nan")
    return str(value)


def key_text(text: str) -> str:
    """``text`` in quotes as TOML allows them."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def text_of(tree: dict[str, Any]) -> str:
    return "".join(f"{key_text(key)} = {toml(value)}\n" for key, value in tree.items())


@cache
def samples() -> tuple[str, ...]:
    """The texts of the jobs to change: the sound ones of the tests and the demo jobs."""
    files = [*sorted((PROJECT / "tests" / "jobs").glob("*.toml")), *sorted((PROJECT / "jiggen" / "job").glob("*.toml"))]
    return tuple(file.read_text(encoding="utf-8") for file in files)


@cache
def words() -> tuple[str, ...]:
    """Every word in quotes in the reader of jobs: keys, kinds and values that it knows."""
    found: dict[str, None] = {}
    for file in sorted((PROJECT / "jiggen" / "job").glob("*.py")):
        found |= dict.fromkeys(re.findall(r'"([a-z][a-z0-9_ -]{1,30})"', file.read_text(encoding="utf-8")))
    return tuple(found)


@cache
def weights() -> tuple[float, ...]:
    """How often each sample is taken: the more runs it has, the longer it takes and the less often."""
    return tuple(1.0 / len(tomllib.loads(text)["run"]) ** 2 for text in samples())


def slots(tree: Any, name: str = "") -> Iterator[Slot]:
    """Every place of a value in ``tree``."""
    for key, value in list(tree.items() if isinstance(tree, dict) else enumerate(tree)):
        own = key if isinstance(key, str) else name
        yield tree, key, own
        if isinstance(value, dict | list):
            yield from slots(value, own)


@cache
def stock() -> tuple[tuple[str, Any], ...]:
    """Every value of the sample jobs with the name of its key."""
    return tuple((name, held[key]) for text in samples() for held, key, name in slots(tomllib.loads(text)))


def mutated(seed: int, number: int) -> bytes:
    """Job file ``number`` of the row that ``seed`` begins."""
    dice = Random(f"{seed}/{number}")
    (text,) = dice.choices(samples(), weights())
    if dice.random() < 0.08:
        return _damaged(dice, text.encode())
    tree = tomllib.loads(text)
    for _ in range(dice.choice((1, 1, 1, 1, 2, 2, 3, 6))):
        places = list(slots(tree))
        if not places:
            break
        change = dice.choices([one for one, _ in CHANGES], [weight for _, weight in CHANGES])[0]
        change(dice, tree, dice.choice(places))
    data = text_of(tree).encode("utf-8", "surrogatepass")
    return _damaged(dice, data) if dice.random() < 0.03 else data


def _nudge(dice: Random, tree: Any, slot: Slot) -> None:
    """Another size, mostly a likely one, for one number."""
    numbers = [one for one in slots(tree) if _numeric(one[0][one[1]])]
    held, key, _ = dice.choice(numbers) if numbers else slot
    factor = dice.choice((0.5, 0.9, 0.97, 1.03, 1.1, 1.5, 2, 4, 0.25, 0.01, -1, 10, 0))
    value = held[key]
    if isinstance(value, str):
        held[key] = NUMBER.sub(lambda found: f"{float(found[0]) * factor:.4g}", value, count=1)
    elif _numeric(value):
        held[key] = value * factor if isinstance(value, float) else round(value * factor)


def _numeric(value: Any) -> bool:
    if isinstance(value, str):
        return NUMBER.search(value) is not None
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value) and abs(value) < 1e12


def _swap(dice: Random, tree: Any, slot: Slot) -> None:
    held, key, _ = slot
    other, at, _ = dice.choice(list(slots(tree)))
    if not (_inside(held[key], other) or _inside(other[at], held)):
        held[key], other[at] = other[at], held[key]


def _inside(whole: Any, part: Any) -> bool:
    """Whether ``part`` is ``whole`` or lies in it."""
    if whole is part:
        return True
    held = whole.values() if isinstance(whole, dict) else whole if isinstance(whole, list) else ()
    return any(_inside(one, part) for one in held)


def _drop(dice: Random, tree: Any, slot: Slot) -> None:
    del slot[0][slot[1]]


def _other(dice: Random, tree: Any, slot: Slot) -> None:
    """A value that stands at a key of this name in some sample; anywhere, where there is none."""
    held, key, name = slot
    fitting = [value for own, value in stock() if own == name]
    values = fitting if fitting and dice.random() < 0.7 else [value for _, value in stock()]
    held[key] = deepcopy(dice.choice(values))


def _unit(dice: Random, tree: Any, slot: Slot) -> None:
    texts = [one for one in slots(tree) if isinstance(one[0][one[1]], str) and _numeric(one[0][one[1]])]
    if texts:
        held, key, _ = dice.choice(texts)
        held[key] = re.sub(r"[A-Za-z%\"']+\s*$", "", held[key]) + dice.choice(("", " ")) + dice.choice(UNITS)


def _number(dice: Random, tree: Any, slot: Slot) -> None:
    slot[0][slot[1]] = dice.choice(NUMBERS)


def _word(dice: Random, tree: Any, slot: Slot) -> None:
    slot[0][slot[1]] = dice.choice(WORDS) if dice.random() < 0.6 else dice.choice(words())


def _add(dice: Random, tree: Any, slot: Slot) -> None:
    """A key that some table knows, put into any table."""
    tables = [tree, *(held[key] for held, key, _ in slots(tree) if isinstance(held[key], dict))]
    table = dice.choice(tables)
    if dice.random() < 0.7:
        name, value = dice.choice(stock())
        table[name] = deepcopy(value)
    else:
        table[dice.choice(words())] = dice.choice((*NUMBERS, *words(), [], {}, True))


def _rename(dice: Random, tree: Any, slot: Slot) -> None:
    held, key, _ = slot
    if isinstance(held, dict):
        value = held.pop(key)
        held[dice.choice((key.upper(), key[:-1], key + "s", "", dice.choice(WORDS), dice.choice(words())))] = value


def _kind(dice: Random, tree: Any, slot: Slot) -> None:
    """Another type: text for number, list for scalar, table for list, and back."""
    held, key, _ = slot
    value = held[key]
    if isinstance(value, list) and value and dice.random() < 0.5:
        held[key] = value[0]
    elif isinstance(value, dict) and value and dice.random() < 0.5:
        held[key] = list(value.values())
    else:
        held[key] = dice.choice(([value], {"x": value}, [value, value], True, False, [], {}, [[]], str(value)[:60]))


def _deep(dice: Random, tree: Any, slot: Slot) -> None:
    held, key, _ = slot
    for _ in range(dice.choice((2, 3, 30, 200))):
        held[key] = [held[key]] if dice.random() < 0.7 else {"x": held[key]}


def _double(dice: Random, tree: Any, slot: Slot) -> None:
    """Items of a list again, so that names stand twice and counts do not fit; or taken away, or turned round."""
    lists = [held[key] for held, key, _ in slots(tree) if isinstance(held[key], list) and held[key]]
    if not lists:
        return
    items = dice.choice(lists)
    way = dice.randrange(5)
    if way == 0:
        items.extend(deepcopy(items))
    elif way == 1:
        items.append(deepcopy(dice.choice(items)))
    elif way == 2:
        items.pop(dice.randrange(len(items)))
    elif way == 3:
        items.reverse()
    else:
        items[:] = [deepcopy(items[0]) for _ in range(dice.choice((1, 3, 24, 65, 70)))]


def _names(dice: Random, tree: Any, slot: Slot) -> None:
    """One name of a post, run or kind for another."""
    texts = [(held, key) for held, key, _ in slots(tree) if isinstance(held[key], str)]
    if len(texts) > 1:
        (held, key), (other, at) = dice.sample(texts, 2)
        held[key] = other[at]


def _splice(dice: Random, tree: Any, slot: Slot) -> None:
    """A whole table of another sample."""
    other = tomllib.loads(dice.choice(samples()))
    name = dice.choice(list(other))
    if isinstance(other[name], dict) and isinstance(tree.get(name), dict) and dice.random() < 0.5:
        tree[name] |= other[name]
    elif isinstance(other[name], list) and isinstance(tree.get(name), list) and dice.random() < 0.5:
        tree[name] += other[name]
    else:
        tree[name] = other[name]


Change = Callable[[Random, Any, Slot], None]
CHANGES: tuple[tuple[Change, int], ...] = (
    (_nudge, 44), (_swap, 6), (_drop, 6), (_other, 12), (_unit, 6), (_number, 6), (_word, 5), (_add, 8), (_rename, 3),
    (_kind, 4), (_deep, 1), (_double, 5), (_names, 4), (_splice, 6),
)  # fmt: skip


def _damaged(dice: Random, data: bytes) -> bytes:
    """``data`` with a few places cut out, doubled or made strange."""
    for _ in range(dice.choice((1, 1, 2, 5, 20))):
        lines = data.split(b"\n")
        at, line = dice.randrange(len(data) + 1), dice.randrange(len(lines))
        way = dice.randrange(7)
        if way == 0:
            data = data[:at]
        elif way == 1:
            data = data[:at] + dice.choice(STRANGE) + data[at:]
        elif way == 2:
            data = data[:at] + bytes([dice.randrange(256)]) + data[at + 1 :]
        elif way == 3:
            data = data[:at] + data[at + dice.choice((1, 1, 10, 200)) :]
        elif way == 4:
            data = b"\n".join([*lines[:line], lines[line], *lines[line:]])
        elif way == 5:
            data = b"\n".join([*lines[:line], lines[dice.randrange(len(lines))], *lines[line + 1 :]])
        else:
            data = data[:at] + data[at : at + 30] * dice.choice((2, 50)) + data[at:]
    return data
