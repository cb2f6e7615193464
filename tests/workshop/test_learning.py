"""Learning from a log: limits of the update, and readings off a coupon."""

from math import exp, log

import numpy as np
import pytest
from scipy import stats

from sheetkit.base.errors import OutOfRange
from sheetkit.workshop import coupon, learning
from sheetkit.workshop.learning import Belief, update


def test_no_observation_changes_nothing():
    belief = Belief(0.1, 1, 0.04, 4)
    assert update(belief, []) == belief


def test_one_by_one_is_all_at_once_in_any_order():
    seen, belief = [0.3, -0.1, 0.25, 0.4], Belief(0.0, 1, 0.04, 4)
    once = update(belief, seen)
    step = belief
    for x in reversed(seen):
        step = update(step, [x])
    assert (step.mean, step.variance) == (pytest.approx(once.mean), pytest.approx(once.variance))


def test_many_observations_win_over_the_book():
    seen = np.random.default_rng(0).normal(0.5, 0.2, 5000)
    belief = update(Belief(0.0, 1, 0.5, 4), list(seen))
    assert belief.mean == pytest.approx(seen.mean(), abs=1e-3)
    assert belief.variance == pytest.approx(seen.var(), rel=0.02)


def test_the_posterior_agrees_with_a_grid():
    """Bayes by brute force: prior x likelihood on a grid of means and variances."""
    prior, seen = Belief(0.0, 1.0, 0.09, 4.0), [0.5, 0.35, 0.2]
    mu = np.linspace(-2, 2, 801)[:, None]
    var = np.exp(np.linspace(np.log(1e-3), np.log(10), 1200))[None, :]
    density = stats.norm.pdf(mu, prior.mean, np.sqrt(var / prior.jobs))
    # scaled inverse chi-squared is inverse gamma with a = nu / 2, scale = nu s² / 2
    density *= stats.invgamma.pdf(
        var, prior.scatter_jobs / 2, scale=prior.scatter_jobs * prior.variance / 2
    )
    for x in seen:
        density *= stats.norm.pdf(x, mu, np.sqrt(var))
    weight = density * var  # the grid is even in the logarithm of the variance
    weight /= weight.sum()
    after = update(prior, seen)
    assert (weight * mu).sum() == pytest.approx(after.mean, abs=1e-3)
    nu = after.scatter_jobs
    assert (weight * var).sum() == pytest.approx(nu * after.variance / (nu - 2), rel=0.01)


def test_with_nothing_logged_nine_in_ten_are_the_books_range():
    found = learning.factor(2.0, 4.0, 8.0, [])
    assert found.value == pytest.approx(1.0)
    assert (found.low, found.high) == (pytest.approx(0.5), pytest.approx(2.0))
    assert "book alone" in found.row("x").source


def test_more_jobs_narrow_the_range_towards_what_was_logged():
    widths = []
    for n in (0, 2, 5, 15):
        found = learning.factor(2.0, 4.0, 8.0, [1.45, 1.55] * (n // 2) + [1.5] * (n % 2))
        widths.append(log(found.high / found.low))
        assert found.jobs == n
    assert widths == sorted(widths, reverse=True)
    assert found.value == pytest.approx(1.5, rel=0.05)
    assert "15 jobs" in found.row("x").source


def test_the_next_one_is_students_t():
    belief = update(Belief(0.0, 1, 0.04, 4), [0.3, 0.1])
    spread = stats.t(
        belief.scatter_jobs, belief.mean, np.sqrt(belief.variance * (1 + 1 / belief.jobs))
    )
    for share in (0.05, 0.5, 0.95):
        assert learning.next_one(belief, share) == pytest.approx(spread.ppf(share))
    assert exp(learning.next_one(belief, 0.5)) == pytest.approx(exp(belief.mean))


def test_run_out_by_hand():
    row = coupon.run_out([500, 520, 510])
    assert row.value == pytest.approx(510 * 6 / 1000)  # ten seconds, so six to the minute
    assert row.low == pytest.approx(500 * 6 / 1000 * 0.98)
    assert row.high == pytest.approx(520 * 6 / 1000 * 1.02)
    assert (row.quantity, row.unit, row.status) == ("wire_feed_m_min", "m/min", "given by the user")


def test_coupon_by_hand():
    assert coupon.coupon_travel([(50, 7.5)]).value == pytest.approx(400)
    assert coupon.coupon_dot([(10, 6.0), (20, 10.0)]).value == pytest.approx(0.55)


def test_bad_readings_are_refused():
    for call in (
        lambda: coupon.run_out([]),
        lambda: coupon.run_out([-5]),
        lambda: coupon.run_out([500], seconds=0),
        lambda: coupon.coupon_travel([(50, 0)]),
        lambda: coupon.coupon_dot([(0, 5)]),
    ):
        with pytest.raises(OutOfRange):
            call()
