"""What a 1:1 pattern shows of each patch: outline, cut line, holes, bends, plug holes, datum.

Shapes in mm, as drawn; on paper a pattern may be turned, and a mirrored one has its x turned.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..geometry import welds
from ..geometry.fold import (
    Bend,
    SideView,
    bend_shortening,
    bent_length,
    carried,
    setback,
    side_views,
)
from ..geometry.offset import TOUCH_MM
from ..geometry.section import Section, SectionBend
from ..job.job import Job
from ..repair.estimate import Estimate
from ..repair.formed import LipOnPatch
from ..repair.patches import PatchResult

LEAST_ARM_MM = 0.05
"""A hole that lies less off the datum's arm lies on it."""
OTHER = {"face": "back", "back": "face", None: None}
"""The face a bend goes to as seen on the mirrored copy, which has the back up."""


@dataclass(frozen=True)
class Arm:
    """One measure that places a pattern: from its datum along a direction."""

    way: tuple[float, float]
    length_mm: float


@dataclass(frozen=True)
class Datum:
    """A pattern's own point, mm, and what it is measured `to` on the panel by up to two arms."""

    at: tuple[float, float]
    arms: tuple[Arm, ...] = ()
    to: str = ""


@dataclass(frozen=True)
class Folding:
    """How a blank is bent: its side views, and by fold what the bend takes, mm.

    round_it : by bend, how much longer than the unrolled sheet the panel's face is round it, and
    its back, mm; empty where the cut line lies on a pattern of its own
    lips : those along the piece's edges, with their outside heights, mm
    """

    views: tuple[SideView, ...] = ()
    deductions: dict[int, float] = field(default_factory=dict)
    widths: dict[int, float] = field(default_factory=dict)
    round_it: dict[int, tuple[float, float]] = field(default_factory=dict)
    lips: tuple[tuple[LipOnPatch, float], ...] = ()


@dataclass(frozen=True)
class Pattern:
    """One piece to print true to size; what is None or empty isn't on it.

    `matrix` turns the drawing into what is printed.
    """

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
    datum: Datum | None = None
    folding: Folding = Folding()
    matrix: tuple[tuple[float, float], tuple[float, float]] = ((1.0, 0.0), (0.0, 1.0))

    @property
    def holes(self) -> list[Polygon]:
        """Existing holes that lie in the piece."""
        return [Polygon(ring) for ring in self.outline.interiors] if self.outline else []

    @property
    def content(self) -> BaseGeometry:
        """What must be on paper."""
        return shapely.union_all([s for s in (self.outline, self.cut_line) if s is not None])

    @property
    def lines(self) -> BaseGeometry:
        """What is cut, bent or drilled by: a sheet with none of it can be left out."""
        shapes = [s.boundary for s in (self.outline, self.cut_line) if s is not None]
        shapes += [bend.line for bend in self.bends]
        shapes += [Point(plug).buffer(self.plug_hole / 2 + 3) for plug in self.plugs]
        if self.datum is not None:
            shapes.append(Point(self.datum.at).buffer(15))
        return shapely.union_all(shapes)

    @property
    def is_turned(self) -> bool:
        """Whether it lies otherwise on paper than in the drawing, but for the mirroring."""
        return abs(self.matrix[1][1] - 1) > 1e-9

    def way(self, x: float, y: float) -> np.ndarray:
        """Return a direction of the drawing as it is on paper."""
        return np.array(self.matrix) @ (x, y)

    def turned(self) -> Pattern:
        """Return the mirror image: the piece seen from its other face."""
        made = self._put(np.diag([-1.0, 1.0]))
        bends = tuple(replace(bend, toward=OTHER[bend.toward]) for bend in made.bends)
        return replace(made, bends=bends, mirrored=not self.mirrored)

    def rotated(self, angle_deg: float) -> Pattern:
        """Return the piece turned to the left on paper."""
        if angle_deg == 0:
            return self
        cosine, sine = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
        return self._put(np.array([[cosine, -sine], [sine, cosine]]))

    def _put(self, matrix: np.ndarray) -> Pattern:
        def put(shape: Any) -> Any:
            return None if shape is None else shapely.transform(shape, lambda xy: xy @ matrix.T)

        def moved(xy: tuple[float, float]) -> tuple[float, float]:
            x, y = (matrix @ xy).tolist()
            return x, y

        datum = self.datum and replace(
            self.datum,
            at=moved(self.datum.at),
            arms=tuple(replace(arm, way=moved(arm.way)) for arm in self.datum.arms),
        )
        first, second = (matrix @ np.array(self.matrix)).tolist()
        return replace(
            self,
            outline=put(self.outline),
            cut_line=put(self.cut_line),
            bends=tuple(replace(bend, line=put(bend.line)) for bend in self.bends),
            plugs=tuple(moved(plug) for plug in self.plugs),
            rust=put(self.rust),
            edge=put(self.edge),
            datum=datum,
            matrix=(tuple(first), tuple(second)),
        )


