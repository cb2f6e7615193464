"""Folds: a patch drawn with sharp folds -> the flat blank and its bend lines.

Lengths in mm, angles in degrees turned from flat.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from ..base.errors import check
from .offset import polygons

RADIUS_OF_THICKNESS = (0.2, 100.0)
"""Inside radii of a bend the shortening holds for, in thicknesses of the sheet."""
_PARALLEL = math.sin(math.radians(1.0))
"""Folds that turn less than this from one another are seen in one side view."""


@dataclass(frozen=True)
class Fold:
    """A fold as drawn, through the whole patch: how far it turns, and its inside radius.

    `toward` is the face the sheet is turned to; None where the job doesn't say.
    """

    line: tuple[tuple[float, float], tuple[float, float]]
    angle_deg: float
    radius_mm: float
    toward: str | None = None


@dataclass(frozen=True)
class Bend:
    """A line of the flat blank that is bent, with what its fold says of it.

    `number` is that of its fold among the patch's, from 1: a fold across a hollow has several.
    """

    line: LineString
    angle_deg: float
    radius_mm: float
    toward: str | None = None
    number: int = 1


@dataclass(frozen=True)
class SideView:
    """Parallel folds, seen along them: the legs' lengths, outside to outside, from end to end.

    `numbers` are the folds between one leg and the next, counted among the patch's from 1.
    """

    legs_mm: tuple[float, ...]
    numbers: tuple[int, ...]


def bend_shortening(angle_deg: float, radius: float, thickness: float) -> float:
    """Return what a bend adds to the sum of its outside leg lengths, mm (negative: shortens).

    v = pi (180 - b)/180 (r + k s/2) - 2 (r + s)                 b <= 90 deg
    v = pi (180 - b)/180 (r + k s/2) - 2 (r + s) tan((180 - b)/2)  90 < b <= 165 deg
    with k = 0.65 + 0.5 lg(r/s), at most 1, and b the opening angle between
    the legs = 180 - `angle_deg`.

    Parameters
    ----------
    angle_deg : float
        How far the sheet is turned from flat, degrees, 15 to 180 (0 to 15: 0 is returned).
    radius : float
        Inside radius, mm, 0.2 to 100 thicknesses.
    thickness : float
        mm, 0.3 to 10.

    Source
    ------
    DIN 6935:2011 (value from memory).
    """
    check("fold angle", angle_deg, 0, 180, "degrees")
    check("thickness", thickness, 0.3, 10, "mm")
    least, most = RADIUS_OF_THICKNESS
    check("fold radius", radius, least * thickness, most * thickness, "mm")
    if angle_deg < 15:
        return 0.0
    bent = bent_length(angle_deg, radius, thickness)
    return bent - 2 * setback(angle_deg, radius, thickness)


def setback(angle_deg: float, radius: float, thickness: float) -> float:
    """Return what of a leg's outside length lies in the bend, mm.

    (r + s) tan(a/2) to the corner of the outer faces; from 90 degrees on r + s, to the bend's
    outermost point, where a square or tape stops.  Source: as `bend_shortening`.
    """
    outside = radius + thickness
    return outside * (math.tan(math.radians(angle_deg) / 2) if angle_deg < 90 else 1.0)


def neutral_factor(radius: float, thickness: float) -> float:
    """Return how deep under the inside of a bend the line lies that keeps its length: K = k/2.

    In thicknesses, at most 0.5.  Source: as `bend_shortening`.
    """
    return min(1.0, 0.65 + 0.5 * math.log10(radius / thickness)) / 2


def bent_length(angle_deg: float, radius: float, thickness: float) -> float:
    """Return how much of the flat blank a bend takes up between its tangent lines, mm.

    See `bend_shortening` for the equation, its ranges and its source.
    """
    return bend_allowance(angle_deg, radius, thickness, neutral_factor(radius, thickness))


def bend_allowance(angle_deg: float, radius: float, thickness: float, k_factor: float) -> float:
    """Return the length of a bend's neutral line, mm: BA = pi/180 A (r + K t).

    Source: Machinery's Handbook, 26th edition, "Lengths of straight stock for bends".
    """
    return math.radians(angle_deg) * (radius + k_factor * thickness)


def bend_strain(radius: float, thickness: float) -> float:
    """Return how much the outside of a bend stretches: s / (2 r + s), the middle keeping its length.

    radius : inside, mm

    Source: the strains of EN 1993-1-8:2005, Table 4.2, over r/t.
    """
    return thickness / (2 * radius + thickness)


def _strips(lines: list[LineString], folds: Sequence[Fold], thickness: float):
    """Yield (start, along, across, take) of the strip each fold takes out.

    `lines` are the folds' lines; after each strip the other ones are moved with their side.
    """
    for index, fold in enumerate(folds):
        take = -bend_shortening(fold.angle_deg, fold.radius_mm, thickness)
        start, end = np.asarray(lines[index].coords)
        along = (end - start) / np.hypot(*(end - start))
        across = np.array([-along[1], along[0]])
        yield start, along, across, take
        for other in range(len(folds)):
            if other != index:
                middle = np.asarray(lines[other].interpolate(0.5, normalized=True).coords[0])
                side = 1 if np.dot(middle - start, across) > 0 else -1
                lines[other] = translate(lines[other], *(-side * across * take / 2))


def carried(points: np.ndarray, folds: Sequence[Fold], thickness: float) -> np.ndarray:
    """Return where points of the drawn patch lie on its flat blank, (n, 2) mm (see `developed`)."""
    moved = np.array(points, float).reshape(-1, 2)
    lines = [LineString(fold.line) for fold in folds]
    for start, _, across, take in _strips(lines, folds, thickness):
        side = np.where((moved - start) @ across > 0, 1.0, -1.0)
        moved -= side[:, None] * across * take / 2
    return moved


def developed(
    patch: Polygon, folds: Sequence[Fold], thickness: float
) -> tuple[Polygon, list[Bend]]:
    """Return the flat blank of a patch drawn with sharp folds, and its bends.

    The patch is drawn laid flat with its outside leg lengths; at each fold a
    strip as wide as the bend shortens the sheet is taken out, half on each side.

    Returns
    -------
    blank : Polygon, mm
    bends : list of Bend
        The bend lines on the blank, across it, in the order of their folds.
    """
    blank: BaseGeometry = patch
    lines = [LineString(fold.line) for fold in folds]
    for start, along, across, take in _strips(lines, folds, thickness):
        reach = 4 * max(blank.length, 1.0)
        halves = []
        for side in (across, -across):
            edge = start + side * take / 2
            ends = edge - reach * along, edge + reach * along
            half = Polygon([*ends, ends[1] + reach * side, ends[0] + reach * side])
            halves.append(translate(blank.intersection(half), *(-side * take / 2)))
        blank = shapely.union_all(halves, grid_size=1e-6)
    whole = polygons(blank)[0] if polygons(blank) else patch
    return whole, [
        Bend(part, fold.angle_deg, fold.radius_mm, fold.toward, number)
        for number, (line, fold) in enumerate(zip(lines, folds, strict=True), 1)
        for part in _across(line, whole)
    ]


def side_views(patch: Polygon, folds: Sequence[Fold]) -> list[SideView]:
    """Return the side views of a patch drawn with its outside lengths: one a direction of folds."""
    left = {number: np.subtract(*fold.line[::-1]) for number, fold in enumerate(folds, 1)}
    found = []
    while left:
        along = next(iter(left.values()))
        along = along / np.hypot(*along)
        across = np.array([-along[1], along[0]])
        mine = [n for n, way in left.items() if abs(way @ across) < _PARALLEL * np.hypot(*way)]
        at = {n: float(np.mean(folds[n - 1].line, axis=0) @ across) for n in mine}
        ends = np.asarray(patch.exterior.coords) @ across
        order = sorted(mine, key=at.__getitem__)
        steps = [float(ends.min()), *(at[n] for n in order), float(ends.max())]
        found.append(SideView(tuple(np.diff(steps).tolist()), tuple(order)))
        left = {n: way for n, way in left.items() if n not in mine}
    return found


def bending_order(found: Sequence[SideView]) -> list[int]:
    """Return the folds' numbers, the one with the shortest flange beyond it first.

    So no flange that stands already is in the way of the next (common practice, no source).
    """
    flange = {
        number: min(sum(profile.legs_mm[: n + 1]), sum(profile.legs_mm[n + 1 :]))
        for profile in found
        for n, number in enumerate(profile.numbers)
    }
    return sorted(flange, key=lambda number: (flange[number], number))


def _across(line: LineString, blank: Polygon) -> list[LineString]:
    """Return what of a line, made long enough, lies on the blank."""
    start, end = np.asarray(line.coords)
    along = (end - start) / np.hypot(*(end - start)) * 4 * blank.length
    crossing = LineString([start - along, end + along]).intersection(blank)
    return [part for part in shapely.get_parts(crossing) if part.length > 0]
