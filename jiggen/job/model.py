"""What the installer said about a guard, checked, in millimetres, newtons, radians and kelvin."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

from jiggen.geometry import Vector
from jiggen.handbook.rules import RuleSet
from jiggen.handbook.screws import Screw
from jiggen.handbook.strands import Strand
from jiggen.handbook.woods import Material
from jiggen.problems import Problem
from jiggen.shapes.known import Section

Side = Literal["left", "right"]
Role = Literal["end", "line", "corner", "transition", "spacer"]
Datum = Literal["underside", "height line", "deck"]


@dataclass(frozen=True, slots=True)
class Cable:
    """The cable and how it is pulled. ``side_force`` None: the rule set's, else common practice."""

    diameter: float
    strand: Strand
    tension: float
    install_temperature: float
    coldest: float
    hottest: float
    frame: str
    loss: float
    hang_weight: float
    spools: tuple[float, ...]
    clearance: float
    trim: float
    side_force: float | None = None


@dataclass(frozen=True, slots=True)
class Rail:
    """A top or bottom rail. ``depth``: square to the rail. ``sits``: between the posts or over them."""

    depth: float
    width: float
    sits: Literal["between", "over"] = "between"


@dataclass(frozen=True, slots=True)
class Guard:
    """The guard of one run, [guard] and the run's own keys put together.

    ``height`` None: the rule set's. ``bottom_gap`` None: not given. ``first``: from the underside to the
    first cable's centre, square to the cables, None: one spacing. ``out``: deck edge to cable plane.
    ``bracket``, ``bottom_bracket``: a bracket by name, None for no screws of ours. ``stagger``: by how much all
    cables of the run are moved down, vertically, to clear another run's in a shared post. ``opened``: what the plan takes
    as spacing where neither spacing nor count is given and equal openings leave the end fittings no room; no key of a job.
    """

    height: float | None
    deck: Side
    mount: Literal["deck", "side"]
    out: float
    rail: Rail
    bottom_rail: Rail | None
    bottom_gap: float | None
    spacing: float | None
    count: int | None
    first: float | None
    bracket: str | None
    bottom_bracket: str | None
    stagger: float | Literal["auto"] | None = None
    opened: float | None = None


@dataclass(frozen=True, slots=True)
class Stair:
    """A stair under a run. ``first_behind``, ``last_behind``: level distance from the post's centre to the
    nosing next downhill of it; negative: the post stands on the level below the last riser. ``rises``, ``goings``: every
    one of the flight as taped, from the bottom up, () where they were not; ``rise`` and ``going`` are then their mean unless
    the job says both. ``riser_opening``: clear from a tread up to the next one, of open ``risers``."""

    rise: float
    going: float
    overhang: float
    overhang_given: bool
    up: bool
    first_behind: float
    last_behind: float | None = None
    rises: tuple[float, ...] = ()
    goings: tuple[float, ...] = ()
    risers: Literal["closed", "open"] = "closed"
    riser_opening: float | None = None

    def extremes(self) -> Iterator[tuple[float, float]]:
        """The largest and the least rise, each with the longest and the shortest going, mm: the worst step is among them."""
        for rise in {max(self.rises, default=self.rise), min(self.rises, default=self.rise)}:
            for going in {max(self.goings, default=self.going), min(self.goings, default=self.going)}:
                yield rise, going


@dataclass(frozen=True, slots=True)
class Ramp:
    """A walking surface at a slope. ``angle``: from level, radians, positive."""

    angle: float
    up: bool


@dataclass(frozen=True, slots=True)
class Wire:
    """A wire hole asked for: ``drop`` below the underside of the rail, ``face`` as the job names it."""

    drop: float
    face: str
    diameter: float


@dataclass(frozen=True, slots=True)
class Spacers:
    """Spacer bars: ``each`` of kind ``kind`` in every span, equally spaced."""

    kind: str
    each: int


@dataclass(frozen=True, slots=True)
class Run:
    """A straight row of posts.

    ``lengths``: one a span, as ``measured`` says: between centres, level ("spans"); clear between the posts,
    level ("clear"); between centres along the rake ("slope"). ``turn``: + to the left, None: none said.
    ``at``, ``heading``: of the first post, None: not said. ``start``, ``finish``: end fittings by name, "" where the
    cables are led on round the post. ``led_on``: its cables are those of an earlier run that ends at the same post.
    """

    id: str
    posts: tuple[str, ...]
    lengths: tuple[float, ...]
    measured: Literal["spans", "clear", "slope"]
    guard: Guard
    start: str
    finish: str
    ground: Stair | Ramp | None = None
    turn: float | None = None
    at: Vector | None = None
    heading: float | None = None
    spacers: Spacers | None = None
    wires: tuple[Wire, ...] = ()
    gap_at_start: float | None = None
    gap_at_finish: float | None = None
    led_on: bool = False


