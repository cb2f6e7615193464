"""How far figures can differ: the one home of the rule of ranges.

Likely is the middle of the draws: half of such repairs take less, half more.
One in ten lies under the low, one in ten over the high.  The worst case has every
input at its unkind end at once; the sum of most likely inputs (a figure's
value) is what a repair takes if every step goes as usual, which is seldom.
A choice, such as margin, wire size or a price, is no uncertainty.  What is set on
the machine, and what follows from that alone (`SET`), stands at the setting, so
that it can be reckoned through; its range is that of the settings.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from ..base.tables import Row
from .chain import Chain
from .montecarlo import draw, ends, uncertain


class Span(NamedTuple):
    """A figure's range: one in ten under `low`, half under `likely`, one in ten over `high`."""

    low: float
    likely: float
    high: float


SHARES = (0.1, 0.5, 0.9)
"""The shares of the draws that lie under a range's low, likely and high."""

SET = frozenset({
    "wire_feed_m_min", "arc_energy_kj_per_mm", "heat_input_kj_per_mm", "plug_arc_energy_kj",
    "plug_heat_input_kj",
})  # fmt: skip
"""The figures that stand at what the settings give."""


def quantiles(draws: np.ndarray) -> np.ndarray:
    """Return low, likely and high of draws along the last axis, in a new first axis.

    Linear between the two draws about each share.
    """
    ordered = np.sort(draws, axis=-1)
    at = np.array(SHARES) * (ordered.shape[-1] - 1)
    below = at.astype(int)
    above = np.minimum(below + 1, ordered.shape[-1] - 1)
    found = ordered[..., below] + (ordered[..., above] - ordered[..., below]) * (at - below)
    return np.moveaxis(found, -1, 0)


class Ranges(Mapping[str, Span]):
    """The range of each figure, from its draws, and of each input, as its row has it.

    Worked out when asked for, so that a slider need not wait for those not shown.
    """

    def __init__(
        self,
        drawn: Mapping[str, float | np.ndarray],
        inputs: Mapping[str, Row],
        values: Mapping[str, float],
    ):
        self._drawn, self._inputs, self._values = drawn, inputs, values
        self._found: dict[str, Span] = {}

    def __getitem__(self, name: str) -> Span:
        if name not in self._found:
            draws, row = self._drawn[name], self._inputs.get(name)
            if not np.ndim(draws):
                span = Span(*(float(draws),) * 3)
            elif row is not None:
                low, high = ends(row)
                span = Span(float(low), float(row.value), float(high))
            else:
                span = Span(*quantiles(np.asarray(draws)).tolist())
            if name in SET and row is None:
                low, value, high = span.low, float(self._values[name]), span.high
                span = Span(min(low, value), value, max(high, value))
            self._found[name] = span
        return self._found[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._drawn)

    def __len__(self) -> int:
        return len(self._drawn)


def ranges_of_many(
    chain: Chain, jobs: Sequence[Mapping[str, Row]], names: Iterable[str]
) -> dict[str, np.ndarray]:
    """Return figure -> (low, likely, high) x jobs, for many jobs of one chain together.

    The same numbers as each job's own `Ranges` has.
    """
    drawn = [draw(job) for job in jobs]
    columns = {}
    for name in jobs[0]:
        parts = [one[name] for one in drawn]
        if all(part is parts[0] for part in parts):
            columns[name] = parts[0]
        elif any(np.ndim(part) for part in parts):
            columns[name] = np.stack(np.broadcast_arrays(*parts))
        else:
            columns[name] = np.array(parts, float)[:, None]
    found = chain.evaluate(columns)
    most = max((np.ndim(column) and np.shape(column)[-1] for column in columns.values()), default=1)
    return {
        name: quantiles(np.broadcast_to(np.asarray(found[name], float), (len(jobs), max(most, 1))))
        for name in names
        if name in found
    }


def share_over(draws: float | np.ndarray, limit: float) -> float:
    """Return the share of the draws that lie over a limit, 0 to 1."""
    return float(np.mean(np.asarray(draws) > limit))


