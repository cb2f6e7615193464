"""Bending and buckling of a thin plate by Morley's triangles.

The deflection is a quadratic in each triangle: its values are shared at the corners, its
slopes across the sides at their middles (Morley 1968).  Loads come out low and rise to the
true one as the triangles shrink.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import coo_matrix, csc_matrix

from ..base.steel import POISSON, YOUNG_MPA
from .mesh import Mesh


def bending_stiffness_nmm(thickness_mm: float) -> float:
    """Return a plate's D = E t³ / (12 (1 - nu²)), N mm."""
    return YOUNG_MPA * thickness_mm**3 / (12 * (1 - POISSON**2))


@dataclass(frozen=True, eq=False)
class Plate:
    """The matrices of a plate's bending on one mesh.

    Degrees of freedom: the deflection at each point, then the slope across each side.
    """

    mesh: Mesh

    @property
    def size(self) -> int:
        """How many degrees of freedom there are."""
        return len(self.mesh.points) + len(self.mesh.sides)

    @cached_property
    def dofs(self) -> np.ndarray:
        """The six degrees of freedom of each triangle, (m, 6)."""
        mesh = self.mesh
        return np.c_[mesh.triangles, len(mesh.points) + mesh.sides_of]

    @cached_property
    def _shapes(self) -> tuple[np.ndarray, np.ndarray]:
        """Coefficients of 1, x, y, x², xy, y² for each degree of freedom, and middles of sides.

        Lengths are from each triangle's centroid, over its size, so that all are near 1.
        """
        mesh = self.mesh
        corners = mesh.points[mesh.triangles]
        scale = np.sqrt(mesh.areas)[:, None, None]
        at = (corners - corners.mean(axis=1, keepdims=True)) / scale
        middles = (at + np.roll(at, -1, axis=1)) / 2
        ends = mesh.points[mesh.sides[mesh.sides_of]]
        run = ends[:, :, 1] - ends[:, :, 0]
        normal = np.stack([run[..., 1], -run[..., 0]], -1)
        normal = normal / np.linalg.norm(normal, axis=-1, keepdims=True)
        x, y = at[..., 0], at[..., 1]
        values = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], -1)
        slopes = np.einsum("eia,eiac->eic", normal, _gradients(middles)) / scale
        return np.linalg.inv(np.concatenate([values, slopes], axis=1)), middles

    @cached_property
    def bending(self) -> csc_matrix:
        """The stiffness for D = 1 N mm."""
        coefficients, _ = self._shapes
        area = self.mesh.areas[:, None, None]
        # x and y are lengths over the square root of the area, so second slopes are over the area
        curvature = coefficients[:, [3, 5, 4]] * np.array([2.0, 2.0, 2.0])[:, None] / area
        law = np.array([[1, POISSON, 0], [POISSON, 1, 0], [0, 0, (1 - POISSON) / 2]])
        each = np.einsum("eki,kl,elj->eij", curvature, law, curvature) * area
        return self._assembled(each)

    def compression(self, force_n_mm: np.ndarray) -> csc_matrix:
        """Return what the membrane's forces take off the stiffness; compression comes out positive.

        Parameters
        ----------
        force_n_mm : (m, 3), N/mm, tension positive: Nx, Ny, Nxy in each triangle
        """
        coefficients, middles = self._shapes
        scale = np.sqrt(self.mesh.areas)[:, None, None, None]
        slope = np.einsum("epac,eci->epai", _gradients(middles), coefficients) / scale
        nx, ny, nxy = force_n_mm.T
        force = np.stack([np.stack([nx, nxy], -1), np.stack([nxy, ny], -1)], -2)
        each = np.einsum("epai,eab,epbj->eij", slope, force, slope)
        return self._assembled(-each * self.mesh.areas[:, None, None] / 3)

    def _assembled(self, each: np.ndarray) -> csc_matrix:
        rows = np.broadcast_to(self.dofs[:, :, None], each.shape)
        columns = np.broadcast_to(self.dofs[:, None, :], each.shape)
        shape = self.size, self.size
        return coo_matrix((each.ravel(), (rows.ravel(), columns.ravel())), shape).tocsc()

    def stiffened(self, chain: np.ndarray, rigidity_nmm2: float) -> csc_matrix:
        """Return a line's own bending stiffness, EI in N mm²."""
        if len(chain) < 3:
            return csc_matrix((self.size, self.size))
        closed = chain[0] == chain[-1]
        run = np.append(chain, chain[1:2]) if closed else chain
        a, b, c = run[:-2], run[1:-1], run[2:]
        points = self.mesh.points
        before = np.linalg.norm(points[b] - points[a], axis=1)
        after = np.linalg.norm(points[c] - points[b], axis=1)
        bend = np.stack([1 / before, -1 / before - 1 / after, 1 / after], -1)
        weight = rigidity_nmm2 * 2 / (before + after)
        return self._along(np.c_[a, b, c], weight, bend)

    def _along(self, at: np.ndarray, weight: np.ndarray, form: np.ndarray) -> csc_matrix:
        form = np.broadcast_to(form, at.shape)
        each = weight[:, None, None] * form[:, :, None] * form[:, None, :]
        rows = np.broadcast_to(at[:, :, None], each.shape)
        columns = np.broadcast_to(at[:, None, :], each.shape)
        shape = self.size, self.size
        return coo_matrix((each.ravel(), (rows.ravel(), columns.ravel())), shape).tocsc()


def _gradients(at: np.ndarray) -> np.ndarray:
    """Return the slopes of 1, x, y, x², xy, y² at points, (..., 2, 6)."""
    x, y = at[..., 0], at[..., 1]
    none, one = np.zeros_like(x), np.ones_like(x)
    return np.stack(
        [
            np.stack([none, one, none, 2 * x, y, none], -1),
            np.stack([none, none, one, none, x, 2 * y], -1),
        ],
        -2,
    )
