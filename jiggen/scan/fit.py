"""Where squares should lie and where they are found turned into scale across and along, skew, and how sure they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

# Student's t, 95 %, two-sided, by degrees of freedom: NIST/SEMATECH e-Handbook, table 1.3.6.7.2 (column 0.975)
_T95 = {2: 4.303, 4: 2.776, 6: 2.447, 8: 2.306, 10: 2.228}
FLOOR = 0.1  # pixels: no square is taken to be known better than that, however well they agree

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Fit:
    """What a printer did to a page, from squares.

    ``across``, ``along``: printed length over true length, along the lower edge and along the left one; ``skew``: how
    far the left edge leans to the right of square, radians; ``turn``: how far the page lay turned on the glass,
    radians, counter-clockwise. ``across_doubt``, ``along_doubt``, ``skew_doubt``: half the 95 % range of each.
    ``spread``: root mean square of what the squares are off the fit, mm; ``place_doubt``: half the 95 % range of a
    place on the page that is laid on its squares, mm. ``matrix``, ``shift``: page (mm, y up) to scan (mm, y up).
    """

    across: float
    along: float
    skew: float
    turn: float
    across_doubt: float
    along_doubt: float
    skew_doubt: float
    spread: float
    place_doubt: float
    matrix: Array
    shift: Array

    def on_scan(self, x: float, y: float) -> Array:
        """Where a point of the page, mm, lies in the scan, mm."""
        return np.asarray(self.matrix @ np.array([x, y]) + self.shift, np.float64)


def fitted(true: Sequence[tuple[float, float]], found: Sequence[tuple[float, float]], pixel: float) -> Fit:
    """The affine map from ``true`` to ``found`` by least squares, mm, y up. ``pixel``: its size, mm.

    Raises ValueError for fewer than four squares and for squares on one line.
    """
    a, b = np.asarray(true, np.float64), np.asarray(found, np.float64)
    if len(a) < 4:
        raise ValueError("four squares at least are needed")
    middle = a.mean(axis=0)
    x = a - middle
    spread = x.T @ x
    if np.linalg.det(spread) < 1e-6 * np.trace(spread) ** 2:
        raise ValueError("the squares lie on one line")
    matrix = np.linalg.solve(spread, x.T @ (b - b.mean(axis=0))).T
    shift = b.mean(axis=0) - matrix @ middle
    rest = b - (a @ matrix.T + shift)
    free = 2 * len(a) - 6
    rms = float(np.sqrt((rest**2).sum() / free))
    one = max(rms, FLOOR * pixel) * _T95.get(free, 2.2)  # 95 % of one coordinate of one square
    doubts = np.sqrt(np.diag(np.linalg.inv(spread))) * one
    turn = atan2(matrix[1, 0], matrix[0, 0])
    up = np.array([[cos(turn), sin(turn)], [-sin(turn), cos(turn)]]) @ matrix[:, 1]
    across, along = hypot(*matrix[:, 0]), hypot(*up)
    return Fit(
        across,
        along,
        atan2(up[0], up[1]),
        (turn + pi) % (2.0 * pi) - pi,
        float(doubts[0]),
        float(doubts[1]),
        float(hypot(doubts[0] / across, doubts[1] / along)),
        float(np.sqrt((rest**2).sum(axis=1).mean())),
        float(one * np.sqrt(3.0 / len(a))),  # turn and shift are 3 unknowns, spread over the squares
        matrix,
        shift,
    )


def rigid(true: Sequence[tuple[float, float]], found: Sequence[tuple[float, float]]) -> tuple[Array, Array]:
    """The turn (2 x 2) and the shift that lay ``found`` on ``true`` as they fit best, nothing stretched."""
    a, b = np.asarray(true, np.float64), np.asarray(found, np.float64)
    u, _, v = np.linalg.svd((b - b.mean(axis=0)).T @ (a - a.mean(axis=0)))
    flip = np.diag([1.0, float(np.sign(np.linalg.det(u @ v)))])
    turn = (u @ flip @ v).T
    return turn, a.mean(axis=0) - turn @ b.mean(axis=0)
