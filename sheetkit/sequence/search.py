"""The search for a quick order: response tables from the solver, annealing, exact for few."""

from __future__ import annotations

import numpy as np

from .responses import Tables, in_threads

EXACT_UP_TO = 9
KEPT_EXACT = 40
SCHEDULES = ((4e-3, 2e-4), (1e-3, 1e-4))
"""Warmest and coldest of the two annealings, as shares of the total time."""


class Search:
    """Estimated total times of orders, and orders that make them short."""

    def __init__(self, tables: Tables, *, limit_k: float, moves, first_ready_s: float, duration_s):
        self.kernel = tables.kernel
        self.count = len(duration_s)
        self.rules = (
            np.full(self.count, float(limit_k)), np.ascontiguousarray(moves), float(first_ready_s),
            np.asarray(duration_s, float), tables.arrays,
        )  # fmt: skip

    def estimate(self, order) -> float:
        """Return the estimated time from first start to last end, s."""
        spare = np.zeros((2, self.count))
        return self.kernel.estimate(
            np.asarray(order, np.int64), 0, spare[0], spare[1], *self.rules, np.inf
        )

    def exact(self) -> list[list[int]]:
        """Return the best orders of all there are, by the estimate."""
        found, totals = self.kernel.every_order(self.rules, KEPT_EXACT)
        rank = [n for n in np.argsort(totals, kind="stable") if np.isfinite(totals[n])]
        return [found[n].tolist() for n in rank]

    def calibrated(self, order, start_s, rise_k) -> tuple:
        """Return rules whose limits allow for the estimate's error in an order marched before.

        `start_s` (from the end of tacking) and `rise_k` belong to `order`; the
        estimate takes each stitch to be as wrong in orders close to this one.
        """
        order = np.asarray(order, np.int64)
        limits, moves, first_ready, duration, tables = self.rules
        limits, ends = limits.copy(), start_s + duration[order]
        for n, weld in enumerate(order):
            estimate = self.kernel.rise(weld, start_s[n], n, order, ends, *tables, self.count)
            limits[weld] = max(limits[weld] + estimate - rise_k[n], 0.2 * limits[weld])
        return (limits, moves, first_ready, duration, tables)

    def anneal(self, starts, rules, *, seed: int, rounds: int, watch) -> list[list[int]]:
        """Return one improved order for each of `starts`; stops between parts when asked.

        `rules` gives each start its own calibrated rules.
        """
        parts = max(1, min(20, rounds // 200))

        def run(chain):
            order, mine = np.asarray(starts[chain], np.int64).copy(), rules[chain]
            spare = np.zeros((2, self.count))
            kept = order.copy()
            best = self.kernel.estimate(order, 0, spare[0], spare[1], *mine, np.inf)
            warm, cold = SCHEDULES[chain % 2]
            warm, cold = warm * best, cold * best
            for part in range(parts):
                if watch(chain * parts + part, len(starts) * parts):
                    break
                span = (part * rounds // parts, (part + 1) * rounds // parts, rounds)
                best = self.kernel.anneal(
                    order, kept, best, mine, span, (warm, cold), seed * 1000 + chain * 100 + part
                )
            return kept.tolist()

        return in_threads(run, range(len(starts)))
