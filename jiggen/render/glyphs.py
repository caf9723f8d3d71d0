"""A line of lettering turned into strokes in their place, and into plain characters that can be searched."""

from __future__ import annotations

from math import cos, sin
from unicodedata import normalize

from jiggen.drawing import lettering
from jiggen.drawing.scene import Text
from jiggen.geometry import Point

_SPELLED = {"\u2212": "-", "\u2300": "dia ", "\u00d8": "dia ", "\u2192": "->", "\u2190": "<-", "\u2264": "<="}
_SPELLED |= {"\u2265": ">=", "\u2044": "/", "\u2033": '"', "\u2032": "'", "\u2191": "up", "\u2193": "down"}


def said(text: Text) -> str:
    """What a search finds where ``text`` stands."""
    return text.text if text.spoken is None else text.spoken


def start(text: Text) -> float:
    """Where the lettering begins along its base line, from ``text.at``: 0 or less, mm."""
    if text.align == "left":
        return 0.0
    long = lettering.width(text.text, text.height)
    return -long / 2.0 if text.align == "middle" else -long


def placed(text: Text) -> tuple[tuple[Point, ...], ...]:
    """The strokes of ``text`` where it stands in its drawing, mm, y up."""
    c, s, begin, (x, y) = cos(text.angle), sin(text.angle), start(text), text.at
    return tuple(
        tuple(Point(x + (a + begin) * c - b * s, y + (a + begin) * s + b * c) for a, b in stroke)
        for stroke in lettering.strokes(text.text, text.height)
    )


def plain(words: str) -> str:
    """``words`` in characters of Windows-1252: fractions and signs outside it are written out, else "?"."""
    if words.isascii():
        return words
    out: list[str] = []
    for character in words:
        if character in _SPELLED:
            out.append(_SPELLED[character])
            continue
        spelled = normalize("NFKD", character)
        if "\u2044" in spelled:
            gap = " " if out and out[-1][-1:].isdigit() else ""
            out.append(gap + spelled.replace("\u2044", "/"))
        elif _fits(character):
            out.append(character)
        else:
            kept = "".join(_SPELLED.get(part, part) for part in spelled if part.isascii())
            out.append(kept or "?")
    return "".join(out)


def _fits(character: str) -> bool:
    try:
        return len(character.encode("cp1252")) == 1
    except UnicodeEncodeError:
        return False
