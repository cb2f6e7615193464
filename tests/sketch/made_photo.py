"""Photos of a made-up panel by a camera whose pose, lens and light are known.

The camera is a pinhole with a lens of its own kind (radial terms of the ray's tangent, as
in textbooks of photogrammetry), so that nothing here is the model that reads the photo.
Lengths in mm on the panel, x to the right, y up; pixels as in `sheetkit.sketch.rectify`.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field

import numpy as np
import shapely
from PIL import Image
from scipy import ndimage

from sheetkit.base.paper_sizes import PAPERS
from sheetkit.sketch.lens import straight
from sheetkit.sketch.measuring_card import MARK_MM, Card, cells
from sheetkit.sketch.photo_scale import Photo
from sheetkit.sketch.rectify import apply


@dataclass(frozen=True)
class Camera:
    """`look` is the panel's point in the middle, `away` how far off the camera is, mm.

    `tilt`, `side` and `roll` in degrees; `focal` in widths of the picture; `lens` the terms
    in the second and fourth power of the ray's tangent.
    """

    size: tuple[int, int] = (2000, 1500)
    look: tuple[float, float] = (300.0, 200.0)
    away: float = 900.0
    tilt: float = 25.0
    side: float = 10.0
    roll: float = 3.0
    focal: float = 0.75
    lens: tuple[float, float] = (0.0, 0.0)

    def _axes(self) -> np.ndarray:
        tilt, side, roll = np.radians([self.tilt, self.side, self.roll])
        rx = np.array(
            [[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]]
        )
        ry = np.array(
            [[np.cos(side), 0, np.sin(side)], [0, 1, 0], [-np.sin(side), 0, np.cos(side)]]
        )
        rz = np.array(
            [[np.cos(roll), -np.sin(roll), 0], [np.sin(roll), np.cos(roll), 0], [0, 0, 1]]
        )
        return rz @ ry @ rx

    def to_px(self, points_mm: np.ndarray) -> np.ndarray:
        """Return where points of the panel appear."""
        points = np.asarray(points_mm, float) - self.look
        there = np.column_stack([points, np.zeros(len(points))]) @ self._axes().T
        x, y = there[:, 0] / (self.away - there[:, 2]), -there[:, 1] / (self.away - there[:, 2])
        square = x**2 + y**2
        bend = 1 + self.lens[0] * square + self.lens[1] * square**2
        scale = self.focal * self.size[0]
        return np.column_stack([x * bend, y * bend]) * scale + np.array(self.size) / 2

    def to_mm(self, points_px: np.ndarray) -> np.ndarray:
        """Return the panel's point each pixel shows."""
        shown = (np.asarray(points_px, float) - np.array(self.size) / 2) / (
            self.focal * self.size[0]
        )
        flat = shown.copy()
        for _ in range(40):
            square = (flat**2).sum(axis=1, keepdims=True)
            flat = shown / (1 + self.lens[0] * square + self.lens[1] * square**2)
        rays = np.column_stack([flat[:, 0], -flat[:, 1], -np.ones(len(flat))]) @ self._axes()
        eye = np.array([0, 0, self.away]) @ self._axes()
        return (eye + rays * (-eye[2] / rays[:, 2])[:, None])[:, :2] + self.look


@dataclass(frozen=True)
class Lying:
    """A card on the panel: where its lower left corner is, its turn in degrees, its printed scale."""

    card: Card
    at: tuple[float, float] = (20.0, 20.0)
    turn: float = 0.0
    scale: float = 1.0

    def on_card(self, points_mm: np.ndarray) -> np.ndarray:
        turn = np.radians(self.turn)
        back = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        return (np.asarray(points_mm) - self.at) @ back.T / self.scale


