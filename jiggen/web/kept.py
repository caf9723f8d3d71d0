"""A job file's text turned into the text of a changed job: what did not change keeps its words, comments and order."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from jiggen.web import toml
from jiggen.web.lines import Entry, Part, Path, items, parts

LONGEST = 300_000  # characters of a file that are gone through
DEEPEST = 60  # names of a path
MOST = 400  # keys that may be new
NOTHING = object()
Data = Mapping[str, Any]


@dataclass(frozen=True)
class _Both:
    """A table of the file, and where it was: its ``part.path`` is that of the changed job."""

    part: Part
    was: Path


def edited(text: str, data: Data) -> str | None:
    """``text``, a job file, with the values of ``data``; None where that is more than a change of it.

    A changed value stands where the old one stood, a new key at the end of its table, a run takes what is written over it
    along. It reads back as ``data`` for whatever a job has; who asks makes sure of it.
    """
    if len(text) > LONGEST:
        return None
    end = "\r\n" if "\r\n" in text else "\n"
    mark, plain = ("\ufeff", text[1:]) if text.startswith("\ufeff") else ("", text)
    old = tomllib.loads(plain)
    found, rest = parts(plain if plain.endswith("\n") else plain + end)
    if any(len(part.path) > DEEPEST for part in found):
        return None
    tables, data = _with_runs([_Both(part, part.path) for part in found], old, data, end)
    kept, lost = _changed_tables(tables, old, data)
    whole = _filled(kept, data, end)
    return None if whole is None else mark + "".join(part.text for part in whole) + lost + rest


def _with_runs(tables: list[_Both], old: Data, data: Data, end: str) -> tuple[list[_Both], Data]:
    """The tables with those of each run where the changed job has that run; a lone [run] stays one where it can."""
    fresh, now = data.get("run"), old.get("run")
    if not isinstance(fresh, list):
        return tables, data
    if isinstance(now, dict):
        if len(fresh) == 1:
            return tables, {**data, "run": fresh[0]}
        tables = [replace(one, part=_listed(one.part)) if one.was[:1] == ("run",) else one for one in tables]
        now = [now]
    own = [one for one in tables if one.part.path[:1] == ("run",)]
    if not isinstance(now, list) or not own or not all(isinstance(run, dict) for run in (*now, *fresh)):
        return tables, data
    pairs = _pairs(now, fresh)
    if pairs == list(range(len(now))):
        return tables, data
    first = tables.index(own[0])
    before = [one for one in tables[:first] if one not in own]
    after = [one for one in tables[first:] if one not in own]
    return [*before, *_moved(own, pairs, len(now), end), *after], data


def _listed(part: Part) -> Part:
    header = part.header.replace("[", "[[", 1).replace("]", "]]", 1) if part.path == ("run",) else part.header
    return replace(part, path=("run", 0, *part.path[1:]), header=header)


def _moved(own: Sequence[_Both], pairs: Sequence[int | None], many: int, end: str) -> Iterator[_Both]:
    """The tables of the runs in their new order; what stands alone above a run stays in its place."""
    chunks = [[one for one in own if one.part.path[1] == number] for number in range(many)]
    above = ["".join(one.part.above for one in chunk) for chunk in chunks]
    for number, pair in enumerate(pairs):
        over = above[number] if number < many else ""
        if pair is None:
            yield _Both(Part(("run", number), over, end, f"[[run]]{end}", ()), ())
            continue
        for place, one in enumerate(chunks[pair]):
            path = ("run", number, *one.part.path[2:])
            yield replace(one, part=replace(one.part, path=path, above="" if place else over))


def _pairs(old: Sequence[Data], new: Sequence[Data]) -> list[int | None]:
    """For each new run the old one that it was: the same, else of the same name, posts or place."""
    pairs: list[int | None] = [None] * len(new)
    for alike in (_same, _of_one("id"), _of_one("posts"), None):
        for number, run in enumerate(new):
            if pairs[number] is not None:
                continue
            free = [k for k in range(len(old)) if k not in pairs]
            meant = [k for k in free if (k == number if alike is None else alike(old[k], run))]
            pairs[number] = meant[0] if meant else None
    return pairs


def _of_one(key: str) -> Any:
    return lambda old, new: key in old and key in new and _same(old[key], new[key])


def _changed_tables(tables: Sequence[_Both], old: Data, data: Data) -> tuple[list[Part], str]:
    """Every table that the changed job still has, with its values; and comments that stood alone above a lost last one."""
    kept: list[Part] = []
    over = ""
    for one in tables:
        part = one.part
        if not isinstance(_at(data, part.path), Mapping):
            over += part.above
            continue
        body: list[Entry | str] = []
        for entry in part.body:
            fresh = entry if isinstance(entry, str) else _changed_entry(entry, one, old, data)
            if fresh is not None:
                body.append(fresh)
        kept.append(replace(part, above=over + part.above, body=tuple(body)))
        over = ""
    return kept, over


def _changed_entry(entry: Entry, one: _Both, old: Data, data: Data) -> Entry | None:
    new = _at(data, (*one.part.path, *entry.path))
    if new is NOTHING:
        return None
    return replace(entry, value=_changed(entry.value, _at(old, (*one.was, *entry.path)), new))


def _changed(text: str, old: Any, new: Any) -> str:
    """The text of a value that was ``old`` and is ``new``; the items of a list that stay keep what is written beside them."""
    if _same(old, new):
        return text
    if not (isinstance(old, list) and isinstance(new, list) and old and new):
        return toml.as_value(new)
    spans = items(text)
    front = _alike(old, new)
    back = min(_alike(old[::-1], new[::-1]), len(old) - front, len(new) - front)
    pairs = min(len(old), len(new)) - front - back
    pieces = []
    at = 0
    for number in range(front, front + pairs):
        begin, end = spans[number]
        pieces += [text[at:begin], _changed(text[begin:end], old[number], new[number])]
        at = end
    middle = front + pairs
    more = [toml.as_value(value) for value in new[middle : len(new) - back]]
    if more and middle:
        last = spans[middle - 1][1]
        pieces += [text[at:last], "".join(f", {value}" for value in more)]
        at = last
    elif more:
        pieces += [text[at : spans[0][0]], "".join(f"{value}, " for value in more)]
        at = spans[0][0]
    elif len(old) > len(new):
        begin, end = (middle, len(old) - back) if back else (middle - 1, len(old) - 1)
        cut = (spans[begin][0], spans[end][0]) if back else (spans[begin][1], spans[end][1])
        pieces.append(text[at : cut[0]])
        at = cut[1]
    return "".join(pieces) + text[at:]


def _alike(old: Sequence[Any], new: Sequence[Any]) -> int:
    """How many items are the same from the first on."""
    count = 0
    for one, other in zip(old, new, strict=False):
        if not _same(one, other):
            break
        count += 1
    return count


def _filled(kept: list[Part], data: Data, end: str) -> list[Part] | None:
    """The tables with every key of ``data`` that they have not yet; None for too many."""
    entries = {(*part.path, *one.path) for part in kept for one in part.body if not isinstance(one, str)}
    inner = {path[:size] for path in (*entries, *(part.path for part in kept)) for size in range(len(path) + 1)}
    missing = list(_missing((), data, entries, inner))
    if len(missing) > MOST:
        return None
    for path, value in missing:
        kept = _with(kept, path, value, end)
    return kept


def _missing(path: Path, value: Any, entries: set[Path], inner: set[Path]) -> Iterator[tuple[Path, Any]]:
    if path in entries:
        return
    if path in inner and isinstance(value, Mapping):
        for key, one in value.items():
            yield from _missing((*path, key), one, entries, inner)
    elif path in inner and isinstance(value, list):
        for number, one in enumerate(value):
            yield from _missing((*path, number), one, entries, inner)
    else:
        yield path, value


def _with(kept: list[Part], path: Path, value: Any, end: str) -> list[Part]:
    """The tables with one key more, or one table more behind those that are its kin."""
    *above, key = path
    parent = tuple(above)
    own = [number for number, part in enumerate(kept) if part.path == parent]
    if isinstance(key, str) and own and (parent or not toml.is_block(value)):
        return _with_entry(kept, own[-1], (key,), value, end)
    if isinstance(key, str) and parent:
        dotted = [number for number, part in enumerate(kept) if _is_dotted(part, parent)]
        if dotted:
            inside = parent[len(kept[dotted[-1]].path) :]
            return _with_entry(kept, dotted[-1], (*inside, key), value, end)
        if not isinstance(value, Mapping):
            return _with(kept, parent, {key: value}, end)
    return _with_table(kept, path, value, end)


def _is_dotted(part: Part, path: Path) -> bool:
    """Whether the table at ``path`` is only told by dotted keys of ``part``."""
    size = len(path)
    if len(part.path) >= size:
        return False
    every = ((*part.path, *one.path) for one in part.body if not isinstance(one, str))
    return any(whole[:size] == path and len(whole) > size for whole in every)


def _with_entry(kept: list[Part], place: int, path: Path, value: Any, end: str) -> list[Part]:
    part = kept[place]
    name = ".".join(toml.as_key(str(step)) for step in path)
    at = max((number for number, one in enumerate(part.body, 1) if not isinstance(one, str)), default=0)
    entry = Entry(path, f"{name} = ", toml.as_value(value), end)
    fresh = replace(part, body=(*part.body[:at], entry, *part.body[at:]))
    return [*kept[:place], fresh, *kept[place + 1 :]]


def _with_table(kept: list[Part], path: Path, value: Any, end: str) -> list[Part]:
    if not toml.is_block(value) and len(path) > 1:
        raise ValueError("found no table among tables")
    names = [toml.as_key(step) for step in path if isinstance(step, str)]
    kin = next((size for size in range(len(path) - 1, 0, -1) if any(p.path[:size] == path[:size] for p in kept)), 0)
    place = max((number for number, p in enumerate(kept, 1) if p.path[:kin] == path[:kin]), default=len(kept))
    if len(path) == 1:
        text = toml.write({str(path[0]): value})
    else:
        name = ".".join(names)
        text = (f"[[{name}]]\n" if isinstance(path[-1], int) else f"[{name}]\n") + toml.as_lines(value)
    made = Part(path, "", end, text.replace("\n", end), ())
    return [*kept[:place], made, *kept[place:]]


def _at(data: Any, path: Path) -> Any:
    """What is at ``path``, ``NOTHING`` where there is nothing."""
    for step in path:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return NOTHING
    return data


def _same(one: Any, other: Any) -> bool:
    """Whether two values are the same in TOML, where 1 and 1.0 are two."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return type(one) is type(other) and toml.as_value(one) == toml.as_value(other)
