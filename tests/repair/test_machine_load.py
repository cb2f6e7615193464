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


def test_without_a_plan_the_usual_moves_and_waits_stand_and_it_says_so(small_estimate, load):
    """By hand: arc time over ten minutes, or over all of tacking and welding if that is longer."""
    usual, v = machine_load(small_estimate), small_estimate.values
    takes = v["arc_time_s"] + v["tack_moves_s"] + v["fill_moves_s"] + v["fill_waits_s"]
    assert usual.busiest_share == pytest.approx(v["arc_time_s"] / max(takes, 600))
    assert "by the usual waits" in str(usual) and "by the usual waits" not in str(load)


def test_heat_and_machine_are_told_before_the_first_arc(small_estimate, small_plan):
    """On the estimate, the bench, the order and the work sheet, whether or not there is a fault."""
    from sheetkit.paper import blocks, work_sheet
    from sheetkit.widgets import cards

    sheet = work_sheet.worksheet(small_estimate, small_plan, paper="a4", display="mm")
    pages = {
        "estimate": " ".join(lines.estimate_lines(small_estimate)),
        "order": " ".join(lines.sequence_lines(small_estimate, small_plan)),
        "bench": cards.caution_list(small_estimate),
        "work sheet": " ".join(b.text for b in sheet if isinstance(b, blocks.Paragraph)),
    }
    for name, page in pages.items():
        page = " ".join(page.split())
        assert "J/mm for each mm of sheet; known settings for this butt give" in page, name
        assert "A from 230 V" in page and "at 20 % bears it" in page, name
    told = json_objects.estimate_object(small_estimate)
    assert told["machine"]["mains_power_va"] > 0
    assert told["known_heat"]["least_known"] < told["known_heat"]["given"]


def test_a_long_cord_and_a_hot_butt_are_told(job):
    """46 A at 14 V is 0.9 kVA, no load; 105 A at 16.5 V with a lap's heat is told on both counts."""
    import sheetkit as sk
    from sheetkit.repair.known_heat import known_heat

    def worked(amperes, volts, travel):
        weld = {"current": amperes, "voltage": volts, "travel": travel}
        return sk.estimate(job(sheet={"thickness": 1.0}, weld=weld))

    light, heavy = worked(52, 14, 475), worked(105, 16.5, 400)
    assert machine_load(light).power_va < 1100 < 2300 < machine_load(heavy).power_va
    assert not known_heat(light.job, light.values).too_hot
    found = known_heat(heavy.job, heavy.values)
    # by hand: 105 x 16.5 x 60 / 400 / 1.0 = 260; printed for 1.0 mm at most 55 x 15 x 60 / 400 = 124
    assert found.given == pytest.approx(259.9, abs=0.1) and found.high == pytest.approx(123.75)
    assert found.too_hot and "more than these" in str(found)
    assert {"machine", "burn-through"} <= {one.topic for one in heavy.cautions()}


@pytest.mark.parametrize("joint", ["lap", "plug"])
def test_beyond_the_tables_nothing_is_held_against_the_heat(job, joint):
    import sheetkit as sk
    from sheetkit.repair.known_heat import known_heat

    thin = sk.estimate(job(sheet={"thickness": 0.4}, patch={"joint": joint}))
    found = known_heat(thin.job, thin.values)
    assert ("a coupon alone" in str(found)) == (joint == "lap")
    assert not found.too_hot and not found.too_cold
