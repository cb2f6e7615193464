"""Good orders made better by marches of the heat itself: neighbours of an order, then of a kick of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..heat.state import State
from .planner import Planner
from .search import Search

WORTH = 1.02
"""Neighbours are marched that the calibrated estimate puts at less than so many times the best."""
CATCH_UP = 0.1
"""Once it has welded the same as the order it comes from, a neighbour that is late by more than
this share of what was left is given up."""
LONG_S = 100.0
"""Marching a stitch costs more the longer it waits, for a place that is hardly cooler than its limit."""


@dataclass(frozen=True)
class _Marched:
    """An order with the sheet and the clock before each of its stitches, and at its end."""

    order: list[int]
    states: list[State]
    clocks_s: list[float]

    @property
    def total_s(self) -> float:
        return self.clocks_s[-1]


def neighbours(order: Sequence[int]) -> Iterator[tuple[int, int, list[int]]]:
    """Yield (first place that differs, last, order): swaps, insertions both ways, reversals."""
    for i in range(len(order)):
        for j in range(i + 1, len(order)):
            head, part, tail = list(order[:i]), list(order[i : j + 1]), list(order[j + 1 :])
            yield i, j, [*head, part[-1], *part[1:-1], part[0], *tail]
            if j > i + 1:
                yield i, j, [*head, *part[1:], part[0], *tail]
                yield i, j, [*head, part[-1], *part[:-1], *tail]
            if j > i + 2:
                yield i, j, [*head, *part[::-1], *tail]


class Polish:
    """One chain: climb from an order to where no neighbour is quicker, kick, climb again.

    An order counts as quick as the finer grid's check leaves it; that of the best
    is what is kicked.

    marches : stitches marched so far, one for every LONG_S where they wait longer; most : how many
        at most
    """

    def __init__(self, run: Planner, search: Search, watch: Callable[[int, int], bool], most: int):
        self.run, self.search, self.watch = run, search, watch
        self.marches, self.most = 0.0, most
        rules = search.rules
        self.duration_s, self.move_s = rules.duration_s, float(rules.moves_s.min())
        self.order: list[int] = []
        self.total_s = math.inf

    def best(self, order: Sequence[int], chance: np.random.Generator) -> tuple[float, list[int]]:
        """Return the best order found from `order` on, after its time by the finer grid's check, s."""
        self.order = list(order)
        self._climb(self.order)
        while not self._over() and self.run.count > 2:
            self._climb(self._kicked(chance))
        return self.total_s, self.order

    def _over(self) -> bool:
        return self.watch(min(int(self.marches), self.most), self.most) or self.marches >= self.most

    def _kicked(self, chance: np.random.Generator) -> list[int]:
        """Return the best order with two neighbouring stretches of it exchanged."""
        count = len(self.order)
        a, b, c = sorted(int(n) for n in chance.choice(count + 1, 3, replace=False))
        return [*self.order[:a], *self.order[b:c], *self.order[a:b], *self.order[c:]]

    def _climb(self, order: list[int]) -> None:
        now = None if self._over() else self._march(order, 0, self.run.count, None, math.inf)
        while now is not None and (better := self._better(now)) is not None:
            now = better
        if now is not None and now.total_s < self.total_s:
            total_s = self.run.checked_fill(now.order, enough_s=self.total_s).timing.total_s
            if total_s < self.total_s:
                self.order, self.total_s = now.order, total_s

    def _better(self, now: _Marched) -> _Marched | None:
        """Return the first neighbour that is quicker, those first that the estimate likes best."""
        timing = self.run.fill(now.order)
        self.marches += max(len(now.order), timing.total_s / LONG_S)
        rules = self.search.calibrated(
            now.order, timing.start_s - self.run.tacked.clock,
            timing.peak_before_start_c - self.run.fine.ambient_c, timing.wait_s,
        )  # fmt: skip
        spare = np.zeros((2, self.run.count))
        estimates = []
        for begin, end, order in neighbours(now.order):
            value = self.search.kernel.estimate(
                np.array(order), 0, spare[0], spare[1], rules, WORTH * now.total_s
            )
            if value < WORTH * now.total_s:
                estimates.append((value, begin, end, order))
        for _, begin, end, order in sorted(estimates):
            if self._over():
                return None
            found = self._march(order, begin, end, now, now.total_s)
            if found is not None:
                return found
        return None

    def _march(
        self, order: list[int], begin: int, end: int, now: _Marched | None, within_s: float
    ) -> _Marched | None:
        """March an order that differs from `now` in places begin to end; None: it isn't quicker."""
        run = self.run
        states = now.states[: begin + 1] if now else [run.tacked]
        clocks = now.clocks_s[: begin + 1] if now else [0.0]
        rest = float(self.duration_s[order[begin:]].sum()) + self.move_s * (run.count - begin)
        for n in range(begin, run.count):
            rest -= self.duration_s[order[n]] + self.move_s
            after = run.tacks + order[n - 1] if n else run.last
            cutoff_s = within_s - clocks[-1] - rest
            timing = run.fine.time([run.tacks + order[n]], run.rules, state=states[-1], after=after,
                                   held=run.held, cutoff_s=cutoff_s)  # fmt: skip
            self.marches += max(1.0, min(timing.total_s, cutoff_s) / LONG_S)
            clock = clocks[-1] + timing.total_s
            if not clock + rest < within_s - 1e-6:
                return None
            states.append(timing.state)
            clocks.append(clock)
            if now and n >= end:
                late, left = clock - now.clocks_s[n + 1], now.total_s - now.clocks_s[n + 1]
                if late > CATCH_UP * left:
                    return None
        return _Marched(order, states, clocks)
