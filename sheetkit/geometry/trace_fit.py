"""A traced contour, many points along one face -> the corners and radii of its flats and bends.

Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import scipy  # its rooms open when they are used
import shapely
from shapely import LineString

from ..base.errors import refuse
from .measured import LEAST_RADIUS
from .parting import parted

MOST_PLACES = 240
"""A trace is read at this many places along it at most: half a millimetre on a sill."""
MOST_FLATS = 16
"""A section has fewer; a trace parted into more is jagged, and fitting it would take minutes (guess)."""
_ARM_MM = 20.0
"""Lines are turned by so much of their ends' way: headings and offsets are then of one size."""
LEAST_TURN = math.radians(2.0)
"""Flats that turn less than this from one another are one: a gauge's pins are no finer."""


@dataclass(frozen=True)
class Fitted:
    """Corners of a traced face, drawn sharp, and the face's radius in each; how far the trace strays."""

    corners: tuple[tuple[float, float], ...]
    radii_mm: tuple[float, ...]
    off_mm: float

    def inside(self, thickness: float, left: bool) -> tuple[float, ...]:
        """Return the bends' inside radii: `left` where the traced face looks to the left.

        A turn toward the traced face has it inside; none is less than bends are reckoned for.
        """
        steps = np.diff(np.array(self.corners), axis=0)
        turns = [_angle(a, b) for a, b in zip(steps, steps[1:], strict=False)]
        return tuple(
            max(radius - (0.0 if (turn > 0) == left else thickness), LEAST_RADIUS * thickness)
            for radius, turn in zip(self.radii_mm, turns, strict=True)
        )


def fitted(trace: Sequence[tuple[float, float]], within_mm: float = 0.3) -> Fitted:
    """Return the flats and bends of a trace: the pieces that explain it best with fewest of them.

    The trace is parted into straight lines and circular arcs so that the squares of what it strays
    over `within_mm`, and a charge for every piece, are least (dynamic programming over all
    partings); radii are then fitted between the lines on both sides.

    Parameters
    ----------
    trace : points from end to end along one face, mm, at least 8
    within_mm : how true the trace is, mm, 0.02 to 3: a contour gauge's pins 0.3

    Raises
    ------
    OutOfRange
        Too few points, no bend in them, or more than 16 flats.

    Source
    ------
    Least squares with the Bayesian information criterion's charge (Schwarz 1978, value from
    memory); algebraic circles by Kasa's fit.
    """
    return _fitted(tuple((float(x), float(y)) for x, y in trace), within_mm)


@lru_cache(maxsize=32)
def _fitted(trace: tuple[tuple[float, float], ...], within_mm: float) -> Fitted:
    if len(trace) < 8:
        refuse("trace", f"{len(trace)} points", "must have at least 8", "trace it closer")
    if not 0.02 <= within_mm <= 3:
        refuse("within", f"{within_mm:g} mm", "must be 0.02 to 3 mm", "give how true the trace is")
    line = LineString(trace)
    count = int(min(MOST_PLACES, max(40, len(trace))))
    points = np.array([line.interpolate(x).coords[0] for x in np.linspace(0, line.length, count)])
    pieces = parted(points, within_mm)
    lines = _straight(points, pieces)
    if len(lines) > MOST_FLATS:
        refuse(
            "trace",
            f"{len(lines)} flats",
            f"must have at most {MOST_FLATS}, to within {within_mm:g} mm",
            "trace it smoother or in parts, or give trace_within as wide as the trace jitters",
        )
    lines = _fewest(points, lines, within_mm)
    if len(lines) < 2:
        refuse(
            "trace", "no bend", "must turn somewhere", "leave the profile out: the panel is flat"
        )
    corners, radii, off = _polished(points, lines)
    return Fitted(tuple((float(x), float(y)) for x, y in corners), tuple(radii), float(off.max()))


