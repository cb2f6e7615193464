"""A region's rough mask -> its edge, halfway between the colours on both sides of each place.

Each side's colour is taken from nearby only, so that it follows the light; and of
lightness and tint that counts more which is steadier on both sides.  That is Fisher's
linear discriminant (R. A. Fisher, Annals of Eugenics 7 (1936) 179-188, value from memory),
place by place, taking the three CIE values as independent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when they are used

NEAR_PX = 5.0
"""The sides are looked at over so many pixels (standard deviation of the window)."""
GAP_PX = 3
"""Nearer to the edge than this a pixel is of neither side: the picture is blurred there."""
_NOISE = 1.5
"""CIE units that a colour may be off at any place (guess)."""
_TOLD_APART = 0.5
"""The sides' distance in standard deviations, squared, from which an edge is seen (guess)."""
_SHARP = 0.11
"""So much of the way across in one pixel is an edge; light that falls off takes some 14 (guess)."""
_ROUNDS, _SETTLED = 8, 0.002
"""Rounds at most, and the share of a region that may still change when it has settled."""
_LED = 150
HALO_PX = 12
"""Round a blown place light fades out the colours over so many pixels."""


@dataclass(frozen=True)
class Edge:
    """Where a region ends: 0 well inside, 1 well outside, and where that is only supposed.

    `hidden` by light that blinds the photo, `faint` where both sides are too alike.
    """

    across: np.ndarray
    inside: np.ndarray
    hidden: np.ndarray
    faint: np.ndarray


def edge_of(lab: np.ndarray, blown: np.ndarray, inside: np.ndarray, level: float = 0.5) -> Edge:
    """Return the edge of a region that is roughly `inside`.

    Parameters
    ----------
    lab : (rows, columns, 3)
    blown : (rows, columns) of bool
        Pixels that tell nothing but light.  Where the region runs into them and their halo
        without a sharp edge, its edge is led across them.
    inside : (rows, columns) of bool
        Right to some 10 pixels.
    level : float
        0.5 is halfway between the sides; more lets the region reach further.
    """
    part = _round(inside, 6 * NEAR_PX)
    values, light = lab[part], scipy.ndimage.binary_dilation(blown[part], iterations=HALO_PX)
    across, mask = _settled(values, inside[part], level)
    unseen = ~_seen(across)
    bridged = _bridged(mask, light, unseen)
    if (bridged != mask).any():
        across, mask = _settled(values, bridged, level)
        unseen = ~_seen(across)
    hidden = unseen & light
    near = scipy.ndimage.binary_dilation(mask, iterations=2)  # beyond is another region's
    across = np.where(near, across + 0.5 - level, 1)
    whole = []
    for found, fill in ((across, 1.0), (mask, False), (hidden, False), (unseen & ~hidden, False)):
        whole.append(np.full(inside.shape, fill))
        whole[-1][part] = found
    return Edge(*whole)


def _settled(lab: np.ndarray, mask: np.ndarray, level: float) -> tuple[np.ndarray, np.ndarray]:
    """Return how far across its edge every pixel lies, and the region that settles there."""
    for _ in range(_ROUNDS):
        across = _between(lab, mask)
        here = scipy.ndimage.binary_opening(_most_of(mask, across < level), iterations=2)
        if not here.any():
            break
        was, mask = mask, scipy.ndimage.binary_fill_holes(_most_of(mask, here))
        if (was != mask).sum() <= _SETTLED * mask.sum():
            break
    return across, mask


def _between(lab: np.ndarray, mask: np.ndarray) -> np.ndarray:
    """Return where each pixel's colour lies between those of both sides near it: 0 in, 1 out."""

    def near(values: np.ndarray) -> np.ndarray:
        return scipy.ndimage.gaussian_filter(values, NEAR_PX, truncate=3.0)

    within = scipy.ndimage.binary_erosion(mask, iterations=GAP_PX).astype(np.float32)
    beyond = (~scipy.ndimage.binary_dilation(mask, iterations=GAP_PX)).astype(np.float32)
    much_in, much_out = (np.maximum(near(side), 1e-4) for side in (within, beyond))
    along, apart = np.zeros(mask.shape, np.float32), np.full(mask.shape, 1e-6, np.float32)
    for value in np.moveaxis(lab, -1, 0):
        inner, outer = near(value * within) / much_in, near(value * beyond) / much_out
        off = (value - inner) ** 2 * within + (value - outer) ** 2 * beyond
        spread = near(off) / (much_in + much_out) + _NOISE**2
        step = outer - inner
        along += (value - inner) * step / spread
        apart += step * step / spread
    told = (much_in > 0.003) & (much_out > 0.003) & (apart > _TOLD_APART)
    return np.where(told, np.clip(along / apart, -0.5, 1.5), np.where(mask, 0, 1))


def _seen(across: np.ndarray) -> np.ndarray:
    """Return where the colour changes as sharply as at an edge, not as light falls off."""
    return scipy.ndimage.gaussian_gradient_magnitude(across, GAP_PX - 1.0) > _SHARP


def _bridged(mask: np.ndarray, light: np.ndarray, unseen: np.ndarray) -> np.ndarray:
    """Return a region with the places it runs into where light hides the edge led across."""
    rim = scipy.ndimage.binary_dilation(mask, iterations=GAP_PX) & ~scipy.ndimage.binary_erosion(
        mask
    )
    open_ = scipy.ndimage.binary_dilation(rim & unseen, iterations=GAP_PX)
    labels, _ = scipy.ndimage.label(light)
    unknown = np.isin(labels, np.setdiff1d(labels[open_], [0]))
    # what lies beyond an edge that is seen is known to be outside
    beyond = scipy.ndimage.binary_dilation(rim & ~unseen & ~mask, iterations=GAP_PX) & ~mask
    unknown &= ~beyond
    if not unknown.any():
        return mask
    nearest = scipy.ndimage.distance_transform_edt(
        unknown, return_distances=False, return_indices=True
    )
    share = known = mask[tuple(nearest)].astype(np.float32)
    for _ in range(_LED):  # as a skin would span it
        share = np.where(unknown, scipy.ndimage.uniform_filter(share, GAP_PX), known)
    return scipy.ndimage.binary_fill_holes(share > 0.5)


def _most_of(mask: np.ndarray, found: np.ndarray) -> np.ndarray:
    """Return the part of what was found that covers most of the mask."""
    labels, count = scipy.ndimage.label(found)
    if not count:
        return found
    covers = np.bincount(labels[mask & found], minlength=2)
    return labels == covers[1:].argmax() + 1


def _round(mask: np.ndarray, margin: float) -> tuple[slice, slice]:
    """Return the rows and columns of a mask and round it."""
    slices = []
    for axis in (1, 0):
        at = np.flatnonzero(mask.any(axis=axis))
        slices.append(slice(max(int(at[0] - margin), 0), int(at[-1] + margin) + 1))
    return slices[0], slices[1]
