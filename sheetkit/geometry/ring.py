"""Drawn points -> a clean polygon.

A ring is judged, never repaired in silence: `ring_faults` says what is wrong
and where; `proposed_ring` gives a repaired ring to show beside the drawn one.
All lengths in mm, all areas in mm².
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
import shapely
from shapely import Polygon
from shapely.validation import explain_validity, make_valid

from ..base.errors import Fault, SheetkitError
from .offset import polygons

LARGEST_MM = 20_000.0
"""A coordinate further out than 20 m is not a vehicle's (guess)."""
MOST_POINTS = 200_000
KEPT_POINTS = 2000
"""Judgements of rings up to this size are kept."""
SMALLEST_AREA_MM2 = 1.0


def _at(point: Sequence[float]) -> str:
    return f"({point[0]:.6g}, {point[1]:.6g})"


def _opened(points: object) -> np.ndarray:
    """Return the ring's points as (n, 2) floats, without a repeated last point."""
    ring = np.asarray(points, dtype=float).reshape(-1, 2)
    return ring[:-1] if len(ring) > 1 and np.array_equal(ring[0], ring[-1]) else ring


def _spikes(ring: np.ndarray) -> np.ndarray:
    """Return the indices of points where the outline runs straight back on itself."""
    back, ahead = np.roll(ring, 1, axis=0) - ring, np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(*back.T) * np.hypot(*ahead.T)
    cross = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
    along = (back * ahead).sum(axis=1)
    return np.flatnonzero((np.abs(cross) <= 1e-9 * lengths) & (along > 0))


def ring_faults(points: object, field: str) -> list[Fault]:
    """Say everything that is wrong with a drawn ring; an empty list if nothing is.

    Parameters
    ----------
    points : sequence of (x, y), mm
        Closed or not, in either direction.
    field : str
        The ring's name in the job, such as ``rust[0].ring``.

    Returns
    -------
    list of Fault
        Fewer than three points, not finite, too far out, repeated points,
        spikes, crossings (bow-tie), no area.
    """
    try:
        ring = _opened(points)
    except (TypeError, ValueError, OverflowError):
        return [Fault(field, "something else", "must be a list of [x, y]", "draw the ring again")]
    judge = _judged if len(ring) <= KEPT_POINTS else _judged.__wrapped__
    return [replace(fault, field=field + fault.field) for fault in judge(ring.tobytes())]


@lru_cache(maxsize=64)
def _judged(raw: bytes) -> tuple[Fault, ...]:
    """Return the faults of an opened ring, with fields such as ``[3]``.

    Kept, as one edit asks it of the same ring many times, from the drawing to the patch.
    """
    ring, faults = np.frombuffer(raw).reshape(-1, 2), []
    bad = np.flatnonzero(~np.isfinite(ring).all(axis=1))
    if bad.size:
        faults.append(
            Fault(
                f"[{bad[0]}]",
                f"{ring[bad[0]].tolist()}",
                "each coordinate must be a finite number",
                "measure the point again or delete it",
            )
        )
    far = np.flatnonzero((np.abs(ring) > LARGEST_MM).any(axis=1))
    if far.size:
        faults.append(
            Fault(
                f"[{far[0]}]",
                f"{_at(ring[far[0]])} mm",
                f"must lie within {LARGEST_MM / 1000:g} m of the origin",
                "check the unit the ring was drawn in",
            )
        )
    if len(ring) > MOST_POINTS:
        faults.append(
            Fault(
                "",
                f"{len(ring)} points",
                f"must have at most {MOST_POINTS} points",
                "leave out points closer together than 0.1 mm",
            )
        )
    if faults:
        return tuple(faults)
    step = np.roll(ring, -1, axis=0) - ring
    repeated = np.flatnonzero(np.hypot(*step.T) < 1e-6) if len(ring) > 1 else np.empty(0, int)
    for index in repeated[:3]:
        faults.append(
            Fault(
                f"[{index}]",
                f"{_at(ring[index])} mm twice in a row",
                "each point must differ from the next",
                f"delete point {(index + 1) % len(ring)}",
            )
        )
    if repeated.size:
        ring = np.delete(ring, repeated, axis=0)
    if len(ring) < 3:
        faults.append(
            Fault(
                "",
                f"{len(ring)} different point{'s' if len(ring) != 1 else ''}",
                "must have at least 3 different points",
                "add points around the rust",
            )
        )
        return tuple(faults)
    spikes = _spikes(ring)
    polygon = Polygon(ring)
    flat = polygon.convex_hull.area < SMALLEST_AREA_MM2
    if flat:
        faults.append(
            Fault(
                "",
                f"an area of {polygon.convex_hull.area:.3g} mm²",
                f"must enclose at least {SMALLEST_AREA_MM2:g} mm²",
                "draw the ring around the rust, not along a line",
            )
        )
        return tuple(faults)
    for index in spikes[:3]:
        faults.append(
            Fault(
                f"[{index}]",
                f"a spike at {_at(ring[index])} mm",
                "the outline must not run back along itself",
                f"delete point {index}",
            )
        )
    if not faults and not polygon.is_valid:
        where = explain_validity(polygon)
        place = where[where.find("[") + 1 : where.find("]")].split()
        spot = f" near {_at([float(part) for part in place[:2]])} mm" if len(place) >= 2 else ""
        faults.append(
            Fault(
                "",
                f"an outline that crosses or touches itself{spot}",
                "must be one ring that doesn't cross itself",
                "swap the crossing points or draw two rings",
            )
        )
    if not faults and polygon.area < SMALLEST_AREA_MM2:
        faults.append(
            Fault(
                "",
                f"an area of {polygon.area:.3g} mm²",
                f"must enclose at least {SMALLEST_AREA_MM2:g} mm²",
                "draw the ring around the rust",
            )
        )
    return tuple(faults)


def polygon(points: object, *, field: str = "ring") -> Polygon:
    """Return the drawn ring as a valid polygon, counter-clockwise; refuse any other.

    Raises
    ------
    SheetkitError
        With every fault of the ring (see `ring_faults`).
    """
    faults = ring_faults(points, field)
    if faults:
        raise SheetkitError(faults)
    return shapely.geometry.polygon.orient(Polygon(_opened(points)))


def proposed_ring(points: object) -> list[Polygon]:
    """Return what a repair of a faulty ring would be, to show beside the drawn one.

    Repeated points and spikes go; a crossing ring falls into the parts it
    encloses, largest first; points too far out go too.  Nothing uses this
    without the user's word.
    """
    try:
        ring = _opened(points)
    except (TypeError, ValueError, OverflowError):
        return []
    ring = ring[(np.abs(ring) <= LARGEST_MM).all(axis=1)]
    if not 3 <= len(ring) <= MOST_POINTS:
        return []
    return [part for part in polygons(make_valid(Polygon(ring))) if part.area >= SMALLEST_AREA_MM2]
