"""Every pattern of a job turned into one sheet to lay the real fittings and brackets on."""

from __future__ import annotations

from collections.abc import Mapping
from math import atan2, cos, inf, pi, sin

from jiggen.compose.bench import NARROWEST, WIDEST, Room
from jiggen.compose.body import ARM
from jiggen.compose.clear import JOINED
from jiggen.compose.lettering import both, paragraph
from jiggen.compose.sideview import SideView, draw_side, layers_of, side_view
from jiggen.drawing.lettering import fitted
from jiggen.drawing.scene import Data, Ink, Pen, Text
from jiggen.job.model import Bracket, Fitting, Job
from jiggen.plan.model import Mark, Outline, Plan, Sample
from jiggen.plan.samples import BETWEEN, GAP, front_half, side_half, side_room
from jiggen.plan.words import nominal
from jiggen.sheets.extent import extent
from jiggen.sheets.model import Keep, Sheet
from jiggen.sheets.tiling import upright_joins

HEAD = 33.0
LAY = (
    "Lay the real piece on its outline and on its side view: edges, screw holes, pivot and cable end must agree. "
    "If anything is off, measure it, correct the job file and print again. Do not drill from the other sheets until it fits."
)


def fitting_sheet(plan: Plan, sample: Sample, room: Room) -> Sheet:
    """The sheet "is this your fitting?". ``room``: what one page shows; of a sheet that takes several columns of pages the
    words stand on the first."""
    sheet = _sheet(plan, sample, room.width, inf)
    joins = upright_joins(sheet, room.width, room.overlap)
    return _sheet(plan, sample, room.width, joins[0].at - JOINED) if joins else sheet


def _sheet(plan: Plan, sample: Sample, room: float, end: float) -> Sheet:
    """The sheet for pages that show ``room`` mm of its width, its words no farther than ``end`` from its left edge."""
    face, job = sample.face, plan.job
    views = [None if outline.purpose == "ring" else _view(plan, outline, room - 8.0) for outline in face.outlines]
    width = max(min(room, WIDEST), NARROWEST, *(view.width + 8.0 for view in views if view))
    told = min(end, width - 2.0)
    low = min(_foot(job, outline) for outline in face.outlines)
    seat_y = -low + 4.0
    height = seat_y + HEAD
    pen = Pen()
    centre = 8.0 + face.frame.width / 2.0
    data: Data = (("face", face.id),)
    name = "IS THIS YOUR FITTING?"
    pen.text(2.0, height - 12.0, name, fitted(name, 10.0, told - 2.0, 4.0), ink=Ink.STRONG)
    paragraph(pen, 2.0, height - 16.0, LAY, 3.0, told - 2.0)
    pen.line(2.0, seat_y, width - 2.0, seat_y, Ink.TICK, (("line", "datum"), *data))
    first = face.outlines[0]
    pen.line(centre, seat_y + first.v - first.up / 2.0, centre, seat_y, Ink.CENTRE, (("line", "centre"), *data))
    keeps: list[Keep] = []
    breaks: list[float] = []
    for outline, view in zip(face.outlines, views, strict=True):
        x, y = centre + outline.u, seat_y + outline.v
        if outline is not first:
            pen.line(x, y - outline.up / 2.0 - 2.0, x, y + outline.up / 2.0 + 2.0, Ink.CENTRE)
        _pattern(job, pen, outline, centre, seat_y, told)
        top = y - front_half(outline)
        foot = seat_y + _foot(job, outline)
        if view is not None:
            draw_side(job, pen, view, 4.0, top)
            keeps.append(Keep(4.0, foot, 4.0 + view.width, top - BETWEEN, 1))
        breaks.append(foot - GAP / 2.0)
    keeps += [_hole(pen, mark, centre, seat_y, data) for mark in face.marks]
    keeps += [_around(outline, centre, seat_y) for outline in face.outlines]
    texts = (extent(shape) for shape in pen.shapes if isinstance(shape, Text))
    keeps += [Keep(*box, 0) for box in texts]
    drawing = pen.drawing(width, height, "Is this your fitting?")
    return Sheet(
        sample.group.id,
        "IS THIS YOUR FITTING?",
        drawing,
        tuple(keeps),
        tuple(breaks[:-1]),
        ((face.id, centre, seat_y),),
    )


def _view(plan: Plan, outline: Outline, room: float) -> SideView:
    job = plan.job
    pieces: Mapping[str, Fitting | Bracket] = job.brackets if outline.purpose == "bracket" else job.fittings
    layers = next(
        layers_of(post.kind, post.prism.depth(face.frame.normal))
        for post in plan.posts
        for face in post.faces
        if any(o.what == outline.what and o.purpose == outline.purpose for o in face.outlines)
    )
    return side_view(pieces[outline.what], outline.up, side_half(job, outline), room, layers)


