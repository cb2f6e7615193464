"""Ranges of a total: by Monte Carlo, by a closed worst case, and what drives them.

All three evaluate the same chain of formulas; what is uncertain, `ranges` says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from zlib import crc32

import numpy as np

from ..base.errors import check
from ..base.tables import Row
from .chain import Chain
from .ranges import moved_alone, uncertain

DRAWS = 10_000
SEED = 20
"""The seed of every published table; the same seed gives the same draws."""


def triangular(share, low: float, likely: float, high: float):
    """Return the triangular distribution's quantile at a share of 0 to 1.

    Parameters
    ----------
    share : float or array
    low, likely, high : low <= likely <= high, low < high

    Source: closed form; Johnson, The Statistician 46 (1997) 387 (value from memory).
    """
    share = np.asarray(share, float)
    peak = (likely - low) / (high - low)
    rising = low + np.sqrt(share * (high - low) * (likely - low))
    falling = high - np.sqrt((1 - share) * (high - low) * (high - likely))
    return np.where(share < peak, rising, falling)


def shares(names: list[str], draws: int, seed: int) -> np.ndarray:
    """Return evenly spread shares of 0 to 1, one column a name, uncorrelated.

    Every column has one draw in each of `draws` equal strata (Latin hypercube:
    McKay, Beckman, Conover, Technometrics 21 (1979) 239); the pairing is that of
    normal scores whose correlations were taken out (Iman, Conover, Communications
    in Statistics B 11 (1982) 311; both from memory).  Plain draws would miss the
    variance of a sum by one to two per cent at 10,000.
    """
    scores = np.column_stack(
        [np.random.default_rng([seed, crc32(n.encode())]).standard_normal(draws) for n in names]
    )
    if 1 < len(names) < draws:
        scores -= scores.mean(axis=0)
        factor = np.linalg.cholesky(scores.T @ scores / draws)
        scores = np.linalg.solve(factor, scores.T).T
    ranks = scores.argsort(axis=0).argsort(axis=0)
    within = np.random.default_rng([seed, len(names)]).random(ranks.shape)
    return (ranks + within) / draws


def draw(inputs: Mapping[str, Row], *, draws: int = DRAWS, seed: int = SEED) -> dict:
    """Return every input's draws (an array) or its one value (a number)."""
    check("draws", draws, 10, 10_000_000)
    names = sorted(name for name, row in inputs.items() if uncertain(row))
    values = {name: row.value for name, row in inputs.items()}
    if names:
        for name, column in zip(names, shares(names, draws, seed).T, strict=True):
            row = inputs[name]
            values[name] = triangular(column, row.low, row.value, row.high)
    return values


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
    """The closed worst case: every input at the end that lowers, or raises, the total."""


def simulate(
    chain: Chain, inputs: Mapping[str, Row], *, draws: int = DRAWS, seed: int = SEED
) -> dict[str, np.ndarray]:
    """Return the draws of every input and figure; the same seed gives the same arrays."""
    found = chain.evaluate(draw(inputs, draws=draws, seed=seed))
    return {name: np.broadcast_to(np.asarray(v, float), (draws,)) for name, v in found.items()}


def worst_case(chain: Chain, inputs: Mapping[str, Row], name: str) -> tuple[float, float]:
    """Return the least and the most a figure can be, every input at its unkind end at once.

    Closed, without draws.  It holds for figures that rise or fall steadily with
    each input, as every formula of a repair does.
    """
    least = {key: row.value for key, row in inputs.items()}
    most = dict(least)
    for driver in _each_alone(chain, inputs, name):
        row = driver.row
        rises = driver.at_low <= driver.at_high
        least[driver.name], most[driver.name] = (
            (row.low, row.high) if rises else (row.high, row.low)
        )
    return float(chain.evaluate(least)[name]), float(chain.evaluate(most)[name])


def spread(
    chain: Chain,
    inputs: Mapping[str, Row],
    name: str,
    *,
    drawn: Mapping[str, np.ndarray] | None = None,
) -> Spread:
    """Return a figure's distribution and worst case; `drawn` is what `simulate` returned."""
    draws = (simulate(chain, inputs) if drawn is None else drawn)[name]
    p10, p50, p90 = np.quantile(draws, (0.1, 0.5, 0.9))
    low, high = worst_case(chain, inputs, name)
    return Spread(
        float(p10), float(p50), float(p90), float(draws.mean()), sqrt(draws.var()), low, high
    )


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


def drivers(chain: Chain, inputs: Mapping[str, Row], name: str) -> list[Driver]:
    """Return what drives a figure's range, the strongest input first."""
    found = _each_alone(chain, inputs, name)
    return sorted((d for d in found if d.swing > 1e-12), key=lambda d: (-d.swing, d.name))


def _each_alone(chain: Chain, inputs: Mapping[str, Row], name: str) -> list[Driver]:
    moved, found = moved_alone(chain, [inputs])
    at = found[name][1:, 0].tolist()
    return [Driver(key, at[2 * k], at[2 * k + 1], inputs[key]) for k, key in enumerate(moved)]
