"""Rust -> cut line -> patch -> blank.

The cut line is where the rotten metal is cut out; the patch is what is welded
into it; the seam is the line the weld follows.  Lengths in mm, areas in mm².
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from .errors import require
from .offsets import QUAD_SEGS, closed, grown, opened, polygons, shrunk

STEEL_DENSITY = 7.85e-3
"""g/mm³. Source: EN 1993-1-1 clause 3.2.6 (value from memory)."""
TOUCH_MM = 1e-3
"""Lines nearer than this count as lying on one another."""
ROUND_TO_MM = 0.25
"""How near the search for corners larger than the margin comes to the smallest cut."""

SCRAP_MM2 = 25.0
"""Pieces of a patch smaller than this are no piece: they fall off in the cutting."""


def _shaped(zone: BaseGeometry, shape: str) -> BaseGeometry:
    """Return the outline a cut of this shape gives round each part of `zone`."""
    if shape == "follow":
        return zone
    return shapely.union_all([_one_shaped(part, shape) for part in polygons(zone)])


def _one_shaped(part: Polygon, shape: str) -> BaseGeometry:
    hull = part.convex_hull
    if shape == "hull":
        return hull
    level, turned = hull.envelope, hull.minimum_rotated_rectangle
    # a box square to the panel is easier to mark out: turn it only where that saves metal
    return turned if turned.area < 0.9 * level.area else level


def _too_near(parts: list[Polygon], web: float) -> list[tuple[int, int]]:
    """Return the pairs of parts that leave a strip narrower than `web` between them."""
    if web <= 0 or len(parts) < 2:
        return []
    first, second = shapely.STRtree(parts).query(parts, predicate="dwithin", distance=web)
    return [(i, j) for i, j in zip(first, second, strict=True) if i < j]


def _merged(zone: BaseGeometry, web: float, shape: str) -> BaseGeometry:
    """Join parts that would leave a strip of sound metal narrower than `web`."""
    while True:
        shaped = _shaped(zone, shape)
        parts = polygons(shaped)
        pairs = _too_near(parts, web)
        if not pairs:
            return shaped
        straps = [shapely.shortest_line(parts[i], parts[j]).buffer(web / 2) for i, j in pairs]
        zone = closed(shapely.union_all([shaped, *straps]), web / 2)


def _curtain(part: Polygon, edge: LineString) -> BaseGeometry:
    """Return the strip between `part` and the edge: each piece of its outline, run out square."""
    near = shapely.get_coordinates(part.exterior.segmentize(10.0))
    at = shapely.line_locate_point(edge, shapely.points(near))
    foot = shapely.get_coordinates(shapely.line_interpolate_point(edge, at))
    step, drawn = (np.hypot(*np.diff(xy, axis=0).T) for xy in (foot, near))
    whole = step <= 4 * drawn + 1.0  # where the nearest edge changes, its feet jump
    quads = np.stack([near[:-1], near[1:], foot[1:], foot[:-1]], axis=1)[whole]
    return shapely.union_all(shapely.convex_hull(shapely.multipoints(quads)))


def _to_edge(cut: BaseGeometry, panel: Polygon, web: float, radius: float) -> BaseGeometry:
    """Clip the cut to the panel, and run it out square to an edge nearer than `web`."""
    clipped = cut.intersection(panel)
    if web <= 0 or not shapely.dwithin(clipped, panel.exterior, web):
        return clipped
    edge = LineString(panel.exterior.coords)
    near = polygons(clipped.intersection(edge.buffer(web + radius)))
    strips = [_curtain(part, edge) for part in near if shapely.dwithin(part, edge, web)]
    cut = shapely.union_all([clipped, *strips]).buffer(TOUCH_MM, join_style="mitre")
    cut = shapely.union_all([Polygon(part.exterior) for part in polygons(cut)])
    cut = cut.intersection(panel)
    scraps = [part for part in polygons(panel.difference(cut)) if part.area < (2 * web) ** 2]
    return closed(shapely.union_all([cut, *scraps]), TOUCH_MM) if scraps else cut


def cut_lines(
    rust: BaseGeometry,
    *,
    margin: float,
    shape: str = "follow",
    corner_radius: float = 25.0,
    web: float = 20.0,
    panel: Polygon | None = None,
) -> list[Polygon]:
    """Return the cut lines round the rust, largest first.

    The rust is grown by `margin`, shaped, its corners rounded, parts with too
    little sound metal between them joined, sound islands inside a cut filled
    (they would fall out), and the whole clipped to the panel.

    Parameters
    ----------
    rust : Polygon or MultiPolygon
        The rust-outs as drawn, valid, mm.
    margin : float
        How far into sound metal, mm, 0 to 200.
    shape : {"follow", "hull", "box"}
        Follow the rust; its convex hull; a rectangle (square to the drawing
        unless turning it saves a tenth of the metal).
    corner_radius : float
        Least radius of outside and inside corners, mm, 0 to 200.
    web : float
        Strips of sound metal narrower than this, between two cuts or to the
        panel's edge, are cut out too, mm, 0 to 200.
    panel : Polygon, optional
        The panel's outline; its holes are ignored here (a patch spans them).

    Returns
    -------
    list of Polygon
        Without holes.  Together they always cover the rust grown by the
        margin, as far as the panel reaches.

    Raises
    ------
    OutOfRange
        A length outside its limits.
    """
    for name, value in (("margin", margin), ("corner_radius", corner_radius), ("web", web)):
        require(name, value, 0, 200, "mm")
    zone = grown(rust, margin)
    cut = _rounded(_merged(zone, web, shape), zone, margin, corner_radius, shape)
    parts = polygons(cut)
    while _too_near(parts, web):  # rounding made the cuts larger
        cut = _rounded(_merged(cut, web, shape), zone, margin, corner_radius, shape)
        before, parts = parts, polygons(cut)
        if len(parts) >= len(before):
            break
    cut = shapely.union_all([Polygon(part.exterior) for part in polygons(cut)])
    if panel is not None:
        cut = _to_edge(cut, Polygon(panel.exterior), web, corner_radius)
    return [Polygon(part.exterior) for part in polygons(cut)]


def _rounded(cut, zone, margin: float, radius: float, shape: str) -> BaseGeometry:
    """Round every corner of `cut` to at least `radius` and still cover `zone`."""
    if radius <= 0:
        return cut
    if shape == "box":
        # a round of the margin's radius takes nothing off the grown rust
        cut = opened(cut, min(radius, margin)).union(zone)
    cut = shapely.union_all([closed(part, radius) for part in polygons(cut)])
    if radius <= margin * 1.0001:
        return cut
    # larger corners than the margin gives: grow by the least that still covers
    low, high = 0.0, radius
    best = closed(cut.buffer(high), radius)
    while high - low > ROUND_TO_MM:
        middle = (low + high) / 2
        trial = opened(cut.buffer(middle), radius)
        if trial.covers(zone):
            best, high = closed(trial, radius), middle
        else:
            low = middle
    return best


def covers(cut: Polygon, rust: BaseGeometry, margin: float, panel: Polygon | None) -> bool:
    """Say whether `cut` covers the rust in it grown by `margin`, as far as the panel reaches."""
    inside = [part for part in shapely.get_parts(rust) if part.intersects(cut)]
    wanted = grown(shapely.union_all(inside), margin)
    if panel is not None:
        wanted = wanted.intersection(Polygon(panel.exterior))
    reached = cut.buffer(TOUCH_MM)
    # a slit in the panel can part what one rust-out asks for: each cut answers for its side
    parts = polygons(wanted)
    if len(parts) > 1:
        parts = [part for part in parts if part.intersection(cut).area > TOUCH_MM]
    return all(reached.covers(part) for part in parts)


def _inside_panel(line: BaseGeometry, panel: Polygon | None) -> list[LineString]:
    """Return the runs of `line` that lie on metal, off the panel's edges; longest first."""
    if panel is None or shapely.contains_properly(panel, line):
        return [LineString(part.coords) for part in shapely.get_parts(line)]
    kept = line.intersection(panel).difference(panel.boundary.buffer(2 * TOUCH_MM))
    lines = [p for p in shapely.get_parts(kept) if p.geom_type == "LineString" and p.length > 0.1]
    merged = shapely.get_parts(shapely.line_merge(MultiLineString(lines)))
    return sorted(merged, key=lambda run: -run.length)


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
    require("gap", gap, 0, 10, "mm")
    require("overlap", overlap, 0, 100, "mm")
    offset = {"butt": -gap / 2, "lap": overlap, "plug": overlap / 2}[joint]
    if offset == 0:
        return _inside_panel(cut.exterior, panel)
    if panel is None or shapely.contains_properly(panel, grown(cut, max(offset, 0.0))):
        shape = shrunk(cut, -offset) if offset < 0 else grown(cut, offset)
        lines = [part.exterior for part in polygons(shape)]
    else:
        welded = MultiLineString(_inside_panel(cut.exterior, panel))
        band = welded.buffer(abs(offset), quad_segs=QUAD_SEGS)
        shape = cut.difference(band) if offset < 0 else cut.union(band)
        near = welded.buffer(abs(offset) + TOUCH_MM, quad_segs=QUAD_SEGS)
        lines = [part.exterior.intersection(near) for part in polygons(shape)]
    runs = [run for line in lines for run in _inside_panel(line, panel)]
    return sorted(runs, key=lambda run: -run.length)


def patches(
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
    runs = _inside_panel(cut.exterior, panel)
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
        for ring in panel.interiors:
            hole = Polygon(ring)
            if shapely.intersects(hole, shape):
                shape = shape.difference(hole)
    return [part for part in polygons(shape) if part.area >= SCRAP_MM2]


def blank_size(patch: Polygon) -> tuple[float, float]:
    """Return the length and width of the smallest rectangle of sheet it comes out of, mm."""
    corners = np.asarray(patch.minimum_rotated_rectangle.exterior.coords)
    sides = np.hypot(*np.diff(corners[:3], axis=0).T)
    return float(sides.max()), float(sides.min())


def mass(area: float, thickness: float) -> float:
    """Return the mass of steel sheet in g: area (mm²) x thickness (mm) x 7.85e-3 g/mm³."""
    return area * thickness * STEEL_DENSITY
