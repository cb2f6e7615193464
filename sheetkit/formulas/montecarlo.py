"""Draws of what is uncertain: the same few thousand likely repairs behind every range shown.

An input whose row has a low and a high is uncertain, every other input stands
still.  Draws belong to an input's name: another job, or another input more,
leaves them as they are, so that figures can be compared draw by draw.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from zlib import crc32

import numpy as np

from ..base.errors import check
from ..base.tables import Row
from . import labour
from .chain import Chain

DRAWS = 2000
"""Enough that a sum's median and one-in-ten ends lie within 2 % of those of many more draws."""
SEED = 20
"""The seed of every range shown; the same seed gives the same draws."""
NINE_IN_TEN = 1.6448536269514722
"""A normal variable lies within so many standard deviations of its mean nine times in ten."""


def ends(row: Row) -> tuple[float, float]:
    """Return an input's low and high; both its value where it has no range."""
    if row.low is None or row.high is None or not row.low < row.high:
        return row.value, row.value
    return row.low, row.high


def uncertain(row: Row) -> bool:
    """Say whether an input has a range."""
    low, high = ends(row)
    return low < high


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


@lru_cache(maxsize=1024)
def _scores(name: str, draws: int, seed: int) -> np.ndarray:
    return np.random.default_rng([seed, crc32(name.encode())]).standard_normal(draws)


@lru_cache(maxsize=1024)
def shares(name: str, draws: int = DRAWS, seed: int = SEED, correlation: float = 0.0) -> np.ndarray:
    """Return an input's shares of 0 to 1, one in the middle of each of `draws` equal strata.

    Parameters
    ----------
    name : the input's; it alone, with the seed, says in which order the strata come
    correlation : 0 to 1, of normal scores, with every other input given one: what
        is common to the steps of one shop

    Source: Latin hypercube sampling, McKay, Beckman, Conover, Technometrics 21
    (1979) 239; ranks of correlated normal scores, Iman, Conover, Communications
    in Statistics B 11 (1982) 311 (both from memory).
    """
    scores = _scores(name, draws, seed)
    if correlation > 0:
        common = _scores("what is common to a shop", draws, seed)
        scores = correlation**0.5 * common + (1 - correlation) ** 0.5 * scores
    found = (scores.argsort().argsort() + 0.5) / draws
    found.flags.writeable = False
    return found


@lru_cache(maxsize=2048)
def column(row: Row, draws: int = DRAWS, seed: int = SEED, correlation: float = 0.0) -> np.ndarray:
    """Return an uncertain input's draws: triangular over its row's range.

    A factor from your own log is log-normal instead, about its value on either
    side, nine in ten within its range.
    """
    share, (low, high) = shares(row.quantity, draws, seed, correlation), ends(row)
    if row.table == "log":
        from scipy.special import ndtri

        score = ndtri(share) / NINE_IN_TEN
        base = np.where(score < 0, row.value / low, high / row.value)
        found = row.value * base**score
    else:
        found = triangular(share, low, row.value, high)
    found.flags.writeable = False
    return found


def draw(inputs: Mapping[str, Row], *, draws: int = DRAWS, seed: int = SEED) -> dict:
    """Return every input's draws (an array) or its one value (a number).

    The labour steps share what `shop_correlation` among the inputs says.
    """
    check("draws", draws, 10, 1_000_000)
    shared = inputs["shop_correlation"].value if "shop_correlation" in inputs else 0.0
    return {
        name: column(row, draws, seed, shared if name in labour.SHARED else 0.0)
        if uncertain(row)
        else row.value
        for name, row in inputs.items()
    }


def simulate(
    chain: Chain, inputs: Mapping[str, Row], *, draws: int = DRAWS, seed: int = SEED
) -> dict[str, np.ndarray]:
    """Return the draws of every input and figure; the same seed gives the same arrays."""
    found = chain.evaluate(draw(inputs, draws=draws, seed=seed))
    return {name: np.broadcast_to(np.asarray(v, float), (draws,)) for name, v in found.items()}
