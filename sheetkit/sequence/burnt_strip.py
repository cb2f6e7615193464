"""The strip of paint burnt along the seam, measured across with a ruler: it tells the heat.

Every cell's highest rise is in proportion to the heat, and the losses hardly
matter in the seconds it takes; so the width alone gives the heat ratio.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from ..base.errors import check
from ..base.tables import limit
from ..heat.grid import GridChoice
from ..heat.peak_reached import sections
from ..heat.sheet_model import SheetModel
from .plan import SequencePlan

PAINT_C = limit("heat_paint").value
"""Paint on body sheet has browned where it was hotter than this."""
EDGE_SHARE = 0.15
"""Standard deviation of the rise at which paint browns, as a share of it.  GUESS."""
RULER_MM = 2.0
"""Standard deviation of a strip's width by ruler, its edge being ragged.  GUESS."""
REACH_MM = 90.0
"""How far from the seam the strip is looked for."""
COARSEST_MM = 4.0
NARROWEST_MM, WIDEST_MM = 3.0, 300.0
AFTER_S = 60.0
"""The last stitch's strip is as wide as it gets by then."""


@dataclass(frozen=True)
class MeasuredStrip:
    """The burnt strip's width across the seam, both sides together.

    width_mm : the mean along the stitches, 3 to 300
    edge_c : the temperature at its edge, deg C, 60 to 1200: that of browned paint, or of a
        temperature crayon
    edge_share : standard deviation of that, as a share of the rise; a crayon's is about 0.03
    """

    width_mm: float
    edge_c: float = PAINT_C
    edge_share: float = EDGE_SHARE

    def __post_init__(self) -> None:
        check("strip_mm", self.width_mm, NARROWEST_MM, WIDEST_MM, "mm")
        check("edge_c", self.edge_c, 60, 1200, "degC")
        check("edge_share", self.edge_share, 0.005, 0.5)


def strip_widths(plan: SequencePlan, edge_c: float, heat: np.ndarray) -> np.ndarray:
    """Return the strip's width for heat ratios, mm: the middle one of all stitches.

    Stitches near an edge of the sheet, where the strip runs out, are left out.
    """
    rise, offsets = _across(plan)
    wanted = (edge_c - plan.model.ambient_c) / np.asarray(heat, float)
    found = []
    for profile in rise:
        on_sheet = int(np.append(np.isfinite(profile), False).argmin())
        if not on_sheet:
            continue
        # from the seam outwards the highest rise only falls; ripples of the grid are ironed out
        falling = np.minimum.accumulate(profile[:on_sheet])
        found.append(np.interp(-wanted, -falling, offsets[:on_sheet], left=0.0, right=np.nan))
    known = np.isfinite(found).any(axis=0)
    widths = np.full(wanted.shape, np.nan)
    widths[known] = 2 * np.nanmedian(np.array(found)[:, known], axis=0)
    return widths


def strip_surprise(plan: SequencePlan, strip: MeasuredStrip, heat: np.ndarray) -> np.ndarray:
    """Return how many standard deviations a width is off for each heat ratio; 0 where unknown."""
    widths = strip_widths(plan, strip.edge_c, heat)
    known = np.isfinite(widths)
    if known.sum() < 2:
        return np.zeros_like(widths)
    widths = np.interp(np.log(heat), np.log(heat[known]), widths[known])
    per_share = np.gradient(widths, np.log(heat))
    return (strip.width_mm - widths) / np.hypot(RULER_MM, per_share * strip.edge_share)


def _across(plan: SequencePlan) -> tuple[np.ndarray, np.ndarray]:
    """Return the highest rise by the book's heat at offsets from each stitch's middle, K, and these.

    Two rows a stitch, one a side; NaN off the sheet.
    """
    piece = plan.model.piece
    model = SheetModel(piece, GridChoice(cell_mm=min(plan.grid_mm, COARSEST_MM)))
    peak = model.cold().field  # of both sheets where two overlap
    state = model.play(plan.tack_order, plan.tack_start_s, peak=peak).state
    order, start = plan.schedule()
    tacks = len(plan.tack_order)
    state = model.play(order[tacks:], start[tacks:], state=state, peak=peak).state
    model.cool(state, AFTER_S, peak=peak)
    grid = model.grid
    field = np.where(grid.inner(grid.active) > 0, grid.inner(peak), np.nan)
    x, y = grid.x[1 : 1 + grid.columns], grid.y[1:-1]
    offsets = np.arange(model.cell_mm / 2, REACH_MM, 0.5)
    places = []
    for run in model.stitches:
        middle = shapely.Point(run.at(np.array([0.5]))[0])
        line = min(piece.zones, key=middle.distance)
        places.append((line, line.project(middle)))
    return sections(places, x, y, field, offsets) / plan.taken[0], offsets
