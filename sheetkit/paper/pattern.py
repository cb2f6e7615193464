"""What a 1:1 pattern shows of each patch: outline, cut line, holes, bends, plug holes.

Shapes in mm, as drawn; a mirrored pattern has its x turned.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from ..geometry import welds
from ..geometry.fold import Bend, carried
from ..repair.estimate import Estimate


@dataclass(frozen=True)
class Pattern:
    """One piece to print true to size; what is None or empty isn't on it."""

    name: str
    number: int
    outline: Polygon | None
    cut_line: Polygon | None
    bends: tuple[Bend, ...] = ()
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
            tuple(replace(bend, line=turn(bend.line)) for bend in self.bends),
            tuple((-x, y) for x, y in self.plugs),
            self.plug_hole,
            turn(self.rust),
            turn(self.edge),
            not self.mirrored,
        )


def patterns(result: Estimate) -> list[Pattern]:
    """Return the patterns of every patch, seen from the drawn face.

    A flat patch has its cut line on the same pattern; a folded one, whose
    blank is not the shape of the hole, has the cut line on its own.
    """
    job = result.job
    edge = None if job.panel.outline is None else job.panel.outline.polygon.exterior
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
        drawn = np.array(points)
        if patch.folds and points:
            drawn = carried(drawn, patch.folds, job.sheet.thickness)
        plugs = tuple((float(x), float(y)) for x, y in drawn)
        hole = result.values["hole_diameter_mm"]
        if not patch.bends:
            made.append(
                Pattern(
                    f"PATCH {number}", number, patch.blank, patch.cut_line,
                    (), plugs, hole, rust, near,
                )
            )  # fmt: skip
            continue
        made.append(Pattern(f"PATCH {number}", number, patch.blank, None, patch.bends, plugs, hole))
        made.append(Pattern(f"CUT {number}", number, None, patch.cut_line, rust=rust, edge=near))
    return made
