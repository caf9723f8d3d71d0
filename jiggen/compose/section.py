"""Pages of a packet with the name that they have in its contents and outline."""

from __future__ import annotations

from dataclasses import dataclass

from jiggen.drawing.scene import Drawing

SCALE = "Scale page"


@dataclass(frozen=True)
class Section:
    """Some pages of the packet with the name that they have in its contents and outline."""

    name: str
    drawings: tuple[Drawing, ...]
