"""How much there is to reckon in many rings together: their turns, and where they cross."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from .offset import quarter_turns
from .plainer import plainer
from .ring import CORNER_MM

MOST_TURNS_IN_ALL = 600
"""Right angles that all rings turn through: sixty ragged rust-outs turn through five hundred (guess)."""
MOST_CROSSINGS = 20_000
"""Of all rings with one another: each rust spot with forty others (guess)."""
_MOST_NEAR, _AT_A_TIME = 5_000_000, 64
"""Pieces of line in one another's bounds before more are looked at closer; pieces asked for at once."""


def turns(rings: Sequence[Polygon]) -> int:
    """Return the right angles that outlines turn through in all, either way; a circle, four.

    What is shallower than `CORNER_MM` is left out.
    """
    outlines = shapely.get_exterior_ring(np.asarray(rings, dtype=object))
    if shapely.get_num_coordinates(outlines).sum() > MOST_TURNS_IN_ALL / 2:  # each half a turn
        left = [plainer(outline, CORNER_MM) for outline in outlines]
        rings = [shapely.linearrings(at) for at in left if len(at) > 3]
        return int(quarter_turns(np.asarray(rings)))
    return 0


def crossings(rings: Sequence[Polygon]) -> int:
    """Return how often the outlines of different rings meet; it stops counting over the most."""
    outlines = shapely.get_exterior_ring(np.asarray(rings, dtype=object))
    at, ring = shapely.get_coordinates(outlines, return_index=True)
    same = ring[:-1] == ring[1:]
    pieces = shapely.linestrings(np.stack([at[:-1], at[1:]], axis=1)[same])
    owner, tree = ring[:-1][same], shapely.STRtree(pieces)
    near = met = 0
    for first in range(0, len(pieces), _AT_A_TIME):
        one, other = tree.query(pieces[first : first + _AT_A_TIME])
        near += len(one)
        one = one + first
        apart = (owner[one] < owner[other]).nonzero()[0]
        met += int(shapely.intersects(pieces[one[apart]], pieces[other[apart]]).sum())
        if met > MOST_CROSSINGS or near > _MOST_NEAR:
            return max(met, MOST_CROSSINGS + 1)
    return met
