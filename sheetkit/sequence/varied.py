"""The same order on a sheet that differs from what was assumed."""

from __future__ import annotations

import math

import numpy as np

from ..heat.sheet_model import Order
from .alternatives import total_of
from .planner import Planner
from .responses import in_threads

SPREAD = 0.2


def vary(run: Planner, order: Order, total_s: float) -> tuple[float, float]:
    """Return the shortest and longest total when heat input, conductivity and losses vary by SPREAD.

    NaN twice where the run was stopped.
    """
    kinds = ("energy", "conductivity", "film")
    cases: list[dict[str, float]] = [{}]
    cases += [{kind: factor} for kind in kinds for factor in (1 - SPREAD, 1 + SPREAD)]
    hard = {"energy": 1 + SPREAD, "conductivity": 1 - SPREAD, "film": 1 - SPREAD}
    cases += [hard, {kind: 2 - factor for kind, factor in hard.items()}]
    report = run.watch("other sheets")

    def total(number: int) -> float:
        if report(number, len(cases)):
            return math.nan
        model = run.coarse.varied(**cases[number])
        tacked = model.time(run.tack_order, run.rules).state
        return total_of(
            model.time(run.tacks + np.asarray(order), run.rules, state=tacked, after=run.last)
        )

    totals = np.array(in_threads(total, range(len(cases))))
    if run.stopped:
        return math.nan, math.nan
    ratios = totals / totals[0]
    return float(total_s * ratios.min()), float(total_s * ratios.max())
