"""Hours by the plan's own moves and waits, against the plan and against the usual ones."""

from dataclasses import replace

import numpy as np
import pytest

import sheetkit as sk
from sheetkit.base.errors import OutOfRange
from sheetkit.repair.plan import with_plan
from sheetkit.sequence.varied import UNKNOWN


def job(**changes) -> sk.Estimate:
    data = {
        "format": "sheetkit-job/1",
        "sheet": {"thickness": 0.9, "role": "floor"},
        "rust": [{"ring": [[0, 0], [60, 0], [60, 50], [0, 50]]}],
    }
    return sk.estimate(sk.Job.from_data(data).changed(**changes))


CHANGES = {
    "stitches": {},
    "dots": {"weld__fill": "dots", "sheet__role": "skin", "sheet__position": "vertical"},
    "plugs": {"patch__joint": "plug", "shop__skill": "first"},
    "tig": {"weld__process": "141"},
}


@pytest.fixture(scope="module", params=CHANGES)
def planned(request):
    result = job(**CHANGES[request.param])
    return result, sk.plan(result)


def test_the_plan_and_the_estimate_settle_for_the_same_time(planned):
    result, plan = planned
    assert plan.rules.settle_s == result.values["settle_s"]
    assert plan.rules.move_mm_s == 1000 * result.values["move_speed_m_s"]


def test_welding_takes_the_plans_own_time(planned):
    """By hand: the plan's total, which begins with the settling after the tacks, and the coupon.

    Where nothing is tacked it begins with the first weld, whose settling is added.
    """
    result, plan = planned
    mine = with_plan(result, plan).values
    coupon = mine["setting_up_hours_per_job"] * mine["process_factor"] * mine["skill_factor"]
    welding = (mine["welding_h"] - coupon) * 3600
    settling = 0 if plan.tack_order else plan.rules.settle_s
    assert welding == pytest.approx(plan.total_s + settling, rel=1e-6)
    if len(result.tacks):
        factors = mine["process_factor"] * mine["position_factor"] * mine["skill_factor"]
        aligning = mine["tack_count"] * mine["tack_aligning_s"] * factors
        tacking = mine["tacking_h"] * 3600 - aligning
        assert tacking == pytest.approx(plan.tack_s + plan.rules.settle_s, rel=1e-6)


def test_the_usual_moves_and_waits_are_near_the_plans(planned):
    """What stands in for a plan must not be several times what plans give."""
    result, plan = planned
    usual, mine = (
        one["fill_time_s"] + one["fill_moves_s"] + one["fill_waits_s"]
        for one in (result.values, with_plan(result, plan).values)
    )
    assert 0.4 < usual / mine < 2  # so small a patch waits more than most


def test_nothing_else_changes_and_the_range_stays_a_range(planned):
    result, plan = planned
    mine = with_plan(result, plan)
    for step in ("cutting_h", "fitting_h", "dressing_h", "paint_ready_h"):
        assert mine.range(step) == result.range(step)
    # the strip is the plan's own too: by the same rates, narrower than one run would burn it
    bared = mine.values["bare_strip_mm"] / result.values["bare_strip_mm"]
    assert bared <= 1.0 and mine.range("access_h").likely <= result.range("access_h").likely
    assert mine.values["primer_ml"] == pytest.approx(bared * result.values["primer_ml"])
    for name in ("gas_real_l", "wire_bought_g", "arc_time_s"):
        assert mine.range(name) == result.range(name)
    span = mine.hours
    assert span.low < span.likely < span.high
    assert np.all(np.asarray(mine.drawn["fill_waits_s"]) >= 0)
    assert "the sequence plan" in str(mine.explain("fill_waits_s"))


def test_longer_waits_make_longer_hours():
    result = job()
    plan = sk.plan(result)
    slower = replace(plan, total_s=plan.total_s + 3600, band=UNKNOWN)
    gained = with_plan(result, slower).values["hours_h"] - with_plan(result, plan).values["hours_h"]
    assert gained == pytest.approx(1.0)


def test_another_jobs_plan_is_refused(planned):
    _, plan = planned
    other = job(rust=[{"ring": [[0, 0], [260, 0], [260, 50], [0, 50]]}])
    with pytest.raises(OutOfRange, match=r"plan: got .* must have the estimate's"):
        with_plan(other, plan)


def test_waits_grow_with_hidden_rust(planned):
    """A plan is for the rust as drawn; two fifths more of welds wait two fifths longer."""
    from sheetkit.repair.rust_extent import with_extent

    result, plan = planned
    mine = with_plan(result, plan)
    extent = with_extent(mine)
    welds = extent.simulated["weld_count"] / mine.values["weld_count"]
    assert welds.min() >= 1 and welds.max() > 1.2
    for name in ("fill_waits_s", "fill_moves_s"):
        grown = extent.simulated[name] / np.asarray(mine.drawn[name]).mean()
        assert mine.values[name] == 0 or grown[welds > 1.2].mean() > 1.15, name
    assert mine.by_plan and not result.by_plan
