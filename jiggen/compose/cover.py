"""A Plan and its problems turned into the packet's first page: what this is, what must be decided, how to print."""

from __future__ import annotations

from collections.abc import Sequence
from math import degrees

from jiggen.compose.lettering import both, paragraph
from jiggen.compose.panel import CAUTIONS
from jiggen.drawing.lettering import fitted
from jiggen.drawing.scene import Drawing, Ink, Pen
from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Problem

PRINTING = (
    "Print this file, not a picture of it, at 100 % or actual size, one-sided, without fit to page.",
    "Check the scale page first, then 0 to 100 on every page's rulers, both ways, with the tape you work with.",
    "Lay the real fittings on the sheet 'is this your fitting?' and drill the practice sheet into an offcut.",
    "Cut, lay page on page where the numbers of the marks agree, tape, and check the rulers across the joins.",
)


def cover(plan: Plan, problems: Sequence[Problem], size: tuple[float, float], sheets: Sequence[str]) -> Drawing:
    """The cover, ``size`` mm. ``sheets``: a line for each sheet in the packet."""
    width, height = size
    pen = Pen()
    y = height - 2.0
    for words, high in ((plan.job.name, 9.0), (f"{plan.job.rules.title}   {plan.fingerprint}", 4.0)):
        capital = fitted(words, high, width - 4.0, 3.0)
        pen.text(2.0, y - capital, words, capital, ink=Ink.STRONG)
        y -= capital + 4.0
    y = _part(pen, y, width, "RUNS", [_run_words(plan, line) for line in plan.runs])
    y = _part(pen, y, width, "SHEETS", sheets)
    y = _part(pen, y, width, "PRINT AND CHECK", PRINTING)
    y = _part(pen, y, width, "CAUTIONS", CAUTIONS)
    told = [f"{p.level.upper()}: {p.where}: {p.found}; {p.remedy}. {p.source}".rstrip() for p in problems]
    _part(pen, y, width, "TO DECIDE AND TO KNOW", told or ["Nothing was found."], least=12.0)
    return pen.drawing(width, height, plan.job.name)


def _part(pen: Pen, y: float, width: float, title: str, lines: Sequence[str], least: float = 0.0) -> float:
    """A title and its lines; what has no room is counted instead of drawn."""
    y -= 2.0
    pen.text(2.0, y - 4.0, title, 4.0, ink=Ink.STRONG)
    pen.line(2.0, y - 5.6, width - 2.0, y - 5.6, Ink.TICK)
    y -= 8.0
    for index, words in enumerate(lines):
        if y < 14.0 + least / 4.0:
            pen.text(2.0, y - 3.0, f"and {len(lines) - index} more: jiggen plan tells them", 3.0)
            return y - 6.0
        y = paragraph(pen, 2.0, y, words, 3.0, width - 4.0, 4.0) - 0.8
    return y


def _run_words(plan: Plan, line: RunLine) -> str:
    slope = f", rake {degrees(line.rake):+.2f}°" if line.rake else ", level"
    return (
        f"{line.id}: posts {' '.join(line.posts)}{slope}; {len(line.drops)} cables every "
        f"{both(plan.job, line.spacing)}; guard {both(plan.job, line.height)} high"
    )
