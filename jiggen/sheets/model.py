"""A sheet and the pages it is cut into: sizes and places in mm, y up, origin at the lower left."""

from __future__ import annotations

from dataclasses import dataclass

from jiggen.drawing.scene import Drawing, Shape


@dataclass(frozen=True, slots=True)
class Paper:
    """One piece of paper, portrait. ``margin``: what the printer cannot reach, on all four sides, mm."""

    name: str
    width: float
    height: float
    margin: float


@dataclass(frozen=True, slots=True)
class Keep:
    """A place on a sheet that a join must miss: lower left and upper right corner, and how much it matters.

    ``weight``: 2 for a hole, 1 for the outline of a fitting or bracket, 0 for lettering.
    """

    left: float
    bottom: float
    right: float
    top: float
    weight: int = 2


@dataclass(frozen=True)
class Sheet:
    """One true-scale drawing of any size, before it is cut into pages.

    ``drawing``: lower left at (0, 0). ``keeps``: what joins should miss. ``name``: for the page's foot
    ("POST 3  TOWARD 4"). ``breaks``: heights at which a page may best end (a cut line of the sheet).
    ``folds``: x of folds, where columns of pages are joined if they can be. ``seats``: for each face drawn its id and where its centre line meets its datum line.
    ``spare``: left, bottom, right, top of areas whose lines the work can do without: no page is printed for them alone.
    """

    id: str
    name: str
    drawing: Drawing
    keeps: tuple[Keep, ...] = ()
    breaks: tuple[float, ...] = ()
    seats: tuple[tuple[str, float, float], ...] = ()
    folds: tuple[float, ...] = ()
    spare: tuple[tuple[float, float, float, float], ...] = ()


@dataclass(frozen=True)
class Page:
    """One piece of paper with what is drawn on it.

    ``shapes``: in page coordinates (origin at the paper's lower left corner), furniture such as the foot
    and the page's rulers included. ``window``: left, bottom, right, top of the part of the sheet that
    is shown, in page coordinates; shapes of the sheet are already clipped to it or must be clipped to it
    when rendered (``content``). ``shift``: page coordinates = sheet coordinates + shift. ``rulers``: whether
    the page carries the rulers of its paper (``furniture.common``), which are not among its shapes. ``stamp``: the right end of the
    base line where a packet writes which of its pages this is. ``boxes``: round each shape of ``content``, () where
    nobody has worked them out.
    """

    paper: Paper
    label: str
    content: tuple[Shape, ...]
    window: tuple[float, float, float, float]
    shapes: tuple[Shape, ...] = ()
    shift: tuple[float, float] = (0.0, 0.0)
    sheet: str = ""
    column: int = 0
    row: int = 0
    rulers: bool = False
    stamp: tuple[float, float] | None = None
    boxes: tuple[tuple[float, float, float, float], ...] = ()
