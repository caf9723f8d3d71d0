"""One step of a stair drawn out to a scale of its own: rise, going, overhang and the angle of the rake."""

from __future__ import annotations

from collections.abc import Callable
from math import atan2, cos, degrees, sin

from jiggen.compose import dimension
from jiggen.compose.dimension import HIGH, OFF
from jiggen.compose.scales import Scale, scales
from jiggen.drawing.lettering import width
from jiggen.drawing.scene import Ink, Pen
from jiggen.job.model import Job, Stair

LEAST = 17.0  # rise, mm of paper, so that its words stand between its ends
TITLE = 4.5
OVER = 9.5  # from the upper nosing to the top of the going's words
RISER = 8.0  # of the lower riser that is drawn
UNDER = 8.0  # from there to the foot of the overhang's words
BESIDE = 34.0  # of the overhang's words, downhill
LANDING = 10.0  # of the upper tread that is drawn

At = Callable[[float, float], tuple[float, float]]
"""From mm of paper off the lower nosing, uphill and up, to the drawing."""


def scale_of(job: Job, stair: Stair) -> Scale:
    """The scale of the step: the smallest at which it can be read."""
    chosen = [scale for scale in scales(job.units) if scale.paper(stair.rise) >= LEAST]
    return chosen[-1] if chosen else scales(job.units)[0]


def room(job: Job, stair: Stair) -> float:
    """Height that the step takes, mm of paper."""
    return TITLE + OVER + scale_of(job, stair).paper(stair.rise) + RISER + UNDER + 2.0


def draw(job: Job, stair: Stair, pen: Pen, top: float, run: str) -> None:
    """Draw the step under ``top``, uphill to the side to which the stair climbs along the run."""
    scale = scale_of(job, stair)
    rise, going, nose = (scale.paper(mm) for mm in (stair.rise, stair.going, stair.overhang))
    way = 1.0 if stair.up else -1.0
    x0 = 1.0 + (BESIDE if stair.up else going + LANDING + 14.0)
    y0 = top - TITLE - OVER - rise
    mean = ", mean of those taped" if stair.rises or stair.goings else ""
    pen.text(1.0, top - HIGH, f"ONE STEP of run {run}, scale {scale.name}{mean}", HIGH, ink=Ink.STRONG)

    def at(x: float, z: float) -> tuple[float, float]:
        return x0 + way * x, y0 + z

    board = min(rise / 2.0, scale.paper(25.0))
    lower = ((nose, -RISER), (nose, -board), (0.0, -board), (0.0, 0.0))
    upper = ((going + nose, 0.0), (going + nose, rise - board), (going, rise - board), (going, rise))
    ring = (*lower, *upper, (going + LANDING, rise))
    pen.path([at(*place) for place in ring], Ink.EDGE, data=(("part", "step"), ("id", run)))
    pen.line(*at(0.0, 0.0), *at(going, rise), Ink.CENTRE)
    _going(job, stair, pen, at, (rise, going))
    _rise(job, stair, pen, at, (rise, going + nose))
    if stair.overhang > 0.05:
        _overhang(job, stair, pen, at, (board, nose), way)
    _angle(pen, at, (rise, going), way)


def _going(job: Job, stair: Stair, pen: Pen, at: At, size: tuple[float, float]) -> None:
    rise, going = size
    a, b = sorted(at(x, 0.0)[0] for x in (0.0, going))
    y = at(0.0, rise + 6.0)[1]
    pen.line(*at(0.0, 1.0), *at(0.0, rise + 7.5), Ink.TICK)
    pen.line(*at(going, rise + 1.0), *at(going, rise + 7.5), Ink.TICK)
    dimension.level(pen, a, b, y, dimension.words(job, stair.going))


def _rise(job: Job, stair: Stair, pen: Pen, at: At, size: tuple[float, float]) -> None:
    rise, riser = size
    far = riser + LANDING + 7.0
    pen.line(*at(riser + LANDING + 1.0, rise), *at(far + 1.5, rise), Ink.TICK)
    pen.line(*at(riser + 1.0, 0.0), *at(far + 1.5, 0.0), Ink.TICK)
    x, bottom = at(far, 0.0)
    dimension.upright(pen, x, bottom, bottom + rise, dimension.words(job, stair.rise))


def _overhang(job: Job, stair: Stair, pen: Pen, at: At, size: tuple[float, float], way: float) -> None:
    """Its two lines and strokes; its words downhill of them, as there is no room between."""
    board, nose = size
    low = -RISER - 4.0
    pen.line(*at(0.0, -board - 1.0), *at(0.0, low - 1.5), Ink.TICK)
    pen.line(*at(nose, -RISER - 1.0), *at(nose, low - 1.5), Ink.TICK)
    tape, metric = dimension.words(job, stair.overhang)
    told = f"overhang {tape}"
    (a, y), (b, _) = at(0.0, low), at(nose, low)
    dimension.bare(pen, min(a, b), max(a, b), y, False, strokes=True)
    long = width(told, HIGH)
    pen.line(a, y, a - way * (long + 2.5), y, Ink.TICK)
    middle = a - way * (long / 2.0 + 1.7)
    pen.text(middle, y + OFF, told, HIGH, "middle")
    if metric:
        pen.text(middle, y - OFF - HIGH, metric, HIGH, "middle")


def _angle(pen: Pen, at: At, size: tuple[float, float], way: float) -> None:
    """The arc from the tread to the nosing line, its degrees uphill of it, over the tread."""
    rise, going = size
    slope, r = atan2(rise, going), 0.35 * going
    turns = [slope * k / 12.0 for k in range(13)]
    pen.path([at(r * cos(turn), r * sin(turn)) for turn in turns], Ink.TICK)
    x, y = at(r + 1.5, 1.2)
    pen.text(x, y, f"{degrees(slope):.2f}°", HIGH, "left" if way > 0.0 else "right")
