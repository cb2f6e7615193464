"""All orders of a few stitches: branch and bound on marches of the heat itself."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from ..heat.state import State
from .alternatives import Alternative
from .planner import Planner
from .responses import Tables
from .search import FillRules

SECOND_S = 1.0
"""Rises are looked up at whole seconds."""
NEAR = 0.003
"""A branch is left when it can't better the best order by this share: the bound errs by half a percent."""
PROVEN_UP_TO = 6
"""So few are bounded by arcs and moves alone, which is proven; of more the heat is needed as well,
and its bound takes the kerf to be either as tacked or as welded."""
FEW = 2
"""With so few left marching them is as quick as bounding them."""
MOST_CHECKED = 160
"""Orders checked on the finer grid, at most."""
MARCHES = 2500
"""Stitches marched, at most, at the usual effort; a plan that gets there isn't exact."""


def between(begin: np.ndarray, end: np.ndarray, share: np.ndarray) -> np.ndarray:
    """Return rises part of the way from one time to the next: they fall about as exponentials."""
    low, high = np.maximum(begin, 1e-6), np.maximum(end, 1e-6)
    return low * (high / low) ** share


@dataclass(frozen=True)
class _Node:
    """A beginning: what was welded, the sheet after it, and what is left."""

    order: tuple[int, ...]
    state: State
    clock_s: float
    left: tuple[int, ...]


class Exact:
    """Branch and bound over the orders of a fill.

    A beginning is marched on the fine grid, as the plan is; what is left can't
    end sooner than `kernel.least_rest` says.  An order is as quick as the check
    on the finer grid leaves it: what that costs differs from one to the next.

    marches, checked : stitches marched, orders checked so far; complete : every order was looked at or bounded
    """

    def __init__(self, run: Planner, rules: FillRules, watch: Callable[[int, int], bool]):
        tables = Tables(run.fine, run.tacked, run.rules.look_ahead_s, watch, mean=True)
        self.run, self.kernel, self.rules, self.watch = run, tables.kernel, rules, watch
        self.most = int(run.choice.effort * MARCHES)
        self.marches, self.checked, self.complete = 0, 0, tables.complete
        self.order: list[int] = []
        self.total_s = np.inf
        self.soonest_s = np.inf
        self.proven = run.count <= PROVEN_UP_TO
        responses = tables.responses
        table = responses.table
        seconds = np.arange(0.0, self.kernel.HORIZON_S, SECOND_S)
        row = np.searchsorted(responses.times, seconds, side="right") - 1
        share = ((seconds - responses.times[row]) / np.diff(responses.times)[row]).astype(
            np.float32
        )
        rises = between(table[:, :, row], table[:, :, row + 1], share[:, None])
        # the kerf is between tacked and welded: the cooler of the two; and at no lag warmer than
        # at one before, as others may come between
        low = np.minimum(rises[..., :3], rises[..., 3:])
        self.rises = np.ascontiguousarray(np.minimum.accumulate(low, axis=2))
        self.look_ahead = int(np.ceil(run.rules.look_ahead_s / SECOND_S))

    def best(self, found: Sequence[Alternative]) -> list[int]:
        """Return the order that is quickest by the finer grid's check, given some to better."""
        ranked = sorted(found, key=lambda one: one.total_s)
        self.order = list(ranked[0].order)
        for one in ranked:
            self._check(one.order, one.total_s)
        everything = tuple(range(self.run.count))
        self._visit(_Node((), self.run.tacked, 0.0, everything))
        return self.order

    @property
    def least_s(self) -> float:
        """What no order is shorter than, by the plan's own grid and limit, s; 0 where not proven."""
        known = self.proven and self.complete
        return min(self.soonest_s, (1 - NEAR) * self.total_s) if known else 0.0

    def _visit(self, node: _Node) -> None:
        """Follow every child of a beginning that may still better the best order."""
        if self.marches >= self.most or self.watch(min(self.marches, self.most), self.most):
            self.complete = False
            return
        bounds = self.bounds(node.order, node.state, node.left, self.total_s - node.clock_s)
        for bound, weld in sorted(zip(bounds, node.left, strict=True)):
            if node.clock_s + bound >= (1 - NEAR) * self.total_s or not self.complete:
                break
            self._follow(node, weld)

    def _follow(self, node: _Node, weld: int) -> None:
        run = self.run
        after = run.tacks + node.order[-1] if node.order else run.last
        timing = run.fine.time([run.tacks + weld], run.rules, state=node.state, after=after,
                               held=run.held, cutoff_s=self.total_s - node.clock_s)  # fmt: skip
        self.marches += 1
        clock_s = node.clock_s + timing.total_s
        if not clock_s < self.total_s:
            return
        order = (*node.order, weld)
        left = tuple(other for other in node.left if other != weld)
        if left:
            self._visit(_Node(order, timing.state, clock_s, left))
        else:
            self._check(order, clock_s)

    def _check(self, order: Sequence[int], soonest_s: float) -> None:
        """Keep an order as the best if the finer grid's check leaves it so."""
        self.soonest_s = min(self.soonest_s, soonest_s)
        if soonest_s < self.total_s and self.checked < MOST_CHECKED and not self.run.stopped:
            self.checked += 1
            total_s = self.run.checked_fill(order, enough_s=self.total_s).timing.total_s
            if total_s < self.total_s:
                self.order, self.total_s = list(order), total_s
        elif soonest_s < self.total_s:
            self.complete = False

    def bounds(
        self, order: Sequence[int], state: State, remaining: Sequence[int], within_s: float
    ) -> np.ndarray:
        """Return, for each of `remaining` if it comes next, how soon all can be done, s from now.

        `order` was welded, which left `state`.  Infinite where it is later than within_s.
        """
        rules, left = self.rules, np.array(remaining)
        first = rules.moves_s[order[-1], left] if len(order) else rules.first_moves_s[left]
        if left.size <= FEW or self.proven:
            return first + rules.duration_s[left].sum() + (left.size - 1) * rules.moves_s.min()
        seconds = np.arange(0.0, within_s + self.run.rules.look_ahead_s + 2, SECOND_S)
        steps = [0.0]
        while steps[-1] < seconds[-1]:
            steps.append(steps[-1] + min(0.6 * 1.3 ** (len(steps) - 1), 16.0))
        rises = self.run.fine.responses(state.copy(), -1, np.array(steps[1:]))[:, left]
        rises = rises.reshape(rises.shape[0], left.size, 6)
        rises = np.concatenate([rises[:1], rises])
        row = np.searchsorted(steps, seconds, side="right") - 1
        share = ((seconds - np.array(steps)[row]) / np.diff(steps)[row])[:, None, None]
        values = between(rises[row], rises[row + 1], share)
        padded = np.concatenate([values, np.repeat(values[-1:], self.look_ahead, axis=0)])
        ahead = np.lib.stride_tricks.sliding_window_view(padded, self.look_ahead + 1, axis=0).max(
            axis=-1
        )
        return self.kernel.least_rest(
            np.ascontiguousarray(ahead), self.rises[np.ix_(left, left)],
            rules.limit_k[left], first, rules.moves_s[np.ix_(left, left)], rules.duration_s[left],
            within_s,
        )  # fmt: skip
