"""A job's photos on its pages: the one it was drawn on, and those of its stages.

They lie in the folder beside the job file: the pad's own photo, and pictures
called by what they show, such as ``as_it_came.jpg`` and ``cut_open.jpg``.
"""

from __future__ import annotations

import io
import os
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from PIL import Image

from ..sketch.beside import Beside
from ..sketch.photo import kept, open_photo
from ..sketch.photo_scale import Photo
from ..sketch.rectify import PhotoRefused
from .page import Box, Page

STAGES = ("as it came", "cut open", "patch tacked", "welded", "back of the seam", "finished")
"""What the photos show, in their order."""
ENDINGS = (".jpg", ".jpeg", ".png")
MOST_PX = 1000
"""A photo on paper is at most so long: 130 px an inch across half a page."""
FAINT = 0.25
"""How strong a photo under lines and numbers is."""


@dataclass(frozen=True)
class JobPhotos:
    """What a job has of photos.

    under : the one the drawing was made on, if its scale is known
    stages : stage, one of `STAGES` -> picture
    refused : why one that is there isn't shown
    """

    under: Photo | None = None
    stages: Mapping[str, bytes] = field(default_factory=dict)
    refused: tuple[str, ...] = ()


def photos_beside(job_path: str | os.PathLike) -> JobPhotos:
    """Return the photos in the folder beside a job file; one that can't be read is told of."""
    under, stages, refused = None, {}, []
    try:
        under = kept(job_path)
    except PhotoRefused as error:
        refused.append(str(error))
    if under is not None:
        stages[STAGES[0]] = under.original
        under = under if under.relative_error is not None else None
    folder = Beside(job_path).folder
    for stage in STAGES:
        for path in (folder / f"{stage.replace(' ', '_')}{ending}" for ending in ENDINGS):
            try:
                if path.is_file():
                    stages[stage] = open_photo(path).shown
            except PhotoRefused as error:
                refused.append(str(error))
    return JobPhotos(under, stages, tuple(refused))


def _pixels(content: bytes, *, grey: bool = False) -> np.ndarray:
    opened = Image.open(io.BytesIO(content))
    opened.draft("RGB", (MOST_PX, MOST_PX))
    picture = opened.convert("L").convert("RGB") if grey else opened.convert("RGB")
    picture.thumbnail((MOST_PX, MOST_PX))
    return np.asarray(picture)


def small(content: bytes) -> bytes:
    """Return a picture no larger than a page needs it, as JPEG."""
    stream = io.BytesIO()
    Image.fromarray(_pixels(content)).save(stream, "JPEG", quality=85)
    return stream.getvalue()


def put(page: Page, content: bytes, box: Box) -> None:
    """Put a picture into a box of the page, as large as it fits, its shape kept."""
    pixels = _pixels(content)
    left, bottom, right, top = box
    high, wide = pixels.shape[:2]
    scale = min((right - left) / wide, (top - bottom) / high)
    x, y = (left + right - wide * scale) / 2, (bottom + top - high * scale) / 2
    page.image(pixels, (x, y, x + wide * scale, y + high * scale), box)


def put_under(
    page: Page, photo: Photo, origin: tuple[float, float], scale: float, window: Box
) -> None:
    """Lay the photo of a drawing faintly under its lines.

    origin : where the drawing's origin lies on the page, mm; scale : mm on the page a mm drawn
    window : what of the page it may cover
    """
    pixels = _pixels(photo.shown, grey=True)
    faint = (255 - FAINT * (255.0 - pixels)).astype(np.uint8)
    x, y = np.add(origin, np.multiply(photo.origin_mm, scale))
    wide, high = (side * photo.mm_per_px * scale for side in photo.size_px)
    page.image(faint, (x, y, x + wide, y + high), window)
