"""A Plan and its problems turned into the packet's first page: the job, its plan view, what to decide, what to do in which order."""

from __future__ import annotations

from collections.abc import Sequence
from math import degrees

from jiggen.compose.lettering import both
from jiggen.compose.panel import CAUTIONS
from jiggen.compose.planview import draw_plan
from jiggen.compose.space import Box
from jiggen.compose.tables import cut_words
from jiggen.drawing.lettering import fitted
from jiggen.drawing.scene import Drawing, Ink, Pen
from jiggen.plan.model import Plan, RunLine
from jiggen.plan.pulls import STRENGTH
from jiggen.problems import Problem
from jiggen.told import MOST, how_many, listed, told

PRINTING = (
    "Print this file, not a picture of it, at 100 % or actual size, one-sided, without fit to page.",
    "Check the scale page first, then 0 to 100 on every page's rulers, both ways, with the tape you work with.",
    "Lay page on page where the numbers of the marks agree, tape, and check the rulers across the joins.",
)
ORDER = (
    "Decide what stands below; fill in the measure-up form; correct the job file and make the packet again.",
    "Print, and prove the printer with the scale page.",
    "Lay the real fittings on the sheet 'is this your fitting?', drill the practice sheet into an offcut.",
    "Seat the first sheet, measure from its datum to the last mark, then drill. Tick the post off.",
    "Fix rails, cut and feed cables, tension in the order given, fill in the log.",
    "Let it be inspected; leave the care card with the owner.",
)
SMALL, PITCH = 2.5, 3.9
PICTURE = (110.0, 136.0)  # of the picture for a message, mm
MOST_RUNS = 5  # that it names
LEVELS = (("stop", "STOP: must be cured"), ("check", "CHECK: somebody decides"), ("note", "NOTE: worth knowing"))


def cover(plan: Plan, problems: Sequence[Problem], size: tuple[float, float], sheets: Sequence[str] = ()) -> Drawing:
    """The cover, ``size`` mm. ``sheets``: a line for each sheet in the packet, drawn where room is left."""
    width, height = size
    pen = Pen()
    y = height - 1.0
    for words, high in ((plan.job.name, 9.0), (f"{plan.job.rules.title}   {plan.fingerprint}", 3.5)):
        capital = fitted(words, high, width - 2.0, 2.5)
        for line in cut_words(words, capital, width - 2.0)[:3]:
            pen.text(1.0, y - capital, line, capital, ink=Ink.STRONG)
            y -= capital + 3.0
    for line in cut_words(STRENGTH, SMALL, width - 2.0):
        pen.text(1.0, y - SMALL, line, SMALL, ink=Ink.STRONG)
        y -= PITCH
    y = _part(pen, 0.0, y - 2.0, width, "RUNS", _runs(plan), y - 30.0)
    bottom = y - 0.34 * height
    draw_plan(plan, pen, Box(0.0, bottom, width, y))
    half = (width - 4.0) / 2.0
    numbered = [f"{number}. {words}" for number, words in enumerate(ORDER, 1)]
    left = _part(pen, 0.0, bottom - 1.0, half, "IN THIS ORDER", numbered)
    right = _part(pen, half + 4.0, bottom - 1.0, half, "PRINT AND CHECK", PRINTING)
    right = _part(pen, half + 4.0, right, half, "CAUTIONS", CAUTIONS[:-1])  # what the last one says stands first
    y = _problems(pen, min(left, right), width, problems)
    if sheets and y > 22.0:
        _part(pen, 0.0, y, width, "SHEETS", sheets, 2.0)
    return pen.drawing(width, height, plan.job.name)


