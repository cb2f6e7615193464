"""Welds along seam runs: what one is, and its path."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString
from shapely.ops import substring

from ..base.errors import Fault, OutOfRange

MOST_WELDS = 20_000
"""More tacks or stitches than this on one seam means a wrong unit, not a job."""


def outward(path: np.ndarray, outline: shapely.Geometry) -> tuple[np.ndarray, np.ndarray]:
    """Return a path's middle and the unit direction across it that leaves `outline`."""
    line = shapely.LineString(path)
    at = shapely.get_coordinates(line.interpolate(0.5, normalized=True))[0]
    along = path[-1] - path[0]
    across = np.array([along[1], -along[0]]) / (np.hypot(*along) or 1.0)
    if not across.any():
        across = at - shapely.get_coordinates(outline.centroid)[0]
        across = across / (np.hypot(*across) or 1.0)
        return at, across
    return at, -across if shapely.contains_xy(outline, *(at + 3 * across)) else across


@dataclass(frozen=True)
class Weld:
    """One start of the arc: a tack, a stitch, a group of dots, or a plug.

    `start` and `end` are mm along run `run` of patch `patch`; `round` counts
    the tacking rounds; `dots` is the number of dots in a group.
    """

    kind: str
    patch: int
    run: int
    start: float
    end: float
    round: int = 0
    dots: int = 0

    @property
    def middle(self) -> float:
        """Its middle, mm along the run."""
        return (self.start + self.end) / 2

    @property
    def length(self) -> float:
        """Its length, mm."""
        return self.end - self.start


def count(field: str, length: float, each: float, remedy: str) -> int:
    """Return how many pieces of at most `each` mm tile `length`, at least one."""
    number = max(1, math.ceil(length / each - 1e-9))
    if number > MOST_WELDS:
        raise OutOfRange(Fault(field, f"{number} of them", f"must be at most {MOST_WELDS}", remedy))
    return number


def paths(welds: Sequence[Weld], runs: Sequence[LineString]) -> list[np.ndarray]:
    """Return each weld's path as (n, 2) points in mm, in the direction of its run.

    `runs` are the runs the welds' `run` counts; a plug is one point twice, a
    weld over a closed run's first point goes through it.
    """
    result = []
    for weld in welds:
        run = runs[weld.run]
        if weld.kind == "plug":
            point = run.interpolate(weld.middle % run.length if run.is_closed else weld.middle)
            result.append(np.repeat([[point.x, point.y]], 2, axis=0))
            continue
        pieces = [(weld.start, weld.end)]
        if run.is_closed and weld.start < 0:
            pieces = [(run.length + weld.start, run.length), (0.0, weld.end)]
        elif run.is_closed and weld.end > run.length + 1e-9:
            pieces = [(weld.start, run.length), (0.0, weld.end - run.length)]
        parts = [
            shapely.get_coordinates(substring(run, max(a, 0.0), min(b, run.length)))
            for a, b in pieces
        ]
        result.append(np.concatenate(parts))
    return result


def is_continuous(welds: Sequence[Weld], runs: Sequence[LineString]) -> bool:
    """Say whether the stitches or dot groups leave no gap anywhere along the runs."""
    for index, run in enumerate(runs):
        covered = sum(w.length for w in welds if w.run == index and w.kind in ("stitch", "dots"))
        if covered < run.length - 1e-6:
            return False
    return True
