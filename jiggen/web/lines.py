"""The text of a TOML file turned into its tables and keys as they were written, every character in one of them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

Path = tuple[str | int, ...]
TRIVIA = re.compile(r"[ \t]*(?:#[^\n]*)?\r?\n")
NAME = r"""(?:"(?:\\.|[^"\\\n])*"|'[^'\n]*'|[A-Za-z0-9_-]+)"""
KEY = re.compile(rf"[ \t]*({NAME}(?:[ \t]*\.[ \t]*{NAME})*)[ \t]*=[ \t]*")
HEADER = re.compile(r"""[ \t]*(\[(?:"(?:\\.|[^"\\\n])*"|'[^'\n]*'|[^"'#\n])*\])[ \t]*(?:#[^\n]*)?\r?\n""")
STRING = re.compile(r'''"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*\'''', re.DOTALL)
PLAIN = re.compile(r"""[^"'#\[\]{},\n]+""")
BETWEEN = re.compile(r"(?:[\s,]|#[^\n]*)*")  # two items of a list
BARE = re.compile(r"[A-Za-z0-9_-]+")


@dataclass(frozen=True, slots=True)
class Entry:
    """One key with its value. ``path``: from its table. ``tail``: what follows on the line, the comment among it."""

    path: Path
    head: str
    value: str
    tail: str


@dataclass(frozen=True, slots=True)
class Part:
    """A table and what stands in it.

    ``path``: from the file, with the index of each list of tables. ``above``: comments that an empty line parts from
    the table, so that they may speak of more than it. ``lead``: those right over its header. ``header``: "" for what
    stands before the first.
    """

    path: Path
    above: str
    lead: str
    header: str
    body: tuple[Entry | str, ...]

    @property
    def text(self) -> str:
        inside = (one if isinstance(one, str) else one.head + one.value + one.tail for one in self.body)
        return self.above + self.lead + self.header + "".join(inside)


def parts(text: str) -> tuple[list[Part], str]:
    """The tables of ``text``, TOML that ends with a new line, in their order, and the comments behind the last key.

    Raises ValueError for what is no TOML.
    """
    found: list[Part] = []
    path: Path = ()
    above = lead = header = ""
    body: list[Entry | str] = []
    counts: dict[Path, int] = {}
    at, loose = 0, ""
    while at < len(text):
        if trivia := TRIVIA.match(text, at):
            loose += trivia[0]
            at = trivia.end()
        elif head := HEADER.match(text, at):
            rest, fresh, close = _split(loose, bool(body) or bool(header))
            found.append(Part(path, above, lead, header, (*body, rest) if rest else tuple(body)))
            path, above, lead, header, body, loose = _named(head[1], counts), fresh, close, head[0], [], ""
            at = head.end()
        else:
            if loose:
                body.append(loose)
            entry, at = _entry(text, at)
            body.append(entry)
            loose = ""
    found.append(Part(path, above, lead, header, tuple(body)))
    return found, loose


def end_of(text: str, at: int, stops: str) -> int:
    """Where the value that begins at ``at`` ends: before one of ``stops`` that stands in no string, list or table."""
    depth = 0
    while at < len(text):
        sign = text[at]
        if not depth and sign in stops:
            break
        if sign in "\"'":
            string = STRING.match(text, at)
            if string is None:
                raise ValueError("a string that does not end")
            at = string.end()
        elif sign == "#":
            at = text.index("\n", at)
        else:
            depth += (sign in "[{") - (sign in "]}")
            plain = PLAIN.match(text, at)
            at = plain.end() if plain else at + 1
    while text[at - 1] in " \t\r":
        at -= 1
    return at


def items(text: str) -> list[tuple[int, int]]:
    """Begin and end of each item of a list's text, "[...]"."""
    found = []
    at = _between(text, 1)
    while text[at] != "]":
        end = end_of(text, at, ",]#\n")
        found.append((at, end))
        at = _between(text, end)
    return found


def _between(text: str, at: int) -> int:
    between = BETWEEN.match(text, at)
    return between.end() if between else at


def _entry(text: str, at: int) -> tuple[Entry, int]:
    key = KEY.match(text, at)
    if key is None:
        raise ValueError("found no key")
    end = end_of(text, key.end(), "\n#")
    after = TRIVIA.match(text, end)
    if after is None:
        raise ValueError("found more behind a value")
    return Entry(_path(key[1]), key[0], text[key.end() : end], after[0]), after.end()


def _path(key: str) -> Path:
    """The names of a dotted key."""
    if BARE.fullmatch(key):
        return (key,)
    return tuple(_names(tomllib.loads(f"{key} = 0")))


def _names(data: Any) -> Iterator[str]:
    """The one name in each of the tables that lie in one another."""
    while data:
        if isinstance(data, list):
            data = data[0]
        else:
            ((name, data),) = data.items()
            yield name


def _named(header: str, counts: dict[Path, int]) -> Path:
    """The path of a table by its header; ``counts``: how many tables each list has until now."""
    names = list(_names(tomllib.loads(header)))
    path: Path = ()
    for number, name in enumerate(names, 1):
        path = (*path, name)
        if number == len(names) and header.startswith("[["):
            counts[path] = counts.get(path, 0) + 1
        if path in counts:
            path = (*path, counts[path] - 1)
    return path


def _split(loose: str, inside: bool) -> tuple[str, str, str]:
    """Comments and empty lines before a header: what belongs to the table before, what stands alone, what leads it."""
    lines = loose.splitlines(keepends=True)
    close = len(lines)
    while close and lines[close - 1].strip():
        close -= 1
    empty = close
    while empty and not lines[empty - 1].strip():
        empty -= 1
    first = next((number for number, line in enumerate(lines) if not line.strip()), len(lines)) if inside else 0
    first = min(first, empty)
    return "".join(lines[:first]), "".join(lines[first:empty]), "".join(lines[empty:])
