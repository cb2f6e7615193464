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

from ..base.errors import check, refuse
from ..base.showing import Range, Shown, counted
from ..heat.grid import GridChoice, count_cells
from ..heat.rules import Rules
from ..heat.sheet_model import Order, SheetModel
from ..heat.state import Held, State, Timing
from ..heat.workpiece import Workpiece
from . import warm
from .alternatives import Alternative, imbalance_of, with_front
from .first_look import FirstLook, look
from .orders import tack_rounds
from .places import CoolPlace, PlacePeak
from .planner import Planner, SearchChoice
from .shop_heat import ShopHeat
from .stages import search_orders, settle_best
from .varied import UNKNOWN, Band, vary

MOST_CELLS = 80_000
"""A long seam is timed on larger cells, so that planning takes a minute and not five."""


@dataclass(frozen=True, repr=False)
class SequencePlan(Shown):
    """The order, its starts and waits, and how good they are.

    tack_order : indices into the tacks; tack_start_s, tack_s : their starts and the
        time of the tacking rounds, first start to last end
    order : stitch indices in welding order; the next three go with it, place by place
    start_s : s after the end of tacking (tack_s); wait_s : waits beyond the move;
        peak_before_start_c : the highest temperature along the stitch from its
        start to 20 s later, without its own heat
    total_s : from the end of tacking to the end of the last stitch, a wait before the
        first one too; loop_total_s : the same, once round; no_wait_bound_s : arc times
        and moves of this order without a wait; least_total_s : what no order of these welds
        is shorter than: by all arcs with the shortest move to each, or by all orders marched
    method, grid_mm : how the order was found; the grid it was timed on
    patch : of each stitch by index
    protected : the places that must stay cool, in the order they were given
    unheld_total_s : total_s of this order if no start waited for them
    alternatives : the orders tried, shortest first
    band : total and waits when heat input, conductivity and losses vary by 20 %, or half is lost
    verified_excess_c : by how much the same starts, tacks too, are over the limit on a grid of
        half the cell; other reckonings differ by about 1 K more: no bound
    rules : what every start is held to
    model : the sheet it was timed on
    held : limits of the protected places that starts wait for, and by how much less than the
        limit each weld may find, both lowered by what a finer grid found over; what is timed
        again is timed by these
    own : the shop's own heat and losses it was planned with; None: the book's
    heat_share : the heat it was planned with, over the book's
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
    least_total_s: float
    peak_before_start_c: tuple[float, ...]
    method: str
    grid_mm: float
    patch: tuple[int, ...]
    heat_imbalance_mm: float
    protected: tuple[PlacePeak, ...]
    unheld_total_s: float
    alternatives: tuple[Alternative, ...]
    band: Band
    verified_excess_c: float
    rules: Rules
    model: SheetModel = field(compare=False)
    held: Held = field(compare=False)
    stopped: bool = False
    own: ShopHeat | None = None
    heat_share: float = 1.0

    def __repr__(self) -> str:
        tacks = f"after {counted(len(self.tack_order), 'tack')}, " if self.tack_order else ""
        hot = counted(over, "place") if (over := sum(one.over for one in self.protected)) else ""
        return (
            f"SequencePlan({counted(len(self.order), 'stitch', 'stitches')} {tacks}"
            f"{self.method}: {self.total_s:.0f} s; once round takes {self.gain:.1f} times as long; "
            f"limit {self.interpass_limit_c:g} °C{f'; {hot} TOO HOT' if hot else ''})"
        )

    @property
    def gain(self) -> float:
        """How many times longer going once round would take."""
        return self.loop_total_s / self.total_s

    @property
    def robustness(self) -> tuple[float, float]:
        """The shortest and longest total_s of the band; NaN where it isn't known."""
        return self.band.total_s

    @property
    def waits(self) -> Range:
        """All waits of the fill, s: as planned, with the band's ends."""
        planned = max(self.total_s - self.no_wait_bound_s, 0.0)
        low, high = (max(total - self.no_wait_bound_s, 0.0) for total in self.robustness)
        return Range(min(low, planned), planned, max(high, planned), "s")

    @property
    def interpass_limit_c(self) -> float:
        """The highest temperature along a stitch at which it may start, deg C."""
        return self.rules.limit_c

    @property
    def taken(self) -> tuple[float, float]:
        """Heat and losses of the plan's sheet, over the book's."""
        return self.heat_share, 1.0 if self.own is None else self.own.loss

    @property
    def last_tack(self) -> int:
        """The weld the arm comes from when the fill begins; -1 without tacks."""
        return self.tack_order[-1] if self.tack_order else -1

    def schedule(self) -> tuple[list[int], list[float]]:
        """Return (order, start_s) of tacks and fill on one clock, for `heat.record.simulate`."""
        tacks = len(self.tack_order)
        order = [*self.tack_order, *(tacks + n for n in self.order)]
        return order, [*self.tack_start_s, *(self.tack_s + s for s in self.start_s)]

    def tacked(self) -> State:
        """Return the sheet at the end of the last tack."""
        return self.model.play(self.tack_order, self.tack_start_s).state

    def timed(
        self,
        order: Order,
        rules: Rules,
        *,
        state: State | None = None,
        after: int | None = None,
        held: Held | None = None,
    ) -> Timing:
        """Time stitches by `rules` from `state` (the tacked sheet), coming from weld `after`."""
        return self.model.time(
            len(self.tack_order) + np.asarray(order), rules,
            state=self.tacked() if state is None else state,
            after=self.last_tack if after is None else after, held=held,
        )  # fmt: skip


