"""What a file must show turned into the data that ride in it, and a file made earlier into how far it is off."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot, inf
from typing import TYPE_CHECKING, Any

from jiggen.build.model import Drawn, Made, Survey
from jiggen.problems import Problem
from jiggen.sheets.correction import Correction
from jiggen.sheets.correction import as_data as correction_data
from jiggen.sheets.correction import from_data as correction_from
from jiggen.verify import Deviation, Placed, Target, as_data, check_pdf, check_svg, from_data

if TYPE_CHECKING:
    from jiggen.plan.jigs.model import Jig
    from jiggen.readback.model import Segment
    from jiggen.verify.jig import GuideTarget

SCALE = "scale.json"  # in a scale page: how long its rulers and its square's diagonals are, mm
ALLOWED = 0.02  # of a line of the scale page as it is drawn, mm
DAMAGED = "the plan in the file is damaged"


@dataclass(frozen=True)
class Marks:
    """What a file of ours says it must show: ``wanted`` by sheet, ``placed`` a page, as read from the file."""

    wanted: Mapping[str, tuple[Target, ...]]
    placed: tuple[Placed | None, ...]
    fingerprint: str
    correction: Correction | None = None


def marks_data(found: Survey, drawn: Sequence[Drawn], placed: Sequence[Placed | None]) -> dict[str, Any]:
    """What a file must show, in the form that rides in it. ``placed``: of each page of a PDF, () for an SVG."""
    corrected = found.options.correction if placed else None
    return {
        "name": found.plan.job.name,
        "fingerprint": found.plan.fingerprint,
        **({"correction": correction_data(corrected)} if corrected else {}),
        "made": found.options.data(),
        "sheets": {one.group.id: as_data(one.targets) for one in drawn},
        "pages": [
            None if p is None else {"sheet": p.sheet, "shift": list(p.shift), "seats": dict(p.seats)} for p in placed
        ],
    }


def marks_from(data: Any) -> Marks:
    """The reverse of ``marks_data``. Raises ValueError where it is not of that form."""
    try:
        wanted = {str(sheet): from_data(rows) for sheet, rows in data["sheets"].items()}
        placed = tuple(
            None
            if page is None
            else Placed(
                str(page["sheet"]),
                (float(page["shift"][0]), float(page["shift"][1])),
                {str(face): (float(seat[0]), float(seat[1])) for face, seat in page["seats"].items()},
            )
            for page in data["pages"]
        )
        if any(page is not None and page.sheet not in wanted for page in placed):
            raise ValueError(f"{DAMAGED} (a page of no sheet)")
        if any(row.face not in page.seats for page in placed if page is not None for row in wanted[page.sheet]):
            raise ValueError(f"{DAMAGED} (a face without its place on a page)")
        correction = correction_from(data["correction"]) if "correction" in data else None
        return Marks(wanted, placed, str(data["fingerprint"]), correction)
    except (KeyError, TypeError, AttributeError, IndexError) as error:
        raise ValueError(f"{DAMAGED} ({error})") from None


def jig_data(found: Survey, made: Made) -> dict[str, Any]:
    """What the files of a jig must show, in the form that rides in its SVG files."""
    from jiggen.verify import edges
    from jiggen.verify import jig as jigs

    jig = made.jig
    return {
        "name": found.plan.job.name,
        "fingerprint": found.plan.fingerprint,
        "jig": jig.id,
        "kerf": jig.wish.kerf,
        "guides": jigs.as_data(guides(found, jig)),
        "edges": edges.as_data(edges.targets(jig)),
    }


def guides(found: Survey, jig: Jig) -> tuple[GuideTarget, ...]:
    """Where the guide holes of a jig must lie, from the plan's marks; none for the comb and the discs."""
    from jiggen.verify.jig import targets

    return targets(found.plan, jig)


