"""What a plan asks of the machine, by hand from the plan's own times."""

import pytest

from sheetkit.repair.machine_load import machine_load
from sheetkit.views import json_objects, lines


@pytest.fixture(scope="module")
def load(small_estimate, small_plan):
    return machine_load(small_estimate, small_plan)


def test_a_plan_shorter_than_ten_minutes_burns_all_its_arc_in_them(
    load, small_estimate, small_plan
):
    """All of the arc time, if the whole plan fits into ten minutes."""
    assert small_plan.tack_s + small_plan.total_s < 600
    arc = small_estimate.values["arc_time_s"]
    assert load.busiest_share == pytest.approx(arc / 600, rel=1e-6)


def test_rating_and_mains_by_hand(load, small_estimate):
    """A quarter of the ten minutes at I wants I sqrt(share / 0.2) at 20 %, and I itself at least."""
    v = small_estimate.values
    assert load.rated_share == 0.20
    at_20 = v["current_a"] * (load.busiest_share / 0.2) ** 0.5
    assert load.rated_a == pytest.approx(max(at_20, v["current_a"]))
    assert load.power_va == pytest.approx(v["voltage_v"] * v["current_a"] / 0.72)
    assert load.at_230_v_a == pytest.approx(load.power_va / 230)


def test_it_is_told(load, small_estimate, small_plan):
    assert str(load).split(":")[0] in " ".join(
        " ".join(lines.sequence_lines(small_estimate, small_plan)).split()
    )
    told = json_objects.sequence_object(small_estimate, small_plan)["machine"]
    assert told["busiest_ten_minutes_arc_share"] == pytest.approx(load.busiest_share, abs=1e-4)
    assert told["mains_power_va"] == pytest.approx(load.power_va, abs=0.6)
