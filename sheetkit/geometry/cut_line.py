"""Rust -> cut line: how far into sound metal, in which shape, clipped to the panel."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from ..base.errors import check
from .offset import (
    LEAST_MM,
    MANY_POINTS,
    OVERLOOKED_MM,
    PLAIN_POINTS,
    TOUCH_MM,
    closed,
    grown,
    grown_parts,
    opened,
    polygons,
    shrunk,
    swept,
    without_islands,
)

ROUND_TO_MM = 0.25
"""How near the search for corners larger than the margin comes to the smallest cut."""
UNSURE_MM = 0.05
"""Nearer than this to the search's limit, the cut itself is drawn and looked at."""


PIECE_MM, MOST_PIECES = 10.0, 1000
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


def _curtains(parts: list[Polygon], edge: LineString) -> list[BaseGeometry]:
    """Return the strips between `parts` and the edge: pieces of their outlines, run out square."""
    whole = sum(part.length for part in parts)
    step = max(PIECE_MM, whole / MOST_PIECES)
    near, part = shapely.get_coordinates(
        [part.exterior.segmentize(step) for part in parts], return_index=True
    )
    foot = _feet(near, edge)
    moved, drawn = (np.hypot(*np.diff(xy, axis=0).T) for xy in (foot, near))
    # where the nearest edge changes, its feet jump; what lies on the edge is there already
    off = np.hypot(*(foot - near).T) > TOUCH_MM
    kept = (part[:-1] == part[1:]) & (moved <= 4 * drawn + 1.0) & (off[:-1] | off[1:])
    quads = np.stack([near[:-1], near[1:], foot[1:], foot[:-1]], axis=1)[kept]
    return list(shapely.convex_hull(shapely.multipoints(quads)))


def _feet(points: np.ndarray, line: LineString) -> np.ndarray:
    """Return the nearest place on a line to each of many points, (n, 2) mm."""
    at = shapely.get_coordinates(line)
    pieces = shapely.STRtree(shapely.linestrings(np.stack([at[:-1], at[1:]], axis=1)))
    point, piece = pieces.query_nearest(shapely.points(points))
    _, first = np.unique(point, return_index=True)
    start = at[piece[first]]
    along = at[piece[first] + 1] - start
    share = ((points - start) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-300)
    return start + along * share.clip(0.0, 1.0)[:, None]


def _to_edge(cut: BaseGeometry, panel: Polygon, web: float, radius: float) -> BaseGeometry:
    """Clip the cut to the panel, and run it out square to an edge nearer than `web`."""
    clipped = cut.intersection(panel)
    if web <= 0 or not shapely.dwithin(clipped, panel.exterior, web):
        return clipped
    edge, reach = LineString(panel.exterior.coords), web + radius
    left, bottom, right, top = clipped.bounds
    band = shapely.clip_by_rect(edge, left - reach, bottom - reach, right + reach, top + reach)
    segs = 16
    if shapely.get_num_coordinates(band) > PLAIN_POINTS:
        band, segs = band.simplify(reach / 20), 4
    near = polygons(clipped.intersection(band.buffer(reach, quad_segs=segs)))
    near = [part for part in near if shapely.dwithin(part, edge, web)]
    strips = _curtains(near, edge) if near else []
    together = shapely.union_all([clipped, *strips])
    with np.errstate(divide="ignore", invalid="ignore"):  # mitres of slits that rounding left
        cut = together.buffer(TOUCH_MM, join_style="mitre")
    cut = without_islands(cut).intersection(panel)
    left = polygons(panel.difference(cut))
    kept = [part for part in left if part.area >= (2 * web) ** 2]
    # with the scraps it is all the panel but what is kept
    return closed(panel.difference(MultiPolygon(kept)), TOUCH_MM) if kept != left else cut


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
    zone = without_islands(grown(without_islands(rust), margin))
    cut = _rounded(_merged(zone, web, shape), zone, margin, corner_radius, shape)
    parts = polygons(cut)
    while _too_near(parts, web):  # rounding made the cuts larger
        cut = _rounded(_merged(cut, web, shape), zone, margin, corner_radius, shape)
        before, parts = parts, polygons(cut)
        if len(parts) >= len(before):
            break
    cut = without_islands(cut)
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
    return closed(_least_round(cut, zone, radius), radius)