def _made(
    points: np.ndarray, lines: list[_Line]
) -> tuple[list[np.ndarray], list[float], np.ndarray]:
    """Return corners and radii of lines, and how far each place lies from what they make."""
    inner = [_meet(a, b) for a, b in zip(lines, lines[1:], strict=False)]
    corners = [_foot(points[0], lines[0]), *inner, _foot(points[-1], lines[-1])]
    middles = [(a + b) / 2 for a, b in zip(corners, corners[1:], strict=False)]
    at = [int(np.argmin(np.hypot(*(points - middle).T))) for middle in middles]
    radii = [
        _radius(points[min(first, last) : max(first, last) + 1], *three)
        for first, last, three in zip(
            at, at[1:], zip(corners, corners[1:], corners[2:], strict=False), strict=False
        )
    ]
    radii = _fitting(corners, radii)
    return corners, radii, _distances(points, _rounded(corners, radii))


def _polished(
    points: np.ndarray, lines: list[_Line]
) -> tuple[list[np.ndarray], list[float], np.ndarray]:
    """Return corners, radii and distances with lines and radii fitted to all places at once."""
    _, radii, off = _made(points, lines)
    count = len(lines)

    def moved(x: np.ndarray) -> tuple[list[np.ndarray], list[float], np.ndarray]:
        turned = []
        for line, aside, turn in zip(lines, x[:count], x[count : 2 * count] / _ARM_MM, strict=True):
            side = np.array([-line.way[1], line.way[0]])
            way = line.way * math.cos(turn) + side * math.sin(turn)
            turned.append(_Line(line.at + aside * side, way))
        inner = [_meet(a, b) for a, b in zip(turned, turned[1:], strict=False)]
        corners = [_foot(points[0], turned[0]), *inner, _foot(points[-1], turned[-1])]
        each = _fitting(corners, np.maximum(x[2 * count :], 1e-3).tolist())
        return corners, each, _distances(points, _rounded(corners, each))

    start = np.concatenate([np.zeros(2 * count), radii])
    fitted = scipy.optimize.least_squares
    found = fitted(lambda x: moved(x)[2], start, diff_step=1e-4, x_scale=1.0, max_nfev=25)
    best = moved(found.x)
    return best if best[2] @ best[2] < off @ off else _made(points, lines)


def _fewest(points: np.ndarray, lines: list[_Line], within: float) -> list[_Line]:
    """Return the lines without those that a round between their neighbours stands for as well."""

    def cost(kept: list[_Line]) -> float:
        stray = _made(points, kept)[2] / within
        return float(stray @ stray) + 3 * math.log(len(points)) * len(kept)

    now = cost(lines) if len(lines) > 1 else 0.0
    while len(lines) > 2:
        tried = []
        for n in range(1, len(lines) - 1):
            before, after = lines[n - 1], lines[n + 1]
            turn = abs(_angle(before.way, after.way))
            through = _angle(before.way, lines[n].way) + _angle(lines[n].way, after.way)
            if LEAST_TURN < turn < math.radians(150) and abs(through) < math.pi:
                kept = [*lines[:n], *lines[n + 1 :]]
                tried.append((cost(kept), n))
        if not tried or min(tried)[0] >= now:
            break
        now, drop = min(tried)
        lines = [*lines[:drop], *lines[drop + 1 :]]
    return lines


def _distances(points: np.ndarray, drawn: np.ndarray) -> np.ndarray:
    return np.asarray(shapely.distance(shapely.points(points), LineString(drawn)))


@dataclass(frozen=True)
class _Line:
    """A straight line: a point on it and its heading as a unit vector."""

    at: np.ndarray
    way: np.ndarray


def _straight(points: np.ndarray, pieces: list[tuple[int, int, bool]]) -> list[_Line]:
    """Return the lines of the flats.

    Between arcs, and where one begins or ends the trace, stands a flat of no length.
    """
    lines: list[_Line] = []
    for n, (start, end, is_arc) in enumerate(pieces):
        inside = points[start : end + 1]
        if is_arc:
            first, middle, last = _tangents(inside)
            found = [first] if n == 0 or pieces[n - 1][2] else []
            if abs(_turn(inside)) > math.radians(150):  # too far round for one corner
                found.append(middle)
            if n == len(pieces) - 1:
                found.append(last)
        else:
            found = [_best_line(inside)]
        for line in found:
            if not lines or abs(_angle(lines[-1].way, line.way)) >= LEAST_TURN:
                lines.append(line)
    return lines


