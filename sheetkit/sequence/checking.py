"""A plan checked: the same starts on a finer grid, the same order on a sheet that differs."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from ..heat.sheet_model import Order, SheetModel
from ..heat.state import Timing
from .alternatives import total_of
from .planner import Planner
from .responses import in_threads

MOST_EXCESS_C = 1.0
"""A plan further over its limit than this on the finer grid is timed again."""
MOST_ATTEMPTS = 6
SPREAD = 0.2


def verify(run: Planner, checked: SheetModel, order: Order, timing: Timing) -> tuple[Timing, float]:
    """Run the same starts on the finer grid; return the timing and its excess over the limit, K.

    Where that, or a protected place, comes out too hot, the order is timed
    again with the limit lowered by what it was over.
    """
    order = run.tacks + np.asarray(order)
    rules, limits_c = run.rules, run.limits_c
    tacked = checked.play(run.tack_order, run.tacking.start_s).state
    for attempt in range(MOST_ATTEMPTS):
        there = checked.play(
            order, timing.start_s, state=tacked, look_ahead_s=run.rules.look_ahead_s
        )
        excess = float(there.peak_before_start_c.max() - run.rules.limit_c)
        over = np.maximum(timing.points_peak_c - run.limits_c, 0.0)
        bearable = run.alone() < run.limits_c
        if attempt + 1 == MOST_ATTEMPTS or (
            excess <= MOST_EXCESS_C and not (over[bearable] > MOST_EXCESS_C / 4).any()
        ):
            break
        if excess > MOST_EXCESS_C:
            rules = replace(rules, limit_c=rules.limit_c - excess)
        limits_c = np.maximum(limits_c - np.where(bearable, over, 0.0), run.fine.ambient_c + 1)
        timing = run.fine.time(
            order, rules, state=run.tacked, after=run.last, held=run.hold(limits_c)
        )
    return timing, max(excess, 0.0)


def vary(run: Planner, order: Order, total_s: float) -> tuple[float, float]:
    """Return the shortest and longest total when the sheet differs from what was assumed."""
    if run.stopped:
        return math.nan, math.nan
    kinds = ("energy", "conductivity", "film")
    cases: list[dict[str, float]] = [{}]
    cases += [{kind: factor} for kind in kinds for factor in (1 - SPREAD, 1 + SPREAD)]
    hard = {"energy": 1 + SPREAD, "conductivity": 1 - SPREAD, "film": 1 - SPREAD}
    cases += [hard, {kind: 2 - factor for kind, factor in hard.items()}]

    def total(case: dict[str, float]) -> float:
        model = run.coarse.varied(**case)
        tacked = model.time(run.tack_order, run.rules).state
        return total_of(
            model.time(run.tacks + np.asarray(order), run.rules, state=tacked, after=run.last)
        )

    totals = np.array(in_threads(total, cases))
    ratios = totals / totals[0]
    return float(total_s * ratios.min()), float(total_s * ratios.max())
