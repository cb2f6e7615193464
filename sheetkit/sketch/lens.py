"""How a lens bends a picture: a point at r half diagonals from the middle is shown at r (1 + k r^2)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np


def unit(points_px: np.ndarray, size_px: Sequence[int]) -> tuple[np.ndarray, np.ndarray, float]:
    """Return points in half diagonals from the picture's middle; the middle and that half, px."""
    middle, half = np.array(size_px) / 2, float(np.hypot(size_px[0], size_px[1])) / 2
    return (np.asarray(points_px, float) - middle) / half, middle, half


def bent(points_px: np.ndarray, lens: float, size_px: Sequence[int]) -> np.ndarray:
    """Return straight points as the lens shows them, px."""
    at, middle, half = unit(points_px, size_px)
    return middle + half * at * (1 + lens * (at**2).sum(axis=-1, keepdims=True))


def straight(points_px: np.ndarray, lens: float, size_px: Sequence[int]) -> np.ndarray:
    """Return points of the photo as if the lens did not bend, px (Newton, to 1e-9)."""
    at, middle, half = unit(points_px, size_px)
    shown = np.sqrt((at**2).sum(axis=-1, keepdims=True))
    true = shown.copy()
    for _ in range(20):
        true -= (true * (1 + lens * true**2) - shown) / (1 + 3 * lens * true**2)
    return middle + half * at * np.where(shown > 0, true / np.where(shown > 0, shown, 1), 1)
