"""The finished plan: runs, posts, faces and marks in millimetres, nothing left to decide."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import hypot
from typing import TYPE_CHECKING, Literal

from jiggen.geometry import Line, Vector, heading_vector
from jiggen.handbook.drills import Drill
from jiggen.job.model import Datum, Guard, Job, PostKind, Ramp, Role, Stair
from jiggen.plan.led import CableEnd, Led
from jiggen.plan.prism import Face, Prism
from jiggen.plan.shop import Takeoff
from jiggen.plan.tries import Tries
from jiggen.problems import Problem

if TYPE_CHECKING:
    from jiggen.plan.loads import Load

Purpose = Literal["cable", "screw", "bracket", "wire"]
Closes = Literal["deck", "bottom rail", "cable"]


@dataclass(frozen=True, slots=True)
class RunLine:
    """One run in the world.

    ``origin``: axis of the first post at the reference line. ``heading``: radians. ``rake``: radians, + up
    in the run's direction. ``stations``: level distance of each post from the first. ``height``: top
    of the rail over the reference line. ``rail``, ``bottom``: depths square to the rail, ``bottom`` 0 where
    there is none. ``drops``: vertical, underside to each cable's centre. ``openings``: square to the
    cables, top first. ``closes``: what closes the bottom. ``gap``: reference line up to the lowest member, vertical.
    ``direction``, ``level``: unit vectors from the first post to the last, along the cables and level. ``cosine``: of the
    rake: square distance = vertical distance times this. ``slope``: climb of the run a level mm, + up in its direction.
    ``lifts``: how much higher than planned the underside was built at each post. ``ends``: where the cables
    end as built, None: on upright posts as planned. ``start``, ``finish``: end fittings, "" where the cables are led on;
    ``led``: what this run has of cables that are led on, None: they end at its end posts.
    """

    id: str
    posts: tuple[str, ...]
    origin: Vector
    heading: float
    rake: float
    stations: tuple[float, ...]
    height: float
    guard: Guard
    ground: Stair | Ramp | None
    cable: float
    spacing: float = 0.0
    drops: tuple[float, ...] = ()
    openings: tuple[float, ...] = ()
    closes: Closes = "deck"
    gap: float = 0.0
    start: str = ""
    finish: str = ""
    lifts: tuple[float, ...] = ()
    ends: tuple[CableEnd, CableEnd] | None = None
    led: Led | None = None
    direction: Vector = field(init=False, repr=False, compare=False)
    level: Vector = field(init=False, repr=False, compare=False)
    cosine: float = field(init=False, repr=False, compare=False)
    slope: float = field(init=False, repr=False, compare=False)
    _lines: dict[float, Line] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """What follows from heading and rake, asked for at every mark."""
        direction, level = heading_vector(self.heading, self.rake), heading_vector(self.heading)
        known = (direction, level, direction.dot(level), direction.z / direction.dot(level))
        for name, value in zip(("direction", "level", "cosine", "slope"), known, strict=True):
            object.__setattr__(self, name, value)

    @property
    def head(self) -> str:
        """The run that the cables bear the name of: itself, unless they are led on from an earlier one."""
        return self.led.head if self.led else self.id

    @property
    def fitted(self) -> tuple[str, str]:
        """The end fittings of its cables, at this run's ends or at those of the runs that they are led on into."""
        return self.led.fitted if self.led else (self.start, self.finish)

    @property
    def screwed(self) -> tuple[tuple[str, str], ...]:
        """Its end posts with the end fitting that its cables have there; where they are led on there is none."""
        ends = ((self.posts[0], self.start), (self.posts[-1], self.finish))
        return tuple((post, name) for post, name in ends if name)

    @property
    def rail_drop(self) -> float:
        """Top of the rail down to its underside, vertical."""
        return self.guard.rail.depth / self.cosine

    def along(self, point: Vector) -> float:
        """Level distance of ``point`` from the first post along the run."""
        return point.minus(self.origin).dot(self.level)

    def reference(self, x: float) -> float:
        """z of the reference line at level distance ``x``."""
        return self.origin.z + x * self.slope

    def underside(self, x: float) -> float:
        """z of the underside of the top rail at level distance ``x``."""
        return self.reference(x) + self.height - self.rail_drop

    def at_end(self, index: int, drop: float) -> Vector:
        """Where the cable at ``drop`` meets the axis of the end post at ``index`` (the first, 0, or the last)."""
        if self.ends:
            end = self.ends[0 if index == 0 else -1]
            return end.at_height(self.underside(self.stations[index]) + end.lift - drop)
        level = self.origin.plus(self.level.times(self.stations[index]))
        return Vector(level.x, level.y, self.underside(self.stations[index]) - drop)

    def line(self, drop: float) -> Line:
        """The line of what is pulled taut ``drop`` (vertical) below the underside, from the first post's axis.

        As built: straight between the axes of the end posts, at that drop under each end's own underside.
        """
        known = self._lines.get(drop)
        if known is None:
            start = self.at_end(0, drop)
            way = self.at_end(len(self.posts) - 1, drop).minus(start).unit() if self.ends else self.direction
            known = self._lines[drop] = Line(start, way)
        return known

    def behind(self, x: float) -> float:
        """On a stair: level distance from ``x`` to the nosing next downhill, negative on the floor below."""
        stair = self.ground
        assert isinstance(stair, Stair)
        if x == 0.0:
            return stair.first_behind
        if x == self.stations[-1] and stair.last_behind is not None:
            return stair.last_behind
        if stair.up and stair.first_behind + x < 0.0:
            return stair.first_behind + x  # still on the floor before the first riser
        if not stair.up and stair.last_behind is not None and stair.last_behind + self.stations[-1] - x < 0.0:
            return stair.last_behind + self.stations[-1] - x  # on the floor beyond the last riser already
        b = (stair.first_behind + (x if stair.up else -x)) % stair.going
        return 0.0 if stair.going - b < 0.1 else b

    def tread_below(self, x: float) -> float:
        """How far the walking surface at ``x`` (under a post's centre) lies below the reference line, vertical."""
        stair = self.ground
        if not isinstance(stair, Stair):
            return 0.0
        b = self.behind(x)
        return b * abs(self.slope) + (stair.rise if b < 0.0 else 0.0)


