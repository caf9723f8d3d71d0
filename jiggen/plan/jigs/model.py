"""A jig as values: flat parts with their contours, and where each one stands when the jig is together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from jiggen.geometry import Point, Vector
from jiggen.job.model import JigWish
from jiggen.problems import Problem
from jiggen.units import MM_PER_INCH

HUG = 0.3  # between a cheek and the post's side, mm, each side (common practice, no source)
FIT = 0.1  # a slot over the board that goes into it, mm, in all; half of it on each side (common practice)
RUN = 0.1  # a guide hole over its drill, mm (common practice, no source)
DOWEL = {
    "in": MM_PER_INCH / 4.0,
    "mm": 6.0,
}  # dowels that line layers up, mm: as they are sold by the inch and by the mm
DOWEL_FIT = 0.1  # a dowel's hole over the dowel, mm
WEB = 3.0  # least board between two holes or a hole and an edge, mm (common practice, no source)
EDGE = 8.0  # bed that stays free round the parts, mm
GAP = 4.0  # between two parts on a sheet of stock, mm
SMALLEST = 1.0  # the smallest hole that is cut; smaller ones are engraved as a cross and drilled, mm

ALONG = Point(1.0, 0.0)

Use = Literal["guide", "index", "dowel", "sight"]


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole through a part, in the part's frame.

    ``diameter``: its width. ``stretch``: how far a slanting bore is swept inside the board, with ``trace`` (a
    unit vector in the part's frame) its way; ``slant``: 1 / cosine of the bore's angle to the board's
    normal. A round hole has stretch 0 and slant 1. ``use``: guide for a mark, index (a pin goes through it into a hole that
    is drilled already), dowel, sight. ``drill``: the drill that goes through, mm.
    """

    at: Point
    diameter: float
    use: Use
    mark: str = ""
    stretch: float = 0.0
    slant: float = 1.0
    trace: Point = ALONG
    drill: float = 0.0

    @property
    def round(self) -> bool:
        return self.stretch < 1e-4 and self.slant < 1.0 + 1e-6

    @property
    def length(self) -> float:
        """Length along the trace: the bore's own oval, diameter / cosine, and what the board's thickness adds."""
        return self.diameter * self.slant + self.stretch

    @property
    def reach(self) -> float:
        """Half the length: nothing of the hole is farther than this from its centre."""
        return self.length / 2.0


@dataclass(frozen=True, slots=True)
class Label:
    """Engraved words. ``at``: on the base line, left end, middle or right end as ``align`` says; ``angle``: radians."""

    at: Point
    text: str
    height: float
    align: Literal["left", "middle", "right"] = "left"
    angle: float = 0.0


@dataclass(frozen=True, slots=True)
class Score:
    """A line to score. ``name``: "centre" for the one that tells where the part's frame lies."""

    start: Point
    end: Point
    name: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a part stands in the jig's frame: ``origin`` of its back face, its x and y as unit vectors.

    The part fills from the back face to its thickness along ``out`` = x cross y; the front face is engraved.
    """

    origin: Vector
    x: Vector
    y: Vector

    @property
    def out(self) -> Vector:
        return self.x.cross(self.y)

    def at(self, point: Point, depth: float = 0.0) -> Vector:
        """The point of the jig's frame at (x, y) on the part, ``depth`` in front of its back face."""
        off = self.x.times(point.x).plus(self.y.times(point.y)).plus(self.out.times(depth))
        return self.origin.plus(off)


@dataclass(frozen=True, slots=True)
class Part:
    """One flat part. Contours are simple polygons in the part's frame, mm; nominal, kerf is put on when it is drawn.

    ``outline``: counter-clockwise; empty for a disc of ``disc`` mm diameter about the origin. ``slots``: inner
    contours, counter-clockwise. ``strokes``: engraved lines. ``raw``: drawn as it stands, without kerf (a comb that
    measures the kerf). ``turns``: may be turned by 90 degrees on the stock. ``place`` None: stands nowhere.
    ``piece``: of the jig's length, from 1; 0 for loose parts.
    """

    id: str
    name: str
    outline: tuple[Point, ...]
    thickness: float
    slots: tuple[tuple[Point, ...], ...] = ()
    holes: tuple[Hole, ...] = ()
    scores: tuple[Score, ...] = ()
    labels: tuple[Label, ...] = ()
    strokes: tuple[tuple[Point, ...], ...] = ()
    place: Place | None = None
    disc: float = 0.0
    raw: bool = False
    turns: bool = True
    piece: int = 0

    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of the outline."""
        if self.disc:
            r = self.disc / 2.0
            return -r, -r, r, r
        xs, ys = [p.x for p in self.outline], [p.y for p in self.outline]
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of a jig's length that fits the bed. ``bottom``, ``top``: v of the plate's ends; ``marks``: ids drilled
    with it; ``index``: ids of drilled holes that a pin lines it up by, () for the first."""

    number: int
    bottom: float
    top: float
    marks: tuple[str, ...]
    index: tuple[str, ...] = ()


@dataclass(frozen=True)
class Jig:
    """A jig for one face: its parts, how it is used, what is wrong with it.

    Jig's frame: u to the right from the face's centre line, v up from the datum, w out of the face; on a round
    post w = 0 is the tangent plane on the face's centre line. ``stop``: (a, b) of the underside v = a u + b w where a
    stop seats under the rail, None where the plate is held to a line. ``seat``: what it is seated on, in words.
    ``lead``: w of the plate's back. ``notes``: sentences for the assembly page. ``title``: for file
    and page. ``name``: the job's.
    """

    id: str
    title: str
    face: str
    posts: tuple[str, ...]
    parts: tuple[Part, ...]
    pieces: tuple[Piece, ...]
    problems: tuple[Problem, ...]
    notes: tuple[str, ...]
    wish: JigWish
    stop: tuple[float, float] | None = None
    seat: str = ""
    lead: float = 0.0
    layers: int = 1
    name: str = ""


def quarter(point: Point, turns: int) -> Point:
    """``point`` turned about the origin by ``turns`` right angles, counter-clockwise, without rounding."""
    x, y = point
    for _ in range(turns % 4):
        x, y = -y, x
    return Point(x, y)
