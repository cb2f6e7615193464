"""Shapes grown, shrunk and rounded: offsets that always cover what they must.  All lengths in mm."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from .plainer import plainer, plainer_shape

TOUCH_MM = 1e-3
"""Lines nearer than this count as lying on one another."""


LEAST_MM = 1e-6
"""Shorter offsets are none: a shape would vanish in their rounding errors."""
QUAD_SEGS = 48
"""Segments in a quarter circle of every round offset."""
PLAIN_POINTS = 300
"""Rings with fewer points are offset as drawn, without thinning."""
DEPARTURES_MM = (0.01, 0.02, 0.05, 0.2, 0.5, 2.0)
"""How far thinning may move the offset line outward (never inward): the first
that leaves at most `MOST_THINNED` points is taken; more than half the distance only where a
ring would keep more than its share of `MOST_IN_ALL`."""
MOST_THINNED = 800
MOST_TURNS, MANY_DRAWN = 4000, 12_000
"""Of more than so many points, all rings are thinned; and by more than half the distance where
they would turn through more right angles than so many: wiggles no saw follows."""
DEEP_FROM_MM = 0.2
"""The least of these departures by which deep notches are filled too, which takes longer."""


FEWEST_SEGS, FULL_SEGS_TURNS, FULL_SEGS_MM = 6, 300, 25.0
"""Round a shape of more quarter turns than this, arcs get fewer segments, and small arcs fewer still."""
CLOSED_FIRST = (1 / 64, 1 / 16, 1 / 4)
"""Shares of the radius by which a shape of so many turns is closed before."""
FILLED_FIRST, COMB_TURNS = (1 / 8, 1 / 4), 400
"""Shares of the radius by which the notches of a shape of still more turns are filled before."""
FIRST_FROM_MM = 2.0
"""The least radius for it: closing by less adds more points than it fills."""
BLUNT = 1.01
"""How far out the corners are cut off that are drawn round it then, in these shares."""
MANY_POINTS, OVERLOOKED_MM, UNSEEN_MM = 2000, 0.02, 0.005
"""What is shallower is overlooked when a shape of more points is closed: arcs drawn too finely;
and how far its new arcs may be from true ones."""
_SPARE_MM = 0.001
"""Closing leaves this much over, for the vertices a buffer drops from the arcs it shrinks."""


def polygons(shape: BaseGeometry) -> list[Polygon]:
    """Return the polygons in any geometry, largest first."""
    parts = [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon" and not p.is_empty]
    if shape.geom_type == "GeometryCollection":
        parts += [
            q for p in shapely.get_parts(shape) if p.geom_type == "MultiPolygon" for q in p.geoms
        ]
    return sorted(parts, key=lambda part: -part.area)


def _segs(shape: BaseGeometry, distance: float, beside: int = 0) -> int:
    """Return how many segments a quarter circle of an offset of a shape gets.

    `beside` are the points of what else is offset.
    """
    most = QUAD_SEGS
    if shapely.get_num_coordinates(shape) + beside > MANY_POINTS:  # no finer than shows
        most = min(most, math.ceil(math.pi / 4 * math.sqrt(abs(distance) / 2 / UNSEEN_MM)))
    turns = _turns(shape)
    if turns > FULL_SEGS_TURNS:
        share = min(FULL_SEGS_TURNS / turns, math.sqrt(abs(distance) / FULL_SEGS_MM), 1.0)
        most = min(most, int(QUAD_SEGS * share))
    return max(FEWEST_SEGS, most)


def _turns(shape: BaseGeometry) -> float:
    """Return the quarter turns that the outlines of a shape make: see `quarter_turns`."""
    return quarter_turns(shapely.get_rings(shapely.get_parts(shape)))


def quarter_turns(outlines: np.ndarray) -> float:
    """Return the quarter turns that rings make, either way, in all.

    So many quarter circles an offset of them draws; a smooth outline makes four, a comb thousands.
    """
    at, ring = shapely.get_coordinates(outlines, return_index=True)
    along = np.arctan2(*np.diff(at, axis=0).T)
    turn = np.abs((np.diff(along) + np.pi) % (2 * np.pi) - np.pi)
    return float(turn[ring[:-2] == ring[2:]].sum() / (np.pi / 2))


def _circumscribed(quad_segs: int) -> float:
    """Return what to take an offset's distance times, so that its arcs lie outside the true ones."""
    # a round corner's last segment can be half as long again as the others
    return 1.0 / math.cos(1.5 * math.pi / (4 * quad_segs))


