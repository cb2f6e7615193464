"""A flange on a curved edge: how wide it is cut, and how much its edge stretches or shrinks.

Lengths in mm, angles in degrees turned from flat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString

from ..base.errors import check
from .fold import bend_shortening, bent_length, setback

LEAST_STEP_MM = 10.0
"""Curvature of a drawn edge is read over at least this: freehand points jitter."""
_CHORDS = 3
"""And over as many of its chords, or points would fall now on corners, now between them."""


@dataclass(frozen=True)
class CurvedFlange:
    """A flange turned up along an edge of radius `edge_radius_mm`, that of its outer corner.

    inward : whether the flange, laid flat, reaches toward the edge's centre, as a hole's lip does
    width_mm : outside height, edge to outer face
    """

    edge_radius_mm: float
    inward: bool
    width_mm: float
    angle_deg: float
    radius_mm: float
    thickness_mm: float

    @property
    def strain(self) -> float:
        """How much the flange's free edge stretches (shrinks: negative), the width kept.

        rho' / rho - 1, with rho the free edge's radius flat and rho' bent, both of the middle of
        the sheet: rho = R + s W, rho' = R + s ((r + t/2) sin a + f cos a), R at the bend's
        tangent, s = -1 inward, f the flat part.  Sharp and square: w/(R - w), or -w/(R + w).

        Source: the hoop strain of a surface of revolution; derived.
        """
        check("flange angle", self.angle_deg, 1, 170, "degrees")
        sign = -1 if self.inward else 1
        back = setback(self.angle_deg, self.radius_mm, self.thickness_mm)
        bent = bent_length(self.angle_deg, self.radius_mm, self.thickness_mm)
        tangent, flat = self.edge_radius_mm - sign * back, self.width_mm - back
        turn = math.radians(self.angle_deg)
        reach = (self.radius_mm + self.thickness_mm / 2) * math.sin(turn) + flat * math.cos(turn)
        before = tangent + sign * (bent + flat)
        return (tangent + sign * reach) / before - 1 if before > 0 else math.inf


def developed_width(
    width_mm: float, angle_deg: float, radius_mm: float, thickness_mm: float
) -> float:
    """Return how far beyond its outer corner a flange is cut, mm: its height less the shortening.

    As for a straight bend (see `fold.bend_shortening`): what an edge stretches comes from its
    thickness, not its width; derived.
    """
    return width_mm + bend_shortening(angle_deg, radius_mm, thickness_mm)


@dataclass(frozen=True)
class EdgeCurve:
    """Where an edge curves most to one side: the least radius, and how far it turns that way."""

    radius_mm: float
    turned_deg: float


def edge_curves(line: LineString, step_mm: float) -> tuple[EdgeCurve, EdgeCurve]:
    """Return how an edge curves to its left and to its right; a straight one's radius is infinite.

    Radii are those of circles through three points `step_mm` apart, or nearer on a short edge; a
    closed edge is followed round. A sharp corner is read as a curve.
    """
    closed = line.is_ring
    drawn = line.length / max(len(line.coords) - 1, 1)
    step = max(step_mm, LEAST_STEP_MM, _CHORDS * drawn)
    count = max(3, round(line.length / step) + (0 if closed else 1))
    shares = np.arange(count) / (count if closed else count - 1)
    points = shapely.get_coordinates(line.interpolate(shares, normalized=True))
    if closed:
        points = np.vstack([points[-1], points, points[0]])
    before, after = points[1:-1] - points[:-2], points[2:] - points[1:-1]
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.arctan2(cross, np.sum(before * after, axis=1))
    chords = np.hypot(*(before + after).T)
    with np.errstate(divide="ignore"):
        radius = chords / (2 * np.abs(np.sin(turn)))
    found = []
    for side in (turn > 1e-6, turn < -1e-6):
        least = float(radius[side].min()) if side.any() else math.inf
        found.append(EdgeCurve(least, float(np.degrees(np.abs(turn[side]).sum()))))
    return found[0], found[1]
