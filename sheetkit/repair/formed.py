"""Lips and joggles of a patch: what the blank needs for them; panels that curve two ways refused."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LinearRing, LineString, Point, Polygon

from ..base.errors import Fault, JobRefused
from ..base.tables import limit
from ..geometry.curved_flange import CurvedFlange, developed_width, edge_curves
from ..geometry.fold import Bend, bent_length, setback
from ..geometry.formed import bowed_strain, crown_radius, dished_strain
from ..geometry.offset import polygons
from ..geometry.section import Section
from ..job.formed import ON_EDGE_MM, Crown, Lip, joggle_of
from ..job.job import Job

LEAST_LIP_MM = 5.0
"""Shorter pieces of a lip's edge along a patch are its ends, cut at a slant."""


@dataclass(frozen=True)
class LipOnPatch:
    """A lip where it lies along a patch.  Lengths in mm.

    number : its place in patch.lips, from 1; edge : its outer corner along the patch
    bend : its middle line on the blank; developed_mm : how far the blank reaches beyond the edge
    stretch, shrink : how much its free edge must at most, as shares, 0 or more
    change_mm : by how much the free edge is too short (too long: negative) in all
    """

    number: int
    edge: LineString
    bend: Bend
    developed_mm: float
    stretch: float
    shrink: float
    change_mm: float

    @property
    def reliefs(self) -> int:
        """How many relief cuts, or notches, the edge is asked to have: none where it is formed."""
        most = limit("elongation_dc01").value * limit("lip_stretch_share").value
        if self.stretch <= most and self.shrink <= limit("lip_by_shrinker").value:
            return 0
        return max(2, math.ceil(self.edge.length / max(2 * self.developed_mm, 20.0)))


def with_lips(blank: Polygon, job: Job, first: int) -> tuple[Polygon, tuple[LipOnPatch, ...]]:
    """Return a patch's blank with its lips laid flat, and the lips; bends are numbered on from `first`."""
    found: list[LipOnPatch] = []
    whole = blank
    for number, lip in enumerate(job.patch.lips, 1):
        for edge in _along(lip, blank):
            on_left = not blank.covers(Point(_beside(edge, 2 * ON_EDGE_MM)))
            made = _made(lip, edge, on_left, job.sheet.thickness, (number, first + len(found)))
            found.append(made)
            if made.stretch == math.inf:
                raise JobRefused(_too_wide(lip, number))
            seat = edge.buffer(ON_EDGE_MM, cap_style="flat")
            band = _band(edge, made.developed_mm, on_left)
            whole = polygons(shapely.union_all([whole, band, seat]))[0]
    return whole, tuple(found)


def _band(edge: LineString, width: float, on_left: bool) -> Polygon:
    """Return the strip of a width on one side of an edge, closed or not."""
    if not edge.is_ring:
        return edge.buffer(width if on_left else -width, single_sided=True, join_style="mitre")
    ring = Polygon(edge)
    if on_left == LinearRing(edge).is_ccw:
        return ring.difference(ring.buffer(-width))
    return ring.buffer(width).difference(ring)


def _too_wide(lip: Lip, number: int) -> Fault:
    return Fault(
        f"patch.lips[{number - 1}].width",
        f"{lip.width:g} mm",
        "laid flat it must fit inside the curve of its edge",
        "make the lip of a strip of its own, welded in, or give it less height",
    )


def _along(lip: Lip, blank: Polygon) -> Iterator[LineString]:
    """Yield the pieces of a lip's edge that lie along a patch's outline, inner ones too."""
    edge = LineString(lip.edge)
    near = edge.intersection(blank.boundary.buffer(ON_EDGE_MM))
    merged = shapely.line_merge(near) if near.geom_type == "MultiLineString" else near
    for part in shapely.get_parts(merged):
        if isinstance(part, LineString) and part.length >= LEAST_LIP_MM:
            yield part


def _beside(edge: LineString, away: float) -> tuple[float, float]:
    """Return a point to the left of an edge's middle."""
    middle = edge.length / 2
    a, b = (
        np.asarray(edge.interpolate(at).coords[0])
        for at in (middle - min(1.0, middle), middle + min(1.0, middle))
    )
    way = (b - a) / np.hypot(*(b - a))
    x, y = (a + b) / 2 + away * np.array([-way[1], way[0]])
    return float(x), float(y)


