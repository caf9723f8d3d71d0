"""One face to be drawn and the frame of its sheet: places on the face turned into places on the drawing."""

from __future__ import annotations

from dataclasses import dataclass

from jiggen.geometry import Point
from jiggen.job.model import Datum, Job
from jiggen.plan.alike import seat_height
from jiggen.plan.model import Group, Mark, Outline, Plan, Post, PostFace, RunLine

FLAP = 12.0  # least paper beyond each edge of the face
WIDEST = 184.0  # a sheet is no wider than this unless its face asks for it
NARROWEST = 152.0


@dataclass(frozen=True)
class Bench:
    """What a sheet is drawn from. ``width``: of the sheet; ``seat_y``: y of the datum at the centre line."""

    plan: Plan
    group: Group
    post: Post
    face: PostFace
    line: RunLine
    width: float
    seat_y: float = 0.0

    @property
    def job(self) -> Job:
        return self.plan.job

    @property
    def datum(self) -> Datum:
        return self.group.datum

    @property
    def centre(self) -> float:
        """x of the face's centre line."""
        return self.width / 2.0

    @property
    def half(self) -> float:
        """Half the width of the face."""
        return self.face.frame.width / 2.0

    @property
    def seat(self) -> float:
        """v of the datum at the face's centre line."""
        return seat_height(self.face, self.datum, 0.0)

    @property
    def climb(self) -> float:
        """Climb of the datum line a mm of u: it slants only on a skewed face of a raked run."""
        return 0.0 if self.datum == "deck" else self.face.underside[1]

    def place(self, u: float, v: float) -> Point:
        """(x, y) on the drawing of (u, v) on the face."""
        return Point(self.centre + u, self.seat_y + v - self.seat)

    def from_datum(self, mark: Mark) -> float:
        """Distance of a mark from the datum line at its own u, vertical, positive."""
        return abs(seat_height(self.face, self.datum, mark.u) - mark.v)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The marks that this sheet shows."""
        return tuple(mark for mark in self.face.marks if self.group.shows(mark))

    @property
    def outlines(self) -> tuple[Outline, ...]:
        """The outlines that belong to marks shown."""
        hidden = self.group.hides_brackets
        return tuple(o for o in self.face.outlines if not (hidden and o.purpose == "bracket"))

    @property
    def notches(self) -> tuple[Outline, ...]:
        """Outlines of brackets that are in place already and that the paper has to clear."""
        hidden = self.group.hides_brackets
        return tuple(o for o in self.face.outlines if hidden and o.purpose == "bracket")

    @property
    def raked(self) -> bool:
        return abs(self.face.slope) > 1e-6


def sheet_width(face: PostFace, room: float) -> float:
    """Width of the sheet of a face where one page shows ``room`` mm: one column where the face allows it."""
    return max(min(room, WIDEST), face.frame.width + 2.0 * FLAP, min(NARROWEST, max(room, NARROWEST)))
