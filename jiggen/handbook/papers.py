"""A paper's name turned into its width and height."""

from __future__ import annotations

from jiggen.handbook.load import rows
from jiggen.units import length


def paper(name: str) -> tuple[float, float] | None:
    """Width and height in mm, portrait, of "letter", "legal", "tabloid", "a4" or "a3" in any case.

    None for any other name.
    """
    found = next((row for row in rows("papers.csv") if row["name"] == name.casefold().strip()), None)
    return (length(found["width"]), length(found["height"])) if found else None


def names() -> tuple[str, ...]:
    """The names that ``paper`` knows."""
    return tuple(row["name"] for row in rows("papers.csv"))
