"""The lines a drawing pad shows over the drawing: cut line, patch, seam."""

from __future__ import annotations

import numpy as np
import shapely

from ...base import amounts
from ...repair.estimate import Estimate

SEEN_MM = 0.03
"""Lines over the drawing are true to this, far finer than a panel is cut."""


def overlays(result: Estimate, *, display: str = "mm") -> list[dict]:
    """Return cut lines, patches and seams as a pad shows them over the drawing, mm."""
    seam = amounts.show(result.values["seam_length_mm"], "length", units=display)

    def rings(shapes) -> list:
        lines = shapely.simplify(list(shapes), SEEN_MM)
        return [np.round(shapely.get_coordinates(line), 2).tolist() for line in lines]

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
    ]