def _fill_notches(ring: np.ndarray, widest: float) -> np.ndarray:
    """Drop points that lie in notches narrower than `widest`; the ring only grows.

    `ring` is (n, 2), counter-clockwise.  Neighbours are never dropped in one pass.
    """
    while len(ring) > 3:
        before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
        chord, leg = after - before, ring - before
        turn = chord[:, 0] * leg[:, 1] - chord[:, 1] * leg[:, 0]
        drop = (turn >= 0) & (np.hypot(*chord.T) <= widest)
        runs = np.flatnonzero(drop)
        if runs.size == 0:
            return ring
        # of each run of droppable neighbours take every second one
        first = np.maximum.accumulate(
            np.where(np.r_[True, np.diff(runs) > 1], np.arange(runs.size), 0)
        )
        keep = np.ones(len(ring), bool)
        keep[runs[(np.arange(runs.size) - first) % 2 == 0]] = False
        if not keep[0] and not keep[-1]:
            keep[-1] = True
        ring = ring[keep]
    return ring


def _thinned(shape: Polygon, distance: float, share: float) -> tuple[Polygon, float]:
    """Return fewer points for an outward offset by `distance`, and what to add to it.

    `share` is the ring's share of all points that are offset.

    A notch of width w moves a line offset by d outward by at most
    d - sqrt(d² - w²/4), so notches that narrow are filled first.  A
    Douglas-Peucker pass then cuts off no more than the departure returned,
    which is added to the distance: the offset of the result covers the
    offset of `shape`.
    """
    filled = orient(shape)
    ring = np.asarray(filled.exterior.coords)[:-1]
    used = least = DEPARTURES_MM[0]
    for departure in DEPARTURES_MM:
        if departure > max(distance / 2, least) and _turned(filled, used) <= share * MOST_TURNS:
            break
        used = departure
        widest = 2 * math.sqrt(2 * max(distance, departure) * departure)
        ring = _fill_notches(ring, widest)
        filled = Polygon(ring)
        if not filled.is_valid:
            # a notch held another part of the outline: keep what is sound, add what was drawn
            filled = Polygon(polygons(shapely.union(filled.buffer(0), shape))[0].exterior)
            ring = np.asarray(orient(filled).exterior.coords)[:-1]
        if departure >= DEEP_FROM_MM and _corners(filled, departure) > MOST_THINNED:
            # deep notches, whose walls no short chord crosses
            filled = _deeply_filled(filled, widest)
            ring = np.asarray(orient(filled).exterior.coords)[:-1]
        if _corners(filled, departure) <= MOST_THINNED and (
            share == 1 or _turned(filled, used) <= share * MOST_TURNS
        ):
            break
    return plainer_shape(filled, used), used


def _turned(shape: Polygon, departure: float) -> float:
    """Return the right angles that a line of so small a departure from an outline turns through."""
    return quarter_turns(shapely.linearrings([plainer(shape.exterior, departure)]))


def _corners(shape: Polygon, departure: float) -> int:
    """Count the points that a line of so small a departure needs: quickly, crossings overlooked."""
    return len(plainer(shape.exterior, departure))


def _deeply_filled(shape: Polygon, widest: float) -> Polygon:
    """Return `shape` without holes and notches narrower than `widest`, however deep; it only grows."""
    filled = _covering(_notches_filled(shape, widest / 2), shape)
    return Polygon(polygons(filled)[0].exterior)


def grown(shape: BaseGeometry, distance: float) -> BaseGeometry:
    """Return `shape` grown by `distance` mm, round-cornered, and never less than that.

    The arcs are circumscribed (out by at most 0.03 % of the distance), so
    the true offset always lies inside.
    Polygons of more than `PLAIN_POINTS` points are thinned first, outward
    only, by about 0.1 mm; so are all where there are more than `MANY_DRAWN`.

    Parameters
    ----------
    shape : Polygon or MultiPolygon, mm
    distance : float
        mm, >= 0.

    Returns
    -------
    Polygon or MultiPolygon
    """
    if distance < LEAST_MM and shapely.get_num_coordinates(shape) <= MANY_DRAWN:
        return shape
    parts = grown_parts(shape, distance)
    return parts[0] if len(parts) == 1 else shapely.union_all(parts)


