"""What goes between the page and the pad: texts typed there, words told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict

from ...base import units as unit_text
from ...base.errors import Fault, SheetkitError, shown
from ...base.lock import NO_LOCKS
from ...base.paper_sizes import PAPERS
from ...base.units import MM_PER_INCH
from ...geometry.ring import LARGEST_MM, MOST_POINTS
from ...sketch.card_plane import SQUARE_RANGE_MM
from ...sketch.drawing import Drawing
from ...sketch.grow import FAR, SMOOTH_MM, Colours
from ...sketch.photo import open_photo
from ...sketch.photo_frame import SHOWN_PX
from ...sketch.photo_scale import CLICK_PX, Photo
from ...sketch.shape_kinds import (
    DIGITS,
    KINDS,
    LEAST_POINTS,
    MOST_ID_LETTERS,
    MOST_LETTERS,
    MOST_SHAPES,
)
from ...sketch.store import Fitted, Store

TOUCH_AGAIN_S = 0.4
"""A second touch of the same spot within this time closes the ring or ends the line."""
FIRST_GRID_MM = {"mm": 5.0, "in": MM_PER_INCH / 4}
TOLD = {
    "mm_per_inch": MM_PER_INCH,
    "digits": DIGITS,
    "largest_mm": LARGEST_MM,
    "least_points": LEAST_POINTS,
    "most_points": MOST_POINTS,
    "most_shapes": MOST_SHAPES,
    "most_letters": MOST_LETTERS,
    "most_id_letters": MOST_ID_LETTERS,
    "first_grid_mm": FIRST_GRID_MM,
    "touch_again_s": TOUCH_AGAIN_S,
    "click_px": CLICK_PX,
    "photo_px": SHOWN_PX,
    "papers": PAPERS,
    "square_range_mm": SQUARE_RANGE_MM,
    "grow_far": FAR,
    "grow_smooth_mm": SMOOTH_MM,
}
"""Limits and measures the page works with, so that each is typed once."""
_DIMENSIONS = {"mm": "length", "°C": "temperature", "°": "angle"}


def typed(edit: Mapping, drawing: Drawing, units: str) -> dict:
    """Return an edit whose typed value ("12 in") is a number.

    Raises SheetkitError if the text is no quantity of the right kind.
    """
    if edit.get("op") != "describe" or not isinstance(edit.get("value"), str):
        return dict(edit)
    kind = KINDS[drawing[str(edit.get("id"))].kind]
    dimension = _DIMENSIONS.get(kind.unit, "length")
    bare = units if dimension == "length" else None
    value = unit_text.parse(edit["value"], dimension, field=kind.value_label, bare=bare)
    return {**edit, "value": value}


def told_faults(fitted: Fitted) -> dict:
    """Return the faults of each shape that stays out of the job, as the page shows them."""
    return {
        id_: [{"value": f.value, "text": f"{f.value}: {f.limit}; {f.remedy}"} for f in faults]
        for id_, faults in fitted.reasons.items()
    }


def kept_word(store: Store | None, fitted: Fitted) -> str:
    """Say in words where the drawing is kept."""
    if not store:
        return "Not kept in a file."
    name, unfit = store.path.name, len(fitted.reasons)
    if store.like:
        return f"From {store.like.name}; kept in {name} from the first change on."
    if fitted.job is None:
        why = "" if unfit else f": {fitted.faults[0].remedy}"
        return f"Kept as a draft; {name} waits for a sound rust ring{why}."
    more = f" {unfit} kept as a draft beside it." if unfit else ""
    return f"Saved in {name}.{more}" + (f" {NO_LOCKS}" if store.unlocked else "")


LOOKING = "Looking for a measuring card …"


def photo_place(photo: Photo | None, *, looking: bool = False) -> dict:
    """Return where the photo lies and what is told of its scale; nothing without one."""
    if not photo:
        return {}
    return {
        "size_px": list(photo.size_px),
        "mm_per_px": photo.mm_per_px,
        "origin_mm": list(photo.origin_mm),
        "at_mm": list(photo.at_mm),
        "word": LOOKING if looking else f"{photo.note} {photo.word}".strip(),
        "looking": looking,
        "scaled": photo.relative_error is not None,
        "square_mm": photo.square_mm,
        "near_mm": [list(corner) for corner in photo.near_mm],
    }


def sent_photo(content: Mapping, buffers: list) -> Photo | None:
    """Return the photo the page sent, as it is; None to take it away.

    `from` is the size the page shrank it from.
    """
    sent = buffers[0] if buffers else None
    if not isinstance(sent, bytes | bytearray | memoryview | None):
        raise SheetkitError(
            Fault("photo", shown(sent), "must be a file's bytes", "choose the file again")
        )
    if sent is None:
        return None
    name = str(content.get("name", "photo"))[:200]
    return open_photo(bytes(sent), name=name, shrunk_from=_size(content.get("from")))


def _size(told: object) -> tuple[int, int] | None:
    """Return a width and height in pixels, if the page told any."""
    if isinstance(told, list | tuple) and len(told) == 2:
        width, height = told
        if all(isinstance(side, int) and 0 < side < 1e6 for side in told):
            return width, height
    return None


def stroke(content: Mapping) -> dict:
    """Return what `trace.stroke` asks for of what the page sent."""
    width = content.get("width")
    return {
        "id": str(content.get("id", "")),
        "kind": str(content.get("kind", "")),
        "points": content.get("points"),
        "width": width,
        "erase": content.get("erase") is True,
        "onto": str(content.get("onto", "")),
    }


def proposal(content: Mapping, colours: Colours | None) -> dict:
    """Return the region grown as the page asks; nothing when it is left or taken."""
    if content.get("at") is None or colours is None:
        return {}
    grown = colours.grown(content["at"], content.get("far"), content.get("smooth_mm", 2.0))
    return {"at": list(content["at"]), **asdict(grown)}


def measured(content: Mapping, photo: Photo, units: str) -> Photo:
    """Return the photo scaled ("calibrate", "square") or rectified ("rectify") as the page asks.

    Raises SheetkitError; the photo stays as it was.
    """

    def length(key: str) -> float:
        return unit_text.parse(content.get(key, ""), "length", field=f"photo {key}", bare=units)

    if content["type"] == "square":
        return photo.with_square(length("square"))
    click = content.get("click_px")
    click = float(click) if isinstance(click, int | float) and 0 < click < 1e3 else CLICK_PX
    if content["type"] == "calibrate":
        return photo.calibrated(content.get("points"), length("distance"), click_px=click)
    width, height = length("width"), length("height")
    if content.get("sure") is not True:
        photo.check_ratio(content.get("points"), width, height)
    return photo.rectified(content.get("points"), width, height, click_px=click)
