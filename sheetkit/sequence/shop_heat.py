"""How a shop's heat and losses stand to the book's: what is believed of the two ratios.

The heat ratio is the heat that goes into the sheet over the book's (voltage x
current x arc time x thermal efficiency), the loss ratio what the faces lose
over the book's.  Both are taken as log-normal; readings of several jobs are
weighed together, and one job far from the rest counts little.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np

from ..base.errors import check
from ..base.showing import Range
from ..formulas.montecarlo import NINE_IN_TEN

BOOK_HEAT, BOOK_LOSS = 0.15, 0.40
"""The book's own uncertainty: standard deviations of the two ratios' logarithms.  GUESS."""
JOB_HEAT, JOB_LOSS = 0.05, 0.15
"""The part of it that differs from job to job in one shop.  GUESS."""
TAILS = 4.0
"""Degrees of freedom of the Student's t a job's ratios are taken from: slips happen (our own choice)."""
HEAT_RANGE, LOSS_RANGE = (0.4, 2.5), (0.15, 4.0)
"""What a ratio can be at all: further off something else is wrong.  GUESS."""


@dataclass(frozen=True)
class ShopHeat:
    """What is believed of a shop's heat and losses, over the book's.

    heat, loss : the likely ratios, within HEAT_RANGE and LOSS_RANGE
    heat_sd, loss_sd : standard deviations of their logarithms, 0.001 to 2
    together : correlation of the two, -0.999 to 0.999
    readings, jobs : how many it rests on
    """

    heat: float = 1.0
    loss: float = 1.0
    heat_sd: float = BOOK_HEAT
    loss_sd: float = BOOK_LOSS
    together: float = 0.0
    readings: int = 0
    jobs: int = 0

    def __post_init__(self) -> None:
        check("heat", self.heat, *HEAT_RANGE)
        check("loss", self.loss, *LOSS_RANGE)
        check("heat_sd", self.heat_sd, 0.001, 2.0)
        check("loss_sd", self.loss_sd, 0.001, 2.0)
        check("together", self.together, -0.999, 0.999)

    @classmethod
    def of(cls, mean: np.ndarray, covariance: np.ndarray, readings: int, jobs: int) -> ShopHeat:
        """Return the belief with this mean and covariance of (ln heat, ln loss)."""
        sd = np.sqrt(np.diag(covariance))
        sd = np.clip(sd, 0.001, 2.0)
        together = float(np.clip(covariance[0, 1] / (sd[0] * sd[1]), -0.999, 0.999))
        heat, loss = (
            float(np.clip(np.exp(value), *limits))
            for value, limits in zip(mean, (HEAT_RANGE, LOSS_RANGE), strict=True)
        )
        return cls(heat, loss, float(sd[0]), float(sd[1]), together, readings, jobs)

    @property
    def mean(self) -> np.ndarray:
        """(ln heat, ln loss)."""
        return np.array([log(self.heat), log(self.loss)])

    @property
    def covariance(self) -> np.ndarray:
        """Of (ln heat, ln loss)."""
        both = self.together * self.heat_sd * self.loss_sd
        return np.array([[self.heat_sd**2, both], [both, self.loss_sd**2]])

    @property
    def heat_range(self) -> Range:
        """The heat ratio: likely, and where it lies nine times in ten."""
        return _range(self.heat, self.heat_sd)

    @property
    def loss_range(self) -> Range:
        """The loss ratio: likely, and where it lies nine times in ten."""
        return _range(self.loss, self.loss_sd)

    @property
    def planned_heat(self) -> float:
        """The heat ratio a plan takes: the hot end of its range."""
        return self.heat_range.high


BOOK = ShopHeat()
"""The book alone."""


def _range(likely: float, sd: float) -> Range:
    wide = exp(NINE_IN_TEN * sd)
    return Range(likely / wide, likely, likely * wide)


def pooled(found: Sequence[ShopHeat]) -> ShopHeat:
    """Return what several jobs' ratios say of the next job in the same shop.

    Parameters
    ----------
    found : of each job, the ratios by its own readings, with the book's word in them

    Returns
    -------
    ShopHeat, its ranges those of the next job.  Without any the book's.

    Source
    ------
    Normal means with known scatter between and within groups, in the form of
    Gelman and others, Bayesian Data Analysis, ch. 5; weights by Student's t as in
    Lange, Little, Taylor, J. Am. Stat. Assoc. 84 (1989) 881 (both from memory).
    """
    if not found:
        return BOOK
    scatter = np.diag([JOB_HEAT**2, JOB_LOSS**2])
    book = np.diag([BOOK_HEAT**-2, BOOK_LOSS**-2])
    known = np.linalg.inv(np.linalg.inv(book) - scatter)
    told = [_alone(one, book, scatter) for one in found]
    middle = np.median([one.mean for one in found], axis=0)
    precision, weights = known, np.ones(len(found))
    for _ in range(100):
        weights = np.array([_weight(middle, *one) for one in told])
        precision = known + sum(w * more for w, (more, _) in zip(weights, told, strict=True))
        pull = sum(w * by for w, (_, by) in zip(weights, told, strict=True))
        now = np.linalg.solve(precision, pull)
        if np.abs(now - middle).max() < 1e-10:
            break
        middle = now
    return ShopHeat.of(
        middle, np.linalg.inv(precision) + scatter, sum(one.readings for one in found),
        len(found),
    )  # fmt: skip


def _alone(one: ShopHeat, book: np.ndarray, scatter: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return (precision, precision x mean) that one job's readings add to the book's word.

    Seen from the shop: with the scatter from job to job in it.
    """
    inverse = np.linalg.inv(one.covariance)
    values, vectors = np.linalg.eigh(inverse - book)
    told = vectors[:, values > 1e-9]  # where the readings say nothing the book's word stands alone
    more = (told * values[values > 1e-9]) @ told.T
    spread = np.linalg.inv(np.eye(2) + more @ scatter)
    return spread @ more, spread @ told @ (told.T @ (inverse @ one.mean))


def _weight(middle: np.ndarray, more: np.ndarray, by: np.ndarray) -> float:
    """Return how much a job counts: 1, and less the further it is from the middle."""
    off = np.linalg.pinv(more, rcond=1e-9) @ by - middle
    return min(1.0, (TAILS + 2) / (TAILS + float(off @ more @ off)))