@lru_cache(maxsize=2)
def grown_parts(shape: BaseGeometry, distance: float) -> tuple[BaseGeometry, ...]:
    """Return each part of `shape` grown by itself (see `grown`); the last shape's are remembered."""
    offsets, drawn = [], int(shapely.get_num_coordinates(shape))
    for part in shapely.get_parts(shape):
        extra, points = 0.0, int(shapely.get_num_coordinates(part))
        if (points > PLAIN_POINTS or drawn > MANY_DRAWN) and not part.interiors:
            share = points / drawn if drawn > MANY_DRAWN else 1.0
            part, extra = _thinned(part, distance, share)
        offsets.append(_grown(part, distance + extra, drawn - points))
    return tuple(offsets)


def _grown(shape: BaseGeometry, distance: float, beside: int) -> BaseGeometry:
    """Return the offset itself, its arcs outside the true ones."""
    segs = _segs(shape, distance, beside)
    return _buffered(shape, distance * _circumscribed(segs), segs)


def shrunk(shape: BaseGeometry, distance: float) -> BaseGeometry:
    """Return `shape` shrunk by `distance` mm; it may come out empty or in parts."""
    return _buffered(shape, -distance, _segs(shape, distance)) if distance >= LEAST_MM else shape


def _buffered(shape: BaseGeometry, distance: float, segs: int) -> BaseGeometry:
    """Return the offset of each part by itself, united: of many at once it takes far longer."""
    offsets = shapely.buffer(shapely.get_parts(shape), distance, quad_segs=segs)
    if len(offsets) == 1:
        return offsets[0]
    if distance > 0:
        return shapely.union_all(offsets)
    return shapely.multipolygons(shapely.get_parts(offsets[~shapely.is_empty(offsets)]))


def closed(shape: BaseGeometry, radius: float) -> BaseGeometry:
    """Round inside corners to `radius` and fill gaps narrower than twice that.

    Never takes anything away: the result covers `shape`.
    """
    if radius < LEAST_MM:
        return shape
    if shape.geom_type == "Polygon" and shape.area > shape.convex_hull.area * (1 - 1e-6):
        return shape
    plain, over = shape, 0.0
    if shapely.get_num_coordinates(shape) > MANY_POINTS:
        over = min(OVERLOOKED_MM, radius / 10)
        plain = shape.simplify(over)
    turns = _turns(plain) if radius >= FIRST_FROM_MM else 0.0
    # what is narrow is filled before wide arcs are drawn round all of it: the same in the end
    if turns > COMB_TURNS:
        for share in FILLED_FIRST:
            plain = _notches_filled(plain, share * radius)
    elif turns > FULL_SEGS_TURNS:
        for share in CLOSED_FIRST:
            plain = _closed(plain, share * radius, _SPARE_MM)
    return _covering(_closed(plain, radius, min(over + _SPARE_MM, radius)), shape)


def _notches_filled(shape: BaseGeometry, radius: float) -> BaseGeometry:
    """Return `shape` closed by `radius`, and at most a hundredth of it more: few points, quickly."""
    grew = shape.buffer(radius, join_style="mitre", mitre_limit=BLUNT)
    return without_islands(grew).buffer(min(_SPARE_MM, radius) - radius, quad_segs=2)


def _closed(shape: BaseGeometry, radius: float, spare: float) -> BaseGeometry:
    segs = _segs(shape, radius)
    grew = _buffered(shape, radius * _circumscribed(segs), segs)
    return _buffered(grew, spare - radius, segs)


def _covering(result: BaseGeometry, shape: BaseGeometry) -> BaseGeometry:
    """Return `result` with what it lacks of `shape`."""
    return result if result.covers(shape) else result.union(shape)


def without_islands(shape: BaseGeometry) -> BaseGeometry:
    """Return `shape` with its holes filled."""
    if not any(len(part.interiors) for part in polygons(shape)):
        return shape
    return shapely.union_all([Polygon(part.exterior) for part in polygons(shape)])


def swept(middles: BaseGeometry, radius: float) -> BaseGeometry:
    """Return all discs of `radius` about middles: outside corners have that radius or more."""
    return _buffered(middles, radius, _segs(middles, radius))


def opened(shape: BaseGeometry, radius: float) -> BaseGeometry:
    """Round outside corners to `radius`; takes away what is narrower than twice that."""
    if radius < LEAST_MM:
        return shape
    segs = _segs(shape, radius)
    return _buffered(_buffered(shape, -radius, segs), radius, segs)
