"""Welds and protected places on the solver's grid: where heat enters, where it is read."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import shapely

from .grid import Grid, GridChoice
from .kerf import BINS_PER_CELL, LEAST_BRIDGE_MM, Kerf
from .weld_source import WeldRun
from .workpiece import Workpiece


class WeldArrays(NamedTuple):
    """Where welds bridge the kerf and heat the sheet, in the kernel's order."""

    bins_begin: np.ndarray
    """(welds + 1,) where each weld's bins begin in `bins`."""
    bins: np.ndarray
    begin: np.ndarray
    """(welds + 1,) where each weld's samples begin in `samples`."""
    samples: tuple[np.ndarray, np.ndarray]
    """Four cells and weights a sample."""
    energy_j: np.ndarray
    duration_s: np.ndarray
    ends_mm: np.ndarray
    """(welds, 4) x, y of a weld's first and last point."""


class Probes(NamedTuple):
    """Where temperatures are read: lines of samples, first the welds, then protected places."""

    begin: np.ndarray
    cells: np.ndarray
    weights: np.ndarray


FARTHEST_MM = 30.0
"""A weld's middle is on no seam that is further away: one and a half of the largest cells."""
END_BINS = BINS_PER_CELL // 4
"""A weld conducts as if a quarter of a cell longer at each end: the grid rounds off the ends
of the kerf.  Found by halving the cell down to 0.5 mm; it takes 0.83 K rms at 4 mm to 0.18."""


class _Track(NamedTuple):
    """A weld's path beside one seam.

    off_mm : the farthest of its corners from the seam
    own_mm, seam_mm : where its corners lie along the path, and along the seam (not wrapped)
    """

    seam: int
    off_mm: float
    own_mm: np.ndarray
    seam_mm: np.ndarray


