"""The seam to weld, as runs of line."""

from __future__ import annotations

import shapely
from shapely import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..base.errors import check
from .offset import LEAST_MM, QUAD_SEGS, TOUCH_MM, grown, polygons, shrunk


def on_metal(line: BaseGeometry, panel: Polygon | None) -> list[LineString]:
    """Return the runs of `line` that lie on metal, off the panel's edges; longest first."""
    if line.is_empty:
        return []
    if panel is None or shapely.contains_properly(panel, line):
        return [LineString(part.coords) for part in shapely.get_parts(line)]
    kept = line.intersection(panel).difference(_edges_near(panel, line).buffer(2 * TOUCH_MM))
    lines = [p for p in shapely.get_parts(kept) if p.geom_type == "LineString" and p.length > 0.1]
    merged = shapely.get_parts(shapely.line_merge(MultiLineString(lines)))
    return sorted(merged, key=lambda run: -run.length)


def _edges_near(panel: Polygon, line: BaseGeometry) -> BaseGeometry:
    """Return the panel's edges round a line: what is further off needn't be looked at."""
    left, bottom, right, top = line.bounds
    return shapely.clip_by_rect(panel.boundary, left - 1, bottom - 1, right + 1, top + 1)


def seam_runs(
    cut: Polygon,
    *,
    joint: str,
    gap: float = 0.0,
    overlap: float = 0.0,
    panel: Polygon | None = None,
) -> list[LineString]:
    """Return the lines the weld follows, longest first; a closed run repeats its first point.

    Butt: the middle line of the gap.  Lap: the patch's welded edge, the cut
    line grown by the overlap.  Plug: the line of the hole centres, half-way
    across the overlap.  What lies on the panel's edge or in one of its holes
    is left out.

    Raises
    ------
    OutOfRange
        Gap outside 0 to 10 mm or overlap outside 0 to 100 mm.
    """
    check("gap", gap, 0, 10, "mm")
    check("overlap", overlap, 0, 100, "mm")
    offset = {"butt": -gap / 2, "lap": overlap, "plug": overlap / 2}[joint]
    if abs(offset) < LEAST_MM:
        return on_metal(cut.exterior, panel)
    if panel is None or shapely.contains_properly(panel, grown(cut, max(offset, 0.0))):
        shape = shrunk(cut, -offset) if offset < 0 else grown(cut, offset)
        lines = [part.exterior for part in polygons(shape)]
    else:
        welded = MultiLineString(on_metal(cut.exterior, panel))
        band = welded.buffer(abs(offset), quad_segs=QUAD_SEGS)
        shape = cut.difference(band) if offset < 0 else cut.union(band)
        near = welded.buffer(abs(offset) + TOUCH_MM, quad_segs=QUAD_SEGS)
        lines = [part.exterior.intersection(near) for part in polygons(shape)]
    runs = [run for line in lines for run in on_metal(line, panel)]
    return sorted(runs, key=lambda run: -run.length)
