"""Ways of doing one repair, side by side."""

from pathlib import Path

import pytest

import sheetkit as sk
from sheetkit.workshop import compare

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def job():
    return sk.load(DATA / "trunk_floor.json")


def test_shapes_and_joints_are_the_estimates_own(job):
    for changes in (compare.SHAPES, compare.JOINTS):
        for row, change in zip(compare.ways(job, changes), changes.values(), strict=True):
            alone = sk.estimate(job.changed(**change))
            assert row["seam_m"] == pytest.approx(alone.values["seam_length_mm"] / 1000)
            assert row["cost"] == pytest.approx(alone.cost.likely)
            assert row["gas_l"] == pytest.approx(alone.values["gas_real_l"])


def test_a_box_has_more_seam_and_a_lap_less_fitting(job):
    follow, _, box = compare.ways(job, compare.SHAPES)
    assert box["seam_m"] > follow["seam_m"] and box["heat_kj"] > follow["heat_kj"]
    butt, lap = compare.ways(job, compare.JOINTS)
    assert lap["seam_m"] > butt["seam_m"] and lap["hours_h"] < butt["hours_h"]


def test_heat_is_heat_input_times_length_where_the_seam_is_stitched(job):
    result = sk.estimate(job)
    v = result.values
    tacks = v["tack_count"] * v["tack_time_s"]
    by_length = v["heat_input_kj_per_mm"] * v["welded_length_mm"]
    by_length += v["thermal_efficiency"] * v["voltage_v"] * v["current_a"] * tacks / 1000
    assert compare.line("x", result)["heat_kj"] == pytest.approx(by_length, rel=1e-6)


def test_the_panels_seam_is_its_outline(job):
    patch, panel = compare.patch_or_panel(job)
    outline = job.panel_shape.exterior.length / 1000
    assert panel["seam_m"] == pytest.approx(outline, rel=0.01)
    assert panel["seam_m"] > patch["seam_m"]
    assert panel["cost_low"] <= panel["cost"] <= panel["cost_high"]


def test_quoted_hours_and_price_win(job):
    _, panel = compare.patch_or_panel(job, panel_price=200.0, hours_h=12.0)
    assert panel["hours_low_h"] == panel["hours_h"] == panel["hours_high_h"] == 12
    assert panel["cost_low"] == pytest.approx(panel["cost_high"])
    _, dearer = compare.patch_or_panel(job, panel_price=300.0, hours_h=12.0)
    assert dearer["cost"] - panel["cost"] == pytest.approx(100)


def test_what_cannot_be_done_says_why(job):
    rows = compare.ways(job, {"gap of 9 mm": {"patch__gap": "11 mm"}, "as it is": {}})
    assert "patch.gap" in rows[0]["refused"] and rows[1]["refused"] == ""
    bare = job.changed(panel=None)
    assert "draw the panel" in compare.patch_or_panel(bare)[1]["refused"]
