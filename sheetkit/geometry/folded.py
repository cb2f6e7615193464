"""A shape of the unrolled sheet as a folded piece: its plane parts and outlines, for pictures."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon

from .offset import polygons
from .section import ARC_STEP_DEG, Section, Side


@dataclass(frozen=True)
class Facet:
    """One plane part of a folded piece: of which flat or bend, and its ring, (n, 3) mm.

    `piece` counts flats and bends in turn: 0 is the first flat, 1 the first bend.
    """

    piece: int
    ring: np.ndarray

    @property
    def is_bend(self) -> bool:
        """Whether it is a part of a bend."""
        return self.piece % 2 == 1


def facets(
    section: Section,
    shape: Polygon,
    side: Side = "middle",
    *,
    step_deg: float = 10.0,
    base: int | None = 0,
) -> Iterator[Facet]:
    """Yield a folded shape's plane parts along the run, none with a hole in it.

    side, base : as `Section.folded`
    """
    levels = [-math.inf, *section.levels(step_deg), math.inf]
    for low, high in zip(levels, levels[1:], strict=False):
        middle = max(low, section.start_mm - 1) / 2 + min(high, section.end_mm + 1) / 2
        piece = section.piece_at(middle)
        for part in polygons(section.between(low, high, shape)):
            for whole in _without_holes(part):
                ring = shapely.get_coordinates(whole.exterior)
                yield Facet(piece, section.folded(ring, side, base=base))


def outline_3d(
    section: Section, shape: Polygon, side: Side = "middle", *, base: int | None = 0
) -> list[np.ndarray]:
    """Return the folded rings of a shape, outer first, each (n, 3) mm with its arcs stepped."""
    return [
        section.folded(stepped(section, ring), side, base=base)
        for ring in (shape.exterior, *shape.interiors)
    ]


def stepped(section: Section, line: LineString, step_deg: float = ARC_STEP_DEG) -> np.ndarray:
    """Return a line's points with those where it crosses an edge of the facets, (n, 2) mm."""
    levels = section.levels(step_deg)
    points = shapely.get_coordinates(line)
    at, out = section.along(points), [points[:1]]
    for n in range(len(points) - 1):
        low, high = sorted((at[n], at[n + 1]))
        inner = levels[(levels > low) & (levels < high)]
        share = np.sort((inner - at[n]) / (at[n + 1] - at[n])) if len(inner) else inner
        out.append(points[n] + share[:, None] * (points[n + 1] - points[n]))
        out.append(points[n + 1 : n + 2])
    return np.concatenate(out)


def _without_holes(shape: Polygon) -> Sequence[Polygon]:
    """Return a shape as pieces without holes: cut through the middle of each."""
    if not shape.interiors:
        return [shape]
    left, bottom, right, top = shape.bounds
    x, _ = shape.interiors[0].centroid.coords[0]
    halves = shapely.box(left, bottom, x, top), shapely.box(x, bottom, right, top)
    return [
        whole
        for half in halves
        for part in polygons(shape.intersection(half))
        for whole in _without_holes(part)
    ]
