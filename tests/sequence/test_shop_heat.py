"""What several jobs' ratios say together: made-up shops, one slip, and the book without any."""

import numpy as np
import pytest

from sheetkit.base.errors import OutOfRange
from sheetkit.sequence.shop_heat import BOOK, JOB_HEAT, JOB_LOSS, ShopHeat, pooled


def job(heat, loss, heat_sd=0.05, loss_sd=0.1, together=0.8):
    return ShopHeat(heat, loss, heat_sd, loss_sd, together, 3, 1)


def test_without_a_job_it_is_the_book():
    assert pooled([]) is BOOK
    assert (BOOK.heat_range.likely, BOOK.loss_range.likely) == (1.0, 1.0)


def test_a_job_that_told_nothing_leaves_the_books_figures():
    nothing = pooled([ShopHeat(readings=1, jobs=1)])
    assert nothing.heat == pytest.approx(1, abs=1e-6)
    assert nothing.heat_sd == pytest.approx(BOOK.heat_sd)
    assert nothing.loss_sd == pytest.approx(BOOK.loss_sd)


def test_one_job_is_carried_to_the_next_with_the_scatter_between_jobs():
    one = job(1.2, 0.6)
    found = pooled([one])
    assert 1.05 < found.heat < 1.2 and 0.6 <= found.loss < 0.75
    assert one.heat_sd < found.heat_sd < BOOK.heat_sd
    assert found.readings == 3 and found.jobs == 1
    assert found.planned_heat == found.heat_range.high > found.heat


def test_many_jobs_come_to_the_shops_own_and_no_narrower_than_its_scatter():
    found = pooled([job(1.3, 0.5)] * 40)
    assert found.heat == pytest.approx(1.3, rel=0.02) and found.loss == pytest.approx(0.5, rel=0.04)
    assert JOB_HEAT <= found.heat_sd < 1.1 * JOB_HEAT
    assert JOB_LOSS <= found.loss_sd < 1.1 * JOB_LOSS


@pytest.mark.parametrize("wrong", [(2.2, 0.6), (0.5, 0.6), (1.15, 3.5)])
def test_one_job_far_from_the_rest_counts_little(wrong):
    sound = [job(1.15, 0.6), job(1.1, 0.65), job(1.2, 0.62)]
    plain, with_it = pooled(sound), pooled([*sound, job(*wrong)])
    assert with_it.heat == pytest.approx(plain.heat, rel=0.06)
    assert with_it.loss == pytest.approx(plain.loss, rel=0.12)


def test_the_next_job_of_made_up_shops_lies_in_the_range_nine_times_in_ten():
    chance = np.random.default_rng(3)
    inside = np.zeros(2)
    for _ in range(400):
        shop = chance.normal(0, np.sqrt([0.15**2 - JOB_HEAT**2, 0.4**2 - JOB_LOSS**2]))
        seen = []
        for _ in range(chance.integers(1, 5)):
            there = shop + chance.normal(0, [JOB_HEAT, JOB_LOSS])
            told = there + chance.normal(0, [0.06, 0.12])
            precision = np.array([0.15, 0.4]) ** -2 + np.array([0.06, 0.12]) ** -2
            mean = told * np.array([0.06, 0.12]) ** -2 / precision
            seen.append(ShopHeat(*np.exp(mean), *precision**-0.5, 0.0, 3, 1))
        following = np.exp(shop + chance.normal(0, [JOB_HEAT, JOB_LOSS]))
        found = pooled(seen)
        spans = (found.heat_range, found.loss_range)
        inside += [span.low <= x <= span.high for span, x in zip(spans, following, strict=True)]
    assert inside / 400 == pytest.approx([0.9, 0.9], abs=0.045), inside


def test_order_does_not_matter():
    jobs = [job(1.2, 0.7), job(0.9, 1.2), job(1.0, 1.0)]
    one, other = pooled(jobs), pooled(jobs[::-1])
    assert one.heat == pytest.approx(other.heat) and one.loss == pytest.approx(other.loss)


@pytest.mark.parametrize(
    "change", [{"heat": 0.0}, {"loss": float("nan")}, {"heat_sd": -1}, {"together": 2.0}]
)
def test_what_no_shop_can_be_is_refused(change):
    with pytest.raises(OutOfRange, match=next(iter(change))):
        ShopHeat(**change)
