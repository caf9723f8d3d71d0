"""Jobs turned into the drawn pages of a packet, and a drawing into its words and named shapes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from itertools import combinations, pairwise
from math import cos, hypot, sin
from pathlib import Path

from packets import JOBS, PROJECT

from jiggen.compose.contents import contents
from jiggen.compose.cover import cover
from jiggen.compose.elevation import elevations
from jiggen.compose.form import form
from jiggen.compose.planview import plan_view
from jiggen.compose.schedules import findings, schedules
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Drawing, Ink, Line, Shape, Text
from jiggen.drawing.scene import Path as Way
from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.plan.model import Plan
from jiggen.problems import Problem
from jiggen.review import review
from jiggen.sheets.paper import bare, paper

FILES: dict[str, Path] = {
    "demo": PROJECT / "jiggen" / "job" / "demo.toml",
    "demo_all": PROJECT / "jiggen" / "job" / "demo_all.toml",
    **{
        name: JOBS / f"{name}.toml"
        for name in (
            "smallest",
            "metric",
            "stair-up",
            "ramp",
            "corner-45-bisect",
            "rail-over-posts",
            "wide-post",
            "led-on-bay",
        )
    },
}
NAMES = tuple(FILES)
DRAWN = (*NAMES, "example", "height-line", "deck-datum")
FILES.update({name: JOBS / f"{name}.toml" for name in DRAWN[-3:]})

Size = tuple[float, float]


@cache
def planned(name: str) -> tuple[Plan, tuple[Problem, ...]]:
    """A job's plan and everything that was found in it."""
    plan = make_plan(read_job(FILES[name].read_text(encoding="utf-8"), name))
    return plan, (*plan.problems, *review(plan))


@cache
def size_of(name: str) -> Size:
    """The room of a page without rulers."""
    return bare(paper(name))


@cache
def pages(name: str, on: str) -> tuple[tuple[str, Drawing], ...]:
    """Every page of a job that carries no true-scale sheet, with the name of its part."""
    plan, problems = planned(name)
    size = size_of(on)
    found = [("cover", cover(plan, problems, size)), ("plan view", plan_view(plan, problems, size))]
    found += [("findings", drawing) for drawing in findings(plan, problems, size)]
    found += [("elevations", drawing) for drawing in elevations(plan, problems, size)]
    for section in schedules(plan, problems, size):
        found += [(section.name, drawing) for drawing in section.drawings]
    found += [("form", drawing) for drawing in form(plan, problems, size)]
    parts = [(part, 1) for part, _ in found]
    found += [("contents", drawing) for drawing in contents(plan, problems, size, parts)]
    return tuple(found)


def texts(drawing: Drawing) -> list[Text]:
    return [shape for shape in drawing.shapes if isinstance(shape, Text) and shape.text.strip()]


def words(drawings: Iterable[Drawing]) -> list[str]:
    """Every word of the drawings, in the order in which they were written."""
    return [word for drawing in drawings for text in texts(drawing) for word in text.text.split()]


def named(shapes: Iterable[Shape], part: str) -> Iterator[tuple[str, Line | Way]]:
    """The lines and outlines that are drawn as ``part``, each with its id."""
    for shape in shapes:
        if isinstance(shape, Line | Way) and dict(shape.data).get("part") == part:
            yield dict(shape.data).get("id", ""), shape


def corners(text: Text) -> list[tuple[float, float]]:
    """The rectangle that a word's capitals fill, turned as it is: lower left, lower right, upper right, upper left."""
    long = width(text.text, text.height)
    left = {"left": 0.0, "middle": -long / 2.0, "right": -long}[text.align]
    c, s = cos(text.angle), sin(text.angle)
    flat = ((left, 0.0), (left + long, 0.0), (left + long, text.height), (left, text.height))
    return [(text.at.x + x * c - y * s, text.at.y + x * s + y * c) for x, y in flat]


def apart(one: list[tuple[float, float]], other: list[tuple[float, float]], by: float = 0.0) -> bool:
    """Whether two convex rings (or a ring and a line) are ``by`` apart along a normal of one of their sides."""
    for ring in (one, other):
        for (ax, ay), (bx, by_) in zip(ring, [*ring[1:], ring[0]], strict=True):
            size = hypot(bx - ax, by_ - ay)
            if size < 1e-9:
                continue
            nx, ny = (by_ - ay) / size, (ax - bx) / size
            first = [x * nx + y * ny for x, y in one]
            second = [x * nx + y * ny for x, y in other]
            if min(first) >= max(second) + by or min(second) >= max(first) + by:
                return True
    return False


def thin(shapes: Iterable[Shape]) -> Iterator[list[tuple[float, float]]]:
    """Dimension lines, extension lines and leaders, piece by piece."""
    for shape in shapes:
        if isinstance(shape, Line) and shape.ink in (Ink.TICK, Ink.HATCH, Ink.CENTRE):
            yield [(shape.start.x, shape.start.y), (shape.end.x, shape.end.y)]
        if isinstance(shape, Way) and shape.ink is Ink.TICK and not shape.data:
            for a, b in pairwise(shape.points):
                yield [(a.x, a.y), (b.x, b.y)]


def faults(drawing: Drawing) -> list[str]:
    """Words on words, and words that a dimension line, extension line or leader crosses."""
    words = [(corners(text), text.text) for text in drawing.shapes if isinstance(text, Text) and text.text.strip()]
    found = [f"{a} / {b}" for (one, a), (other, b) in combinations(words, 2) if not apart(one, other)]
    lines = list(thin(drawing.shapes))
    return found + [f"{a} crossed at {line}" for ring, a in words for line in lines if not apart(ring, line)]
