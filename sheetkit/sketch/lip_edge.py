"""A lip as it is drawn, by its ends near the panel's edge: the edge itself between them."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely import LineString, Point
from shapely.ops import substring

NEAR_MM = 10.0
"""A lip drawn this near to the panel's outline follows it (guess: a hand's care on a pad)."""


def on_edge(
    points: Sequence[tuple[float, float]], outline: Sequence[tuple[float, float]]
) -> list[tuple[float, float]]:
    """Return the outline from a lip's first point to its last, the way the lip was drawn, mm.

    What has a point farther off than `NEAR_MM`, or no outline of at least 3 points to follow,
    comes back as it was drawn.
    """
    drawn = [(float(x), float(y)) for x, y in points]
    if len(drawn) < 2 or len(set(outline)) < 3:
        return drawn
    ring = LineString([*outline, outline[0]])
    if shapely.distance(shapely.points(drawn), ring).max() > NEAR_MM:
        return drawn
    start, end = (ring.project(Point(at)) for at in (drawn[0], drawn[-1]))
    if abs(start - end) < 1e-6:
        return drawn
    forth = substring(ring, start, end)  # backward where it ends before it starts
    across = _past_the_seam(ring, start, end)
    line = LineString(drawn)
    best = min((forth, across), key=lambda way: (shapely.hausdorff_distance(way, line), way.length))
    return [(round(x, 4), round(y, 4)) for x, y in best.coords]


def _past_the_seam(ring: LineString, start: float, end: float) -> LineString:
    """Return the other way round a ring, over the point where it begins and ends."""
    rising = start > end
    first = substring(ring, start, ring.length if rising else 0.0)
    last = substring(ring, 0.0 if rising else ring.length, end)
    coords = [*first.coords, *last.coords]
    return LineString([at for n, at in enumerate(coords) if n == 0 or at != coords[n - 1]])
