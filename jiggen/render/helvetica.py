"""A text turned into its width in Helvetica, for the layer of a page that is searched and not seen."""

from __future__ import annotations

from unicodedata import normalize

CAPITAL = 0.718  # height of a capital, em: CapHeight in Adobe's metrics of Helvetica, from memory

# Advance widths in 1/1000 em, Adobe's metrics of Helvetica, from memory; the layer is never drawn, a wrong
# width would only shift the selection inside a word.
_WIDTHS = {
    **dict.fromkeys("ijl'", 222),
    **dict.fromkeys(" !,./:;\\[]ft|I", 278),
    **dict.fromkeys("r()-`", 333),
    **dict.fromkeys("*", 389),
    **dict.fromkeys('"', 355),
    **dict.fromkeys("ckJsvxyz", 500),
    **dict.fromkeys("0123456789abdeghnopqu?_#$L", 556),
    **dict.fromkeys("+<=>~", 584),
    **dict.fromkeys("FTZ", 611),
    **dict.fromkeys("&ABEKPSVXY", 667),
    **dict.fromkeys("CDHNRUw", 722),
    **dict.fromkeys("GOQ", 778),
    **dict.fromkeys("mM", 833),
    **dict.fromkeys("%", 889),
    **dict.fromkeys("W", 944),
    **dict.fromkeys("@", 1015),
}


def width_of(words: str) -> float:
    """Width of ``words`` at size 1, em; an accented letter counts as its plain one."""
    total = 0
    for character in words:
        known = _WIDTHS.get(character)
        total += known if known is not None else _WIDTHS.get(normalize("NFKD", character)[0], 556)
    return total / 1000.0
