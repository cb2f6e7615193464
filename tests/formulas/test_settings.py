"""Suggested settings: the table's rows, what the user gave, and what a process needs."""

import pytest

from sheetkit.base.tables import GIVEN
from sheetkit.formulas.settings import gap_row, gas_group, lap_leg, reckoned_mm, settings


def test_one_millimetre_sheet():
    """Power-source maker's manual, short arc, Ar+CO2, butt: 50-55 A, 13-15 V, 400-550 mm/min."""
    found = settings("135", 1.0)
    assert found["current_a"].value == 52.5
    assert found["voltage_v"].value == 14
    assert found["travel_mm_min"].value == 475
    assert found["wire_diameter_mm"].value == 0.8
    assert found["thermal_efficiency"].value == 0.8


def test_between_two_rows():
    """1.1 mm: half-way between 52.5 and 65 A."""
    assert settings("135", 1.1)["current_a"].value == pytest.approx(58.75)


def test_what_the_user_gave_wins_and_says_so():
    given = {
        "current": 61.0,
        "voltage": 15.5,
        "travel": 333.0,
        "wire": 0.9,
        "flow": 12.0,
        "pre_flow": 0.2,
        "post_flow": 2.0,
    }
    found = settings("135", 1.0, **given)
    names = ("current_a", "voltage_v", "travel_mm_min", "wire_diameter_mm", "flow_l_min")
    for name, value in zip((*names, "pre_flow_s", "post_flow_s"), given.values(), strict=True):
        assert found[name].value == value
        assert found[name].status == GIVEN
        assert found[name].low is None and found[name].high is None


@pytest.mark.parametrize("thickness", [0.6, 0.85, 0.95, 1.1, 1.35, 1.7, 2.0])
@pytest.mark.parametrize("process", ["135", "136", "114", "141"])
def test_suggested_wire_is_one_that_is_sold(process, thickness):
    """ISO 544 sizes (value from memory)."""
    wire = settings(process, thickness)["wire_diameter_mm"].value
    assert min(abs(wire - d) for d in (0.5, 0.6, 0.8, 0.9, 1.0, 1.2, 1.4, 1.6, 2.0, 2.4)) < 1e-9


@pytest.mark.parametrize(("thickness", "end"), [(0.3, 0.4), (5.0, 4.0)])
def test_beyond_the_rows_the_current_goes_on_with_the_thickness(thickness, end):
    """1 A per 0.001 in is a proportion; such a row is a guess and says so."""
    found, row = settings("135", thickness)["current_a"], settings("135", end)["current_a"]
    assert found.value == pytest.approx(row.value * thickness / end)
    assert found.status == "guess" and f"{thickness:g} mm" in found.note
    assert settings("135", thickness)["travel_mm_min"].value == (
        settings("135", end)["travel_mm_min"].value
    )


@pytest.mark.parametrize("position", ["vertical", "overhead"])
def test_out_of_position_takes_10_to_15_per_cent_off_the_current(position):
    """Common practice, no source; what the user gave stays."""
    flat, found = (settings("135", 1.0, position=p)["current_a"] for p in ("flat", position))
    assert 0.85 * flat.value <= found.value <= 0.9 * flat.value
    assert found.low < flat.low and found.high < flat.high
    assert found.status == "common practice" and position in found.source
    assert settings("135", 1.0, position=position, current=50)["current_a"].value == 50


def test_the_sheet_beneath_counts():
    """Plug: the mean of the two sheets; lap: the same, at most twice the upper; butt: not at all."""
    assert reckoned_mm("plug", 1.0, 2.0) == 1.5
    assert reckoned_mm("plug", 1.0, None) == reckoned_mm("butt", 1.0, 6.0) == 1.0
    assert reckoned_mm("lap", 1.0, 2.0) == 1.5 and reckoned_mm("lap", 1.0, 6.0) == 2.0
    for joint in ("lap", "plug"):
        thin, thick = (
            settings("135", 1.0, joint=joint, beneath_mm=b)["current_a"].value for b in (1.0, 2.0)
        )
        assert thick > 1.1 * thin


def test_the_wire_is_a_choice_without_a_range():
    row = settings("135", 0.9)["wire_diameter_mm"]
    assert (row.low, row.value, row.high) == (None, 0.8, None)


def test_only_a_standing_wire_has_no_travel():
    assert "travel_mm_min" not in settings("135", 1.0, joint="plug")
    assert "travel_mm_min" in settings("141", 1.0, joint="plug")


@pytest.mark.parametrize("process", ["135", "114"])
def test_travel_hardly_falls_and_rises_again(process):
    """From 0.8 mm on it never rises with thickness, so arc time and gas don't jump about."""
    speeds = [settings(process, t / 10)["travel_mm_min"].value for t in range(8, 41)]
    assert all(b <= a + 1e-9 for a, b in zip(speeds, speeds[1:], strict=False))


def test_legs_of_a_lap():
    """The larger of 2 mm and the sheet at least, about 3 mm at most on body sheet."""
    for t in (0.4, 0.6, 1.0, 1.5):
        row = lap_leg(t)
        assert row.low == 2 and row.value <= row.high <= 3.25
    assert lap_leg(2.4).low == 2.4


def test_gaps():
    """Half the sheet, TIG a fifth; the range goes from closed to the trade's 1.2 mm."""
    row = gap_row("135", 0.8)
    assert (row.low, row.value, row.high) == (0, pytest.approx(0.4), 1.2)
    row = gap_row("141", 1.0)
    assert (row.low, row.value, row.high) == (0, pytest.approx(0.2), 0.5)


def test_what_each_process_needs():
    wire_fed = {"melt_alpha", "melt_beta", "electrode_extension_mm", "dot_time_s"}
    gas = {"flow_l_min", "pre_flow_s", "post_flow_s", "start_surge_l"}
    assert wire_fed | gas <= set(settings("135", 1.0))
    assert wire_fed | gas <= set(settings("136", 1.0))
    assert wire_fed <= set(settings("114", 1.0)) and not gas & set(settings("114", 1.0))
    assert gas <= set(settings("141", 1.0)) and not wire_fed & set(settings("141", 1.0))


@pytest.mark.parametrize(
    ("gas", "efficiency"),
    # filler maker's handbook, calculating filler metal consumption; M20 between its rows
    [("M21", 0.96), ("C1", 0.93), ("M20", 0.97), ("M21-ArC-18", 0.96)],
)
def test_solid_wire_yield_goes_by_gas(gas, efficiency):
    assert settings("135", 1.0, gas=gas)["deposition_efficiency"].value == efficiency


def test_usual_gas_of_a_process():
    assert [gas_group(p, None) for p in ("135", "136", "114", "141")] == [
        "M21",
        "M21",
        "none",
        "I1",
    ]
    assert gas_group("135", "M20-ArC-8") == "M20"
