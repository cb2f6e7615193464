"""Drawn points -> a ring: judged once, never repaired in silence.

All lengths in mm, all areas in mm².
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from shapely import Polygon
from shapely.geometry.polygon import orient
from shapely.validation import explain_validity

from ..base.errors import Fault, SheetkitError
from .plainer import plainer

LARGEST_MM = 20_000.0
"""A coordinate further out than 20 m is not a vehicle's (guess)."""
MOST_POINTS = 20_000
"""Of one ring: two metres of outline with a point every tenth of a millimetre."""
MOST_CORNERS, CORNER_MM = 400, 2.0
"""A ring with more corners deeper than this is a comb or a scribble; offsets of it take minutes."""
SMALLEST_AREA_MM2 = 1.0
MOST_TOLD = 3
"""Places of one kind of fault that are named in one ring."""


@dataclass(frozen=True)
class Ring:
    """A drawn ring that was judged sound: its points as drawn, and the polygon they make.

    `points` don't repeat the first one; `polygon` is valid and counter-clockwise.  mm.
    """

    points: tuple[tuple[float, float], ...]
    polygon: Polygon = field(compare=False)

    @classmethod
    def drawn(cls, points: object, *, field: str = "ring") -> Ring:
        """Return the ring through drawn points.

        Parameters
        ----------
        points : sequence of (x, y), mm
            Closed or not, in either direction.
        field : str
            The ring's name in the job, such as ``rust[0].ring``.

        Raises
        ------
        SheetkitError
            With every fault: fewer than three points, not finite, too far out,
            repeated points, spikes, crossings (bow-tie), no area.
        """
        try:
            at = _unclosed(points)
        except (TypeError, ValueError, OverflowError):
            raise SheetkitError(
                Fault(field, "something else", "must be a list of [x, y]", "draw the ring again")
            ) from None
        faults = _bounds_faults(at, field)
        if not faults:
            different, faults = _repeats(at, field)
            polygon, shape_faults = _outline(different, field, judge_crossing=not faults)
            faults += shape_faults
        if faults:
            raise SheetkitError(faults)
        return cls(tuple(map(tuple, at.tolist())), orient(polygon))

    def __repr__(self) -> str:
        return f"Ring({len(self.points)} points, {self.polygon.area:.4g} mm²)"


def _at(point: Sequence[float]) -> str:
    return f"({point[0]:.6g}, {point[1]:.6g})"


def _unclosed(points: object) -> np.ndarray:
    """Return the ring's points as (n, 2) floats, without a repeated last point."""
    ring = np.asarray(points, dtype=float).reshape(-1, 2)
    return ring[:-1] if len(ring) > 1 and np.array_equal(ring[0], ring[-1]) else ring


def _bounds_faults(ring: np.ndarray, field: str) -> list[Fault]:
    """Say which points can't be a vehicle's, and whether there are too many."""
    faults = []
    bad = np.flatnonzero(~np.isfinite(ring).all(axis=1))
    if bad.size:
        faults.append(
            Fault(
                f"{field}[{bad[0]}]",
                f"{ring[bad[0]].tolist()}",
                "each coordinate must be a finite number",
                "measure the point again or delete it",
            )
        )
    far = np.flatnonzero((np.abs(ring) > LARGEST_MM).any(axis=1))
    if far.size:
        faults.append(
            Fault(
                f"{field}[{far[0]}]",
                f"{_at(ring[far[0]])} mm",
                f"must lie within {LARGEST_MM / 1000:g} m of the origin",
                "check the unit the ring was drawn in",
            )
        )
    if len(ring) > MOST_POINTS:
        faults.append(
            Fault(
                field,
                f"{len(ring)} points",
                f"must have at most {MOST_POINTS} points",
                "leave out points closer together than 0.1 mm",
            )
        )
    return faults


def _repeats(ring: np.ndarray, field: str) -> tuple[np.ndarray, list[Fault]]:
    """Return the ring without points that repeat the one before, and the faults of these."""
    step = np.roll(ring, -1, axis=0) - ring
    repeated = np.flatnonzero(np.hypot(*step.T) < 1e-6) if len(ring) > 1 else np.empty(0, int)
    faults = [
        Fault(
            f"{field}[{index}]",
            f"{_at(ring[index])} mm twice in a row",
            "each point must differ from the next",
            f"delete point {(index + 1) % len(ring)}",
        )
        for index in repeated[:MOST_TOLD]
    ]
    return np.delete(ring, repeated, axis=0) if repeated.size else ring, faults


def _outline(ring: np.ndarray, field: str, *, judge_crossing: bool) -> tuple[Polygon, list[Fault]]:
    """Return the polygon through different points, and what is wrong with its outline."""
    if len(ring) < 3:
        count = f"{len(ring)} different point{'s' if len(ring) != 1 else ''}"
        return Polygon(), [
            Fault(
                field,
                count,
                "must have at least 3 different points",
                "add points around the rust",
            )
        ]
    polygon = Polygon(ring)
    if (widest := polygon.convex_hull.area) < SMALLEST_AREA_MM2:
        return polygon, [
            _too_small(field, widest, "draw the ring around the rust, not along a line")
        ]
    if (corners := _corners(polygon)) > MOST_CORNERS:
        return polygon, [
            Fault(
                field,
                f"{corners} corners deeper than {CORNER_MM:g} mm",
                f"must have at most {MOST_CORNERS}",
                "draw the outline smoother",
            )
        ]
    faults = [
        Fault(
            f"{field}[{index}]",
            f"a spike at {_at(ring[index])} mm",
            "the outline must not run back along itself",
            f"delete point {index}",
        )
        for index in _spikes(ring)[:MOST_TOLD]
    ]
    if faults or not judge_crossing:
        return polygon, faults
    if not polygon.is_valid:
        where = explain_validity(polygon)
        place = where[where.find("[") + 1 : where.find("]")].split()
        spot = f" near {_at([float(part) for part in place[:2]])} mm" if len(place) >= 2 else ""
        faults.append(
            Fault(
                field,
                f"an outline that crosses or touches itself{spot}",
                "must be one ring that doesn't cross itself",
                "swap the crossing points or draw two rings",
            )
        )
    elif polygon.area < SMALLEST_AREA_MM2:
        faults.append(_too_small(field, polygon.area, "draw the ring around the rust"))
    return polygon, faults


def _too_small(field: str, area: float, remedy: str) -> Fault:
    return Fault(
        field,
        f"an area of {area:.3g} mm²",
        f"must enclose at least {SMALLEST_AREA_MM2:g} mm²",
        remedy,
    )


def _corners(polygon: Polygon) -> int:
    """Count the corners that stay when what is shallower than `CORNER_MM` is left out."""
    drawn = len(polygon.exterior.coords) - 1
    return drawn if drawn <= MOST_CORNERS else len(plainer(polygon.exterior, CORNER_MM)) - 1


def _spikes(ring: np.ndarray) -> np.ndarray:
    """Return the indices of points where the outline runs straight back on itself."""
    back, ahead = np.roll(ring, 1, axis=0) - ring, np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(*back.T) * np.hypot(*ahead.T)
    cross = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
    along = (back * ahead).sum(axis=1)
    return np.flatnonzero((np.abs(cross) <= 1e-9 * lengths) & (along > 0))
