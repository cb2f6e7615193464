"""Four corners of a flat rectangle in a photo -> a true-to-scale map of its plane.

Pixel coordinates run right and down from the photo's upper left corner, and
are continuous: the middle of the first pixel is (0.5, 0.5).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from ..base.errors import Fault, SheetkitError

LEAST_PX = 8.0
"""Points nearer to each other than this can't set a scale (guess: a finger's slip)."""
CORNER_NAMES = ("lower left", "lower right", "upper right", "upper left")


class PhotoRefused(SheetkitError):
    """A photo or its measuring points can't be used; nothing was changed."""


def homography(source: ArrayLike, target: ArrayLike) -> np.ndarray:
    """Return the plane projective map that takes four points to four others.

    [x', y', w'] = H [x, y, 1]; the eight linear equations of the direct linear
    transform with h33 = 1, solved on points shifted and scaled to about 1.

    Parameters
    ----------
    source, target : (4, 2) array-like
        No three of them in a line.

    Returns
    -------
    (3, 3) ndarray
        Scaled so that the last element is 1.

    Source
    ------
    R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. 2004, section
    4.1 and 4.4.4 (normalisation); value from memory.
    """
    to_unit = _normaliser(np.asarray(source, float))
    to_unit_target = _normaliser(np.asarray(target, float))
    rows, right = [], []
    for (x, y), (u, v) in zip(apply(to_unit, source), apply(to_unit_target, target), strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    unit = np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)
    matrix = np.linalg.inv(to_unit_target) @ unit @ to_unit
    return matrix / matrix[2, 2]


def _normaliser(points: np.ndarray) -> np.ndarray:
    middle = points.mean(axis=0)
    scale = 1.0 / max(np.abs(points - middle).max(), 1e-12)
    return np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1]])


def apply(matrix: np.ndarray, points: ArrayLike) -> np.ndarray:
    """Return the (n, 2) points mapped by a homography."""
    flat = np.asarray(points, float).reshape(-1, 2)
    mapped = np.column_stack([flat, np.ones(len(flat))]) @ matrix.T
    return mapped[:, :2] / mapped[:, 2:]


def check_corners(corners: object) -> np.ndarray:
    """Return four corners as (4, 2) floats; refuse what can't be a photographed rectangle.

    They go round as one sees it: lower left, lower right, upper right, upper left.

    Raises
    ------
    PhotoRefused
        Not four points, two of them together, in a line, crossing, a corner
        that points inward, or mirrored.
    """
    quad = check_points(corners, 4, "corners")
    for one in range(4):
        for other in range(one):
            if np.hypot(*(quad[one] - quad[other])) < LEAST_PX:
                raise _refused(
                    f"{CORNER_NAMES[other]} and {CORNER_NAMES[one]} at the same place",
                    f"must be at least {LEAST_PX:g} px apart",
                    "click the four corners one after another",
                )
    step = np.roll(quad, -1, axis=0) - quad
    after = np.roll(step, -1, axis=0)
    # y runs down, so that a turn to the left as one sees it counts positive
    turns = -(step[:, 0] * after[:, 1] - step[:, 1] * after[:, 0])
    flat = np.abs(turns) < 0.02 * np.hypot(*step.T) * np.hypot(*after.T)
    left = int((turns > 0).sum())
    if left == 2:
        raise _refused(
            "sides that cross", "must go once round the rectangle", f"click {_in_words()}"
        )
    if flat.any():
        raise _refused(
            "three corners in a line", "must make four corners", "photograph it less from the side"
        )
    if left == 1 or left == 3:
        raise _refused(
            "a corner that points inward", "must bulge outward at all four", f"click {_in_words()}"
        )
    if left == 0:
        raise _refused(
            "corners in the mirrored order", "must go against the clock", f"click {_in_words()}"
        )
    return quad


FOCAL = (0.6, 3.0)
"""Focal lengths of cameras, in long sides of the picture: from a wide phone to a long lens (guess)."""
MOST_RATIO_OFF = 0.10
"""A typed ratio further off than this from what the perspective allows is asked about."""


