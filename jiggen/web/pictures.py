"""A Plan turned into the pictures of the page: elevations and plan view, cut to what is drawn; a jig and its panels."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, TypeGuard

from jiggen.build.model import Made
from jiggen.compose.assembly import assembly
from jiggen.compose.elevation import elevations
from jiggen.compose.jig import operations
from jiggen.compose.planview import plan_view
from jiggen.drawing.scene import Drawing, Ink, Path, Shape, Text
from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.render.shop import shop_svg
from jiggen.render.svg import svg
from jiggen.sheets.extent import extent, moved

NARROW, WIDE = 90.0, 300.0  # mm of drawing that a screen may ask for
TALL = 1.15  # of the width: the room a drawing may take; what is empty is cut off
RIM = 2.0  # mm left clear around
TITLE = 10.0  # a page's own title, which the page's tabs say
LEAST_PLAN = 130.0  # mm; on less the names of runs meet
ASSEMBLY = (190.0, 250.0)  # mm, about a page's
EDGE = 1.0  # where words begin on a drawing

SCALE = re.compile(r"(^| )Scale [^,]*?1:[0-9.]+\)?[,.] ")  # true on paper, not on a screen

Picture = dict[str, str]  # "svg": the drawing, "words": what stood beside it


def width_of(asked: object) -> float:
    """The width of drawings in mm from what a screen asked for, within what can be read."""
    number = (
        float(asked) if isinstance(asked, int | float) and not isinstance(asked, bool) and asked == asked else 190.0
    )
    return min(max(number, NARROW), WIDE)


def run_pictures(plan: Plan, problems: Sequence[Problem], wide: float) -> list[list[Picture]]:
    """For each run its elevation, more than one picture where it is told in parts."""
    found = []
    for line in plan.runs:
        alone = replace(plan, runs=(line,))
        pages = elevations(alone, problems, (wide, max(wide * TALL, 120.0)))
        found.append([_picture(page) for page in pages])
    return found


def plan_picture(plan: Plan, problems: Sequence[Problem], wide: float) -> Picture:
    """The plan view."""
    room = max(wide, LEAST_PLAN)
    return _picture(plan_view(plan, problems, (room, room * 0.8)))


def jig_pictures(plan: Plan, made: Made) -> dict[str, Any]:
    """A jig's name, what is said of its panels, its assembly page and each panel as SVG text with its size in mm."""
    jig, layout = made.jig, made.layout
    colours = operations(jig.wish)
    pages = [("How it goes together", assembly(plan, jig, ASSEMBLY, layout.words(plan.job)))]
    pages += [(f"Panel {number}", drawing) for number, drawing in enumerate(layout.drawings, 1)]
    cut = [svg(pages[0][1]), *(shop_svg(drawing, colours) for _, drawing in pages[1:])]
    shown = [
        {"name": name, "svg": text.decode().partition("\n")[2], "width_mm": drawing.width, "height_mm": drawing.height}
        for (name, drawing), text in zip(pages, cut, strict=True)
    ]
    return {
        "id": jig.id,
        "title": jig.title,
        "words": layout.words(plan.job),
        "notes": list(jig.notes),
        "pictures": shown,
    }


def _picture(drawing: Drawing) -> Picture:
    """The drawing without its title, its words told apart, cut to what is left; the page sets words in its own letters."""
    body = [shape for shape in drawing.shapes if extent(shape)[3] < drawing.height - TITLE]
    words = [shape for shape in body if _is_words(shape)]
    kept = [shape for shape in body if not _is_words(shape) and not _is_leader(shape)] or body
    boxes = [extent(shape) for shape in kept]
    left, low = min(box[0] for box in boxes) - RIM, min(box[1] for box in boxes) - RIM
    right, high = max(box[2] for box in boxes) + RIM, max(box[3] for box in boxes) + RIM
    cut = Drawing(right - left, high - low, tuple(moved(shape, -left, -low) for shape in kept), drawing.title)
    said = SCALE.sub(lambda told: ", " if told[1] else "", " ".join(shape.text for shape in words))
    return {"svg": svg(cut).decode().partition("\n")[2], "words": said}


def _is_words(shape: Shape) -> TypeGuard[Text]:
    """Lines of words begin at the drawing's left edge; lettering of the drawing itself stands elsewhere."""
    return isinstance(shape, Text) and shape.align == "left" and shape.at.x == EDGE


def _is_leader(shape: Shape) -> bool:
    """The bent line from the words to what they speak of, which would end in the empty now."""
    return isinstance(shape, Path) and shape.ink is Ink.TICK and not shape.closed and len(shape.points) == 3
