"""What a picture of a repair shows: shapes with their kind and label, and one style per kind.

The charts and the live picture draw the same scene, so they can't disagree.
Colours are Okabe and Ito's, which stay apart with every common colour
blindness; every kind also has its own line style.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ..base import amounts
from ..geometry import welds
from ..repair.cautions import off_or_shield
from ..repair.estimate import Estimate

BLACK, ORANGE, SKY, GREEN, BLUE, VERMILION, PURPLE = (
    "#000000",
    "#E69F00",
    "#56B4E9",
    "#009E73",
    "#0072B2",
    "#D55E00",
    "#CC79A7",
)


@dataclass(frozen=True)
class Style:
    """How a kind is drawn: fill, line, width in points, dashes in points, hatched, marker."""

    fill: str = "none"
    line: str = BLACK
    width: float = 1.2
    dashes: tuple[float, ...] = ()
    hatch: bool = False
    marker: str = ""


STYLES = {
    "panel": Style("#f4f4f2", "#737373"),
    "patch": Style("#cfe6f5", BLUE),
    "rust": Style("#f3c9a8", VERMILION, 1.0, hatch=True),
    "seam": Style(line=ORANGE, width=4.0),
    "seam, plug": Style(line=ORANGE, width=2.0, dashes=(1.5, 2.5)),
    "cut": Style(line=BLACK, width=1.3, dashes=(6, 3)),
    "plug": Style("#ffffff", BLACK, 1.2, marker="o"),
    "bend": Style(line=GREEN, width=1.6, dashes=(8, 3, 2, 3)),
    "protect": Style(PURPLE, PURPLE, 2.6, (2, 2), marker="s"),
    "mounting": Style(line=GREEN, width=1.4, dashes=(4, 2, 1, 2)),
}


@dataclass(frozen=True)
class Mark:
    """One thing in the picture; its shape in mm."""

    kind: str
    shape: BaseGeometry
    label: str

    @property
    def style(self) -> Style:
        """How its kind is drawn."""
        return STYLES[self.kind]


def repair(result: Estimate, *, display: str = "mm") -> list[Mark]:
    """Return the picture of a repair, from the back to the front."""
    job = result.job
    marks = [Mark("panel", job.panel_shape, "panel")] if job.panel_shape is not None else []
    marks += [
        Mark("patch", _together(patch.outline for patch in result.patches), "patch"),
        Mark("rust", job.rust_shape, "rust as drawn"),
    ]
    plug = job.patch.joint == "plug"
    seam = Mark("seam, plug" if plug else "seam", _together(result.runs), "seam")
    cut = Mark("cut", _together(patch.cut_line.exterior for patch in result.patches), "cut line")
    marks += [seam, cut]
    if plug:
        holes = [path[0] for path in welds.paths(result.welds, result.runs)]
        marks.append(Mark("plug", shapely.multipoints(np.array(holes)), "plug weld"))
    bends = [line for patch in result.patches for line in patch.bends]
    if bends:
        marks.append(Mark("bend", _together(bends), "bend line"))
    for item in job.panel.protect:
        shape = shapely.Point(item.at) if item.at else shapely.LineString(item.line)
        marks.append(Mark("protect", shape, f"{off_or_shield(item.name)}: {item.name}"[:48]))
    for item in job.panel.mountings:
        ring = shapely.Point(item.at).buffer(item.ring).exterior
        reach = amounts.show(item.ring, "length", units=display)
        marks.append(Mark("mounting", ring, f"{reach} round {item.name}"[:40]))
    return marks


def _together(shapes) -> BaseGeometry:
    """Return shapes as one collection, without joining them."""
    return shapely.geometrycollections(list(shapes))


def window(result: Estimate, *, close: bool = False) -> tuple[float, float, float, float]:
    """Return (left, bottom, right, top) of what to show, mm, with a little room around."""
    shown = _together(patch.outline for patch in result.patches)
    if not close and result.job.panel_shape is not None:
        shown = result.job.panel_shape
    left, bottom, right, top = shown.bounds
    pad = (0.08 if close else 0.05) * max(right - left, top - bottom)
    return left - pad, bottom - pad, right + pad, top + pad