def ratio_seen(corners: np.ndarray, size_px: Sequence[int]) -> tuple[float, float]:
    """Return the least and the greatest width/height that a rectangle seen so can have.

    The perspective tells the rectangle's ratio once the focal length is known, and, unless
    it is seen square on, the focal length too; then both are the same.  Square pixels and
    the lens's axis in the middle of the picture are taken for granted.

    Source
    ------
    Z. Zhang, L. He, Whiteboard scanning and image enhancement, Digital Signal Processing
    17 (2007) 414-432, equations 11 to 21; value from memory.
    """
    long = float(max(size_px))
    at = (np.asarray(corners, float) - np.array(size_px) / 2) / long
    m = np.column_stack([at, np.ones(4)])
    low_left, low_right, up_right, up_left = m
    across = np.cross(low_left, up_right) @ up_left / (np.cross(low_right, up_right) @ up_left)
    up = np.cross(low_left, up_right) @ low_right / (np.cross(up_left, up_right) @ low_right)
    right, top = across * low_right - low_left, up * up_left - low_left
    focals = np.geomspace(*FOCAL, 25)
    bends = right[2] * top[2]
    if abs(bends) > _BENT:
        square = -(right[0] * top[0] + right[1] * top[1]) / bends
        if FOCAL[0] ** 2 < square < FOCAL[1] ** 2:
            focals = np.sqrt(square) * np.array([1 / _FOCAL_ERROR, 1, _FOCAL_ERROR])

    def size(way: np.ndarray) -> np.ndarray:
        return np.hypot(*way[:2]) ** 2 / focals**2 + way[2] ** 2

    ratio = np.sqrt(size(right) / size(top))
    return float(ratio.min()), float(ratio.max())


_BENT = 0.01
"""Less perspective than this both ways doesn't tell the focal length (guess)."""
_FOCAL_ERROR = 1.25


def _in_words() -> str:
    return ", ".join(CORNER_NAMES)


def _refused(value: str, limit: str, remedy: str) -> PhotoRefused:
    return PhotoRefused(Fault("photo corners", value, limit, remedy))


def check_points(points: object, number: int, field: str) -> np.ndarray:
    """Return `number` finite points as an (n, 2) array; refuse anything else."""
    try:
        array = np.asarray(points, float)
    except (TypeError, ValueError):
        array = np.empty(0)
    if array.shape != (number, 2) or not (np.abs(array) < 1e6).all():
        raise PhotoRefused(
            Fault(f"photo {field}", "other points", f"must be {number} points", "click them again")
        )
    return array


def scale_error(corners: np.ndarray, width: float, height: float, click_px: float) -> float:
    """Return the relative standard error of a length measured inside the rectangle.

    Each corner is moved by the click error in x and in y; the changes of short
    lengths all over the rectangle are added in squares, and the worst counts.

    Parameters
    ----------
    corners : (4, 2) array, px
    width, height : float
        The rectangle's true size, mm.
    click_px : float
        Standard error of a click along each axis, px.

    Returns
    -------
    float
        Relative, 0.01 is 1 %.
    """
    rectangle = np.array([[0, 0], [width, 0], [width, height], [0, height]], float)
    exact = homography(corners, rectangle)
    grid = np.linspace(0, 1, 5)
    across = np.array([[x * width, y * height] for y in grid for x in grid])
    in_photo = apply(np.linalg.inv(exact), across)

    def lengths(matrix: np.ndarray) -> np.ndarray:
        mapped = apply(matrix, in_photo).reshape(5, 5, 2)
        return np.concatenate(
            [np.hypot(*np.moveaxis(np.diff(mapped, axis=axis), -1, 0)).ravel() for axis in (0, 1)]
        )

    true, total = lengths(exact), 0.0
    for corner in range(4):
        for axis in range(2):
            moved = corners.copy()
            moved[corner, axis] += click_px
            total = total + (lengths(homography(moved, rectangle)) / true - 1) ** 2
    return float(np.sqrt(np.max(total)))


def extent(to_mm: np.ndarray, size_px: tuple[int, int], width: float, height: float) -> tuple:
    """Return (x0, y0, x1, y1) mm of the plane that is worth showing of a photo.

    The whole photo, but no further than twice the rectangle's size beyond it,
    and nothing near the horizon, where a pixel covers too much.
    """
    w, h = size_px
    edge = np.linspace(0, 1, 41)
    px = np.array([[x * w, y * h] for y in edge for x in edge])
    depth = np.column_stack([px, np.ones(len(px))]) @ to_mm[2]
    middle = np.append(apply(np.linalg.inv(to_mm), [[width / 2, height / 2]])[0], 1.0) @ to_mm[2]
    mm = apply(to_mm, px[depth / middle > 0.3])
    low = np.maximum(mm.min(axis=0), [-2 * width, -2 * height])
    high = np.minimum(mm.max(axis=0), [3 * width, 3 * height])
    low, high = np.minimum(low, 0), np.maximum(high, [width, height])
    return (*low, *high)
