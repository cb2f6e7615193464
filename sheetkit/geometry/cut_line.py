"""Rust -> cut line: how far into sound metal, in which shape, clipped to the panel."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..base.errors import check
from .offset import LEAST_MM, PLAIN_POINTS, TOUCH_MM, closed, grown, grown_parts, opened, polygons

ROUND_TO_MM = 0.25
"""How near the search for corners larger than the margin comes to the smallest cut."""
OVERLOOKED_MM = 0.02
"""What is shallower is not looked at in that search, which judges the cover by the true shape."""


PIECE_MM, MOST_PIECES = 10.0, 5000
"""How long the pieces of an outline are that are run out to the edge, and how many at most."""


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
    step = max(PIECE_MM, part.length / MOST_PIECES)
    near = shapely.get_coordinates(part.exterior.segmentize(step))
    at = shapely.line_locate_point(edge, shapely.points(near))
    foot = shapely.get_coordinates(shapely.line_interpolate_point(edge, at))
    moved, drawn = (np.hypot(*np.diff(xy, axis=0).T) for xy in (foot, near))
    whole = moved <= 4 * drawn + 1.0  # where the nearest edge changes, its feet jump
    quads = np.stack([near[:-1], near[1:], foot[1:], foot[:-1]], axis=1)[whole]
    return shapely.union_all(shapely.convex_hull(shapely.multipoints(quads)))


def _to_edge(cut: BaseGeometry, panel: Polygon, web: float, radius: float) -> BaseGeometry:
    """Clip the cut to the panel, and run it out square to an edge nearer than `web`."""
    clipped = cut.intersection(panel)
    if web <= 0 or not shapely.dwithin(clipped, panel.exterior, web):
        return clipped
    edge = LineString(panel.exterior.coords)
    segs = 16 if len(edge.coords) <= PLAIN_POINTS else 4
    near = polygons(clipped.intersection(edge.buffer(web + radius, quad_segs=segs)))
    strips = [_curtain(part, edge) for part in near if shapely.dwithin(part, edge, web)]
    together = shapely.union_all([clipped, *strips])
    with np.errstate(divide="ignore", invalid="ignore"):  # mitres of slits that rounding left
        cut = together.buffer(TOUCH_MM, join_style="mitre")
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
        check(name, value, 0, 200, "mm")
    margin, corner_radius, web = (x if x >= LEAST_MM else 0.0 for x in (margin, corner_radius, web))
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
    cut = cut.simplify(min(OVERLOOKED_MM, radius / 10))
    low, high = 0.0, radius
    best = cut.buffer(high)
    while high - low > ROUND_TO_MM:
        middle = (low + high) / 2
        trial = opened(cut.buffer(middle), radius)
        if trial.covers(zone):
            best, high = trial, middle
        else:
            low = middle
    return closed(best, radius)


def covers(cut: Polygon, rust: BaseGeometry, margin: float, panel: Polygon | None) -> bool:
    """Say whether `cut` covers the rust in it grown by `margin`, as far as the panel reaches."""
    inside = shapely.intersects(shapely.get_parts(rust), cut)
    # the very offsets that were cut: another first point of a ring gives its arcs other vertices
    parts = grown_parts(rust, margin) if margin >= LEAST_MM else shapely.get_parts(rust)
    wanted = shapely.union_all(np.asarray(parts)[inside])
    if panel is not None:
        wanted = wanted.intersection(Polygon(panel.exterior))
    reached = cut.buffer(TOUCH_MM)
    # a slit in the panel can part what one rust-out asks for: each cut answers for its side
    parts = polygons(wanted)
    if len(parts) > 1:
        parts = [part for part in parts if part.intersection(cut).area > TOUCH_MM]
    return all(reached.covers(part) for part in parts)
