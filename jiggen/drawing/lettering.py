"""A line of text into the centre lines of single-stroke lettering: mm, base line at y = 0, y up."""

from __future__ import annotations

from functools import cache, lru_cache
from math import fsum
from pathlib import Path
from typing import NamedTuple
from unicodedata import normalize
from xml.etree import ElementTree

from jiggen.geometry import Point

_FILE = "jiggen-stroke.svg"
_GAP = 0.2  # clear between the ink of neighbours, in heights of a capital (ISO 3098 type B: 2/10 h)
_new = tuple.__new__  # a Point straight from its pair: a third of the time, and a page holds ten thousand of them

Stroke = tuple[Point, ...]


class _Font(NamedTuple):
    """The font as it stands in its file: per character its advance and path, and the height of a capital."""

    cap_height: float
    paths: dict[str, tuple[float, str]]
    missing: tuple[float, str]


class _Glyph(NamedTuple):
    """A character by itself, origin at x = 0: the way to the next one's origin, and its centre lines."""

    advance: float
    strokes: tuple[Stroke, ...]


BOX = "\N{REPLACEMENT CHARACTER}"


def lacking(text: str) -> tuple[str, ...]:
    """The characters of ``text`` that are drawn as a box, each once, in their order."""
    paths = _font().paths
    return tuple(dict.fromkeys(character for character in normalize("NFC", text) if character not in paths))


def as_drawn(text: str) -> str:
    """What somebody reads of ``text`` once it is drawn: the same for two texts that look the same, ``BOX`` for each box."""
    paths = _font().paths
    return "".join(character if character in paths else BOX for character in normalize("NFC", text))


def pen(height: float) -> float:
    """Width of the pen, mm, for capitals ``height`` mm high: a tenth of it (ISO 3098 type B)."""
    return height / 10.0


@lru_cache(maxsize=1024)  # some kB each
def strokes(text: str, height: float) -> tuple[Stroke, ...]:
    """Centre lines of ``text``, one tuple of two or more points a stroke, in the order of writing.

    ``height``: of a capital, mm, above 0. The base line is y = 0; the ink of the first character begins at
    x = 0, so that its centre lines begin half a pen to the right of it. A dot is a small closed square. A
    character that the font lacks is drawn as a box; nothing raises.
    """
    lines: list[Stroke] = []
    origin = 0.0
    for character in normalize("NFC", text):
        advance, pieces = _scaled(character, height)
        for piece in pieces:
            lines.append(tuple([_new(Point, (x + origin, y)) for x, y in piece]))
        origin += advance
    return tuple(lines)


@lru_cache(maxsize=8192)
def origins(text: str) -> tuple[tuple[str, float], ...]:
    """Each character of ``text`` that leaves ink, and where its origin lies, in heights of a capital."""
    found: list[tuple[str, float]] = []
    origin = 0.0
    for character in normalize("NFC", text):
        glyph = _glyph(character)
        if glyph.strokes:
            found.append((character, origin))
        origin += glyph.advance
    return tuple(found)


def width(text: str, height: float) -> float:
    """Width of ``text``, mm, from the edge of the first ink to the edge of the last; 0 without ink.

    ``height``: of a capital, mm. Blanks at either end count for nothing.
    """
    return _unit_width(text) * height


def fitted(text: str, height: float, room: float, least: float = 2.5) -> float:
    """The largest height, mm, not over ``height``, at which ``text`` is no wider than ``room`` mm.

    Never below ``least``: where the text does not fit even then, ``least`` is returned, and it is the
    caller's task to break the line. 2.5 is the lowest lettering for a page that is read at a bench (a height
    of the ISO 3098 series; common practice, no source).
    """
    across = _unit_width(text)
    fits = height if across * height <= room else room / across
    return max(fits, least)


@lru_cache(maxsize=8192)
def _unit_width(text: str) -> float:
    inked = normalize("NFC", text).strip(" \u00a0")
    return fsum(map(_advance, inked)) - _GAP if inked else 0.0


@cache
def _advance(character: str) -> float:
    return _glyph(character).advance


@lru_cache(maxsize=4096)
def _scaled(character: str, height: float) -> _Glyph:
    glyph = _glyph(character)
    pieces = tuple(tuple(Point(x * height, y * height) for x, y in piece) for piece in glyph.strokes)
    return _Glyph(glyph.advance * height, pieces)


@cache
def _glyph(character: str) -> _Glyph:
    """The character where a capital is 1 high."""
    font = _font()
    advance, path = font.paths.get(character, font.missing)
    return _Glyph(advance / font.cap_height, _pieces(path, font.cap_height))


def _pieces(path: str, unit: float) -> tuple[Stroke, ...]:
    """The strokes of a path that holds absolute M and L alone, divided by ``unit``."""
    pieces = []
    for piece in path.split("M")[1:]:
        numbers = [float(number) / unit for number in piece.replace("L", " ").split()]
        pieces.append(tuple(map(Point, numbers[0::2], numbers[1::2])))
    return tuple(pieces)


@cache
def _font() -> _Font:
    root = ElementTree.parse(_font_file()).getroot()
    names = {"svg": "http://www.w3.org/2000/svg"}
    font = root.find("svg:defs/svg:font", names)
    face = root.find("svg:defs/svg:font/svg:font-face", names)
    box = root.find("svg:defs/svg:font/svg:missing-glyph", names)
    if font is None or face is None or box is None:
        raise ValueError(f"{_FILE} is not a whole SVG font")
    paths = {glyph.attrib["unicode"]: _entry(glyph) for glyph in font.iterfind("svg:glyph", names)}
    return _Font(float(face.attrib["cap-height"]), paths, _entry(box))


def _entry(glyph: ElementTree.Element) -> tuple[float, str]:
    return float(glyph.attrib["horiz-adv-x"]), glyph.get("d", "")


def _font_file() -> Path:
    """In an installed package the fonts lie inside it, in a checkout beside it."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "fonts" / _FILE
    return inside if inside.is_file() else package.parent / "fonts" / _FILE
