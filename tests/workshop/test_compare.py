"""Ways of doing one repair, side by side."""

from pathlib import Path

import numpy as np
import pytest

import sheetkit as sk
from sheetkit.repair.pull import pull
from sheetkit.workshop import compare

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def job():
    return sk.load(DATA / "trunk_floor.json")


def test_every_way_is_the_estimates_own(job):
    for changes in (compare.SHAPES, compare.JOINTS, compare.PROCESSES):
        for way, change in zip(compare.ways(job, changes), changes.values(), strict=True):
            alone = sk.estimate(job.changed(**change))
            assert way.seam_m == pytest.approx(alone.values["seam_length_mm"] / 1000)
            assert way.cost == alone.cost
            assert way.hours == alone.hours
            gas = "gas_real_l" in alone.values
            assert way.gas_l == (alone.range("gas_real_l").likely if gas else 0)
            assert (way.tacks, way.welds) == (len(alone.tacks), len(alone.welds))


def test_a_box_has_more_seam_and_a_lap_less_fitting(job):
    shapes = compare.ways(job, compare.SHAPES)
    assert shapes["box"].seam_m > shapes["follow"].seam_m
    assert shapes["box"].heat_kj > shapes["follow"].heat_kj
    joints = compare.ways(job, compare.JOINTS)
    assert joints["lap"].seam_m > joints["butt"].seam_m
    assert joints["lap"].hours.likely < joints["butt"].hours.likely


def test_heat_is_heat_input_times_length_where_the_seam_is_stitched(job):
    result = sk.estimate(job)
    v = result.drawn
    tacks = v["tack_count"] * v["tack_time_s"]
    by_length = v["heat_input_kj_per_mm"] * v["fill_length_mm"]  # between the tacks
    by_length += v["thermal_efficiency"] * v["voltage_v"] * v["current_a"] * tacks / 1000
    assert compare.way("x", result).heat_kj == pytest.approx(np.median(by_length), rel=1e-3)


def test_the_panels_seam_is_its_outline(job):
    panel = compare.whole_panel(job)["whole panel"]
    outline = job.panel_shape.exterior.length / 1000
    assert panel.seam_m == pytest.approx(outline, rel=0.01)
    assert panel.seam_m > compare.way("patch", sk.estimate(job)).seam_m
    assert panel.cost.low <= panel.cost.likely <= panel.cost.high


def test_quoted_hours_and_price_win(job):
    panel, dearer = (
        compare.whole_panel(job, panel_price=price, hours_h=12.0)["whole panel"]
        for price in (200.0, 300.0)
    )
    assert panel.hours.low == panel.hours.likely == panel.hours.high == 12
    # what is left uncertain is the materials
    assert panel.cost.high - panel.cost.low < 0.1 * panel.cost.likely
    assert dearer.cost.likely - panel.cost.likely == pytest.approx(100)


def test_margins_grow_the_patch(job):
    areas = [way.area_mm2 for way in compare.margins(job, [25, 30, 40])]
    assert areas[0] < areas[1] < areas[2]


def test_what_cannot_be_done_says_why_and_the_rest_goes_on(job):
    found = compare.ways(job, {"gap of 11 mm": {"patch__gap": "11 mm"}, "as it is": {}})
    assert [way.name for way in found.done] == ["as it is"]
    with pytest.raises(LookupError, match=r"patch\.gap"):
        found["gap of 11 mm"]
    assert "patch.gap" in found.listing().texts()[0][-1]
    bare = compare.whole_panel(job.changed(panel=None))
    assert "draw the panel" in bare.listing().texts()[0][-1]


def test_an_unknown_way_is_answered_with_the_nearest(job):
    with pytest.raises(LookupError, match="follow"):
        compare.ways(job, compare.SHAPES)["folow"]


def test_comparisons_add_up_and_show_themselves(job):
    both = compare.ways(job, compare.SHAPES) + compare.whole_panel(job, panel_price=180)
    assert len(both) == 4
    assert len(repr(both)) < 600
    frame = both.table()
    assert {"seam, m", "hours, h", "hours high, h", "cost, USD"} <= set(frame)
    assert frame["seam, m"].tolist() == [way.seam_m for way in both.done]


def test_inches_say_the_same_amounts(job):
    found = compare.ways(job, compare.JOINTS)
    metric, inch = found.table(), found.table(display="in")
    for here, there, by in (
        ("seam, m", "seam, ft", 0.3048),
        ("patch area, cm²", "patch area, in²", 6.4516),
        ("gas, l", "gas, ft³", 28.316846592),
        ("wire, g", "wire, oz", 28.349523125),
    ):
        assert here not in inch and there not in metric
        assert np.allclose(metric[here].astype(float), by * inch[there].astype(float), rtol=1e-6)
    assert list(metric["hours, h"]) == list(inch["hours, h"])


def test_pulls_are_a_column_where_they_are_asked_for(job):
    small = job.changed(patch__margin="12 mm")
    found = compare.ways(small, compare.JOINTS, with_pull=True)
    frame = found.table()
    for way in found.done:
        assert way.pull == pull(sk.estimate(small.changed(**compare.JOINTS[way.name]))).index
    shown = dict(zip(frame["way"], frame["pull index"], strict=True))
    assert shown["butt"] == pytest.approx(found["butt"].pull.likely)
    assert not any("pull" in name for name in compare.ways(job, compare.SHAPES).table())
