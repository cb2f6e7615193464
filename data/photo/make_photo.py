"""Draw the demo photo: an invented floor panel with rust, seen at an angle, a sheet of A4 on it.

    python data/photo/make_photo.py [folder]

Everything is computed from the seed below; no picture of anything real is used.
Writes the photo, the four corners of the sheet of paper (ISO 216 A4, 297 x 210 mm)
as one would click them, and a job with the rust traced over it.  Lengths in mm from
the paper's lower left corner, x to the right, y up.
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

from sheetkit.sketch import rectify

SEED = 20
SIZE_PX = (1440, 1080)
PAPER_MM = (297.0, 210.0)
SEEN_MM = [(-110, -120), (690, -120), (690, 420), (-110, 420)]
SEEN_PX = [(15, 1062), (1432, 1010), (1205, 60), (185, 82)]
"""A rectangle of the panel, and where the camera sees its corners."""
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


def photo() -> tuple[Image.Image, list[list[int]]]:
    """Return the photo and where the paper's corners lie in it, px."""
    random = np.random.default_rng(SEED)
    width, height = (2 * side for side in SIZE_PX)
    to_mm = rectify.homography(2.0 * np.array(SEEN_PX), SEEN_MM)
    columns, rows = np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5)
    mm = rectify.apply(to_mm, np.column_stack([columns.ravel(), rows.ravel()]))
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
    paper = shapely.box(0, 0, *PAPER_MM)
    shadow = inside(shapely.affinity.translate(paper, 4, -5)) & ~inside(paper)
    picture[shadow] *= 0.62
    paint(inside(paper), (238, 238, 234), 1 + 0.004 * fine + 0.015 * broad)
    lamp = 1.08 - 0.3 * ((columns / width - 0.45) ** 2 + (rows / height - 0.4) ** 2)
    picture *= lamp[..., None]
    picture += random.normal(0, 2.0, picture.shape)
    large = Image.fromarray(np.clip(picture, 0, 255).astype(np.uint8))
    corners = [(0, 0), (PAPER_MM[0], 0), PAPER_MM, (0, PAPER_MM[1])]
    seen = rectify.apply(np.linalg.inv(to_mm), corners) / 2
    return large.resize(SIZE_PX, Image.Resampling.BOX), np.round(seen).astype(int).tolist()


def traced(area: shapely.Polygon, beyond: float) -> list[list[int]]:
    """Return the ring a hand would draw round `area`: a little outside, few points."""
    ring = area.buffer(beyond).simplify(beyond / 2).exterior
    return np.round(shapely.get_coordinates(ring)[:-1]).astype(int).tolist()


def write(folder: Path) -> None:
    """Write the photo, its corners and the job into `folder`."""
    picture, corners = photo()
    buffer = io.BytesIO()
    picture.save(buffer, "JPEG", quality=80)
    (folder / "floor.json.photo.jpg").write_bytes(buffer.getvalue())
    width, height = PAPER_MM
    step = {"corners": corners, "width_mm": width, "height_mm": height, "click_px": 1.5}
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
        text = re.sub(r"\[\s+(-?\d+),\s+(-?\d+)\s+\]", r"[\1, \2]", json.dumps(data, indent=1))
        (folder / name).write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
