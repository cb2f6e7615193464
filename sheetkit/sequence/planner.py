"""One planning run: its models and rules, and the orders timed on the fine grid so far."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ..base.errors import check
from ..heat.rules import Rules
from ..heat.sheet_model import Held, Order, SheetModel
from ..heat.state import Timing
from .alternatives import Alternative, outcome, quickest

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


class Planner:
    """The models of one run, the tacked sheet, the stop signal, and what was found.

    found, timings : the orders timed on the fine grid, and their timings by method
    own_peak : (welds, protected places) what each weld alone adds there, K
    """

    def __init__(
        self,
        models: tuple[SheetModel, SheetModel],
        rules: Rules,
        limits_c: Sequence[float],
        tack_order: Sequence[int],
        choice: SearchChoice,
        *,
        progress: Callable[[str, int, int], Any] | None = None,
        stop: Callable[[], bool] | None = None,
    ):
        self.fine, self.coarse = models
        self.rules, self.limits_c, self.choice = rules, np.asarray(limits_c, float), choice
        self.tacks, self.count = len(self.fine.tacks), len(self.fine.stitches)
        self.progress, self.stop, self.stopped = progress, stop, False
        self.own_peak = np.zeros((len(self.fine.welds), max(self.limits_c.size, 1)))
        self.tack_order = [int(n) for n in tack_order]
        self.last = self.tack_order[-1] if self.tack_order else -1
        self.tacking = self.fine.time(self.tack_order, rules)
        self.tacked = self.tacking.state
        self.tacked_coarse = self.coarse.time(self.tack_order, rules).state
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

    def fill(self, order: Order, *, coarse: bool = False, cutoff_s: float = math.inf) -> Timing:
        """Time the fill in `order` on the tacked sheet."""
        model, state = (self.coarse, self.tacked_coarse) if coarse else (self.fine, self.tacked)
        return model.time(
            self.tacks + np.asarray(order), self.rules, state=state, after=self.last,
            held=self.hold(self.limits_c), cutoff_s=cutoff_s,
        )  # fmt: skip

    def alone(self) -> np.ndarray:
        """Return the temperature each protected place reaches by the worst weld alone, deg C."""
        return self.fine.ambient_c + self.own_peak.max(axis=0)[: self.limits_c.size]

    def hold(self, limits_c: np.ndarray) -> Held | None:
        """Return the limits of the protected places and what each weld alone adds there.

        Where one stitch alone passes the limit no wait can help; it then waits
        until three tenths of the allowance are left.
        """
        if not limits_c.size:
            return None
        allowance = limits_c - self.fine.ambient_c
        return Held(limits_c, np.minimum(self.own_peak, 0.7 * allowance))

    def confirm(self, trial: Trial) -> tuple[str, Sequence[int], Timing]:
        """Time an order on the fine grid."""
        method, order, cutoff_s = trial
        return method, order, self.fill(order, cutoff_s=cutoff_s)

    def keep(self, results: Iterable[tuple[str, Sequence[int], Timing]]) -> None:
        """Keep the orders that came to their end."""
        for method, order, timing in results:
            if np.isfinite(timing.start_s).all():
                self.timings[method] = timing
                self.found.append(outcome(self.fine, method, order, timing))

    def keep_best(self, begins: str, name: str) -> None:
        """Of the orders whose method begins so keep only the best, under `name`."""
        mine = [one for one in self.found if one.method.startswith(begins)]
        if mine:
            best = quickest(mine)
            self.timings[name] = self.timings[best.method]
            self.found = [one for one in self.found if not one.method.startswith(begins)]
            self.found.append(Alternative(name, *best.figures, best.order))
