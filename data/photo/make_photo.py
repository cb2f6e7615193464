"""Draw the demo photo: an invented floor panel with rust, a measuring card on it, seen by a camera.

    python data/photo/make_photo.py [folder]

Everything is computed from the seed below; no picture of anything real is used.
The camera is a pinhole with a lens that bends as those of phones do, held at an angle.
Writes the photo, where the card's marks lie in it, and a job with the rust traced over
it.  Lengths in mm from the lower left mark's corner, x to the right, y up.
"""

from __future__ import annotations

import io
import json
import re
import sys
from pathlib import Path

import numpy as np
import shapely
from PIL import Image
from scipy import ndimage

from sheetkit.base.paper_sizes import PAPERS
from sheetkit.paper.card_page import card_page
from sheetkit.paper.page import png
from sheetkit.sketch.measuring_card import ALL, INSET_MM

SEED = 20
SIZE_PX = (1440, 1080)
CARD = ALL[0]
"""The first A4 card; it lies with its long side across, its top to the left."""
AWAY_MM, LOOK_MM = 670.0, (285.0, 118.0)
TILT, SIDE, ROLL = np.radians([-28.0, -16.0, -3.0])
FOCAL, LENS = 0.74, -0.045
"""Focal length in widths of the picture; how far the lens bends at 45 degrees from its axis."""
PANEL = shapely.box(-70, -80, 640, 375)
DRAIN = shapely.Point(588, 318).buffer(13, quad_segs=8)
RIBS_MM = (262.0, 312.0)
"""Heights of the two pressed ribs."""


def ragged(middle: tuple[float, float], across: float, up: float, seed: int) -> shapely.Polygon:
    """Return an oval with a ragged edge of some 1 to 10 mm, as rust eats it."""
    random = np.random.default_rng(seed)
    turn = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    edge = ndimage.gaussian_filter1d(random.normal(0, 0.28, 72), 2, mode="wrap") + 1
    x = middle[0] + across * edge * np.cos(turn)
    return shapely.Polygon(np.column_stack([x, middle[1] + up * edge * np.sin(turn)]))


HOLES = [
    ragged((452, 132), 68, 38, SEED),
    ragged((536, 96), 22, 15, SEED + 1),
    ragged((404, 66), 13, 9, SEED + 2),
]
PITTED = ragged((474, 116), 112, 80, SEED + 3)


def noise(shape: tuple[int, int], cell: float, random: np.random.Generator) -> np.ndarray:
    """Return smooth noise of standard deviation 1 with features of `cell` pixels."""
    coarse = random.normal(size=(int(shape[0] / cell) + 4, int(shape[1] / cell) + 4))
    rows, columns = np.indices(shape) / cell + 1
    smooth = ndimage.map_coordinates(coarse, [rows, columns], order=3)
    return smooth / smooth.std()


def axes() -> np.ndarray:
    """Return the camera's axes: rows to the right, up, and back along its view."""
    tilt = [[1, 0, 0], [0, np.cos(TILT), -np.sin(TILT)], [0, np.sin(TILT), np.cos(TILT)]]
    side = [[np.cos(SIDE), 0, np.sin(SIDE)], [0, 1, 0], [-np.sin(SIDE), 0, np.cos(SIDE)]]
    roll = [[np.cos(ROLL), -np.sin(ROLL), 0], [np.sin(ROLL), np.cos(ROLL), 0], [0, 0, 1]]
    return np.array(roll) @ side @ tilt


def in_photo(points_mm: np.ndarray) -> np.ndarray:
    """Return where the camera sees points of the panel, px of `SIZE_PX`."""
    points = np.asarray(points_mm, float) - LOOK_MM
    x, y, back = axes()[:, :2] @ points.T
    flat = np.array([x, -y]) / (AWAY_MM - back)
    seen = flat * (1 + LENS * (flat**2).sum(axis=0))
    return (seen * FOCAL * SIZE_PX[0]).T + np.array(SIZE_PX) / 2


def on_panel(points_px: np.ndarray) -> np.ndarray:
    """Return the points of the panel that pixels of `SIZE_PX` show."""
    seen = (points_px - np.array(SIZE_PX) / 2) / (FOCAL * SIZE_PX[0])
    flat = seen.copy()
    for _ in range(20):
        flat = seen / (1 + LENS * (flat**2).sum(axis=1, keepdims=True))
    rays = np.column_stack([flat[:, 0], -flat[:, 1], -np.ones(len(flat))]) @ axes()
    eye = AWAY_MM * axes()[2]
    return (eye - rays * (eye[2] / rays[:, 2])[:, None])[:, :2] + LOOK_MM


def on_card(points_mm: np.ndarray) -> np.ndarray:
    """Return points of the panel as points of the card, mm from its own lower left corner."""
    x, y = np.moveaxis(np.asarray(points_mm, float), -1, 0)
    return np.stack([y + INSET_MM, PAPERS["a4"][1] - INSET_MM - x], axis=-1)


def from_card(points_mm: np.ndarray) -> np.ndarray:
    """Return points of the card as points of the panel."""
    x, y = np.asarray(points_mm, float).T
    return np.column_stack([PAPERS["a4"][1] - INSET_MM - y, x - INSET_MM])


