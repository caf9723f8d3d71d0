"""The bytes of a PDF content stream to its operations: an operator and the operands before it.

ISO 32000-1, 7.2 to 7.3 (objects) and 7.8.2 (content streams). Almost all operations of a drawing are plain
numbers or a plain name and a word, so those are taken with one expression; all else goes piece by piece.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

MOST_NESTING = 32
MOST_OPERANDS = 10_000

_PLAIN = re.compile(rb"(?:[-+.0-9A-Za-z*'\" \t\r\n\f]{1,4096}+|/[A-Za-z0-9]++[ \t\r\n\f]){0,4096}+[-+.0-9A-Za-z*'\"]*+")
_OPERATION = re.compile(rb"((?:[-+.0-9 \t\r\n\f]++|/[A-Za-z0-9]++[ \t\r\n\f])*+)([A-Za-z*'\"][-+.0-9A-Za-z*'\"]*+)?")
_IMAGE = re.compile(rb"(?<![^\0\t\n\f\r ])BI(?=[\0\t\n\f\r /]|$)")
_BLANK = re.compile(rb"(?:[\0\t\n\f\r ]++|%[^\r\n]*+)*+")
_WORD = re.compile(rb"[^\0\t\n\f\r ()<>\[\]{}/%]*+")
_NUMBER = re.compile(rb"[-+]?(?:\d++\.?\d*+|\.\d++)")
_FLAT = re.compile(rb"(?:[^()\\]++|\\.)*+", re.DOTALL)
_HEX = re.compile(rb"<([0-9A-Fa-f\0\t\n\f\r ]*+)>")
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|\r\n|.)", re.DOTALL)
_CODE = re.compile(r"#([0-9A-Fa-f]{2})")
_IMAGE_END = re.compile(rb"[\0\t\n\f\r ]EI(?=[\0\t\n\f\r ]|$)")
_ESCAPED = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
_WORDS: dict[bytes, bool | None] = {b"true": True, b"false": False, b"null": None}


class Name(str):
    """A PDF name, without its slash."""

    __slots__ = ()


def operations(data: bytes) -> Iterator[tuple[bytes, list[Any]]]:
    """Each operator of a content stream with its operands, in order.

    Operands: numbers as float, names as ``Name``, strings as bytes, arrays as lists, dictionaries as dict
    by str. Inline images are passed over: only their BI is seen. Raises ValueError where
    the bytes are no content stream.
    """
    place = 0
    waiting: list[Any] = []
    while True:
        plain = _PLAIN.match(data, place)
        assert plain is not None  # it may be empty
        end = plain.end()
        image = _IMAGE.search(data, place, end) if data.find(b"BI", place, end) >= 0 else None
        if image:
            end = image.end()
        last = b""
        for numbers, operator in _OPERATION.findall(data, place, end):
            values: list[Any]
            values = list(_with_names(numbers)) if b"/" in numbers else [*map(float, numbers.split())]
            if waiting:
                values = waiting + values
                waiting = []
            if operator:
                last = operator
                yield operator, values
            else:
                waiting = values
        place = end
        if last == b"BI" and not waiting:
            place, waiting = _after_image(data, place), []
        place = _after_blank(data, place)
        if place == len(data):
            return
        if not _PLAIN.match(data, place)[0]:  # type: ignore[index]
            value, place = _value(data, place, 0)
            waiting.append(value)
        if len(waiting) > MOST_OPERANDS:
            raise ValueError("an operator with too many operands")


@lru_cache(maxsize=1024)
def _with_names(numbers: bytes) -> tuple[Any, ...]:
    """Numbers and plain names."""
    words = numbers.replace(b"/", b" /").split()
    return tuple(Name(word[1:].decode()) if word[:1] == b"/" else float(word) for word in words)


def _after_blank(data: bytes, place: int) -> int:
    found = _BLANK.match(data, place)
    return found.end() if found else place


def _after_image(data: bytes, place: int) -> int:
    """The place after the EI of an inline image."""
    found = _IMAGE_END.search(data, place)
    if found is None:
        raise ValueError("an inline image without an end")
    return found.end()


def _value(data: bytes, place: int, depth: int) -> tuple[Any, int]:
    """The object that starts at ``place``, and the place after it."""
    if depth > MOST_NESTING:
        raise ValueError("objects nested too deep")
    first = data[place : place + 1]
    if first == b"/":
        found = _WORD.match(data, place + 1)
        assert found is not None  # an empty name is a name
        return _name(found[0]), found.end()
    if first == b"(":
        return _string(data, place)
    if first == b"[":
        return _items(data, place + 1, b"]", depth)
    if data[place : place + 2] == b"<<":
        items, place = _items(data, place + 2, b">>", depth)
        return {str(key): value for key, value in zip(items[::2], items[1::2], strict=True)}, place
    if first == b"<":
        found = _HEX.match(data, place)
        if found is None:
            raise ValueError("a string without an end")
        digits = found[1].translate(None, b"\0\t\n\f\r ")
        return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode()), found.end()
    return _word(data, place)


def _word(data: bytes, place: int) -> tuple[Any, int]:
    """A number, true, false or null."""
    found = _WORD.match(data, place)
    word = found[0] if found else b""
    if _NUMBER.fullmatch(word):
        return float(word), place + len(word)
    if word in _WORDS:
        return _WORDS[word], place + len(word)
    raise ValueError("bytes that are no PDF object")


def _items(data: bytes, place: int, end: bytes, depth: int) -> tuple[list[Any], int]:
    """The objects up to ``end``, and the place after it."""
    items: list[Any] = []
    while True:
        place = _after_blank(data, place)
        if data.startswith(end, place):
            return items, place + len(end)
        if place >= len(data):
            raise ValueError("an array or dictionary without an end")
        value, place = _value(data, place, depth + 1)
        items.append(value)


def _name(raw: bytes) -> Name:
    text = raw.decode("latin-1")
    if "#" in text:
        text = _CODE.sub(lambda code: chr(int(code[1], 16)), text)
    return Name(text)


def _string(data: bytes, place: int) -> tuple[bytes, int]:
    """A string in brackets, which may hold pairs of brackets; its escapes undone."""
    start, depth = place + 1, 1
    place = start
    while depth:
        found = _FLAT.match(data, place)
        place = found.end() if found else place
        bracket = data[place : place + 1]
        if bracket not in (b"(", b")"):
            raise ValueError("a string without an end")
        depth += 1 if bracket == b"(" else -1
        place += 1
    raw = data[start : place - 1]
    return (_ESCAPE.sub(_unescaped, raw) if b"\\" in raw else raw), place


def _unescaped(found: re.Match[bytes]) -> bytes:
    code = found[1]
    if code.isdigit():
        return bytes([int(code, 8) & 255]) if code[0] < ord("8") else code
    return b"" if code in (b"\r\n", b"\r", b"\n") else _ESCAPED.get(code, code)