@lru_cache(maxsize=2)
def _tracks(piece: Workpiece) -> tuple[tuple[_Track, ...], ...]:
    """Return for each weld the seams it may lie on.

    Only the corners of its path are looked up on the seam, which can have
    hundreds of vertices, and once for all grids.
    """
    paths = [weld.path for weld in piece.welds]
    own = [np.concatenate([[0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))]) for path in paths]
    found: list[list[_Track]] = [[] for _ in paths]
    if not paths:
        return ()
    middles = shapely.points([path[len(path) // 2] for path in paths])
    for number, seam in enumerate(piece.seams):
        near = np.flatnonzero(shapely.distance(middles, seam) < FARTHEST_MM)
        if not near.size:
            continue
        corners = shapely.points(np.concatenate([paths[n] for n in near]))
        ends = np.cumsum([len(paths[n]) for n in near])[:-1]
        off = np.split(shapely.distance(corners, seam), ends)
        at = np.split(shapely.line_locate_point(seam, corners), ends)
        for n, away, where in zip(near, off, at, strict=True):
            step = np.diff(where)
            if seam.is_closed:
                step = (step + seam.length / 2) % seam.length - seam.length / 2
            reached = where[0] + np.concatenate([[0], np.cumsum(step)])
            found[n].append(_Track(number, float(away.max()), own[n], reached))
    return tuple(tuple(tracks) for tracks in found)


def _nearest(open_seams: set[int], cell_mm: float, tracks: Sequence[_Track]) -> _Track | None:
    """Return the track of the open seam a weld lies on; None where it is on none."""
    nearest = max(1.5 * cell_mm, 2.0)
    on = [track for track in tracks if track.seam in open_seams and track.off_mm < nearest]
    return min(on, key=lambda track: track.off_mm, default=None)


def _along(kerf: Kerf, track: _Track, share: np.ndarray) -> np.ndarray:
    """Return where shares of a weld's path lie along its seam, mm; between corners it follows it."""
    seam, length = kerf.seams[track.seam], track.own_mm[-1]
    if length == 0:
        return np.repeat(track.seam_mm[:1], len(share))
    where = np.interp(np.asarray(share) * length, track.own_mm, track.seam_mm)
    return where % seam.length if seam.is_closed else np.clip(where, 0, seam.length)


def _filled(bins: np.ndarray, count: int, closed: bool) -> np.ndarray:
    """Return all bins from the first to the last of a weld, also those a corner jumped over."""
    step = np.diff(bins)
    if closed:
        step = (step + count // 2) % count - count // 2
    reached = bins[0] + np.concatenate([[0], np.cumsum(step)])
    if np.abs(step).max(initial=0) > 4 * BINS_PER_CELL:
        return np.unique(bins)
    reached = np.arange(reached.min() - END_BINS, reached.max() + 1 + END_BINS)
    return np.unique(reached % count if closed else np.clip(reached, 0, count - 1))


def _along_seam(kerf: Kerf, seam: int, s: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return probe cells (2n, 4) and weights: both sides of the kerf at s, one after the other."""
    faces = np.flatnonzero(kerf.face_seam == seam)
    at, line = kerf.face_s[faces], kerf.seams[seam]
    if line.is_closed:
        at = np.concatenate([[at[-1] - line.length], at, [at[0] + line.length]])
        faces = np.concatenate([faces[-1:], faces, faces[:1]])
    n = np.clip(np.searchsorted(at, s), 1, max(at.size - 1, 1))
    before, after = faces[n - 1], faces[np.minimum(n, faces.size - 1)]
    gap = np.maximum(at[np.minimum(n, at.size - 1)] - at[n - 1], 1e-9)
    u = np.clip((s - at[n - 1]) / gap, 0, 1)
    cells, weights = np.zeros((2 * s.size, 4), np.int64), np.zeros((2 * s.size, 4))
    for offset, side in ((0, kerf.left), (1, kerf.right)):
        cells[offset::2, 0], cells[offset::2, 1] = side[before], side[after]
        weights[offset::2, 0], weights[offset::2, 1] = 1 - u, u
    return cells, weights


def _bridged(
    kerf: Kerf, weld: WeldRun, track: _Track, s: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return the bins a weld at `s` mm along a seam bridges, and the face beside each of `s`."""
    seam = track.seam
    line, mm = kerf.seams[seam], kerf.bin_mm[seam]
    of_seam = kerf.offset[seam + 1] - kerf.offset[seam]
    face = kerf.bin_face[np.minimum((s / mm).astype(int), of_seam - 1) + kerf.offset[seam]]
    dense = (np.arange(4 * s.size) + 0.5) / (4 * s.size)
    bin_at = (_along(kerf, track, dense) / mm).astype(int)
    bins = _filled(np.minimum(bin_at, of_seam - 1), of_seam, line.is_closed) + kerf.offset[seam]
    if weld.length_mm < LEAST_BRIDGE_MM:
        reach = s.mean() + np.arange(-LEAST_BRIDGE_MM / 2, LEAST_BRIDGE_MM / 2, mm)
        if np.ptp(s) > line.length / 2:
            reach = s[0] + np.arange(0, LEAST_BRIDGE_MM, mm)
        number = np.floor(reach / mm).astype(int)
        number = number % of_seam if line.is_closed else np.clip(number, 0, of_seam - 1)
        bins = np.union1d(bins, number + kerf.offset[seam])
    return bins, face


class _Rows:
    """Rows of cells and weights, group by group: a weld's samples, a line's probes."""

    def __init__(self) -> None:
        self.begin = [0]
        self.cells: list[np.ndarray] = []
        self.weights: list[np.ndarray] = []

    def add(self, cells: np.ndarray, weights: np.ndarray) -> None:
        self.cells.append(cells)
        self.weights.append(weights)
        self.begin.append(self.begin[-1] + len(cells))

    def stacked(self, precision: type) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        cells = np.concatenate([np.zeros((0, 4), np.int32), *self.cells])
        weights = np.concatenate([np.zeros((0, 4)), *self.weights])
        return np.array(self.begin), cells.astype(np.int32), weights.astype(precision)


def place_welds(
    grid: Grid, kerf: Kerf, piece: Workpiece, choice: GridChoice
) -> tuple[WeldArrays, Probes]:
    """Return the kernel's arrays of the welds and of the probe lines (welds, then protected)."""
    union = shapely.union_all(list(kerf.seams)) if kerf.seams else None
    cell_mm, welds = choice.cell_mm, piece.welds
    open_seams = set(kerf.face_seam.tolist())
    samples, probes, bins = _Rows(), _Rows(), []
    for weld, tracks in zip(welds, _tracks(piece), strict=True):
        count = max(2, math.ceil(weld.length_mm / cell_mm * BINS_PER_CELL))
        share = (np.arange(count) + 0.5) / count
        read = np.linspace(0, 1, max(3, math.ceil(weld.length_mm / cell_mm) + 1))
        track = _nearest(open_seams, cell_mm, tracks)
        if track is None:
            bins.append(np.zeros(0, np.int64))
            samples.add(*grid.spread(weld.at(share), union))
            probes.add(*grid.spread(weld.at(read), union))
            continue
        s = _along(kerf, track, share)
        covered, face = _bridged(kerf, weld, track, s)
        bins.append(covered)
        cells, weights = np.zeros((count, 4), np.int64), np.zeros((count, 4))
        cells[:, 0], cells[:, 1] = kerf.left[face], kerf.right[face]
        weights[:, :2] = 0.5
        samples.add(cells, weights)
        probes.add(*_along_seam(kerf, track.seam, _along(kerf, track, read)))
    for place in piece.protect:
        steps = np.linspace(0, place.length, 1 + math.ceil(place.length / cell_mm))
        points = place if place.length == 0 else shapely.line_interpolate_point(place, steps)
        probes.add(*grid.spread(shapely.get_coordinates(points), union))
    begin, cells, weights = samples.stacked(choice.precision)
    placed = WeldArrays(
        bins_begin=np.cumsum([0, *(len(part) for part in bins)]),
        bins=np.concatenate([np.zeros(0, np.int64), *bins]),
        begin=begin,
        samples=(cells, weights),
        energy_j=np.array([weld.energy_j for weld in welds], float),
        duration_s=np.array([weld.duration_s for weld in welds], float),
        ends_mm=np.array([[*weld.path[0], *weld.path[-1]] for weld in welds]).reshape(-1, 4),
    )
    return placed, Probes(*probes.stacked(choice.precision))
