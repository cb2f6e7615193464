"""What a 1:1 pattern shows of each patch: outline, cut line, holes, bends, plug holes.

Shapes in mm, as drawn; a mirrored pattern has its x turned.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..geometry import welds
from ..geometry.fold import Fold, carried
from ..repair.estimate import Estimate


@dataclass(frozen=True)
class Pattern:
    """One piece to print true to size; what is None or empty isn't on it."""

    name: str
    number: int
    outline: Polygon | None
    cut_line: Polygon | None
    bends: tuple[tuple[LineString, float, float], ...] = ()
    """(line, angle in degrees, inside radius in mm)"""
    plugs: tuple[tuple[float, float], ...] = ()
    plug_hole: float = 0.0
    rust: BaseGeometry | None = None
    edge: BaseGeometry | None = None
    mirrored: bool = False

    @property
    def holes(self) -> list[Polygon]:
        """Existing holes that lie in the piece."""
        return [Polygon(ring) for ring in self.outline.interiors] if self.outline else []

    @property
    def content(self) -> BaseGeometry:
        """What must be on paper."""
        return shapely.union_all([s for s in (self.outline, self.cut_line) if s is not None])

    def turned(self) -> Pattern:
        """Return the mirror image: the piece seen from its other face."""

        def turn(shape):
            return None if shape is None else shapely.transform(shape, lambda xy: xy * (-1, 1))

        return Pattern(
            self.name,
            self.number,
            turn(self.outline),
            turn(self.cut_line),
            tuple((turn(line), angle, radius) for line, angle, radius in self.bends),
            tuple((-x, y) for x, y in self.plugs),
            self.plug_hole,
            turn(self.rust),
            turn(self.edge),
            not self.mirrored,
        )


def _folds(result: Estimate, outline: Polygon) -> list[Fold]:
    """Return the job's folds that cross a patch."""
    return [
        Fold((fold.line[0], fold.line[-1]), fold.angle, fold.radius)
        for fold in result.job.patch.folds
        if LineString(fold.line).intersects(outline)
    ]


def _turn_of(bend: LineString, folds: list[Fold]) -> Fold:
    """Return the fold a bend line on the blank belongs to: parallel to it, and the nearest."""

    def away(fold: Fold) -> tuple[float, float]:
        start, end = np.asarray(fold.line, float)
        along = (end - start) / np.hypot(*(end - start))
        ends = np.asarray(bend.coords)[[0, -1]]
        offsets = (ends - start) @ np.array([-along[1], along[0]])
        return round(abs(offsets[1] - offsets[0]) / bend.length, 3), float(np.abs(offsets).max())

    return min(folds, key=away)


def patterns(result: Estimate) -> list[Pattern]:
    """Return the patterns of every patch, seen from the drawn face.

    A flat patch has its cut line on the same pattern; a folded one, whose
    blank is not the shape of the hole, has the cut line on its own.
    """
    job = result.job
    edge = None if job.panel.outline is None else Polygon(job.panel.outline).exterior
    drilled = welds.paths(result.welds, result.runs) if job.patch.joint == "plug" else []
    made = []
    for index, patch in enumerate(result.patches):
        number = index + 1
        rust = job.rust_shape.intersection(patch.cut_line)
        near = None if edge is None else edge.intersection(patch.outline.envelope.buffer(15))
        points = [
            path[0]
            for path, weld in zip(drilled, result.welds, strict=False)
            if weld.patch == index
        ]
        folds = _folds(result, patch.outline)
        if folds and points:
            points = carried(np.array(points), folds, job.sheet.thickness)
        plugs = tuple((float(x), float(y)) for x, y in points)
        hole = result.values["hole_diameter_mm"]
        if not patch.bends:
            made.append(
                Pattern(
                    f"PATCH {number}", number, patch.blank, patch.cut_line,
                    (), plugs, hole, rust, near,
                )
            )  # fmt: skip
            continue
        turns = [(bend, _turn_of(bend, folds)) for bend in patch.bends]
        bends = tuple((bend, fold.angle_deg, fold.radius_mm) for bend, fold in turns)
        made.append(Pattern(f"PATCH {number}", number, patch.blank, None, bends, plugs, hole))
        made.append(Pattern(f"CUT {number}", number, None, patch.cut_line, rust=rust, edge=near))
    return made
