"""Path operations turned into the circles and straight lines that they paint, mm, in the page frame.

ISO 32000-1, 8.4.4 (graphics state), 8.5.2 to 8.5.4 (path construction, painting, clipping). One method an
operator, called with its operands; the method table of a canvas is ``acts``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from jiggen.readback.ellipse import LEAST_PIECES, STRAY, XY, Ellipse, drawn_by
from jiggen.readback.model import Circle, Segment

Matrix = tuple[float, float, float, float, float, float]
Rectangle = tuple[float, float, float, float]

MOST_SAVED = 1000
MOST_POINTS = 100_000  # lines or curves in a subpath, subpaths in a path
MOST_SIZE = 1e7  # mm; farther out than any page
EVERYWHERE: Rectangle = (-MOST_SIZE, -MOST_SIZE, MOST_SIZE, MOST_SIZE)
EDGE = 0.001  # mm by which a shape may pass the clip before it counts as cut
CLIPPED = {"clipped": "yes"}


class Subpath:
    """One connected piece of a path: its points (start, then 1 a line and 3 a curve) and what joins them."""

    __slots__ = ("closed", "curves", "lines", "points")

    def __init__(self, start: XY) -> None:
        self.points = [start]
        self.lines = 0
        self.curves = 0
        self.closed = False


class Canvas:
    """One page being painted. ``circles`` and ``segments`` grow; ``data`` goes onto what is painted next;
    ``unnamed``: whether lines without data are noted."""

    def __init__(self, matrix: Matrix, clip: Rectangle, page: int) -> None:
        self.matrix = matrix
        self._clip(clip)
        self.page = page
        self.data: Mapping[str, str] = {}
        self.circles: list[Circle] = []
        self.segments: list[Segment] = []
        self.saved: list[tuple[Matrix, Rectangle]] = []
        self.has_clipped = False
        self.unnamed = True
        self.clear()
        self.acts = self._acts()

    def _acts(self) -> dict[bytes, Callable[..., None]]:
        paint, close_and_paint = self.stroke, self.close_and_stroke
        return {
            b"m": self.move,
            b"l": self.line,
            b"c": self.curve,
            b"v": self.curve_from_here,
            b"y": self.curve_to_handle,
            b"h": self.close,
            b"re": self.rectangle,
            b"S": paint,
            b"s": close_and_paint,
            **dict.fromkeys((b"B", b"B*"), paint),
            **dict.fromkeys((b"b", b"b*"), close_and_paint),
            **dict.fromkeys((b"f", b"F", b"f*"), self.fill),
            b"n": self.finish,
            **dict.fromkeys((b"W", b"W*"), self.clip_next),
            b"q": self.save,
            b"Q": self.restore,
            b"cm": self.concatenate,
        }

    def clear(self) -> None:
        """Starts a new path."""
        self.path: list[Subpath] = []
        self.open: Subpath | None = None
        self.here: XY | None = None
        self.clips_next = False

    # graphics state

    def save(self) -> None:
        if len(self.saved) >= MOST_SAVED:
            raise ValueError("graphics states nested too deep")
        self.saved.append((self.matrix, self.clip))

    def restore(self) -> None:
        if not self.saved:
            raise ValueError("a Q without its q")
        self.matrix, clip = self.saved.pop()
        self._clip(clip)

    def concatenate(self, a: float, b: float, c: float, d: float, e: float, f: float) -> None:
        ma, mb, mc, md, me, mf = self.matrix
        self.matrix = (
            a * ma + b * mc,
            a * mb + b * md,
            c * ma + d * mc,
            c * mb + d * md,
            e * ma + f * mc + me,
            e * mb + f * md + mf,
        )

    def clip_to(self, points: list[XY]) -> None:
        """Narrows the clip by the upright box around ``points``; with no points nothing more is seen."""
        left, bottom, right, top = self.clip
        xs, ys = [x for x, _ in points] or [MOST_SIZE], [y for _, y in points] or [MOST_SIZE]
        low_x, low_y, high_x, high_y = min(xs), min(ys), max(xs), max(ys)
        if low_x > left or low_y > bottom or high_x < right or high_y < top:
            self.has_clipped = True
            self._clip((max(left, low_x), max(bottom, low_y), min(right, high_x), min(top, high_y)))

    def _clip(self, clip: Rectangle) -> None:
        left, bottom, right, top = self.clip = clip
        self.inner = (left - EDGE, bottom - EDGE, right + EDGE, top + EDGE)  # as far as a shape may pass it

    def corners(self, left: float, bottom: float, right: float, top: float) -> list[XY]:
        """The corners of a rectangle in user space, on the page."""
        a, b, c, d, e, f = self.matrix
        around = ((left, bottom), (right, bottom), (right, top), (left, top))
        return [(a * x + c * y + e, b * x + d * y + f) for x, y in around]

    # path construction

    def move(self, x: float, y: float) -> None:
        a, b, c, d, e, f = self.matrix
        self.here = (a * x + c * y + e, b * x + d * y + f)
        self.open = None

    def line(self, x: float, y: float) -> None:
        a, b, c, d, e, f = self.matrix
        piece = self.open or self._begun()
        piece.points.append((a * x + c * y + e, b * x + d * y + f))
        piece.lines += 1
        if piece.lines > MOST_POINTS:
            raise ValueError("a path with too many points")

    def curve(self, x1: float, y1: float, x2: float, y2: float, x3: float, y3: float) -> None:
        a, b, c, d, e, f = self.matrix
        piece = self.open or self._begun()
        piece.points += (
            (a * x1 + c * y1 + e, b * x1 + d * y1 + f),
            (a * x2 + c * y2 + e, b * x2 + d * y2 + f),
            (a * x3 + c * y3 + e, b * x3 + d * y3 + f),
        )
        piece.curves += 1
        if piece.curves > MOST_POINTS:
            raise ValueError("a path with too many points")

    def curve_from_here(self, x2: float, y2: float, x3: float, y3: float) -> None:
        a, b, c, d, e, f = self.matrix
        piece = self.open or self._begun()
        end = (a * x3 + c * y3 + e, b * x3 + d * y3 + f)
        piece.points += (piece.points[-1], (a * x2 + c * y2 + e, b * x2 + d * y2 + f), end)
        piece.curves += 1
        if piece.curves > MOST_POINTS:
            raise ValueError("a path with too many points")

    def curve_to_handle(self, x1: float, y1: float, x3: float, y3: float) -> None:
        self.curve(x1, y1, x3, y3, x3, y3)

    def close(self) -> None:
        if self.open is not None:
            self.open.closed = True
            self.here = self.open.points[0]
            self.open = None

    def rectangle(self, x: float, y: float, width: float, height: float) -> None:
        piece = Subpath((0.0, 0.0))
        piece.points = self.corners(x, y, x + width, y + height)
        piece.lines, piece.closed = 3, True
        self._add(piece)
        self.here, self.open = piece.points[0], None

    def _begun(self) -> Subpath:
        if self.here is None:
            raise ValueError("a line that starts nowhere")
        self.open = Subpath(self.here)
        self._add(self.open)
        return self.open

    def _add(self, piece: Subpath) -> None:
        if len(self.path) >= MOST_POINTS:
            raise ValueError("a path with too many pieces")
        self.path.append(piece)

    # path painting

    def stroke(self) -> None:
        for piece in self.path:
            if piece.curves >= LEAST_PIECES:
                self._round(piece)
            elif piece.lines == 1 and not piece.curves:
                self._straight(piece)
        self.finish()

    def close_and_stroke(self) -> None:
        self.close()
        self.stroke()

    def fill(self) -> None:
        for piece in self.path:
            if piece.curves >= LEAST_PIECES:
                self._round(piece)
        self.finish()

    def clip_next(self) -> None:
        self.clips_next = True

    def finish(self) -> None:
        """Ends the path unpainted, or after it was painted; a W before takes effect now."""
        if self.clips_next:
            self.clip_to([point for piece in self.path for point in piece.points])
        self.clear()

    def _round(self, piece: Subpath) -> None:
        """Notes the ellipse that ``piece`` draws, if it is one and is seen."""
        points = piece.points
        if piece.lines == 1 and _near(points[-1], points[-2]):
            points = points[:-1]  # a closing line of no length
        elif piece.lines:
            return
        if len(points) != 3 * piece.curves + 1 or not _near(points[0], points[-1]):
            return
        ellipse = drawn_by(points)
        if ellipse is None:
            return
        data = self._seen(ellipse)
        if data is not None:
            large, small, angle = ellipse.axes()
            self.circles.append(Circle(ellipse.x, ellipse.y, large, small, angle, data, self.page))

    def lines(self, segments: Iterable[Segment], matrix: Matrix) -> None:
        """Paints straight lines that were found in a space of their own, which ``matrix`` maps to user space."""
        user = self.matrix
        self.concatenate(*matrix)
        a, b, c, d, e, f = self.matrix
        self.matrix = user
        outside, page = self.data, self.page
        for one in segments:
            x1, y1 = a * one.x1 + c * one.y1 + e, b * one.x1 + d * one.y1 + f
            x2, y2 = a * one.x2 + c * one.y2 + e, b * one.x2 + d * one.y2 + f
            self._line(Segment(x1, y1, x2, y2, one.data or outside, page))

    def _seen(self, ellipse: Ellipse) -> Mapping[str, str] | None:
        """The data for ``ellipse``, None where the clip hides all of it."""
        left, bottom, right, top = self.clip
        x, y = ellipse.x, ellipse.y
        across, up = ellipse.extent()
        if self._holds(x - across, y - up, x + across, y + up):
            return self.data
        if x + across < left or x - across > right or y + up < bottom or y - up > top:
            return None
        return {**self.data, **CLIPPED} if ellipse.touches(left, bottom, right, top) else None

    def _straight(self, piece: Subpath) -> None:
        """Notes a two-point line if it is seen."""
        if not (self.unnamed or self.data):
            return
        (x1, y1), (x2, y2) = piece.points
        self._line(Segment(x1, y1, x2, y2, self.data, self.page))

    def _line(self, one: Segment) -> None:
        """Notes a line on the page if it is seen."""
        x1, y1, x2, y2 = one.x1, one.y1, one.x2, one.y2
        left, bottom, right, top = self.inner
        if left <= x1 <= right and left <= x2 <= right and bottom <= y1 <= top and bottom <= y2 <= top:
            self.segments.append(one)
        elif _crosses(self.clip, x1, y1, x2, y2):
            self.segments.append(replace(one, data={**one.data, **CLIPPED}))

    def _holds(self, left: float, bottom: float, right: float, top: float) -> bool:
        """Whether the clip leaves this rectangle whole."""
        low_x, low_y, high_x, high_y = self.inner
        return left >= low_x and right <= high_x and bottom >= low_y and top <= high_y


def _near(first: XY, second: XY) -> bool:
    return abs(first[0] - second[0]) <= STRAY and abs(first[1] - second[1]) <= STRAY


def _crosses(clip: Rectangle, x1: float, y1: float, x2: float, y2: float) -> bool:
    """Whether any of the line lies in ``clip``: what each edge leaves of it, as shares of its length."""
    if not all(abs(value) < MOST_SIZE for value in (x1, y1, x2, y2)):
        raise ValueError("a line that leads too far off the page")
    left, bottom, right, top = clip
    start, end = 0.0, 1.0
    for step, low, high in ((x2 - x1, left - x1, right - x1), (y2 - y1, bottom - y1, top - y1)):
        if step == 0.0:
            if low > 0.0 or high < 0.0:
                return False
            continue
        shares = sorted((low / step, high / step))
        start, end = max(start, shares[0]), min(end, shares[1])
    return start <= end and left <= right and bottom <= top