def photo() -> Image.Image:
    """Return the photo."""
    random = np.random.default_rng(SEED)
    width, height = (2 * side for side in SIZE_PX)
    columns, rows = np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5)
    mm = on_panel(np.column_stack([columns.ravel(), rows.ravel()]) / 2)
    x, y = mm[:, 0].reshape(height, width), mm[:, 1].reshape(height, width)

    def inside(area: shapely.Polygon) -> np.ndarray:
        return shapely.contains_xy(area, x, y)

    def paint(where: np.ndarray, colour: tuple, light: np.ndarray) -> None:
        picture[where] = np.array(colour) * light[where][:, None]

    fine, broad = noise(x.shape, 5, random), noise(x.shape, 260, random)
    blotch = noise(x.shape, 34, random)
    picture = np.empty((*x.shape, 3))
    picture[:] = np.array([62, 60, 58]) * (1 + 0.06 * fine + 0.08 * broad)[..., None]
    plain = inside(PANEL)
    paint(plain, (158, 166, 163), 1 + 0.012 * fine + 0.05 * broad)
    for rib in RIBS_MM:
        rise = np.exp(-(((y - rib) / 9) ** 2)) * plain * (x > 0) * (x < 560)
        slope = -2 * (y - rib) / 81 * rise
        picture *= (1 + 1.6 * slope)[..., None]
    flange = plain & ~inside(PANEL.buffer(-14))
    picture[flange] *= 0.9
    away = ndimage.distance_transform_edt(~inside(PITTED)) - ndimage.distance_transform_edt(
        inside(PITTED)
    )
    rust = plain & (away + 26 * blotch < 0)
    paint(rust, (128, 74, 40), 1 + 0.1 * fine + 0.12 * blotch)
    stain = plain & ~rust & (away + 40 * blotch < 40)
    picture[stain] = 0.7 * picture[stain] + 0.3 * np.array([150, 96, 54])
    for hole in HOLES:
        rim = inside(hole.buffer(3.0))
        paint(rim, (84, 44, 24), 1 + 0.08 * fine)
        paint(inside(hole), (16, 14, 13), 1 + 0.1 * fine)
    paint(inside(DRAIN.buffer(4)), (120, 126, 124), 1 + 0.01 * fine)
    paint(inside(DRAIN), (18, 17, 17), 1 + 0.1 * fine)
    paper = shapely.Polygon(from_card(shapely.get_coordinates(shapely.box(0, 0, *PAPERS["a4"]))))
    shadow = inside(shapely.affinity.translate(paper, 4, -5)) & ~inside(paper)
    picture[shadow] *= 0.62
    printed = np.asarray(Image.open(io.BytesIO(png(card_page(CARD), dpi=150))).convert("L"), float)
    across, up = np.moveaxis(on_card(np.stack([x, y], axis=-1)), -1, 0)
    pixel = printed.shape[1] / PAPERS["a4"][0]
    at = [printed.shape[0] - up * pixel - 0.5, across * pixel - 0.5]
    ink = ndimage.map_coordinates(printed, at, order=1, mode="nearest") / 255
    white = (0.1 + 0.9 * ink) * (1 + 0.004 * fine + 0.015 * broad)
    paint(inside(paper), (238, 238, 234), white)
    lamp = 1.08 - 0.3 * ((columns / width - 0.45) ** 2 + (rows / height - 0.4) ** 2)
    picture *= lamp[..., None]
    picture += random.normal(0, 2.0, picture.shape)
    large = Image.fromarray(np.clip(picture, 0, 255).astype(np.uint8))
    return large.resize(SIZE_PX, Image.Resampling.BOX)


def traced(area: shapely.Polygon, beyond: float) -> list[list[int]]:
    """Return the ring a hand would draw round `area`: a little outside, few points."""
    ring = area.buffer(beyond).simplify(beyond / 2).exterior
    return np.round(shapely.get_coordinates(ring)[:-1]).astype(int).tolist()


def write(folder: Path) -> None:
    """Write the photo, the card's marks in it and the job into `folder`."""
    picture = photo()
    buffer = io.BytesIO()
    picture.save(buffer, "JPEG", quality=80)
    (folder / "floor.json.photo.jpg").write_bytes(buffer.getvalue())
    marks = [
        {"number": number, "corners": in_photo(from_card(corners)).round(2).tolist()}
        for number, corners in CARD.marks().items()
    ]
    step = {"marks": marks, "square_mm": 100.0}
    told = {"format": "sheetkit-photo/1", "name": "floor.jpg", "steps": [step]}
    job = {
        "format": "sheetkit-job/1",
        "title": "Rear floor over a photo",
        "notes": "An invented panel; the photo is drawn by make_photo.py.",
        "sheet": {"thickness": "0.9 mm"},
        "panel": {
            "outline": [[round(x), round(y)] for x, y in PANEL.exterior.coords[:-1]],
            "holes": [traced(DRAIN, 0.5)],
        },
        "rust": [
            {"ring": traced(HOLES[0], 4), "grade": "holed"},
            {"ring": traced(HOLES[1], 4), "grade": "holed"},
            {"ring": traced(HOLES[2], 4), "grade": "holed"},
            {"ring": traced(PITTED, 6), "grade": "pitted"},
        ],
        "patch": {"joint": "butt", "margin": 15},
    }
    for name, data in (("floor.json.photo.json", told), ("floor.json", job)):
        text = re.sub(
            r"\[\s+(-?[\d.]+),\s+(-?[\d.]+)\s+\]", r"[\1, \2]", json.dumps(data, indent=1)
        )
        (folder / name).write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