def measure(data: bytes) -> tuple[list[Deviation], list[Problem], str]:
    """How far each mark of a packet, sheet PDF, sheet SVG or jig SVG made earlier is from its plan; its fingerprint.

    Of a scale page: how far its rulers and diagonals, as they are drawn, are from their lengths; "" for its fingerprint.

    Raises ValueError where the file is none of ours or cannot be read.
    """
    if data[:1024].lstrip().startswith(b"%PDF"):
        return _measure_pdf(data)
    from jiggen.readback.svg import read_svg

    found = read_svg(data)
    if not found.metadata.strip():
        raise ValueError("this SVG carries no plan of its marks, it is none of ours")
    meta = read_json(found.metadata.encode())
    if isinstance(meta, dict) and "guides" in meta:
        return _measure_jig(data, meta)
    marks = marks_from(meta)
    (sheet, rows), *_ = marks.wanted.items() or [("", ())]
    return *check_svg(sheet, rows, found), marks.fingerprint


def _measure_pdf(data: bytes) -> tuple[list[Deviation], list[Problem], str]:
    from jiggen.readback.pdf import read_pdf

    found = read_pdf(data, unnamed=False)
    if SCALE in found.attachments:
        return *_measure_scale(read_json(found.attachments[SCALE]), read_pdf(data).segments), ""
    if "marks.json" not in found.attachments:
        raise ValueError("this PDF carries no plan of its marks, it is none of ours")
    marks = marks_from(read_json(found.attachments["marks.json"]))
    if marks.correction:
        from jiggen.verify.printed import printed

        found = printed(found, marks.correction)
    return *check_pdf(marks.wanted, marks.placed, found), marks.fingerprint


def _measure_scale(told: Any, segments: Sequence[Segment]) -> tuple[list[Deviation], list[Problem]]:
    """The scale page's rulers and diagonals: of the lines that lie that way the one that is nearest to its length."""
    try:
        across, along, diagonal = (float(told[key]) for key in ("across", "along", "diagonal"))
    except (KeyError, TypeError, ValueError) as error:
        raise ValueError(f"{DAMAGED} ({error})") from None
    ways = [(s.x2 - s.x1, s.y2 - s.y1) for s in segments]
    ways = [(-x, -y) if x < 0.0 else (x, y) for x, y in ways]
    level = [x for x, y in ways if abs(y) < ALLOWED]
    upright = [abs(y) for x, y in ways if abs(x) < ALLOWED]
    rising, falling = ([hypot(x, y) for x, y in ways if abs(x - sign * y) < 0.01 * x] for sign in (1.0, -1.0))
    lines = (
        ("across", across, level),
        ("along", along, upright),
        ("diagonal A to A", diagonal, rising),
        ("diagonal B to B", diagonal, falling),
    )
    deviations, problems = [], []
    for name, wanted, lengths in lines:
        off = min((abs(length - wanted) for length in lengths), default=inf)
        deviations.append(Deviation(f"{name}, {wanted:.1f} mm", "scale page", off if off < inf else None))
        if off > ALLOWED:
            words = f"it is {off:.3f} mm off its {wanted:.1f} mm" if off < inf else "it is not there"
            problems.append(Problem("stop", f"scale page, {name}", words, "write the page again: jiggen scale --force"))
    return deviations, problems


def _measure_jig(data: bytes, meta: Mapping[str, Any]) -> tuple[list[Deviation], list[Problem], str]:
    """One panel by itself: only the parts on it are judged."""
    from jiggen.readback.contour import read_svg_contours
    from jiggen.readback.svg import read_svg
    from jiggen.verify import edges
    from jiggen.verify import jig as jigs

    try:
        sheet, kerf, fingerprint = str(meta["jig"]), float(meta["kerf"]), str(meta["fingerprint"])
        wanted = jigs.from_data(meta["guides"])
        rims = edges.from_data(meta["edges"])
    except (KeyError, TypeError) as error:
        raise ValueError(f"{DAMAGED} ({error})") from None
    found = read_svg(data)
    here = {s.data["part"] for s in found.segments if s.data.get("line") == "centre" and "part" in s.data}
    own = [target for target in wanted if target.part in here]
    panel = found, read_svg_contours(data)
    deviations, problems = jigs.check(sheet, own, [panel], kerf, True)
    problems += edges.check(edges.on_panel(rims, *panel), [panel], True)
    return deviations, problems, fingerprint


def read_json(data: bytes) -> Any:
    """Plain data from the text of a file. Raises ValueError where it is damaged."""
    try:
        return json.loads(data)
    except (ValueError, RecursionError) as error:
        raise ValueError(f"{DAMAGED} ({error})") from None
