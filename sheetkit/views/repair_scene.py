"""What a picture of a repair shows: shapes with their kind and label.

The charts and the live picture draw the same scene, so they can't disagree.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from ..base import amounts
from ..geometry import welds
from ..job.job import Job
from ..repair.estimate import Estimate
from ..repair.place_cautions import off_or_shield
from .palette import STYLES, Style


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
    panel, rust, near = drawn(job, display=display)
    patch = Mark("patch", _together(patch.outline for patch in result.patches), "patch")
    marks = [*panel, patch, *rust]
    plug = job.patch.joint == "plug"
    seam = Mark("seam, plug" if plug else "seam", _together(result.runs), "seam")
    cut = Mark("cut", _together(patch.cut_line.exterior for patch in result.patches), "cut line")
    marks += [seam, cut]
    if plug:
        holes = [path[0] for path in welds.paths(result.welds, result.runs)]
        marks.append(Mark("plug", shapely.multipoints(np.array(holes)), "plug weld"))
    bends = [bend.line for patch in result.patches for bend in patch.bends]
    if bends:
        marks.append(Mark("bend", _together(bends), "bend line"))
    return [*marks, *near]


def drawn(job: Job, *, display: str = "mm") -> tuple[list[Mark], list[Mark], list[Mark]]:
    """Return what stands in the job itself: the panel, the rust, and what lies near."""
    panel = [Mark("panel", job.panel_shape, "panel")] if job.panel_shape is not None else []
    near = []
    for item in job.panel.protect:
        shape = shapely.Point(item.at) if item.at else shapely.LineString(item.line)
        near.append(Mark("protect", shape, f"{off_or_shield(item.name)}: {item.name}"[:48]))
    for stiff in job.panel.stiff:
        near.append(
            Mark(
                "stiff", shapely.LineString(stiff.line), f"stays straight {stiff.name}"[:40].strip()
            )
        )
    for swage in job.panel.swages:
        wide = amounts.show(swage.width, "length", units=display)
        near.append(Mark("swage", shapely.LineString(swage.line), f"swage, {wide} wide"))
    for mounting in job.panel.mountings:
        ring = shapely.Point(mounting.at).buffer(mounting.ring).exterior
        reach = amounts.show(mounting.ring, "length", units=display)
        near.append(Mark("mounting", ring, f"{reach} round {mounting.name}"[:40]))
    return panel, [Mark("rust", job.rust_shape, "rust as drawn")], near


def _together(shapes) -> BaseGeometry:
    """Return shapes as one collection, without joining them."""
    return shapely.geometrycollections(list(shapes))


def window(result: Estimate, *, close: bool = False) -> tuple[float, float, float, float]:
    """Return (left, bottom, right, top) of what to show, mm, with a little room around."""
    shown = _together(patch.outline for patch in result.patches)
    if not close and result.job.panel_shape is not None:
        shown = result.job.panel_shape
    return around(shown, 0.08 if close else 0.05)


def around(shape: BaseGeometry, share: float = 0.05) -> tuple[float, float, float, float]:
    """Return (left, bottom, right, top) round a shape, mm, with a share of its size to spare."""
    left, bottom, right, top = shape.bounds
    pad = share * max(right - left, top - bottom)
    return left - pad, bottom - pad, right + pad, top + pad
