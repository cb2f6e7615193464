"""One planning run: its models and rules, and the orders timed on the fine grid so far."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ..base.errors import check
from ..heat.rules import Rules
from ..heat.sheet_model import Order, SheetModel
from ..heat.state import Held, Timing
from .alternatives import Alternative, outcome
from .places import CoolPlace, Places

MOST_EXCESS_K = 1.0
"""Starts further over the limit than this on the finer grid are timed again."""
MOST_ATTEMPTS = 6
MOST_LESS = 0.5
"""A weld's limit is lowered by no more than this share of its rise."""

Trial = tuple[str, Sequence[int], float]
"""Method, order, and the time after which it is given up."""


@dataclass(frozen=True)
class SearchChoice:
    """How a plan is searched for.

    grid_mm : cell along the seams; the search uses twice, the check half of it
    effort : time given to the search, 0.02 to 20 times the usual
    seed : of the annealing; equal inputs and seeds give equal plans
    """

    grid_mm: float = 4.0
    effort: float = 1.0
    seed: int = 1

    def __post_init__(self) -> None:
        check("effort", self.effort, 0.02, 20)


@dataclass(frozen=True)
class Settled:
    """Starts on the fine grid, the same starts on the finer one, and how far these are over, K.

    held : what the starts were held to in the end, lowered by what was found over
    stands : False where it was left before all were under, as it took too long already
    """

    timing: Timing
    finer: Timing
    excess_k: float
    held: Held
    stands: bool


