"""A paper's name or size turned into a Paper, and a Paper into the room that it leaves for drawings."""

from __future__ import annotations

from math import isfinite

from jiggen.handbook import papers
from jiggen.sheets.model import Paper
from jiggen.units import MM_PER_INCH

SIDE = 7.0  # strip with a vertical ruler, on the left and on the right
RULER = 8.0  # strip with the horizontal ruler
HEAD = 6.5  # strip of a page without rulers, for the squares in its upper corners
FOOT = 12.0  # name, place and fingerprint of a page
LEAST = (60.0, 80.0)

Box = tuple[float, float, float, float]


def paper(wanted: str | tuple[float, float], margin: float = MM_PER_INCH / 2) -> Paper:
    """The paper of a name in the handbook or of a size (width, height) in mm, turned to portrait.

    ``margin``: mm, on all four sides. Raises ValueError for an unknown name, a size or margin that is no
    length, and margins that leave a window under 60 x 80 mm.
    """
    if isinstance(wanted, str):
        name = wanted.casefold().strip()
        known = papers.paper(name)
        if known is None:
            raise ValueError(f"no paper is called {wanted!r}; known are {', '.join(papers.names())}")
        size = known
    else:
        size = wanted
        name = f"{wanted[0]:g} x {wanted[1]:g} mm"
    if not all(isfinite(length) and length > 0.0 for length in size) or not isfinite(margin) or margin < 0.0:
        raise ValueError(f"paper {name} with a margin of {margin:g} mm has no sense")
    sheet = Paper(name, min(size), max(size), margin)
    width, height = usable(sheet)
    if width < LEAST[0] or height < LEAST[1]:
        raise ValueError(
            f"paper {name} with a margin of {margin:g} mm leaves"
            f" {max(width, 0.0):.1f} x {max(height, 0.0):.1f} mm; a page needs {LEAST[0]:g} x {LEAST[1]:g} mm"
        )
    return sheet


def window(paper: Paper) -> Box:
    """Left, bottom, right, top of the part of a page that shows a sheet: mm, page coordinates."""
    edge = paper.margin
    return (edge + SIDE, edge + FOOT + RULER, paper.width - edge - SIDE, paper.height - edge)


def usable(paper: Paper) -> tuple[float, float]:
    """Width and height of ``window(paper)``, mm: a sheet of this size fits one page."""
    left, bottom, right, top = window(paper)
    return (right - left, top - bottom)


def bare_window(paper: Paper) -> Box:
    """Left, bottom, right, top of a page that has a foot and no rulers: mm, page coordinates."""
    edge = paper.margin
    return (edge, edge + FOOT, paper.width - edge, paper.height - edge - HEAD)


def bare(paper: Paper) -> tuple[float, float]:
    """Width and height of ``bare_window(paper)``, mm."""
    left, bottom, right, top = bare_window(paper)
    return (right - left, top - bottom)