def _best_line(points: np.ndarray) -> _Line:
    middle = points.mean(axis=0)
    way = np.linalg.svd(points - middle, full_matrices=False)[2][0]
    return _Line(middle, way if way @ (points[-1] - points[0]) > 0 else -way)


def _tangents(points: np.ndarray) -> list[_Line]:
    """Return an arc's tangents where it begins, in its middle, and where it ends."""
    z = (points**2).sum(axis=1)
    left = np.column_stack([points, np.ones(len(points))])
    b, c, _ = np.linalg.lstsq(left, z, rcond=None)[0]
    center = np.array([b, c]) / 2
    radius = np.hypot(*(points - center).T).mean()
    found = []
    for at, ahead in ((0, 1), (len(points) // 2, 1), (len(points) - 1, -1)):
        arm = points[at] - center
        arm = arm / np.hypot(*arm)
        way = np.array([-arm[1], arm[0]])
        step = (points[at + ahead] - points[at]) * ahead
        found.append(_Line(center + radius * arm, way if way @ step > 0 else -way))
    return found


def _turn(points: np.ndarray) -> float:
    """Return how far an arc turns, also beyond half a circle, rad."""
    steps = np.diff(points[:: max(1, len(points) // 8)], axis=0)
    return float(sum(_angle(a, b) for a, b in zip(steps, steps[1:], strict=False)))


def _angle(before: np.ndarray, after: np.ndarray) -> float:
    cross = before[0] * after[1] - before[1] * after[0]
    return math.atan2(cross, float(before @ after))


def _meet(a: _Line, b: _Line) -> np.ndarray:
    """Return where two lines meet."""
    cross = a.way[0] * b.way[1] - a.way[1] * b.way[0]
    gap = b.at - a.at
    return a.at + a.way * (gap[0] * b.way[1] - gap[1] * b.way[0]) / cross


def _foot(point: np.ndarray, line: _Line) -> np.ndarray:
    return line.at + line.way * float((point - line.at) @ line.way)


def _radius(points: np.ndarray, before: np.ndarray, corner: np.ndarray, after: np.ndarray) -> float:
    """Return the radius whose round in a corner lies nearest to the places about it."""
    into, out = corner - before, after - corner
    half = abs(_angle(into, out)) / 2
    room = min(np.hypot(*into), np.hypot(*out)) / math.tan(half)
    if len(points) == 0:
        return 1e-3

    def stray(radius: float) -> float:
        off = _distances(points, _rounded([before, corner, after], [radius]))
        return float(off @ off)

    return float(scipy.optimize.minimize_scalar(stray, bounds=(1e-3, room), method="bounded").x)


def _fitting(corners: list[np.ndarray], radii: list[float]) -> list[float]:
    """Return radii less by what neighbours take from one another's flat."""
    reach = np.array([
        r * math.tan(abs(_angle(b - a, c - b)) / 2)
        for r, a, b, c in zip(radii, corners, corners[1:], corners[2:], strict=False)
    ])  # fmt: skip
    lengths = np.hypot(*np.diff(corners, axis=0).T)
    taken = np.append(reach, 0) + np.insert(reach, 0, 0)
    share = np.minimum(1.0, lengths / np.maximum(taken, 1e-12)) * (1 - 1e-9)
    return [r * float(min(share[n], share[n + 1])) for n, r in enumerate(radii)]


def _rounded(corners: Sequence[np.ndarray], radii: Sequence[float]) -> np.ndarray:
    """Return a polyline with its corners rounded."""
    out = [np.asarray(corners[0])]
    for n, radius in enumerate(radii, 1):
        before, corner, after = (np.asarray(corners[n + k]) for k in (-1, 0, 1))
        into = (corner - before) / np.hypot(*(corner - before))
        turn = _angle(into, after - corner)
        begin = corner - into * radius * math.tan(abs(turn) / 2)
        side = np.array([-into[1], into[0]]) * (1 if turn > 0 else -1)
        for part in np.linspace(0, abs(turn), 1 + max(4, math.ceil(abs(turn) / 0.05))):
            out.append(begin + radius * (into * math.sin(part) + side * (1 - math.cos(part))))
    return np.array([*out, np.asarray(corners[-1])])
