"""Arc energy and heat input against ISO/TR 18491, EN 1011-1 and the United States gross form."""

import pytest

from sheetkit.base import tables, units
from sheetkit.formulas import arc


def test_arc_energy_is_u_i_over_v():
    """ISO/TR 18491:2015, welding without waveform control: U I / v.

    60 A, 16 V, 400 mm/min: 0.144 kJ/mm (evaluated by hand).
    """
    assert arc.arc_energy_kj_per_mm(16, 60, 400) == pytest.approx(0.144, abs=5e-4)


@pytest.mark.parametrize(
    ("process", "efficiency"),
    # EN 1011-1:2009 Table 1 = ISO/TR 17671-1:2002 Table 1 (clause from memory; 114 from memory)
    [("135", 0.8), ("136", 0.8), ("114", 0.8), ("141", 0.6)],
)
def test_thermal_efficiency(process, efficiency):
    assert tables.row("processes", process, "thermal_efficiency").value == efficiency


@pytest.mark.parametrize(
    ("k", "volts", "amperes", "travel", "energy", "heat"),
    [
        (0.8, 16, 60, 400, 0.1440, 0.1152),
        (0.6, 11, 50, 100, 0.3300, 0.1980),
        (0.8, 14, 52.5, 475, 0.0928, 0.0743),
    ],
)
def test_heat_input(k, volts, amperes, travel, energy, heat):
    """EN 1011-1: Q = k U I / v; examples evaluated by hand to the digits given."""
    found = arc.arc_energy_kj_per_mm(volts, amperes, travel)
    assert found == pytest.approx(energy, abs=5e-5)
    assert arc.heat_input_kj_per_mm(k, found) == pytest.approx(heat, abs=5e-5)


def test_heat_input_of_thick_sheet():
    """Power-source maker's table, 1.6 mm sheet: 105 A, 16.5 V, 500 mm/min: 0.166 kJ/mm."""
    energy = arc.arc_energy_kj_per_mm(16.5, 105, 500)
    assert arc.heat_input_kj_per_mm(0.8, energy) == pytest.approx(0.166, abs=5e-4)


def test_united_states_gross_form_in_joules_per_inch():
    """ASME IX QW-409.1(a) (clause from memory): J/in = V A 60 / (in/min), without k.

    60 A, 16 V, 15.748 in/min: 3657.6 J/in.
    """
    travel = units.parse("15.748 in/min", "speed", field="travel")
    joules_per_inch = arc.arc_energy_kj_per_mm(16, 60, travel) * 1000 * 25.4
    assert joules_per_inch == pytest.approx(3657.6, abs=0.05)
    assert joules_per_inch == pytest.approx(16 * 60 * 60 / 15.748, rel=1e-9)


@pytest.mark.parametrize(("process", "measured"), [("135", 0.84), ("114", 0.84), ("141", 0.67)])
def test_measured_efficiency_lies_in_the_range(process, measured):
    """Measured by calorimeter: Welding Journal 74(12) 1995, 406-s (page from memory)."""
    row = tables.row("processes", process, "thermal_efficiency")
    assert row.low <= measured <= row.high
