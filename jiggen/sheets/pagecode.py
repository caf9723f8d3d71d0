"""What a page is (sheet and number, packet, paper) turned into the square of black and white cells in its foot, and back."""

from __future__ import annotations

import re
from binascii import crc_hqx
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor
from zlib import crc32

from jiggen.sheets.correction import foot_words
from jiggen.sheets.model import Paper

CELLS = 15  # along each side; 15 x 15 = 225 cells hold 28 words of 8 bits, and one that stays white
TENTH = 10.0  # sizes are carried in tenths of a millimetre
SCALE = "scale page"
_VERSION = 1
_WIDTHS = (2, 5, 10, 9, 32, 1, 14, 14, 9)  # bits of each field, 96 together
_SCALE_KIND = 27
_SHEET = re.compile(r"([A-Z])([1-9][0-9]{0,3})")
_PRINT = re.compile(r"(?<![0-9A-Za-z-])([0-9A-F]{4}-[0-9A-F]{4})(?![0-9A-Za-z-])")
_CORRECTED = re.compile(re.escape(foot_words("NAME")).replace("NAME", "[A-Za-z0-9_-]+"))

Cells = tuple[tuple[bool, ...], ...]
"""Rows from the top, cells from the left; True is black."""


@dataclass(frozen=True, slots=True)
class PageCode:
    """What the code of a page says.

    ``sheet``, ``page``: "S1" and its page, "" and 0 on other pages. ``tag``: of another page's name, see ``tag_of``.
    ``scale``: whether it is the scale page. ``fingerprint``: of the packet, "" where the page belongs to none.
    ``corrected``: whether the page is corrected for a printer. ``width``, ``height``, ``margin``: of its paper, mm, in
    whole tenths: the paper's size rounded down and its margin rounded up.
    """

    width: float
    height: float
    margin: float
    sheet: str = ""
    page: int = 0
    tag: int = 0
    scale: bool = False
    fingerprint: str = ""
    corrected: bool = False

    @property
    def name(self) -> str:
        """The page in words: "page 3 of sheet S1"."""
        if self.scale:
            return "the scale page"
        return f"page {self.page} of sheet {self.sheet}" if self.sheet else "a page without true-scale marks"


def page_code(paper: Paper, title: str, label: str, sheet: str, page: int, foot: str) -> PageCode | None:
    """The code of a page, None where its paper is too large for one (over 1638 mm, or a margin over 51 mm).

    ``title``, ``foot``: what its foot says; the fingerprint and whether it is corrected are taken from ``foot``.
    ``sheet``, ``page``: the sheet's id, "" for a page that is none, and its page; ``label``: the page's own name.
    """
    size = floor(paper.width * TENTH + 1e-6), floor(paper.height * TENTH + 1e-6)
    margin = ceil(paper.margin * TENTH - 1e-6)
    if max(size) >= 1 << 14 or margin >= 1 << 9:
        return None
    scale = title.casefold() == SCALE
    numbered = bool(_SHEET.fullmatch(sheet)) and int(sheet[1:]) < 1 << 10 and page < 1 << 9
    words = _CORRECTED.sub(" ", foot)  # a printer may be called as a fingerprint looks
    return PageCode(
        size[0] / TENTH,
        size[1] / TENTH,
        margin / TENTH,
        sheet if numbered and not scale else "",
        page if numbered and not scale else 0,
        0 if numbered or scale else tag_of(label),
        scale,
        (_PRINT.findall(words) or [""])[-1],
        bool(_CORRECTED.search(foot)),
    )


def tag_of(label: str) -> int:
    """Nineteen bits that tell one page's name from another's."""
    return crc32(label.encode()) & 0x7FFFF


