"""A first order with its waits while the kernels are still being compiled: skips on large cells."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from ..base.showing import counted
from ..heat.grid import GridChoice, count_cells
from ..heat.rules import Rules
from ..heat.sheet_model import SheetModel, uncompiled
from ..heat.state import Timing
from ..heat.workpiece import Workpiece
from .orders import loop_order, skip_order
from .places import CoolPlace, Places

CELL_MM, MOST_CELLS = 8.0, 6000
"""Cells of a first look, and how many at most: then larger ones are taken."""
TRIED, WIDEST_SKIP = 440, 12
"""Stitches marched in all: this over their number is how many skips are looked at, at least two."""


@dataclass(frozen=True)
class FirstLook:
    """The best of a few skip orders, to look at until the plan is there; no plan itself.

    Timed by the plan's own rules, but on cells twice as large or more, not
    searched for, not checked on a finer grid, not varied.  Fields as in
    `SequencePlan`.
    """

    tack_order: tuple[int, ...]
    tack_s: float
    order: tuple[int, ...]
    start_s: tuple[float, ...]
    wait_s: tuple[float, ...]
    total_s: float
    peak_before_start_c: tuple[float, ...]
    method: str
    patch: tuple[int, ...]

    def __repr__(self) -> str:
        return f"FirstLook({counted(len(self.order), 'stitch', 'stitches')}, {self.method}: {self.total_s:.0f} s)"


def look(
    piece: Workpiece,
    protect: Sequence[CoolPlace],
    rules: Rules,
    tack_order: Sequence[int],
    watch: Callable[[int, int], bool],
) -> FirstLook | None:
    """Return a first look; None where `watch` (done, total) says to stop, or nothing cools."""
    model = _model(piece)
    held = Places(protect, (model, model, model), watch).hold()
    last = tack_order[-1] if len(tack_order) else -1
    tacking = model.time(tack_order, rules, held=held)
    tacks, count = len(piece.tacks), len(piece.stitches)
    skips = range(2, min(WIDEST_SKIP, count // 2 + 1))[: max(2, TRIED // count)]
    orders = [*((f"skip {k}", skip_order(count, k)) for k in skips), ("loop", loop_order(count))]
    best: tuple[str, list[int], Timing] | None = None
    quickest_s = math.inf
    for number, (name, order) in enumerate(orders):
        if watch(number, len(orders)):
            break
        timing = model.time(tacks + np.asarray(order), rules, state=tacking.state, after=last,
                            held=held, cutoff_s=quickest_s)  # fmt: skip
        if np.isfinite(timing.start_s).all() and timing.total_s < quickest_s:
            best, quickest_s = (name, order, timing), timing.total_s
    if best is None:
        return None
    name, order, timing = best
    return FirstLook(
        tuple(int(n) for n in tack_order),
        tacking.end_s,
        tuple(order),
        tuple((timing.start_s - tacking.end_s).tolist()),
        tuple(timing.wait_s.tolist()),
        quickest_s,
        tuple(timing.peak_before_start_c.tolist()),
        name,
        tuple(int(run.patch) for run in piece.stitches),
    )


def _model(piece: Workpiece) -> SheetModel:
    """Return the sheet on few, large cells, marched without compiled kernels."""
    stitch_mm = float(np.median([max(run.length_mm, 10.0) for run in piece.stitches]))
    cell_mm = min(CELL_MM, stitch_mm / 2)
    cells = count_cells(piece.sheet, piece.zones, GridChoice(cell_mm=cell_mm))
    if cells > MOST_CELLS:
        cell_mm = min(cell_mm * math.sqrt(cells / MOST_CELLS), 20.0)
    return SheetModel(piece, GridChoice(cell_mm=cell_mm), uncompiled)
