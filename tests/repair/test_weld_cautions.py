"""What is told before the first arc: joint, settings, heat, machine, hole and margin."""

import pytest

import sheetkit
from sheetkit.repair.weld_cautions import gap_word, mains


@pytest.fixture(scope="module")
def told(job):
    """Return a function: the texts of a job's cautions under a topic."""

    def texts(topic, **changes):
        cautions = sheetkit.estimate(job(**changes)).cautions()
        return " ".join(c.text for c in cautions if c.topic == topic)

    return texts


def weld(process="135", **choice):
    return {"process": process} | choice


@pytest.mark.parametrize(
    ("gap", "sheet", "word"),
    [
        (0.5, 1.0, "fair"),
        (1.2, 1.0, "fair"),
        (1.3, 1.0, "doubtful"),
        (2.0, 1.0, "doubtful"),
        (2.1, 1.0, "remake the piece"),
        (0.9, 0.4, "remake the piece"),  # more than twice the sheet
        (0.9, 0.6, "doubtful"),
        (0.5, 0.4, "doubtful"),
        (0.45, 0.4, "fair"),
        (1.9, 3.0, "doubtful"),  # thick sheet doesn't make a wide gap good
        (1.2, 3.0, "fair"),
        (2.1, 3.0, "remake the piece"),
    ],
)
def test_a_gap_is_judged_by_mm_and_by_the_sheet(gap, sheet, word):
    assert gap_word(gap, sheet) == word


def test_published_settings_are_for_a_closed_gap(told):
    assert "closed gap" in told("gap", patch={"gap": 0.8})
    assert "(0.8 of its thickness)" in told("gap", patch={"gap": 0.8})


def test_a_cored_wire_with_gas_is_warned_off_thin_sheet(told):
    assert "take solid wire" in told("wrong wire", weld=weld("136"))
    assert not told("wrong wire", weld=weld("136"), sheet={"thickness": 2.0})
    assert not told("wrong wire", weld=weld("114"))


@pytest.mark.parametrize(
    ("joint", "sheet", "said"),
    [("butt", 0.4, False), ("lap", 0.5, True), ("lap", 0.6, False), ("lap", 3.3, True)],
)
def test_where_no_row_reaches_it_is_said(told, joint, sheet, said):
    text = told("settings", patch={"joint": joint}, sheet={"thickness": sheet})
    assert ("in proportion" in text) == said


def test_the_sheet_beneath_is_said(told):
    lap, plug = {"joint": "lap"}, {"joint": "plug"}
    assert "taken for as thick as the patch" in told("sheet beneath", patch=lap)
    both = {"thickness": 1.0, "beneath": 2.0}
    assert "those of 1.50 mm" in told("sheet beneath", patch=plug, sheet=both)
    assert "not used" in told("sheet beneath", sheet=both)
    assert not told("sheet beneath")


@pytest.mark.parametrize("joint", ["butt", "lap", "plug"])
@pytest.mark.parametrize("sheet", [0.6, 0.8, 1.0, 1.5, 2.0, 3.0])
@pytest.mark.parametrize("position", ["flat", "vertical"])
def test_suggested_settings_earn_no_blame(told, joint, sheet, position):
    changes = {"patch": {"joint": joint}, "sheet": {"thickness": sheet, "position": position}}
    assert not told("burn-through", **changes) and not told("cold weld", **changes)


def test_butt_settings_on_a_lap_are_a_cold_lap(told):
    """52.5 A, 14 V, 475 mm/min: 93 J/mm; printed laps of 1.0 mm have 153 J/mm and more."""
    butt = weld(current=52.5, voltage=14, travel=475)
    assert "cold lap" in told("cold weld", patch={"joint": "lap"}, weld=butt)
    assert not told("cold weld", weld=butt)


def test_lap_settings_on_a_butt_burn_through(told):
    """87.5 A, 18.5 V at 475 mm/min: 204 J/mm; printed butts of 1.0 mm have at most 124."""
    lap = weld(current=87.5, voltage=18.5, travel=475)
    assert "burns through" in told("burn-through", weld=lap)
    assert not told("burn-through", patch={"joint": "lap"}, weld=lap | {"travel": 550})


