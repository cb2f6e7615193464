"""A photo under the drawing: opened with care, and kept with the job."""

from __future__ import annotations

import hashlib
import io
import json
import os
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from ..base import files, lock
from ..base.errors import JobRefused, unquoted
from ..job import file
from .beside import Beside, photo_names
from .photo_frame import SHOWN_PX, jpeg
from .photo_scale import Photo, marks_of, refused
from .rectify import LEAST_PX, PhotoRefused

LARGEST_BYTES = 40_000_000
MOST_PIXELS = 64_000_000
FIRST_WIDTH_MM = 600.0
FORMAT = "sheetkit-photo/1"
STRIP_PX = 64
"""Rows of the shrunk picture that are made at a time."""
_TURNED = 0x0112
"""The tag that says how the camera was held."""
NO_CARD = "No measuring card seen."
TOLD = frozenset({"exif", "xmp", "comment", "photoshop"})
"""What a photo says of its taking: place, time, camera."""


def open_photo(
    source: str | os.PathLike | bytes, *, name: str = "", shrunk_from: tuple[int, int] | None = None
) -> Photo:
    """Return the photo in a JPEG or PNG file, or in its bytes, turned upright.

    A large one is shrunk to `SHOWN_PX`, and its `note` says so; that takes little more
    memory than the picture itself, 4 bytes a pixel.  `shrunk_from` is the size it had before
    somebody else shrank it.

    Raises
    ------
    PhotoRefused
        No such file, no JPEG or PNG, corrupt, over `LARGEST_BYTES` or `MOST_PIXELS`, or too
        narrow to be seen beside its length.
    """
    content, name = _content(source, name)
    from PIL import Image

    try:
        picture = Image.open(io.BytesIO(content), formats=("JPEG", "PNG"))
        width, height = picture.size
        if width * height > MOST_PIXELS:
            raise Image.DecompressionBombError
        if min(width, height) < LEAST_PX:
            raise refused(
                name, f"{width} x {height} px", f"must be at least {LEAST_PX:g} px", "take a photo"
            )
        if max(width, height) > (longest := SHOWN_PX // LEAST_PX) * min(width, height):
            value = f"{width} x {height} px"
            raise refused(
                name, value, f"must be at most {longest:g} times as long as wide", "crop it"
            )
        plain = picture.format == "JPEG" and picture.mode == "RGB"
        told = TOLD & picture.info.keys()  # where and when it was taken stays out of the job
        picture.draft("RGB", (2 * SHOWN_PX, 2 * SHOWN_PX))
        picture.load()
        if max(width, height) > SHOWN_PX or not plain or told:
            picture = _upright(picture)
            content = jpeg(picture)
    except Image.DecompressionBombError:
        raise refused(
            name,
            "a picture of too many pixels",
            f"must have at most {MOST_PIXELS / 1e6:g} million pixels",
            "save it smaller",
        ) from None
    except Image.UnidentifiedImageError:
        raise refused(
            name, "a file that is no photo", "must be a JPEG or PNG", "save the photo as JPEG"
        ) from None
    except (OSError, SyntaxError, ValueError, KeyError, IndexError, EOFError, ArithmeticError) as e:
        if isinstance(e, PhotoRefused):
            raise
        raise refused(
            name, "a damaged picture", "must be a whole JPEG or PNG", "copy it from the phone again"
        ) from None
    size = picture.size
    was = (width, height) if max(width, height) > SHOWN_PX else shrunk_from
    note = f"Shrunk from {was[0]} x {was[1]} to {size[0]} x {size[1]} px." if was else ""
    return Photo(name, content, size, content, size, FIRST_WIDTH_MM / size[0], note=note)


def by_its_card(photo: Photo) -> Photo:
    """Return a photo made true by the measuring cards in it; as it was, and told why, if it can't be."""
    marks = photo.marks()
    if not marks:
        return replace(photo, note=f"{photo.note} {NO_CARD}".strip())
    try:
        return photo.by_card(marks)
    except PhotoRefused as refusal:
        return replace(photo, note=f"{photo.note} Not scaled: {refusal}".strip())


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
            raise refused(
                name, "no such file", "must be a JPEG or PNG file", "check name and folder"
            ) from None
        if not plain:
            raise refused(name, "a folder or device", "must be a file", "name the photo itself")
    if content is None:
        raise refused(
            name,
            f"{size / 1e6:.0f} MB",
            f"must be at most {LARGEST_BYTES / 1e6:g} MB",
            "save it smaller, or as JPEG",
        )
    return content, name


def _upright(picture):
    """Return the picture as RGB, upright, its longest side at most `SHOWN_PX`.

    It is shrunk in strips: whatever its pixels are, no second picture as large is made.
    """
    from PIL import Image, ImageOps

    width, height = picture.size
    every = max(1, max(width, height) // SHOWN_PX)
    small = Image.new("RGB", (-(-width // every), -(-height // every)))
    for top in range(0, height, STRIP_PX * every):
        strip = picture.crop((0, top, width, min(top + STRIP_PX * every, height)))
        small.paste(_flat(strip).reduce(every), (0, top // every))
    small.thumbnail((SHOWN_PX, SHOWN_PX), Image.Resampling.LANCZOS)
    small.getexif()[_TURNED] = picture.getexif().get(_TURNED, 1)
    return ImageOps.exif_transpose(small)


def _flat(picture):
    """Return the picture as RGB, transparent parts white."""
    from PIL import Image

    if picture.mode.startswith("I"):  # grey of 16 bits, which convert() would cut off at 255
        grey = np.clip(np.asarray(picture), 0, 65_535) >> 8
        picture = Image.fromarray(grey.astype(np.uint8))
    elif picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        picture = picture.convert("RGBA")
        white = Image.new("RGBA", picture.size, "white")
        picture = Image.alpha_composite(white, picture)
    return picture.convert("RGB")


def keep(photo: Photo | None, job_path: str | os.PathLike, flat: int = 0) -> None:
    """Keep the photo in the folder beside the job, or take it away (None).

    flat : that of a bent panel it shows, from 1; 0: the whole sheet
    """
    beside, (picture_name, steps_name) = Beside(job_path), photo_names(flat)
    with lock.held(beside.job_path):
        if photo is None:
            beside.remove(steps_name)
            beside.remove(picture_name)
            beside.tidy()
            return
        told: dict[str, Any] = {
            "format": FORMAT,
            "name": photo.name,
            "photo": hashlib.sha256(photo.original).hexdigest(),
            "steps": list(photo.steps),
        }
        if photo.at_mm != (0.0, 0.0):
            told["at_mm"] = list(photo.at_mm)
        with beside.held_ready():
            picture = beside.path(picture_name)
            if not picture.exists() or picture.read_bytes() != photo.original:
                files.write_atomically(picture, photo.original, backup=False)
            text = json.dumps(told) + "\n"
            files.write_text_atomically(beside.path(steps_name), text, backup=False)


def kept(job_path: str | os.PathLike, flat: int = 0) -> Photo | None:
    """Return the photo kept beside the job, scaled as it was; None if there is none.

    flat : as `keep`

    Steps written for another picture (a crash came between the two) are left out.
    """
    beside = Beside(job_path)
    picture, steps = (beside.found(name) for name in photo_names(flat))
    if not steps.exists():
        return None
    try:
        told = file.read(steps)
        photo = open_photo(picture, name=str(told.get("name", "")))
        if told.get("photo") not in (None, hashlib.sha256(photo.original).hexdigest()):
            return photo
        for step in told.get("steps", ()):
            arguments = dict(step)
            if "corners" in arguments:
                photo = photo.rectified(arguments.pop("corners"), **arguments)
            elif "marks" in arguments:
                photo = photo.by_card(marks_of(arguments.pop("marks")), **arguments)
            else:
                photo = photo.calibrated(arguments.pop("points"), **arguments)
        x, y = told.get("at_mm", (0.0, 0.0))
        return photo.laid_at(float(x), float(y))
    except PhotoRefused:
        raise
    except (JobRefused, TypeError, ValueError, KeyError):
        raise refused(
            steps.name,
            "other contents",
            f"must be a {FORMAT} as the pad writes it",
            "move it away and set the photo again",
        ) from None
