"""Rust -> cut line -> patch -> blank.

The cut line is where the rotten metal is cut out; the patch is what is welded
into it; the seam is the line the weld follows.  Lengths in mm, areas in mm².
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiLineString, Polygon

from ..base.steel import DENSITY_G_MM3
from .offset import PLAIN_POINTS, QUAD_SEGS, grown, polygons, shrunk
from .seam import on_metal

SCRAP_MM2 = 25.0
"""Pieces of a patch smaller than this are no piece: they fall off in the cutting."""


def pieces(
    cut: Polygon,
    *,
    joint: str,
    gap: float = 0.0,
    overlap: float = 0.0,
    panel: Polygon | None = None,
) -> list[Polygon]:
    """Return the patch that fills a cut: one piece, or none or several if the gap eats it.

    Butt: the cut shrunk by the gap where it is welded.  Lap and plug: the cut
    grown by the overlap, as far as the panel's metal reaches.  Existing holes
    that lie wholly inside come back as holes to be made in the patch.
    """
    runs = on_metal(cut.exterior, panel)
    if joint == "butt":
        if panel is None or (len(runs) == 1 and runs[0].is_closed):
            shape = shrunk(cut, gap)
        else:
            shape = cut.difference(MultiLineString(runs).buffer(gap, quad_segs=QUAD_SEGS))
    else:
        shape = grown(cut, overlap)
        if panel is not None:
            shape = shape.intersection(Polygon(panel.exterior))
    if panel is not None:
        holes = np.array([Polygon(ring) for ring in panel.interiors], dtype=object)
        for hole in holes[shapely.intersects(holes, shape)]:
            shape = shape.difference(hole)
    return [part for part in polygons(shape) if part.area >= SCRAP_MM2]


def near(panel: Polygon | None, cut: Polygon, reach: float) -> Polygon | None:
    """Return the panel round a cut, what is further off left out: its pieces are the same.

    Holes are whole or not there.  The panel itself comes back where it is small, or where
    what is near is in several pieces.
    """
    if panel is None or shapely.get_num_coordinates(panel) <= PLAIN_POINTS:
        return panel
    holes = shapely.polygons(shapely.get_rings(panel)[1:])
    holes = holes[shapely.dwithin(holes, cut, reach)]
    bounds = shapely.bounds([cut.buffer(reach), *holes])
    low, high = bounds[:, :2].min(axis=0) - reach, bounds[:, 2:].max(axis=0) + reach
    outer = Polygon(panel.exterior).intersection(shapely.box(*low, *high))
    if outer.geom_type != "Polygon" or outer.interiors:
        return panel
    return Polygon(outer.exterior, shapely.get_exterior_ring(holes))


def blank_size(patch: Polygon) -> tuple[float, float]:
    """Return the length and width of the smallest rectangle of sheet it comes out of, mm."""
    corners = np.asarray(patch.minimum_rotated_rectangle.exterior.coords)
    sides = np.hypot(*np.diff(corners[:3], axis=0).T)
    return float(sides.max()), float(sides.min())


def mass(area: float, thickness: float) -> float:
    """Return the mass of steel sheet in g: area (mm²) x thickness (mm) x steel's density."""
    return area * thickness * DENSITY_G_MM3