def _made(
    lip: Lip, edge: LineString, on_left: bool, thickness: float, numbers: tuple[int, int]
) -> LipOnPatch:
    back = setback(lip.angle, lip.radius, thickness)
    inside = back - bent_length(lip.angle, lip.radius, thickness) / 2
    line = edge.offset_curve(-inside if on_left else inside)
    if not isinstance(line, LineString) or line.is_empty:
        line = edge
    toward_left, toward_right = edge_curves(edge, lip.width)
    inward, outward = (toward_left, toward_right) if on_left else (toward_right, toward_left)
    strains = {}
    for curve, is_inward in ((inward, True), (outward, False)):
        strains[is_inward] = (
            0.0
            if curve.radius_mm == math.inf
            else CurvedFlange(
                curve.radius_mm, is_inward, lip.width, lip.angle, lip.radius, thickness
            ).strain
        )
    flat = developed_width(lip.width, lip.angle, lip.radius, thickness)
    reach = math.cos(math.radians(lip.angle)) * (lip.width - back)
    reach += (lip.radius + thickness / 2) * math.sin(math.radians(lip.angle)) - back
    turned = math.radians(inward.turned_deg - outward.turned_deg)
    return LipOnPatch(
        numbers[0],
        edge,
        Bend(line, lip.angle, lip.radius, lip.toward, numbers[1]),
        flat,
        max(0.0, strains[True]),
        max(0.0, -strains[False]),
        turned * (flat - reach),
    )


def for_joggle(blank: Polygon, job: Job) -> Polygon:
    """Return a patch's blank larger by what a joggle round its rim takes up."""
    given = job.patch.joggle
    if given is None or given.on == "panel":
        return blank
    step = joggle_of(given, job.sheet.thickness, job.sheet.beneath)
    return polygons(blank.buffer(step.taken_mm, join_style="mitre"))[0]


def refuse_compound(job: Job, outlines: Sequence[Polygon]) -> None:
    """Refuse a job with a patch that must stretch or shrink to lie on a panel that curves two ways."""
    faults = [
        Fault(
            "panel.crowns",
            f"patch {number} would stretch or shrink by {strain:.1%}",
            f"must be at most {limit('bent_elastic').value:.2%} ({limit('bent_elastic').origin}), or "
            "lie within a gap's width: a panel that curves two ways has no unrolled pattern",
            "draw smaller pieces, each nearly flat one way; or buy a formed section; or lay paper "
            "on the panel, slit it where it folds, photograph it flat for the outline and shape "
            "the metal to it by hand",
        )
        for number, outline in enumerate(outlines, 1)
        if (strain := compound_strain(job.panel.crowns, job.section, outline)) is not None
    ]
    if faults:
        raise JobRefused(faults)


def compound_strain(
    crowns: Sequence[Crown], section: Section | None, outline: Polygon
) -> float | None:
    """Return how much a patch must stretch to lie on its panel; None where it bends or fits as it is."""
    fits, springs = limit("gap_fair").value, limit("bent_elastic").value
    if section is not None:
        at = section.along(shapely.get_coordinates(outline))
        across = [c for c in crowns if _apart(c.run, section.way_deg) > 45]
        if not across or section.side_view(outline) is None:
            return None
        radius = min(crown_radius(crown.over, crown.rise) for crown in across)
        s = np.unique([at.min(), *section.levels(), at.max()])
        depth = _thinnest(section.in_section(s[(s >= at.min()) & (s <= at.max())]))
        length = float(np.ptp(shapely.get_coordinates(outline) @ section.across))
        strain, rise = bowed_strain(depth, radius), length**2 / (8 * radius)
        return strain if strain > springs and rise > fits else None
    pairs = [
        sorted((crown_radius(a.over, a.rise), crown_radius(b.over, b.rise)))
        for n, a in enumerate(crowns)
        for b in crowns[n + 1 :]
        if _apart(a.run, b.run) > 45
    ]
    if not pairs:
        return None
    tight, wide = min(pairs, key=lambda pair: pair[0] * pair[1])
    sides = np.hypot(*np.diff(shapely.get_coordinates(outline.minimum_rotated_rectangle), axis=0).T)
    half = float(sides.min()) / 2
    strain, rise = dished_strain(half, tight, wide), half**2 / (2 * wide)
    return strain if strain > springs and rise > fits else None


def _apart(run: float, other: float) -> float:
    """Return the angle between two directions, 0 to 90 degrees."""
    apart = abs(run - other) % 180
    return min(apart, 180 - apart)


def _thinnest(points: np.ndarray) -> float:
    """Return the least extent of points over all directions, to a degree."""
    turns = np.radians(np.arange(180))
    reach = points @ np.array([np.cos(turns), np.sin(turns)])
    return float(np.ptp(reach, axis=0).min())
