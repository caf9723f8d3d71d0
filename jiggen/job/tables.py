"""One table of a job file turned into checked values; every problem goes to one list."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any, TypeVar

from jiggen.job.ranges import Sane, Unit, convert
from jiggen.job.wording import joined, listed, nearest, nearest_and_all, printable, quoted, shown
from jiggen.problems import Problem

LONGEST_LIST = 64
FEW = 6  # of a choice this small all that may be written are told
ITEM = re.compile(r"(.*?)((?:\[[0-9]+\])+)", re.DOTALL)
MANY = 200  # problems; from there on none is worth a search
T = TypeVar("T")
LONGEST_NAME = 40


class Table:
    """A reader of one table.

    ``data``: the parsed table. ``path``: its place, such as ``run[1].stair``. ``log``: where problems go.
    ``unit``: of bare numbers. ``base``: a table whose keys hold where this one is silent; of those only
    the ones that are asked for. Each method that reads marks its key as known, records what is wrong with
    it and gives a value all the same (the default, or the least sane one), so that reading goes on and all
    problems are told at once. ``done`` reports the keys that nobody asked for.
    """

    def __init__(
        self,
        data: Mapping[str, Any],
        path: str,
        log: list[Problem],
        unit: Unit,
        base: Table | None = None,
        parent: tuple[Table, str] | None = None,
    ) -> None:
        self.data = data
        self.path = path
        self.log = log
        self.unit: Unit = unit
        self.base = base
        self.parent = parent
        self.asked: dict[str, None] = {}
        self.bad: set[str] = set()

    def problem(self, key: str, found: str, remedy: str) -> None:
        """Record a ``stop`` at ``key`` ("" for the table itself; "spans[2]" for an item)."""
        self._spoil(self._split(key)[0])
        self.stop(self.place(key), found, remedy)

    def fine(self, *keys: str) -> bool:
        """Whether nothing was wrong at ``keys`` or below them; without keys: in the whole table."""
        return self.bad.isdisjoint(keys) if keys else not self.bad

    def stop(self, where: str, found: str, remedy: str) -> None:
        """Record a ``stop`` at a whole path."""
        self.log.append(Problem("stop", where, found, remedy))

    def place(self, key: str) -> str:
        """The path of ``key``, in the base where the value comes from there."""
        if not key and "" not in self.data:
            return self.path or "the file"
        head, index = self._split(key)
        if self.base is not None and head not in self.data and head in self.base.data:
            return self.base.place(key)
        return joined(self.path, head) + index

    def has(self, key: str) -> bool:
        """Whether the table itself (not its base) has ``key``."""
        return key in self.data

    def raw(self, key: str) -> Any:
        """The value as parsed, None where there is none."""
        self.asked[key] = None
        if key in self.data:
            return self.data[key]
        return self.base.raw(key) if self.base is not None else None

    def need(self, key: str, remedy: str) -> None:
        """Record that ``key`` is missing."""
        self.problem(key, "found nothing", remedy)

    def amount(self, key: str, sane: Sane) -> float:
        """A quantity in its inner unit; the default of ``sane``, or required where that has none."""
        value = self.raw(key)
        if value is None:
            if sane.default is None:
                self.need(key, f"write {sane.words(self.unit)}")
            return sane.fallback(self.unit)
        return self.checked(key, value, sane)

    def maybe(self, key: str, sane: Sane) -> float | None:
        """A quantity in its inner unit, None where it is not said."""
        value = self.raw(key)
        return None if value is None else self.checked(key, value, sane)

    def amounts(self, key: str, sane: Sane, least: int = 1, most: int = LONGEST_LIST) -> tuple[float, ...]:
        """A list of quantities; required where ``sane`` has no default."""
        values = self.items(key, least, most, f"each {sane.words(self.unit)}")
        return tuple(self.checked(f"{key}[{i}]", value, sane) for i, value in enumerate(values))

    def pair(self, key: str, sane: Sane, words: str = "each") -> tuple[float, float]:
        """A list of two quantities; required."""
        values = self.items(key, 2, 2, f"{words} {sane.words(self.unit)}")
        if len(values) != 2:
            return (sane.fallback(self.unit),) * 2
        first, second = (self.checked(f"{key}[{i}]", value, sane) for i, value in enumerate(values))
        return first, second

    def items(self, key: str, least: int, most: int, words: str) -> Sequence[Any]:
        """A list of ``least`` to ``most`` raw values, empty where it is wrong; required."""
        value = self.raw(key)
        size = str(least) if least == most else f"{least} to {most}"
        if isinstance(value, list) and least <= len(value) <= most:
            return value
        found = "found nothing" if value is None else f"found {shown(value)}"
        self.problem(key, found, f"write a list of {size}, {words}")
        return ()

    def whole(self, key: str, low: int, high: int) -> int | None:
        """A whole number from ``low`` to ``high``, None where it is not said or wrong."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, int) and not isinstance(value, bool) and low <= value <= high:
            return value
        self.problem(key, f"found {shown(value)}", f"write a whole number from {low} to {high}")
        return None

    def flag(self, key: str) -> bool:
        """True or false; false where it is not said."""
        value = self.raw(key)
        if value is None or isinstance(value, bool):
            return bool(value)
        self.problem(key, f"found {shown(value)}", "write true or false")
        return False

    def text(self, key: str, example: str = "", longest: int = 80) -> str | None:
        """A printable text, None where it is not said or wrong. ``example``: makes it required."""
        value = self.raw(key)
        if value is None:
            if example:
                self.need(key, f"write {quoted(example)} or such")
            return None
        return self._text(key, value, longest)

    def texts(self, key: str, least: int, most: int, words: str, longest: int = 80) -> tuple[str, ...]:
        """A list of printable texts; required. Texts that are wrong are left out."""
        values = self.items(key, least, most, words)
        texts = (self._text(f"{key}[{i}]", value, longest) for i, value in enumerate(values))
        return tuple(text for text in texts if text is not None)

    def choice(self, key: str, options: Collection[str], default: str | None = None) -> str:
        """One of ``options``; required where there is no default. A few of them are all told where it is none."""
        value = self.raw(key)
        if value is None:
            if default is None:
                self.need(key, f"write {listed(options)}")
            return default if default is not None else next(iter(options))
        return self.one_of(key, value, options) or default or next(iter(options))

    def one_of(self, key: str, value: object, options: Collection[str]) -> str | None:
        """``value`` where it is one of ``options``, else None and a problem with the nearest."""
        if isinstance(value, str) and value in options:
            return value
        if isinstance(value, str) and len(options) <= FEW:
            remedy = nearest_and_all(value, options)
        else:
            remedy = self._nearest(value, options) if isinstance(value, str) else f"write {listed(options)}"
        self.problem(key, f"found {shown(value)}", remedy)
        return None

    def parsed(self, key: str, value: object, parse: Callable[[str], T]) -> T | None:
        """``parse(value)``; None and a problem where it raises ValueError, whose text is the remedy."""
        text = self._text(key, value, 80)
        if text is None:
            return None
        try:
            return parse(text)
        except (ValueError, OverflowError, ZeroDivisionError) as error:
            self.problem(key, f"found {quoted(text)}", str(error) or "write another")
            return None

    def table(self, key: str) -> Table | None:
        """The table at ``key``, None where there is none."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, dict):
            return self._inner(value, key)
        self.problem(key, f"found {shown(value)}", "write a table")
        return None

    def settings(self, key: str) -> Table:
        """The table at ``key``, an empty one where there is none."""
        return self.table(key) or self._inner({}, key)

    def tables(self, key: str, most: int = LONGEST_LIST) -> list[Table]:
        """The tables at ``key``: a table alone counts as a list of one; empty where there is none."""
        value = self.raw(key)
        if value is None:
            return []
        if isinstance(value, dict):
            return [self._inner(value, key)]
        if not isinstance(value, list) or not value or len(value) > most:
            self.problem(key, f"found {shown(value)}", f"write a table, or a list of 1 to {most} tables")
            return []
        return [table for i, item in enumerate(value) if (table := self._item(f"{key}[{i}]", item))]

    def named(self, key: str, most: int = MANY) -> dict[str, Table]:
        """The tables inside the table at ``key`` by name, in the file's order. Names are checked."""
        outer = self.table(key)
        if outer is None:
            return {}
        if len(outer.data) > most:
            self.problem(key, f"found {len(outer.data)} tables", f"write at most {most}")
            return {}
        found: dict[str, Table] = {}
        for name in outer.data:
            table = outer.table(name)
            if not printable(name, LONGEST_NAME):
                outer.problem(name, f"found the name {quoted(name)}", f"use 1 to {LONGEST_NAME} printable characters")
            elif table is not None:
                found[name] = table
        return found

    def done(self) -> None:
        """Report each key of the table itself that nobody asked for; of very many a part."""
        unknown = [key for key in self.data if key not in self.asked]
        for key in unknown[:MANY]:
            self.problem(key, f"unknown key {quoted(key)}", self._nearest(key, self.asked))
        if len(unknown) > MANY:
            self.problem("", f"found {len(unknown) - MANY} more unknown keys", "leave them out")

    def _nearest(self, word: str, known: Collection[str]) -> str:
        """The remedy for an unknown word; among very many problems without a search for the nearest."""
        return nearest(word, known) if len(self.log) < MANY else f"write {listed(known)}"

    def _split(self, key: str) -> tuple[str, str]:
        """``key`` without the indices behind it, and those."""
        item = None if key in self.data else ITEM.fullmatch(key)
        return (item[1], item[2]) if item else (key, "")

    def _spoil(self, key: str) -> None:
        """Remember that ``key`` is wrong, here and in the tables around this one."""
        self.bad.add(key)
        if self.parent is not None:
            self.parent[0]._spoil(self.parent[1])

    def _inner(self, data: Mapping[str, Any], key: str) -> Table:
        return Table(data, self.place(key), self.log, self.unit, parent=(self, self._split(key)[0]))

    def _item(self, key: str, value: object) -> Table | None:
        if isinstance(value, dict):
            return self._inner(value, key)
        self.problem(key, f"found {shown(value)}", "write a table")
        return None

    def _text(self, key: str, value: object, longest: int) -> str | None:
        if isinstance(value, str) and printable(value, longest):
            return value
        hint = ", in quotes" if not isinstance(value, str) else ""
        self.problem(key, f"found {shown(value)}", f"write 1 to {longest} printable characters{hint}")
        return None

    def checked(self, key: str, value: object, sane: Sane) -> float:
        """``value`` in its inner unit and within its range, else the fallback and a problem."""
        try:
            amount = convert(sane.quantity, value, self.unit)
        except (ValueError, OverflowError, ZeroDivisionError) as error:
            self.problem(key, f"found {shown(value)}", str(error) or f"write {sane.words(self.unit)}")
            return sane.fallback(self.unit)
        low, high = sane.bounds(self.unit)
        slack = 1e-9 * max(abs(low), abs(high))
        if low - slack <= amount <= high + slack:
            return amount
        self.problem(key, f"found {shown(value)}", f"write {sane.words(self.unit)}")
        return sane.fallback(self.unit)
