"""What a packet is asked for, what was found on the way to it, and the packet itself, as values."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from io import BytesIO
from typing import TYPE_CHECKING, Any, BinaryIO, Protocol

from jiggen.plan.document import SheetSize, document
from jiggen.plan.model import Group, Plan
from jiggen.plan.report import report
from jiggen.problems import Problem
from jiggen.sheets.correction import Correction, as_data, from_data
from jiggen.sheets.model import Paper, Sheet
from jiggen.sheets.tiling import Tiled
from jiggen.units import MM_PER_INCH, System, tape
from jiggen.verify import Deviation, Target

if TYPE_CHECKING:
    from jiggen.compose.jig import Layout
    from jiggen.plan.jigs.model import Jig

Progress = Callable[[str, int, int], None]
ALL, NONE = "all", "none"


class ReadBackError(Exception):
    """Raised when a file just made does not agree with its plan; carries what is wrong."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


@dataclass(frozen=True, slots=True)
class Options:
    """What a packet is asked for beyond its job.

    ``only``: sheets by id, ``posts``: by name, () for all. ``jigs``: "all", "none" or the ids of sheets with commas
    between them. ``printer``: the name that the pages tell of whose ``correction`` they carry.
    """

    paper: str | None = None
    only: tuple[str, ...] = ()
    posts: tuple[str, ...] = ()
    draft: bool = False
    jigs: str = ALL
    printer: str = ""
    correction: Correction | None = None

    @property
    def whole(self) -> bool:
        """Whether every sheet is asked for, and so everything beside the sheets."""
        return not (self.only or self.posts)

    def data(self) -> dict[str, Any]:
        """The options that differ from the usual ones, as plain data."""
        usual = asdict(Options())
        found = {key: value for key, value in asdict(self).items() if value != usual[key]}
        if self.correction:
            found["correction"] = as_data(self.correction)
        return {key: list(value) if isinstance(value, tuple) else value for key, value in found.items()}


def options_from(data: Mapping[str, Any]) -> Options:
    """The reverse of ``Options.data``. Raises ValueError where it is not of that form."""
    try:
        made = Options(
            None if data.get("paper") is None else str(data["paper"]),
            tuple(map(str, data.get("only", ()))),
            tuple(map(str, data.get("posts", ()))),
            data.get("draft") is True,
            str(data.get("jigs", ALL)),
            str(data.get("printer", "")),
            from_data(data["correction"]) if "correction" in data else None,
        )
    except (TypeError, AttributeError) as error:
        raise ValueError(f"how the packet was made is damaged in the file ({error})") from None
    return made


class Store(Protocol):
    """Where the files of a packet go as they are made; a name has "/" for folders."""

    def put(self, name: str, data: bytes) -> None:
        """A whole file."""

    def begin(self, name: str) -> BinaryIO:
        """A new file to be written piece by piece, and to be read back; the store closes it."""


class Memory:
    """A store that keeps all files in memory, in the order in which they came."""

    def __init__(self) -> None:
        self._kept: dict[str, BytesIO] = {}

    def put(self, name: str, data: bytes) -> None:
        self._kept[name] = BytesIO(data)

    def begin(self, name: str) -> BinaryIO:
        return self._kept.setdefault(name, BytesIO())

    @property
    def files(self) -> dict[str, bytes]:
        """Name and bytes of each file."""
        return {name: file.getvalue() for name, file in self._kept.items()}


@dataclass(frozen=True)
class Drawn:
    """One sheet as it was drawn and cut into pages, with what it must show.

    ``name``, ``width``, ``height``, ``count`` (of its pages) and ``warnings``: the sheet's. ``draw`` gives the sheet on
    its pages; where a job has many sheets none is kept and each is drawn again when it is asked for.
    """

    group: Group
    targets: tuple[Target, ...]
    name: str
    width: float
    height: float
    count: int
    warnings: tuple[str, ...]
    draw: Callable[[], Tiled]

    @property
    def tiled(self) -> Tiled:
        """The sheet cut into pages."""
        return self.draw()

    @property
    def sheet(self) -> Sheet:
        """The sheet before it is cut."""
        return self.draw().sheet


@dataclass(frozen=True)
class Made:
    """A jig, or the comb or discs that go with the jigs, laid on its panels."""

    jig: Jig
    layout: Layout


@dataclass(frozen=True)
class Survey:
    """A plan with everything that was found in it and its sheets drawn; nothing rendered yet.

    ``foot``: what every page but the scale page says of what it belongs to. ``jigs``: those that can be made.
    """

    plan: Plan
    problems: tuple[Problem, ...]
    paper: Paper
    sheets: tuple[Drawn, ...]
    samples: tuple[Drawn, ...]
    options: Options
    foot: str
    jigs: tuple[Made, ...] = ()

    @property
    def document(self) -> dict[str, Any]:
        """plan.json as plain data."""
        sizes = [SheetSize(one.group.id, one.width, one.height, one.count) for one in self.sheets]
        return document(self.plan, sizes, self.problems)

    @property
    def stops(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.level == "stop")

    def text(self) -> list[str]:
        """The plan as lines for a terminal."""
        return report(self.plan, [sheet_words(drawn, self.plan.job.units) for drawn in self.sheets])


@dataclass(frozen=True)
class Packet:
    """A finished packet: its files by name (with folders, "/") in a fixed order, what was read back, what is to be told.

    ``files``: their bytes, none where they went to a store. ``pages``: of packet.pdf, cover and lists with it.
    """

    survey: Survey
    names: tuple[str, ...]
    files: Mapping[str, bytes]
    deviations: tuple[Deviation, ...]
    notes: tuple[str, ...] = field(default=())
    pages: int = 0


def sheet_words(drawn: Drawn, units: System = "mm") -> str:
    """One line on a sheet: "S1: 3 toward 2, 3 toward 4; 176 x 940 mm, 5 pages"; in an inch job's ``units`` its size in
    inches too."""
    faces = ", ".join(" ".join(face.rsplit("/", 1)) for face in drawn.group.faces)
    pages = f"{drawn.count} page{'s' * (drawn.count > 1)}"
    size = f"{drawn.width:.0f} x {drawn.height:.0f} mm"
    if units == "in":
        size = f"{tape(drawn.width, MM_PER_INCH / 8).text} x {tape(drawn.height, MM_PER_INCH / 8).text} in ({size})"
    return f"{drawn.group.id}: {faces}; {size}, {pages}"
