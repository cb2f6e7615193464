"""Suggested settings: the table's rows, what the user gave, and what a process needs."""

import pytest

from sheetkit.base.tables import GIVEN
from sheetkit.formulas.settings import gas_group, settings


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


@pytest.mark.parametrize(("thickness", "nearest"), [(0.5, 0.6), (3.0, 2.0)])
def test_outside_the_table_the_nearest_row_serves_and_says_so(thickness, nearest):
    found, row = settings("135", thickness)["current_a"], settings("135", nearest)["current_a"]
    assert found.value == row.value
    assert found.note != row.note


def test_what_each_process_needs():
    wire_fed = {"melt_alpha", "melt_beta", "electrode_extension_mm", "dot_time_s"}
    gas = {"flow_l_min", "pre_flow_s", "post_flow_s", "start_surge_l"}
    assert wire_fed | gas <= set(settings("135", 1.0))
    assert wire_fed | gas <= set(settings("136", 1.0))
    assert wire_fed <= set(settings("114", 1.0)) and not gas & set(settings("114", 1.0))
    assert gas <= set(settings("141", 1.0)) and not wire_fed & set(settings("141", 1.0))


@pytest.mark.parametrize(
    ("gas", "efficiency"),
    # US Navy steelworker training text, chapter 5 (value from memory); M20 between its rows
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