def _part(pen: Pen, x: float, y: float, wide: float, title: str, lines: Sequence[str], least: float = 0.0) -> float:
    """A title and its lines down to ``least``; what has no room is counted. Returns y under it."""
    pen.text(x + 1.0, y - 3.5, title, 3.5, ink=Ink.STRONG)
    pen.line(x + 1.0, y - 4.8, x + wide - 1.0, y - 4.8, Ink.TICK)
    y -= 6.4
    for index, words in enumerate(lines):
        cut = cut_words(words, SMALL, wide - 5.0)
        more = PITCH if index + 1 < len(lines) else 0.0
        if y - PITCH * len(cut) - more < least:
            left = f"and {len(lines) - index} more" if index else "all of them"
            pen.text(x + 1.0, y - SMALL, f"{left}, further on", SMALL)
            return y - PITCH - 2.0
        for number, line in enumerate(cut):
            pen.text(x + (4.0 if number else 1.0), y - SMALL, line, SMALL)
            y -= PITCH
        y -= 0.3
    return y - 2.0


def _problems(pen: Pen, y: float, width: float, problems: Sequence[Problem]) -> float:
    """What is told of the problems by level, each with its remedy, as many as there is room for; the rest is counted."""
    if not problems:
        return _part(pen, 0.0, y, width, "TO DECIDE AND TO KNOW", ["Nothing was found."])
    for level, title in LEVELS:
        every = told(p for p in problems if p.level == level)
        if not every:
            continue
        if y < 18.0:
            pen.text(1.0, y - SMALL, f"{title}: {how_many(every)}, further on", SMALL, ink=Ink.STRONG)
            y -= PITCH
            continue
        words = [f"{one.place}: {one.found}; {one.remedy}. {one.source}".rstrip() for one in every]
        rest = sum(any(p.level == name for p in problems) for name, _ in LEVELS[_place(level) + 1 :])
        y = _part(pen, 0.0, y, width, f"{title} ({how_many(every)})", words, 2.0 + rest * PITCH)
    return y


def _place(level: str) -> int:
    return [name for name, _ in LEVELS].index(level)


def _runs(plan: Plan) -> list[str]:
    """What each run is; runs of which the same is said told together, with how many posts each has."""
    alike: dict[tuple[int, str], list[RunLine]] = {}
    for line in plan.runs:
        alike.setdefault((len(line.posts), _run_words(plan, line)), []).append(line)
    return [f"{_named(lines)}{words}" for (_, words), lines in alike.items()]


def _named(lines: Sequence[RunLine]) -> str:
    """A run with its posts, or runs with how many posts each has."""
    posts = lines[0].posts
    if len(lines) > 1:
        return f"{listed([line.id for line in lines], MOST)}: {len(posts)} posts each"
    return (
        f"{lines[0].id}: posts {', '.join(posts) if len(posts) <= 12 else f'{posts[0]} to {posts[-1]} ({len(posts)})'}"
    )


def _run_words(plan: Plan, line: RunLine) -> str:
    slope = f", rake {degrees(line.rake):+.2f}°" if line.rake else ", level"
    return (
        f"{slope}; {len(line.drops)} cables every {both(plan.job, line.spacing)}; guard "
        f"{both(plan.job, line.height)} high"
    )


def picture(plan: Plan) -> Drawing:
    """One picture for a message: the job's name, what each run is, the plan view; to be read on a phone, 4 pixels a mm."""
    width, height = PICTURE
    pen = Pen()
    y = height - 4.0
    for line in cut_words(plan.job.name, 7.0, width - 8.0)[:2]:
        pen.text(4.0, y - 7.0, line, 7.0, ink=Ink.STRONG)
        y -= 10.0
    pen.text(4.0, y - 3.5, plan.fingerprint, 3.5)
    y -= 7.0
    for number, run in enumerate(plan.runs):
        if number == MOST_RUNS and len(plan.runs) > MOST_RUNS + 1:
            pen.text(4.0, y - 3.0, f"and {len(plan.runs) - MOST_RUNS} runs more", 3.0)
            break
        slope = f", rake {degrees(run.rake):+.1f}°" if run.rake else ""
        words = f"{run.id}: {len(run.posts)} posts, {len(run.drops)} cables, guard {both(plan.job, run.height)}{slope}"
        pen.text(4.0, y - 3.0, words, fitted(words, 3.0, width - 8.0, 2.3))
        y -= 5.0
    draw_plan(plan, pen, Box(3.0, 2.0, width - 3.0, y - 4.0))
    return pen.drawing(width, height, plan.job.name)
