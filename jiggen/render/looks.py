"""An ink turned into how it looks: one table a format; widths as ISO 128, black on white."""

from __future__ import annotations

from dataclasses import dataclass, replace

from jiggen.drawing.lettering import pen
from jiggen.drawing.scene import Ink


@dataclass(frozen=True, slots=True)
class Look:
    """``width``: mm, of the ISO 128 series 0.18 0.25 0.35 0.5 0.7 1.0 (0.13 breaks up in a poor printer). ``dash``: mm drawn,
    mm left out, in turn, () for a solid line. ``grey``: 0 black, 1 white."""

    width: float
    dash: tuple[float, ...] = ()
    grey: float = 0.0


LETTERED = frozenset({Ink.NOTE, Ink.STRONG, Ink.DRAFT})
FILLED = frozenset({Ink.SOLID, Ink.PALE})

# Dashes are our choice within ISO 128's kinds of line: dashed, long-dashed dotted.
PDF: dict[Ink, Look] = {
    Ink.DRILL: Look(0.35),
    Ink.CROSS: Look(0.25),
    Ink.DATUM: Look(1.0),
    Ink.CUT: Look(0.35, (5.0, 1.5)),
    Ink.FOLD: Look(0.25, (6.0, 1.5, 0.5, 1.5)),
    Ink.EDGE: Look(0.5),
    Ink.CENTRE: Look(0.18, (9.0, 1.2, 0.5, 1.2)),
    Ink.FITTING: Look(0.35, (), 0.35),
    Ink.HIDDEN: Look(0.25, (2.4, 1.0)),
    Ink.HATCH: Look(0.18),
    Ink.TICK: Look(0.18),
    Ink.JOIN: Look(0.35),
    Ink.NOTE: Look(0.2),
    Ink.STRONG: Look(0.35),
    Ink.SOLID: Look(0.18),
    Ink.PALE: Look(0.18, (), 0.85),
    Ink.DRAFT: Look(0.7, (), 0.7),
    Ink.SCORE: Look(0.25),
    Ink.ENGRAVE: Look(0.18),
}

SVG: dict[Ink, Look] = dict(PDF)

# A laser or router follows the line whatever its width; 0.1 mm still shows on a screen, 0 would not.
SHOP: dict[Ink, Look] = {ink: replace(look, width=0.1, dash=(), grey=0.0) for ink, look in PDF.items()}

DRAFT_RIM = 0.8  # grey rim on both sides of an outlined letter, mm


def pen_width(ink: Ink, height: float) -> float:
    """Stroke width of lettering with capitals ``height`` mm high.

    A tenth of the height, at least 0.2 mm (ISO 3098 type B: 1/10 h); STRONG an eighth, DRAFT a sixth.
    """
    if ink is Ink.STRONG:
        return max(0.2, height / 8.0)
    if ink is Ink.DRAFT:
        return max(2.5 * DRAFT_RIM, height / 6.0)
    return max(0.2, pen(height))
