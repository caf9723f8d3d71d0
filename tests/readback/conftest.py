"""Small files put together by hand for the readers: a PDF from page contents, circles as Bezier pieces."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin, tan

import pytest


def pdf_bytes(
    *contents: bytes | str,
    page: str = "",
    root: str = "",
    resources: str = "",
    box: str = "0 0 595.276 841.89",
    extra: tuple[bytes, ...] = (),
) -> bytes:
    """A PDF of one page for each content. ``extra``: further objects, numbered from 100 on."""
    out = bytearray(b"%PDF-1.7\n")
    places: dict[int, int] = {}

    def add(number: int, body: bytes) -> None:
        places[number] = len(out)
        out.extend(b"%d 0 obj\n" % number + body + b"\nendobj\n")

    kids = " ".join(f"{3 + 2 * index} 0 R" for index in range(len(contents)))
    add(1, f"<</Type/Catalog/Pages 2 0 R {root}>>".encode())
    add(2, f"<</Type/Pages/Count {len(contents)}/Kids[{kids}]/MediaBox[{box}]>>".encode())
    for index, content in enumerate(contents):
        raw = content.encode("latin-1") if isinstance(content, str) else content
        place = f"/Contents {4 + 2 * index} 0 R/Resources<<{resources}>>{page}"
        add(3 + 2 * index, f"<</Type/Page/Parent 2 0 R{place}>>".encode())
        add(4 + 2 * index, stream(raw))
    for index, body in enumerate(extra):
        add(100 + index, body)
    start = len(out)
    out.extend(b"xref\n0 1\n0000000000 65535 f \n")
    for number, place in places.items():
        out.extend(b"%d 1\n%010d 00000 n \n" % (number, place))
    out.extend(b"trailer<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % (max(places) + 1, start))
    return bytes(out)


def stream(raw: bytes, entries: str = "") -> bytes:
    return f"<</Length {len(raw)}{entries}>>stream\n".encode() + raw + b"\nendstream"


def arcs(
    x: float, y: float, rx: float, ry: float, pieces: int = 8, turn: float = 0.0, kappa: float | None = None
) -> str:
    """An ellipse as ``pieces`` even Bezier pieces, closed, not yet painted.

    The handles of a piece over the angle w are 4/3 tan(w/4) long on the unit circle: then its middle lies
    on the circle. Four pieces: 4/3 tan(pi/8) = 0.5523.
    """
    k = 4 / 3 * tan(pi / (2 * pieces)) if kappa is None else kappa

    def at(u: float, v: float) -> str:
        px, py = rx * u, ry * v
        return f"{x + px * cos(turn) - py * sin(turn):.6f} {y + px * sin(turn) + py * cos(turn):.6f}"

    words = [at(1.0, 0.0), "m"]
    for piece in range(pieces):
        a, b = 2 * pi * piece / pieces, 2 * pi * (piece + 1) / pieces
        words += [at(cos(a) - k * sin(a), sin(a) + k * cos(a)), at(cos(b) + k * sin(b), sin(b) - k * cos(b))]
        words += [at(cos(b), sin(b)), "c"]
    return " ".join([*words, "h"])


@pytest.fixture(scope="session")
def make_pdf() -> Callable[..., bytes]:
    return pdf_bytes


@pytest.fixture(scope="session")
def make_stream() -> Callable[..., bytes]:
    return stream


@pytest.fixture(scope="session")
def oval() -> Callable[..., str]:
    return arcs
