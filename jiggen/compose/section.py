"""Pages of a packet with the name that they have in its contents and outline."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from jiggen.drawing.scene import Drawing

SCALE = "Scale page"


@dataclass(frozen=True)
class Section:
    """Some pages of the packet with the name that they have in its contents and outline.

    ``draw`` gives them; a large job has hundreds, so that a section is drawn when it is asked for.
    """

    name: str
    draw: Callable[[], Iterable[Drawing]]

    @property
    def drawings(self) -> tuple[Drawing, ...]:
        """Its pages, drawn each time they are asked for."""
        return tuple(self.draw())
