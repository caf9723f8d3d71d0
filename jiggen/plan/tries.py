"""What may be planned again for the remedies of one job: so many marks and no more, however many problems it has."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field

MOST = 15_000  # marks that are laid out again for all remedies of a job; our choice


@dataclass
class Tries:
    """How many ``marks`` may still be laid out again, and whether remedies asked for more (``short``).

    ``clean``: what was planned again and stopped at nothing, by all that decides it.
    """

    marks: int = field(default_factory=lambda: MOST)
    short: bool = False
    clean: set[Hashable] = field(default_factory=set)

    def left(self) -> bool:
        """Whether anything may still be planned again; asked for in vain, that is remembered."""
        self.short = self.short or self.marks <= 0
        return self.marks > 0
