"""What goes between the page and the pad: the page's code, and texts typed there."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from .. import units as unit_text
from .drawing import Drawing
from .photo import CLICK_PX, Photo
from .shapes import KINDS

FOLDER = Path(__file__).parent
MODULES = ("geometry", "draw", "panels", "photo", "channel", "input")
_DIMENSIONS = {"mm": "length", "°C": "temperature", "°": "angle"}


def code() -> str:
    """Return pad.js with the modules it imports as one text, which is what anywidget takes."""
    parts = []
    for name in (*(f"pad_{module}.js" for module in MODULES), "pad.js"):
        text = (FOLDER / name).read_text(encoding="utf-8")
        text = re.sub(r"^import [^;]*;\n", "", text, flags=re.MULTILINE)
        parts.append(
            text if name == "pad.js" else re.sub(r"^export ", "", text, flags=re.MULTILINE)
        )
    return "\n".join(parts)


def typed(edit: Mapping, drawing: Drawing, units: str) -> dict:
    """Return an edit whose typed value ("12 in") is a number.

    Raises SheetkitError if the text is no quantity of the right kind.
    """
    if edit.get("op") != "describe" or not isinstance(edit.get("value"), str):
        return dict(edit)
    kind = KINDS[drawing[edit.get("id")].kind]
    dimension = _DIMENSIONS.get(kind.unit, "length")
    bare = units if dimension == "length" else None
    value = unit_text.parse(edit["value"], dimension, field=kind.value_label, bare=bare)
    return {**edit, "value": value}


def measured(content: Mapping, photo: Photo, units: str) -> Photo:
    """Return the photo scaled ("calibrate") or rectified ("rectify") as the page asks.

    Raises SheetkitError; the photo stays as it was.
    """

    def length(key: str) -> float:
        return unit_text.parse(content.get(key, ""), "length", field=f"photo {key}", bare=units)

    click = content.get("click_px")
    click = float(click) if isinstance(click, int | float) and 0 < click < 1e3 else CLICK_PX
    if content["type"] == "calibrate":
        return photo.calibrated(content.get("points"), length("distance"), click_px=click)
    width, height = length("width"), length("height")
    return photo.rectified(content.get("points"), width, height, click_px=click)
