"""Grey pixels turned into the squares in them that a page is measured by: black frame, white inside, black middle."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from jiggen.scan.picture import Grey, Picture
from jiggen.sheets.fiducials import DOT, HOLE, SIDE

LEAST_SIDE, MOST_SIDE = 12.0, 1200.0  # pixels
_HOLE_SHARE = (HOLE / SIDE) ** 2  # 0.41 of the frame's area
_DOT_SHARE = (DOT / SIDE) ** 2  # 0.08
_SPREAD = 2.2  # toner that runs, or is thin, changes these shares by up to that factor
_BLUR = 0.08  # mm
_MANY = 200  # squares: a picture with more of them is a pattern, no page

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Found:
    """One square: its middle and its side, pixels; pixel centres lie at whole numbers and a half."""

    x: float
    y: float
    side: float


def squares(image: Picture) -> list[Found]:
    """All squares of a picture, each once, by their places from the top left."""
    blurred = cv2.GaussianBlur(image.grey, (0, 0), max(0.5, _BLUR * image.per_mm))
    kept: list[Found] = []
    for dark in _dark(np.asarray(blurred, np.uint8), image.per_mm):
        for one in _nested(image.grey, dark):
            if len(kept) < _MANY and all(np.hypot(one.x - k.x, one.y - k.y) > 0.5 * k.side for k in kept):
                kept.append(one)
    return sorted(kept, key=lambda one: (one.y, one.x))


def _dark(blurred: Grey, per_mm: float) -> Iterator[Grey]:
    """What is black by one threshold for all, then by one for each neighbourhood of 12 mm."""
    yield np.asarray(cv2.threshold(blurred, 0, 255, cv2.THRESH_BINARY_INV | cv2.THRESH_OTSU)[1], np.uint8)
    block = int(12.0 * per_mm) // 2 * 2 + 1
    kind = cv2.ADAPTIVE_THRESH_MEAN_C
    yield np.asarray(cv2.adaptiveThreshold(blurred, 255, kind, cv2.THRESH_BINARY_INV, block, 25), np.uint8)


def _nested(grey: Grey, dark: Grey) -> Iterator[Found]:
    """Outlines with one hole that has a black middle, shares and places as they must be."""
    outlines, tree = cv2.findContours(dark, cv2.RETR_TREE, cv2.CHAIN_APPROX_NONE)
    if tree is None:
        return
    below: Any = np.asarray(tree).reshape(-1, 4)
    for index, outline in enumerate(outlines):
        if below[index][2] < 0 or len(outline) < 2.0 * LEAST_SIDE or not _squarish(outline):
            continue
        hole = _largest(outlines, below, int(below[index][2]))
        if hole < 0 or below[hole][2] < 0:
            continue
        dot = _largest(outlines, below, int(below[hole][2]))
        if dot >= 0 and _fits(outline, outlines[hole], outlines[dot]):
            yield _centred(grey, outline, outlines[hole])


def _largest(outlines: Any, below: Any, first: int) -> int:
    """The largest of ``first`` and its brothers."""
    best, size = -1, 0.0
    while first >= 0:
        area = cv2.contourArea(outlines[first])
        if area > size:
            best, size = first, area
        first = int(below[first][0])
    return best


def _squarish(outline: Any) -> bool:
    (_, _), (wide, high), _ = cv2.minAreaRect(outline)
    if not LEAST_SIDE <= min(wide, high) <= max(wide, high) <= MOST_SIDE:
        return False
    return bool(min(wide, high) > 0.85 * max(wide, high) and cv2.contourArea(outline) > 0.82 * wide * high)


def _fits(frame: Any, hole: Any, dot: Any) -> bool:
    whole = cv2.contourArea(frame)
    for part, share in ((hole, _HOLE_SHARE), (dot, _DOT_SHARE)):
        if not share / _SPREAD < cv2.contourArea(part) / whole < share * _SPREAD:
            return False
    a, b, c = (_middle(outline) for outline in (frame, hole, dot))
    return bool(max(np.hypot(*(a - b)), np.hypot(*(a - c))) < 0.07 * whole**0.5)


def _middle(outline: Any) -> Array:
    sums = cv2.moments(outline)
    area = sums["m00"] or 1.0
    return np.array([sums["m10"] / area, sums["m01"] / area])


def _centred(grey: Grey, outline: Any, hole: Any) -> Found:
    """The middle of a square by how dark its pixels are: the inside counts as black, so that only the rim decides."""
    left, top, wide, high = cv2.boundingRect(outline)
    side = cv2.contourArea(outline) ** 0.5
    reach = max(2, round(0.12 * side))
    x1, y1 = max(left - reach, 0), max(top - reach, 0)
    part = grey[y1 : top + high + reach, x1 : left + wide + reach].astype(np.float64)
    area, inside = np.zeros(part.shape, np.uint8), np.zeros(part.shape, np.uint8)
    cv2.drawContours(area, [outline], -1, 255, cv2.FILLED, offset=(-x1, -y1))
    cv2.drawContours(inside, [hole], -1, 255, cv2.FILLED, offset=(-x1, -y1))
    near = cv2.dilate(area, np.ones((2 * reach - 1, 2 * reach - 1), np.uint8)) > 0
    rim = (area > 0) & (inside == 0)
    black, white = float(np.median(part[rim])), float(np.percentile(part[~(area > 0)], 75.0))
    ink = np.clip((white - part) / max(white - black, 1.0), 0.0, 1.0)
    ink[ink < 0.15] = 0.0
    ink[inside > 0] = 1.0
    ink[~near] = 0.0
    rows, columns = np.indices(part.shape)
    total = ink.sum()
    return Found(
        float((ink * columns).sum() / total) + x1 + 0.5, float((ink * rows).sum() / total) + y1 + 0.5, float(side)
    )
