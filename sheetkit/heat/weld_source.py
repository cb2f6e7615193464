"""A weld as a source of heat: its path, energy and seconds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..base.errors import check, refuse


@dataclass(frozen=True)
class WeldRun:
    """One start of the arc as heat: where, how much, how long.

    path : (n, 2) array, mm, start to end (a plug: one point, twice)
    energy_j : net heat into the sheet, J
    duration_s : arc time, s
    patch : the patch it belongs to
    """

    path: np.ndarray
    energy_j: float
    duration_s: float
    patch: int = 0

    def __post_init__(self):
        path = np.asarray(self.path, float)
        if path.ndim != 2 or path.shape[1] != 2 or len(path) < 2 or not np.isfinite(path).all():
            refuse(
                "WeldRun.path", np.shape(self.path), "must be (n, 2) finite mm, n >= 2", "fix it"
            )
        object.__setattr__(self, "path", path)
        check("WeldRun.energy_j", self.energy_j, 0, 1e6, "J")
        check("WeldRun.duration_s", self.duration_s, 0.05, 3600, "s")

    @property
    def length_mm(self) -> float:
        """Length of the path, mm."""
        return float(np.hypot(*np.diff(self.path, axis=0).T).sum())

    def at(self, share: np.ndarray) -> np.ndarray:
        """Return points at shares 0..1 of the path, (n, 2) mm."""
        along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(self.path, axis=0).T))])
        if along[-1] == 0:
            return np.repeat(self.path[:1], len(share), axis=0)
        wanted = np.asarray(share) * along[-1]
        return np.stack([np.interp(wanted, along, self.path[:, n]) for n in (0, 1)], axis=1)
