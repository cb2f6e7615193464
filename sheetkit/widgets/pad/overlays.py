"""The lines a drawing pad shows over the drawing: cut line, patch, seam, bends."""

from __future__ import annotations

import numpy as np
import shapely

from ...base import amounts
from ...job.job import Job
from ...repair.estimate import Estimate
from ...sketch.drawing import Drawing
from ...views.folded_scene import TURNED, sheet_of

SEEN_MM = 0.03
"""Lines over the drawing are true to this, far finer than a panel is cut."""


def overlays(result: Estimate, *, display: str = "mm") -> list[dict]:
    """Return cut lines, patches and seams as a pad shows them over the drawing, mm."""
    seam = amounts.show(result.values["seam_length_mm"], "length", units=display)

    def rings(shapes) -> list:
        lines = shapely.simplify(list(shapes), SEEN_MM)
        return [np.round(shapely.get_coordinates(line), 2).tolist() for line in lines]

    lips = [
        {
            "kind": "bend",
            "label": f"bend {lip.bend.number}, lip {lip.bend.angle_deg:.0f}°",
            "lines": rings([lip.bend.line]),
        }
        for patch in result.patches
        for lip in patch.lips
    ]
    return [
        {
            "kind": "patch_outline",
            "rings": rings(patch.outline.exterior for patch in result.patches),
        },
        {"kind": "seam", "lines": rings(result.runs)},
        {
            "kind": "cut_line",
            "label": f"cut line; seam {seam}",
            "rings": rings(patch.cut_line.exterior for patch in result.patches),
        },
        *lips,
    ]


def bends(job: Job, drawing: Drawing) -> list[dict]:
    """Return the bend lines and zones of a job's profile over all of the unrolled sheet, mm."""
    section = job.section
    if section is None:
        return []
    points = [point for shape in drawing.shapes for point in shape.points]
    sheet = sheet_of(job, section, shapely.multipoints(np.array(points).reshape(-1, 2)))
    across = shapely.envelope(sheet) if job.panel_shape is not None else sheet

    def rings(shape) -> list:
        return [
            np.round(shapely.get_coordinates(part), 2).tolist()
            for part in shapely.get_parts(shapely.get_exterior_ring(shapely.get_parts(shape)))
        ]

    made: list[dict] = []
    if job.panel_shape is None:
        made.append({"kind": "sheet", "label": "unrolled sheet", "rings": rings(sheet)})
    for bend in section.bends:
        zone = section.between(bend.start_mm, bend.end_mm, across)
        lines = [
            np.round(line.coords, 2).tolist() for line in section.line_at(bend.middle_mm, across)
        ]
        words = f"bend {bend.number}, {bend.angle_deg:.0f}°, {TURNED[bend.toward]}"
        short = words.rpartition(",")[0]
        made.append({"kind": "bend_zone", "rings": rings(zone)})
        made.append({"kind": "bend", "label": words, "short": short, "lines": lines})
    return made
