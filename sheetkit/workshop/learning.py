"""What a log teaches: a factor on the book's value, and how much of a shop's pace is common.

The logarithm of (what it took / what the book says) is taken as scattered
about a mean, both unknown; the book's own range is the first opinion of both.
A figure far from the others counts little: one slip of the pen is no habit.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

import numpy as np

from ..base.tables import Row
from ..formulas.montecarlo import NINE_IN_TEN

BOOK_JOBS = 1.0
"""How many jobs the book's word is worth (our own choice)."""
BOOK_SCATTER_JOBS = 4.0
"""How many jobs the book's range is worth as a word on scatter (our own choice)."""
BOOK_SHARED_JOBS = 2.0
"""How many jobs the book's word is worth on what is common to a shop's steps (our own choice)."""
TAILS = 4.0
"""Degrees of freedom of the Student's t a logged figure is taken from: slips happen (our own choice)."""
AS_NORMAL = 1.448
"""The variance of normal figures over the squared scale of that Student's t fitted to them."""
LITTLE = 0.25
"""A figure of a smaller weight than this counts little; a usual one weighs about 1."""
EIGHT_IN_TEN = 1.2815515655446004
"""A normal variable lies within so many standard deviations of its mean eight times in ten."""


@dataclass(frozen=True)
class Belief:
    """A normal-inverse-chi-squared belief about a mean and a variance.

    `mean`, worth `jobs` observations; `variance`, worth `scatter_jobs`.
    """

    mean: float
    jobs: float
    variance: float
    scatter_jobs: float


def update(belief: Belief, seen: Sequence[float], weights: Sequence[float] | None = None) -> Belief:
    """Return the belief after the observations; the order does not matter.

    Parameters
    ----------
    weights : each observation's, from 0; None: 1 each

    Source: conjugate normal model with unknown mean and variance; Hoff, A First
    Course in Bayesian Statistical Methods, 2009, section 5.3 (from memory).
    """
    n = len(seen)
    if n == 0:
        return belief
    by = [1.0] * n if weights is None else list(weights)
    total = sum(by)
    mean = sum(w * x for w, x in zip(by, seen, strict=True)) / total
    squares = sum(w * (x - mean) ** 2 for w, x in zip(by, seen, strict=True))
    jobs, scatter = belief.jobs + total, belief.scatter_jobs + n
    pull = belief.jobs * total / jobs * (mean - belief.mean) ** 2
    return Belief(
        (belief.jobs * belief.mean + total * mean) / jobs,
        jobs,
        (belief.scatter_jobs * belief.variance + squares + pull) / scatter,
        scatter,
    )


def robust_update(belief: Belief, seen: Sequence[float]) -> tuple[Belief, list[float]]:
    """Return the belief after observations of which some are slips, and each one's weight.

    Observations are taken as Student's t instead of normal: one far from the
    rest has a small weight.  Found by iterating weights and belief.

    Source: Lange, Little, Taylor, Robust statistical modeling using the t
    distribution, J. Am. Stat. Assoc. 84 (1989) 881 (from memory).
    """
    if not len(seen):
        return belief, []
    scale = belief.variance / AS_NORMAL
    prior = Belief(belief.mean, belief.jobs, scale, belief.scatter_jobs)
    middle, found, weights = float(np.median(seen)), prior, [1.0] * len(seen)
    for _ in range(200):
        weights = [(TAILS + 1) / (TAILS + (x - middle) ** 2 / scale) for x in seen]
        found = update(prior, seen, weights)
        if abs(found.mean - middle) < 1e-10 and abs(found.variance - scale) < 1e-12:
            break
        middle, scale = found.mean, found.variance
    return Belief(found.mean, found.jobs, found.variance * AS_NORMAL, found.scatter_jobs), weights


def _quantile(share: float, degrees: float) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(degrees, share))


def next_one(belief: Belief, share: float) -> float:
    """Return the quantile of the next observation (Student's t), at a share of 0 to 1."""
    width = sqrt(belief.variance * (1 + 1 / belief.jobs))
    return belief.mean + width * _quantile(share, belief.scatter_jobs)


