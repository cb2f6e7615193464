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

from ..base.errors import check

REGISTER = 16
"""Numbers of 32 bits in the widest vector register."""
LEAST_SHARE = 0.25
"""Cells with less of their area on the panel are left out: they would slow every step."""


@dataclass(frozen=True)
class GridChoice:
    """How finely a sheet is cut up in space and time.

    cell_mm : cell size along the seams, 0.25 to 20
    far_growth, far_cell_mm : growth of cells away from the seams, 1 to 2, and their limit, mm
    steps : longest step while the arc burns and first step after it, s; growth
        from step to step; longest step, s
    precision : numpy float type of the field
    """

    cell_mm: float = 4.0
    far_growth: float = 1.15
    far_cell_mm: float = 32.0
    steps: tuple[float, float, float] = (0.6, 1.2, 20.0)
    precision: type[np.floating] = np.float32

    def __post_init__(self) -> None:
        check("cell_mm", self.cell_mm, 0.25, 20, "mm")
        check("far_growth", self.far_growth, 1.0, 2.0)
        check("far_cell_mm", self.far_cell_mm, self.cell_mm, 1e4, "mm")


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
        """Return the part of a field between the ghosts; rows of a second sheet left out."""
        return field[1 : self.shape[0] - 1, 1 : 1 + self.columns]

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

        Cells off the panel, or across the kerf from the point, get no share;
        a point off the panel, in a hole or beyond its edge, is the nearest cell on it.
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
        if lost.any():
            cells[lost, 0], weights[lost, 0] = self._nearest_metal(points[lost]), 1.0
        return cells, weights / weights.sum(axis=1, keepdims=True)

    def _nearest_metal(self, points: np.ndarray) -> np.ndarray:
        """Return the flat index of the panel's cell nearest to each (n, 2) point off it."""
        from scipy.spatial import KDTree

        live = np.flatnonzero(self.active)
        row, column = np.divmod(live, self.shape[1])
        centres = np.stack([self.x[column], self.y[row]], axis=1)
        return live[KDTree(centres).query(points)[1]]


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


def _lines(
    panel: BaseGeometry, seams: Sequence[BaseGeometry], choice: GridChoice
) -> tuple[np.ndarray, np.ndarray]:
    """Return the grid lines between the ghosts, across and up, mm."""
    west, south, east, north = panel.bounds
    pad = 2 * choice.cell_mm
    lines: list[np.ndarray] = []
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
        lines.append(
            _faces(
                low, high, merged, _straight(seams, axis, 2 * choice.cell_mm),
                cell=choice.cell_mm, growth=choice.far_growth, largest=choice.far_cell_mm,
            )
        )  # fmt: skip
    return lines[0], lines[1]


def count_cells(panel: BaseGeometry, seams: Sequence[BaseGeometry], choice: GridChoice) -> int:
    """Return how many cells `build` would take, without building them."""
    x, y = _lines(panel, seams, choice)
    return (x.size - 1) * (y.size - 1)


def _share_on(panel: BaseGeometry, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return the share of each cell between grid lines that is on the panel, (rows, columns)."""
    shapely.prepare(panel)
    share = np.zeros((y.size - 1, x.size - 1))
    for row in range(y.size - 1):  # a row at a time: all the cells at once would fill the memory
        cells = shapely.box(x[:-1], y[row], x[1:], y[row + 1])
        here = shapely.contains(panel, cells).astype(float)
        edge = (here == 0) & shapely.intersects(panel, cells)
        here[edge] = shapely.area(shapely.intersection(panel, cells[edge])) / shapely.area(
            cells[edge]
        )
        share[row] = here
    share[share > 1 - 1e-9] = 1.0
    return share


def share_on(shape: BaseGeometry, grid: Grid) -> np.ndarray:
    """Return the share of each cell of a grid that lies on `shape`, (rows, columns)."""
    share = np.zeros(grid.shape)
    x, y = grid.x_faces[1 : grid.columns + 2], grid.y_faces[1:-1]
    share[1:-1, 1 : grid.columns + 1] = _share_on(shape, x, y)
    return share


def build(panel: BaseGeometry, seams: Sequence[BaseGeometry], choice: GridChoice) -> Grid:
    """Return the graded grid of a panel with seams; `panel` and `seams` in mm."""
    lines = _lines(panel, seams, choice)
    columns = lines[0].size - 1
    faces = []
    for axis, inner in enumerate(lines):
        ghost = inner[[1, -2]] - inner[[0, -1]]
        spare = -(inner.size - 1) % REGISTER if axis == 0 else 0
        after = inner[-1] - ghost[1] * np.arange(1, 2 + spare)
        faces.append(np.concatenate([[inner[0] - ghost[0]], inner, after]))
    active = np.zeros((faces[1].size - 1, faces[0].size - 1))
    share = _share_on(panel, *lines)
    active[1:-1, 1 : columns + 1] = np.where(share >= LEAST_SHARE, share, 0.0)
    return Grid(faces[0], faces[1], active, columns)
