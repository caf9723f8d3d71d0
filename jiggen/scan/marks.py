"""A page in a scan and the marks that should be on it turned into how far each printed mark is from its plan, true size."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, fsum, hypot, pi, sin

import cv2
import numpy as np
from numpy.typing import NDArray

from jiggen.scan.fit import rigid
from jiggen.scan.page import Seen, sampled
from jiggen.scan.picture import Picture

RAYS = 96  # across the rim of a mark
REACH = 0.7  # mm, on both sides of the rim; half the width of its line is 0.18
STEP = 0.02
SOFT = 0.07  # mm, of blur against noise
_FEWEST = RAYS // 4
_OUTER = 0.2  # cosine of how far from the slot's direction a ray still counts
_INK = 0.3  # of black: less is paper

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Planned:
    """A circle or oval as it should be on the page: its middle, mm from the lower left, its half axes and their turn."""

    id: str
    x: float
    y: float
    rx: float
    ry: float
    angle: float


@dataclass(frozen=True, slots=True)
class MarkSeen:
    """How far a printed mark is from its plan at true size, the page laid on its plan as its squares fit best, mm.

    ``across``: to the right, ``along``: up the page; both None where the mark was not found. ``doubt``: half the
    95 % range of the distance.
    """

    id: str
    across: float | None
    along: float | None
    doubt: float = 0.0

    @property
    def off(self) -> float | None:
        """The distance from the plan, mm."""
        return None if self.across is None or self.along is None else hypot(self.across, self.along)


def marks_seen(image: Picture, page: Seen, planned: Iterable[Planned]) -> list[MarkSeen]:
    """Each planned mark with its deviation on the printed page; a slot, planned as two holes of one name, is one mark."""
    grey = np.asarray(cv2.GaussianBlur(image.grey, (0, 0), max(0.4, SOFT * image.per_mm)), np.float64)
    turn, shift = rigid(list(page.true.values()), list(page.found.values()))
    black, white = np.percentile(grey, (0.5, 75.0))
    scan = _Scan(grey, image.per_mm, page, float(white), float(max(white - black, 1.0)))
    found = []
    for name, holes in _by_name(planned).items():
        middle = _middle(scan, holes)
        if middle is None:
            found.append(MarkSeen(name, None, None))
            continue
        x, y = (fsum(values) / len(holes) for values in zip(*((hole.x, hole.y) for hole in holes), strict=True))
        dx, dy, doubt = middle
        lies = turn @ page.fit.on_scan(x + dx, y + dy) + shift
        doubt = hypot(doubt, page.fit.place_doubt)
        found.append(MarkSeen(name, float(lies[0]) - x, float(lies[1]) - y, doubt))
    return found


@dataclass(frozen=True)
class _Scan:
    """What every ray needs: grey values, pixels in a millimetre, the page, the grey of paper and how much darker ink is."""

    grey: Array
    per_mm: float
    page: Seen
    white: float
    depth: float


def _by_name(planned: Iterable[Planned]) -> dict[str, list[Planned]]:
    found: dict[str, list[Planned]] = {}
    for mark in planned:
        found.setdefault(mark.id, []).append(mark)
    return found


def _middle(scan: _Scan, holes: Sequence[Planned]) -> tuple[float, float, float] | None:
    """How far a mark's middle is from where the squares say it is, page mm, and its doubt; None where no rim is found.

    Each ray across the rim tells how far out the ink lies: (normal) . (shift) + (growth) by least squares, rays that do
    not agree left out. The two holes of a slot have one shift and one growth.
    """
    rays = [_rays(scan, hole, _away(hole, holes)) for hole in holes]
    normals, offs = (np.concatenate(parts) for parts in zip(*rays, strict=True))
    kept = np.ones(len(offs), bool)
    for _ in range(4):
        if kept.sum() < _FEWEST:
            return None
        terms = np.column_stack([normals[kept], np.ones(int(kept.sum()))])
        inverse = np.linalg.pinv(terms.T @ terms)
        answer = inverse @ terms.T @ offs[kept]
        rest = offs - np.column_stack([normals, np.ones(len(offs))]) @ answer
        usual = 1.4826 * float(np.median(np.abs(rest[kept])))
        fresh = np.abs(rest) < max(3.0 * usual, 0.02)
        if (fresh == kept).all():
            break
        kept = fresh
    if kept.sum() < _FEWEST or np.linalg.matrix_rank(terms, 0.2 * len(terms) ** 0.5) < 3:
        return None
    spread = float(np.sqrt((rest[kept] ** 2).sum() / max(kept.sum() - 3, 1)))
    if spread > 0.15:
        return None
    doubt = 2.0 * spread * float(np.sqrt(inverse[0, 0] + inverse[1, 1]))
    return float(answer[0]), float(answer[1]), doubt


def _away(hole: Planned, holes: Sequence[Planned]) -> Array | None:
    """The direction from the other hole of a slot to this one, None for a mark of one hole."""
    other = next((one for one in holes if one is not hole), None)
    if other is None:
        return None
    way = np.array([hole.x - other.x, hole.y - other.y])
    return np.asarray(way / max(float(np.hypot(*way)), 1e-9), np.float64)


def _rays(scan: _Scan, mark: Planned, away: Array | None) -> tuple[Array, Array]:
    """Normals of the rim, and how far out of it the ink lies along each, mm; rays along other lines left out.

    ``away``: where the other hole of a slot is not; of such a hole only the half on that side counts, and of its line only
    the outer edge, since inside it the other hole's line may touch it.
    """
    reach = min(REACH, 0.6 * min(mark.rx, mark.ry))
    out = np.arange(-reach, reach + STEP / 2.0, STEP)
    normals, offs = [], []
    c, s = cos(mark.angle), sin(mark.angle)
    for t in (2.0 * pi * (k + 0.5) / RAYS for k in range(RAYS)):
        a, b = mark.rx * cos(t), mark.ry * sin(t)
        n = np.array([cos(t) / mark.rx, sin(t) / mark.ry])
        n /= np.hypot(*n)
        normal = np.array([c * n[0] - s * n[1], s * n[0] + c * n[1]])
        if away is not None and normal @ away < _OUTER:
            continue
        x, y = mark.x + c * a - s * b + out * normal[0], mark.y + s * a + c * b + out * normal[1]
        lies = scan.page.fit.matrix @ np.stack([x, y]) + scan.page.fit.shift[:, None]
        values = sampled(scan.grey, lies[0] * scan.per_mm, scan.grey.shape[0] - lies[1] * scan.per_mm)
        if values is None:
            continue
        ink = np.clip((scan.white - values) / scan.depth, 0.0, 1.0)
        off = _line(out, ink) if away is None else _edge(out, ink)
        if off is not None:
            normals.append(normal)
            offs.append(off)
    return np.array(normals).reshape(-1, 2), np.array(offs)


def _edge(out: Array, ink: Array) -> float | None:
    """Where along a ray the outermost ink begins, at half of its darkness; None where there is none."""
    dark = ink > 0.5 * float(ink.max())
    if ink.max() < _INK or ink[-1] > _INK / 2.0:
        return None
    last = int(np.flatnonzero(dark)[-1])
    half = 0.5 * float(ink.max())
    share = float((ink[last] - half) / max(ink[last] - ink[last + 1], 1e-9))
    return float(out[last]) + STEP * share


def _line(out: Array, ink: Array) -> float | None:
    """Where along a ray its one line lies; None where there is none, or more ink than one line."""
    peak = int(ink.argmax())
    if ink[peak] < _INK:
        return None
    dark = ink > _INK / 2.0
    low, high = peak, peak
    while low > 0 and dark[low - 1]:
        low -= 1
    while high < len(ink) - 1 and dark[high + 1]:
        high += 1
    if low == 0 or high == len(ink) - 1 or dark[:low].any() or dark[high + 1 :].any():
        return None
    part = ink[low : high + 1]
    return float((out[low : high + 1] * part).sum() / part.sum())
