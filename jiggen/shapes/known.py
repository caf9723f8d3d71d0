"""The shapes that a post may have: the keys of a job that give its sizes, its outline from them, and its words.

A new shape is a function from its sizes to an outline and a line in ``SHAPES``; nothing else knows a shape by its name.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import pi, tan

from jiggen.geometry import Point
from jiggen.shapes.outline import Circle, Outline, Polygon


@dataclass(frozen=True, slots=True)
class Size:
    """A size that a post is given by: ``key`` in [post.NAME], ``name`` on forms."""

    key: str
    name: str


@dataclass(frozen=True, slots=True)
class Shape:
    """What a job calls a shape is its name in ``SHAPES``.

    ``outline``: from the sizes, in their order, mm. ``told``: what lists say, each size's key in braces.
    """

    sizes: tuple[Size, ...]
    outline: Callable[..., Outline]
    told: str

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(size.key for size in self.sizes)


@dataclass(frozen=True, slots=True)
class Section:
    """A post cut across: the name of its ``shape``, its ``sizes`` in the order of the shape's keys, its outline; mm.

    ``along``, ``across``: outside sizes along the run and across it.
    """

    shape: str
    sizes: tuple[float, ...]
    outline: Outline
    along: float = field(init=False, repr=False, compare=False)
    across: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        reach = self.outline.support
        object.__setattr__(self, "along", reach(Point(1.0, 0.0)) + reach(Point(-1.0, 0.0)))
        object.__setattr__(self, "across", reach(Point(0.0, 1.0)) + reach(Point(0.0, -1.0)))

    def told(self, words: Callable[[float], str]) -> str:
        """The shape and its sizes as lists say them; ``words``: of a length."""
        shape = SHAPES[self.shape]
        return shape.told.format(**{key: words(size) for key, size in zip(shape.keys, self.sizes, strict=True)})


def section(shape: str, *sizes: float) -> Section:
    """The section of a shape by its name and sizes, mm. Raises KeyError for an unknown name."""
    return Section(shape, sizes, SHAPES[shape].outline(*sizes))


def square(width: float) -> Outline:
    return rectangular(width, width)


def rectangular(along: float, across: float) -> Outline:
    a, b = along / 2.0, across / 2.0
    return Polygon((Point(a, -b), Point(a, b), Point(-a, b), Point(-a, -b)))


def round_(diameter: float) -> Outline:
    return Circle(diameter / 2.0)


def octagon(width: float) -> Outline:
    """Eight equal sides, ``width`` between two that face each other; a side is width tan(22.5 degrees) wide."""
    a, b = width / 2.0, width / 2.0 * tan(pi / 8.0)
    corners = ((a, -b), (a, b), (b, a), (-b, a), (-a, b), (-a, -b), (-b, -a), (b, -a))
    return Polygon(tuple(Point(*corner) for corner in corners))


WIDTH = Size("width", "width")
SHAPES: dict[str, Shape] = {
    "square": Shape((WIDTH,), square, "square, {width}"),
    "rectangular": Shape(
        (Size("along", "width along"), Size("across", "width across")), rectangular, "{along} along, {across} across"
    ),
    "round": Shape((Size("diameter", "diameter"),), round_, "round, {diameter}"),
    "octagon": Shape((WIDTH,), octagon, "octagon, {width} between opposite sides"),
}


def size_names() -> dict[str, str]:
    """Every key that gives a size of some shape, with its name; in the order of the shapes."""
    return {size.key: size.name for shape in SHAPES.values() for size in shape.sizes}
