"""Points along a line parted into straight lines and circular arcs.  Lengths in mm."""

from __future__ import annotations

import math

import numpy as np

LEAST_PLACES = 4
"""Places a flat or an arc must at least go through."""


def parted(points: np.ndarray, within: float) -> list[tuple[int, int, bool]]:
    """Return (first, last, is an arc) of the pieces of the best parting.

    Best: the squares of what places stray over `within`, and a charge of log n for each number a
    piece needs (a line three, an arc four), are least; all partings are gone through by dynamic
    programming.

    Parameters
    ----------
    points : (n, 2), mm, evenly along the line
    within : how true they are, mm

    Source
    ------
    The Bayesian information criterion (Schwarz 1978, value from memory); Kasa's circle fit.
    """
    count = len(points)
    centred = points - points.mean(axis=0)
    charge = math.log(count)
    best, back = np.full(count, np.inf), [(0, False)] * count
    best[0] = 0.0
    sums = _sums(centred)
    for end in range(LEAST_PLACES - 1, count):
        starts = np.arange(0, end - LEAST_PLACES + 2)
        held = best[starts]
        moments = sums[:, end + 1, None] - sums[:, starts]
        for is_arc, stray, free in (
            (False, _line_stray(moments), 3),
            (True, _arc_stray(moments), 4),
        ):
            cost = held + stray / within**2 + free * charge
            at = int(np.argmin(cost))
            if cost[at] < best[end]:
                best[end], back[end] = cost[at], (int(starts[at]), is_arc)
    pieces, end = [], count - 1
    while end > 0:
        start, is_arc = back[end]
        pieces.append((start, end, is_arc))
        end = start
    return pieces[::-1]


def _sums(points: np.ndarray) -> np.ndarray:
    """Running sums of 1, x, y, xx, xy, yy, zx, zy, z, zz with z = xx + yy, (10, n + 1)."""
    x, y = points.T
    z = x * x + y * y
    rows = np.array([np.ones_like(x), x, y, x * x, x * y, y * y, z * x, z * y, z, z * z])
    return np.concatenate([np.zeros((10, 1)), np.cumsum(rows, axis=1)], axis=1)


def _line_stray(m: np.ndarray) -> np.ndarray:
    """Sum of squared distances from the best line: the lesser moment about it."""
    n, x, y, xx, xy, yy = m[:6]
    a, b, c = xx - x * x / n, xy - x * y / n, yy - y * y / n
    return np.maximum((a + c) / 2 - np.hypot((a - c) / 2, b), 0.0)


def _arc_stray(m: np.ndarray) -> np.ndarray:
    """Sum of squared distances from Kasa's circle, to first order in them."""
    n, x, y, xx, xy, yy, zx, zy, z, zz = m
    left = np.stack(
        [np.stack([xx, xy, x], -1), np.stack([xy, yy, y], -1), np.stack([x, y, n], -1)], -2
    )
    right = np.stack([zx, zy, z], -1)
    left = left + 1e-9 * np.eye(3)
    found = np.linalg.solve(left, right[..., None])[..., 0]
    b, c, d = found[..., 0], found[..., 1], found[..., 2]
    square = np.maximum(d + (b * b + c * c) / 4, 1e-9)
    stray = zz - b * zx - c * zy - d * z
    return np.maximum(stray, 0.0) / (4 * square)
