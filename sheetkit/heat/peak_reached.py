"""How far from the seam the sheet got how hot, and when it can be touched again.

The temperature is uniform through a sheet, so both its faces are as hot; of two
sheets that lie on each other the hotter one counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from ..base.tables import Row, limit
from .sheet_model import Order, SheetModel

EVERY_MM, STEP_MM, REACH_MM = 5.0, 0.5, 150.0
"""Sections across the seam: one every so many mm, read in steps, out to this far."""
ALONG_MM = 2.0
LONGEST_S = 2 * 3600.0
LOOK_S = 10.0


@dataclass(frozen=True)
class HotStrip:
    """How far from the welded line something was as hot as `level`, on each side, mm.

    mean_mm, widest_mm : over all sections and both sides; 0 where nothing was
    """

    level: Row
    mean_mm: float
    widest_mm: float


@dataclass(frozen=True, eq=False)
class PeakReached:
    """The highest temperature of every place, and how the sheet cools when all is welded.

    peak_c : (rows, columns) deg C, NaN off the sheet; x_mm, y_mm : their centres
    touch_s : s after the last arc until no place is over the temperature skin bears;
        None where that takes over LONGEST_S
    """

    peak_c: np.ndarray
    x_mm: np.ndarray
    y_mm: np.ndarray
    strips: tuple[HotStrip, ...]
    touch_s: float | None


def levels() -> tuple[Row, ...]:
    """Return what suffers at which temperature, deg C, the least first: rows of the table."""
    return tuple(limit(name) for name in ("heat_wax", "heat_sealer", "heat_paint", "heat_zinc"))


def peak_reached(
    model: SheetModel, order: Order, start_s: Sequence[float] | np.ndarray
) -> PeakReached:
    """Play a schedule through and let the sheet cool; return how hot each place got.

    Parameters
    ----------
    order, start_s : all welds with their starts, s, as `SheetModel.play` takes them
    """
    peak = np.zeros_like(model.per_capacity)
    state = model.play(order, start_s, peak=peak).state
    touch = limit("cool_to_touch").value - model.ambient_c
    live = model.capacity > 0
    waited, touch_s = 0.0, None
    while waited < LONGEST_S:
        if float(state.field[live].max()) <= max(touch, 1.0):
            touch_s = waited if touch >= 1.0 else None
            break
        model.cool(state, LOOK_S, peak=peak)
        waited += LOOK_S
    grid = model.grid
    rows = grid.shape[0]
    hottest = peak[:rows].astype(float)
    if peak.shape[0] > rows:
        beneath = peak[rows:]
        hottest[model.second_rows] = np.maximum(hottest[model.second_rows], beneath)
    field = np.where(grid.inner(grid.active) > 0, grid.inner(hottest) + model.ambient_c, np.nan)
    x, y = grid.x[1 : 1 + grid.columns], grid.y[1:-1]
    profiles = across(model.piece.zones, x, y, field)
    return PeakReached(field, x, y, tuple(_strip(row, profiles) for row in levels()), touch_s)


def across(
    lines: Sequence[shapely.Geometry], x: np.ndarray, y: np.ndarray, field: np.ndarray
) -> np.ndarray:
    """Return a field read across lines: (sections, offsets of STEP_MM), a row for each side."""
    places = [
        (line, float(at)) for line in lines for at in np.arange(EVERY_MM / 2, line.length, EVERY_MM)
    ]
    return sections(places, x, y, field, np.arange(0.0, REACH_MM, STEP_MM))


def sections(
    places: Sequence[tuple[shapely.Geometry, float]],
    x: np.ndarray,
    y: np.ndarray,
    field: np.ndarray,
    offsets_mm: np.ndarray,
) -> np.ndarray:
    """Return a field read square to lines, (2 x places, offsets): two rows a place, one a side.

    Parameters
    ----------
    places : a line each, and where along it, mm
    x, y : (columns,) and (rows,) centres of `field`, mm; off these, and off the sheet, NaN
    """
    from scipy.interpolate import RegularGridInterpolator

    read = RegularGridInterpolator((y, x), field, bounds_error=False, fill_value=np.nan)
    rows = []
    for line, at in places:
        here, behind, ahead = (
            shapely.get_coordinates(line.interpolate(min(max(s, 0.0), line.length)))[0]
            for s in (at, at - ALONG_MM, at + ALONG_MM)
        )
        way = ahead - behind
        normal = np.array([-way[1], way[0]]) / max(float(np.hypot(*way)), 1e-9)
        rows += [read((here + offsets_mm[:, None] * side)[:, ::-1]) for side in (normal, -normal)]
    return np.array(rows)


def _strip(level: Row, profiles: np.ndarray) -> HotStrip:
    """Return how far a level reaches: each section up to where it first falls below it."""
    reach = []
    for profile in profiles:
        known = profile[: int(np.append(np.isfinite(profile), False).argmin())]
        if not known.size:
            continue
        hot = known >= level.value
        last = int(np.append(hot, False).argmin())
        if not last:
            reach.append(0.0)
        elif last == known.size:
            reach.append(STEP_MM * (last - 1))
        else:
            part = (known[last - 1] - level.value) / (known[last - 1] - known[last])
            reach.append(STEP_MM * (last - 1 + float(part)))
    return HotStrip(level, float(np.mean(reach or [0.0])), float(max(reach, default=0.0)))