def test_a_plug_with_a_butts_current_is_cold(told):
    plug = {"joint": "plug"}
    assert "cold plug" in told("cold weld", patch=plug, weld=weld(current=40))
    assert not told("cold weld", patch=plug, weld=weld(current=95))
    assert "more than the sheet" in told("burn-through", patch=plug, weld=weld(current=200))


def test_wire_routes_far_apart_are_a_fault_of_the_inputs(told):
    """Crawling at a lap's current on a closed butt: over four times the joint's volume."""
    slow = weld(current=90, travel=150)
    assert "don't fit each other" in told("wire routes", weld=slow, patch={"gap": 0})
    quick = weld(current=40, travel=2000)
    assert "don't fit each other" in told("wire routes", weld=quick, patch={"gap": 1.2})
    assert not told("wire routes")


def test_mains(told):
    """46 A at 14 V through 0.8 and 0.9: 894 VA, 3.9 A; 105 A at 16.5 V: 2406 VA, 10.5 A at 230 V."""
    light = mains({"voltage_v": 14, "current_a": 46})
    heavy = mains({"voltage_v": 16.5, "current_a": 105})
    assert light == pytest.approx((894.4, 3.889, 7.454), abs=0.05)
    assert heavy == pytest.approx((2406, 10.46, 20.05), abs=0.5)
    assert not told("machine", weld=weld(current=46, voltage=14))
    assert "10 A from 230 V (20 A from 120 V)" in told(
        "machine", weld=weld(current=105, voltage=16.5)
    )


def hole(diameter, grade="holed"):
    side = diameter / 2**0.5
    return [{"ring": [[0, 0], [side, 0], [side, side], [0, side]], "grade": grade}]


def test_a_small_hole_is_filled_not_patched(told):
    assert "filled over a copper backing" in told("small hole", rust=hole(5))
    assert not told("small hole", rust=hole(13))
    assert not told("small hole", rust=hole(5, "pitted"))


def test_the_margin_really_cut_is_said(told):
    """A notch 20 mm wide between two fingers, margin 5: a radius of 25 mm fills it further."""
    notch = [[0, 0], [100, 0], [100, 60], [60, 60], [60, 20], [40, 20], [40, 60], [0, 60]]
    rust, cut = [{"ring": notch}], {"margin": 5, "web": 0}
    assert "takes more than the margin" in told(
        "margin", rust=rust, patch=cut | {"corner_radius": 25}
    )
    assert not told("margin", rust=rust, patch=cut | {"corner_radius": 0})
    assert not told("margin", patch={"margin": 25, "corner_radius": 25})  # no inside corner


def test_a_cut_that_runs_out_to_the_edge_is_no_fault_of_the_corners(told):
    panel = {"outline": [[-200, -8], [300, -8], [300, 300], [-200, 300]]}
    assert not told("margin", panel=panel)


def test_lens_shade_goes_by_the_high_end_of_the_current(job):
    """1.1 mm: 58.75 A, at most 62.5: shade 10 at least, not 7; a lap of 1.0 mm (to 90 A) too."""
    for sheet, joint, shade in ((1.0, "butt", 7), (1.1, "butt", 10), (1.0, "lap", 10)):
        result = sheetkit.estimate(job(sheet={"thickness": sheet}, patch={"joint": joint}))
        assert result.lens_shade_min == shade, (sheet, joint)


def test_the_cylinder_is_counted_to_its_residual_pressure(job):
    """What the advice on the bottle calls missing, the caution calls missing."""
    from sheetkit.workshop.bottle_and_spool import Advice, Bottle, Need

    for pressure in range(20, 80, 2):
        one = job(shop={"cylinder": {"water_volume": 1, "pressure": pressure}})
        result = sheetkit.estimate(one)
        need = result.range("gas_real_l").likely
        bottle = Bottle(1, pressure)
        advice = Advice(bottle.usable_l, bottle.full_l, Need(need, need, 1, 1))
        lacks = any("lacks" in c.text for c in result.cautions() if c.topic == "gas")
        assert lacks == (advice.left < 0), pressure
