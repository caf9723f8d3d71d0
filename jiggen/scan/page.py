"""A picture and the squares in it turned into which page it shows and how that page was printed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations
from math import degrees

import cv2
import numpy as np
from numpy.typing import NDArray

from jiggen.scan.fit import Fit, fitted
from jiggen.scan.picture import Picture, ScanError
from jiggen.scan.squares import Found, squares
from jiggen.sheets.fiducials import CELL, LOWER_LEFT, LOWER_RIGHT, SIDE, Places, code_corner, places
from jiggen.sheets.pagecode import CELLS, PageCode, read
from jiggen.units import MM_PER_INCH

MOST_SPREAD = 0.25  # mm; squares further off a flat page than that are no flatbed scan, or paper that is creased
NEAR = 0.03  # of a page's size: how far a square may be from where the first two say
_RIGHT_SCAN = "scan the whole page, flat on the glass, at 300 dpi"
_FEWEST = 4

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Seen:
    """One page in a scan: what its code says, its squares in the scan (mm, y up) by name, and how it was printed."""

    code: PageCode
    found: dict[str, tuple[float, float]]
    fit: Fit

    @property
    def true(self) -> dict[str, tuple[float, float]]:
        """Where the squares that were found should lie on the page, mm."""
        every = places(self.code)
        return {name: (every[name].x, every[name].y) for name in self.found}


def seen(image: Picture) -> Seen:
    """The page of ours that a picture shows, whichever way it is turned. Raises ScanError, the reason told."""
    marks = squares(image)
    if len(marks) < 2:
        raise ScanError(
            "no page of ours: the black squares in its corners are not there", f"{_RIGHT_SCAN}, a page made by jiggen"
        )
    known = _coded(image, marks)
    if known is None:
        raise _unread(image, marks)
    code, lower_left, lower_right = known
    matched = _matched(places(code), marks, lower_left, lower_right)
    missing = [name for name in places(code) if name not in matched]
    if len(matched) < _FEWEST or len(missing) > len(places(code)) // 4:
        raise ScanError(
            f"{code.name}, but no square in its {', '.join(missing)}", f"{_RIGHT_SCAN}; clean glass, no fold"
        )
    return _measured(image, code, matched)


def _measured(image: Picture, code: PageCode, matched: dict[str, Found]) -> Seen:
    pixel = 1.0 / image.per_mm
    high = image.grey.shape[0]
    found = {name: (one.x * pixel, (high - one.y) * pixel) for name, one in matched.items()}
    every = places(code)
    fit = fitted([every[name] for name in found], list(found.values()), pixel)
    if fit.spread > MOST_SPREAD:
        raise ScanError(
            f"{code.name}, but its squares are {fit.spread:.2f} mm off a flat page",
            f"{_RIGHT_SCAN}; no photograph, no crease, nothing under the lid",
        )
    guess = (fit.across + fit.along) / 2.0
    if abs(guess - 1.0) > 0.2:
        raise ScanError(
            f"{code.name}, {guess * 100.0:.0f} % of its size at {image.dpi:g} dpi",
            f"say the dpi that the scanner was set to: {image.dpi * guess:.0f} would fit",
        )
    return Seen(code, found, fit)


def _unread(image: Picture, marks: Sequence[Found]) -> ScanError:
    """Why no code could be read: the scan is mirrored, or there is none, or it is damaged."""
    turned = Picture(np.ascontiguousarray(image.grey[:, ::-1]), image.dpi)
    wide = image.grey.shape[1]
    if _coded(turned, [Found(wide - one.x, one.y, one.side) for one in marks]):
        return ScanError("the page is mirrored", "scan its printed side, without the scanner's mirror setting")
    return ScanError(
        f"{len(marks)} squares like ours, but no code of ours can be read beside one of them",
        f"{_RIGHT_SCAN}; if it is a page of ours, clean the glass and its lower right corner",
    )


def _coded(image: Picture, marks: Sequence[Found]) -> tuple[PageCode, Found, Found] | None:
    """The code and the two lower squares, from the pair of squares beside whose second one a code is read."""
    usual = float(np.median([one.side for one in marks]))
    alike = [one for one in marks if 0.75 < one.side / usual < 1.33]
    soft = np.asarray(cv2.GaussianBlur(image.grey, (0, 0), max(0.5, 0.15 * usual * CELL / SIDE)), np.float64)
    for first, second in permutations(alike, 2):
        away = np.array([second.x - first.x, second.y - first.y])
        if np.hypot(*away) < 6.0 * usual:
            continue
        for code, per_mm in _readings(soft, second, away, usual):
            every = places(code)
            true = every[LOWER_RIGHT].x - every[LOWER_LEFT].x
            if abs(np.hypot(*away) / (true * per_mm) - 1.0) < 0.12:
                return code, first, second
    return None


def _readings(grey: Array, square: Found, away: Array, side: float) -> Iterator[tuple[PageCode, float]]:
    """Codes read beside ``square`` with the page's lower edge along ``away``, at sizes about the square's own."""
    right = away / np.hypot(*away)
    down = np.array([-right[1], right[0]])  # rows run down: a quarter turn that way is down the page
    corner = code_corner(places(PageCode(300.0, 300.0, 0.0))[LOWER_RIGHT])
    at = places(PageCode(300.0, 300.0, 0.0))[LOWER_RIGHT]
    across = corner.x - at.x + (np.arange(CELLS) + 0.5) * CELL
    below = at.y - corner.y + (np.arange(CELLS) + 0.5) * CELL
    for factor in (1.0 + step * sign / 100.0 for step in range(13) for sign in (1, -1)):
        per_mm = side / SIDE * factor
        x = square.x + per_mm * (across[None, :] * right[0] + below[:, None] * down[0])
        y = square.y + per_mm * (across[None, :] * right[1] + below[:, None] * down[1])
        values = sampled(grey, x, y)
        if values is None:
            continue
        low, high = np.percentile(values, (10.0, 90.0))
        if high - low > 40.0 and (code := read((values < (low + high) / 2.0).tolist())):
            yield code, per_mm


def sampled(grey: Array, x: Array, y: Array) -> Array | None:
    """Grey values between pixels, linear; None where a place lies outside the picture."""
    px, py = x - 0.5, y - 0.5
    if px.min() < 0.0 or py.min() < 0.0 or px.max() >= grey.shape[1] - 1 or py.max() >= grey.shape[0] - 1:
        return None
    i, j = px.astype(int), py.astype(int)
    a, b = px - i, py - j
    top = grey[j, i] * (1.0 - a) + grey[j, i + 1] * a
    low = grey[j + 1, i] * (1.0 - a) + grey[j + 1, i + 1] * a
    return np.asarray(top * (1.0 - b) + low * b, np.float64)


def _matched(every: Places, marks: Sequence[Found], first: Found, second: Found) -> dict[str, Found]:
    """The squares by their names: each the one nearest to where the lower two say, if it is near."""
    a, b = every[LOWER_LEFT], every[LOWER_RIGHT]
    scale = complex(second.x - first.x, -(second.y - first.y)) / complex(b.x - a.x, b.y - a.y)
    found: dict[str, Found] = {}
    for name, at in every.items():
        move = scale * complex(at.x - a.x, at.y - a.y)
        x, y = first.x + move.real, first.y - move.imag
        best = min(marks, key=lambda one: np.hypot(one.x - x, one.y - y))
        if np.hypot(best.x - x, best.y - y) < 2.0 * abs(scale) + NEAR * abs(move):
            found[name] = best
    return found


def words(one: Seen, dpi: float) -> list[str]:
    """What was found, as lines: which page, scale, skew, each with its doubt."""
    fit = one.fit
    belongs = f", packet {one.code.fingerprint}" if one.code.fingerprint else ""
    lean = degrees(fit.skew)
    lies = degrees(fit.turn) if abs(degrees(fit.turn)) >= 0.05 else 0.0  # never -0.0
    paper = f"{one.code.width:g} x {one.code.height:g} mm"
    lines = [f"{one.code.name}{belongs}, paper {paper}" + (", corrected for a printer" if one.code.corrected else "")]
    lines.append(f"    across {fit.across * 100.0:.3f} % +- {fit.across_doubt * 100.0:.3f}")
    lines.append(f"    along  {fit.along * 100.0:.3f} % +- {fit.along_doubt * 100.0:.3f}")
    lines.append(
        f"    skew   {abs(lean):.3f} degrees {'right' if lean >= 0.0 else 'left'} +- {degrees(fit.skew_doubt):.3f}"
    )
    lines.append(
        f"    by {len(one.found)} squares, {fit.spread:.3f} mm off their fit; turned {lies:.1f} degrees; "
        f"a pixel is {MM_PER_INCH / dpi:.3f} mm"
    )
    return lines
