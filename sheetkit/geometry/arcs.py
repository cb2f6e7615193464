"""Rings of many short lines -> the few lines and arcs they stand for, as a cutting table wants them.

A bulge is the tangent of a quarter of an arc's angle, positive to the left
(counter-clockwise), 0 for a straight line.  Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely

TOLERANCE_MM = 0.02
"""Between the ring and the lines and arcs that stand for it, at most."""
LEAST_MM = 0.05
"""Shorter segments make a cutting table stutter."""
_FIT_MM = 0.016
"""What the fit is held to; evening and spacing the points first takes the rest."""
_STRAIGHT_MM = 0.002
"""What points may lie off a line that is one line all the same."""
_EVEN_MM = 0.001
"""Points that lie off their neighbours' line by less only hide where lines end."""
_MOST_BULGE = 0.9
"""An arc of some 168 degrees: a half circle's ends alone don't tell which half."""


def arcs_of(ring: np.ndarray) -> np.ndarray:
    """Return a closed ring as (n, 3) rows x, y, bulge of the segment that begins there.

    Parameters
    ----------
    ring : array (n, 2)
        Points of a ring, mm, the first once or twice; at least three of them.

    Notes
    -----
    Points that are nearer to each other than `LEAST_MM` become one; a line that no arc within
    `TOLERANCE_MM` can have as one of its chords stays a line, end to end; what lies between
    such lines is taken as the longest arcs that keep within it.
    """
    plain = shapely.LinearRing(ring).simplify(_EVEN_MM)
    points = _spaced(np.asarray(plain.coords)[:-1])
    lines = _lines(points)
    first = int(np.flatnonzero(lines)[0]) if lines.any() else 0
    points, lines = np.roll(points, -first, axis=0), np.roll(lines, -first)
    points = np.vstack([points, points[:1]])
    rows, at, count = [], 0, len(lines)
    while at < count:
        if lines[at]:
            end, bulge = _farthest(points, at, count, _as_line)
        else:
            stop = next((n for n in range(at, count) if lines[n]), count)
            end, bulge = _farthest(points, at, stop, _as_arc)
        rows.append((*points[at], bulge))
        at = end
    return np.array(rows)


def _spaced(points: np.ndarray) -> np.ndarray:
    """Return the points of which those too near to each other have become one."""
    kept = list(points)
    at = 0
    while at < len(kept) > 3:
        two = at, (at + 1) % len(kept)
        here, there = (kept[n] for n in two)
        if np.hypot(*(there - here)) >= LEAST_MM:
            at += 1
            continue
        before, after = kept[at - 1], kept[(at + 2) % len(kept)]

        def off(new: np.ndarray, ends=(before, here, there, after)) -> float:
            path = shapely.LineString([ends[0], new, ends[3]])
            return max(path.distance(shapely.Point(point)) for point in ends[1:3])

        kept[at] = min((here, there, (here + there) / 2), key=off)
        del kept[two[1]]
        at = max(at - 1, 0) if two[1] else at - 1
    return np.array(kept)


def _lines(points: np.ndarray) -> np.ndarray:
    """Say of each edge whether it is a line: the arc it would be a chord of bulges too far."""
    edges = np.roll(points, -1, axis=0) - points
    length = np.hypot(*edges.T)
    before = np.roll(edges, 1, axis=0)
    cross = before[:, 0] * edges[:, 1] - before[:, 1] * edges[:, 0]
    turn = np.abs(np.arctan2(cross, (before * edges).sum(axis=1)))
    return length * np.minimum(turn, np.roll(turn, -1)) / 8 > _FIT_MM


