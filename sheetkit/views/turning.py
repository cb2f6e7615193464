"""A folded piece as it is seen from any side: turned, laid flat on the screen, back parts first.

Pieces of a profile are flat strips that all lie along one line, the way it runs. So what hides
what is a matter of the cross-section alone, and an order from back to front is always there.
`widgets/bent/turning.js` is the same again for the page.
"""

from __future__ import annotations

import numpy as np

_ALIKE_MM = 1e-6
"""Strips that lie less over one another than this don't hide each other."""


def turn_matrix(base: np.ndarray, yaw_deg: float, pitch_deg: float) -> np.ndarray:
    """Return the 3 x 3 matrix that turns mm of a piece to right, up and toward the viewer.

    Parameters
    ----------
    base : (3, 3), the view at 0, 0
    yaw_deg : about the screen's upright line, the right side going away
    pitch_deg : about its level line, the upper side coming nearer
    """
    yaw, pitch = np.radians([yaw_deg, pitch_deg])
    about_up = np.array([[np.cos(yaw), 0, np.sin(yaw)], [0, 1, 0], [-np.sin(yaw), 0, np.cos(yaw)]])
    about_level = np.array(
        [[1, 0, 0], [0, np.cos(pitch), -np.sin(pitch)], [0, np.sin(pitch), np.cos(pitch)]]
    )
    return about_level @ about_up @ np.asarray(base, float)


def back_to_front(strips: np.ndarray, run: np.ndarray, turn: np.ndarray) -> list[int]:
    """Return the order to draw strips in, so that each stands over what it hides.

    Parameters
    ----------
    strips : (n, 2, 3), each strip's two edges, mm: a point of each, in one cross-section
    run : (3,), the direction they all run along
    turn : (3, 3), see `turn_matrix`
    """
    ends = np.asarray(strips, float)
    toward = np.asarray(turn, float)[2]
    run = np.asarray(run, float) / np.linalg.norm(run)
    deep = toward - (toward @ run) * run
    if np.linalg.norm(deep) < 1e-9:  # seen end on: nothing hides anything
        return list(range(len(ends)))
    deep /= np.linalg.norm(deep)
    aside, depth = ends @ np.cross(run, deep), ends @ deep
    low, high = aside.min(axis=1), aside.max(axis=1)
    nearer = [
        [_hides(aside, depth, i, j, max(low[i], low[j]), min(high[i], high[j])) for j in range(len(ends))]
        for i in range(len(ends))
    ]  # fmt: skip
    left, order = list(range(len(ends))), []
    while left:
        free = [i for i in left if not any(nearer[i][j] for j in left if j != i)]
        # strips that pass through each other have no order: the farthest first then
        found = free or [min(left, key=lambda i: depth[i].mean())]
        order.append(found[0])
        left.remove(found[0])
    return order


def _hides(aside: np.ndarray, depth: np.ndarray, i: int, j: int, low: float, high: float) -> bool:
    """Say whether strip i is nearer than strip j where they lie over one another."""
    if i == j or high - low <= _ALIKE_MM:
        return False
    middle = (low + high) / 2

    def at(n: int) -> float:
        start, end = aside[n]
        share = (middle - start) / (end - start)
        return float(depth[n][0] + share * (depth[n][1] - depth[n][0]))

    return at(i) > at(j) + _ALIKE_MM
