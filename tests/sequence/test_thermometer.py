"""Waits that follow the work: the plan itself at ratio 1, longer for a hotter sheet."""

import dataclasses

import numpy as np
import pytest

from sheetkit.sequence.plan import PlacePeak, retimed
from sheetkit.sequence.thermometer import (
    LEAST_RISE_K,
    RATIOS,
    TOUCH_AGAIN_S,
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
    assert pace.told and pace.ratio == pytest.approx(1.3)
    hotter = dataclasses.replace(small_plan, model=small_plan.model.varied(energy=1.3))
    assert pace.due_s[4:] == pytest.approx(paced(hotter, starts, end).due_s[4:], abs=0.3)
    cooler = paced(small_plan, starts, end, measured_c=20 + 0.7 * (expected - 20))
    plain = paced(small_plan, starts, end)
    assert cooler.due_s[-1] < plain.due_s[-1] < pace.due_s[-1]


def test_a_second_reading_replaces_the_first(small_plan):
    starts, end = after(small_plan, 3)
    plain = paced(small_plan, starts, end).expected_c
    again = paced(small_plan, starts, end, ratio=1.5, measured_c=plain)
    assert again.expected_c == pytest.approx(20 + 1.5 * (plain - 20))
    assert again.ratio == pytest.approx(1.0)


def test_slips_of_the_thermometer_are_kept_within_bounds(small_plan):
    starts, end = after(small_plan, 3)
    high = paced(small_plan, starts, end, measured_c=900)
    low = paced(small_plan, starts, end, measured_c=-5)
    assert (high.ratio, low.ratio) == (RATIOS[1], RATIOS[0])
    assert high.clipped and low.clipped


def test_over_the_limit_is_never_due_at_once(small_plan):
    starts, end = after(small_plan, 3)
    now = end + 1500  # the model expects it near the air's temperature
    pace = paced(small_plan, starts, now, measured_c=75)
    assert not pace.told and pace.ratio == 1
    assert pace.due_s[3] >= now + TOUCH_AGAIN_S - 1e-6


def test_with_protected_places_waits_only_grow(small_plan):
    guarded = dataclasses.replace(small_plan, protected=(PlacePeak("wiring", 70.0, 80.0),))
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