def patterns(result: Estimate) -> list[Pattern]:
    """Return the patterns of every patch, seen from the drawn face.

    A flat patch has its cut line on the same pattern, and so has one of a panel drawn unrolled;
    a patch with folds, whose blank is not the shape of the hole, has the cut line on its own.
    """
    job = result.job
    edge = None if job.panel.outline is None else job.panel.outline.polygon.exterior
    existing = [ring.polygon for ring in job.panel.holes]
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
        datum = datum_of(patch.cut_line, edge, existing)
        blank = Pattern(
            f"PATCH {number}", number, patch.blank, None, tuple(patch.bends), plugs,
            result.values["hole_diameter_mm"],
        )  # fmt: skip
        if not patch.folds:
            on_it = replace(blank, cut_line=patch.cut_line, rust=rust, edge=near, datum=datum)
            made.append(replace(on_it, folding=_with_lips(_unrolled(patch), patch, job)))
            continue

        def each(taken: Callable[[float, float, float], float], folds=patch.folds):
            return {
                n: taken(fold.angle_deg, fold.radius_mm, job.sheet.thickness)
                for n, fold in enumerate(folds, 1)
            }

        folding = Folding(
            tuple(side_views(patch.outline, patch.folds)), each(bend_shortening), each(bent_length)
        )
        made.append(replace(blank, folding=folding))
        made.append(
            Pattern(
                f"CUT {number}", number, None, patch.cut_line, rust=rust, edge=near, datum=datum
            )
        )
    return made


def _unrolled(patch: PatchResult) -> Folding:
    """Return how the blank of a panel drawn unrolled is bent."""
    section, across = patch.section, {bend.number for bend in patch.bends}
    view = section.side_view(patch.outline) if section is not None else None
    if section is None or view is None:
        return Folding()
    mine = [bend for bend in section.bends_on(patch.outline) if bend.number in across]
    takes = {bend.number: bend.end_mm - bend.start_mm for bend in mine}
    return Folding(
        (view,),
        {
            bend.number: takes[bend.number]
            - 2 * setback(bend.angle_deg, bend.radius_mm, section.thickness_mm)
            for bend in mine
        },
        takes,
        {bend.number: _longer(section, bend) for bend in mine},
    )


def _with_lips(folding: Folding, patch: PatchResult, job: Job) -> Folding:
    """Return how a blank is bent with the lips along its edges."""
    takes = {
        lip.bend.number: bent_length(lip.bend.angle_deg, lip.bend.radius_mm, job.sheet.thickness)
        for lip in patch.lips
    }
    heights = tuple((lip, job.patch.lips[lip.number - 1].width) for lip in patch.lips)
    return replace(folding, widths=folding.widths | takes, lips=heights)


def _longer(section: Section, bend: SectionBend) -> tuple[float, float]:
    """Return how much longer face and back are round a bend than the unrolled sheet, mm."""
    inside = bend.radius_mm - bend.neutral_mm
    turn, both = math.radians(bend.angle_deg), (inside, inside + section.thickness_mm)
    face, back = both if bend.toward == "face" else both[::-1]
    return turn * face, turn * back


def datum_of(cut: Polygon, edge: LineString | None, holes: list[Polygon]) -> Datum:
    """Return a cut's middle, and what it is measured to square to the drawing, if anything is there.

    That is the panel's edge where it is nearest, across and up; or the middle of a hole that
    isn't cut away, where that is nearer than the farther of the two.
    """
    x, y = ((low + high) / 2 for low, high in zip(cut.bounds[:2], cut.bounds[2:], strict=True))
    if not cut.contains(Point(x, y)):
        x, y = cut.representative_point().coords[0]
    # the edge of what is cut away is no longer there to measure to
    edge = edge and edge.difference(cut.buffer(TOUCH_MM))
    if edge is None or edge.is_empty:
        return Datum((x, y))
    arms: list[Arm] = []
    reach, here = cut.length + edge.length, Point(x, y)
    for ways in (((-1.0, 0.0), (1.0, 0.0)), ((0.0, -1.0), (0.0, 1.0))):
        rays = [LineString([(x, y), (x + reach * dx, y + reach * dy)]) for dx, dy in ways]
        lengths = shapely.distance(here, shapely.intersection(rays, edge))
        met = [(float(n), way) for n, way in zip(lengths, ways, strict=True) if n == n]
        arms += [Arm(way, length) for length, way in sorted(met)[:1]]
    sound = [hole.centroid for hole in holes if not cut.intersects(hole)]
    near = min(sound, key=here.distance, default=None)
    if near is None or here.distance(near) >= max(arm.length_mm for arm in arms):
        return Datum((x, y), tuple(arms), "the panel's edge")
    steps = np.diag([near.x - x, near.y - y])
    lengths = np.abs(steps).sum(axis=1)
    arms = [
        Arm((float(step[0] / length), float(step[1] / length)), float(length))
        for step, length in zip(steps, lengths, strict=True)
        if length > LEAST_ARM_MM
    ]
    return Datum((x, y), tuple(arms), "the hole's middle")
