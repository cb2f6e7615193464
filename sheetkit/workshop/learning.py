"""What a log teaches: a factor on the book's value, and settings read off a coupon.

The logarithm of (what it took / what the book says) is taken as normal, its
mean and scatter unknown; the book's own range is the first opinion of both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

from ..base.tables import Row

BOOK_JOBS = 1.0
"""How many jobs the book's word is worth (our own choice)."""
BOOK_SCATTER_JOBS = 4.0
"""How many jobs the book's range is worth as a word on scatter (our own choice)."""
NINE_IN_TEN = 0.95


@dataclass(frozen=True)
class Belief:
    """A normal-inverse-chi-squared belief about a mean and a variance.

    `mean`, worth `jobs` observations; `variance`, worth `scatter_jobs`.
    """

    mean: float
    jobs: float
    variance: float
    scatter_jobs: float


def update(belief: Belief, seen: Sequence[float]) -> Belief:
    """Return the belief after the observations; the order does not matter.

    Source: conjugate normal model with unknown mean and variance; Hoff, A First
    Course in Bayesian Statistical Methods, 2009, section 5.3 (from memory).
    """
    n = len(seen)
    if n == 0:
        return belief
    mean = sum(seen) / n
    squares = sum((x - mean) ** 2 for x in seen)
    jobs, scatter = belief.jobs + n, belief.scatter_jobs + n
    pull = belief.jobs * n / jobs * (mean - belief.mean) ** 2
    return Belief(
        (belief.jobs * belief.mean + n * mean) / jobs,
        jobs,
        (belief.scatter_jobs * belief.variance + squares + pull) / scatter,
        scatter,
    )


def _quantile(share: float, degrees: float) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(degrees, share))


def next_one(belief: Belief, share: float) -> float:
    """Return the quantile of the next observation (Student's t), at a share of 0 to 1."""
    width = sqrt(belief.variance * (1 + 1 / belief.jobs))
    return belief.mean + width * _quantile(share, belief.scatter_jobs)


def book_belief(low: float, likely: float, high: float) -> Belief:
    """Return the first opinion about ln(took / book): nine in ten within the book's range.

    Parameters
    ----------
    low, likely, high : the book's figure, 0 < likely; low is taken as at least a tenth of it.
    """
    low = max(low, likely / 10)
    half = max(log(high / low) / 2, 0.02)
    wide = half / _quantile(NINE_IN_TEN, BOOK_SCATTER_JOBS)
    return Belief(0.0, BOOK_JOBS, wide**2 / (1 + 1 / BOOK_JOBS), BOOK_SCATTER_JOBS)


@dataclass(frozen=True)
class Factor:
    """Your own factor on a book value: likely, and where nine in ten of the next jobs lie."""

    low: float
    value: float
    high: float
    jobs: int

    def row(self, name: str) -> Row:
        """Return the factor as an input of the chain."""
        source = f"your own log, {self.jobs} job{'s' * (self.jobs != 1)}" if self.jobs else (
            "the book alone: no job logged yet"
        )  # fmt: skip
        return Row("log", name, name, self.low, self.value, self.high, "1", source,
                   "derived" if self.jobs else "guess", "own / book; nine in ten of the next jobs")  # fmt: skip


def factor(low: float, likely: float, high: float, ratios: Sequence[float]) -> Factor:
    """Return the factor on a book figure after jobs that took `ratios` times the book's."""
    belief = update(book_belief(low, likely, high), [log(r) for r in ratios])
    ends = (exp(next_one(belief, share)) for share in (1 - NINE_IN_TEN, NINE_IN_TEN))
    return Factor(next(ends), exp(belief.mean), next(ends), len(ratios))
