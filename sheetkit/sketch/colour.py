"""How unlike each colour of a photo is to the one clicked: as it is seen, and whatever the light does.

Glare lays white over a colour, shade takes a share of it away.  Glare leaves the differences
between red, green and blue as they are, shade their ratios to the lightness; rust under
either is known by what it still has of its own tint.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when they are used

from .photo_scale import Photo

LOOKED_AT_PX = 1000
"""The longest side of the picture in which colours are compared: finer shows a rust's grain only."""
SEED_PX = 2
"""Half the side of the spot whose colour is taken, so that one grain of dirt isn't it."""
BLOWN = 250
"""From this value of 255 on in red, green and blue nothing is told but that light was there."""
_TINT_PX = 2.0
"""A tint is noisier than a lightness: it is looked at over so many pixels."""
_LEAST_TINT = 4.5
"""Less tint than this, of 255, is noise or grey (guess)."""
_COLOURED = 0.3
"""A panel with more tint than this of its own turns grey under glare, which may be the rust's side."""
_NOISE = 8.0
"""Of 255: a lightness near it says little of the ratio to it (guess)."""
_HALF = 0.7
"""The share of its tint that may be missing at first: rust in a shadow's edge still has it (guess)."""
_TINTED = 20.0
"""A tint's strength in CIE units, as which its whole loss is counted: faded paint beside rust (guess)."""
_VALUES = np.arange(256, dtype=np.float32) / 255
_LINEAR = np.where(_VALUES <= 0.04045, _VALUES / 12.92, ((_VALUES + 0.055) / 1.055) ** 2.4).astype(
    np.float32
)
"""How much light each of the 256 values of a picture stands for."""
_TO_XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]], np.float32
) / np.array([[0.95047], [1.0], [1.08883]], np.float32)


def lab(rgb: np.ndarray) -> np.ndarray:
    """Return L*, a*, b* of (..., 3) sRGB values from 0 to 255, white D65.

    Source
    ------
    IEC 61966-2-1 (sRGB); CIE 15:2004 / ISO/CIE 11664-4 (L*a*b*), value from memory.
    """
    xyz = _LINEAR[np.asarray(rgb).astype(np.uint8)] @ _TO_XYZ.T
    root = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = np.moveaxis(root, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


@dataclass(frozen=True)
class Unlike:
    """How unlike every pixel is to the one clicked, CIE units, and how far to look at first."""

    by: np.ndarray
    far: float | None = None


class Picture:
    """A photo's colours as they are compared, at most `LOOKED_AT_PX` long."""

    def __init__(self, photo: Photo):
        from PIL import Image

        picture = Image.open(io.BytesIO(photo.shown)).convert("RGB")
        self.every = max(1.0, max(picture.size) / LOOKED_AT_PX)
        width, height = (max(1, round(side / self.every)) for side in picture.size)
        rgb = np.asarray(picture.resize((width, height), Image.Resampling.BOX))
        self.lab = scipy.ndimage.gaussian_filter(lab(rgb), (1, 1, 0))
        self.blown = rgb.min(axis=-1) >= BLOWN
        calm = scipy.ndimage.gaussian_filter(rgb.astype(np.float32), (_TINT_PX, _TINT_PX, 0))
        self._tints = [_tint(calm), _tint(255 * (calm / 255) ** 2.2)]
        self._panels = [_common(tint, grey) for tint, grey in self._tints]

    def colour(self, seed: tuple[int, int]) -> np.ndarray:
        """Return L*, a*, b* of a spot."""
        return _median(self.lab, seed)

    def as_seen(self, seed: tuple[int, int]) -> Unlike:
        """Compare colours as the eye does, the light's share in them too."""
        return Unlike(np.sqrt(((self.lab - self.colour(seed)) ** 2).sum(axis=-1)))

    def whatever_light(self, seed: tuple[int, int]) -> Unlike | None:
        """Compare what is left of the spot's own tint under glare or shade; None where it has none."""
        tint, grey = self._tints[0]
        share = tint / (grey + _NOISE)[..., None]
        if np.hypot(*_median(tint, seed)) < _LEAST_TINT:
            return None
        own, panel = _median(share, seed), self._panels[0]
        # the panel's tint is taken off where it would pass for the rust's; where not, the panel
        # would pass under glare, taken off
        passes = float(panel @ own > 0)
        away = _away(share - passes * panel, own - passes * panel)
        if passes * np.hypot(*panel) < _COLOURED:
            # in the picture's own values and in amounts of light
            for (tint, grey), panel in zip(self._tints, self._panels, strict=True):
                veiled = tint - passes * panel * grey[..., None]
                away = np.minimum(away, _away(veiled, _median(veiled, seed)))
        return Unlike(_TINTED * away, _TINTED * _HALF)


def _tint(rgb: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the differences of red, green and blue, which white light leaves as they are; the mean."""
    red, green, blue = np.moveaxis(rgb, -1, 0)
    return np.stack([red - green, (red + green) / 2 - blue], axis=-1), rgb.mean(axis=-1)


def _common(tint: np.ndarray, grey: np.ndarray) -> np.ndarray:
    """Return the tint that most of a photo has, as a share of its lightness."""
    few = np.s_[::8, ::8]
    share = tint[few] / (grey[few] + 1)[..., None]
    return np.median(share.reshape(-1, 2), axis=0)


def _median(of: np.ndarray, seed: tuple[int, int]) -> np.ndarray:
    row, column = seed
    spot = of[
        max(row - SEED_PX, 0) : row + SEED_PX + 1, max(column - SEED_PX, 0) : column + SEED_PX + 1
    ]
    return np.median(spot.reshape(-1, of.shape[-1]), axis=0)


def _away(tint: np.ndarray, own: np.ndarray) -> np.ndarray:
    """Return what a tint lacks of one's own, as a share of it; more of the same is no lack."""
    strength = max(float(np.hypot(*own)), 1e-6)
    along, across = tint @ (own / strength**2), tint @ (own[::-1] * (-1, 1) / strength**2)
    more = np.maximum(along, 1)
    return np.hypot(along / more - 1, across / more)
