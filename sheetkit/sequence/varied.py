"""The same order on a sheet that differs from what was assumed."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from ..heat.sheet_model import Order, SheetModel
from ..heat.state import Timing
from .planner import Planner
from .responses import in_threads

SPREAD = 0.2
ON_FINE_BELOW = 40
"""Of few stitches a single start, kept or missed, moves the total: these are varied on the fine grid."""
HALF_LOSS = 0.5
"""A face covered unawares: a mat, foam or a closed section behind the sheet."""


@dataclass(frozen=True)
class OnLeast:
    """An order on the smallest panel it may turn out to be, where nobody drew it.

    total_s : from the end of tacking to the end of the last stitch, held to the same limit; inf: it never cools
    excess_k : by how much the plan's own starts, kept by the clock, are over the limit there
    """

    total_s: float
    excess_k: float


@dataclass(frozen=True)
class Band:
    """How an order's times lie on other sheets, s.

    total_s : (low, high) from the end of tacking to the end of the last stitch
    waits_s : (low, high) before each turn
    on_least : of the piece's `least_panel`, which the band holds; None: the panel is known
    """

    total_s: tuple[float, float]
    waits_s: tuple[tuple[float, float], ...]
    on_least: OnLeast | None = None


UNKNOWN = Band((math.nan, math.nan), ())
"""Of an order that wasn't varied."""


def vary(run: Planner, order: Order, fill: Timing) -> Band:
    """Return the order's times when heat input, conductivity and losses vary by SPREAD.

    And where the sheet loses only half, and where it ends as near as it may.  UNKNOWN
    where the run was stopped.

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
    sheets = [on.varied(**case) for case in cases]
    least, welds = on.piece.least_panel, run.tacks + np.asarray(order)
    if least is not None:
        sheets.append(SheetModel(replace(on.piece, panel=least), on.choice))

    def timed(number: int) -> Timing | None:
        if report(number, len(sheets)):
            return None
        model = sheets[number]
        tacked = model.time(run.tack_order, run.rules).state
        return model.time(welds, run.rules, state=tacked, after=run.last)

    found = [one for one in in_threads(timed, range(len(sheets))) if one is not None]
    if run.stopped or len(found) < len(sheets):
        return UNKNOWN
    totals = np.array([one.total_s for one in found])
    totals *= fill.total_s / totals[0]
    ended = np.isfinite(totals)
    more = np.array([one.wait_s - found[0].wait_s for one in found])[ended]
    waits = np.maximum(fill.wait_s + more, 0.0)
    return Band(
        (float(totals[ended].min()), float(totals[ended].max())),
        tuple(zip(waits.min(axis=0).tolist(), waits.max(axis=0).tolist(), strict=True)),
        None
        if least is None
        else OnLeast(float(totals[-1]), _excess_k(run, sheets[-1], welds, fill)),
    )


def _excess_k(run: Planner, model: SheetModel, welds: np.ndarray, fill: Timing) -> float:
    """Return by how much a plan's own starts are over the limit on another sheet, K; 0: nowhere."""
    tacking = run.tacking.timing
    state = model.play(run.tack_order, tacking.start_s).state
    there = model.play(welds, fill.start_s, state=state, look_ahead_s=run.rules.look_ahead_s)
    return max(float(there.peak_before_start_c.max()) - run.rules.limit_c, 0.0)
