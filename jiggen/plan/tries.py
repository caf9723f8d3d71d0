"""What may be planned again for the remedies of one job: so many marks and no more, however many problems it has."""

from __future__ import annotations

from dataclasses import dataclass, field

from jiggen.problems import Cure

MOST = 10_000  # marks that are laid out again for all remedies of a job, ...
EACH = 2  # ... or so many times all that it has, where that is more; our choice


@dataclass
class Tries:
    """How many ``marks`` may still be laid out again, and whether remedies asked for more (``short``).

    ``clean``: what was planned again and stopped at nothing, by all that decides it. ``told``: the path of a run, the words
    and the cures that were found for it, by the same.
    """

    marks: int = MOST
    short: bool = False
    clean: set[str] = field(default_factory=set)
    told: dict[str, tuple[str, str, tuple[Cure, ...]]] = field(default_factory=dict)

    @classmethod
    def of(cls, marks: int) -> Tries:
        """For a job of so many ``marks``."""
        return cls(max(MOST, EACH * marks))

    def left(self) -> bool:
        """Whether anything may still be planned again; asked for in vain, that is remembered."""
        self.short = self.short or self.marks <= 0
        return self.marks > 0
