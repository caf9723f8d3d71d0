"""What was measured of a printer, typed into the page, turned into kept profiles and back into rows of words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from math import degrees
from pathlib import Path
from typing import Any

from jiggen import printers
from jiggen.problems import JobError, Problem
from jiggen.sheets.correction import as_data, measured
from jiggen.sheets.paper import paper

PAPERS = ("letter", "a4", "legal", "tabloid", "a3")
LONG = 900.0  # mm, a post under a guard's rail: what the doubt is told for
LONGEST = 60  # characters of a reading


def listed(where: Path | None, today: date) -> dict[str, Any]:
    """Every printer that is kept, in words, and a problem for each file that is damaged."""
    found, damaged = printers.every(where)
    return {
        "printers": [_row(one, today) for one in found],
        "problems": [_plain(problem, "a kept printer") for problem in damaged],
        "papers": list(PAPERS),
    }


def keep(asked: Mapping[str, Any], where: Path | None, today: date) -> dict[str, Any]:
    """Keep what a scale page measured; the profile in words. Raises JobError for readings that make no sense, OSError."""
    name, size, across, along, diagonals = (_text(asked, k) for k in ("name", "paper", "across", "along", "diagonals"))
    if size not in PAPERS:
        raise _refusal("paper", f'found "{size}"', f"choose one of {', '.join(PAPERS)}")
    sheet = paper(size)
    try:
        printers.safe_name(name)
        correction, doubt = measured(across, along, diagonals, (sheet.width, sheet.height))
        said = f"across {across}, along {along}" + (f", diagonals {diagonals}" if diagonals.strip() else "")
        profile = printers.Profile(name, size, correction, today, doubt, said)
    except ValueError as error:
        found, _, remedy = str(error).partition("; ")
        raise _refusal(
            f"printer {name}".strip(), found, remedy or "print the scale page at 100 % and measure it"
        ) from None
    printers.save(profile, where)
    return _row(profile, today)


def forget(name: str, where: Path | None) -> list[str]:
    """Forget a printer; the papers it was kept for. Raises JobError for a name that cannot be one, OSError."""
    try:
        return printers.remove(name, None, where)
    except ValueError as error:
        raise _refusal("printer", str(error).partition("; ")[0], "choose one of the list") from None


def _text(asked: Mapping[str, Any], key: str) -> str:
    value = asked.get(key, "")
    if not isinstance(value, str) or len(value) > LONGEST or not value.isprintable():
        raise _refusal(key, "found no short text", 'write such as "190.6 of 190.5 mm"')
    return value.strip()


def _row(profile: printers.Profile, today: date) -> dict[str, Any]:
    made = profile.correction
    lean = round(degrees(made.skew), 2)
    words = f"prints {made.across * 100.0:.2f} % across, {made.along * 100.0:.2f} % along"
    if lean:
        words += f", leans {abs(lean):.2f} degrees {'right' if lean > 0.0 else 'left'}"
    old = printers.age_note(profile, today)
    return {
        "name": profile.name,
        "paper": profile.paper,
        "words": words,
        "doubt": f"read no finer, a corrected print may still be off by up to {profile.doubt * LONG:.1f} mm over {LONG:.0f} mm",
        "measured": profile.measured.isoformat(),
        "read": profile.read,
        "correction": as_data(made),
        "note": f"{old.found}; {old.remedy}" if old else "",
    }


def _plain(problem: Problem, where: str) -> dict[str, str]:
    """A problem without the path of a file of this machine."""
    return {"level": problem.level, "where": where, "found": problem.found, "remedy": problem.remedy}


def _refusal(where: str, found: str, remedy: str) -> JobError:
    return JobError([Problem("stop", where, found, remedy)])