class Planner:
    """The models of one run, the tacked sheet, the stop signal, and what was found.

    models : to time on, to search on, to check on
    rules, held : what starts are judged by, and the places they wait for
    least_s : what no order is proven to be shorter than
    found, timings : the orders timed on the fine grid, and their timings by method
    """

    def __init__(
        self,
        models: tuple[SheetModel, SheetModel, SheetModel],
        rules: Rules,
        protect: Sequence[CoolPlace],
        tack_order: Sequence[int],
        choice: SearchChoice,
        *,
        progress: Callable[[str, int, int], Any] | None = None,
        stop: Callable[[], bool] | None = None,
    ):
        self.fine, self.coarse, self.checked = models
        self.rules, self.choice = rules, choice
        self.tacks, self.count = len(self.fine.tacks), len(self.fine.stitches)
        self.progress, self.stop, self.stopped = progress, stop, False
        self.places = Places(protect, models, self.watch("protected places"))
        self.held = self.places.hold()
        self.tack_order = [int(n) for n in tack_order]
        self.last = self.tack_order[-1] if self.tack_order else -1
        self.tacking = self.settled(self.tack_order, None, None)
        self.tacked = self.tacking.timing.state
        self.tacked_coarse = self.coarse.time(self.tack_order, rules, held=self.held).state
        self._checked: dict[tuple[int, ...], Settled] = {}
        self.least_s = self._least_no_wait_s()
        self.found: list[Alternative] = []
        self.timings: dict[str, Timing] = {}

    def watch(self, label: str) -> Callable[[int, int], bool]:
        """Return a function (done, total) that reports progress and says whether to stop."""

        def report(done: int, total: int) -> bool:
            if self.progress:
                self.progress(label, done, total)
            if self.stop and self.stop():
                self.stopped = True
            return self.stopped

        return report

    def fill(
        self,
        order: Order,
        *,
        coarse: bool = False,
        cutoff_s: float = math.inf,
    ) -> Timing:
        """Time the fill in `order` on the tacked sheet."""
        model, state = (self.coarse, self.tacked_coarse) if coarse else (self.fine, self.tacked)
        return model.time(
            self.tacks + np.asarray(order), self.rules, state=state, after=self.last,
            held=self.held, cutoff_s=cutoff_s,
        )  # fmt: skip

    def settled(
        self,
        welds: Order,
        timing: Timing | None,
        begin: Settled | None,
        enough_s: float = math.inf,
    ) -> Settled:
        """Time welds on the fine grid until the finer one finds them under the limits as well.

        Where a start, or a protected place, comes out too hot there, all are timed
        again with that one's limit lowered by what it was over; the last time with
        every weld's lowered by the most of all.

        Parameters
        ----------
        welds : indices into the models' welds, in order
        timing : of these, if they were timed before
        begin : the tacking they follow, if they are the fill
        enough_s : once they take so long no more is tried
        """
        welds = np.asarray(welds, int)
        limits_c, less = self.places.limits_c, np.zeros(len(self.fine.welds))
        coarser, finer = (begin.timing.state, begin.finer.state) if begin else (None, None)
        after = self.last if begin else -1
        report = self.watch("check on a finer grid")

        def timed() -> Timing:
            held = self.places.hold(limits_c, less)
            return self.fine.time(welds, self.rules, state=coarser, after=after, held=held)

        timing = timed() if timing is None else timing
        for attempt in range(MOST_ATTEMPTS):
            there = self.checked.play(
                welds, timing.start_s, state=finer, look_ahead_s=self.rules.look_ahead_s
            )
            excess_k = there.peak_before_start_c - self.rules.limit_c
            excess = float(excess_k.max(initial=-np.inf))
            over = self.places.over(timing.points_peak_c, there.points_peak_c)
            done = excess <= MOST_EXCESS_K and not (over > MOST_EXCESS_K / 4).any()
            last = attempt + 1 == MOST_ATTEMPTS
            stands = report(attempt + 1, MOST_ATTEMPTS) or done or last
            if stands or timing.total_s >= enough_s:
                break
            hot = excess_k > MOST_EXCESS_K
            less[welds[hot]] += excess_k[hot]
            if attempt + 2 == MOST_ATTEMPTS:
                less[:] = less.max()
            less = np.minimum(less, MOST_LESS * (self.rules.limit_c - self.fine.ambient_c))
            limits_c = np.maximum(limits_c - over, self.fine.ambient_c + 1)
            timing = timed()
        held = self.places.hold(limits_c, less)
        return Settled(timing, there, max(excess, 0.0), held, stands)

    def checked_fill(
        self, order: Order, timing: Timing | None = None, enough_s: float = math.inf
    ) -> Settled:
        """Return the fill in `order` as the finer grid lets it stand; looked up the second time.

        One that takes enough_s need not stand.
        """
        key = tuple(int(n) for n in order)
        known = self._checked.get(key)
        if known is None or not (known.stands or known.timing.total_s >= enough_s):
            welds = self.tacks + np.asarray(order)
            known = self._checked[key] = self.settled(welds, timing, self.tacking, enough_s)
        return known

    def no_wait_s(self, order: Order) -> float:
        """Return the time of an order in which nothing waits: arcs and moves, s."""
        welds = self.tacks + np.asarray(order)
        ends, placed = self.fine.placed.ends_mm, self.fine.placed
        if self.last >= 0:
            welds = np.append(self.last, welds)
        away = np.hypot(*(ends[welds[1:], :2] - ends[welds[:-1], 2:]).T)
        moves = self.rules.settle_s * away.size + away.sum() / self.rules.move_mm_s
        return float(placed.duration_s[self.tacks + np.asarray(order)].sum() + moves)

    def _least_no_wait_s(self) -> float:
        """Return what no order can be shorter than: all arcs, and to each the shortest move, s."""
        ends = self.fine.placed.ends_mm
        begins, left = ends[self.tacks :, :2], ends[self.tacks :, 2:]
        away = np.hypot(*(begins[:, None] - left[None]).transpose(2, 0, 1))
        np.fill_diagonal(away, np.inf)
        if self.last >= 0:
            away = np.column_stack([away, np.hypot(*(begins - ends[self.last, 2:]).T)])
        moves = self.rules.settle_s + away.min(axis=1) / self.rules.move_mm_s
        free = 0.0 if self.last >= 0 else moves.max()  # the arm is in place for the first
        arcs = sum(run.duration_s for run in self.fine.stitches)
        return float(arcs + (moves.sum() - free if self.count > 1 or self.last >= 0 else 0.0))

    def confirm(self, trial: Trial) -> tuple[str, Sequence[int], Timing]:
        """Time an order on the fine grid."""
        method, order, cutoff_s = trial
        return method, order, self.fill(order, cutoff_s=cutoff_s)

    def keep(self, results: Iterable[tuple[str, Sequence[int], Timing]]) -> None:
        """Keep the orders that came to their end, each in place of one of its method before."""
        for method, order, timing in results:
            if np.isfinite(timing.start_s).all():
                self.timings[method] = timing
                self.found = [one for one in self.found if one.method != method]
                self.found.append(outcome(self.fine, method, order, timing))
