"""The same order on a sheet that differs from what was assumed."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..heat.sheet_model import Order
from ..heat.state import Timing
from .planner import Planner
from .responses import in_threads

SPREAD = 0.2
ON_FINE_BELOW = 40
"""Of few stitches a single start, kept or missed, moves the total: these are varied on the fine grid."""
HALF_LOSS = 0.5
"""A face covered unawares: a mat, foam or a closed section behind the sheet."""


@dataclass(frozen=True)
class Band:
    """How an order's times lie on other sheets, s.

    total_s : (low, high) from the end of tacking to the end of the last stitch
    waits_s : (low, high) before each turn
    """

    total_s: tuple[float, float]
    waits_s: tuple[tuple[float, float], ...]


UNKNOWN = Band((math.nan, math.nan), ())
"""Of an order that wasn't varied."""


def vary(run: Planner, order: Order, fill: Timing) -> Band:
    """Return the order's times when heat input, conductivity and losses vary by SPREAD.

    And where the sheet loses only half.  UNKNOWN where the run was stopped.

    Parameters
    ----------
    fill : the plan's own timing of `order`
    """
    kinds = ("energy", "conductivity", "film")
    cases: list[dict[str, float]] = [{}]
    cases += [{kind: factor} for kind in kinds for factor in (1 - SPREAD, 1 + SPREAD)]
    hard = {"energy": 1 + SPREAD, "conductivity": 1 - SPREAD, "film": 1 - SPREAD}
    cases += [hard, {kind: 2 - factor for kind, factor in hard.items()}, {"film": HALF_LOSS}]
    report = run.watch("other sheets")
    on = run.fine if run.count < ON_FINE_BELOW else run.coarse

    def timed(number: int) -> Timing | None:
        if report(number, len(cases)):
            return None
        model = on.varied(**cases[number])
        tacked = model.time(run.tack_order, run.rules).state
        return model.time(run.tacks + np.asarray(order), run.rules, state=tacked, after=run.last)

    found = [one for one in in_threads(timed, range(len(cases))) if one is not None]
    if run.stopped or len(found) < len(cases):
        return UNKNOWN
    totals = np.array([one.total_s for one in found])
    ratios = totals / totals[0] * fill.total_s
    more = np.array([one.wait_s - found[0].wait_s for one in found])
    waits = np.maximum(fill.wait_s + more, 0.0)
    return Band(
        (float(ratios.min()), float(ratios.max())),
        tuple(zip(waits.min(axis=0).tolist(), waits.max(axis=0).tolist(), strict=True)),
    )
