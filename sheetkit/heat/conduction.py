"""What each cell of a workpiece holds, conducts and loses: one sheet, or two that overlap.

Where a patch lies on a panel, each sheet has cells of its own.  Those of the
sheet one welds along, the panel outside the welded line and the patch within
it, are the grid's.  What lies under or over them there (the panel's flange
under a patch, the patch's rim outside a line of plugs) are further rows below
the grid's, joined to it by links: across the welded line, where a sheet runs
on, and cell by cell through the contact of the two sheets.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from .grid import LEAST_SHARE, Grid, share_on
from .kerf import Kerf, KerfArrays
from .workpiece import Overlap, Workpiece


class Links(NamedTuple):
    """Pairs of cells, (n, 2) flat indices, that are no neighbours, and what conducts, W/K."""

    cells: np.ndarray
    conductance: np.ndarray


class Conduction(NamedTuple):
    """A workpiece's arrays for the kernel, the kerf open, and what it takes to close it."""

    east: np.ndarray
    north: np.ndarray
    """Conductance of each cell's east and north face, W/K."""
    capacity: np.ndarray
    """J/K; 0 off the sheet."""
    per_capacity: np.ndarray
    """K/J; 0 off the sheet."""
    loss_per_s: np.ndarray
    """A row for each row of cells, or one row that holds for all."""
    explicit_s: float
    """The longest stable step of forward Euler."""
    kerf: KerfArrays
    links: Links
    second_rows: slice
    """The grid's rows that the further rows stand under or over."""


class _Sheets(NamedTuple):
    """Metal of the grid's cells and of those under or over them, as (rows, columns) arrays.

    share : of each cell that the sheet covers; thickness in mm
    face : loss of its free faces, W/(m² K)
    """

    share: np.ndarray
    thickness: np.ndarray
    face: np.ndarray


def conduct(grid: Grid, kerf: Kerf, piece: Workpiece, precision: type) -> Conduction:
    """Return the arrays of a workpiece on its grid; floats of `precision`."""
    k = piece.steel.conductivity_w_mk / 1000
    losses = piece.losses
    plain = np.full(grid.shape, piece.thickness_mm)
    sheet = _Sheets(grid.active, plain, np.full(grid.shape, losses.faces))
    second, rows, links = None, slice(0, 0), Links(np.zeros((0, 2), np.int32), np.zeros(0))
    if piece.overlap is not None:
        sheet, second = _two(grid, piece, piece.overlap)
        rows = _rows_of(second.share)
        links = _links(grid, kerf, piece, (sheet, second), rows)
    east, north = _faces(grid, sheet, k)
    if losses.edges > 0:
        _add_edges(grid, east, north, piece)
    opened = [east.copy().reshape(-1), north.copy().reshape(-1)]
    share = np.zeros(kerf.face_cell.size)
    for side, closed in ((0, east.reshape(-1)), (1, north.reshape(-1))):
        mine = kerf.face_north == side
        cell = kerf.face_cell[mine]
        if second is not None:
            other = cell + (grid.shape[1] if side else 1)
            mm = sheet.thickness.reshape(-1)
            thicker = np.maximum(mm[cell], mm[other])
            closed[cell] *= 2 * thicker / (mm[cell] + mm[other])  # halves in series
        share[mine] = closed[cell] / np.maximum(kerf.face_bins[mine], 1)
        opened[side][cell] = 0.0
    stacked = [(sheet, east, north)]
    open_east, open_north = (flat.reshape(grid.shape) for flat in opened)
    if second is not None:
        part = _Sheets(*(array[rows] for array in second))
        flange = _second_faces(grid, kerf, second, k)
        stacked.append((part, flange[0][rows], flange[1][rows]))
        open_east = np.concatenate([open_east, flange[0][rows]])
        open_north = np.concatenate([open_north, flange[1][rows]])
    capacity, loss = _held_and_lost(grid, [(one, slice(None) if one is sheet else rows)
                                           for one, *_ in stacked], piece)  # fmt: skip
    inverse = np.divide(1.0, capacity, out=np.zeros(capacity.shape), where=capacity > 0)
    all_east, all_north = (
        np.concatenate(faces) for faces in zip(*(one[1:] for one in stacked), strict=True)
    )
    total = diagonal(all_east, all_north, links)
    return Conduction(
        open_east.astype(precision), open_north.astype(precision), capacity,
        inverse.astype(precision), loss.astype(precision),
        0.99 / float((total * inverse).max() + loss.max()),
        KerfArrays(kerf.bin_face, kerf.face_north, kerf.face_cell, share.astype(precision)),
        Links(links.cells, links.conductance.astype(precision)), rows,
    )  # fmt: skip


