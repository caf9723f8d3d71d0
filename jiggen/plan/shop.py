"""What a plan comes to for the shop: cables and rails to cut, drills and spools to have, how each run is pulled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from jiggen.plan.drilling import Drilling
    from jiggen.plan.spools import Buying


@dataclass(frozen=True, slots=True)
class CableCut:
    """One cable to cut, mm, ready to be rounded up."""

    run: str
    cable: int
    length: float


@dataclass(frozen=True, slots=True)
class RailEnd:
    """How an end of a rail is cut at ``post``, radians off square: ``plumb`` in its side, ``mitre`` seen from above.

    ``longer``: the side of the guard that a mitre leaves longer. ``round``: diameter of a post that it is coped to, mm, 0
    for none. ``leaning``: against a post that leans, the edge that is longer, below or above.
    """

    post: str
    plumb: float = 0.0
    mitre: float = 0.0
    longer: Literal["", "deck", "open"] = ""
    round: float = 0.0
    leaning: Literal["", "below", "above"] = ""


@dataclass(frozen=True, slots=True)
class RailCut:
    """A rail to cut: which run and place, length along its middle on the underside, mm, and its two ends."""

    run: str
    place: str
    length: float
    start: RailEnd
    finish: RailEnd


@dataclass(frozen=True, slots=True)
class Pulling:
    """How the cables of a run are pulled; of cables that are led on each run has its own, ends and thread those of them all.

    ``adjustable``, ``fixed``: posts with thread to turn and without. ``spool``, ``feed``: where the spool stands and
    towards which post the cable goes. ``quarter_turn``: N a quarter turn, None: not said. ``columns``: (temperature K,
    pull N, sag mm, least sag, most sag). ``travel_asked``, ``travel_has``: thread in mm.
    ``turns``: from hand-fast, at each end that has a thread to turn, None: not said.
    """

    run: str
    adjustable: tuple[str, ...]
    fixed: tuple[str, ...]
    spool: str
    feed: str
    quarter_turn: float | None
    columns: tuple[tuple[float, float, float, float, float], ...]
    travel_asked: float
    travel_has: float
    turns: float | None = None


@dataclass(frozen=True, slots=True)
class Takeoff:
    """What follows from the plan for the shop.

    ``buying``: spools, None where no spool is long enough. ``drills``: drills and their holes. ``rails``: pieces
    between the posts, or of a rail over them. ``pulling``: what the tension page needs, run by run. ``taps``: thread and how many
    holes. ``slots``: size as words ("5.6 x 8.2"), drill, how many.
    """

    cables: tuple[CableCut, ...] = ()
    hardware: tuple[tuple[str, int], ...] = ()
    tension_order: tuple[tuple[str, tuple[int, ...]], ...] = ()
    buying: Buying | None = None
    drills: tuple[Drilling, ...] = ()
    rails: tuple[RailCut, ...] = ()
    pulling: tuple[Pulling, ...] = ()
    taps: tuple[tuple[str, int], ...] = ()
    slots: tuple[tuple[str, str, int], ...] = ()