@dataclass(frozen=True, slots=True)
class Mark:
    """One place where steel goes into a post.

    ``id``: post/face/label, the mark's one name. ``u``: to the right from the face's centre line. ``v``: over
    the walking surface at the post, along its axis. ``drop``: below the underside in the face's plane.
    ``height``: over the reference line. ``above_tread``: over the surface underfoot at that face.
    ``axis``: into the post: (across, up, in), a unit vector. ``diameter``: of the hole; ``drill``: to make it.
    ``depth``: entry to exit along the axis of a bore; of a screw its length less flange. ``why``: which
    table or rule gave the drill. ``slot``: (across, up) from the middle to each of its two end holes, where a
    slanting cable needs a slot in a thin wall. ``body``: diameter of what stays in the wood: a screw's shank, else the
    hole's. ``tap``, ``clears``: the thread cut in it, or that of the machine screw or bolt that passes it. ``wall``: the
    one wall of a hollow post that the hole goes through, 0: none. ``reach``: how far what stays in goes in from the
    face, where that is further than the hole. ``replaces``: width and length of the slot that this one round hole
    stands for, (0, 0): none. ``meets``: mark of the bore that it runs into (a cable led on); ``other``: at its far end.
    """

    id: str
    post: str
    face: str
    label: str
    purpose: Purpose
    run: str
    cable: int | None
    u: float
    v: float
    drop: float
    height: float
    above_tread: float
    axis: Vector
    diameter: float
    drill: Drill
    depth: float
    through: bool
    what: str
    why: str
    slot: tuple[float, float] = (0.0, 0.0)
    body: float = 0.0
    tap: str = ""
    clears: str = ""
    wall: float = 0.0
    reach: float = 0.0
    replaces: tuple[float, float] = (0.0, 0.0)
    meets: str = ""
    other: str = ""

    @property
    def oval(self) -> tuple[float, float]:
        """Width and length of the hole in a flat face: the drill's diameter, and that over the axis' cosine."""
        return self.diameter, self.diameter / self.axis.z

    @property
    def slotted(self) -> float:
        """Length of the slot from end to end, mm; 0 of a round hole."""
        return self.diameter + 2.0 * hypot(*self.slot) if any(self.slot) else 0.0


