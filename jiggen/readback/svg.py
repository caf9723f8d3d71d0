"""SVG bytes to circles and lines in the sheet frame: mm, origin at the upper left, y down as in the file."""

from __future__ import annotations

import re
from math import cos, inf, radians, sin, tan
from math import pi as PI
from typing import NamedTuple
from xml.etree.ElementTree import ParseError, XMLParser

from jiggen.readback.ellipse import Ellipse
from jiggen.readback.model import Circle, Found, PageBox, Segment
from jiggen.units import MM_PER_INCH

MOST_BYTES = 64 * 1024 * 1024
MOST_NESTING = 1000
NAMESPACE = "{http://www.w3.org/2000/svg}"
MM_PER_UNIT = {
    "mm": 1.0,
    "cm": 10.0,
    "in": MM_PER_INCH,
    "pt": MM_PER_INCH / 72.0,
    "px": MM_PER_INCH / 96.0,
    "": MM_PER_INCH / 96.0,
}
NOT_DRAWN = {"defs", "symbol", "clipPath", "mask", "pattern", "marker", "linearGradient", "radialGradient"}
NOT_READ = {"use": "<use>", "svg": "an <svg> inside the <svg>"}

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_NUMBERS = re.compile(_NUMBER)
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z%]*)\s*")
_STEP = re.compile(r"[\s,]*([a-zA-Z]+)\s*\(([^()]*)\)[\s,]*")
_HIDDEN = re.compile(r"(?:^|;)\s*display\s*:\s*none\s*(?:;|$)")


class Affine(NamedTuple):
    """x' = a x + c y + e, y' = b x + d y + f, in the order in which SVG writes a matrix."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def at(self, x: float, y: float) -> tuple[float, float]:
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    def after(self, inner: Affine) -> Affine:
        """The map that does ``inner`` first, then this one."""
        e, f = self.at(inner.e, inner.f)
        return Affine(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            e,
            f,
        )


def read_svg(data: bytes) -> Found:
    """Every ``<circle>``, ``<ellipse>`` and ``<line>`` that is drawn, and the text of ``<metadata>``.

    Frame: mm, origin at the picture's upper left corner, y down; angles as ``Circle`` says, as seen.
    Scale: the root's width and height (mm, cm, in, pt, px or bare, at 96 px to the inch), its viewBox and
    preserveAspectRatio (SVG 1.1, section 7.8: only "none" scales x and y apart). Transforms of groups and
    elements: SVG 1.1, section 7.6. ``data``: the element's own data-* attributes, without the prefix.
    What stands in ``<defs>`` and its like or has display none is left out; so are circles of radius 0.

    Raises ValueError with one plain sentence: no SVG, broken XML, no size, a DOCTYPE (refused, entities
    with it), a ``<use>`` or an inner ``<svg>`` (not read), a number that is none, over 64 MB.
    """
    reader = _Reader()
    parsed(data, reader)
    if reader.box is None:
        raise ValueError("this is not an SVG: it is empty")
    return Found(tuple(reader.circles), tuple(reader.segments), (reader.box,), {}, "".join(reader.texts).strip())


def parsed(data: bytes, reader: _Reader) -> None:
    """Give the elements of an SVG to ``reader``. Raises ValueError with one plain sentence where they cannot be read."""
    if len(data) > MOST_BYTES:
        raise ValueError("this SVG is over 64 MB")
    parser = XMLParser(target=reader)
    try:
        parser.feed(data)
        parser.close()
    except ParseError as error:
        raise ValueError(f"this is not an SVG, or its XML is broken: {error}") from None
    except (LookupError, UnicodeError):
        raise ValueError("this SVG is in an encoding that is not known") from None


class _Reader:
    """Takes the parser's events; keeps one map to mm for each open element, None where nothing is drawn."""

    def __init__(self) -> None:
        self.maps: list[Affine | None] = []
        self.box: PageBox | None = None
        self.circles: list[Circle] = []
        self.segments: list[Segment] = []
        self.texts: list[str] = []
        self.metadata_at = 0

    def doctype(self, name: str, public: str | None, system: str | None) -> None:
        raise ValueError("this SVG has a DOCTYPE, which is refused")

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.removeprefix(NAMESPACE)
        if self.box is None:
            self._root(name, attributes)
            return
        if len(self.maps) >= MOST_NESTING:
            raise ValueError(f"this SVG is nested more than {MOST_NESTING} deep")
        outer = self.maps[-1]
        if name == "metadata" and not self.metadata_at:
            self.metadata_at = len(self.maps)
        if outer is None or name in NOT_DRAWN or name == "metadata" or _is_hidden(attributes):
            self.maps.append(None)
            return
        if name in NOT_READ:
            raise ValueError(f"this SVG has {NOT_READ[name]}, which is not read")
        here = outer.after(read_transform(attributes["transform"])) if "transform" in attributes else outer
        self.maps.append(here)
        if name in ("circle", "ellipse"):
            self._ellipse(name, attributes, here)
        elif name == "line":
            self._line(attributes, here)

    def end(self, tag: str) -> None:
        self.maps.pop()
        if self.metadata_at == len(self.maps):
            self.metadata_at = 0

    def data(self, text: str) -> None:
        if self.metadata_at:
            self.texts.append(text)

    def close(self) -> None:
        """Nothing is left to do at the end."""

    def _root(self, name: str, attributes: dict[str, str]) -> None:
        if name != "svg":
            raise ValueError(f"this is not an SVG: its root is <{name[:40]}>")
        self.box = PageBox(_size(attributes, "width"), _size(attributes, "height"))
        self.maps.append(_to_mm(self.box, attributes))

    def _ellipse(self, name: str, attributes: dict[str, str], here: Affine) -> None:
        names = ("r", "r") if name == "circle" else ("rx", "ry")
        rx, ry = (_user(attributes, radius) for radius in names)
        if rx < 0.0 or ry < 0.0:
            raise ValueError(f"this SVG has a <{name}> with a negative radius")
        x, y = here.at(_user(attributes, "cx"), _user(attributes, "cy"))
        image = Ellipse(x, y, here.a * rx, here.b * rx, here.c * ry, here.d * ry)
        large, small, turn = image.axes()
        if small > 0.0:
            angle = -turn if turn < PI / 2.0 else turn  # y down: what turns to +y goes clockwise as seen
            self.circles.append(Circle(x, y, large, small, angle + 0.0, _data(attributes), 0))

    def _line(self, attributes: dict[str, str], here: Affine) -> None:
        x1, y1 = here.at(_user(attributes, "x1"), _user(attributes, "y1"))
        x2, y2 = here.at(_user(attributes, "x2"), _user(attributes, "y2"))
        self.segments.append(Segment(x1, y1, x2, y2, _data(attributes), 0))


