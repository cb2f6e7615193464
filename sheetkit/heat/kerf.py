"""The open kerf between patch and panel on a grid: which faces conduct nothing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from .grid import Grid

BINS_PER_CELL = 24
"""The seam is cut into this many pieces per cell; a weld closes whole pieces."""
LEAST_BRIDGE_MM = 5.0
"""A tack or plug closes at least this much seam. Common practice, no source (dots of 4-6 mm)."""


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


class KerfArrays(NamedTuple):
    """What the kernel needs to let a piece of seam conduct."""

    bin_face: np.ndarray
    face_north: np.ndarray
    face_cell: np.ndarray
    share: np.ndarray
    """What one bin adds to its face's conductance, W/K."""


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


class _SeamFaces(NamedTuple):
    """One seam's open faces, in the order along it; as in `Kerf`."""

    north: np.ndarray
    cell: np.ndarray
    left: np.ndarray
    right: np.ndarray
    bins: np.ndarray
    s: np.ndarray
    bin_face: np.ndarray


def _faces_of(grid: Grid, seam: BaseGeometry, cell_mm: float, taken: set) -> _SeamFaces:
    """Return the faces a seam opens, but those `taken` by seams before; adds its own to them."""
    columns = grid.shape[1]
    bins = max(8, math.ceil(seam.length / cell_mm * BINS_PER_CELL))
    nudged = shapely.transform(seam, lambda p: p + np.array([6.18e-4, 3.87e-4]) * cell_mm)
    first, second = _links(grid, seam, cell_mm)
    centre = np.stack([grid.x[first % columns], grid.y[first // columns]], axis=1)
    other = np.stack([grid.x[second % columns], grid.y[second // columns]], axis=1)
    link = shapely.linestrings(np.stack([centre, other], axis=1))
    shapely.prepare(nudged)
    cut = np.flatnonzero(shapely.intersects(nudged, link))
    cut = np.array([n for n in cut if (first[n], second[n]) not in taken], dtype=int)
    taken |= {(first[n], second[n]) for n in cut}
    if cut.size == 0:
        none = np.zeros(0, np.int64)
        return _SeamFaces(
            none.astype(bool), none, none, none, none, none.astype(float), np.full(bins, -1)
        )
    crossing = shapely.get_coordinates(shapely.centroid(shapely.intersection(nudged, link[cut])))
    s = shapely.line_locate_point(seam, shapely.points(crossing))
    rank = np.argsort(s, kind="stable")
    cut, s = cut[rank], s[rank]
    small = min(0.5 * cell_mm, seam.length / 8)
    ahead = shapely.line_interpolate_point(seam, np.minimum(s + small, seam.length))
    behind = shapely.line_interpolate_point(seam, np.maximum(s - small, 0))
    along = shapely.get_coordinates(ahead) - shapely.get_coordinates(behind)
    link_way = other[cut] - centre[cut]
    to_left = along[:, 0] * link_way[:, 1] - along[:, 1] * link_way[:, 0] > 0
    share = _shared_bins(s, seam.length, seam.is_closed, bins)
    return _SeamFaces(
        north=second[cut] == first[cut] + columns,
        cell=first[cut],
        left=np.where(to_left, second[cut], first[cut]),
        right=np.where(to_left, first[cut], second[cut]),
        bins=np.bincount(share, minlength=s.size),
        s=s,
        bin_face=share,
    )


def open_kerf(grid: Grid, seams: Sequence[BaseGeometry], *, cell_mm: float) -> Kerf:
    """Return the kerf faces of `seams` (LineString or ring, mm) on the grid."""
    taken: set[tuple[int, int]] = set()
    parts = [_faces_of(grid, seam, cell_mm, taken) for seam in seams]
    faces_before = np.cumsum([0, *(part.s.size for part in parts)])
    bins = np.array([part.bin_face.size for part in parts], dtype=np.int64)

    def joined(name: str, kind: type) -> np.ndarray:
        return np.concatenate([np.zeros(0, kind), *(getattr(part, name) for part in parts)])

    bin_face = [
        np.where(part.bin_face < 0, -1, part.bin_face + before)
        for part, before in zip(parts, faces_before[:-1], strict=True)
    ]
    return Kerf(
        seams=tuple(seams),
        face_north=joined("north", bool),
        face_cell=joined("cell", np.int64),
        left=joined("left", np.int64),
        right=joined("right", np.int64),
        face_bins=joined("bins", np.int64),
        face_s=joined("s", float),
        face_seam=np.repeat(np.arange(len(parts)), np.diff(faces_before)),
        bin_face=np.concatenate([np.zeros(0, np.int64), *bin_face]),
        bin_mm=np.array([seam.length for seam in seams]) / np.maximum(bins, 1),
        offset=np.concatenate([[0], np.cumsum(bins)]),
    )