def book_belief(low: float, likely: float, high: float, value: float | None = None) -> Belief:
    """Return the first opinion about ln(took / value): eight in ten within the book's range.

    Parameters
    ----------
    low, likely, high : the book's range, 0 < low <= likely <= high
    value : what a logged figure is divided by; None: the likely
    """
    half = max(log(high / low) / 2, 0.02) * NINE_IN_TEN / EIGHT_IN_TEN
    wide = half / _quantile(0.95, BOOK_SCATTER_JOBS)
    centre = log(likely / (likely if value is None else value))
    return Belief(centre, BOOK_JOBS, wide**2, BOOK_SCATTER_JOBS)


@dataclass(frozen=True)
class Factor:
    """Your own factor on a book value: likely, and where nine in ten of the next jobs lie.

    jobs : how many were logged; little : how many of them count little, being far off
    """

    low: float
    value: float
    high: float
    jobs: int
    little: int = 0

    def row(self, name: str) -> Row:
        """Return the factor as an input of the chain."""
        source = "the book alone: no job logged yet"
        if self.jobs:
            source = f"your own log, {self.jobs} job{'s' * (self.jobs != 1)}"
        if self.little:
            source += f", {self.little} of them far from the rest and counting little"
        status = "derived" if self.jobs else "guess"
        note = "own / book; nine in ten of the next jobs"
        return Row("log", name, name, self.low, self.value, self.high, "1", source, status, note)


def factor(
    low: float,
    likely: float,
    high: float,
    ratios: Sequence[float],
    *,
    value: float | None = None,
) -> Factor:
    """Return the factor on a book figure after jobs that took `ratios` times its value.

    Parameters
    ----------
    low, likely, high : the book's range: one in ten under low, one in ten over high
    ratios : what logged jobs took over the book's value, > 0
    value : the book's value the factor stands on; None: the likely
    """
    scale = likely if value is None else value
    if not len(ratios):
        wider = NINE_IN_TEN / EIGHT_IN_TEN
        middle = likely / scale
        return Factor(
            middle * (low / likely) ** wider, middle, middle * (high / likely) ** wider, 0
        )
    first = book_belief(low, likely, high, scale)
    belief, weights = robust_update(first, [log(r) for r in ratios])
    ends = (exp(next_one(belief, share)) for share in (0.05, 0.95))
    little = sum(weight < LITTLE for weight in weights)
    return Factor(next(ends), exp(belief.mean), next(ends), len(ratios), little)


def shop_correlation(jobs: Iterable[Mapping[str, float]], book: Row) -> Row:
    """Return how much of what makes a shop's steps slow is common to them all, as an input.

    From the products of different steps' departures in one job, over their squares;
    departures beyond three of the middle ones are cut off there.

    Parameters
    ----------
    jobs : of each logged job, step -> ratio to the book's value
    book : the book's own word, worth `BOOK_SHARED_JOBS` jobs
    """
    logs = [{step: log(ratio) for step, ratio in job.items()} for job in jobs]
    steps = {step for job in logs for step in job}
    middle = {s: float(np.median([job[s] for job in logs if s in job])) for s in steps}
    away = [{s: x - middle[s] for s, x in job.items()} for job in logs if len(job) > 1]
    every = np.abs([x for job in away for x in job.values()])
    if len(away) < 2 or not every.any():
        return book
    most = 3 * float(np.median(every)) / 0.6745
    cut = [np.clip(list(job.values()), -most, most) for job in away]
    squares = sum(float(one @ one) for one in cut) / sum(len(one) for one in cut)
    products = sum(float(one.sum() ** 2 - one @ one) for one in cut)
    found = products / sum(len(one) * (len(one) - 1) for one in cut) / squares
    more = len(away) - 1
    value = (BOOK_SHARED_JOBS * book.value + more * found) / (BOOK_SHARED_JOBS + more)
    source = f"your own log, {len(away)} jobs of several steps; {book.source}"
    return Row("log", book.name, book.quantity, None, min(max(value, 0.0), 0.95), None, "1", source,
               "derived", book.note)  # fmt: skip
