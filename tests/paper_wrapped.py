"""Sheets laid round a model of their post in space, straight from the drawing: folded round corners, rolled round a pipe."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin

from jobs_made import TIMBER, Keys, ramp, stair

from jiggen.build import Drawn, Survey
from jiggen.drawing.scene import Oval
from jiggen.geometry import Line as Ray
from jiggen.geometry import Vector
from jiggen.plan.model import Mark, Post, PostFace

WITHIN = 0.01  # mm
PAPER = 0.1  # thickness of a sheet of paper, mm (common practice, no source)

Wrap = Callable[[float, float], Vector]
"""Where a point of the paper, x and y of the drawing, lies in space once the sheet is on its post."""

UP_AND_DOWN: dict[str, Keys] = {
    "level": {},
    "ramp up": {"ramp": ramp(9.5)},
    "ramp down": {"ramp": ramp(4.8, "down")},
    "stair up": {"stair": stair(178, 279, 120), "bottom_gap": 20},
    "stair down": {"stair": stair(190, 254, 150, "down"), "bottom_gap": 20},
}
EASED: Keys = {"width": 140, "radius": 6.35, "material": "douglas fir"}
KINDS: dict[str, Keys] = {
    "sharp": TIMBER,
    "eased": EASED,
    "flat": {"shape": "rectangular", "along": 45, "across": 140, "radius": 3, "material": "redwood"},
    "turned": {"width": 140, "rotate": "9 deg", "radius": 4, "material": "redwood"},
    "tube": {"width": 50, "wall": 3, "material": "steel"},
    "sleeved": {"width": 127, "wall": 4, "core": 89, "material": "southern pine"},
}


def of_post(found: Survey, post: str) -> tuple[Drawn, Post, list[PostFace]]:
    """The one strip of a post, with the faces that it draws from left to right."""
    plan = found.plan
    (drawn,) = [d for d in found.sheets if d.group.strip[0].startswith(f"{post}/")]
    return drawn, plan.post_by_id[post], [plan.face_by_id[name] for name in drawn.group.strip]


def seat(drawn: Drawn, face: str) -> tuple[float, float]:
    """Where the face's centre line meets its datum on the drawing."""
    ((x, y),) = [(x, y) for name, x, y in drawn.sheet.seats if name == face]
    return x, y


def at_underside(found: Survey, post: Post, face: PostFace) -> float:
    """How far up the post's axis from its foot the rail's underside meets the middle of a face: where the height of the
    point is that of the rail over it, found by halving."""
    line = next(line for line in found.plan.runs if line.id == face.run)
    lift = line.lifts[line.posts.index(post.id)] if line.lifts else 0.0
    low, high = 0.0, 3000.0
    for _ in range(60):
        middle = (low + high) / 2
        point = face.frame.origin.plus(post.prism.axis.times(middle))
        low, high = (middle, high) if point.z < line.underside(line.along(point)) + lift else (low, middle)
    return high


def fold(found: Survey, drawn: Drawn, post: Post, faces: list[PostFace]) -> Wrap:
    """Paper laid on the first face, its middle on the middle and its datum at the underside, then led round every
    corner on an arc of the post's radius."""
    first, radius = faces[0].frame, post.kind.radius
    x0, y0 = seat(drawn, faces[0].id)
    up, base = at_underside(found, post, faces[0]), post.prism.base
    left = post.prism.axis.cross(post.prism.along)
    forward, side = post.prism.size_along / 2, post.prism.size_across / 2
    turns = [post.prism.along, left, post.prism.along.times(-1), left.times(-1)]
    at = max(range(4), key=lambda i: turns[i].dot(first.normal))

    def lay(x: float, y: float) -> Vector:
        index, s = at, x - x0  # s from the middle of the side, to the right as seen from outside
        while True:
            normal, right = turns[index % 4], turns[(index + 1) % 4]
            out, half = (forward, side) if index % 2 == 0 else (side, forward)
            flat = half - radius
            if s <= flat:
                point = normal.times(out).plus(right.times(s))
                break
            s -= flat
            if s < pi * radius / 2:
                turn = s / radius
                corner = normal.times(out - radius).plus(right.times(flat))
                point = corner.plus(normal.times(radius * cos(turn))).plus(right.times(radius * sin(turn)))
                break
            s -= pi * radius / 2
            index += 1
            s -= (side if index % 2 == 0 else forward) - radius
        return base.plus(point).plus(post.prism.axis.times(up + y - y0))

    return lay


def roll(found: Survey, drawn: Drawn, post: Post, faces: list[PostFace]) -> Wrap:
    """Paper rolled round a pipe, the middle of the first face on the line that looks along its normal."""
    radius = post.prism.size_along / 2
    girth = pi * (2 * radius + PAPER)
    x0, y0 = seat(drawn, faces[0].id)
    up, normal, right = at_underside(found, post, faces[0]), faces[0].frame.normal, faces[0].frame.right

    def lay(x: float, y: float) -> Vector:
        turn = (x - x0) / girth * 2 * pi
        flat = normal.times(radius * cos(turn)).plus(right.times(radius * sin(turn)))
        return post.prism.base.plus(flat).plus(post.prism.axis.times(up + y - y0))

    return lay


def off(line: Ray, point: Vector) -> float:
    gap = point.minus(line.point)
    return gap.minus(line.direction.times(gap.dot(line.direction))).length()


def drawn_marks(found: Survey, drawn: Drawn) -> list[tuple[Mark, list[tuple[float, float]]]]:
    """Each mark of a sheet with the places of its ovals on the drawing (a slot has two)."""
    marks = {mark.id: mark for post in found.plan.posts for face in post.faces for mark in face.marks}
    places: dict[str, list[tuple[float, float]]] = {}
    for shape in drawn.sheet.drawing.shapes:
        if isinstance(shape, Oval) and "mark" in dict(shape.data):
            places.setdefault(dict(shape.data)["mark"], []).append(tuple(shape.centre))
    return [(marks[name], at) for name, at in places.items()]


def cable(found: Survey, mark: Mark) -> Ray:
    line = next(line for line in found.plan.runs if line.id == mark.run)
    assert mark.cable is not None
    return line.line(line.drops[mark.cable - 1])
