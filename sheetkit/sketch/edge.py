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
"""So often a skin is drawn tight, 1 px each time."""
HALO_PX = 18
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
    values, light = lab[part], blown[part]
    across, mask = _settled(values, inside[part], level)
    blind = _highlight(light, values[..., 0], mask)
    unseen = ~_seen(across) | blind
    halo = scipy.ndimage.binary_dilation(light, iterations=HALO_PX)
    led, unknown = _led_across(mask, halo, unseen)
    if unknown.any():
        across, mask = _settled(values, led > 0.5, level, np.where(unknown, 1 - led, np.nan))
        unseen = ~_seen(across) | blind | unknown
    hidden = unseen & halo
    near = scipy.ndimage.binary_dilation(mask, iterations=2)  # beyond is another region's
    across = np.where(near, across + 0.5 - level, 1)
    whole = []
    for found, fill in ((across, 1.0), (mask, False), (hidden, False), (unseen & ~hidden, False)):
        whole.append(np.full(inside.shape, fill))
        whole[-1][part] = found
    return Edge(*whole)


def _settled(
    lab: np.ndarray, mask: np.ndarray, level: float, given: np.ndarray | None = None
) -> tuple[np.ndarray, np.ndarray]:
    """Return how far across its edge every pixel lies, and the region that settles there.

    Where `given` is a number that is how far.
    """
    for _ in range(_ROUNDS):
        across = _between(lab, mask)
        if given is not None:
            across = np.where(np.isnan(given), across, given)
        here = scipy.ndimage.binary_opening(_most_of(mask, across < level), iterations=2)
        if not here.any():
            break
        was, mask = mask, scipy.ndimage.binary_fill_holes(_most_of(mask, here))
        if (was != mask).sum() <= _SETTLED * mask.sum():
            break
    return across, mask


def _highlight(light: np.ndarray, lightness: np.ndarray, mask: np.ndarray) -> np.ndarray:
    """Return where a blown spot smaller than the region ends, and nothing beside it is bright.

    A sharp edge there is the light's.  White paint beside the rust is larger, and under a
    broad glare the rust there is much lighter than elsewhere: its edge is its own.
    """
    light = scipy.ndimage.gaussian_filter(light.astype(np.float32), 1.5) > 0.5
    labels, count = scipy.ndimage.label(light)
    if not count:
        return light
    small = np.bincount(labels.ravel()) < mask.sum()
    small[0] = False
    own = float(np.quantile(lightness[mask], 0.1))
    bright = scipy.ndimage.binary_opening(
        (lightness > (own + 100) / 2) & ~light, iterations=GAP_PX + 1
    )
    beside = [
        scipy.ndimage.binary_dilation(of, iterations=4 * GAP_PX) for of in (small[labels], bright)
    ]
    return beside[0] & ~beside[1]


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


def _led_across(
    mask: np.ndarray, halo: np.ndarray, unseen: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return a region led across the places where light hides its edge, 1 in to 0 out; and those."""
    rim = scipy.ndimage.binary_dilation(mask) & ~scipy.ndimage.binary_erosion(mask)
    labels, _ = scipy.ndimage.label(halo)
    unknown = np.isin(labels, np.setdiff1d(labels[rim & unseen], [0]))
    # what lies beyond an edge that is seen is known to be outside
    unknown &= ~scipy.ndimage.binary_dilation(rim & ~unseen & ~mask, iterations=2 * GAP_PX) | mask
    if not unknown.any():
        return mask.astype(np.float32), unknown
    nearest = scipy.ndimage.distance_transform_edt(
        unknown, return_distances=False, return_indices=True
    )
    led = known = mask[tuple(nearest)].astype(np.float32)
    for _ in range(_LED):  # as a skin would span it
        led = np.where(unknown, scipy.ndimage.uniform_filter(led, GAP_PX), known)
    return led, unknown


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