def _foot(job: Job, outline: Outline) -> float:
    """v of the lowest dimension of a piece's side view, which stands under its pattern."""
    return outline.v - front_half(outline) - side_room(job, outline)


def _around(outline: Outline, centre: float, seat_y: float) -> Keep:
    """What a join should miss of a piece's outline."""
    x, y, across, up = centre + outline.u, seat_y + outline.v, outline.across / 2.0, outline.up / 2.0
    return Keep(x - across, y - up, x + across, y + up, 1)


def _hole(pen: Pen, mark: Mark, centre: float, seat_y: float, data: Data) -> Keep:
    x, y, r = centre + mark.u, seat_y + mark.v, mark.diameter / 2.0
    short, long = mark.oval
    angle = atan2(mark.axis.y, mark.axis.x) if long > short + 1e-9 else 0.0
    pen.oval(x, y, long / 2.0, r, Ink.DRILL, angle, (("mark", mark.id), *data))
    arm = r + ARM
    pen.line(x - arm, y, x + arm, y, Ink.CROSS)
    pen.line(x, y - arm, x, y + arm, Ink.CROSS)
    return Keep(x - r, y - r, x + r, y + r, 2)


def _pattern(job: Job, pen: Pen, outline: Outline, centre: float, seat_y: float, end: float) -> None:
    """The outline of one piece, its name and figures beside it up to ``end``, a box to tick."""
    x, y = centre + outline.u, seat_y + outline.v
    if outline.purpose == "ring":
        turns = (2.0 * pi * k / 72 for k in range(72))
        rim = [(x + outline.across / 2.0 * cos(turn), y + outline.up / 2.0 * sin(turn)) for turn in turns]
        pen.path(rim, Ink.FITTING, True)
    else:
        pen.box(
            x - outline.across / 2.0,
            y - outline.up / 2.0,
            x + outline.across / 2.0,
            y + outline.up / 2.0,
            Ink.FITTING,
        )
    left = centre * 2.0 + 4.0
    room = end - left
    top = min(y + outline.up / 2.0, y + 18.0)
    pen.box(left, top - 4.5, left + 4.5, top, Ink.TICK)
    name = outline.what.upper()
    size = fitted(name, 4.5, room - 7.0, 2.5)
    pen.text(left + 7.0, top - size, name, size, ink=Ink.STRONG)
    top -= 7.5
    for words in figures(job, outline):
        top = paragraph(pen, left, top, words, 2.6, room, 2.0)


def figures(job: Job, outline: Outline) -> list[str]:
    """What was measured of a piece, a line each."""
    if outline.purpose == "ring":
        return [
            f"outside diameter {nominal(job, outline.across)}",
            "its hole is drawn with it: as wide, or the next drill up; larger where the cable slants",
        ]
    size = f"outline {both(job, outline.across)} across, {both(job, outline.up)} up"
    if outline.purpose == "bracket":
        bracket = job.brackets[outline.what]
        return [size, *_bracket(bracket), *_measure(bracket)]
    fitting = job.fittings[outline.what]
    return [size, *_fitting(job, fitting), *_measure(fitting)]


def _measure(piece: Fitting | Bracket) -> list[str]:
    return ["A GENERIC PIECE: MEASURE YOURS"] if piece.measure_yours else []


def _bracket(bracket: Bracket) -> list[str]:
    return [f"screws {len(bracket.screws)} of {bracket.screw.text}"]


def _fitting(job: Job, fitting: Fitting) -> list[str]:
    found = []
    if fitting.screw is not None:
        found.append(f"flange {nominal(job, fitting.flange)}, screws {len(fitting.screws)} of {fitting.screw.text}")
    if fitting.bore is not None:
        behind = f", nut and washer behind the post {nominal(job, fitting.washer)} wide" if fitting.washer else ""
        found.append(f"bore {nominal(job, fitting.bore)}{behind}")
    if fitting.pivot is None:
        found.append("rigid, no pivot")
    else:
        how = "up and down only" if fitting.swivels == "up-down" else "any way"
        found.append(f"pivot {both(job, fitting.pivot[0])} out, swivels {how}")
    takes = f"takes up {both(job, fitting.travel)}" if fitting.travel else "takes up nothing"
    found.append(f"cable ends {both(job, fitting.setback)} out; {takes}")
    return found