@dataclass(frozen=True)
class Scene:
    """A panel with cards and rust on it, and how it is lit."""

    lying: tuple[Lying, ...]
    rust: tuple[shapely.Polygon, ...] = ()
    light: str = "even"
    shadow: bool = False
    glare: bool = False
    noise: float = 3.0
    seed: int = 0
    hidden: tuple[shapely.Polygon, ...] = field(default=())

    def photo(self, camera: Camera, *, quality: int = 90) -> bytes:
        """Return the picture as a phone would save it."""
        random = np.random.default_rng(self.seed)
        width, height = camera.size
        fine = 2
        mm = self._places(camera, fine)
        colour = np.tile(np.array([118.0, 124.0, 132.0]), (len(mm), 1))
        for rust in self.rust:
            colour[shapely.contains_xy(rust, mm)] = (72, 44, 30)
        for lying in self.lying:
            _lay(lying, mm, colour)
        for hand in self.hidden:
            colour[shapely.contains_xy(hand, mm)] = (176, 134, 112)
        picture = colour.reshape(fine * height, fine * width, 3)
        picture = picture.reshape(height, fine, width, fine, 3).mean(axis=(1, 3))
        picture *= self._light(width, height)[:, :, None]
        if self.glare:
            y, x = np.mgrid[0:height, 0:width]
            spot = np.exp(
                -(
                    ((x - 0.62 * width) / 0.09 / width) ** 2
                    + ((y - 0.4 * height) / 0.09 / height) ** 2
                )
            )
            picture += 210 * spot[:, :, None]
        picture = ndimage.gaussian_filter(picture, (0.7, 0.7, 0))
        picture += random.normal(0, self.noise, picture.shape)
        buffer = io.BytesIO()
        Image.fromarray(picture.clip(0, 255).astype(np.uint8)).save(buffer, "JPEG", quality=quality)
        return buffer.getvalue()

    @staticmethod
    def _places(camera: Camera, fine: int) -> np.ndarray:
        """Return the panel's point under each `fine`-th of a pixel, between points 4 px apart."""
        width, height = camera.size
        x, y = np.arange(0, width + 4, 4.0), np.arange(0, height + 4, 4.0)
        columns, rows = np.meshgrid(x, y)
        known = camera.to_mm(np.column_stack([columns.ravel(), rows.ravel()]))
        known = known.reshape(len(y), len(x), 2)
        wanted = np.meshgrid(
            (np.arange(fine * height) + 0.5) / fine / 4,
            (np.arange(fine * width) + 0.5) / fine / 4,
            indexing="ij",
        )
        axes = [ndimage.map_coordinates(known[..., axis], wanted, order=1) for axis in (0, 1)]
        return np.stack(axes, axis=-1).reshape(-1, 2)

    def _light(self, width: int, height: int) -> np.ndarray:
        y, x = np.mgrid[0:height, 0:width] / np.array([height, width]).reshape(2, 1, 1)
        light = {
            "even": np.ones_like(x),
            "from the side": 0.35 + 0.75 * x,
            "dim": 0.38 + 0.1 * y,
        }[self.light]
        if self.shadow:
            light = light * np.where(x + 0.35 * y > 0.55, 0.45, 1.0)
        return light


@dataclass(frozen=True)
class Seen:
    """A photo made true by its card, and the camera that took it."""

    photo: Photo
    camera: Camera

    def shown(self, points_mm) -> np.ndarray:
        """Where points of the panel lie in the picture that the pad shows, as millimetres of the pad."""
        px = self.camera.to_px(points_mm)
        flat = straight(px, self.photo.lens, self.photo.original_px)
        return self.photo.to_mm(apply(np.array(self.photo.to_shown), flat))


def _lay(lying: Lying, mm: np.ndarray, colour: np.ndarray) -> None:
    on_card = lying.on_card(mm)
    width, height = PAPERS[lying.card.paper]
    inside = ((on_card >= 0) & (on_card <= (width, height))).all(axis=1)
    colour[inside] = 232
    for number, corners in lying.card.marks().items():
        cell = (on_card - corners[0]) / (MARK_MM / 8)
        here = ((cell >= 0) & (cell < 8)).all(axis=1)
        column, row = cell[here].astype(int).T
        colour[here] = np.where(cells(number)[7 - row, column], 26, 232)[:, None]
