"""The grid of the thin-sheet heat solver: cells, the open kerf between them, welds on it.

A tensor grid: cells of one size wherever a seam's bounding box reaches,
growing away from it.  Grid lines fall on the straight axis-parallel parts of
seams and on the panel's bounding box, so that a box patch is met exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

BINS_PER_CELL = 24
"""The seam is cut into this many pieces per cell; a weld closes whole pieces."""
LEAST_BRIDGE_MM = 5.0
"""A tack or plug closes at least this much seam. Common practice, no source (dots of 4-6 mm)."""
REGISTER = 16
"""Numbers of 32 bits in the widest vector register."""
LEAST_SHARE = 0.25
"""Cells with less of their area on the panel are left out: they would slow every step."""


@dataclass(frozen=True)
class Grid:
    """Faces and centres in mm; `active` is the share of each cell on the panel, (rows, columns).

    The outermost ring of cells are ghosts: no sheet, only places for edge conditions.
    Further ghost columns fill rows up to whole vector registers (half as fast
    without them); `columns` counts the cells between the ghosts.
    """

    x_faces: np.ndarray
    y_faces: np.ndarray
    active: np.ndarray
    columns: int

    @property
    def x(self) -> np.ndarray:
        """Centres of the columns, mm."""
        return (self.x_faces[1:] + self.x_faces[:-1]) / 2

    @property
    def y(self) -> np.ndarray:
        """Centres of the rows, mm."""
        return (self.y_faces[1:] + self.y_faces[:-1]) / 2

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns, the rim included."""
        return self.active.shape

    def inner(self, field: np.ndarray) -> np.ndarray:
        """Return the part of a field between the ghosts."""
        return field[1:-1, 1 : 1 + self.columns]

    @property
    def area_mm2(self) -> np.ndarray:
        """Area of each cell, mm²; 0 where there is no sheet."""
        return np.outer(np.diff(self.y_faces), np.diff(self.x_faces)) * self.active

    def cell_of(self, points: np.ndarray) -> np.ndarray:
        """Return the flat index of the cell each (n, 2) point lies in (the nearest inside)."""
        column = np.clip(np.searchsorted(self.x_faces, points[:, 0]) - 1, 1, self.columns)
        row = np.clip(np.searchsorted(self.y_faces, points[:, 1]) - 1, 1, self.shape[0] - 2)
        return row * self.shape[1] + column

    def spread(self, points: np.ndarray, kerf: BaseGeometry | None) -> tuple[np.ndarray, ...]:
        """Return cells (n, 4) and weights (n, 4) of each point by bilinear shares.

        Cells off the panel, or across the kerf from the point, get no share.
        """
        column = np.clip(np.searchsorted(self.x, points[:, 0]) - 1, 0, self.columns)
        row = np.clip(np.searchsorted(self.y, points[:, 1]) - 1, 0, self.shape[0] - 2)
        u = np.clip((points[:, 0] - self.x[column]) / np.diff(self.x)[column], 0, 1)
        v = np.clip((points[:, 1] - self.y[row]) / np.diff(self.y)[row], 0, 1)
        rows = row[:, None] + np.array([0, 0, 1, 1])
        columns = column[:, None] + np.array([0, 1, 0, 1])
        weights = np.stack([(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v], axis=1)
        allowed = self.active[rows, columns] > 0
        if kerf is not None:
            centres = np.stack([self.x[columns], self.y[rows]], axis=-1)
            middle = np.broadcast_to(points[:, None], centres.shape)
            lines = shapely.linestrings(np.stack([middle, centres], axis=2).reshape(-1, 2, 2))
            clear = ~shapely.intersects(lines, kerf).reshape(weights.shape)
            allowed &= clear | ~(allowed & clear).any(axis=1, keepdims=True)
        weights = np.where(allowed, weights + 1e-12, 0.0)
        cells = rows * self.shape[1] + columns
        lost = weights.sum(axis=1) <= 0
        cells[lost, 0], weights[lost, 0] = self.cell_of(points[lost]), 1.0
        return cells, weights / weights.sum(axis=1, keepdims=True)


def _faces(
    low: float,
    high: float,
    zones: Sequence[tuple[float, float]],
    breaks: Sequence[float],
    *,
    cell: float,
    growth: float,
    largest: float,
) -> np.ndarray:
    """Return grid lines from low to high: `cell` apart in the zones, wider by `growth` off them."""
    kept = [low, high]
    for value in [*(end for zone in zones for end in zone), *breaks]:
        if low < value < high and min(abs(value - other) for other in kept) > 0.7 * cell:
            kept.append(value)
    kept.sort()
    lines = [np.array([low])]
    for begin, end in pairwise(kept):
        at = np.linspace(begin, end, 1 + 8 * max(1, math.ceil((end - begin) / cell)))
        middle = (at[1:] + at[:-1]) / 2
        off = np.min([np.maximum(np.maximum(a - middle, middle - b), 0) for a, b in zones], axis=0)
        size = np.minimum(cell + (growth - 1) * off, largest)
        count = np.concatenate([[0.0], np.cumsum(np.diff(at) / size)])
        number = max(1, round(count[-1]))
        lines.append(np.interp(np.linspace(0, count[-1], number + 1)[1:], count, at))
    return np.concatenate(lines)


def _straight(seams: Sequence[BaseGeometry], axis: int, least: float) -> list[float]:
    """Return where axis-parallel parts of the seams of at least `least` mm lie."""
    found = []
    for seam in seams:
        points = shapely.get_coordinates(seam)
        along, across = np.diff(points[:, 1 - axis]), np.diff(points[:, axis])
        flat = (np.abs(across) < 1e-6) & (np.abs(along) >= least)
        found += list(np.unique(np.round(points[:-1, axis][flat], 6)))
    return found


def build(
    panel: BaseGeometry,
    seams: Sequence[BaseGeometry],
    *,
    cell_mm: float,
    far_growth: float,
    far_cell_mm: float,
) -> Grid:
    """Return the graded grid of a panel with seams; `panel` and `seams` in mm."""
    west, south, east, north = panel.bounds
    pad = 2 * cell_mm
    lines, columns = [], 0
    for axis, (low, high) in enumerate([(west, east), (south, north)]):
        zones = []
        for seam in seams:
            box = seam.bounds
            zones.append((max(low, box[axis] - pad), min(high, box[axis + 2] + pad)))
        zones = [zone for zone in zones if zone[1] > zone[0]] or [(low, high)]
        merged: list[tuple[float, float]] = []
        for begin, end in sorted(zones):
            if merged and begin <= merged[-1][1]:
                merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
            else:
                merged.append((begin, end))
        breaks = _straight(seams, axis, 2 * cell_mm)
        faces = _faces(
            low, high, merged, breaks, cell=cell_mm, growth=far_growth, largest=far_cell_mm
        )
        ghost = faces[[1, -2]] - faces[[0, -1]]
        spare = -(faces.size - 1) % REGISTER if axis == 0 else 0
        after = high - ghost[1] * np.arange(1, 2 + spare)
        lines.append(np.concatenate([[low - ghost[0]], faces, after]))
        columns = columns or faces.size - 1
    x, y = lines
    active = np.zeros((y.size - 1, x.size - 1))
    left, bottom = np.meshgrid(x[1 : columns + 1], y[1:-2])
    right, top = np.meshgrid(x[2 : columns + 2], y[2:-1])
    cells = shapely.box(left, bottom, right, top)
    shapely.prepare(panel)
    share = shapely.contains(panel, cells).astype(float)
    edge = (share == 0) & shapely.intersects(panel, cells)
    share[edge] = shapely.area(shapely.intersection(panel, cells[edge])) / shapely.area(cells[edge])
    share[share > 1 - 1e-9] = 1.0
    active[1:-1, 1 : columns + 1] = np.where(share >= LEAST_SHARE, share, 0.0)
    return Grid(x, y, active, columns)


@dataclass(frozen=True)
class Kerf:
    """The open faces of one or more seams, and the pieces (bins) of seam that open them.

    face_north, face_cell: the face lies north (else east) of that flat cell
    left, right: flat cells beside each face, seen along the seam
    face_bins: bins on the face; bin_face: the face of each bin
    offset, length, closed: first bin, length in mm and closedness of each seam
    face_s, face_seam: where each face lies along which seam, mm
    """

    seams: tuple[BaseGeometry, ...]
    face_north: np.ndarray
    face_cell: np.ndarray
    left: np.ndarray
    right: np.ndarray
    face_bins: np.ndarray
    face_s: np.ndarray
    face_seam: np.ndarray
    bin_face: np.ndarray
    bin_mm: np.ndarray
    offset: np.ndarray


def _links(grid: Grid, seam: BaseGeometry, cell: float) -> tuple[np.ndarray, np.ndarray]:
    """Return (cell, neighbour) flat indices of neighbours that may lie across the seam."""
    steps = np.linspace(0, seam.length, 2 + math.ceil(seam.length / (0.4 * cell)))
    near = np.zeros(grid.shape, bool)
    near.reshape(-1)[
        grid.cell_of(shapely.get_coordinates(shapely.line_interpolate_point(seam, steps)))
    ] = True
    for axis in (0, 1):
        near = near | np.roll(near, 1, axis) | np.roll(near, -1, axis)
    near &= grid.active > 0
    flat = np.arange(near.size).reshape(near.shape)
    east = near[:, :-1] & near[:, 1:]
    north = near[:-1] & near[1:]
    first = np.concatenate([flat[:, :-1][east], flat[:-1][north]])
    return first, np.concatenate([flat[:, 1:][east], flat[1:][north]])


def _shared_bins(s: np.ndarray, length: float, closed: bool, bins: int) -> np.ndarray:
    """Return the face (by rank along the seam) of each bin; every face gets at least one."""
    at = (np.arange(bins) + 0.5) * length / bins
    middle = (s[1:] + s[:-1]) / 2
    face = np.searchsorted(middle, at)
    if closed and s.size > 1:
        wrap = ((s[-1] + s[0] + length) / 2) % length
        if wrap > s[-1]:
            face[at >= wrap] = 0
        else:
            face[at < wrap] = s.size - 1
    count = np.bincount(face, minlength=s.size)
    for empty in np.flatnonzero(count == 0):
        for b in np.argsort(np.abs(at - s[empty]), kind="stable"):
            if count[face[b]] > 1:
                count[face[b]] -= 1
                face[b] = empty
                count[empty] = 1
                break
    return face


def open_kerf(grid: Grid, seams: Sequence[BaseGeometry], *, cell_mm: float) -> Kerf:
    """Return the kerf faces of `seams` (LineString or ring, mm) on the grid."""
    parts: list[list[np.ndarray]] = [[] for _ in range(9)]
    kept, offset, faces_before, bins_before = [], [], 0, 0
    taken: set[tuple[int, int]] = set()
    columns = grid.shape[1]
    for number, seam in enumerate(seams):
        nudged = shapely.transform(seam, lambda p: p + np.array([6.18e-4, 3.87e-4]) * cell_mm)
        first, second = _links(grid, seam, cell_mm)
        centre = np.stack([grid.x[first % columns], grid.y[first // columns]], axis=1)
        other = np.stack([grid.x[second % columns], grid.y[second // columns]], axis=1)
        link = shapely.linestrings(np.stack([centre, other], axis=1))
        shapely.prepare(nudged)
        cut = np.flatnonzero(shapely.intersects(nudged, link))
        cut = np.array([n for n in cut if (first[n], second[n]) not in taken], dtype=int)
        taken |= {(first[n], second[n]) for n in cut}
        kept.append(seam)
        offset.append(bins_before)
        bins = max(8, math.ceil(seam.length / cell_mm * BINS_PER_CELL))
        if cut.size == 0:
            parts[7].append(np.full(bins, -1))
        else:
            crossing = shapely.get_coordinates(
                shapely.centroid(shapely.intersection(nudged, link[cut]))
            )
            s = shapely.line_locate_point(seam, shapely.points(crossing))
            rank = np.argsort(s, kind="stable")
            cut, s, crossing = cut[rank], s[rank], crossing[rank]
            small = min(0.5 * cell_mm, seam.length / 8)
            ahead = shapely.line_interpolate_point(seam, np.minimum(s + small, seam.length))
            behind = shapely.line_interpolate_point(seam, np.maximum(s - small, 0))
            along = shapely.get_coordinates(ahead) - shapely.get_coordinates(behind)
            link_way = other[cut] - centre[cut]
            to_left = along[:, 0] * link_way[:, 1] - along[:, 1] * link_way[:, 0] > 0
            share = _shared_bins(s, seam.length, seam.is_closed, bins)
            parts[0].append(second[cut] == first[cut] + columns)
            parts[1].append(first[cut])
            parts[2].append(np.where(to_left, second[cut], first[cut]))
            parts[3].append(np.where(to_left, first[cut], second[cut]))
            parts[4].append(np.bincount(share, minlength=s.size))
            parts[5].append(s)
            parts[6].append(np.full(s.size, number))
            parts[7].append(share + faces_before)
            faces_before += s.size
        parts[8].append(np.array([seam.length / bins]))
        bins_before += bins
    joined = [np.concatenate(part) if part else np.zeros(0) for part in parts]
    whole = [joined[0].astype(bool), *(joined[n].astype(np.int64) for n in (1, 2, 3, 4))]
    return Kerf(
        tuple(kept), *whole, joined[5], joined[6].astype(np.int64),
        joined[7].astype(np.int64), joined[8], np.array([*offset, bins_before], dtype=np.int64),
    )  # fmt: skip