@dataclass(frozen=True)
class Driver:
    """What one input does to a total: its value at the input's low and high, alone."""

    name: str
    at_low: float
    at_high: float
    row: Row

    @property
    def swing(self) -> float:
        """How far the total moves, in the total's unit."""
        return abs(self.at_high - self.at_low)


def _each_alone(chain: Chain, inputs: Mapping[str, Row], name: str) -> list[Driver]:
    moved = [key for key, row in inputs.items() if uncertain(row)]
    columns = {key: np.full(2 * len(moved), float(row.value)) for key, row in inputs.items()}
    for place, key in enumerate(moved):
        columns[key][2 * place : 2 * place + 2] = ends(inputs[key])
    total = np.broadcast_to(np.asarray(chain.evaluate(columns)[name], float), (2 * len(moved),))
    at = total.tolist()
    return [Driver(key, at[2 * k], at[2 * k + 1], inputs[key]) for k, key in enumerate(moved)]


def drivers(chain: Chain, inputs: Mapping[str, Row], name: str) -> list[Driver]:
    """Return what drives a figure's range, the strongest input first."""
    found = _each_alone(chain, inputs, name)
    return sorted((d for d in found if d.swing > 1e-12), key=lambda d: (-d.swing, d.name))


def worst_case(chain: Chain, inputs: Mapping[str, Row], name: str) -> tuple[float, float]:
    """Return the least and the most a figure can be, every input at its unkind end at once.

    Closed, without draws.  It holds for figures that never turn back as an input
    rises, as every formula of a repair does.
    """
    return _corner(chain, inputs, name, -1), _corner(chain, inputs, name, 1)


def _corner(chain: Chain, inputs: Mapping[str, Row], name: str, sign: int) -> float:
    """Return the most (sign 1) or the least (-1) of a figure over the ends of the inputs."""
    # from the most extreme draw: where a figure is the larger of two amounts, each of its own
    # inputs, the inputs of the smaller one don't show from the middle
    drawn = draw(inputs)
    total = np.atleast_1d(np.asarray(chain.evaluate(drawn)[name], float))
    best = int(np.argmax(sign * total))
    at = {
        key: float(value[best]) if np.ndim(value) else float(value) for key, value in drawn.items()
    }
    found = float(total[best])
    while True:
        here = {key: replace(row, value=at[key]) for key, row in inputs.items()}
        for one in _each_alone(chain, here, name):
            if one.swing > 0:
                rises = sign * (one.at_high - one.at_low) > 0
                at[one.name] = float(ends(one.row)[rises])
        there = float(chain.evaluate(at)[name])
        if sign * (there - found) <= 1e-12 * abs(found):
            return found
        found = there


@dataclass(frozen=True)
class Spread:
    """A total's distribution: one in ten lies under `p10`, one in ten over `p90`."""

    p10: float
    p50: float
    p90: float
    mean: float
    deviation: float
    low: float
    high: float
    """The worst case: every input at the end that lowers, or raises, the total."""


def spread(draws: np.ndarray, worst: tuple[float, float]) -> Spread:
    """Return the distribution of a figure's draws, with its worst case."""
    p10, p50, p90 = quantiles(np.asarray(draws, float)).tolist()
    return Spread(p10, p50, p90, float(np.mean(draws)), float(np.std(draws)), *worst)


def typical(drawn: Mapping[str, float | np.ndarray], name: str) -> dict[str, float]:
    """Return every figure as it is in the repairs where `name` is at its middle.

    A mean over the fifth of the draws about the middle, weighted so that `name`
    is its likely value: what is a sum of other figures is the sum of theirs here,
    while the middles of a sum's parts need not add up to its own.
    """
    total = np.asarray(drawn[name], float)
    if not total.ndim:
        return {key: float(value) for key, value in drawn.items() if not np.ndim(value)}
    count = len(total)
    near = np.argsort(total)[int(0.4 * count) : int(np.ceil(0.6 * count))]
    away = total[near] - total[near].mean()
    tilt = (float(quantiles(total)[1]) - total[near].mean()) / max(float(away @ away), 1e-300)
    weights = 1 / len(near) + tilt * away
    return {
        key: float(np.asarray(value)[near] @ weights) if np.ndim(value) else float(value)
        for key, value in drawn.items()
    }
