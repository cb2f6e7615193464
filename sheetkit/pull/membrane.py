"""The stress a seam's shrinkage leaves in the plane of a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
import shapely
from scipy.sparse import coo_matrix, csc_matrix, diags
from scipy.sparse.linalg import splu
from shapely import LineString

from ..base.steel import POISSON, YOUNG_MPA
from .mesh import Mesh

_LAW = np.array([[1, POISSON, 0], [POISSON, 1, 0], [0, 0, (1 - POISSON) / 2]]) / (1 - POISSON**2)


class Stress(NamedTuple):
    """What a shrinkage leaves in the sheet.

    force_n_mm : Nx, Ny, Nxy in each triangle, N/mm, tension positive, (m, 3)
    moved_mm : displacements of the points, mm, (n, 2)
    free_strain : what each triangle would strain by if nothing tied it, (m, 3)
    """

    force_n_mm: np.ndarray
    moved_mm: np.ndarray
    free_strain: np.ndarray


@dataclass(frozen=True, eq=False)
class Membrane:
    """A sheet in its own plane, by triangles of constant strain.

    held : sides of the mesh that go on into a body; sheet_beyond_mm : how much sheet of the
        same thickness, held at its far end, gives as much as the body does there
    Where nothing is held all of the shrinkage is left to the sheet itself.
    """

    mesh: Mesh
    thickness_mm: float
    held: np.ndarray = field(default_factory=lambda: np.zeros(0, int))
    sheet_beyond_mm: float = 250.0

    @cached_property
    def _strains(self) -> np.ndarray:
        """Strain from the displacements of each triangle's corners, (m, 3, 6)."""
        corners = self.mesh.points[self.mesh.triangles]
        x, y = corners[..., 0], corners[..., 1]
        b = np.stack([y[:, i - 2] - y[:, i - 1] for i in range(3)], -1)
        c = np.stack([x[:, i - 1] - x[:, i - 2] for i in range(3)], -1)
        none = np.zeros_like(b)
        rows = [np.stack(pair, -1).reshape(-1, 6) for pair in ((b, none), (none, c), (c, b))]
        return np.stack(rows, 1) / (2 * self.mesh.areas)[:, None, None]

    @cached_property
    def _dofs(self) -> np.ndarray:
        return (2 * self.mesh.triangles[:, :, None] + np.arange(2)).reshape(-1, 6)

    @cached_property
    def stiffness(self) -> csc_matrix:
        """The matrix of forces by displacements, N/mm."""
        law = YOUNG_MPA * self.thickness_mm * _LAW
        each = np.einsum("eki,kl,elj->eij", self._strains, law, self._strains)
        each *= self.mesh.areas[:, None, None]
        rows = np.broadcast_to(self._dofs[:, :, None], each.shape)
        columns = np.broadcast_to(self._dofs[:, None, :], each.shape)
        n = 2 * len(self.mesh.points)
        sheet = coo_matrix((each.ravel(), (rows.ravel(), columns.ravel())), (n, n)).tocsc()
        return sheet + diags(np.repeat(self._body, 2)).tocsc()

    @cached_property
    def _body(self) -> np.ndarray:
        """What the body beyond held edges adds to the stiffness at each point, N/mm."""
        ends = self.mesh.sides[self.held]
        length = np.linalg.norm(np.diff(self.mesh.points[ends], axis=1)[:, 0], axis=1)
        half = YOUNG_MPA * self.thickness_mm / self.sheet_beyond_mm * length / 2
        found = np.zeros(len(self.mesh.points))
        np.add.at(found, ends.ravel(), np.repeat(half, 2))
        return found

    @cached_property
    def _solver(self) -> tuple[np.ndarray, Any]:
        """Degrees of freedom that are not pinned, and factors; pins carry nothing where none is held."""
        points = self.mesh.points
        first = int(np.argmin(points[:, 0]))
        far = int(np.argmax(np.linalg.norm(points - points[first], axis=1)))
        wide, high = np.abs(points[far] - points[first])
        held = [2 * first, 2 * first + 1, 2 * far + (1 if wide >= high else 0)]
        free = np.setdiff1d(np.arange(2 * len(points)), [] if len(self.held) else held)
        options = {"SymmetricMode": True}
        kept = self.stiffness[free][:, free].tocsc()
        return free, splu(kept, "MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options)

    def _settled(self, free_strain: np.ndarray) -> Stress:
        """Return the stress of a sheet whose triangles would strain so if nothing tied them."""
        free, factors = self._solver
        law = YOUNG_MPA * self.thickness_mm * _LAW.T
        each = np.einsum("eki,ek,e->ei", self._strains, free_strain @ law, self.mesh.areas)
        forces = np.zeros(2 * len(self.mesh.points))
        np.add.at(forces, self._dofs, each)
        moved = np.zeros(2 * len(self.mesh.points))
        moved[free] = factors.solve(forces[free])
        strain = np.einsum("eki,ei->ek", self._strains, moved[self._dofs])
        return Stress((strain - free_strain) @ law, moved.reshape(-1, 2), free_strain)

    def pulled_along(self, lines: Sequence[LineString], force_n: float, strip_mm: float) -> Stress:
        """Return what strips along lines leave that shrink along themselves with a force, N.

        The force is spread evenly over the strip's width, mm, half of it to each side, and
        fades out there over a triangle's size; three points of each triangle are asked.
        """
        mesh = self.mesh
        strain = force_n / (YOUNG_MPA * self.thickness_mm * strip_mm)
        corners = mesh.points[mesh.triangles]
        within = np.einsum("pc,ecx->epx", (1 + 3 * np.eye(3)) / 6, corners).reshape(-1, 2)
        at = shapely.points(within)
        fade = np.repeat(np.sqrt(mesh.areas), 3)
        free_strain = np.zeros((len(at), 3))
        for line in lines:
            share = np.clip((strip_mm / 2 - shapely.distance(line, at)) / fade + 0.5, 0, 1)
            near = np.flatnonzero(share)
            place = shapely.line_locate_point(line, at[near])
            ends = [np.clip(place + step, 0, line.length) for step in (-0.5, 0.5)]
            back, on = (shapely.get_coordinates(line.interpolate(end)) for end in ends)
            x, y = ((on - back) / np.linalg.norm(on - back, axis=1, keepdims=True)).T
            along = np.stack([x * x, y * y, 2 * x * y], -1)
            across = np.stack([y * y, x * x, -2 * x * y], -1)
            free_strain[near] -= strain * share[near, None] * (along - POISSON * across)
        return self._settled(free_strain.reshape(-1, 3, 3).mean(axis=1))

    def pulled_across(self, chains: Sequence[np.ndarray], shrinkage_mm: float) -> Stress:
        """Return what lines leave that draw the sheet together across themselves, mm.

        On its left a line's points stand so far to its right: the triangles there start from
        what that strains them.
        """
        mesh = self.mesh
        free_strain = np.zeros((len(mesh.triangles), 3))
        for chain in chains:
            moved = np.zeros((len(mesh.triangles), 3, 2))
            triangle, corner, at = mesh.left_of(chain)
            moved[triangle, corner] = shrinkage_mm * mesh.rightward(chain)[at]
            free_strain -= np.einsum("eki,ei->ek", self._strains, moved.reshape(-1, 6))
        return self._settled(free_strain)
