"""Learning from a log: limits of the update, and readings off a coupon."""

from math import exp, log

import numpy as np
import pytest
from scipy import stats

from sheetkit.base import tables
from sheetkit.base.errors import OutOfRange
from sheetkit.formulas import hours, montecarlo
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


def test_with_nothing_logged_it_is_the_books_range():
    """The book's ends are one in ten, the factor's nine in ten: further out by 1.645 over 1.282."""
    found = learning.factor(2.0, 4.0, 8.0, [])
    assert found.value == pytest.approx(1.0)
    further = 2 ** (stats.norm.ppf(0.95) / stats.norm.ppf(0.9))
    assert (found.low, found.high) == (pytest.approx(1 / further), pytest.approx(further))
    assert "book alone" in found.row("x").source
    drawn = montecarlo.column(learning.factor(2.0, 3.0, 8.0, [], value=2.5).row("x"))
    assert np.quantile(drawn, (0.1, 0.5, 0.9)) == pytest.approx([0.8, 1.2, 3.2], rel=0.01)


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


def test_weights_of_one_change_nothing_and_of_nothing_leave_a_figure_out():
    prior, seen = Belief(0.0, 1.0, 0.09, 4.0), [0.5, 0.35, 0.2]
    assert update(prior, seen, [1, 1, 1]) == update(prior, seen)
    left_out = update(prior, [*seen, 9.0], [1, 1, 1, 0])
    assert left_out.mean == pytest.approx(update(prior, seen).mean)


@pytest.mark.parametrize("good", [4, 5])
@pytest.mark.parametrize("slip", [10, 0.1, 19, 1 / 19])
@pytest.mark.parametrize("book", [(0.75, 1.0, 1.6), (0.4, 1.0, 2.6)])
def test_a_slip_of_ten_times_among_five_jobs_moves_the_factor_by_less_than_a_tenth(
    good, slip, book
):
    seen = [1.3, 1.45, 1.4, 1.5, 1.35][:good]
    without = learning.factor(*book, seen)
    with_slip = learning.factor(*book, [*seen, 1.4 * slip])
    assert with_slip.value == pytest.approx(without.value, rel=0.1)
    assert with_slip.little == 1 and "counting little" in with_slip.row("x").source
    assert without.little == 0


def test_figures_without_a_slip_have_their_own_scatter():
    """The Student's t is no excuse for a wide or a narrow range: many normal figures give theirs."""
    seen = np.random.default_rng(3).normal(0.3, 0.2, 4000)
    belief, weights = learning.robust_update(Belief(0.0, 1, 0.5, 4), list(seen))
    assert belief.mean == pytest.approx(0.3, abs=0.01)
    assert belief.variance == pytest.approx(seen.var(), rel=0.04)
    assert np.mean(np.array(weights) < learning.LITTLE) < 0.001


@pytest.mark.parametrize(("common", "each"), [(0.25, 0.15), (0.15, 0.25), (0.2, 0.2)])
def test_what_is_common_to_a_shops_steps_is_found(common, each):
    rng = np.random.default_rng(5)
    jobs = [
        {s: exp(0.3 + c + rng.normal(0, each)) for s in "abcdefghi"}
        for c in rng.normal(0, common, 200)
    ]
    book = tables.row("labour", "one shop", "correlation")
    found = learning.shop_correlation(jobs, book)
    assert found.value == pytest.approx(common**2 / (common**2 + each**2), abs=0.07)
    assert "200 jobs" in found.source
    assert learning.shop_correlation(jobs[:1], book) is book
    assert learning.shop_correlation([], book) is book


def shares_of_shops_held(count: int, shops: int, seed: int) -> float:
    """Share of shops whose next job's hours lie in the nine-in-ten range of their own log.

    Each shop is 0.25 slow or quick in common from job to job (standard deviation of
    the logarithm), 0.15 more in each step, and has habits of its own in each.
    """
    hours_by_step = np.array([1.5, 0.3, 0.6, 0.7, 0.5, 0.9, 0.7, 0.15, 0.2])
    rng, held = np.random.default_rng(seed), 0
    book = tables.row("labour", "one shop", "correlation")
    for _ in range(shops):
        habit = rng.normal(np.log(1.2), 0.15, len(hours_by_step))
        logged = np.exp(habit + rng.normal(0, 0.25, (count + 1, 1))
                        + rng.normal(0, 0.15, (count + 1, len(hours_by_step))))  # fmt: skip
        common = learning.shop_correlation(
            [dict(zip(hours.STEPS, job, strict=True)) for job in logged[:-1]], book
        ).value
        total = np.zeros(montecarlo.DRAWS)
        for step, usual, seen in zip(hours.STEPS, hours_by_step, logged[:-1].T, strict=True):
            name = hours.own_factor(step)
            row = learning.factor(0.75, 1.0, 1.6, list(seen), value=0.9).row(name)
            total = total + usual * montecarlo.column(row, correlation=round(common, 3))
        low, high = np.quantile(total, (0.05, 0.95))
        held += low <= hours_by_step @ logged[-1] <= high
    return held / shops


@pytest.mark.parametrize("count", [3, 10, 30])
def test_nine_in_ten_of_simulated_shops_lie_in_their_own_range(count):
    assert 0.85 <= shares_of_shops_held(count, 600, seed=count) <= 0.95


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
