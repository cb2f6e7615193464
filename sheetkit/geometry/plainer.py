"""Outlines with what is shallow left out, in a time that grows with their points alone."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon

PIECE_POINTS = 250
"""A line is looked at in pieces of so many points: of even teeth, all at once take their square."""


def plainer(outline: shapely.LinearRing, departure: float) -> np.ndarray:
    """Return the points of a closed outline that are left when shallower ones are left out.

    The first point is repeated at the end.  Crossings are overlooked.
    """
    at = shapely.get_coordinates(outline)
    starts = range(0, max(len(at) - 1, 1), PIECE_POINTS)
    pieces = [shapely.LineString(at[first : first + PIECE_POINTS + 1]) for first in starts]
    left = [shapely.get_coordinates(p)[:-1] for p in shapely.simplify(pieces, departure)]
    return np.concatenate([*left, at[-1:]])


def plainer_shape(shape: Polygon, departure: float) -> Polygon:
    """Return a polygon whose outline departs from that of `shape` by no more; holes are dropped."""
    plain = Polygon(plainer(shape.exterior, departure))
    # of a ring simplified as one, the first point may go too, and take the line as far again
    return plain if plain.is_valid else shape.simplify(departure / 2)
