"""A sheet cut into triangles that are small along the seams and grow away from them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from scipy.spatial import Delaunay, QhullError, cKDTree
from shapely import LineString, Polygon

from ..base.errors import refuse

Sizes = Callable[[np.ndarray], np.ndarray]
GROWTH = 0.2
"""How much a triangle's side grows with each mm away from the seam."""
MOST_TIMES = 3.0
"""The largest side over the smallest."""
MOST_POINTS = 9000
"""More points than this take more than the few seconds an index may."""
_TURN = np.radians(30)
"""The most a rounded line turns from one point to the next."""
_MERGED = 0.45
"""Points of two lines nearer than this share of a side are one."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangles of a sheet, mm, and the chains of points that run along its lines.

    points : (n, 2); triangles : (m, 3), each counter-clockwise
    chains : for each line given, the points along it; a closed line ends where it began
    """

    points: np.ndarray
    triangles: np.ndarray
    chains: tuple[np.ndarray, ...]

    @cached_property
    def areas(self) -> np.ndarray:
        """The triangles' areas, mm²."""
        a, b, c = (self.points[self.triangles[:, i]] for i in range(3))
        (ux, uy), (vx, vy) = (b - a).T, (c - a).T
        return (ux * vy - uy * vx) / 2

    @cached_property
    def _sides(self) -> tuple[np.ndarray, np.ndarray]:
        ends = np.concatenate([self.triangles[:, [i, (i + 1) % 3]] for i in range(3)])
        sides, which = np.unique(np.sort(ends, axis=1), axis=0, return_inverse=True)
        return sides, which.reshape(3, -1).T

    @property
    def sides(self) -> np.ndarray:
        """Each side's two points once, the lower first, (k, 2)."""
        return self._sides[0]

    @property
    def sides_of(self) -> np.ndarray:
        """The sides of each triangle, from its first to its second point on, (m, 3)."""
        return self._sides[1]

    def rightward(self, chain: np.ndarray) -> np.ndarray:
        """Return a direction of length 1 to the right of a chain at each of its points, (n, 2)."""
        run = np.diff(self.points[chain], axis=0)
        right = np.c_[run[:, 1], -run[:, 0]] / np.linalg.norm(run, axis=1, keepdims=True)
        ends = (right[-1:], right[:1]) if chain[0] == chain[-1] else (right[:1], right[-1:])
        both = np.concatenate([ends[0], right]) + np.concatenate([right, ends[1]])
        return both / np.linalg.norm(both, axis=1, keepdims=True)

    def left_of(self, chain: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return the triangles that touch a chain from its left: which, by which corner, and where.

        Of the two pieces of the chain at a corner the nearer one says on which side it lies.
        """
        last = len(chain) - 1
        place = np.full(len(self.points), -1)
        place[chain] = np.arange(len(chain))
        triangle, corner = np.nonzero(place[self.triangles] >= 0)
        at = place[self.triangles[triangle, corner]]
        middle = self.points[self.triangles[triangle]].mean(axis=1)
        closed = chain[0] == chain[-1]
        before = np.where(at > 0, at - 1, last - 1 if closed else 0)
        after = np.where(at < last, at, 0 if closed else last - 1)
        away, left = np.empty((2, len(at))), np.empty((2, len(at)), bool)
        for i, piece in enumerate((before, after)):
            start, end = self.points[chain[piece]], self.points[chain[piece + 1]]
            run, here = end - start, middle - start
            share = np.clip(np.sum(run * here, 1) / np.sum(run * run, 1), 0, 1)
            away[i] = np.linalg.norm(here - share[:, None] * run, axis=1)
            left[i] = run[:, 0] * here[:, 1] - run[:, 1] * here[:, 0] > 0
        on_left = np.where(away[0] <= away[1], left[0], left[1])
        return triangle[on_left], corner[on_left], at[on_left]

    @cached_property
    def rim(self) -> np.ndarray:
        """Indices of the sides that one triangle has alone: the sheet's edges and its holes'."""
        return np.flatnonzero(np.bincount(self.sides_of.ravel(), minlength=len(self.sides)) == 1)


def meshed(
    sheet: Polygon,
    fine: Sequence[LineString],
    other: Sequence[LineString] = (),
    *,
    size_mm: float,
    growth: float = GROWTH,
) -> Mesh:
    """Return a sheet's triangles: their sides `size_mm` along the fine lines, larger elsewhere.

    Parameters
    ----------
    sheet : mm, with its holes
    fine, other : lines whose points the triangles share; chains come in this order.  What
        lies outside the sheet is left out
    size_mm : over 0; growth : how much a side grows with each mm away from the fine lines

    Raises
    ------
    OutOfRange
        The sheet would take more than MOST_POINTS points.
    """
    near = cKDTree(np.concatenate([_every(line, size_mm / 2) for line in fine or [sheet.exterior]]))

    def size(points: np.ndarray) -> np.ndarray:
        away = near.query(points)[0] if len(points) else np.zeros(0)
        return np.clip(size_mm + growth * away, size_mm, MOST_TIMES * size_mm)

    points: list[np.ndarray] = []
    tree: cKDTree | None = None
    chains = []
    rings = [LineString(ring.coords) for ring in (sheet.exterior, *sheet.interiors)]
    for line in (*rings, *fine, *other):
        along = _spaced(line, size)
        closed = len(along) > 1 and np.allclose(along[0], along[-1])
        here = along[:-1] if closed else along
        at = np.arange(len(here)) + sum(map(len, points))
        if tree is not None and len(here):
            gap, nearest = tree.query(here)
            shared = gap < _MERGED * size(here)
            new = ~shared
            at = np.where(shared, nearest, np.cumsum(new) - 1 + sum(map(len, points)))
            here = here[new]
        points.append(here)
        tree = cKDTree(np.concatenate(points))
        chain = np.append(at, at[:1]) if closed else at
        keep = np.append(True, chain[1:] != chain[:-1])
        chains.append(chain[keep])
    assert tree is not None
    inner = _lattice(sheet, size, size_mm)
    if len(inner):
        gap, _ = tree.query(inner)
        inner = inner[gap > 0.6 * size(inner)]
    every = np.concatenate([*points, inner])
    if len(every) > MOST_POINTS:
        refuse("sheet", f"{len(every)} points", f"must take at most {MOST_POINTS}",
               "draw a smaller panel or a plainer outline")  # fmt: skip
    return _triangulated(sheet, every, tuple(chains[len(rings) :]))


def _every(line: LineString, step_mm: float) -> np.ndarray:
    """Return points along a line, at most a step apart."""
    at = np.linspace(0, line.length, max(int(np.ceil(line.length / step_mm)), 1) + 1)
    return shapely.get_coordinates(shapely.line_interpolate_point(line, at))


def _spaced(line: LineString, size: Sizes) -> np.ndarray:
    """Return points along a line, its corners kept, as far apart as `size` says there."""
    coords = shapely.get_coordinates(line)
    step = np.diff(coords, axis=0)
    angle = np.arctan2(step[:, 1], step[:, 0])
    closed = np.allclose(coords[0], coords[-1])
    turn = np.abs((np.diff(angle) + np.pi) % (2 * np.pi) - np.pi)
    corners = [0, *(np.flatnonzero(turn > np.radians(35)) + 1), len(coords) - 1]
    found = []
    for first, last in pairwise(corners):
        piece = LineString(coords[first : last + 1])
        round_it = turn[first : max(last - 1, first)].sum() / _TURN
        n = max(int(np.ceil(piece.length / 2.0)), 8)
        at = np.linspace(0, piece.length, n + 1)
        sides = size(shapely.get_coordinates(shapely.line_interpolate_point(piece, at)))
        count = np.concatenate([[0], np.cumsum(np.diff(at) * 2 / (sides[1:] + sides[:-1]))])
        wanted = max(
            round(float(count[-1])),
            3 if closed and len(corners) == 2 else 1,
            int(np.ceil(round_it)),
        )
        places = np.interp(np.linspace(0, count[-1], wanted + 1), count, at)
        found.append(shapely.get_coordinates(shapely.line_interpolate_point(piece, places))[:-1])
    return np.concatenate([*found, coords[-1:]])


def _lattice(sheet: Polygon, size: Sizes, size_mm: float) -> np.ndarray:
    """Return points inside the sheet, on lattices whose step doubles away from the seams."""
    left, low, right, high = sheet.bounds
    shapely.prepare(sheet)
    found = []
    step = size_mm
    while step < 2 * MOST_TIMES * size_mm:
        across = np.arange(left + step / 2, right, step)
        up = np.arange(low + step / 2, high, step * np.sqrt(3) / 2)
        x, y = np.meshgrid(across, up)
        x = x + np.where(np.arange(len(up)) % 2, step / 2, 0.0)[:, None]
        grid = np.c_[x.ravel(), y.ravel()]
        grid = grid[shapely.contains_xy(sheet, grid)]
        wanted = size(grid)
        first, last = step == size_mm, 2 * step >= 2 * MOST_TIMES * size_mm
        lower = 0.0 if first else step / np.sqrt(2)
        upper = np.inf if last else step * np.sqrt(2)
        found.append(grid[(wanted >= lower) & (wanted < upper)])
        step *= 2
    return np.concatenate(found)


def _triangulated(sheet: Polygon, points: np.ndarray, chains: tuple[np.ndarray, ...]) -> Mesh:
    try:
        triangles = Delaunay(points).simplices
    except QhullError:
        refuse("sheet", "no area", "must be a sheet with an area", "draw the panel again")
    a, b, c = (points[triangles[:, i]] for i in range(3))
    (ux, uy), (vx, vy) = (b - a).T, (c - a).T
    doubled = ux * vy - uy * vx
    flat = np.abs(doubled) < 1e-3 * np.maximum(ux**2 + uy**2, vx**2 + vy**2)
    inside = shapely.contains_xy(sheet, (a + b + c) / 3) & ~flat
    triangles = np.where((doubled < 0)[:, None], triangles[:, ::-1], triangles)[inside]
    used, renumbered = np.unique(triangles, return_inverse=True)
    new = np.full(len(points), -1)
    new[used] = np.arange(len(used))
    chains = tuple(new[chain][new[chain] >= 0] for chain in chains)
    return Mesh(points[used], renumbered.reshape(-1, 3), chains)
