"""The cross-section of a bent panel: where its flats and bends lie on the unrolled sheet, and back.

Lengths in mm, angles in degrees turned from flat.  The drawing is the unrolled sheet, seen on
its face; the section runs across it in one direction, and is the same all along.  Folded, the
flat `base` stays in the plane of the drawing (z = 0) and the face looks to +z.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import LinearRing, LineString, Polygon
from shapely.geometry.base import BaseGeometry

from .fold import Bend, SideView, setback

Side = Literal["face", "back", "middle", "neutral"]
"""Faces of the sheet, its middle, or in a bend the line that keeps its length."""
LEAST_SHARE_DEG = 1.0
"""A shape that takes less of a bend is flat there."""
ARC_STEP_DEG = 5.0
"""A bend is drawn in facets that turn at most this much."""
_CLEAR = 0.999
"""Share of the thickness that collides: edges which just touch do not."""


@dataclass(frozen=True)
class SectionBend:
    """One bend, counted from 1 along the run; it takes the sheet from `start_mm` to `end_mm`."""

    number: int
    angle_deg: float
    radius_mm: float
    toward: Literal["face", "back"]
    start_mm: float
    end_mm: float

    @property
    def middle_mm(self) -> float:
        """Where the bend line lies along the run, mm."""
        return (self.start_mm + self.end_mm) / 2

    @property
    def neutral_mm(self) -> float:
        """Radius of the line that keeps its length, mm."""
        return (self.end_mm - self.start_mm) / math.radians(self.angle_deg)

    @property
    def sense(self) -> int:
        """1 where the sheet is bent toward its face, -1 toward its back."""
        return 1 if self.toward == "face" else -1


@dataclass(frozen=True)
class Section:
    """Flats and bends across an unrolled sheet; `measured.section` makes one.

    thickness_mm : of the sheet
    flats : (start_mm, end_mm) of each, along the run of the drawing
    bends : one between each flat and the next
    way_deg : which way of the drawing the section runs, from +x toward +y
    """

    thickness_mm: float
    flats: tuple[tuple[float, float], ...]
    bends: tuple[SectionBend, ...]
    way_deg: float = 0.0

    @property
    def start_mm(self) -> float:
        """Where the sheet begins along the run, mm."""
        return self.flats[0][0]

    @property
    def end_mm(self) -> float:
        """Where the sheet ends along the run, mm."""
        return self.flats[-1][1]

    @property
    def unrolled_length_mm(self) -> float:
        """Length of the unrolled sheet along the run, mm."""
        return self.end_mm - self.start_mm

    @cached_property
    def _ways(self) -> tuple[np.ndarray, np.ndarray]:
        """Unit vectors of the drawing along the run and across it, the second 90 degrees on."""
        turn = math.radians(self.way_deg)
        along = np.array([math.cos(turn), math.sin(turn)])
        along[abs(along) < 1e-15] = 0.0  # so that "y" is y
        return along, np.array([-along[1], along[0]])

    @property
    def across(self) -> np.ndarray:
        """Unit vector of the drawing across the run, along the bends."""
        return self._ways[1]

    @cached_property
    def _borders(self) -> np.ndarray:
        """Where one piece ends and the next begins, along the run."""
        return np.array([at for bend in self.bends for at in (bend.start_mm, bend.end_mm)])

    def along(self, points_xy: ArrayLike) -> np.ndarray:
        """Return how far along the run points of the drawing lie, (n,) mm."""
        return np.asarray(points_xy, float).reshape(-1, 2) @ self._ways[0]

    def piece_of(self, points_xy: ArrayLike) -> np.ndarray:
        """Return on which piece points lie: 0 the first flat, 1 the first bend, and so on, (n,)."""
        return np.searchsorted(self._borders, self.along(points_xy), side="right")

    def piece_at(self, along_mm: float) -> int:
        """Return which piece lies at a place along the run (see `piece_of`)."""
        return int(np.searchsorted(self._borders, along_mm, side="right"))

    def flat_of(self, points_xy: ArrayLike) -> np.ndarray:
        """Return on which flat points lie, counted from 0; the middle of a bend divides it, (n,)."""
        middles = [bend.middle_mm for bend in self.bends]
        return np.searchsorted(middles, self.along(points_xy), side="right")

    def line_at(self, at_mm: float, shape: BaseGeometry) -> list[LineString]:
        """Return what of the line across the run at `at_mm` lies on a shape of the drawing."""
        along, across = self._ways
        corners = shapely.get_coordinates(shape)
        reach = corners @ across
        ends = [along * at_mm + across * end for end in (reach.min() - 1, reach.max() + 1)]
        crossing = LineString(ends).intersection(shape)
        return [
            part
            for part in shapely.get_parts(crossing)
            if isinstance(part, LineString) and part.length > 0
        ]

    def bends_on(self, shape: BaseGeometry) -> list[SectionBend]:
        """Return the bends a shape has a part of, each as far as the shape reaches along the run.

        A patch in a rolled part turns by its own share of the angle; less than a degree is flat.
        """
        at = self.along(shapely.get_coordinates(shape))
        low, high = float(at.min()), float(at.max())
        found = []
        for bend in self.bends:
            start, end = max(bend.start_mm, low), min(bend.end_mm, high)
            share = (end - start) / (bend.end_mm - bend.start_mm)
            if share * bend.angle_deg >= LEAST_SHARE_DEG:
                angle = bend.angle_deg * share
                found.append(replace(bend, angle_deg=angle, start_mm=start, end_mm=end))
        return found

    def bend_lines(self, shape: Polygon) -> list[Bend]:
        """Return a shape's bends (see `bends_on`), each as its middle line; a hollow parts a line."""
        return [
            Bend(line, bend.angle_deg, bend.radius_mm, bend.toward, bend.number)
            for bend in self.bends_on(shape)
            for line in self.line_at(bend.middle_mm, shape)
        ]

    def zone(self, piece: int, shape: BaseGeometry) -> BaseGeometry:
        """Return what of a shape lies on one piece; the end flats reach beyond their ends."""
        low = self._borders[piece - 1] if piece else -math.inf
        high = self._borders[piece] if piece < len(self._borders) else math.inf
        return self.between(low, high, shape)

    def between(self, low: float, high: float, shape: BaseGeometry) -> BaseGeometry:
        """Return what of a shape lies between two places along the run, mm."""
        along, across = self._ways
        corners = shapely.get_coordinates(shape)
        if not len(corners):
            return shape
        at, reach = corners @ along, corners @ across
        low, high = max(low, at.min() - 1), min(high, at.max() + 1)
        if low >= high:
            return Polygon()
        left, right = reach.min() - 1, reach.max() + 1
        ring = [
            along * a + across * b
            for a, b in ((low, left), (high, left), (high, right), (low, right))
        ]
        return shape.intersection(Polygon(ring))

    def share_on_flats(self, lines: BaseGeometry) -> tuple[float, ...]:
        """Return the share of the length of lines that lies on each flat, half of each bend with it."""
        middles = [-math.inf, *(bend.middle_mm for bend in self.bends), math.inf]
        found = [
            self.between(low, high, lines).length
            for low, high in zip(middles, middles[1:], strict=False)
        ]
        whole = sum(found)
        return tuple(length / whole for length in found) if whole else tuple(0.0 for _ in found)

    def side_view(self, shape: Polygon) -> SideView | None:
        """Return the legs of a shape, outside to outside, and the bends between; None if flat.

        The square that checks a folded flange reads these lengths (see `measured`, "outside").
        """
        at = self.along(shapely.get_coordinates(shape))
        low, high = float(at.min()), float(at.max())
        bends = self.bends_on(shape)
        if not bends:
            return None
        steps = [low, *(b for bend in bends for b in (bend.start_mm, bend.end_mm)), high]
        sets = [0.0]
        sets += [setback(b.angle_deg, b.radius_mm, self.thickness_mm) for b in bends]
        sets.append(0.0)
        legs = tuple(
            steps[2 * n + 1] - steps[2 * n] + sets[n] + sets[n + 1] for n in range(len(bends) + 1)
        )
        return SideView(legs, tuple(bend.number for bend in bends))

    def folded(
        self, points_xy: ArrayLike, side: Side = "middle", *, base: int | None = 0
    ) -> np.ndarray:
        """Return where points of the unrolled drawing lie on the folded sheet, (n, 3) mm.

        Bends are true circles.  Points beyond the ends lie on the first and last flat carried on.

        Parameters
        ----------
        points_xy : (n, 2), mm, on the drawing
        side : which surface; "neutral" keeps lengths within each flat and each bend, and steps
            by up to a third of the thickness where they meet
        base : the flat that stays in the drawing's plane; None: the longest
        """
        points = np.asarray(points_xy, float).reshape(-1, 2)
        along, across = self._ways
        section = self.in_section(self.along(points), side, base=base)
        flat = section[:, :1] * along + (points @ across)[:, None] * across
        return np.column_stack([flat, section[:, 1]])

    def in_section(
        self, along_mm: ArrayLike, side: Side = "middle", *, base: int | None = 0
    ) -> np.ndarray:
        """Return (along the base flat, toward the face) of places along the run, (n, 2) mm."""
        s = np.asarray(along_mm, float).ravel()
        if base is None:
            base = int(np.argmax([end - start for start, end in self.flats]))
        starts, headings = self._walked
        piece = np.searchsorted(self._borders, s, side="right")
        begins = np.array([self.start_mm, *self._borders])
        out, half = np.empty((len(s), 2)), self.thickness_mm / 2
        above = {"face": half, "back": -half}.get(side, 0.0)
        for number in range(len(begins)):
            here = piece == number
            if not here.any():
                continue
            run, heading, at = s[here] - begins[number], headings[number], starts[number]
            if number % 2 == 0:
                out[here] = at + np.outer(run, _unit(heading)) + above * _normal(heading)
                continue
            bend = self.bends[number // 2]
            sense, middle = bend.sense, bend.radius_mm + half
            center = at + sense * middle * _normal(heading)
            radius = bend.neutral_mm if side == "neutral" else middle - sense * above
            turned = heading + sense * run / bend.neutral_mm
            out[here] = center - sense * radius * _normals(turned)
        turn, origin = headings[2 * base], starts[2 * base]
        back = np.array([_unit(turn), _normal(turn)]).T
        return (out - origin) @ back + [self.flats[base][0], 0.0]

    @cached_property
    def _walked(self) -> tuple[list[np.ndarray], list[float]]:
        """Where the sheet's middle begins each piece, in the section, and its heading there, rad."""
        at, heading = np.array([self.start_mm, 0.0]), 0.0
        starts, headings = [], []
        for number, (low, high) in enumerate(self.flats):
            starts.append(at)
            headings.append(heading)
            at = at + (high - low) * _unit(heading)
            if number < len(self.bends):
                bend = self.bends[number]
                starts.append(at)
                headings.append(heading)
                middle = bend.sense * (bend.radius_mm + self.thickness_mm / 2)
                center = at + middle * _normal(heading)
                heading += bend.sense * math.radians(bend.angle_deg)
                at = center - middle * _normal(heading)
        return starts, headings

    def levels(self, step_deg: float = ARC_STEP_DEG) -> np.ndarray:
        """Return where along the run a folded picture has edges: zones' ends and steps of arcs."""
        found = []
        for bend in self.bends:
            steps = max(1, math.ceil(bend.angle_deg / step_deg))
            found.append(np.linspace(bend.start_mm, bend.end_mm, steps + 1))
        return np.unique(np.concatenate(found)) if found else np.array([])

    @property
    def collides(self) -> bool:
        """Whether the folded sheet runs through itself."""
        half = _CLEAR * self.thickness_mm / 2
        s = np.unique([self.start_mm, *self.levels(2.0), self.end_mm])
        middle = self.in_section(s)
        across = (self.in_section(s, "face") - middle) / (self.thickness_mm / 2)
        ring = np.vstack([middle + half * across, (middle - half * across)[::-1]])
        return not LinearRing(ring).is_simple


def _unit(heading: float) -> np.ndarray:
    return np.array([math.cos(heading), math.sin(heading)])


def _normal(heading: float) -> np.ndarray:
    return np.array([-math.sin(heading), math.cos(heading)])


def _normals(headings: np.ndarray) -> np.ndarray:
    return np.column_stack([-np.sin(headings), np.cos(headings)])