def _faces(grid: Grid, sheet: _Sheets, k: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the conductances of a sheet's east and north faces, W/K; `k` in W/(mm K)."""
    dx, dy, metal = np.diff(grid.x_faces), np.diff(grid.y_faces), sheet.share
    east, north = np.zeros(grid.shape), np.zeros(grid.shape)
    mm = np.minimum(sheet.thickness[:, :-1], sheet.thickness[:, 1:])
    share = np.minimum(metal[:, :-1], metal[:, 1:])
    east[:, :-1] = k * mm * np.outer(dy, 1 / np.diff(grid.x)) * share
    mm = np.minimum(sheet.thickness[:-1], sheet.thickness[1:])
    north[:-1] = k * mm * np.outer(1 / np.diff(grid.y), dx) * np.minimum(metal[:-1], metal[1:])
    return east, north


def _add_edges(grid: Grid, east: np.ndarray, north: np.ndarray, piece: Workpiece) -> None:
    """Let the panel's edges lose heat to the ghosts beside them (in place)."""
    dx, dy, live = np.diff(grid.x_faces), np.diff(grid.y_faces), grid.active > 0
    kt = piece.steel.conductivity_w_mk / 1000 * piece.thickness_mm
    film = piece.losses.edges * 1e-6 * piece.thickness_mm
    rim_x, rim_y = live[:, :-1] ^ live[:, 1:], live[:-1] ^ live[1:]
    through = dy[:, None] / (0.5 * np.minimum(dx[:-1], dx[1:])[None] / kt + 1 / film)
    east[:, :-1] = np.where(rim_x, through, east[:, :-1])
    through = dx[None] / (0.5 * np.minimum(dy[:-1], dy[1:])[:, None] / kt + 1 / film)
    north[:-1] = np.where(rim_y, through, north[:-1])


def _held_and_lost(
    grid: Grid, stacked: list[tuple[_Sheets, slice]], piece: Workpiece
) -> tuple[np.ndarray, np.ndarray]:
    """Return each cell's capacity, J/K, and loss, 1/s: one row of it where it's the same for all."""
    area = np.outer(np.diff(grid.y_faces), np.diff(grid.x_faces))
    by_volume = piece.steel.heat_capacity_j_mm3k
    capacity = np.concatenate(
        [area[rows] * one.share * one.thickness * by_volume for one, rows in stacked]
    )
    if len(stacked) == 1:
        rate = piece.losses.faces * 1e-6 / (by_volume * piece.thickness_mm)
        return capacity, np.full((1, grid.shape[1]), rate)
    lost = [one.face * 1e-6 / (by_volume * one.thickness) for one, _ in stacked]
    return capacity, np.concatenate(lost)


def diagonal(east: np.ndarray, north: np.ndarray, links: Links) -> np.ndarray:
    """Return all that conducts from each cell, W/K."""
    total = east + north
    total[:, 1:] += east[:, :-1]
    total[1:] += north[:-1]
    for end in links.cells.T:
        np.add.at(total.reshape(-1), end, links.conductance)
    return total


def _two(grid: Grid, piece: Workpiece, over: Overlap) -> tuple[_Sheets, _Sheets]:
    """Return the sheet one welds along, and the other one where the two overlap."""
    live = grid.active > 0
    x, y = np.meshgrid(grid.x, grid.y)
    shapely.prepare(over.within)
    inside = shapely.contains_xy(over.within, x, y)
    panel = np.maximum(grid.active - share_on(over.hole, grid), 0.0)
    patch = np.minimum(share_on(over.patch, grid), grid.active)
    other = np.where(inside, panel, patch) * live
    other = np.where(other >= LEAST_SHARE, other, 0.0)
    covered = other / np.where(live, grid.active, 1.0)
    top, bottom = piece.losses.h_top, piece.losses.h_bottom
    first = _Sheets(
        grid.active,
        np.where(inside, piece.thickness_mm, over.beneath_mm),
        np.where(inside, top + (1 - covered) * bottom, bottom + (1 - covered) * top),
    )
    thickness = np.where(inside, over.beneath_mm, piece.thickness_mm)
    return first, _Sheets(other, thickness, np.where(inside, bottom, top))


def _rows_of(share: np.ndarray) -> slice:
    """Return the rows of the grid that hold metal, with a row of ghosts on each side."""
    found = np.flatnonzero(share.any(axis=1))
    return slice(0, 0) if not found.size else slice(found[0] - 1, found[-1] + 2)


def _second_faces(
    grid: Grid, kerf: Kerf, second: _Sheets, k: float
) -> tuple[np.ndarray, np.ndarray]:
    """Return the conductances within the flange and the rim; across the welded line neither."""
    both = _faces(grid, second, k)
    for side, faces in enumerate(both):
        faces.reshape(-1)[kerf.face_cell[kerf.face_north == side]] = 0.0
    return both


def _links(
    grid: Grid, kerf: Kerf, piece: Workpiece, sheets: tuple[_Sheets, _Sheets], rows: slice
) -> Links:
    """Return what joins the rows of the other sheet to the grid."""
    sheet, second = sheets
    area = np.outer(np.diff(grid.y_faces), np.diff(grid.x_faces))
    metal, columns = second.share.reshape(-1), grid.shape[1]
    below = (grid.shape[0] - rows.start) * columns
    touching = np.flatnonzero(metal)
    by_area = piece.overlap.contact_w_m2k if piece.overlap else 0.0
    contact = by_area * 1e-6 * (area.reshape(-1) * metal)[touching]
    pairs, conductance = [np.stack([touching, below + touching], axis=1)], [contact]
    k = piece.steel.conductivity_w_mk / 1000
    dx, dy = np.diff(grid.x_faces), np.diff(grid.y_faces)
    one = kerf.face_cell
    two = one + np.where(kerf.face_north, columns, 1)
    row, column = one // columns, one % columns
    away = np.where(kerf.face_north, np.diff(grid.y)[row], np.diff(grid.x)[column])
    wide = np.where(kerf.face_north, dx[column], dy[row])
    for here, there in ((one, two), (two, one)):
        on = metal[here] > 0
        share = np.minimum(metal[here], sheet.share.reshape(-1)[there])
        mm = second.thickness.reshape(-1)[here]
        pairs.append(np.stack([below + here, there], axis=1)[on])
        conductance.append((k * mm * share * wide / away)[on])
    return Links(np.concatenate(pairs).astype(np.int32), np.concatenate(conductance))
