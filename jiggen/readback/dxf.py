"""DXF bytes to circles, lines and contours in the page frame: mm, y up, read by group codes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import atan2, hypot, isfinite, pi

from jiggen.readback.contour import Contour
from jiggen.readback.model import Circle, Found, PageBox, Segment
from jiggen.units import MM_PER_INCH

MOST = 64 * 1024 * 1024
MM_PER_UNIT = {1: MM_PER_INCH, 2: 12.0 * MM_PER_INCH, 4: 1.0, 5: 10.0, 6: 1000.0}  # $INSUNITS: in, ft, mm, cm, m

Pair = tuple[int, str]


def read_dxf(data: bytes) -> Found:
    """Every CIRCLE, whole ELLIPSE and LINE of the ENTITIES section.

    Frame: mm, x to the right, y up. ``data``: strings "key=value" of the extended data, and "layer". The page is
    $LIMMAX. Raises ValueError with one plain sentence: no DXF, a binary one, no known unit, a number that is none,
    a mirrored entity, over 64 MB.
    """
    scale, box, entities = _opened(data)
    circles: list[Circle] = []
    segments: list[Segment] = []
    for kind, pairs in entities:
        if kind == "CIRCLE":
            r = _one(pairs, 40) * scale
            if r > 0.0:
                circles.append(Circle(_one(pairs, 10) * scale, _one(pairs, 20) * scale, r, r, 0.0, _data(pairs), 0))
        elif kind == "ELLIPSE" and _whole(pairs):
            circles.append(_ellipse(pairs, scale))
        elif kind == "LINE":
            ends = [_one(pairs, code) * scale for code in (10, 20, 11, 21)]
            segments.append(Segment(ends[0], ends[1], ends[2], ends[3], _data(pairs), 0))
    return Found(tuple(circles), tuple(segments), (box,))


def read_dxf_contours(data: bytes) -> tuple[Contour, ...]:
    """Every LWPOLYLINE, in the order of the file; frame and errors as ``read_dxf``. Raises ValueError for arcs in one."""
    scale, _, entities = _opened(data)
    found = []
    for kind, pairs in entities:
        if kind == "LWPOLYLINE":
            if any(code == 42 and abs(_number(value)) > 1e-12 for code, value in pairs):
                raise ValueError("this DXF has a polyline with arcs, which is not read")
            xs = [_number(value) * scale for code, value in pairs if code == 10]
            ys = [_number(value) * scale for code, value in pairs if code == 20]
            closed = bool(int(_one(pairs, 70)) & 1)
            said = _data(pairs)
            if xs and len(xs) == len(ys):
                found.append(Contour(tuple(zip(xs, ys, strict=True)), closed, said, said["layer"]))
    return tuple(found)


def _opened(data: bytes) -> tuple[float, PageBox, list[tuple[str, list[Pair]]]]:
    """mm a unit, the page, and each entity with its pairs."""
    pairs = _pairs(data)
    header = _section(pairs, "HEADER")
    unit = int(_variable(header, "$INSUNITS", 70))
    if unit not in MM_PER_UNIT:
        raise ValueError("this DXF does not say its unit")
    scale = MM_PER_UNIT[unit]
    box = PageBox(_variable(header, "$LIMMAX", 10) * scale, _variable(header, "$LIMMAX", 20) * scale)
    return scale, box, list(_entities(_section(pairs, "ENTITIES")))


def _pairs(data: bytes) -> list[Pair]:
    if len(data) > MOST:
        raise ValueError("this DXF is over 64 MB")
    if data.startswith(b"AutoCAD Binary DXF"):
        raise ValueError("this is a binary DXF, which is not read")
    lines = data.decode("utf-8", "replace").splitlines()
    found: list[Pair] = []
    for i in range(0, len(lines) - 1, 2):
        try:
            found.append((int(lines[i]), lines[i + 1].strip()))
        except ValueError:
            raise ValueError(f"this is not a DXF: line {i + 1} is no group code") from None
    if not found:
        raise ValueError("this is not a DXF: it is empty")
    return found


def _section(pairs: Sequence[Pair], name: str) -> list[Pair]:
    for i in range(len(pairs) - 1):
        if pairs[i] == (0, "SECTION") and pairs[i + 1] == (2, name):
            end = next((j for j in range(i, len(pairs)) if pairs[j] == (0, "ENDSEC")), None)
            if end is None:
                raise ValueError(f"this DXF breaks off in its {name} section")
            return list(pairs[i + 2 : end])
    raise ValueError(f"this DXF has no {name} section")


def _variable(header: Sequence[Pair], name: str, code: int) -> float:
    """One value of a header variable, 0 where it is not there."""
    inside = False
    for found, value in header:
        if found == 9:
            inside = value == name
        elif inside and found == code:
            return _number(value)
    return 0.0


def _entities(pairs: Sequence[Pair]) -> Iterator[tuple[str, list[Pair]]]:
    kind, held = "", list[Pair]()
    for pair in (*pairs, (0, "")):
        if pair[0] == 0:
            if kind:
                if _one(held, 230, 1.0) < 0.0:
                    raise ValueError(f"this DXF has a mirrored {kind}, which is not read")
                yield kind, held
            kind, held = pair[1], []
        else:
            held.append(pair)


def _one(pairs: Sequence[Pair], code: int, default: float = 0.0) -> float:
    return next((_number(value) for found, value in pairs if found == code), default)


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        raise ValueError(f'this DXF has a number that is none: "{text[:40]}"')
    return value


def _data(pairs: Sequence[Pair]) -> dict[str, str]:
    found = {"layer": next((value for code, value in pairs if code == 8), "0")}
    for code, value in pairs:
        if code == 1000 and "=" in value:
            key, _, held = value.partition("=")
            found[key] = held
    return found


def _whole(pairs: Sequence[Pair]) -> bool:
    return abs(_one(pairs, 42, 2.0 * pi) - _one(pairs, 41) - 2.0 * pi) < 1e-6


def _ellipse(pairs: Sequence[Pair], scale: float) -> Circle:
    x, y, ratio = _one(pairs, 11) * scale, _one(pairs, 21) * scale, _one(pairs, 40, 1.0)
    long, angle = hypot(x, y), atan2(y, x)
    if angle > pi / 2.0:
        angle -= pi
    elif angle < -pi / 2.0:
        angle += pi
    return Circle(_one(pairs, 10) * scale, _one(pairs, 20) * scale, long, long * ratio, angle, _data(pairs), 0)
