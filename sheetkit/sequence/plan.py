"""Which stitch next, and how long to wait: an order with waits from the heat-flow model.

A stitch may start when the arm is there and the temperature along it, without
its own heat, stays at or below the interpass limit from its start to 20 s
later: without this look-ahead one would weld beside a fresh stitch before
its heat arrives.  An order limits heat build-up, burn-through and burnt
coatings; the weld's shrinkage stays and has to be planished out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from shapely.geometry.base import BaseGeometry

from ..base.errors import check, refuse
from ..heat.sheet_model import SheetModel, kernels
from ..heat.weld_source import WeldRun
from .orders import tack_rounds
from .planner import (
    Alternative,
    Planner,
    imbalance_of,
    outcome,
    pareto_front,
    search_orders,
    total_of,
    vary,
    verify,
)

LOOK_AHEAD_S = 20.0
SETTLE_S = 3.0
"""Time to find the next place and lower the helmet. Common practice, no source."""


@dataclass(frozen=True)
class Protected:
    """A place that must stay cool: name, shapely point or line in mm, limit in deg C."""

    name: str
    place: BaseGeometry
    limit_c: float


@dataclass(frozen=True)
class SequencePlan:
    """The order, its starts and waits, and how good they are.

    tack_order : indices into the tacks; tack_start_s, tack_s : their starts and the
        time of the tacking rounds, first start to last end
    order : stitch indices in welding order; the next three go with it, place by place
    start_s : s after the end of tacking (tack_s); wait_s : waits beyond the move;
        peak_before_start_c : the highest temperature along the stitch from its
        start to 20 s later, without its own heat
    total_s : first start to last end of the fill; loop_total_s : the same, once
        round; no_wait_bound_s : arc times and moves of this order without a wait
    method, grid_mm : how the order was found; the grid it was timed on
    patch : of each stitch by index
    protected_peaks : name -> (highest temperature, limit), tacking included
    alternatives : the orders tried, shortest first
    robustness : (low, high) total_s when heat input, conductivity and losses vary by 20 %
    verified_excess_c : by how much the same starts are over the limit on a grid of half the cell
    """

    tack_order: tuple[int, ...]
    tack_start_s: tuple[float, ...]
    tack_s: float
    order: tuple[int, ...]
    start_s: tuple[float, ...]
    wait_s: tuple[float, ...]
    total_s: float
    loop_total_s: float
    no_wait_bound_s: float
    peak_before_start_c: tuple[float, ...]
    method: str
    grid_mm: float
    patch: tuple[int, ...]
    heat_imbalance_mm: float
    protected_peaks: dict[str, tuple[float, float]]
    alternatives: tuple[Alternative, ...]
    robustness: tuple[float, float]
    verified_excess_c: float
    interpass_limit_c: float
    stopped: bool = False
    model: SheetModel | None = field(default=None, repr=False, compare=False)

    @property
    def gain(self) -> float:
        """How many times longer going once round would take."""
        return self.loop_total_s / self.total_s

    def schedule(self) -> tuple[list[int], list[float]]:
        """Return (order, start_s) of tacks and fill on one clock, for `model.simulate`."""
        tacks = len(self.tack_order)
        order = [*self.tack_order, *(tacks + n for n in self.order)]
        return order, [*self.tack_start_s, *(self.tack_s + s for s in self.start_s)]


def plan_sequence(
    tacks: Sequence[WeldRun],
    stitches: Sequence[WeldRun],
    *,
    panel: BaseGeometry | None = None,
    seams: Sequence[BaseGeometry],
    thickness_mm: float,
    interpass_limit_c: float = 60.0,
    ambient_c: float = 20.0,
    protect: Sequence[Protected] = (),
    tack_order: Sequence[int] | None = None,
    move_mm_s: float = 100.0,
    settle_s: float = SETTLE_S,
    look_ahead_s: float = LOOK_AHEAD_S,
    grid_mm: float = 4.0,
    progress: Callable[[str, int, int], Any] | None = None,
    stop: Callable[[], bool] | None = None,
    effort: float = 1.0,
    seed: int = 1,
    **sheet: Any,
) -> SequencePlan:
    """Plan the order and the waits of the fill that follows the tacking rounds.

    Parameters
    ----------
    tacks, stitches : WeldRuns; stitches in the order of going once round, patch by patch
    panel : Polygon or None (a box around the seams); seams : LineStrings, the open kerf
    thickness_mm : 0.3 to 6
    interpass_limit_c : at least 5 K above ambient_c, up to 400
    protect : places with limits; stitches wait for them too
    tack_order : None: by `tack_rounds`
    move_mm_s, settle_s : a move takes settle_s + distance / move_mm_s
    grid_mm : cell along the seams; the search uses twice, the check half of it
    progress : called with (what, done, of how many); stop : returns True to end
        the search and keep the best order so far
    effort : time given to the search, 0.02 to 20 times the usual
    seed : of the annealing; equal inputs and seeds give equal plans
    sheet : further options of `SheetModel`

    Returns
    -------
    SequencePlan

    Raises
    ------
    OutOfRange : field, value, limit and remedy in its message
    """
    if not len(stitches):
        refuse("stitches", 0, "must be at least 1", "give the stitches of the seam")
    check("interpass_limit_c", interpass_limit_c, ambient_c + 5, 400, "degC")
    check("move_mm_s", move_mm_s, 1, 1e4, "mm/s")
    check("settle_s", settle_s, 0, 600, "s")
    check("look_ahead_s", look_ahead_s, 1, 300, "s")
    check("effort", effort, 0.02, 20)
    kernels(progress)
    stitch_mm = float(np.median([max(run.length_mm, 10.0) for run in stitches]))
    grid_mm = min(grid_mm, stitch_mm / 2.5)

    def model(cell: float) -> SheetModel:
        return SheetModel(
            panel, seams, thickness_mm=thickness_mm, tacks=tacks, stitches=stitches, cell_mm=cell,
            ambient_c=ambient_c, protect=[spot.place for spot in protect], **sheet,
        )  # fmt: skip

    fine, coarse = model(grid_mm), model(2 * grid_mm)
    rules = {"limit_c": float(interpass_limit_c), "look_ahead_s": look_ahead_s,
             "settle_s": settle_s, "move_mm_s": move_mm_s}  # fmt: skip
    held = [spot.limit_c for spot in protect]
    run = Planner(fine, coarse, rules, held, progress, stop, effort)
    if tack_order is None:
        tack_order = [n for part in tack_rounds(tacks) for n in part]
    tack_order = [int(n) for n in tack_order]
    last = tack_order[-1] if tack_order else -1

    tacking = run.tack(fine, tack_order)
    tacked_coarse = run.tack(coarse, tack_order).state
    found, timings = search_orders(run, tacking.state, tacked_coarse, last, seed)
    loop = timings["loop"]
    best = min(found, key=lambda one: one.total_s)
    timing = timings[best.method]
    checked = model(grid_mm / 2)
    timing, excess = verify(run, checked, tack_order, tacking, best.order, timing, last)
    found = [outcome(run, one.method, one.order, timing) if one is best else one for one in found]
    low, high = vary(run, tack_order, best.order, last, float(total_of(timing)))

    starts = timing.start_s - tacking.end_s
    waits = timing.wait_s
    peaks = {
        spot.name: (float(max(a, b)), float(spot.limit_c))
        for spot, a, b in zip(protect, tacking.points_peak_c, timing.points_peak_c, strict=True)
    }
    return SequencePlan(
        tack_order=tuple(tack_order),
        tack_start_s=tuple(tacking.start_s.tolist()),
        tack_s=float(tacking.end_s),
        order=best.order,
        start_s=tuple(starts.tolist()),
        wait_s=tuple(waits.tolist()),
        total_s=total_of(timing),
        loop_total_s=total_of(loop),
        no_wait_bound_s=total_of(timing) - float(waits[1:].sum()),
        peak_before_start_c=tuple(timing.peak_before_start_c.tolist()),
        method=best.method,
        grid_mm=float(grid_mm),
        patch=tuple(int(run.patch) for run in stitches),
        heat_imbalance_mm=imbalance_of(fine, best.order, timing),
        protected_peaks=peaks,
        alternatives=pareto_front(found),
        robustness=(low, high),
        verified_excess_c=excess,
        interpass_limit_c=float(interpass_limit_c),
        stopped=run.stopped,
        model=fine,
    )


def retimed(plan: SequencePlan, order: Sequence[int]) -> SequencePlan:
    """Return the plan with your own order of the fill, timed on the same grid by the same rules.

    Protected places are followed but not waited for.

    Raises
    ------
    OutOfRange : `order` doesn't name every stitch once
    """
    order, count = [int(n) for n in order], len(plan.patch)
    if sorted(order) != list(range(count)):
        refuse("order", f"{len(order)} turns", f"must name each of 0 to {count - 1} once",
               "leave none out and none twice")  # fmt: skip
    model, tacks = plan.model, len(plan.tack_order)
    tacked = model.time(plan.tack_order, start_s=plan.tack_start_s, look_ahead_s=0.0).state
    timing = model.time([tacks + n for n in order], state=tacked, limit_c=plan.interpass_limit_c,
                        after=plan.tack_order[-1] if tacks else -1)  # fmt: skip
    return replace(
        plan, order=tuple(order), start_s=tuple((timing.start_s - plan.tack_s).tolist()),
        wait_s=tuple(timing.wait_s.tolist()), total_s=total_of(timing),
        no_wait_bound_s=total_of(timing) - float(timing.wait_s[1:].sum()), method="your own",
        peak_before_start_c=tuple(timing.peak_before_start_c.tolist()),
        heat_imbalance_mm=imbalance_of(model, order, timing), robustness=(math.nan, math.nan),
    )  # fmt: skip
