"""The search for a quick order: response tables from the solver, and annealing."""

from __future__ import annotations

from types import ModuleType
from typing import NamedTuple

import numpy as np

from ..heat.rules import Rules
from ..heat.sheet_model import SheetModel
from ..heat.state import Held
from .responses import Responses, Tables, in_threads

EXACT_UP_TO = 9
HELD_K = 0.5
"""A stitch that waited until it was further below its limit than this waited for a place."""
SCHEDULES = ((4e-3, 2e-4), (1e-3, 1e-4))
"""Warmest and coldest of the two annealings, as shares of the total time."""


class FillRules(NamedTuple):
    """The rules of a fill as the estimate takes them."""

    limit_k: np.ndarray
    """Of each stitch, above ambient."""
    moves_s: np.ndarray
    """(stitches, stitches): from the end of one to the start of another."""
    first_moves_s: np.ndarray
    """From the end of tacking to the start of each."""
    duration_s: np.ndarray
    room_k: np.ndarray
    """(stitches, rows of held places): how warm each may be there where each stitch starts."""
    responses: Responses


def tiny() -> None:
    """Search the orders of two stitches that send each other nothing: compiles or loads all of it."""
    from . import kernel

    nothing = Responses(np.zeros((2, 2, 3), np.float32), np.zeros((2, 2, 2, 6), np.float32),
                        np.zeros(1, np.int64), np.zeros(1), np.zeros(2))  # fmt: skip
    rules = FillRules(np.ones(2), np.zeros((2, 2)), np.zeros(2), np.ones(2),
                      np.ones((2, 0)), nothing)  # fmt: skip
    search = Search(kernel, rules)
    search.calibrated([0, 1], np.array([0.0, 1.0]), np.zeros(2), np.zeros(2))
    search.anneal([[0, 1]], [rules], seed=1, rounds=1, watch=lambda *_: False)
    kernel.least_rest(np.zeros((2, 2, 6), np.float32), np.zeros((2, 2, 2, 3), np.float32),
                      rules.limit_k, rules.duration_s, rules.moves_s, rules.duration_s, 9.0)  # fmt: skip


class Search:
    """Estimated total times of orders, and orders that make them short."""

    def __init__(self, kernel: ModuleType, rules: FillRules):
        self.kernel, self.rules, self.count = kernel, rules, rules.duration_s.size

    @classmethod
    def of(cls, model: SheetModel, rules: Rules, held: Held, tables: Tables, after: int) -> Search:
        """Return the search for a model's fill by the rules, which begins at the end of `after`."""
        tacks, lines = len(model.tacks), tables.line_of_row
        room = held.limit_c[lines] - model.ambient_c - held.own_peak[tacks:, lines]
        every = model.placed.ends_mm
        ends = every[len(model.tacks) :]
        away = np.hypot(*(ends[:, None, 2:] - ends[None, :, :2]).transpose(2, 0, 1))
        first = np.hypot(*(every[after, 2:] - ends[:, :2]).T) if after >= 0 else None
        return cls(tables.kernel, FillRules(
            limit_k=rules.limit_c - model.ambient_c - held.less_k[tacks:],
            moves_s=np.ascontiguousarray(rules.settle_s + away / rules.move_mm_s),
            first_moves_s=np.zeros(len(ends)) if first is None
            else rules.settle_s + first / rules.move_mm_s,
            duration_s=np.array([run.duration_s for run in model.stitches], float),
            room_k=np.ascontiguousarray(room),
            responses=tables.responses,
        ))  # fmt: skip

    def estimate(self, order) -> float:
        """Return the estimated time from the end of tacking to the last end, s."""
        spare = np.zeros((2, self.count))
        return self.kernel.estimate(
            np.asarray(order, np.int64), 0, spare[0], spare[1], self.rules, np.inf
        )

    def calibrated(self, order, start_s, rise_k, wait_s) -> FillRules:
        """Return rules whose limits allow for the estimate's error in an order marched before.

        `start_s` (from the end of tacking), `rise_k` and `wait_s` belong to
        `order`; the estimate takes each stitch to be as wrong in orders close to
        this one.  A stitch that waited though cool enough itself waited for a
        place: there nothing was left.
        """
        order = np.asarray(order, np.int64)
        limits, ends = self.rules.limit_k.copy(), start_s + self.rules.duration_s[order]
        room = self.rules.room_k.copy()

        def rise(row: int, n: int) -> float:
            return self.kernel.rise(
                row, start_s[n], n, order, ends, self.rules.responses, self.count
            )

        for n, weld in enumerate(order):
            held = wait_s[n] > 0 and rise_k[n] < limits[weld] - HELD_K
            limits[weld] = max(limits[weld] + rise(weld, n) - rise_k[n], 0.2 * limits[weld])
            if room.shape[1]:
                there = [rise(self.count + row, n) for row in range(room.shape[1])]
                share = max(there / room[weld])
                room[weld] *= max(share, 0.2 if held else 1.0)
        return self.rules._replace(limit_k=limits, room_k=room)

    def anneal(
        self, starts, rules, *, seed: int, rounds: int, watch, schedules=SCHEDULES
    ) -> list[list[int]]:
        """Return one improved order for each of `starts`; stops between parts when asked.

        `rules` gives each start its own calibrated rules.
        """
        parts = max(1, min(20, rounds // 200))

        def run(chain):
            order, mine = np.asarray(starts[chain], np.int64).copy(), rules[chain]
            spare = np.zeros((2, self.count))
            kept = order.copy()
            best = self.kernel.estimate(order, 0, spare[0], spare[1], mine, np.inf)
            chance = np.random.default_rng([seed, chain])
            warm, cold = schedules[chain % 2]
            warm, cold = warm * best, cold * best
            for part in range(parts):
                if watch(chain * parts + part, len(starts) * parts):
                    break
                begin, end = part * rounds // parts, (part + 1) * rounds // parts
                best = self.kernel.anneal(
                    order, kept, best, mine, (begin, rounds), (warm, cold),
                    chance.random((end - begin, 4)),
                )  # fmt: skip
            return kept.tolist()

        return in_threads(run, range(len(starts)))
