"""A click on the rust in a photo -> the region of like colour round it, as a ring to correct.

Colours are compared as the eye does (CIE 1976 L*a*b*); the region stops where the colour
changes sharply, so that it doesn't run out through a shade that happens to be alike.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when they are used
import shapely

from ..base.errors import Fault, shown
from .photo_scale import Photo
from .rectify import PhotoRefused
from .trace import ring_of

LOOKED_AT_PX = 1000
"""The longest side of the picture in which colours are compared: finer shows a rust's grain only."""
FAR = (2.0, 80.0)
"""How unlike a colour may be, CIE units: 2.3 is just seen; black to white is 100."""
SMOOTH_MM = (0.0, 20.0)
SEED_PX = 2
"""Half the side of the spot whose colour is taken, so that one grain of dirt isn't it."""
_EDGE = 0.5
"""A change of so much of `far` from one pixel to the next bars the way (guess)."""
_DARK, _GREY = 28.0, 14.0
"""Darker and greyer than this one looks through a hole (guess)."""


def lab(rgb: np.ndarray) -> np.ndarray:
    """Return L*, a*, b* of (..., 3) sRGB values from 0 to 255, white D65.

    Source
    ------
    IEC 61966-2-1 (sRGB); CIE 15:2004 / ISO/CIE 11664-4 (L*a*b*), value from memory.
    """
    value = np.asarray(rgb, np.float32) / 255
    light = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    xyz = light @ to_xyz.T / np.array([0.95047, 1.0, 1.08883])
    root = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = np.moveaxis(root, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


@dataclass(frozen=True)
class Proposal:
    """A ring to accept or correct: mm on the drawing, what it seems to be, how far it was grown."""

    points: tuple[tuple[float, float], ...]
    kind: str
    far: float
    smooth_mm: float


class Colours:
    """A photo's colours, made ready once for many clicks."""

    def __init__(self, photo: Photo):
        from PIL import Image

        picture = Image.open(io.BytesIO(photo.shown)).convert("RGB")
        self._every = max(1.0, max(picture.size) / LOOKED_AT_PX)
        width, height = (max(1, round(side / self._every)) for side in picture.size)
        small = picture.resize((width, height), Image.Resampling.BOX)
        self._photo = photo
        self._lab = scipy.ndimage.gaussian_filter(lab(np.asarray(small)), (1, 1, 0))

    def grown(
        self, at_mm: Sequence[float], far: float | None = None, smooth_mm: float = 2.0
    ) -> Proposal:
        """Return the region of like colour round a point of the drawing.

        Parameters
        ----------
        at_mm : (x, y)
            On the photo.
        far : float, optional
            How unlike a colour may be, `FAR`; without it where the region's edge is sharpest.
        smooth_mm : float
            Inlets and tongues narrower than this are left out, `SMOOTH_MM`.

        Raises
        ------
        PhotoRefused
            Off the photo, or a number out of range.
        EditRefused
            Nothing there that is large enough.
        """
        row, column = self._pixel(at_mm)
        far = None if far is None else _within("how far", far, FAR)
        smooth_mm = _within("smoothness", smooth_mm, SMOOTH_MM)
        spot = self._lab[
            max(row - SEED_PX, 0) : row + SEED_PX + 1,
            max(column - SEED_PX, 0) : column + SEED_PX + 1,
        ]
        colour = np.median(spot.reshape(-1, 3), axis=0)
        unlike = np.sqrt(((self._lab - colour) ** 2).sum(axis=-1))
        steep = np.hypot(*np.gradient(unlike))
        if far is None:
            far = _sharpest(unlike, steep, (row, column))
        inside = _region(unlike, steep, (row, column), far)
        ring = ring_of(self._smoothed(_outline(np.where(inside, unlike, 2 * far), far), smooth_mm))
        points = tuple((x, y) for x, y in ring)
        return Proposal(points, _kind(colour), round(far, 1), smooth_mm)

    def _pixel(self, at_mm: Sequence[float]) -> tuple[int, int]:
        photo, (rows, columns) = self._photo, self._lab.shape[:2]
        try:
            x, y = (float(value) for value in at_mm)
        except (TypeError, ValueError):
            x = y = float("nan")
        column = (x - photo.origin_mm[0]) / photo.mm_per_px / self._every
        row = (photo.size_px[1] - (y - photo.origin_mm[1]) / photo.mm_per_px) / self._every
        if not (0 <= column < columns and 0 <= row < rows):
            raise PhotoRefused(
                Fault("photo", "a point off it", "must be on the photo", "click on the rust")
            )
        return int(row), int(column)

    def _smoothed(self, outline: shapely.Geometry, smooth_mm: float) -> shapely.Geometry:
        """Return an outline in pixels as mm of the drawing, inlets and tongues left out."""
        photo = self._photo

        def to_mm(px: np.ndarray) -> np.ndarray:
            return photo.to_mm(px * self._every)

        shape = shapely.make_valid(shapely.transform(outline, to_mm))
        half = smooth_mm / 2
        return shape.buffer(half).buffer(-2 * half).buffer(half) if half else shape


def _within(field: str, value: object, limits: tuple[float, float]) -> float:
    if isinstance(value, int | float) and limits[0] <= value <= limits[1]:
        return float(value)
    raise PhotoRefused(
        Fault(f"photo {field}", shown(value), f"must be {limits[0]:g} to {limits[1]:g}", "move the slider")
    )  # fmt: skip


def _region(unlike: np.ndarray, steep: np.ndarray, seed: tuple[int, int], far: float) -> np.ndarray:
    """Return the pixels of like colour that can be reached from the seed without crossing an edge."""
    alike = unlike < far
    open_way = alike & (steep < _EDGE * far)
    open_way[seed] = True
    labels, _ = scipy.ndimage.label(open_way)
    core = labels == labels[seed]
    rim = scipy.ndimage.binary_dilation(core, iterations=3)  # the slope of its own edge is its own
    return scipy.ndimage.binary_fill_holes(rim & alike | core)


def _sharpest(unlike: np.ndarray, steep: np.ndarray, seed: tuple[int, int]) -> float:
    """Return half the step in colour over the region's sharpest edge: there a blurred edge lies."""
    best, found = -1.0, None
    for far in np.geomspace(6, 50, 14):
        inside = _region(unlike, steep, seed, far)
        edge = inside & ~scipy.ndimage.binary_erosion(inside)
        if inside.sum() < 12 or inside.mean() > 0.6 or not edge.any():
            continue
        sharp = float(steep[edge].mean())
        if sharp > best:
            best, found = sharp, inside
    if found is None:
        return FAR[0]
    beyond = scipy.ndimage.binary_dilation(found, iterations=7)
    beyond &= ~scipy.ndimage.binary_dilation(found, iterations=3)
    return float(np.clip(np.median(unlike[beyond]) / 2, *FAR)) if beyond.any() else FAR[0]


def _outline(unlike: np.ndarray, far: float) -> shapely.Geometry:
    """Return where the unlikeness passes `far`, in continuous pixels."""
    from contourpy import contour_generator

    rows, columns = unlike.shape
    padded = np.pad(unlike, 1, constant_values=2 * far)
    lines = contour_generator(
        np.arange(columns + 2) - 0.5, np.arange(rows + 2) - 0.5, padded
    ).lines(far)
    rings = [shapely.Polygon(line) for line in lines if len(line) > 3]
    return max(rings, key=lambda ring: ring.area, default=shapely.Polygon())


def _kind(colour: np.ndarray) -> str:
    """Say what a colour seems to be: black is a hole one looks through, else the sheet is pitted."""
    light, chroma = float(colour[0]), float(np.hypot(colour[1], colour[2]))
    return "rust_holed" if light < _DARK and chroma < _GREY else "rust_pitted"
