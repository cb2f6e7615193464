"""A photo under the drawing: opened with care, scaled or rectified, kept with the job."""

from __future__ import annotations

import hashlib
import io
import json
import math
import os
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from .. import jobfile
from ..errors import Fault, JobRefused, shown, unquoted
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

LARGEST_BYTES = 40_000_000
MOST_PIXELS = 64_000_000
SHOWN_PX = 2400
"""The longest side on the pad; half a millimetre a pixel on a panel of 1.2 m."""
CLICK_PX = 1.5
"""Standard error of a click, photo pixels, if the page doesn't say (guess)."""
FIRST_WIDTH_MM = 600.0
FORMAT = "sheetkit-photo/1"
TOLD = frozenset({"exif", "xmp", "comment", "photoshop"})
"""What a photo says of its taking: place, time, camera."""


def _refused(name: str, value: str, limit: str, remedy: str) -> PhotoRefused:
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
            raise _refused(
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
            shown=_jpeg(picture),
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
    raise _refused(name, shown(value), "must be 1 to 20000 mm", "measure it and type it again")


def _jpeg(picture) -> bytes:
    buffer = io.BytesIO()
    picture.info = {}
    picture.save(buffer, "JPEG", quality=88)
    return buffer.getvalue()


def open_photo(source: str | os.PathLike | bytes, *, name: str = "") -> Photo:
    """Return the photo in a JPEG or PNG file, or in its bytes, turned upright.

    A large one is shrunk to `SHOWN_PX`, and its `note` says so.

    Raises
    ------
    PhotoRefused
        No such file, no JPEG or PNG, corrupt, or over `LARGEST_BYTES` or `MOST_PIXELS`.
    """
    content, name = _content(source, name)
    from PIL import Image, ImageOps

    try:
        picture = Image.open(io.BytesIO(content), formats=("JPEG", "PNG"))
        width, height = picture.size
        if width * height > MOST_PIXELS:
            raise Image.DecompressionBombError
        if min(width, height) < LEAST_PX:
            raise _refused(
                name, f"{width} x {height} px", f"must be at least {LEAST_PX:g} px", "take a photo"
            )
        plain = picture.format == "JPEG" and picture.mode == "RGB"
        told = TOLD & picture.info.keys()  # where and when it was taken stays out of the job
        picture.draft("RGB", (2 * SHOWN_PX, 2 * SHOWN_PX))
        picture.load()
        if max(width, height) > SHOWN_PX or not plain or told:
            picture = _flat(ImageOps.exif_transpose(picture))
            picture.thumbnail((SHOWN_PX, SHOWN_PX), Image.Resampling.LANCZOS)
            content = _jpeg(picture)
    except Image.DecompressionBombError:
        raise _refused(
            name,
            "a picture of too many pixels",
            f"must have at most {MOST_PIXELS / 1e6:g} million pixels",
            "save it smaller",
        ) from None
    except Image.UnidentifiedImageError:
        raise _refused(
            name, "a file that is no photo", "must be a JPEG or PNG", "save the photo as JPEG"
        ) from None
    except (OSError, SyntaxError, ValueError, KeyError, IndexError, EOFError, ArithmeticError) as e:
        if isinstance(e, PhotoRefused):
            raise
        raise _refused(
            name, "a damaged picture", "must be a whole JPEG or PNG", "copy it from the phone again"
        ) from None
    size = picture.size
    small = max(width, height) > SHOWN_PX
    note = f"Shrunk from {width} x {height} to {size[0]} x {size[1]} px." if small else ""
    return Photo(name, content, size, content, size, FIRST_WIDTH_MM / size[0], note=note)


def _content(source: str | os.PathLike | bytes, name: str) -> tuple[bytes, str]:
    """Return the file's bytes and its plain name, if it isn't too large."""
    if isinstance(source, bytes | bytearray | memoryview):
        name, size = unquoted(name), len(source)
        content = bytes(source) if size <= LARGEST_BYTES else None
    else:
        path = Path(source)
        name = unquoted(name or path.name)
        try:
            size, plain = path.stat().st_size, path.is_file()
            content = path.read_bytes() if plain and size <= LARGEST_BYTES else None
        except (OSError, ValueError):
            raise _refused(
                name, "no such file", "must be a JPEG or PNG file", "check name and folder"
            ) from None
        if not plain:
            raise _refused(name, "a folder or device", "must be a file", "name the photo itself")
    if content is None:
        raise _refused(
            name,
            f"{size / 1e6:.0f} MB",
            f"must be at most {LARGEST_BYTES / 1e6:g} MB",
            "save it smaller, or as JPEG",
        )
    return content, name


def _flat(picture):
    """Return the picture as RGB, transparent parts white."""
    from PIL import Image

    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        picture = picture.convert("RGBA")
        white = Image.new("RGBA", picture.size, "white")
        return Image.alpha_composite(white, picture).convert("RGB")
    return picture.convert("RGB")


def keep(photo: Photo | None, job_path: str | os.PathLike) -> None:
    """Keep the photo beside the job, or take it away (None)."""
    picture, steps = _places(job_path)
    if photo is None:
        steps.unlink(missing_ok=True)
        picture.unlink(missing_ok=True)
        return
    if not picture.exists() or picture.read_bytes() != photo.original:
        jobfile.write_atomically(picture, photo.original, backup=False)
    told = {
        "format": FORMAT,
        "name": photo.name,
        "photo": hashlib.sha256(photo.original).hexdigest(),
        "steps": list(photo.steps),
    }
    jobfile.write_text_atomically(steps, json.dumps(told) + "\n", backup=False)


def kept(job_path: str | os.PathLike) -> Photo | None:
    """Return the photo kept beside the job, scaled as it was; None if there is none.

    Steps written for another picture (a crash came between the two) are left out.
    """
    picture, steps = _places(job_path)
    if not steps.exists():
        return None
    try:
        told = jobfile.read(steps)
        photo = open_photo(picture, name=str(told.get("name", "")))
        if told.get("photo") not in (None, hashlib.sha256(photo.original).hexdigest()):
            return photo
        for step in told.get("steps", ()):
            arguments = dict(step)
            if "corners" in arguments:
                photo = photo.rectified(arguments.pop("corners"), **arguments)
            else:
                photo = photo.calibrated(arguments.pop("points"), **arguments)
        return photo
    except PhotoRefused:
        raise
    except (JobRefused, TypeError, ValueError, KeyError):
        raise _refused(
            steps.name,
            "other contents",
            f"must be a {FORMAT} as the pad writes it",
            "move it away and set the photo again",
        ) from None


def _places(job_path: str | os.PathLike) -> tuple[Path, Path]:
    path = Path(job_path)
    return path.with_name(path.name + ".photo.jpg"), path.with_name(path.name + ".photo.json")