def _least_round(cut: BaseGeometry, zone: BaseGeometry, radius: float) -> BaseGeometry:
    """Return `cut` grown by the least with which it covers `zone` when its corners are rounded.

    Rounded, a cut is all discs of `radius` that lie in it: it covers what is no further than
    that from their middles.  Whether corners of `zone` are is quickly seen, by halving.  Mostly
    it is the smallest part that decides, which must hold one such disc: it is looked at first.
    """
    many = shapely.get_num_coordinates(cut) > MANY_POINTS
    apart = many and not _too_near(polygons(cut), 2 * radius)
    corners = shapely.points(shapely.get_coordinates(zone.simplify(OVERLOOKED_MM)))

    def middles(more: float) -> BaseGeometry:
        # closed by the radius, it comes to the same to grow it first and to shrink it by less
        return shrunk(cut, radius - more) if apart else shrunk(cut.buffer(more), radius)

    steps = 2 ** math.ceil(math.log2(max(radius / ROUND_TO_MM, 1)))
    step, low, high = radius / steps, 0, steps
    discs = shapely.maximum_inscribed_circle(polygons(cut), tolerance=step / 4)
    guess = min(max(math.ceil((radius - shapely.length(discs).min()) / step), 0), steps - 1)
    first = True
    while high - low > 1:
        core = middles(guess * step)
        shapely.prepare(core)
        beyond = corners[~shapely.dwithin(core, corners, radius - UNSURE_MM)]
        unsure = len(beyond) and shapely.dwithin(core, beyond, radius + UNSURE_MM).all()
        if swept(core, radius).covers(zone) if unsure else not len(beyond):
            high = max(guess, 1)
            guess = high - 1 if first else (low + high) // 2
            first = False
            continue
        low, corners, first = guess, beyond, False
        # grown by so much, the middles come nearer to every corner by no less
        short = 2 * radius if core.is_empty else float(shapely.distance(core, beyond).max())
        enough = low + max(math.ceil((short - radius + UNSURE_MM) / step), 1)
        guess = enough - 1 if enough < high else (low + high) // 2
        high = min(high, enough)
    high *= step
    while high < radius:
        rounded = swept(middles(high), radius)
        if rounded.covers(zone):
            return rounded
        high += ROUND_TO_MM  # a side of the zone bulges between its corners
    return cut.buffer(radius)


def covers(
    cuts: Sequence[Polygon], rust: BaseGeometry, margin: float, panel: Polygon | None
) -> list[bool]:
    """Say of each cut whether it covers the rust in it grown by `margin`, on the panel."""
    rust = without_islands(rust)
    drawn = shapely.get_parts(rust)
    # the very offsets that were cut: another first point of a ring gives its arcs other vertices
    grew = np.asarray(grown_parts(rust, margin) if margin >= LEAST_MM else drawn)
    if panel is not None:
        outer = Polygon(panel.exterior)
        shapely.prepare(outer)
        over = ~shapely.contains_properly(outer, grew)
        grew[over] = shapely.intersection(grew[over], outer)
    of_cuts = np.asarray(cuts, dtype=object)
    cut, inside = shapely.STRtree(drawn).query(of_cuts, predicate="intersects")
    return [_covered(one, grew[inside[cut == index]]) for index, one in enumerate(cuts)]


def _covered(cut: Polygon, wanted: np.ndarray) -> bool:
    """Say whether a cut covers what is wanted of it: parts that reach into it."""
    reached = cut.buffer(TOUCH_MM)
    shapely.prepare(reached)
    if shapely.covers(reached, wanted).all():
        return True
    # a slit in the panel can part what one rust-out asks for: each cut answers for its side
    parts = polygons(shapely.union_all(wanted))
    if len(parts) > 1:
        parts = [part for part in parts if part.intersection(cut).area > TOUCH_MM]
    return all(reached.covers(part) for part in parts)