def cells(code: PageCode) -> Cells:
    """``code`` as cells. Each half byte stands as a word of 8 bits that mends one wrong cell and notices two
    (Hamming, Bell System Technical Journal 29 (1950), 147), its bits spread over the square; 16 bits of CRC
    (polynomial x^16 + x^12 + x^5 + 1) over all of it; every second cell is turned over, so that no area is plain."""
    body = _packed(code).to_bytes(12, "big")
    every = body + crc_hqx(body, 0xFFFF).to_bytes(2, "big")
    words = [_WORDS[half] for byte in every for half in (byte >> 4, byte & 15)]
    stream = [words[k % 28] >> (7 - k // 28) & 1 for k in range(224)] + [0]
    turned = [bool(bit) != bool((k // CELLS + k % CELLS) % 2) for k, bit in enumerate(stream)]
    return tuple(tuple(turned[row * CELLS : (row + 1) * CELLS]) for row in range(CELLS))


def read(found: Sequence[Sequence[bool]]) -> PageCode | None:
    """The code that cells show, wrong ones mended; None where they are none of ours."""
    flat = [bool(cell) != bool((r + c) % 2) for r, row in enumerate(found) for c, cell in enumerate(row)]
    if len(flat) != CELLS * CELLS:
        return None
    halves = []
    for k in range(28):
        half = _mended(sum(flat[k + 28 * bit] << (7 - bit) for bit in range(8)))
        if half is None:
            return None
        halves.append(half)
    every = bytes(a << 4 | b for a, b in zip(halves[::2], halves[1::2], strict=True))
    if crc_hqx(every[:12], 0xFFFF) != int.from_bytes(every[12:], "big"):
        return None
    return _unpacked(int.from_bytes(every[:12], "big"))


def _packed(code: PageCode) -> int:
    kind, number = (ord(code.sheet[0]) - 64, int(code.sheet[1:])) if code.sheet else (0, code.tag >> 9)
    if code.scale:
        kind = _SCALE_KIND
    mark = int(code.fingerprint.replace("-", ""), 16) if code.fingerprint else 0
    sizes = (round(size * TENTH) for size in (code.width, code.height, code.margin))
    fields = (_VERSION, kind, number, code.page or code.tag & 0x1FF, mark, int(code.corrected), *sizes)
    value = 0
    for width, field in zip(_WIDTHS, fields, strict=True):
        value = value << width | field
    return value


def _unpacked(value: int) -> PageCode | None:
    version, kind, number, page, mark, corrected, *sizes = _fields(value)
    width, height, margin = (size / TENTH for size in sizes)
    if version != _VERSION or kind > _SCALE_KIND or min(width, height) <= 2.0 * margin:
        return None
    digits = f"{mark:08X}"
    sheet = f"{chr(64 + kind)}{number}" if 0 < kind < _SCALE_KIND else ""
    return PageCode(
        width,
        height,
        margin,
        sheet,
        page if sheet else 0,
        0 if kind else number << 9 | page,
        kind == _SCALE_KIND,
        f"{digits[:4]}-{digits[4:]}" if mark else "",
        bool(corrected),
    )


def _fields(value: int) -> Iterator[int]:
    left = sum(_WIDTHS)
    for width in _WIDTHS:
        left -= width
        yield value >> left & (1 << width) - 1


def _word(half: int) -> int:
    """Four bits with three of parity, and a parity over all: p1 p2 d1 p3 d2 d3 d4 p0."""
    a, b, c, d = (half >> shift & 1 for shift in (3, 2, 1, 0))
    seven = (a ^ b ^ d, a ^ c ^ d, a, b ^ c ^ d, b, c, d)
    return sum(bit << (7 - place) for place, bit in enumerate((*seven, sum(seven) % 2)))


_WORDS = tuple(map(_word, range(16)))


def _mended(word: int) -> int | None:
    """The four bits of a word with at most one wrong bit; None where two are wrong."""
    bits = [word >> (7 - place) & 1 for place in range(8)]
    wrong = 0
    for place, bit in enumerate(bits[:7], 1):
        wrong ^= place * bit
    if sum(bits) % 2:
        if wrong:
            bits[wrong - 1] ^= 1
    elif wrong:
        return None
    return bits[2] << 3 | bits[4] << 2 | bits[5] << 1 | bits[6]
