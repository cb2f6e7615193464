"""Estimates by your own factors and coupon."""

from pathlib import Path

import pytest

import sheetkit as sk
from sheetkit.formulas import hours
from sheetkit.workshop import coupon, own_factors

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def result():
    return sk.estimate(sk.load(DATA / "trunk_floor.json"))


def test_without_a_log_it_is_the_book_exactly(result):
    for nothing in ({}, {"welding_h": []}):
        mine = own_factors.with_own(result, nothing)
        for name in ("hours_h", "cost", "gas_real_l", "wire_bought_g", *hours.STEPS):
            assert mine.values[name] == result.values[name]
            assert mine.range(name) == result.range(name)


def test_a_step_not_logged_keeps_the_books_range_beside_one_that_is(result):
    mine = own_factors.with_own(result, {"welding_h": [1.1, 1.2, 1.3]})
    for name in set(hours.STEPS) - {"welding_h"}:
        assert mine.spans[name] == pytest.approx(result.spans[name], rel=0.03), name
    assert mine.range("welding_h").likely != pytest.approx(
        result.range("welding_h").likely, rel=0.01
    )


def test_a_logged_step_moves_alone_and_the_sum_with_it(result):
    mine = own_factors.with_own(result, {"dressing_h": [2.0] * 50})
    factor = mine.values["dressing_h"] / result.values["dressing_h"]
    assert factor == pytest.approx(2.0, rel=0.02)
    # a step that isn't logged stands at the middle of the book's range
    assert mine.values["welding_h"] == pytest.approx(result.range("welding_h").likely)
    assert mine.values["hours_h"] == pytest.approx(sum(mine.values[step] for step in hours.STEPS))
    assert mine.values["labour_cost"] == pytest.approx(60 * mine.values["hours_h"])


def test_a_log_narrows_the_range(result):
    """Fifteen jobs, since the book's range is worth four as a word on scatter."""
    usual = {step: result.range(step).likely / result.values[step] for step in hours.STEPS}
    steady = {step: [1.1 * x, 1.2 * x, 1.15 * x] * 5 for step, x in usual.items()}
    book, mine = result.hours, own_factors.with_own(result, steady).hours
    assert (mine.high - mine.low) / mine.likely < 0.6 * (book.high - book.low) / book.likely
    assert mine.likely > book.likely


def test_gas_wire_and_cylinder_follow(result):
    mine = own_factors.with_own(result, {"gas_real_l": [1.5] * 50, "wire_bought_g": [1.2] * 50})
    assert mine.values["gas_real_l"] == pytest.approx(1.5 * result.values["gas_real_l"], rel=0.02)
    used = result.values["cylinder_content_l"] - mine.values["cylinder_left_l"]
    assert used == pytest.approx(mine.values["gas_real_l"])
    assert mine.values["wire_cost"] == pytest.approx(1.2 * result.values["wire_cost"], rel=0.02)


def test_explain_says_how_many_jobs_stand_behind_it(result):
    mine = own_factors.with_own(result, {"welding_h": [0.9, 0.8, 0.85]})
    text = str(mine.explain("welding_h"))
    assert "book_welding_h × own_welding_factor" in text and "your own log, 3 jobs" in text
    assert "book alone" in str(mine.explain("sealing_h"))


def test_the_estimate_by_the_book_is_left_as_it_was(result):
    before = dict(result.values)
    own_factors.with_own(result, {"welding_h": [3.0]})
    assert dict(result.values) == before and "book_welding_h" not in result.values


def test_a_run_out_and_a_coupon_take_the_tables_place(result):
    mine = own_factors.calibrated(result, coupon.run_out([400]), coupon.coupon_travel([(60, 12)]))
    assert mine.values["wire_feed_m_min"] == pytest.approx(2.4)
    assert mine.values["travel_mm_min"] == pytest.approx(300)
    length = mine.values["fill_length_mm"]
    assert mine.values["fill_time_s"] == pytest.approx(length / 300 * 60)
    assert mine.values["wire_by_feed_m"] == pytest.approx(2.4 * mine.values["arc_time_s"] / 60)
    assert "your own coupon" in str(mine.explain("wire_feed_m_min"))


def test_a_reading_the_process_does_not_use_is_left_out(result):
    tig = sk.estimate(result.job.changed(weld__process="141", weld__gas=None))
    mine = own_factors.calibrated(tig, coupon.run_out([400]))
    assert "wire_feed_m_min" not in mine.values
