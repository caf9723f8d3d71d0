"""Values and places of a job file turned into words for its problems."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from datetime import date, datetime, time
from difflib import get_close_matches

from jiggen.units import mm_text, tape

LONGEST_SHOWN = 40
MOST_COMPARED = 200
BARE_KEY = re.compile(r"[A-Za-z0-9_-]+\Z")


def joined(path: str, key: str) -> str:
    """``path.key`` as TOML writes it, the key in quotes where it needs them."""
    name = key if BARE_KEY.match(key) and len(key) <= LONGEST_SHOWN else quoted(key)
    return f"{path}.{name}" if path else name


def quoted(text: str) -> str:
    """``text`` in double quotes on one line, cut where it is long, nothing unprintable left in it."""
    cut = text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."
    escaped = json.dumps(cut, ensure_ascii=False)
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in escaped)


def shown(value: object) -> str:
    """A value as the job file has it, short: texts in quotes, lists and tables by their size."""
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value) if value.bit_length() < 100 else f"a number of {value.bit_length()} bits"
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if isinstance(value, dict):
        return "a table"
    return "a date" if isinstance(value, date | datetime) else "a time" if isinstance(value, time) else "nothing"


def size(mm: float, unit: str) -> str:
    """A length that was worked out, in the words of a job's units: "1 1/2 in (38.1 mm)", or "38.1 mm"."""
    return f"{mm_text(mm)} mm" if unit == "mm" else f"{tape(mm).told} in ({mm_text(mm)} mm)"


def listed(names: Iterable[str], most: int = 24) -> str:
    """Names in quotes, in their own order, the last joined by "or"; more than ``most`` are cut off."""
    words = [quoted(name) for name in names]
    if len(words) > most:
        words = [*words[:most], "another"]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}" if words else "nothing"


def nearest(word: str, known: Iterable[str]) -> str:
    """The remedy for an unknown word: 'write "spacing"', or all that may be written."""
    names = list(known)[:MOST_COMPARED]
    close = get_close_matches(word[:LONGEST_SHOWN], names, n=1, cutoff=0.6)
    if close:
        return f"write {quoted(close[0])}"
    return f"write {listed(names)}" if names else "leave it out"


def nearest_and_all(word: str, known: Iterable[str]) -> str:
    """The remedy for an unknown word out of a short list: the nearest, then all the others that may be written."""
    names = list(known)
    close = get_close_matches(word[:LONGEST_SHOWN], names, n=1, cutoff=0.6)
    others = [name for name in names if name not in close]
    if not close or not others:
        return nearest(word, names)
    return f"write {quoted(close[0])}; there {'is' if len(others) == 1 else 'are'} also {listed(others).replace(' or ', ' and ')}"


def nearest_few(word: str, known: Iterable[str], most: int = 5) -> str:
    """The names of a long list that look like ``word``, the nearest first: '"4x6" or "4x4"'; "" where none does."""
    close = get_close_matches(word[:LONGEST_SHOWN], list(known), n=most, cutoff=0.6)
    return listed(close) if close else ""


def printable(text: str, longest: int) -> bool:
    """Whether ``text`` has 1 to ``longest`` characters, all printable, not only blanks."""
    return 0 < len(text) <= longest and text.isprintable() and bool(text.strip())