def _farthest(
    points: np.ndarray, start: int, stop: int, fit: Callable[[np.ndarray], float | None]
) -> tuple[int, float]:
    """Return the last point up to `stop` that one segment from `start` reaches, and its bulge."""
    good, bulge, step = start + 1, 0.0, 1
    bad = stop + 1
    while good + step < bad:
        found = fit(points[start : good + step + 1])
        if found is None:
            bad = good + step
            break
        good, bulge, step = good + step, found, 2 * step
    else:
        if good < stop and (found := fit(points[start : stop + 1])) is not None:
            return stop, found
        bad = min(bad, stop)
    while bad - good > 1:
        middle = (good + bad) // 2
        found = fit(points[start : middle + 1])
        if found is None:
            bad = middle
        else:
            good, bulge = middle, found
    return good, bulge


def _as_line(points: np.ndarray) -> float | None:
    """Return 0 if the points lie on one line, in its direction, else None."""
    along, off = _along(points)
    straight = np.abs(off).max() <= _STRAIGHT_MM and (np.diff(along) > 0).all()
    return 0.0 if straight else None


def _along(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return where points lie along and to the left of the chord from the first to the last."""
    chord = points[-1] - points[0]
    length = max(float(np.hypot(*chord)), 1e-12)
    x, y = (
        (points - points[0]) @ np.array([[chord[0], -chord[1]], [chord[1], chord[0]]]) / length
    ).T
    return x, y


def _as_arc(points: np.ndarray) -> float | None:
    """Return the bulge of the arc from the first to the last point that keeps to all of them."""
    x, y = _along(points)
    span = float(x[-1])
    if span < LEAST_MM:
        return None
    # the arc's height over the chord, by the points in its middle part, where it tells best
    middle = slice(len(x) // 3, max(len(x) - len(x) // 3, len(x) // 3 + 1))
    half = span / 2
    rise = y[middle]
    # the circle through both ends and (x, y) has its middle k / 2 below the chord's
    side = np.where(rise < 0, -1.0, 1.0)
    k = (x[middle] * (span - x[middle]) - rise**2) / (side * np.maximum(np.abs(rise), 1e-12))
    height = float(np.median(half**2 / (k / 2 + side * np.hypot(k / 2, half))))
    bulge = -height / half
    if abs(bulge) > _MOST_BULGE:
        return None
    if abs(height) < _STRAIGHT_MM:
        return 0.0 if np.abs(y).max() <= _FIT_MM and (np.diff(x) > 0).all() else None
    radius = (half**2 + height**2) / (2 * abs(height))
    centre = np.array([half, np.sign(height) * (abs(height) - radius)])
    own = np.column_stack([x, y]) - centre
    halves = (own[1:] + own[:-1]) / 2
    off = np.abs(np.hypot(*np.vstack([own, halves]).T) - radius).max()
    turned = np.unwrap(np.arctan2(own[:, 1], own[:, 0])) * -np.sign(height)
    return bulge if off <= _FIT_MM and (np.diff(turned) > 0).all() else None


def traced(rows: np.ndarray, step_mm: float = 0.5) -> np.ndarray:
    """Return points along lines and arcs (see `arcs_of`), at most `step_mm` apart on arcs."""
    found = []
    for (x, y, bulge), (to_x, to_y, _) in zip(rows, np.roll(rows, -1, axis=0), strict=True):
        start, end = np.array([x, y]), np.array([to_x, to_y])
        if bulge == 0:
            found.append(start[None])
            continue
        centre, radius, begin, sweep = arc(start, end, bulge)
        count = max(2, int(np.ceil(abs(sweep) * radius / step_mm)) + 1)
        angles = begin + sweep * np.arange(count - 1) / (count - 1)
        found.append(centre + radius * np.column_stack([np.cos(angles), np.sin(angles)]))
    return np.vstack(found)


def arc(start: np.ndarray, end: np.ndarray, bulge: float) -> tuple[np.ndarray, float, float, float]:
    """Return (centre, radius, first angle, angle turned through) of an arc; angles in radians."""
    chord = end - start
    left = np.array([-chord[1], chord[0]])
    centre = (start + end) / 2 + left * (1 - bulge**2) / (4 * bulge)
    begin = np.arctan2(*(start - centre)[::-1])
    return centre, float(np.hypot(*(start - centre))), float(begin), 4 * float(np.arctan(bulge))
