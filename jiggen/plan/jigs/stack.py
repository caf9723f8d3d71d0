"""Slanting bores turned into layers over the plate, each hole shifted along its trace, lined up by dowels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import atan, degrees, hypot

from jiggen.geometry import Point, Vector
from jiggen.plan.jigs.model import DOWEL, DOWEL_FIT, RUN, WEB, Hole, Part, Piece, Place, Score
from jiggen.plan.jigs.plain import CUT_OFF, U, V, guides_of
from jiggen.plan.jigs.shapes import apart, clear_of
from jiggen.plan.jigs.site import Guide, Site
from jiggen.plan.words import fine, length
from jiggen.problems import Problem

ROOM = 26.0  # beside a hole for its lettering, mm
PAD = 8.0  # board beyond the last hole of a layer, mm


def layers(at: Site, piece: Piece, face: Part, inner: float) -> tuple[Part, tuple[Part, ...], list[Problem]]:
    """The plate with dowel holes, and the layers over it. ``inner``: |u| up to which a layer may reach."""
    guides = guides_of(at, piece)
    if at.layers < 2 or not any(g.raked for g in guides):
        return face, (), []
    every = [[at.hole(g, i, g.id in piece.index) for g in guides] for i in range(at.layers)]
    flat = [hole for holes in every for hole in holes]
    need = max(abs(h.at.x) + h.reach for h in flat)
    half = min(inner - 1.0, need + ROOM)
    problems = []
    if half < need + WEB:
        words = f"{length(at.plan.job, half - need)} of board between a hole of the stack and its edge"
        problems.append(Problem("check", at.group.id, words, "take the stop off once the stack is pinned, or widen it"))
        half = need + WEB
    low, high = min(h.at.y - h.reach for h in flat) - PAD, max(h.at.y + h.reach for h in flat) + PAD
    dowels = _dowels(at, face, flat, every[-1], half, max(low, piece.bottom), min(high, piece.top))
    if len(dowels) < 2:
        words = f"room for {len(dowels)} dowels between the holes of piece {piece.number}"
        problems.append(Problem("check", at.group.id, words, "pin the layers through two of their guide holes instead"))
    corner = min(CUT_OFF, half / 3.0)
    outline = (
        Point(-half, low),
        Point(half, low),
        Point(half, high - corner),
        Point(half - corner, high),
        Point(-half, high),
    )
    score = Score(Point(0.0, low + 2.0), Point(0.0, high - 2.0), "centre")
    parts = tuple(
        Part(
            "",
            f"layer {i}",
            outline,
            at.q,
            (),
            (*every[i], *dowels),
            (score,),
            place=Place(Vector(0.0, 0.0, at.layer(i)[0]), U, V),
        )
        for i in range(1, at.layers)
    )
    return replace(face, holes=(*face.holes, *dowels)), parts, problems


def _dowels(
    at: Site, face: Part, flat: Sequence[Hole], front: Sequence[Hole], half: float, low: float, high: float
) -> tuple[Hole, ...]:
    """Dowel holes near both ends and every 200 mm between, clear of every layer's holes and of the plate's slots."""
    count = max(2, round((high - low) / 200.0) + 1)
    dowel = DOWEL[at.plan.job.units]
    radius = (dowel + DOWEL_FIT) / 2.0
    edge = radius + WEB + 1.0
    across = [x for x in (0.0, -(half - edge), half - edge) if abs(x) <= half - edge + 1e-9]
    found: list[Hole] = []
    for i in range(count):
        target = low + edge + (high - low - 2.0 * edge) * i / (count - 1)
        for step in sorted(range(-80, 81), key=lambda s: (abs(s), s)):
            v = target + step
            if not low + edge <= v <= high - edge:
                continue
            spot = next((u for u in across if _free(Hole(Point(u, v), 2.0 * radius, "dowel"), face, flat, front)), None)
            hole = Hole(Point(spot or 0.0, v), 2.0 * radius, "dowel", drill=dowel)
            if spot is not None and all(apart(hole, other) > 20.0 for other in found):
                found.append(hole)
                break
    return tuple(found)


def _free(hole: Hole, face: Part, flat: Sequence[Hole], front: Sequence[Hole]) -> bool:
    if any(apart(hole, other) < WEB for other in flat):
        return False
    if any(abs(hole.at.y - h.at.y) < hole.diameter / 2.0 + 3.0 and hole.at.x > h.at.x for h in front):
        return False
    return all(clear_of(hole, polygon) >= WEB for polygon in (face.outline, *face.slots))


def play(at: Site, guide: Guide) -> float:
    """The most that the play turns the axis of a drill in the stack, radians, along the bore's trace.

    The bore's rim touches the drill at the back edge of every layer on one side and at the front edge on the
    other. With c = running clearance / cosine + the dowels' clearance, n layers of q and a drill turned by s (mm
    a mm): flatter touches the back of the second-last contact pair, s (n - 2) q = c; so s = c / ((n - 2) q), and the
    angle is s x cosine squared.
    """
    cosine = abs(guide.axis.z)
    clear = (guide.hole - guide.drill) / cosine + DOWEL_FIT
    return atan(clear / (max(1, at.layers - 2) * at.q) * cosine * cosine)


def play_words(at: Site) -> str:
    """The sentence about the stack: layers, angle, and what play adds at the far side of the post."""
    job, raked = at.plan.job, [g for g in at.guides if g.raked]
    worst = max(raked, key=lambda g: play(at, g))
    angle = play(at, worst)
    rake = degrees(atan(hypot(worst.axis.x, worst.axis.y) / abs(worst.axis.z)))
    off = angle * at.depth / abs(worst.axis.z) ** 2
    return (
        f"The stack of {at.layers} boards guides at {rake:.1f} degrees, nominally true. Play ({fine(job, RUN, 1)} of the drill, "
        f"{fine(job, DOWEL_FIT, 1)} of the dowels) may turn the axis by up to {degrees(angle):.2f} degrees: "
        f"{fine(job, off, 1)} at the far face of the post. Bore from both faces to meet."
    )