@dataclass(frozen=True, slots=True)
class PostKind:
    """A kind of post.

    ``section``: its shape, sizes and outline. ``wall``: of a hollow post or a sleeve, None: solid. ``core``:
    outside size of the wood in a sleeve. ``rotate``: radians, "bisect" or None. ``bore``: None: along
    in wood, square in metal walls. ``slot``: what a slanting cable passes in a thin wall: one "round" hole where a slot's
    end holes would overlap, or a slot to "file". ``grommet``: outside diameter. ``radius``: of eased corners.
    """

    name: str
    section: Section
    material: Material
    wall: float | None = None
    core: float | None = None
    rotate: float | Literal["bisect"] | None = None
    bore: Literal["along", "square"] | None = None
    slot: Literal["round", "file"] = "round"
    grommet: float | None = None
    radius: float = 0.0
    fixed: tuple[str, ...] = ()
    wires: tuple[Wire, ...] = ()

    @property
    def shape(self) -> str:
        return self.section.shape

    @property
    def along(self) -> float:
        """Outside size along the run, the diameter of a round post."""
        return self.section.along

    @property
    def across(self) -> float:
        return self.section.across


@dataclass(frozen=True, slots=True)
class Fitting:
    """An end fitting, measured from the one in hand.

    ``outline``: across, up. ``screws``: across, up, from the flange's centre. ``pivot``: how far out of
    the face and how far up from the pattern's centre the pivot lies, None: rigid. ``bore``: diameter of a
    hole on the fitting's centre (a stud), None: none. ``bore_depth`` None: through the post.
    ``washer``: outside of the nut and washer where that bore comes out, None: none.
    ``at_rake``: a rigid fitting whose bore follows the cable. ``passes_through``: what must go through
    the line posts. ``measure_yours``: True for the generic ones that ship.
    """

    name: str
    outline: tuple[float, float]
    flange: float
    screws: tuple[tuple[float, float], ...]
    screw: Screw | None
    pivot: tuple[float, float] | None
    swivels: Literal["up-down", "any"]
    setback: float
    travel: float
    takes_up: float | None = None
    bore: float | None = None
    bore_depth: float | None = None
    washer: float | None = None
    at_rake: bool = False
    passes_through: float | None = None
    measure_yours: bool = False


@dataclass(frozen=True, slots=True)
class Bracket:
    """A rail bracket. ``screws``: across from the middle of the rail, up from its underside. ``measure_yours``: as of a
    fitting."""

    name: str
    outline: tuple[float, float]
    screws: tuple[tuple[float, float], ...]
    screw: Screw
    flange: float = 0.0
    measure_yours: bool = False


@dataclass(frozen=True, slots=True)
class Stands:
    """Which kind of post stands where; ``only``: by post."""

    line: str
    end: str
    corner: str
    transition: str
    only: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class AsBuilt:
    """What the tape said at one post. ``undersides``: by run, where each was taped. ``lean``: mm per m, along and across."""

    underside: float | None = None
    lean: tuple[float, float] | None = None
    undersides: Mapping[str, float] = field(default_factory=dict)

    def under(self, run: str) -> float | None:
        """The underside as taped under the rail of a run, mm over the walking surface; None where it is as planned."""
        return self.undersides.get(run, self.underside)


@dataclass(frozen=True, slots=True)
class SheetWish:
    """How sheets are wanted. ``paper``: a name; its size in ``size``, portrait, mm."""

    paper: str
    size: tuple[float, float]
    margin: float
    overlap: float
    kind: Literal["face", "wrap"]
    datum: Datum


@dataclass(frozen=True, slots=True)
class JigWish:
    """What a shop needs to know of its board and machine, mm. ``bushing``: outside diameter."""

    thickness: float
    kerf: float
    bed: tuple[float, float]
    stock: tuple[float, float]
    bushing: float | None = None
    operations: Mapping[str, tuple[str, str]] = field(default_factory=dict)


@dataclass(frozen=True)
class Job:
    """One job file. ``text``: the file as it was read. ``data``: the parsed tables (for the fingerprint).

    ``units``: "in" or "mm", for bare numbers and readings. ``alike``: mm. ``notes``: what reading
    found that stops nothing.
    """

    name: str
    units: Literal["in", "mm"]
    rules: RuleSet
    fall: float | None
    round_to: float
    drills: tuple[str, ...]
    alike: float
    cable: Cable
    stands: Stands
    kinds: Mapping[str, PostKind]
    fittings: Mapping[str, Fitting]
    brackets: Mapping[str, Bracket]
    runs: tuple[Run, ...]
    sheet: SheetWish
    min_web: float = 6.0
    min_edge: float | None = None
    jig: JigWish | None = None
    as_built: Mapping[str, AsBuilt] = field(default_factory=dict)
    measured_spans: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    text: str = ""
    data: Mapping[str, Any] = field(default_factory=dict)
    notes: tuple[Problem, ...] = ()

    @cached_property
    def run_by_id(self) -> Mapping[str, Run]:
        return {run.id: run for run in self.runs}

    @cached_property
    def runs_at(self) -> Mapping[str, tuple[Run, ...]]:
        """The runs of each post, in their order."""
        found: dict[str, tuple[Run, ...]] = {}
        for run in self.runs:
            for post in dict.fromkeys(run.posts):
                found[post] = (*found.get(post, ()), run)
        return found

    @cached_property
    def leads_on(self) -> bool:
        """Whether any run's cables are led on from another's."""
        return any(run.led_on for run in self.runs)