def plan_sequence(
    piece: Workpiece,
    protect: Sequence[CoolPlace] = (),
    *,
    rules: Rules | None = None,
    tack_order: Sequence[int] | None = None,
    choice: SearchChoice | None = None,
    progress: Callable[[str, int, int], Any] | None = None,
    stop: Callable[[], bool] | None = None,
    first_look: Callable[[FirstLook], Any] | None = None,
) -> SequencePlan:
    """Plan the order and the waits of the fill that follows the tacking rounds.

    Parameters
    ----------
    piece : Workpiece; its stitches in the order of going once round, patch by patch
    protect : places with limits; stitches wait for them too
    rules : Rules; the limit at least 5 K above the air, up to 400 degC
    tack_order : None: by `tack_rounds`
    choice : SearchChoice; grid, effort and seed
    progress : called with (what, done, of how many); stop : returns True to end
        the search and keep the best order so far
    first_look : called with a `FirstLook` where the kernels are still being
        compiled, so that there is something to see until the plan comes

    Returns
    -------
    SequencePlan

    Raises
    ------
    OutOfRange : field, value, limit and remedy in its message
    """
    rules, choice = rules or Rules(), choice or SearchChoice()
    if not len(piece.stitches):
        refuse("stitches", 0, "must be at least 1", "give the stitches of the seam")
    check("interpass_limit_c", rules.limit_c, piece.losses.ambient_c + 5, 400, "degC")
    check("look_ahead_s", rules.look_ahead_s, 1, 300, "s")
    piece = replace(piece, protect=[spot.place for spot in protect])
    if tack_order is None:
        tack_order = [n for part in tack_rounds(piece.tacks) for n in part]
    if first_look is not None and warm.compiling():
        found_first = look(piece, protect, rules, tack_order, _watch(progress, stop))
        if found_first is not None:
            first_look(found_first)
    warm.wait(progress)
    grid_mm = _grid_mm(piece, choice.grid_mm)
    fine, coarse, checked = (
        SheetModel(piece, GridChoice(cell_mm=part * grid_mm)) for part in (1.0, 2.0, 0.5)
    )
    run = Planner(
        (fine, coarse, checked), rules, protect, tack_order, choice, progress=progress, stop=stop
    )
    search_orders(run)
    tacking = run.tacking
    best, fill = settle_best(run)
    total_s = fill.timing.total_s
    welds = run.tacks + np.asarray(best.order)
    unheld = fill.timing
    if run.places.held.any():
        unheld = fine.time(welds, rules, state=run.tacked, after=run.last,
                           held=fill.held.without_lines())  # fmt: skip
    return SequencePlan(
        tack_order=tuple(run.tack_order),
        tack_start_s=tuple(tacking.timing.start_s.tolist()),
        tack_s=tacking.timing.end_s,
        least_total_s=min(run.least_s, total_s),
        loop_total_s=run.timings["loop"].total_s,
        grid_mm=grid_mm,
        patch=tuple(int(weld.patch) for weld in piece.stitches),
        alternatives=with_front(run.found),
        band=vary(run, best.order, fill.timing),
        unheld_total_s=unheld.total_s,
        verified_excess_c=max(tacking.excess_k, fill.excess_k),
        rules=rules,
        stopped=run.stopped,
        model=fine,
        held=fill.held,
        protected=run.places.peaks(
            *(one.points_peak_c for part in (tacking, fill) for one in (part.timing, part.finer))
        ),
        **_fill_of(fine, best.method, best.order, fill.timing, tacking.timing.end_s),
    )