@dataclass(frozen=True, slots=True)
class Outline:
    """The outline of a fitting or bracket on a face: centre (u, v), sizes across and up, what it is; a ring is round."""

    u: float
    v: float
    across: float
    up: float
    what: str
    purpose: Literal["fitting", "bracket", "rail", "ring"]
    cable: int | None = None


@dataclass(frozen=True, slots=True)
class PostFace:
    """One face of a post with its marks.

    ``name``: what it looks at ("toward 4", "deck side", "away from 2" where a stud comes out). ``underside``: v of the underside at u = 0 and its
    climb a mm of u; likewise ``reference`` (the reference line) and ``tread`` (the surface underfoot at the
    face). ``rail_up``: underside up to the top of the rail, along the face. ``slope``: climb of the run as it leaves the face outward, a mm level.
    ``fittings``: names of the end fittings that sit here, () on a line post.
    """

    id: str
    post: str
    name: str
    frame: Face
    run: str
    slope: float
    skew: float
    underside: tuple[float, float]
    reference: tuple[float, float]
    tread: tuple[float, float]
    rail_up: float
    marks: tuple[Mark, ...] = ()
    outlines: tuple[Outline, ...] = ()
    fittings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Post:
    """One post in the world. ``prism.base``: on its axis at the walking surface (tread).

    ``strip``: ids of the faces that one sheet wraps, from left to right; () where each has a sheet of its own.
    """

    id: str
    kind: PostKind
    role: Role
    prism: Prism
    heading: float
    faces: tuple[PostFace, ...] = ()
    strip: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """Faces that one sheet serves: alike in profile, datum and all marks.

    ``faces``: ids, those of the post that is drawn first (``drawn`` of them, from left to right). ``kind``:
    "face", "wrap" or "round", or of a sample "practice" or "fitting".
    """

    id: str
    faces: tuple[str, ...]
    posts: tuple[str, ...]
    kind: str
    datum: Datum
    drawn: int = 1

    @property
    def strip(self) -> tuple[str, ...]:
        """The faces that the sheet draws, from left to right."""
        return self.faces[: self.drawn]

    def shows(self, mark: Mark) -> bool:
        """Whether the sheet shows a mark: brackets only where no rail is in place yet."""
        return not (self.hides_brackets and mark.purpose == "bracket")

    @property
    def hides_brackets(self) -> bool:
        return self.datum == "underside" and self.kind in ("face", "wrap", "round")


@dataclass(frozen=True, slots=True)
class Sample:
    """A face that is on no post (practice piece, patterns to compare), with the group of its sheet."""

    group: Group
    face: PostFace


@dataclass(frozen=True)
class Plan:
    """The whole guard, decided. ``fingerprint``: of the job's data, the same on every sheet of a packet.

    ``trial``: made to see what a change does; nothing that is found wrong with it needs a remedy. ``laid``: how many marks
    were laid out to make it, those of spacings and staggers that were tried too. ``tries``: what remedies may plan again.
    """

    job: Job
    fingerprint: str
    runs: tuple[RunLine, ...]
    posts: tuple[Post, ...]
    groups: tuple[Group, ...]
    takeoff: Takeoff
    problems: tuple[Problem, ...] = ()
    samples: tuple[Sample, ...] = ()
    loads: dict[str, Load] = field(default_factory=dict)
    face_by_id: dict[str, PostFace] = field(default_factory=dict)
    post_by_id: dict[str, Post] = field(default_factory=dict)
    trial: bool = False
    laid: int = 0
    tries: Tries = field(default_factory=Tries, repr=False, compare=False)
