"""Waits that follow the work: the plan itself at ratio 1, longer for a hotter sheet."""

import dataclasses

import numpy as np
import pytest

from sheetkit.base.errors import OutOfRange
from sheetkit.sequence.places import PlacePeak
from sheetkit.sequence.plan import retimed
from sheetkit.sequence.thermometer import (
    ALONE,
    LEAST_RISE_K,
    TOUCH_AGAIN_S,
    Reading,
    heat_ratio,
    paced,
    state_at,
)


def after(plan, count):
    """Return (starts, end of the last arc) of the first stitches as planned."""
    starts = list(plan.start_s[:count])
    last = plan.model.stitches[plan.order[count - 1]]
    return starts, starts[-1] + last.duration_s


def test_ratio_is_measured_rise_over_expected_rise():
    assert heat_ratio(70, 60, 20) == pytest.approx(1.25)
    assert heat_ratio(20, 60, 20) == 0
    assert heat_ratio(70, 20 + 0.9 * LEAST_RISE_K, 20) is None


def test_work_as_planned_keeps_the_plan(small_plan):
    plan = retimed(small_plan, small_plan.order)
    assert paced(plan, [], 0.0).due_s == pytest.approx(plan.start_s, abs=0.05)
    assert paced(plan, *after(plan, 3)).due_s == pytest.approx(plan.start_s, abs=0.05)


def test_a_slow_hand_waits_less(small_plan):
    starts, end = after(small_plan, 3)
    late = paced(small_plan, starts, end + 300)
    assert late.due_s[:3] == tuple(starts)
    assert late.due_s[3] == pytest.approx(end + 300, abs=10)  # the move alone


def test_a_hotter_sheet_waits_as_the_model_with_so_much_more_heat(small_plan):
    starts, end = after(small_plan, 4)
    expected = paced(small_plan, starts, end).expected_c
    pace = paced(small_plan, starts, end, measured_c=20 + 1.3 * (expected - 20))
    assert pace.reading is Reading.USED and pace.ratio == pytest.approx(1.3)
    hotter = dataclasses.replace(small_plan, model=small_plan.model.varied(energy=1.3))
    assert pace.due_s[4:] == pytest.approx(paced(hotter, starts, end).due_s[4:], abs=0.3)
    cooler = paced(small_plan, starts, end, measured_c=20 + 0.85 * (expected - 20))
    plain = paced(small_plan, starts, end)
    assert cooler.due_s[-1] < plain.due_s[-1] < pace.due_s[-1]


def test_a_second_reading_replaces_the_first(small_plan):
    starts, end = after(small_plan, 3)
    plain = paced(small_plan, starts, end).expected_c
    again = paced(small_plan, starts, end, ratio=1.5, measured_c=plain)
    assert again.expected_c == pytest.approx(20 + 1.5 * (plain - 20))
    assert again.ratio == pytest.approx(1.0) and again.reading is Reading.USED


@pytest.mark.parametrize(
    ("celsius", "reading"),
    [
        (900.0, Reading.SLIP),
        (22.0, Reading.SLIP),
        (5.0, Reading.BELOW_AIR),
        (-40.0, Reading.BELOW_AIR),
    ],
)
@pytest.mark.parametrize("ratio", [0.7, 1.0, 1.6])
def test_a_slip_of_the_thermometer_changes_nothing(small_plan, celsius, reading, ratio):
    starts, end = after(small_plan, 3)
    plain = paced(small_plan, starts, end, ratio=ratio)
    slip = paced(small_plan, starts, end, ratio=ratio, measured_c=celsius)
    assert slip.ratio == ratio and slip.reading is reading
    assert all(a >= b - 1e-6 for a, b in zip(slip.due_s, plain.due_s, strict=True))


def test_one_reading_lengthens_at_once_and_two_that_agree_shorten(small_plan):
    starts, end = after(small_plan, 4)
    plain = paced(small_plan, starts, end)

    def read(share, **more):
        return paced(
            small_plan, starts, end, measured_c=20 + share * (plain.expected_c - 20), **more
        )

    assert read(1.8).ratio == pytest.approx(1.8)
    first = read(0.5)
    assert first.ratio == ALONE and first.reading is Reading.HALF_USED
    assert first.found == pytest.approx(0.5)
    assert first.due_s[-1] > paced(small_plan, starts, end, ratio=0.5).due_s[-1] + 1
    agreed = read(0.54, ratio=first.ratio, before=first.found)
    assert agreed.ratio == pytest.approx(0.54) and agreed.reading is Reading.USED
    odd = read(0.75, ratio=first.ratio, before=first.found)
    assert odd.ratio == ALONE
    assert read(0.9).ratio == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"measured_c": float("nan")}, "measured_c"),
        ({"measured_c": 1e5}, "measured_c"),
        ({"now_s": float("inf")}, "now_s"),
        ({"now_s": 1e7}, "now_s"),
        ({"ratio": float("nan")}, "ratio"),
        ({"starts_s": [float("nan")]}, "starts_s"),
        ({"starts_s": [0.0] * 99}, "starts_s"),
    ],
)
def test_what_is_no_number_is_refused(small_plan, change, word):
    given = {"starts_s": [], "now_s": 0.0} | change
    with pytest.raises(OutOfRange, match=word):
        paced(small_plan, given.pop("starts_s"), given.pop("now_s"), **given)


def test_over_the_limit_is_never_due_at_once(small_plan):
    starts, end = after(small_plan, 3)
    now = end + 1500  # the model expects it near the air's temperature
    pace = paced(small_plan, starts, now, measured_c=75)
    assert pace.reading is Reading.TOO_COOL and pace.ratio == 1
    assert pace.due_s[3] >= now + TOUCH_AGAIN_S - 1e-6


def test_with_protected_places_waits_only_grow(small_plan):
    guarded = dataclasses.replace(
        small_plan, protected=(PlacePeak("wiring", 70.0, 80.0, 40.0, True),)
    )
    starts, end = after(guarded, 3)
    due = np.array(paced(guarded, starts, end + 120).due_s)
    planned = np.array(guarded.start_s)
    assert (np.diff(due[3:]) >= np.diff(planned[3:]) - 1e-6).all()
    assert due[3] >= end + planned[3] - end + 120 - 1e-6


def test_presses_too_close_together_are_put_one_after_the_other(small_plan):
    state = state_at(small_plan, [0.0, 0.0, 0.0], 0.0)
    arcs = sum(small_plan.model.stitches[n].duration_s for n in small_plan.order[:3])
    assert state.clock == pytest.approx(small_plan.tack_s + arcs, abs=1e-6)


def test_nothing_left_to_wait_for(small_plan):
    starts, end = after(small_plan, len(small_plan.order))
    assert paced(small_plan, starts, end).due_s == tuple(starts)