def _watch(
    progress: Callable[[str, int, int], Any] | None, stop: Callable[[], bool] | None
) -> Callable[[int, int], bool]:
    """Return a function (done, total) that tells of the first look and says whether to stop."""

    def report(done: int, total: int) -> bool:
        if progress:
            progress("first look", done, total)
        return bool(stop and stop())

    return report


def _grid_mm(piece: Workpiece, wanted_mm: float) -> float:
    """Return the cell to time on: fine enough for the stitches, not more cells than MOST_CELLS."""
    stitch_mm = float(np.median([max(run.length_mm, 10.0) for run in piece.stitches]))
    grid_mm = min(wanted_mm, stitch_mm / 2.5)
    cells = count_cells(piece.sheet, piece.zones, GridChoice(cell_mm=grid_mm))
    return float(min(max(grid_mm * math.sqrt(cells / MOST_CELLS), grid_mm), stitch_mm / 2.0))


def _fill_of(
    model: SheetModel, method: str, order: Order, timing: Timing, tack_s: float
) -> dict[str, Any]:
    """Return the fields of a plan that say how the fill goes."""
    waits = timing.wait_s
    return {
        "method": method,
        "order": tuple(int(n) for n in order),
        "start_s": tuple((timing.start_s - tack_s).tolist()),
        "wait_s": tuple(waits.tolist()),
        "total_s": timing.total_s,
        "no_wait_bound_s": timing.total_s - float(waits.sum()),
        "peak_before_start_c": tuple(timing.peak_before_start_c.tolist()),
        "heat_imbalance_mm": imbalance_of(model, order, timing),
    }


def retimed(plan: SequencePlan, order: Order) -> SequencePlan:
    """Return the plan with your own order of the fill, timed on the same grid by the same rules.

    The result isn't checked on a finer grid, nor varied.

    Raises
    ------
    OutOfRange : `order` doesn't name every stitch once
    """
    order, count = [int(n) for n in order], len(plan.patch)
    if sorted(order) != list(range(count)):
        refuse("order", f"{len(order)} turns", f"must name each of 0 to {count - 1} once",
               "leave none out and none twice")  # fmt: skip
    tacking = plan.model.play(plan.tack_order, plan.tack_start_s)
    timing = plan.timed(order, plan.rules, state=tacking.state, held=plan.held)
    peaks = np.maximum(tacking.points_peak_c, timing.points_peak_c)
    return replace(
        plan,
        band=UNKNOWN,
        unheld_total_s=plan.timed(
            order, plan.rules, state=tacking.state, held=plan.held.without_lines()
        ).total_s,
        verified_excess_c=math.nan,
        protected=tuple(
            replace(place, peak_c=float(peak))
            for place, peak in zip(plan.protected, peaks, strict=True)
        ),
        **_fill_of(plan.model, "your own", order, timing, plan.tack_s),
    )
