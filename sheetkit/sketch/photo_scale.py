"""A photo as it lies under the drawing: scaled by two points, or rectified by four corners."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass, replace

import numpy as np

from ..base.errors import Fault, shown
from .rectify import (
    LEAST_PX,
    PhotoRefused,
    apply,
    check_corners,
    check_points,
    extent,
    homography,
    scale_error,
)

SHOWN_PX = 2400
"""The longest side on the pad; half a millimetre a pixel on a panel of 1.2 m."""
CLICK_PX = 1.5
"""Standard error of a click, photo pixels, if the page doesn't say (guess)."""


def refused(name: str, value: str, limit: str, remedy: str) -> PhotoRefused:
    """Return the refusal of a photo or its points, in the four words of a fault."""
    return PhotoRefused(Fault(f"photo {name}".strip(), value, limit, remedy))


@dataclass(frozen=True)
class Photo:
    """A photo as it lies under the drawing.

    `origin_mm` is where the lower left corner of the shown picture lies;
    `relative_error` is None until a scale is set.
    """

    name: str
    original: bytes
    original_px: tuple[int, int]
    shown: bytes
    size_px: tuple[int, int]
    mm_per_px: float
    origin_mm: tuple[float, float] = (0.0, 0.0)
    relative_error: float | None = None
    how: str = ""
    note: str = ""
    steps: tuple[dict, ...] = ()
    to_shown: tuple[tuple[float, ...], ...] | None = None

    def to_mm(self, points_px) -> np.ndarray:
        """Return points of the shown picture, px, as points of the drawing, mm."""
        points = np.asarray(points_px, float).reshape(-1, 2)
        up = np.column_stack([points[:, 0], self.size_px[1] - points[:, 1]])
        return up * self.mm_per_px + self.origin_mm

    def _to_original(self, points_px: np.ndarray) -> np.ndarray:
        if self.to_shown is None:
            return points_px
        return apply(np.linalg.inv(np.array(self.to_shown)), points_px)

    @property
    def word(self) -> str:
        """The scale and its error, in words."""
        if self.relative_error is None:
            return "Scale not set: mark two points, or four corners of a rectangle."
        return (
            f"1 px = {self.mm_per_px:.3g} mm, error about "
            f"{max(100 * self.relative_error, 0.1):.1f} % ({self.how})"
        )

    def calibrated(self, points_px, distance_mm: float, *, click_px: float = CLICK_PX) -> Photo:
        """Return the photo scaled by two points a known distance apart.

        Parameters
        ----------
        points_px : two points of the shown picture
        distance_mm : float
            1 to 20 000 mm.
        click_px : float
            Standard error of a click along the line, px.

        Raises
        ------
        PhotoRefused
            The points coincide or the distance is out of range; the photo stays as it was.
        """
        points = check_points(points_px, 2, "points")
        distance_mm = _length("known distance", distance_mm)
        apart = float(np.hypot(*(points[1] - points[0])))
        if apart < LEAST_PX:
            raise refused(
                "points",
                f"{apart:.1f} px apart",
                f"must be at least {LEAST_PX:g} px apart",
                "mark two points far from each other",
            )
        scale = distance_mm / apart
        old_origin, old_scale = np.array(self.origin_mm), self.mm_per_px
        step = {"points": points.tolist(), "distance_mm": distance_mm, "click_px": click_px}
        return replace(
            self,
            mm_per_px=scale,
            origin_mm=tuple((old_origin * scale / old_scale).tolist()),
            relative_error=math.sqrt(2) * click_px / apart,
            how=f"two points {apart:.0f} px apart; true in their plane, seen square on",
            steps=(*(s for s in self.steps if "corners" in s), step),
        )

    def rectified(
        self, corners_px, width_mm: float, height_mm: float, *, click_px: float = CLICK_PX
    ) -> Photo:
        """Return the photo with a photographed rectangle made true; its lower left is (0, 0).

        Parameters
        ----------
        corners_px : four points of the shown picture
            Lower left, lower right, upper right, upper left.
        width_mm, height_mm : float
            The rectangle's true size, 1 to 20 000 mm.
        click_px : float
            Standard error of a click along each axis, px.

        Raises
        ------
        PhotoRefused
            See `rectify.check_corners`; the photo stays as it was.
        """
        from PIL import Image

        check_corners(corners_px)
        corners = check_corners(self._to_original(np.asarray(corners_px, float)))
        width_mm, height_mm = _length("width", width_mm), _length("height", height_mm)
        rectangle = [(0, 0), (width_mm, 0), (width_mm, height_mm), (0, height_mm)]
        to_mm = homography(corners, rectangle)
        x0, y0, x1, y1 = extent(to_mm, self.original_px, width_mm, height_mm)
        x, y = corners[:, 0], corners[:, 1]
        area_px = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
        scale = max(math.sqrt(width_mm * height_mm / area_px), max(x1 - x0, y1 - y0) / SHOWN_PX)
        size = (max(round((x1 - x0) / scale), 1), max(round((y1 - y0) / scale), 1))
        from_mm = np.array(
            [[1 / scale, 0, -x0 / scale], [0, -1 / scale, size[1] + y0 / scale], [0, 0, 1]]
        )
        to_shown = from_mm @ to_mm
        back = np.linalg.inv(to_shown)
        picture = Image.open(io.BytesIO(self.original)).transform(
            size,
            Image.Transform.PERSPECTIVE,
            tuple((back / back[2, 2]).ravel()[:8]),
            Image.Resampling.BICUBIC,
            fillcolor=(255, 255, 255),
        )
        step = {
            "corners": corners.tolist(),
            "width_mm": width_mm,
            "height_mm": height_mm,
            "click_px": click_px,
        }
        return replace(
            self,
            shown=jpeg(picture),
            size_px=size,
            mm_per_px=scale,
            origin_mm=(float(x0), float(y0)),
            relative_error=scale_error(corners, width_mm, height_mm, click_px),
            how=f"rectangle {width_mm:g} x {height_mm:g} mm; true in its plane, best inside it",
            steps=(step,),
            to_shown=tuple(map(tuple, to_shown.tolist())),
        )


def _length(name: str, value: object) -> float:
    if isinstance(value, int | float) and 1 <= value <= 20_000:
        return float(value)
    raise refused(name, shown(value), "must be 1 to 20000 mm", "measure it and type it again")


def jpeg(picture) -> bytes:
    """Return a picture as JPEG bytes, without what was told of its taking."""
    buffer = io.BytesIO()
    picture.info = {}
    picture.save(buffer, "JPEG", quality=88)
    return buffer.getvalue()
