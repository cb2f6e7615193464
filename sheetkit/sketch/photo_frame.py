"""The part of a photographed plane that is shown: how large, how fine, and its picture."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np

from .card_plane import Plane
from .rectify import apply, extent

SHOWN_PX = 2400
"""The longest side on the pad; half a millimetre a pixel on a panel of 1.2 m."""


@dataclass(frozen=True)
class Frame:
    """The part of the plane that is shown: how large, how fine, and where it lies."""

    size_px: tuple[int, int]
    mm_per_px: float
    origin_mm: tuple[float, float]
    to_shown: tuple[tuple[float, ...], ...]

    @classmethod
    def of(cls, to_mm: np.ndarray, photo_px, rectangle_mm, finest: float) -> Frame:
        """Show what `extent` says, no finer than `finest` mm a pixel nor larger than `SHOWN_PX`."""
        x0, y0, x1, y1 = extent(to_mm, photo_px, *rectangle_mm)
        scale = max(finest, max(x1 - x0, y1 - y0) / SHOWN_PX)
        size = (max(round((x1 - x0) / scale), 1), max(round((y1 - y0) / scale), 1))
        from_mm = np.array(
            [[1 / scale, 0, -x0 / scale], [0, -1 / scale, size[1] + y0 / scale], [0, 0, 1]]
        )
        rows = tuple(map(tuple, (from_mm @ to_mm).tolist()))
        return cls(size, scale, (float(x0), float(y0)), rows)

    def back(self) -> np.ndarray:
        """Return the map from shown pixels to the photo's, its last element 1."""
        back = np.linalg.inv(np.array(self.to_shown))
        return back / back[2, 2]


CELL_PX = 32
"""The picture is straightened in squares of so many pixels; inside them evenly (0.02 px off)."""


def straightened(original: bytes, frame: Frame, lies: Plane):
    """Return the shown picture of a photo whose lens bends."""
    from PIL import Image

    width, height = frame.size_px
    x = np.append(np.arange(0, width, CELL_PX), width)
    y = np.append(np.arange(0, height, CELL_PX), height)
    grid = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    at = lies.bent(apply(frame.back(), grid)).reshape(len(y), len(x), 2)
    cells = [
        (
            (int(x[c]), int(y[r]), int(x[c + 1]), int(y[r + 1])),
            tuple(
                np.concatenate([at[r, c], at[r + 1, c], at[r + 1, c + 1], at[r, c + 1]]).tolist()
            ),
        )
        for r in range(len(y) - 1)
        for c in range(len(x) - 1)
    ]
    picture = Image.open(io.BytesIO(original)).convert("RGB")
    return picture.transform(
        frame.size_px,
        Image.Transform.MESH,
        cells,
        Image.Resampling.BICUBIC,
        fillcolor=(255, 255, 255),
    )


def jpeg(picture) -> bytes:
    """Return a picture as JPEG bytes, without what was told of its taking."""
    buffer = io.BytesIO()
    picture.info = {}
    picture.save(buffer, "JPEG", quality=88)
    return buffer.getvalue()
