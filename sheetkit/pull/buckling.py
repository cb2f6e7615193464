"""At how many times a stress a plate buckles, and into what shape."""

from __future__ import annotations

import numpy as np
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import ArpackNoConvergence, LinearOperator, eigsh, splu

MOST_ROUNDS = 200
"""A sheet that no stress buckles keeps the search for its first shape going for ever."""


def first_buckling(
    stiffness: csc_matrix, loss: csc_matrix, free: np.ndarray, *, tolerance: float = 1e-4
) -> tuple[float, np.ndarray]:
    """Return by what the load may grow until the plate buckles, and its shape, the largest 1.

    Parameters
    ----------
    stiffness, loss : over all degrees of freedom; loss is what the load takes off the stiffness
    free : the degrees of freedom that nothing holds

    Returns infinity and zeros where the load buckles it in no way.
    """
    whole = np.zeros(stiffness.shape[0])
    if not loss.nnz or not np.abs(loss.data).max():
        return np.inf, whole
    kept = stiffness[free][:, free].tocsc()
    taken = loss[free][:, free].tocsc()
    factors = splu(kept, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0,
                   options={"SymmetricMode": True})  # fmt: skip
    inverse = LinearOperator(kept.shape, matvec=factors.solve, dtype=float)
    start = np.random.default_rng(0).standard_normal(len(free))
    try:
        values, shapes = eigsh(
            taken,
            k=1,
            M=kept,
            Minv=inverse,
            which="LA",
            v0=start,
            tol=tolerance,
            maxiter=MOST_ROUNDS,
        )
        value, shape = float(values[0]), shapes[:, 0]
    except ArpackNoConvergence:
        value, shape = 0.0, np.zeros(len(free))
    if value <= 0:
        return np.inf, whole
    whole[free] = shape
    return 1 / value, whole