def read_transform(text: str) -> Affine:
    """The map of a transform attribute, its steps multiplied from left to right. Angles in it are degrees.

    Raises ValueError where the text is no list of translate, scale, rotate, matrix, skewX, skewY.
    """
    whole, place = Affine(), 0
    end = len(text.rstrip())
    while place < end:
        step = _STEP.match(text, place)
        if step is None:
            raise ValueError(f'this SVG has a transform that cannot be read: "{text[:60]}"')
        whole = whole.after(_step(step[1], step[2]))
        place = step.end()
    return whole


def _step(name: str, inside: str) -> Affine:
    """One step of a transform list."""
    values = [float(number) for number in _NUMBERS.findall(inside)]
    if _NUMBERS.sub("", inside).strip(" \t\r\n,"):
        values = []
    match name, values:
        case "matrix", [a, b, c, d, e, f]:
            return Affine(a, b, c, d, e, f)
        case "translate", [x, *rest] if len(rest) <= 1:
            return Affine(e=x, f=rest[0] if rest else 0.0)
        case "scale", [x, *rest] if len(rest) <= 1:
            return Affine(a=x, d=rest[0] if rest else x)
        case "rotate", [degrees]:
            return _rotation(degrees)
        case "rotate", [degrees, x, y]:
            return Affine(e=x, f=y).after(_rotation(degrees)).after(Affine(e=-x, f=-y))
        case "skewX", [degrees]:
            return Affine(c=tan(radians(degrees)))
        case "skewY", [degrees]:
            return Affine(b=tan(radians(degrees)))
    raise ValueError(f'this SVG has a transform that cannot be read: "{name[:20]}({inside[:40]})"')


def _rotation(degrees: float) -> Affine:
    c, s = cos(radians(degrees)), sin(radians(degrees))
    return Affine(c, s, -s, c)


def _to_mm(box: PageBox, attributes: dict[str, str]) -> Affine:
    """The map from the root's user units to mm. Without a viewBox a user unit is a px."""
    if "viewBox" not in attributes:
        return Affine(a=MM_PER_UNIT["px"], d=MM_PER_UNIT["px"])
    values = [float(number) for number in _NUMBERS.findall(attributes["viewBox"])]
    if len(values) != 4 or not (0.0 < values[2] < inf and 0.0 < values[3] < inf):
        raise ValueError(f'this SVG has a viewBox that cannot be read: "{attributes["viewBox"][:60]}"')
    left, top, width, height = values
    across, down = box.width / width, box.height / height
    words = attributes.get("preserveAspectRatio", "xMidYMid").split()
    if "none" not in words:
        across = down = max(across, down) if "slice" in words else min(across, down)
    align = next((word for word in words if word[:1] == "x"), "xMidYMid")
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    spare_x = (box.width - across * width) * share.get(align[1:4], 0.5)
    spare_y = (box.height - down * height) * share.get(align[5:8], 0.5)
    return Affine(across, 0.0, 0.0, down, spare_x - across * left, spare_y - down * top)


def _size(attributes: dict[str, str], name: str) -> float:
    """The root's width or height, mm."""
    if name not in attributes:
        raise ValueError(f"this SVG has no {name}, so it has no size")
    found = _LENGTH.fullmatch(attributes[name])
    size = float(found[1]) * MM_PER_UNIT.get(found[2], 0.0) if found else 0.0
    if not 0.0 < size < inf:
        raise ValueError(f'this SVG has no size: its {name} is "{attributes[name][:40]}"')
    return size


def _user(attributes: dict[str, str], name: str) -> float:
    """A length attribute of a shape in user units, 0 where it is not there."""
    text = attributes.get(name, "0")
    found = _LENGTH.fullmatch(text)
    if found is None or found[2] not in MM_PER_UNIT:
        raise ValueError(f'this SVG has a length that cannot be read: {name}="{text[:40]}"')
    return float(found[1]) * (MM_PER_UNIT[found[2]] / MM_PER_UNIT["px"] if found[2] else 1.0)


def _data(attributes: dict[str, str]) -> dict[str, str]:
    return {name[5:]: value for name, value in attributes.items() if name.startswith("data-")}


def _is_hidden(attributes: dict[str, str]) -> bool:
    return attributes.get("display") == "none" or bool(_HIDDEN.search(attributes.get("style", "")))
