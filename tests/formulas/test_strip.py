"""The strip bared along the seam: by hand, against the solver room's closed form, and what it moves."""

import pytest

import sheetkit as sk
from sheetkit.formulas.strip import bare_strip_mm, paint_burns_mm, stripped_m
from sheetkit.heat.closed_forms import distance_to_temperature
from sheetkit.repair.plan import plan, with_plan
from sheetkit.sequence.hot_strips import reached

RING = [[0, 0], [60, 0], [60, 40], [0, 40]]


def estimate(**changes):
    data = {
        "format": "sheetkit-job/1",
        "sheet": {"thickness": 1.0, "coating": "painted"},
        "rust": [{"ring": RING}],
        "patch": {"margin": 15},
    }
    return sk.estimate(sk.Job.from_data(data).changed(**changes))


def test_by_hand_and_as_the_solvers_room_has_it():
    # 100 J/mm in 1 mm sheet: 100 / (4.1327 x 4.71e-3 x 180 K)
    assert paint_burns_mm(0.1, 1.0, 200.0, 20.0, 1.0) == pytest.approx(28.541, abs=0.002)
    for paint, air, t in ((170.0, 5.0, 0.8), (250.0, 35.0, 2.0)):
        assert paint_burns_mm(0.08, t, paint, air, 1.0) == pytest.approx(
            distance_to_temperature(paint, 80.0, thickness_mm=t, start_c=air)
        )
    assert paint_burns_mm(0.1, 1.0, 200.0, 20.0, 0.6) == pytest.approx(0.6 * 28.541, abs=0.002)
    assert bare_strip_mm(20.0, 25.0) == 40.0 and bare_strip_mm(5.0, 25.0) == 25.0
    assert stripped_m(2.0, 60.0, 40.0, 2.0) == 3.0 and stripped_m(2.0, 60.0, 40.0, 1.0) == 1.5


def test_heat_and_reach_move_stripping_discs_and_primer():
    usual, hot = estimate().values, estimate(weld__current=80, weld__voltage=18.5).values
    wider = hot["bare_strip_mm"] / usual["bare_strip_mm"]
    assert wider > 1.05
    for name in ("strip_discs", "primer_ml"):
        assert hot[name] / usual[name] == pytest.approx(wider)
    assert hot["access_h"] > usual["access_h"] and hot["sealer_ml"] == usual["sealer_ml"]
    one_face = estimate(sheet__back_access=False).values
    assert one_face["stripped_m"] == pytest.approx(usual["stripped_m"] / 2)
    assert one_face["primer_ml"] == pytest.approx(usual["primer_ml"] / 2)
    told = str(estimate().explain("paint_burns_mm"))
    assert "Rykalin" in told and "common practice" in told


def test_a_plans_own_strip_takes_the_closed_forms_place_and_only_once():
    result = estimate()
    order = plan(result)
    paint = next(one for one in reached(order).strips if one.level.name == "heat_paint")
    mine = with_plan(result, order)
    assert mine.values["paint_burns_mm"] == pytest.approx(paint.mean_mm)
    assert mine.values["paint_burns_mm"] < result.values["paint_burns_mm"]
    again = with_plan(mine, order)
    assert again.values["paint_burns_mm"] == pytest.approx(paint.mean_mm)
    # a warning closer than the order's own would be no warning: the mean is what is stripped
    assert paint.widest_mm >= paint.mean_mm


@pytest.mark.parametrize("display", ["mm", "in"])
def test_cautions_and_list_tell_the_same_strip(display):
    from sheetkit.base import amounts
    from sheetkit.workshop.shopping import shopping_list

    result = estimate(sheet__coating="zinc", sheet__back_access=False)
    reach = {
        level: amounts.show(
            distance_to_temperature(
                at, 1000 * result.values["heat_input_kj_per_mm"], thickness_mm=1.0, start_c=20.0
            ),
            "length",
            units=display,
        )
        for level, at in (("paint", 200.0), ("sealer", 150.0), ("wax", 80.0), ("zinc", 420.0))
    }
    far = next(str(one) for one in result.cautions(display) if one.topic == "far side")
    assert f"paint burns to {reach['paint']} from" in far
    assert f"break down to {reach['sealer']}," in far and f"suffer to {reach['wax']} " in far
    assert "No hand reaches the back" in far
    besides = {what: amount for what, amount, _ in shopping_list(result, display=display).besides}
    assert besides["masking"] == f"beyond {reach['paint']} of the seam, the face in reach"
    assert reach["sealer"] in besides["sealer and foam, to make good"]
    assert reach["wax"] in besides["wax and underseal, to make good"]
    assert reach["zinc"] in besides["zinc-rich primer"]
    assert ("in²" if display == "in" else "cm²") in besides["zinc-rich primer"]
    open_back = next(str(one) for one in estimate().cautions(display) if one.topic == "far side")
    assert "No hand reaches" not in open_back
